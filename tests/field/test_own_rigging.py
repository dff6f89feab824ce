"""Gates, feeders and chills on own parts: as on the built-in ones, several at once, and what is refused."""

import math

import meshes
import numpy as np
import pytest
from shares import every

from castlab import InputError, alloy, mould
from castlab.field.design import design
from castlab.field.example_parts import cleat_with_feet, door_handle
from castlab.field.grid import build
from castlab.field.mend import mended
from castlab.field.outcome import outcome_of
from castlab.field.own_part import Body, OwnPart
from castlab.field.own_rigging import rigged
from castlab.field.placed import Chill, Feeder, Gate, rigging_of, sizes_of

ZA12, SAND = alloy("ZA-12"), mould("green sand")
EYE = OwnPart(
    "my eye plate",
    (
        Body("plate", "box", (("length", 0.12), ("height", 0.012), ("width", 0.04)), (0.06, 0.0, 0.0)),
        Body("boss", "box", (("length", 0.04), ("height", 0.04), ("width", 0.04)), (0.14, 0.0, 0.0)),
    ),
)
FED = sizes_of("feeder", 1, Feeder(0.14, 0.0, 0.0, width=0.04, height=0.06, shape="square"))
# What stands on the own part, and the same on the built-in eye plate.
ALIKE = {
    "nothing": ({}, {}),
    "feeder on top": (FED, {"feeder_width": 0.04, "feeder_height": 0.06}),
    "feeder with a neck": (
        FED | {"feeder_1_neck": 0.02},
        {"feeder_width": 0.04, "feeder_height": 0.06, "neck_width": 0.02},
    ),
    "blind feeder": (
        FED | {"feeder_1_top": "blind"},
        {"feeder_width": 0.04, "feeder_height": 0.06, "feeder_top": "blind"},
    ),
    "feeder at the side": (
        FED | {"feeder_1_side": "right"},
        {"feeder_width": 0.04, "feeder_height": 0.06, "feeder_place": "at the side"},
    ),
    "chill": (sizes_of("chill", 1, Chill(0.14, 0.0, 0.0, thickness=0.02)), {"chill_thickness": 0.02}),
    "gate into the heavy end": (
        sizes_of("gate", 1, Gate(0.16, 0.0, 0.0, "right", 0.02)),
        {"gate_place": "heavy end", "gate_thickness": 0.02},
    ),
    "heavy end up": (
        {"up": "+x", **sizes_of("gate", 1, Gate(0.0, 0.01, 0.0, "left"))},
        {"turn": "heavy end up"},
    ),
}


@pytest.mark.parametrize("name", ALIKE)
def test_an_own_eye_plate_is_drawn_as_the_built_in_one(name):
    own, named = ALIKE[name]
    mine = design(EYE, ZA12, SAND, 475.0, **own).setup().layout
    other = design("eye plate", ZA12, SAND, 475.0, **named).setup().layout
    assert {block.name for block in mine.blocks} == {block.name for block in other.blocks}
    for block in mine.blocks:
        expected = other.block(block.name)
        assert (*block.low, *block.high) == pytest.approx((*expected.low, *expected.high), abs=1e-9)
    assert (*mine.low, *mine.high) == pytest.approx((*other.low, *other.high), abs=1e-9)


@pytest.mark.parametrize("name", every(8, ALIKE))
def test_an_own_eye_plate_gives_the_eye_plate_s_answer(name):
    own, named = ALIKE[name]
    mine = outcome_of(design(EYE, ZA12, SAND, 475.0, **own))
    other = outcome_of(design("eye plate", ZA12, SAND, 475.0, **named))
    assert (mine.verdict, mine.kind, mine.block, mine.causes) == (
        other.verdict,
        other.kind,
        other.block,
        other.causes,
    )
    assert mine.froze_s == pytest.approx(other.froze_s, rel=0.01)
    assert mine.defect_m3 == pytest.approx(other.defect_m3, rel=0.01, abs=1e-4 * other.casting_m3)
    assert mine.poured_kg == pytest.approx(other.poured_kg, rel=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["nothing", "feeder on top"])
