"""A form of triangles: volume, shares, sections, turning, symmetry; it freezes as the built-in bodies do."""

import math
import pickle

import meshes
import numpy as np
import pytest
from shares import every

from castlab import Setup, alloy, freeze, mould
from castlab.field.bodies import ball, cylinder, moved, prism
from castlab.field.layout import Block, Layout, box
from castlab.field.mend import mended
from castlab.field.section import outlines, upright_spans
from castlab.field.shares import overlap, shares_of
from castlab.field.symmetry import planes_of

TURN = math.radians(45.0)
PLATE = [(-0.04, -0.006), (0.04, -0.006), (0.04, 0.006), (-0.04, 0.006)]
TURNED_PLATE = [
    (x * math.cos(TURN) - y * math.sin(TURN), x * math.sin(TURN) + y * math.cos(TURN)) for x, y in PLATE
]
# A body built in, the same in triangles, and its volume by its formula.
PAIRS = {
    "cylinder": (
        cylinder("c", "casting", "y", (0.0, 0.0), 0.04, (0.0, 0.05)),
        meshes.cylinder(0.04, 0.05),
        math.pi * 0.02**2 * 0.05,
    ),
    "ball": (ball("b", "casting", (0.0, 0.0, 0.0), 0.05), meshes.ball(0.05), math.pi / 6.0 * 0.05**3),
    "turned plate": (
        prism("p", "casting", "z", TURNED_PLATE, (-0.03, 0.03)),
        meshes.turned_by(meshes.cuboid((-0.04, 0.04), (-0.006, 0.006), (-0.03, 0.03)), 45.0),
        0.08 * 0.012 * 0.06,
    ),
}


def _block(triangles, name="m"):
    mesh = mended(triangles).mesh
    return Block(name, "casting", *mesh.extent, form=mesh)


def _grid_round(body, cell, shift):
    return [
        np.arange(low - (1.5 + shift) * cell, high + 3 * cell, cell)
        for low, high in zip(body.low, body.high, strict=True)
    ]


@pytest.mark.parametrize("name", PAIRS)
@pytest.mark.parametrize("shift", [0.0, 0.3, 0.77])
def test_volume_is_that_of_the_formula(name, shift):
    _, triangles, volume = PAIRS[name]
    body = _block(triangles)
    assert body.volume == pytest.approx(volume, rel=2e-4)
    for cell in (6e-3, 3e-3):
        shares = shares_of(body, _grid_round(body, cell, shift))
        assert shares.share.sum() * cell**3 == pytest.approx(volume, rel=5e-3)
        assert shares.share.min() >= 0.0 and shares.share.max() <= 1.0 + 1e-12


@pytest.mark.parametrize("name", PAIRS)
def test_area_of_the_cut_faces_is_that_of_the_built_in_body(name):
    body, triangles, _ = PAIRS[name]
    edges = _grid_round(body, 2e-3, 0.3)
    areas = []
    for each in (body, _block(triangles)):
        shares = shares_of(each, edges)
        areas.append(np.sqrt(sum((a - b) ** 2 for a, b in zip(shares.low, shares.high, strict=True))).sum())
    assert areas[1] == pytest.approx(areas[0], rel=0.015)


def test_a_box_of_triangles_is_covered_as_a_box_is():
    """Wherever its faces cut the cells: lines along the way through a face are exact."""
    straight = box("b", "casting", (0.0, 0.0521), (0.0, 0.0307), (0.0, 0.0413))
    body = _block(meshes.cuboid((0.0, 0.0521), (0.0, 0.0307), (0.0, 0.0413)))
    edges = _grid_round(straight, 4e-3, 0.3)
    mine, exact = shares_of(body, edges), shares_of(straight, edges)
    assert mine.share.sum() == pytest.approx(exact.share.sum(), rel=2e-3)
    inner = exact.share > 1.0 - 1e-9
    assert (mine.share[inner] == 1.0).all()
    assert np.abs(mine.share - exact.share).max() < 0.15  # along its edges, where two faces cut one cell


