"""Cells against the real bodies: volumes, surfaces, grid lines. All expected values are geometry."""

import math

import cases
import numpy as np
import pytest

from castlab import InputError, Setup, alloy, freeze, mould, parts, shrinkage
from castlab.field.grid import build, natural_cell, sides
from castlab.field.layout import Layout, box, polygon
from castlab.field.parts import eye_plate, sheave
from castlab.rules.freezing import freezing_time_in_sand


def planar(*blocks, flask=((0.0, 0.0), (0.2, 0.2))):
    return Layout("planar", blocks, *flask)


def block_volume(grid, name):
    number = [block.name for block in grid.layout.blocks].index(name)
    return float(grid.metal_volume[grid.block == number].sum())


def surface(grid):
    """All area through which metal touches what is not metal [m2]: faces in the picture, and bare sides."""
    area = grid.bare_sides().sum()
    for axis in range(grid.metal.ndim):
        before, after = (
            np.moveaxis(grid.metal > 0.0, axis, 0)[:-1],
            np.moveaxis(grid.metal > 0.0, axis, 0)[1:],
        )
        area += np.moveaxis(grid.face_area(axis), axis, 0)[before != after].sum()
    return float(area)


@pytest.mark.parametrize("cell", [3.7e-3, 2e-3, 1.3e-3])
def test_volumes_of_a_planar_part_are_those_of_the_bodies(cell):
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


@pytest.mark.parametrize("cell", [2.6e-3, 2e-3, 1.1e-3])
def test_volumes_of_a_round_part_are_rings_and_the_sprue_is_no_ring(cell):
    grid = build(sheave(feeder_width=0.030, feeder_height=0.040), cell)

    def ring(inner, outer, height):
        return math.pi * (outer**2 - inner**2) * height

    expected = {
        "web": ring(0.018, 0.050, 0.008),
        "hub": ring(0.0, 0.018, 0.036),
        "rim": ring(0.050, 0.060, 0.020),
        "feeder": ring(0.0, 0.015, 0.040),
        "gate": 0.012 * 0.005 * 0.020,
        "sprue": 0.012**2 * (0.010 + 0.018 + 0.040),
    }
    for name, volume in expected.items():
        assert block_volume(grid, name) == pytest.approx(volume, rel=1e-9), name


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
    bar = polygon("bar", "casting", [(float(x), float(y)) for x, y in corners], depth=0.03)
    volume = build(planar(bar), 2e-3).metal_volume.sum()
    assert volume == pytest.approx(0.08 * 0.02 * 0.03, rel=2e-3)


def test_volume_of_a_ball():
    angles = np.linspace(-np.pi / 2, np.pi / 2, 61)
    outline = [(max(0.025 * math.cos(a), 0.0), 0.1 + 0.025 * math.sin(a)) for a in angles]
    grid = build(Layout("round", (polygon("ball", "casting", outline),), (0.0, 0.0), (0.1, 0.2)), 2e-3)
    assert grid.metal_volume.sum() == pytest.approx(4.0 / 3.0 * math.pi * 0.025**3, rel=5e-3)


def test_edges_a_tenth_of_a_cell_apart_keep_the_volume():
    """One of two near edges gets the grid line, the other cuts cells; none is lost."""
    low = box("low", "casting", (0.05, 0.10), (0.05, 0.08), depth=0.04)
    high = box("high", "casting", (0.0502, 0.0902), (0.08, 0.12), depth=0.04)
    grid = build(planar(low, high), 2e-3)
    assert grid.metal_volume.sum() == pytest.approx((0.05 * 0.03 + 0.04 * 0.04) * 0.04, rel=1e-9)


def test_overlap_of_one_role_counts_once():
    plate = box("plate", "casting", (0.05, 0.15), (0.05, 0.07), depth=0.04)
    rib = box("rib", "casting", (0.09, 0.11), (0.05, 0.12), depth=0.04)
    grid = build(planar(plate, rib), 2e-3)
    assert grid.metal_volume.sum() == pytest.approx((0.1 * 0.02 + 0.02 * 0.05) * 0.04, rel=1e-9)
    assert grid.metal.max() == 1.0