def test_the_eye_plate_from_triangles_gives_its_answer_too(name):
    own, named = ALIKE[name]
    plate = meshes.cuboid((0.0, 0.12), (-0.006, 0.006), (-0.02, 0.02))
    boss = meshes.cuboid((0.12, 0.16), (-0.02, 0.02), (-0.02, 0.02))
    part = OwnPart("plate", (Body("plate", "stl", mesh=mended(np.concatenate([plate, boss])).mesh),))
    mine = outcome_of(design(part, ZA12, SAND, 475.0, **own))
    other = outcome_of(design("eye plate", ZA12, SAND, 475.0, **named))
    assert mine.verdict == other.verdict
    assert mine.froze_s == pytest.approx(other.froze_s, rel=0.01)
    assert mine.defect_m3 == pytest.approx(other.defect_m3, rel=0.01, abs=1e-4 * other.casting_m3)


def _handle(**sizes):
    return design(door_handle(), ZA12, SAND, 475.0, **sizes)


BOTH = {
    **sizes_of("feeder", 1, Feeder(-0.055, 0.0, 0.0, width=0.026, height=0.04)),
    **sizes_of("feeder", 2, Feeder(0.055, 0.0, 0.0, width=0.026, height=0.05)),
    **sizes_of("chill", 1, Chill(-0.055, 0.0, 0.0, thickness=0.01)),
    **sizes_of("chill", 2, Chill(0.055, 0.0, 0.0, thickness=0.01)),
    **sizes_of("gate", 1, Gate(-0.07, 0.007, 0.0, "left")),
    **sizes_of("gate", 2, Gate(0.07, 0.007, 0.0, "right")),
}


def test_metal_of_the_handle_is_that_by_hand():
    """140 x 14 x 14 mm and two discs of 30 x 12 mm: 44.4 cm3."""
    grid = build(_handle().setup().layout, 3e-3)
    by_hand = 0.14 * 0.014**2 + 2 * math.pi * 0.015**2 * 0.012
    assert grid.metal_volume[grid.is_role("casting")].sum() == pytest.approx(by_hand, rel=5e-3)


def test_several_of_each_stand_where_they_were_put():
    layout = _handle(**BOTH).setup().layout
    names = [block.name for block in layout.blocks]
    for name in ("feeder", "feeder 2", "gate", "gate 2", "sprue", "sprue 2", "chill", "chill 2"):
        assert name in names
    assert layout.block("feeder").high[1] == layout.block("feeder 2").high[1] == layout.high[1]  # one level
    assert layout.block("chill").high[1] == pytest.approx(-0.012)
    grid = build(layout, 3e-3)
    assert grid.images == 4.0  # and so it is solved as a quarter


def test_feeders_on_both_feet_make_the_handle_sound_and_one_does_not():
    fed = _handle(**{name: value for name, value in BOTH.items() if not name.startswith("chill")})
    both = outcome_of(fed.change(feeder_1_width=0.03, feeder_2_width=0.03))
    one = outcome_of(_handle(**sizes_of("feeder", 1, Feeder(-0.055, 0.0, 0.0, width=0.03, height=0.05))))
    assert both.verdict == "sound" and one.verdict != "sound"
    assert one.block in ("right foot", "bar")


@pytest.mark.slow
def test_a_feeder_on_a_ball_touches_it_and_the_metal_is_counted_once():
    knob = OwnPart("knob", (Body("ball", "ball", (("diameter", 0.06),)),))
    layout = rigged(knob, sizes_of("feeder", 1, Feeder(0.0, 0.0, 0.0, width=0.04, height=0.05)))
    feeder = layout.block("feeder")
    assert feeder.reaches_in and feeder.low[1] == pytest.approx(math.sqrt(0.03**2 - 0.01**2), abs=3e-4)
    grid = build(layout, 2.5e-3)
    casting = grid.metal_volume[grid.is_role("casting")].sum()
    assert casting == pytest.approx(math.pi / 6 * 0.06**3, rel=0.02)
    rest = math.pi * 0.02**2 * (feeder.high[1] - feeder.low[1]) - _cap(0.03, feeder.low[1])
    assert grid.metal_volume[grid.is_role("feeder")].sum() == pytest.approx(rest, rel=0.02)


def test_the_neck_of_a_round_feeder_beside_goes_on_until_its_corners_are_in_the_feeder():
    """Its corners, half its depth off the middle, lie on the circle of the feeder."""
    across, neck = 0.04, 0.024
    beside = Feeder(0.16, 0.0, 0.0, "right", across, 0.06, neck=neck)
    layout = rigged(EYE, sizes_of("feeder", 1, beside))
    way, feeder = layout.block("neck"), layout.block("feeder")
    middle = 0.5 * (feeder.low[0] + feeder.high[0])
    assert way.high[2] - way.low[2] == pytest.approx(neck)
    assert math.hypot(middle - way.high[0], neck / 2) == pytest.approx(across / 2) and way.high[0] < middle


