"""Cells against the real bodies: volumes, grid lines, roles. All expected values are geometry."""

import math

import cases
import numpy as np
import pytest

from castlab import InputError, mould
from castlab.field.bodies import prism
from castlab.field.grid import build
from castlab.field.layout import Layout, box
from castlab.field.parts import eye_plate, sheave
from castlab.field.rigging import slab


def in_sand(*blocks, flask=((0.0, 0.0, -0.06), (0.2, 0.2, 0.06))):
    return Layout(blocks, *flask)


def block_volume(grid, name):
    number = [block.name for block in grid.layout.blocks].index(name)
    return float(grid.metal_volume[grid.block == number].sum())


@pytest.mark.parametrize("cell", [3.7e-3, 2e-3, 1.3e-3])
def test_volumes_of_a_straight_part_are_those_of_the_bodies(cell):
    grid = build(eye_plate(feeder_width=0.037, feeder_height=0.0512), cell)
    expected = {
        "plate": 0.120 * 0.012 * 0.040,
        "boss": 0.040**3,
        "feeder": 0.037**2 * 0.0512,
        "gate": 0.012 * 0.004 * 0.020,
        "sprue": 0.012**2 * (0.020 + 0.0512 + 0.006),
    }
    for name, volume in expected.items():
        assert block_volume(grid, name) == pytest.approx(volume, rel=1e-9), name
    assert grid.metal_volume.sum() == pytest.approx(sum(expected.values()), rel=1e-12)


@pytest.mark.parametrize("cell", [3e-3, 2.6e-3, 2e-3])
def test_volumes_of_a_round_part_are_rings_and_the_sprue_is_no_ring(cell):
    grid = build(sheave(feeder_width=0.030, feeder_height=0.040), cell)

    def ring(inner, outer, height):
        return math.pi * (outer**2 - inner**2) * height

    expected = {
        "web": ring(0.018, 0.050, 0.008),
        "hub": ring(0.0, 0.018, 0.036),
        "rim": ring(0.050, 0.060, 0.020),
        "feeder": ring(0.0, 0.015, 0.040),
        "sprue": 0.012**2 * (0.010 + 0.018 + 0.040),
    }
    for name, volume in expected.items():
        assert block_volume(grid, name) == pytest.approx(volume, rel=0.01), name  # cells belong to one body
    whole = sum(body.volume for body in grid.layout.blocks)
    assert grid.metal_volume.sum() == pytest.approx(whole, rel=2e-4)


def test_volumes_in_three_dimensions():
    blocks = (
        box("a", "casting", (0.0, 0.05), (0.0, 0.03), (0.0, 0.02)),
        box("b", "feeder", (0.01, 0.03), (0.03, 0.0612), (0.0, 0.02)),
    )
    grid = build(Layout(blocks, (0.0,) * 3, (0.1,) * 3), 4e-3)
    assert block_volume(grid, "a") == pytest.approx(0.05 * 0.03 * 0.02, rel=1e-9)
    assert block_volume(grid, "b") == pytest.approx(0.02 * 0.0312 * 0.02, rel=1e-9)