def test_surface_of_one_block():
    body = box("block", "casting", (0.05, 0.09), (0.05, 0.08), depth=0.02)
    assert surface(build(planar(body), 2e-3)) == pytest.approx(
        2 * (0.04 * 0.03 + 0.03 * 0.02 + 0.02 * 0.04), rel=1e-9
    )


def test_surface_of_a_deep_block_beside_a_shallow_one():
    """Two blocks, 40 and 15 mm deep, joined by the shallow one's face: real surface less twice that face."""
    thin = box("thin", "casting", (0.05, 0.09), (0.06, 0.07), depth=0.015)
    thick = box("thick", "casting", (0.09, 0.12), (0.05, 0.08), depth=0.040)

    def alone(x, y, z):
        return 2 * (x * y + y * z + z * x)

    expected = alone(0.04, 0.01, 0.015) + alone(0.03, 0.03, 0.04) - 2 * 0.01 * 0.015
    for cell in (3e-3, 1.9e-3):
        assert surface(build(planar(thin, thick), cell)) == pytest.approx(expected, rel=1e-9)


def test_metal_joins_metal_over_the_narrower_of_two_depths():
    thin = box("thin", "casting", (0.05, 0.09), (0.05, 0.08), depth=0.015)
    thick = box("thick", "casting", (0.09, 0.12), (0.05, 0.08), depth=0.040)
    sprue = box("sprue", "gate", (0.04, 0.05), (0.05, 0.08), depth=0.012)
    for layout, joint in (
        (planar(thin, thick), 0.03 * 0.015),
        (planar(thin, thick, sprue), 0.03 * 0.015),
        # A ring of 50 mm radius and a sprue 12 mm deep: they touch over 12 mm, not all the way round.
        (
            Layout(
                "round",
                (
                    box("ring", "casting", (0.03, 0.05), (0.05, 0.08)),
                    box("sprue", "gate", (0.05, 0.07), (0.05, 0.08), depth=0.012),
                ),
                (0.0, 0.0),
                (0.1, 0.15),
            ),
            0.03 * 0.012,
        ),
    ):
        grid = build(layout, 2e-3)
        at = 0.05 if layout.kind == "round" else 0.09
        face = int(np.abs(grid.edges[0] - at).argmin()) - 1
        metal = (grid.metal[face] > 0.0) & (grid.metal[face + 1] > 0.0)
        assert grid.face_area(0)[face][metal].sum() == pytest.approx(joint, rel=1e-9)


def test_surface_of_a_cylinder_and_of_a_ring():
    for inner in (0.0, 0.02):
        body = box("body", "casting", (inner, 0.04), (0.05, 0.08))
        grid = build(Layout("round", (body,), (0.0, 0.0), (0.1, 0.15)), 2e-3)
        expected = 2 * math.pi * (0.04**2 - inner**2) + 2 * math.pi * (0.04 + inner) * 0.03
        assert surface(grid) == pytest.approx(expected, rel=1e-9)


def test_surface_of_a_block_in_three_dimensions_has_no_bare_sides():
    body = box("body", "casting", (0.03, 0.06), (0.03, 0.07), (0.03, 0.05))
    grid = build(Layout((body,), (0.0,) * 3, (0.1,) * 3), 4e-3)
    assert not grid.bare_sides().any()
    assert surface(grid) == pytest.approx(2 * (0.03 * 0.04 + 0.04 * 0.02 + 0.02 * 0.03), rel=1e-9)


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
        assert edge[0] == layout.low[axis] and edge[-1] == layout.high[axis]
        sizes = np.diff(edge)
        assert sizes.min() > 0.0
        # Neighbours twice as large would lose the second order of the flux between them.
        assert max((sizes[1:] / sizes[:-1]).max(), (sizes[:-1] / sizes[1:]).max()) < 2.5
    inside = [
        size for edge in grid.edges for size, at in zip(np.diff(edge), edge, strict=False) if 0 <= at < 0.018
    ]
    assert max(inside) <= 2e-3 * (1 + 1e-9)