def test_only_on_a_round_face_does_a_chill_reach_into_the_metal():
    knob = OwnPart("knob", (Body("ball", "ball", (("diameter", 0.06),)),))
    level = rigged(EYE, sizes_of("chill", 1, Chill(0.14, 0.0, 0.0, thickness=0.02))).block("chill")
    wide = Chill(0.0, 0.0, 0.0, thickness=0.02, width=0.03, length=0.03)
    under_ball = rigged(knob, sizes_of("chill", 1, wide)).block("chill")
    assert not level.reaches_in and under_ball.reaches_in


def test_a_neck_beside_stays_within_the_face_that_it_joins():
    """Asked for at the very top, it lies as high as the boss, which ends 20 mm above the middle."""
    beside = Feeder(0.16, 0.019, 0.0, "right", 0.04, 0.06, neck=0.012)
    way = rigged(EYE, sizes_of("feeder", 1, beside)).block("neck")
    assert (way.low[1], way.high[1]) == pytest.approx((0.008, 0.02))


def _cap(radius, height):
    """Volume of a ball above a height over its middle."""
    return math.pi / 3 * (radius - height) ** 2 * (2 * radius + height)


def test_sizes_of_bodies_can_be_changed_by_their_names():
    wider = _handle(**{"left foot diameter": 0.036}).setup().layout
    assert wider.block("left foot").high[0] == pytest.approx(-0.055 + 0.018)
    assert _handle(up="-y").setup().layout.block("left foot").low[1] == pytest.approx(0.0)


def test_names_and_values_make_what_they_were_made_of():
    feeder = Feeder(0.01, 0.02, 0.03, "left", 0.02, 0.05, "square", "blind", 0.01)
    assert rigging_of(sizes_of("feeder", 3, feeder))["feeder"] == {3: feeder}


def test_the_usual_gate_sits_where_a_part_is_thin():
    for part, most in ((EYE, 0.012), (cleat_with_feet(), 0.012)):
        gate = rigged(part, {}).block("gate")
        assert gate.high[1] - gate.low[1] <= most
    assert rigged(EYE, {}).block("gate").high[0] == pytest.approx(0.0)


REFUSED = {
    "no metal there": (FED | {"feeder_1_x": 0.5}, "place at the top .* there is no metal"),
    "no place": ({"feeder_1_width": 0.03}, "feeder 1 is without x"),
    "unknown word": (FED | {"feeder_1_colour": 1.0}, "feeder 1 is 'colour'"),
    "unknown name": ({"foot": 0.1}, "size of the my eye plate is 'foot'"),
    "unknown side": (FED | {"feeder_1_side": "bottom"}, "side is 'bottom'"),
    "feeder below the casting": (
        FED | {"feeder_1_side": "right", "feeder_1_height": 0.02, "feeder_1_neck": 0.01},
        "must stand higher than the casting",
    ),
    "neck wider than the feeder": (FED | {"feeder_1_neck": 0.05}, "neck width"),
    "gate thicker than the plate": (sizes_of("gate", 1, Gate(0.0, 0.0, 0.0, "left", 0.02)), "gate thickness"),
    "sleeve on a square feeder": (FED | {"feeder_1_sleeve_thickness": 0.008}, "a sleeve is round"),
    "sleeve with no room above a neck": (
        sizes_of("feeder", 1, Feeder(0.16, 0.0, 0.0, "right", 0.04, 0.031, top="blind", neck=0.03,
                                     sleeve_thickness=0.008)),
        "sleeve is taken: it overlaps the neck",
    ),
    "chill in the way of the gate": (
        sizes_of("chill", 1, Chill(0.0, 0.0, 0.0, "left", thickness=0.02)),
        "overlaps",
    ),
    "far away": (FED | {"feeder_1_x": 50.0}, "place along x"),
    "size of a body": ({"boss height": -0.01}, "height of boss"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_stand_is_refused_in_words(name):
    sizes, words = REFUSED[name]
    with pytest.raises(InputError, match=words):
        design(EYE, ZA12, SAND, 475.0, **sizes).setup()
