"""The holes of an account: connected pieces, and all of one kind in one block together."""

from types import SimpleNamespace

import numpy as np
import pytest

from castlab.field.design import design
from castlab.field.grid import build
from castlab.field.holes import DEFECTS, holes_of, pieces_of
from castlab.field.layout import Layout
from castlab.field.outcome import COARSE, pour
from castlab.field.rigging import slab
from castlab.field.shrinkage import Shrinkage
from castlab.materials import alloy, mould

PLAIN = design("eye plate", alloy("ZA-12"), mould("green sand"), 472.0)


def test_places_name_block_volume_and_a_spot_inside_it():
    account = pour(PLAIN, COARSE)
    assert account.places and account.places[0].block == "boss"
    boss = PLAIN.setup().layout.block("boss")
    for place in account.places:
        assert place.kind in DEFECTS and place.volume_m3 > 0.0
        assert 0.0 < place.frozen_s <= account.run.last_time_s
    first = account.places[0].centre
    assert all(low < spot < high for low, spot, high in zip(boss.low, first, boss.high, strict=True))
    volumes = [place.volume_m3 for place in account.places]
    assert volumes == sorted(volumes, reverse=True) and sum(volumes) <= account.defect_m3 * (1 + 1e-9)


def test_cells_that_touch_by_a_corner_are_one_place_and_a_fiftieth_of_all_holes_is_the_least():
    body = slab("column", "casting", (0.04, 0.06), (0.0, 0.04), 0.02)
    grid = build(Layout((body,), (0.0, -0.2, -0.05), (0.2, 0.2, 0.05)), 4e-3)
    x, y, z = (int(abs(centre - at).argmin())
               for centre, at in zip(grid.centres, (0.042, 0.002, 0.0), strict=True))
    holes = {kind: np.zeros(grid.shape) for kind in DEFECTS}
    for kind, at, share in (("sink", (0, 9), 20), ("sink", (1, 8), 10), ("sink", (4, 2), 1.9),
                            ("cavity", (3, 5), 66), ("cavity", (0, 0), 2.1)):
        holes[kind][x + at[0], y + at[1], z] = 1e-9 * share
    times = np.arange(grid.metal.size, dtype=float).reshape(grid.shape)
    run = SimpleNamespace(grid=grid, freeze_time_s=times)
    account = SimpleNamespace(run=run, void_of=holes, defect_m3=1e-7, casting_m3=1.6e-5)
    found = Shrinkage.places.func(account)
    volumes = [("cavity", 6.6e-8), ("sink", 3e-8), ("cavity", 2.1e-9)]
    assert [(place.kind, pytest.approx(place.volume_m3)) for place in found] == volumes
    assert found[1].centre == pytest.approx((0.042 + 0.004 / 3, 0.038 - 0.004 / 3, 0.0))
    assert found[1].frozen_s == run.freeze_time_s[x + 1, y + 8, z] and found[1].block == "column"


def test_how_deep_a_hollow_is_and_what_it_takes_of_the_section():
    """8 x 8 mm and a third of its depth gone from a column of 20 x 20 mm: a level section has lost most."""
    body = slab("column", "casting", (0.04, 0.06), (0.0, 0.04), 0.02)
    grid = build(Layout((body,), (0.0, -0.2, -0.05), (0.2, 0.2, 0.05)), 4e-3)
    x, y, z = np.meshgrid(*grid.centres, indexing="ij")
    gone = (abs(x - 0.048) < 4e-3) & (abs(y - 0.020) < 4e-3) & (abs(z) < 4e-3)
    holes = np.where(gone, grid.metal_volume, 0.0)
    run = SimpleNamespace(grid=grid, freeze_time_s=np.ones(grid.shape))
    (place,) = pieces_of(run, {"cavity": holes, "sink": 0.25 * holes}, 2e-7)
    assert place.volume_m3 == pytest.approx(8e-3**2 * 20e-3 / 3) and place.depth_m == pytest.approx(8e-3)
    assert place.section_share == pytest.approx(8 / 20 / 3)
    cavity, sink = pieces_of(run, {"cavity": holes, "sink": 0.25 * holes}, 0.0)
    assert sink.section_share == pytest.approx(8 / 20 / 3 / 4)
    assert sink.depth_m == pytest.approx(4e-3)  # a quarter gone is half of a hollow
    assert (cavity.harm, sink.harm) == (pytest.approx(8**2 * 20 / 3 / 50), 0.0)  # by its volume, mm3


def test_the_pieces_of_a_hole_are_all_that_there_are_of_its_kind_in_its_block():
    """Of a real casting with holes of several kinds in several blocks."""
    account = pour(design("bracket", alloy("A356"), mould("green sand"), 690.0), COARSE)
    assert len({(each.kind, each.block) for each in account.places}) == len(account.holes) > 1
    assert holes_of(account.places) == account.holes
    assert {piece for each in account.holes for piece in each.pieces} == set(account.places)
    volumes = [each.volume_m3 for each in account.holes]
    assert volumes == sorted(volumes, reverse=True) and sum(volumes) == pytest.approx(
        sum(each.volume_m3 for each in account.places))
