"""Planes of symmetry: found from the bodies, and half of a casting stands for the whole."""

import importlib

import numpy as np
import pytest
from shares import mostly_slow

from castlab import Setup, alloy, mould
from castlab.field import grid
from castlab.field.bodies import ball, cylinder, moved
from castlab.field.far_mould import blocks_of
from castlab.field.freeze import freeze
from castlab.field.layout import Layout, box
from castlab.field.parts import PARTS, layout_of
from castlab.field.shrinkage import shrinkage
from castlab.field.symmetry import planes_of

conduct = importlib.import_module("castlab.field.conduct")
FED = {"feeder_width": 0.026, "feeder_height": 0.06, "feeder_top": "blind"}
SAND = mould("green sand")


def flask(*blocks, up="+y", off=0.0):
    return Layout(blocks, (-0.1, -0.1, -0.1 - off), (0.1, 0.1, 0.1), up)


@pytest.mark.parametrize("part", PARTS)
def test_all_parts_are_alike_in_front_and_behind(part):
    assert planes_of(layout_of(part, **FED)) == {2: 0.0}


def test_roles_materials_and_the_flask_count():
    plate = box("plate", "casting", (-0.06, 0.06), (0.0, 0.02), (-0.03, 0.03))
    assert planes_of(flask(plate)) == {0: 0.0, 2: 0.0}
    assert planes_of(flask(plate, up="+z")) == {0: 0.0}  # and not the level one, though y is not alike
    assert planes_of(flask(plate, off=0.01)) == {0: 0.0}
    left, right = (
        box(
            side,
            "chill",
            sorted((sign * 0.02, sign * 0.06)),
            (-0.01, 0.0),
            (-0.03, 0.03),
            material=mould(made),
        )
        for side, sign, made in (("left", -1, "steel chill"), ("right", 1, "copper chill"))
    )
    assert planes_of(flask(plate, left, right)) == {2: 0.0}
    assert planes_of(flask(plate, ball("feeder", "feeder", (0.0, 0.04, 0.0), 0.04))) == {0: 0.0, 2: 0.0}
    assert planes_of(flask(plate, cylinder("gate", "gate", "x", (0.01, 0.0), 0.01, (0.06, 0.08)))) == {2: 0.0}


def turned(layout, move, up):
    ends = [move(layout.low), move(layout.high)]
    low, high = (tuple(map(pick, zip(*ends, strict=True))) for pick in (min, max))
    return Layout(tuple(moved(body, move) for body in layout.blocks), low, high, up, layout.title)


def solve(layout, name="ZA-12"):
    metal = alloy(name)
    run = freeze(Setup(layout, metal, SAND, metal.pour_range_c[0]), 7e-3)
    return run, shrinkage(run)


@pytest.mark.parametrize("part", mostly_slow(["eye plate", "sheave"], quick=["eye plate"]))
def test_mirror_images_and_turned_gravity_agree_exactly(part):
    layout = layout_of(part, **FED)
    run, account = solve(layout)
    for move, up, back in (
        (lambda p: (-p[0], p[1], p[2]), "+y", lambda times: times[::-1]),
        (lambda p: (p[1], -p[0], p[2]), "+x", lambda times: np.swapaxes(times, 0, 1)[::-1]),
        (lambda p: (p[0], -p[1], p[2]), "-y", lambda times: times[:, ::-1]),
        (lambda p: (p[2], p[0], p[1]), "+z", lambda times: np.moveaxis(times, (1, 2, 0), (0, 1, 2))),
    ):
        other, its = solve(turned(layout, move, up))
        assert back(other.freeze_time_s) == pytest.approx(run.freeze_time_s, rel=1e-9, nan_ok=True)
        for kind, volume in account.paid_m3.items():
            assert its.paid_m3[kind] == pytest.approx(volume, abs=1e-9 * account.asked_m3)


@pytest.mark.parametrize("name", mostly_slow(["carbon steel", "tin bronze"], quick=["carbon steel"]))
def test_the_pores_of_a_long_plate_do_not_know_left_from_right(name):
    layout = layout_of("eye plate", length=0.4, thickness=0.02, feeder_width=0.05, feeder_height=0.07)
    (_, account), (_, its) = (solve(each, name) for each in (layout, turned(layout, turn_over, "+x")))
    assert account.paid_m3["sponge"] > 1e-3 * account.asked_m3
    for kind, volume in account.paid_m3.items():
        assert its.paid_m3[kind] == pytest.approx(volume, abs=1e-9 * account.asked_m3)


def turn_over(place):
    return place[1], -place[0], place[2]


def test_a_half_counts_as_the_whole(monkeypatch):
    """The same lines with and without the plane; all mould in single cells, for which are merged depends on
    where the grid begins. Faces on the plane shorten the stable step, so that steps have other stages."""
    monkeypatch.setattr(conduct, "blocks_of", lambda cut, near: blocks_of(cut, 1e9))
    layout = layout_of("cleat", **FED)
    half, account = solve(layout, "tin bronze")

    def lines(layout, cell, look, planes):
        x, y, z = grid_lines(layout, cell, look, {2: 0.0})
        return x, y, np.concatenate([-z[::-1], z[1:]])

    grid_lines = grid.lines_of
    monkeypatch.setattr(grid, "lines_of", lines)
    monkeypatch.setattr(grid, "planes_of", lambda layout: {})
    whole, its = solve(layout, "tin bronze")
    assert whole.grid.metal.size == 2 * half.grid.metal.size
    front = whole.freeze_time_s[:, :, half.grid.shape[2] :]
    assert np.nanmedian(np.abs(front / half.freeze_time_s - 1.0)) < 1e-5
    assert whole.last_time_s == pytest.approx(half.last_time_s, rel=1e-4)
    assert whole.grid.metal_volume.sum() == pytest.approx(half.grid.metal_volume.sum(), rel=1e-12)
    assert its.casting_m3 == pytest.approx(account.casting_m3, rel=1e-12)
    for kind, volume in account.paid_m3.items():
        assert its.paid_m3[kind] == pytest.approx(volume, abs=1e-3 * account.asked_m3)
    assert half.energy_error < 1e-10 and whole.energy_error < 1e-10


def test_a_quarter_of_a_block_freezes_like_its_half():
    block = box("block", "casting", (-0.02, 0.02), (-0.02, 0.02), (-0.02, 0.02))
    both = freeze(Setup(flask(block), alloy("ZA-12"), SAND, 460.0), 4e-3)
    one = freeze(Setup(flask(block, off=0.02), alloy("ZA-12"), SAND, 460.0), 4e-3)
    assert [axis for axis, _ in both.grid.planes] == [0, 2] and [axis for axis, _ in one.grid.planes] == [0]
    assert both.grid.metal_volume.sum() == pytest.approx(0.04**3, rel=1e-12)
    assert both.last_time_s == pytest.approx(one.last_time_s, rel=2e-3)
