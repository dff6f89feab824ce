"""Solid bodies: what they cover of cells, against their formulas; how they turn, touch and overlap."""

import math

import numpy as np
import pytest

from castlab import InputError
from castlab.field.bodies import ball, cone, cylinder, moved, prism, ring
from castlab.field.cut import fill
from castlab.field.layout import Layout, box
from castlab.field.shares import overlap, shares_of

WEDGE = [(0.0, 0.0), (0.1, 0.0), (0.1, 0.02), (0.05, 0.03)]
# Each body with its volume and the area of its surface [m3, m2], by the formulas of a handbook.
BODIES = {
    "box": (box("b", "casting", (0.0, 0.1), (0.0, 0.02), (0.0, 0.05)), 1e-4, 2 * (2e-3 + 1e-3 + 5e-3)),
    "cylinder": (
        cylinder("c", "casting", "y", (0.01, 0.0), 0.04, (0.0, 0.03)),
        math.pi * 0.02**2 * 0.03,
        math.pi * (0.04 * 0.03 + 2 * 0.02**2),
    ),
    "ring": (
        ring("r", "casting", "x", (0.0, 0.0), 0.08, 0.12, (0.0, 0.02)),
        math.pi * (0.06**2 - 0.04**2) * 0.02,
        math.pi * (0.2 * 0.02 + 2 * (0.06**2 - 0.04**2)),
    ),
    "cone": (
        cone("k", "casting", "z", (0.0, 0.0), (0.03, 0.06), (0.0, 0.04)),
        math.pi / 3 * 0.04 * (0.015**2 + 0.015 * 0.03 + 0.03**2),
        math.pi * (0.015**2 + 0.03**2 + 0.045 * math.hypot(0.015, 0.04)),
    ),
    "ball": (ball("s", "casting", (0.0, 0.01, 0.0), 0.05), math.pi / 6 * 0.05**3, math.pi * 0.05**2),
    "prism": (
        prism("p", "casting", "x", WEDGE, (0.0, 0.03)),
        0.002 * 0.03,
        2 * 0.002 + 0.03 * sum(math.dist(a, b) for a, b in zip(WEDGE, WEDGE[1:] + WEDGE[:1], strict=True)),
    ),
}


def _grid_round(body, cell, shift):
    """Even cells that reach beyond a body on all sides and whose lines miss its faces."""
    return [
        np.arange(low - (1.5 + shift) * cell, high + 3 * cell, cell)
        for low, high in zip(body.low, body.high, strict=True)
    ]


def test_area_of_the_wedge_by_the_shoelace():
    area = 0.5 * abs(
        sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(WEDGE, WEDGE[1:] + WEDGE[:1], strict=True))
    )
    assert area == pytest.approx(0.002)


@pytest.mark.parametrize("name", BODIES)
@pytest.mark.parametrize("shift", [0.0, 0.3, 0.77])
def test_volume_of_each_body_is_that_of_its_formula(name, shift):
    body, volume, _ = BODIES[name]
    assert body.volume == pytest.approx(volume, rel=1e-12)
    for cell in (6e-3, 3e-3):
        shares = shares_of(body, _grid_round(body, cell, shift))
        assert shares.share.sum() * cell**3 == pytest.approx(volume, rel=1.5e-3)
        assert shares.share.min() >= 0.0 and shares.share.max() <= 1.0 + 1e-12


@pytest.mark.parametrize("name", BODIES)
def test_area_of_the_cut_faces_is_that_of_the_surface(name):
    """Edges are cut short by what a plane in the cell cannot show: the less, the finer the cells."""
    body, _, area = BODIES[name]
    for cell, within in ((4e-3, 0.06), (2e-3, 0.03)):
        shares = shares_of(body, _grid_round(body, cell, 0.3))
        faces = np.sqrt(sum((low - high) ** 2 for low, high in zip(shares.low, shares.high, strict=True)))
        assert faces.sum() * cell**2 == pytest.approx(area, rel=within)


def test_middle_of_what_is_cut_is_the_body_s():
    body = ball("s", "casting", (0.01, 0.02, 0.03), 0.05)
    edges = _grid_round(body, 5e-3, 0.3)
    shares = shares_of(body, edges)
    for axis, middle in enumerate((0.01, 0.02, 0.03)):
        centre = 0.5 * (edges[axis][1:] + edges[axis][:-1])[shares.where[axis]]
        centre = centre.reshape([-1 if other == axis else 1 for other in range(3)])
        moment = (shares.share * centre + 5e-3 * shares.moment[axis]).sum()
        assert moment / shares.share.sum() == pytest.approx(middle, abs=2e-5)