@pytest.mark.parametrize("degrees", [0, 7, 30, 45, 83])
def test_area_of_a_slanted_bar(degrees):
    angle = math.radians(degrees)
    along, across = (
        np.array([math.cos(angle), math.sin(angle)]),
        np.array([-math.sin(angle), math.cos(angle)]),
    )
    corners = [0.1 + a * 0.04 * along + b * 0.01 * across for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    bar = prism("bar", "casting", "z", [(float(x), float(y)) for x, y in corners], (-0.015, 0.015))
    volume = build(in_sand(bar), 2e-3).metal_volume.sum()
    assert volume == pytest.approx(0.08 * 0.02 * 0.03, rel=2e-3)


def test_edges_a_tenth_of_a_cell_apart_keep_the_volume():
    """One of two near edges gets the grid line, the other cuts cells; none is lost."""
    low = slab("low", "casting", (0.05, 0.10), (0.05, 0.08), 0.04)
    high = slab("high", "casting", (0.0502, 0.0902), (0.08, 0.12), 0.04)
    grid = build(in_sand(low, high), 2e-3)
    assert grid.metal_volume.sum() == pytest.approx((0.05 * 0.03 + 0.04 * 0.04) * 0.04, rel=1e-9)


def test_overlap_of_one_role_counts_once():
    plate = slab("plate", "casting", (0.05, 0.15), (0.05, 0.07), 0.04)
    rib = slab("rib", "casting", (0.09, 0.11), (0.05, 0.12), 0.04)
    grid = build(in_sand(plate, rib), 2e-3)
    assert grid.metal_volume.sum() == pytest.approx((0.1 * 0.02 + 0.02 * 0.05) * 0.04, rel=1e-9)
    assert grid.metal.max() == 1.0


def test_grid_lines_follow_straight_edges():
    layout = eye_plate(thickness=0.0113, boss=0.0371)
    grid = build(layout, 2e-3)
    for block in layout.blocks:
        for axis in range(2):
            for edge in (block.low[axis], block.high[axis]):
                assert np.abs(grid.edges[axis] - edge).min() < 1e-12, block.name
    assert set(np.unique(grid.metal)) == {0.0, 1.0}


def test_grid_covers_the_flask_and_grows_gently():
    layout = eye_plate(feeder_width=0.04, feeder_height=0.05)
    grid = build(layout, 2e-3)
    for axis, edge in enumerate(grid.edges):
        assert edge[0] == dict(grid.planes).get(axis, layout.low[axis]) and edge[-1] == layout.high[axis]
        sizes = np.diff(edge)
        assert sizes.min() > 0.0
        # Neighbours twice as large would lose the second order of the flux between them.
        assert max((sizes[1:] / sizes[:-1]).max(), (sizes[:-1] / sizes[1:]).max()) < 2.5
    inside = [
        size for edge in grid.edges for size, at in zip(np.diff(edge), edge, strict=False) if 0 <= at < 0.018
    ]
    assert max(inside) <= 2e-3 * (1 + 1e-9)


def test_roles_on_the_cells():
    chill = slab("chill", "chill", (0.05, 0.08), (0.03, 0.05), 0.04, material=mould("steel chill"))
    core = slab("core", "core", (0.06, 0.07), (0.06, 0.07), 0.04)
    left = slab("left", "casting", (0.05, 0.06), (0.05, 0.08), 0.04)
    right = slab("right", "casting", (0.07, 0.08), (0.05, 0.08), 0.04)
    top = slab("top", "casting", (0.06, 0.07), (0.07, 0.08), 0.04)
    foot = slab("foot", "casting", (0.06, 0.07), (0.05, 0.06), 0.04)
    grid = build(in_sand(chill, core, left, right, top, foot), 2e-3)
    for role, area in (("casting", 0.03**2 - 0.01**2), ("core", 0.01**2), ("chill", 0.03 * 0.02)):
        assert grid.volume[grid.is_role(role)].sum() == pytest.approx(0.04 * area, rel=1e-9)
    assert not grid.metal[grid.is_role("core")].any()


def test_metal_that_hangs_in_the_air_is_named():
    feeder = slab("lonely feeder", "feeder", (0.05, 0.09), (0.12, 0.15), 0.04)
    body = slab("plate", "casting", (0.05, 0.09), (0.05, 0.09), 0.04)
    with pytest.raises(InputError, match="lonely feeder"):
        build(in_sand(body, feeder), 2e-3)
    beside = slab("left feeder", "feeder", (0.01, 0.03), (0.05, 0.09), 0.04)
    with pytest.raises(InputError, match="lonely feeder, left feeder"):
        build(in_sand(body, feeder, beside), 2e-3)
    # Two bodies that meet only along an edge do not hang together either.
    corner = slab("corner", "feeder", (0.09, 0.12), (0.09, 0.12), 0.04)
    with pytest.raises(InputError, match="corner"):
        build(in_sand(body, corner), 2e-3)


def test_finer_cells_keep_the_shape():
    layout = cases.block(0.04)
    coarse, fine = build(layout, 4e-3), build(layout, 2e-3)
    assert fine.metal.sum() == 8 * coarse.metal.sum()
    assert fine.metal_volume.sum() == pytest.approx(coarse.metal_volume.sum(), rel=1e-12)