def test_roles_on_the_cells():
    chill = box("chill", "chill", (0.05, 0.08), (0.03, 0.05), depth=0.04, material=mould("steel chill"))
    core = box("core", "core", (0.06, 0.07), (0.06, 0.07), depth=0.04)
    left = box("left", "casting", (0.05, 0.06), (0.05, 0.08), depth=0.04)
    right = box("right", "casting", (0.07, 0.08), (0.05, 0.08), depth=0.04)
    top = box("top", "casting", (0.06, 0.07), (0.07, 0.08), depth=0.04)
    foot = box("foot", "casting", (0.06, 0.07), (0.05, 0.06), depth=0.04)
    grid = build(planar(chill, core, left, right, top, foot), 2e-3)
    cell_areas = grid.sizes[0] * grid.sizes[1]
    for role, area in (("casting", 0.03**2 - 0.01**2), ("core", 0.01**2), ("chill", 0.03 * 0.02)):
        assert cell_areas[grid.is_role(role)].sum() == pytest.approx(area, rel=1e-9)
    assert not grid.metal[grid.is_role("core")].any()


def test_natural_cell_is_three_across_the_thinnest_section_of_casting_or_feeder():
    layout = eye_plate(thickness=0.0045, gate_thickness=0.001)
    assert natural_cell(layout, 2e-3) == pytest.approx(0.0015)
    build(layout, natural_cell(layout, 2e-3))
    assert natural_cell(eye_plate(), 2e-3) == 2e-3


@pytest.mark.parametrize("thickness_mm", [4.0, 5.0, 8.0, 11.3, 12.5])
def test_the_cell_that_the_refusal_advises_is_accepted(thickness_mm):
    layout = eye_plate(thickness=thickness_mm * 1e-3)
    with pytest.raises(InputError, match="across and needs at least 3 cells") as raised:
        build(layout, thickness_mm * 1e-3 / 2.9)
    advised_mm = float(str(raised.value.allowed).split("take ")[1].split(" mm")[0])
    build(layout, advised_mm * 1e-3)


def test_a_wedge_counts_as_high_as_it_is_in_its_middle():
    """100 mm long and 20 mm high at its end: 10 mm in the middle."""
    wedge = polygon("wedge", "casting", [(0.05, 0.05), (0.15, 0.05), (0.15, 0.07)], depth=0.03)
    assert natural_cell(planar(wedge), 5e-3) == pytest.approx(0.010 / 3)


def test_a_core_makes_walls_of_the_body_that_it_lies_in_and_of_no_other():
    """The lid begins half a millimetre left of the core, which lies 10 mm below it."""
    body = box("body", "casting", (0.05, 0.09), (0.05, 0.09), depth=0.04)
    core = box("core", "core", (0.06, 0.08), (0.06, 0.08), depth=0.04)
    lid = box("lid", "casting", (0.0595, 0.12), (0.09, 0.12), depth=0.04)
    assert natural_cell(planar(body, core, lid), 5e-3) == pytest.approx(0.010 / 3)  # walls of 10 mm
    assert natural_cell(planar(body, core), 5e-3) == pytest.approx(0.010 / 3)


@pytest.mark.parametrize("thickness_mm, advised", [(12.0, "4"), (8.0, "2.66"), (5.0, "1.66")])
def test_the_advised_cell_is_a_third_of_the_section_in_hundredths_of_a_millimetre(thickness_mm, advised):
    with pytest.raises(InputError, match=f"take {advised} mm or less"):
        build(eye_plate(thickness=thickness_mm * 1e-3), thickness_mm * 1e-3 / 2.9)


