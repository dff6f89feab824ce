"""A part of one's own out of bodies: volumes by hand, ways up, refusals."""

import math
from dataclasses import replace

import meshes
import pytest

from castlab import InputError
from castlab.field.mend import mended
from castlab.field.own_part import SHAPES, TURNS, Body, OwnPart, size_of

SKIN = mended(meshes.ball(0.03)).mesh
BODIES = {
    "box": (Body("b", "box", (("length", 0.05), ("height", 0.02), ("width", 0.03))), 0.05 * 0.02 * 0.03),
    "cylinder": (
        Body("b", "cylinder", (("diameter", 0.03), ("length", 0.05)), axis="x"),
        math.pi * 0.015**2 * 0.05,
    ),
    "pipe": (
        Body("b", "pipe", (("diameter", 0.03), ("hole", 0.02), ("length", 0.05)), axis="z"),
        math.pi * (0.015**2 - 0.01**2) * 0.05,
    ),
    "cone": (
        Body("b", "cone", (("diameter", 0.03), ("other diameter", 0.0), ("length", 0.05))),
        math.pi / 3 * 0.015**2 * 0.05,
    ),
    "ball": (Body("b", "ball", (("diameter", 0.03),)), math.pi / 6 * 0.03**3),
    "outline": (
        Body("b", "outline", (("length", 0.01),), axis="z", corners=((0, 0), (0.03, 0), (0, 0.02))),
        0.5 * 0.03 * 0.02 * 0.01,
    ),
    "turned": (
        Body("b", "turned", axis="x", corners=((0, 0), (0.01, 0), (0.01, 0.03), (0, 0.03))),
        math.pi * 0.01**2 * 0.03,
    ),
    "stl": (Body("b", "stl", mesh=SKIN, file="ball.stl"), math.pi / 6 * 0.03**3),
}


def test_every_shape_is_tried():
    assert set(BODIES) == set(SHAPES)


@pytest.mark.parametrize("shape", BODIES)
@pytest.mark.parametrize("up", TURNS)
def test_volume_and_place_of_each_shape_whichever_way_up(shape, up):
    body, volume = BODIES[shape]
    here = OwnPart("part", (body,), up)
    assert here.blocks[0].volume == pytest.approx(volume, rel=2e-3)
    away = OwnPart("part", (replace(body, at=(0.1, 0.2, 0.3)),), up)
    moves = [round(new - old, 9) for new, old in zip(away.extent[0], here.extent[0], strict=True)]
    expected = [sum((0.1, 0.2, 0.3)[axis] * TURNS[up][axis][to] for axis in range(3)) for to in range(3)]
    assert moves == pytest.approx(expected)


@pytest.mark.parametrize("up", TURNS)
def test_the_direction_that_is_up_points_up(up):
    """A pin that stands out of a plate in that direction stands on top of it in the mould, never mirrored."""
    axis, sign = "xyz".index(up[1]), 1 if up[0] == "+" else -1
    at = tuple(0.03 * sign * (other == axis) for other in range(3))
    plate = Body("plate", "box", (("length", 0.04), ("height", 0.04), ("width", 0.04)))
    pin = Body("pin", "cylinder", (("diameter", 0.01), ("length", 0.02)), at, axis=up[1])
    part = OwnPart("part", (plate, pin), up)
    assert part.extent[1][1] == pytest.approx(0.04) and part.blocks[1].low[1] == pytest.approx(0.02)
    rows = TURNS[up]
    det = sum(
        rows[0][i]
        * (rows[1][(i + 1) % 3] * rows[2][(i + 2) % 3] - rows[1][(i + 2) % 3] * rows[2][(i + 1) % 3])
        for i in range(3)
    )
    assert det == 1


def test_sizes_can_be_changed_by_name():
    part = OwnPart("part", (BODIES["box"][0],))
    assert size_of(part.with_body("b", height=0.025), "b", "height") == 0.025
    assert part.with_body("b", taken_away=False) == part
    with pytest.raises(InputError, match="body is 'c'"):
        part.with_body("c", height=0.02)


BOX, BALL = BODIES["box"][0], BODIES["ball"][0]
REFUSED = {
    "no name": (lambda: replace(BOX, name=" "), "name of a body"),
    "unknown shape": (lambda: replace(BOX, shape="egg"), "shape of b is 'egg'"),
    "unknown axis": (lambda: replace(BOX, axis="w"), "axis of b"),
    "missing size": (lambda: replace(BOX, sizes=(("length", 0.05),)), "a box has length, height, width"),
    "no thickness": (
        lambda: replace(BALL, sizes=(("diameter", 0.0),)),
        "diameter of b is 0 mm: it must be greater",
    ),
    "not a number": (lambda: replace(BALL, sizes=(("diameter", math.nan),)), "finite"),
    "wall of a pipe": (
        lambda: (
            OwnPart("p", (Body("b", "pipe", (("diameter", 0.03), ("hole", 0.03), ("length", 0.05))),)).blocks
        ),
        "wall of a ring",
    ),
    "place": (lambda: replace(BALL, at=(9.0, 0.0, 0.0)), "place of b along x"),
    "two corners": (lambda: replace(BODIES["outline"][0], corners=((0, 0), (1, 0))), "3 to 200"),
    "corners in line": (
        lambda: replace(BODIES["outline"][0], corners=((0, 0), (0.1, 0), (0.2, 0))),
        "in one line",
    ),
    "crossing outline": (
        lambda: replace(BODIES["outline"][0], corners=((0, 0), (0.1, 0.1), (0.15, 0), (0, 0.08))),
        "crossing",
    ),
    "radius below 0": (
        lambda: replace(BODIES["turned"][0], corners=((-0.01, 0), (0.01, 0), (0, 0.1))),
        "0 or more",
    ),
    "corners of a ball": (lambda: replace(BALL, corners=((0, 0), (1, 0), (0, 1))), "a ball has none"),
    "no skin": (lambda: replace(BODIES["stl"][0], mesh=None), "skin of b is missing"),
    "no body": (lambda: OwnPart("p", ()), "a part has 1 to 60"),
    "two of one name": (lambda: OwnPart("p", (BOX, BALL)), "b, twice"),
    "all taken away": (lambda: OwnPart("p", (replace(BOX, taken_away=True),)), "one of them must be metal"),
    "unknown way up": (lambda: OwnPart("p", (BOX,), "+w"), "way up"),
    "too long": (
        lambda: OwnPart("p", (BOX, replace(BALL, name="c", at=(2.0, 0.0, 0.0)))),
        "size of the part along x",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_is_refused_in_words(name):
    make, words = REFUSED[name]
    with pytest.raises(InputError, match=words):
        make()