@pytest.mark.parametrize("name", BODIES)
def test_a_body_turned_by_right_angles_has_the_same_shares(name):
    body = BODIES[name][0]
    edges = _grid_round(body, 4e-3, 0.3)
    turned = moved(body, lambda point: (point[2], point[0], point[1]))
    shares, other = shares_of(body, edges), shares_of(turned, [edges[2], edges[0], edges[1]])
    assert np.transpose(shares.share, (2, 0, 1)) == pytest.approx(other.share, abs=1e-12)
    assert turned.volume == pytest.approx(body.volume, rel=1e-12)
    mirrored = moved(body, lambda point: (-point[0], point[1], point[2]))
    flipped = shares_of(mirrored, [-edges[0][::-1], edges[1], edges[2]])
    assert flipped.share[::-1] == pytest.approx(shares.share, abs=1e-12)


@pytest.mark.parametrize("name", [name for name in BODIES if name != "box"])
def test_a_body_moved_there_and_back_is_the_same(name):
    body = BODIES[name][0]
    there = moved(body, lambda point: (-point[1], point[2], point[0]))
    back = moved(there, lambda point: (point[2], -point[0], point[1]))
    assert back.form.key == body.form.key and back.low == pytest.approx(body.low)


def _flask(*blocks, size=0.2):
    return Layout(blocks, (-size,) * 3, (size,) * 3)


def test_bodies_that_touch_along_a_curve_do_not_overlap_and_closer_ones_do():
    hub = cylinder("hub", "casting", "y", (0.0, 0.0), 0.04, (0.0, 0.02))
    rim = ring("rim", "feeder", "y", (0.0, 0.0), 0.04, 0.06, (0.0, 0.02))
    assert not overlap(hub, rim)
    assert overlap(hub, ring("rim", "feeder", "y", (0.0, 0.0), 0.039, 0.06, (0.0, 0.02)))
    stone = ball("ball", "casting", (0.0, 0.0, 0.0), 0.04)
    corner = 0.02 / math.sqrt(3.0)
    assert not overlap(stone, box("feeder", "feeder", *[(corner + 1e-4, 0.05)] * 3))
    assert overlap(stone, box("feeder", "feeder", *[(corner - 2e-3, 0.05)] * 3))
    with pytest.raises(InputError, match="overlaps the ball"):
        _flask(stone, box("feeder", "feeder", *[(0.0, 0.05)] * 3))


def test_a_core_takes_its_room_from_the_casting():
    block = box("block", "casting", (-0.03, 0.03), (-0.03, 0.03), (-0.03, 0.03))
    core = cylinder("core", "core", "y", (0.0, 0.0), 0.03, (-0.03, 0.03))
    layout = _flask(block, core)
    edges = [np.linspace(-0.05, 0.05, count) for count in (24, 26, 31)]
    metal, owner, cut = fill(layout, edges)
    cell = np.prod([edge[1] - edge[0] for edge in edges])
    assert metal.sum() * cell == pytest.approx(0.06**3 - core.volume, rel=1e-3)
    beside = cut.beside[(metal[cut.where] > 0.0) & (metal[cut.where] < 1.0)]
    assert set(beside) == {-1, 1}  # mould outside, the core's own material inside


BAD = {
    "no wall": (
        lambda: ring("r", "casting", "y", (0, 0), 0.04, 0.0405, (0, 0.01)),
        "diameter of r",
        "0.5 mm",
    ),
    "two corners": (lambda: prism("p", "casting", "z", [(0, 0), (1, 1)], (0, 0.1)), "outline of p", "three"),
    "flat": (
        lambda: prism("p", "casting", "z", [(0, 0), (0.1, 0), (0.2, 0)], (0, 0.1)),
        "outline of p",
        "area",
    ),
    "no axis": (lambda: cylinder("c", "casting", "w", (0, 0), 0.04, (0, 0.1)), "axis", "'x'"),
    "tiny": (lambda: ball("b", "casting", (0, 0, 0), 1e-5), "diameter of b", "0.5 mm"),
    "negative tip": (
        lambda: cone("c", "casting", "y", (0, 0), (-0.01, 0.1), (0, 0.1)),
        "diameter of c",
        "0 or more",
    ),
    "words": (lambda: ball("b", "casting", ("a", 0, 0), 0.04), "coordinate of b", "number"),
}


@pytest.mark.parametrize("case", BAD)
def test_what_cannot_be_is_refused_with_what_can(case):
    make, parameter, allowed = BAD[case]
    with pytest.raises(InputError, match=allowed) as raised:
        make()
    assert raised.value.parameter == parameter