def test_metal_that_hangs_in_the_air_is_named():
    feeder = box("lonely feeder", "feeder", (0.05, 0.09), (0.12, 0.15), depth=0.04)
    body = box("plate", "casting", (0.05, 0.09), (0.05, 0.09), depth=0.04)
    with pytest.raises(InputError, match="lonely feeder"):
        build(planar(body, feeder), 2e-3)
    beside = box("left feeder", "feeder", (0.01, 0.03), (0.05, 0.09), depth=0.04)
    with pytest.raises(InputError, match="left feeder, lonely feeder"):
        build(planar(body, feeder, beside), 2e-3)
    # Two bodies that meet only along an edge do not hang together either.
    corner = box("corner", "feeder", (0.09, 0.12), (0.09, 0.12), depth=0.04)
    with pytest.raises(InputError, match="corner"):
        build(planar(body, corner), 2e-3)


def test_finer_cells_keep_the_shape():
    layout = cases.slice_of_block(0.04)
    coarse, fine = build(layout, 4e-3), build(layout, 2e-3)
    assert fine.metal.sum() == 4 * coarse.metal.sum()
    assert fine.metal_volume.sum() == pytest.approx(coarse.metal_volume.sum(), rel=1e-12)


def test_a_sprue_beside_a_ring_of_sand_freezes_the_same_on_finer_cells():
    """It is narrow, and the sand beside it in a round picture a whole ring, which it can never warm.

    By hand (castlab.rules) a long bar 12 mm square, with V/A = 3 mm, takes 38 s. The sprue has an open top as
    well, and each of its four sides counts what two edges add as a slice does, which is rather too much.
    """
    setup = Setup(parts.sheave(), alloy("tin bronze"), mould("green sand"), 1100.0)
    coarse, fine = (shrinkage(freeze(setup, cell)).froze_s for cell in (2e-3, 1e-3))
    assert coarse["sprue"] == pytest.approx(fine["sprue"], rel=0.03)
    assert coarse["hub"] == pytest.approx(fine["hub"], rel=0.03)
    by_hand = freezing_time_in_sand(0.003, setup.alloy, setup.mould, 1100.0, "square bar")
    assert 0.6 * by_hand < fine["sprue"] < by_hand


@pytest.mark.parametrize("inside", [True, False])
def test_a_stub_in_a_round_picture_loses_heat_through_its_own_faces_and_not_into_the_ring_of_sand(inside):
    """20 mm long, 30 mm high, 12 mm deep, one end against a ring: two flat sides, top, foot and free end."""
    ring = box("ring", "casting", *(((0.06, 0.08), (0.04, 0.09)) if inside else ((0.02, 0.04), (0.04, 0.09))))
    stub = box("stub", "gate", (0.04, 0.06), (0.05, 0.08), depth=0.012)
    grid = build(Layout("round", (ring, stub), (0.0, 0.0), (0.12, 0.15)), 2e-3)
    here = grid.block == 1
    own = 2 * 0.020 * 0.030 + 2 * 0.020 * 0.012 + 0.030 * 0.012
    assert grid.bare_sides()[here].sum() == pytest.approx(own)
    for axis in range(2):
        (before, after), (sand_before, sand_after) = sides(here, axis), sides(grid.metal == 0.0, axis)
        assert not grid.face_area(axis)[(before & sand_after) | (after & sand_before)].any()


def test_the_ring_beside_a_stub_loses_heat_where_the_stub_does_not_cover_it():
    """Over 30 mm of height its outer cells (middle at 39 mm) lose heat but for the stub's 12 mm of depth."""
    ring = box("ring", "casting", (0.02, 0.04), (0.04, 0.09))
    stub = box("stub", "gate", (0.04, 0.06), (0.05, 0.08), depth=0.012)
    grid = build(Layout("round", (ring, stub), (0.0, 0.0), (0.12, 0.15)), 2e-3)
    lost = grid.bare_sides()[grid.block == 0].sum()
    assert lost == pytest.approx((2 * math.pi * 0.039 - 0.012) * 0.030)