def test_flat_faces_get_grid_lines():
    body = _block(meshes.cuboid((0.0, 0.052), (0.0, 0.03), (0.0, 0.04)))
    assert [body.form.straight(axis) for axis in range(3)] == [
        pytest.approx([0.0, end]) for end in (0.052, 0.03, 0.04)
    ]


def test_thinnest_section_is_where_a_tenth_of_the_metal_is():
    """A plate 12 mm thick with a block of 40 mm on its end: 57.6 of 121.6 cm3 are 12 mm thick."""
    both = np.concatenate(
        [
            meshes.cuboid((0.0, 0.12), (-0.006, 0.006), (-0.02, 0.02)),
            meshes.cuboid((0.12, 0.16), (-0.02, 0.02), (-0.02, 0.02)),
        ]
    )
    assert _block(both).form.thin(1)[2] == pytest.approx(0.012)


def test_moved_there_and_back_and_mirrored():
    body = _block(PAIRS["turned plate"][1] + (0.01, 0.02, 0.03))
    there = moved(body, lambda point: (-point[1], point[2], point[0]))
    back = moved(there, lambda point: (point[2], -point[0], point[1]))
    assert there.volume == pytest.approx(body.volume) and back.form.key == body.form.key
    assert moved(body, lambda point: (-point[0], point[1], point[2])).volume == pytest.approx(body.volume)


def test_planes_of_symmetry_are_found_and_no_others():
    def planes(triangles):
        return planes_of(Layout((_block(triangles),), (-0.1,) * 3, (0.1,) * 3))

    assert planes(meshes.ball(0.05)) == {0: 0.0, 2: 0.0}
    assert planes(PAIRS["turned plate"][1]) == {2: 0.0}
    knob = np.concatenate(
        [
            meshes.cuboid((-0.03, 0.03), (0.0, 0.02), (-0.03, 0.03)),
            meshes.cuboid((0.01, 0.012), (0.019, 0.03), (-0.03, 0.03)),
        ]
    )
    assert planes(knob) == {2: 0.0}


def test_sections_show_the_outline():
    body = _block(meshes.cylinder(0.04, 0.05, 192))
    (points,) = outlines(body, 0.01)
    half = math.sqrt(0.02**2 - 0.01**2)
    assert max(x for x, _ in points) == pytest.approx(half, rel=1e-3)
    assert (min(y for _, y in points), max(y for _, y in points)) == pytest.approx((0.0, 0.05))
    assert upright_spans(body, 0.005, 0.01) == [pytest.approx((0.0, 0.05))]
    assert upright_spans(body, 0.019, 0.01) == []


def test_bodies_beside_each_other_touch_and_do_not_overlap():
    stone = _block(meshes.ball(0.04))
    corner = 0.02 / math.sqrt(3.0)
    assert not overlap(stone, box("feeder", "feeder", *[(corner + 2e-4, 0.05)] * 3))
    assert overlap(stone, box("feeder", "feeder", *[(corner - 2e-3, 0.05)] * 3))


def test_it_travels_between_processes_and_is_equal_there():
    mesh = mended(meshes.ball(0.04)).mesh
    assert mesh.volume > 0.0  # what was derived does not travel
    again = pickle.loads(pickle.dumps(mesh))
    assert again == mesh and hash(again) == hash(mesh) and "volume" not in vars(again)


@pytest.mark.parametrize(
    "name, metal",
    every(2, [(name, metal) for name in PAIRS for metal in ("ZA-12", "pure aluminium", "tin bronze")]),
)
def test_it_freezes_as_the_built_in_body_does(name, metal):
    body, triangles, _ = PAIRS[name]
    times = []
    for each in (body, _block(triangles)):
        layout = Layout((each,), (-0.15,) * 3, (0.15,) * 3)
        metal_of = alloy(metal)
        setup = Setup(layout, metal_of, mould("green sand"), metal_of.liquidus_c + 60.0)
        times.append(freeze(setup, cell=3e-3).last_time_s)
    assert times[1] == pytest.approx(times[0], rel=0.015)
