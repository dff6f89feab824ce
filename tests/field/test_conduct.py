"""Solids: freezing times against values without cells, energy, edges, cut cells, thin necks.

Where an expected value was computed, another solver computed it; its source stands beside it.
"""

import importlib
import math

import cases
import numpy as np
import pytest
from shares import mostly_slow

from castlab import Setup, alloy, mould
from castlab.field.bodies import ball, cone, cylinder, prism
from castlab.field.freeze import QUICK, freeze, freezing
from castlab.field.grid import build
from castlab.field.layout import Layout, box
from castlab.field.parts import PARTS, layout_of
from castlab.field.shrinkage import shrinkage

conduct = importlib.import_module("castlab.field.conduct")
on_a_ray = importlib.import_module("test_freeze")._on_a_ray
field = importlib.import_module("castlab.field.freeze")


def in_sand(*bodies, sand=60e-3):
    low, high = (
        tuple(pick(getattr(body, end)[axis] for body in bodies) for axis in range(3))
        for pick, end in ((min, "low"), (max, "high"))
    )
    return Layout(bodies, tuple(each - sand for each in low), tuple(each + sand for each in high))


def pour(layout, cell, pace=1.0, metal=cases.REFERENCE_METAL):
    return freeze(Setup(layout, metal, cases.REFERENCE_SAND, cases.REFERENCE_POUR_C), cell, pace)


# Blocks of 40 x 40 mm and a depth, last metal solid: by the plainest explicit solver on three even grids,
# without cells (tests/benchmark/blocks.py prints them).
BLOCKS = {20e-3: 91.11, 40e-3: 157.63, 80e-3: 231.75}


@pytest.mark.parametrize("depth", BLOCKS)
@pytest.mark.parametrize("cell, pace", [(6e-3, QUICK), (4e-3, 1.0), (2.5e-3, 1.0)])
def test_blocks_freeze_when_they_do_without_cells(depth, cell, pace):
    block = box("block", "casting", (-20e-3, 20e-3), (-20e-3, 20e-3), (-depth / 2, depth / 2))
    run = pour(in_sand(block), cell, pace)
    assert run.last_time_s == pytest.approx(BLOCKS[depth], rel=0.02)
    assert np.abs(run.last_place).max() < 0.75 * cell


@pytest.mark.parametrize("cell, pace, within", mostly_slow(
    [(6e-3, QUICK, 0.04), (3e-3, 1.0, 0.015), (2e-3, 1.0, 0.015)],
    quick=[(6e-3, QUICK, 0.04), (3e-3, 1.0, 0.015)],
))
def test_a_ball_freezes_when_a_library_integrator_says(cell, pace, within):
    run = pour(in_sand(ball("ball", "casting", (0.0, 0.0, 0.0), 50e-3)), cell, pace)
    assert run.last_time_s == pytest.approx(on_a_ray(2, 25e-3), rel=within)


@pytest.mark.parametrize("cell, pace, within", mostly_slow(
    [(6e-3, QUICK, 0.04), (2e-3, 1.0, 0.015)], quick=[(6e-3, QUICK, 0.04)],
))
def test_a_cone_freezes_as_on_another_kind_of_grid(cell, pace, within):
    """218.1 s: a plain explicit solver in radius and height, cells 0.75 to 2 mm (tests/benchmark/cone.py)."""
    body = cone("cone", "casting", "y", (0.0, 0.0), (30e-3, 60e-3), (-30e-3, 30e-3))
    assert pour(in_sand(body), cell, pace).last_time_s == pytest.approx(218.1, rel=within)


@pytest.mark.parametrize("degrees", mostly_slow([0, 10, 30, 45], quick=[0, 45]))
def test_a_plate_freezes_the_same_however_it_lies(degrees):
    """A plate 14 mm thick, 3.5 cells across, as long as its flask; the measure is straight, on 1 mm."""

    def plate(angle, cell):
        cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        corners = [
            (x * cos - y * sin, x * sin + y * cos)
            for x, y in ((-50e-3, -7e-3), (50e-3, -7e-3), (50e-3, 7e-3), (-50e-3, 7e-3))
        ]
        body = prism("plate", "casting", "z", corners, (-6e-3, 6e-3))
        return pour(Layout((body,), (-0.12, -0.12, -6e-3), (0.12, 0.12, 6e-3)), cell).last_time_s

    assert plate(degrees, 4e-3) == pytest.approx(plate(0, 1e-3), rel=0.03)


def test_ball_inside_cylinder_inside_cube():
    """All three are 40 mm across and have V/A = 40 mm / 6: each must freeze before the next."""
    round_bar = cylinder("bar", "casting", "y", (0.0, 0.0), 40e-3, (-20e-3, 20e-3))
    between = pour(in_sand(round_bar), 2.5e-3).last_time_s
    assert 1.05 * on_a_ray(2, 20e-3) < between < 0.98 * BLOCKS[40e-3]


@pytest.mark.slow
def test_a_long_cylinder_converges_to_a_library_integrator():
    body = cylinder("bar", "casting", "z", (0.0, 0.0), 40e-3, (-6e-3, 6e-3))
    layout = Layout((body,), (-0.1, -0.1, -6e-3), (0.1, 0.1, 6e-3))
    off = [abs(pour(layout, cell).last_time_s / on_a_ray(1, 20e-3) - 1.0) for cell in (4e-3, 2e-3, 1e-3)]
    assert off[0] < 0.045 and off[1] < 0.025 and off[2] < 0.01 and off == sorted(off, reverse=True)


@pytest.mark.parametrize("part", mostly_slow(PARTS, quick=["eye plate"]))
def test_a_quick_look_at_each_part_and_its_answer_agree(part):
    metal = alloy("ZA-12")
    layout = layout_of(part, feeder_width=0.03, feeder_height=0.06)
    setup = Setup(layout, metal, mould("green sand"), 475.0)
    look, answer = freeze(setup, 6e-3, QUICK), freeze(setup, 4e-3)
    assert look.last_time_s == pytest.approx(answer.last_time_s, rel=0.04)
    metal_m3 = sum(body.volume for body in layout.blocks if body.is_metal)
    for run in (look, answer):
        assert run.energy_error < 1e-10
        assert run.grid.metal_volume.sum() == pytest.approx(metal_m3, rel=1e-3)
        account = shrinkage(run)
        assert sum(account.paid_m3.values()) == pytest.approx(account.asked_m3, rel=1e-9)


def test_energy_is_kept_with_chill_core_sleeve_and_open_top():
    setup = Setup(
        layout_of(
            "bollard cap",
            core=8e-3,
            feeder_width=0.03,
            feeder_height=0.05,
            sleeve_thickness=6e-3,
            chill_thickness=0.01,
        ),
        alloy("tin bronze"),
        mould("green sand"),
        1120.0,
    )
    run = freeze(setup, 5e-3)
    assert run.energy_error < 1e-10
    assert np.all(run.solid[-1] == 1.0) and np.all(run.solid[0] == 0.0)


@pytest.mark.slow
def test_far_mould_in_blocks_hardly_changes_the_time(monkeypatch):
    layout = layout_of("eye plate", feeder_width=0.03, feeder_height=0.06)
    setup = Setup(layout, alloy("ZA-12"), mould("green sand"), 475.0)
    merged = freeze(setup, 4e-3)
    monkeypatch.setattr(conduct, "blocks_of", lambda grid, near: far_mould.blocks_of(grid, 1e9))
    assert merged.last_time_s == pytest.approx(freeze(setup, 4e-3).last_time_s, rel=5e-3)


far_mould = importlib.import_module("castlab.field.far_mould")


def test_blocks_of_far_mould_are_mould_and_fill_the_grid():
    grid = build(layout_of("sheave", chill_thickness=0.01), 5e-3)
    block, length, _ = far_mould.blocks_of(grid, 1.5)
    whole = np.bincount(block.ravel(), weights=(grid.volume / grid.images).ravel())
    assert whole == pytest.approx(length.prod(axis=0), rel=1e-9)
    several = np.bincount(block.ravel()) > 1
    assert several.any() and several.sum() < len(several)
    assert np.all(grid.block[several[block]] == -1) and np.all(grid.metal[several[block]] == 0.0)


def _work(setup, cell):
    """Parts times stages of a run: what it costs on any machine."""
    done = []
    with pytest.MonkeyPatch.context() as patched:
        for name in ("lively_rate", "calm_rate"):
            def counted(case, state, rate=getattr(conduct.SolidCase, name)):
                done.append(len(state))
                return rate(case, state)

            patched.setattr(conduct.SolidCase, name, counted)
        freeze(setup, cell)
    return sum(done)


def test_calm_flows_in_few_stages_say_what_all_flows_in_many_say(monkeypatch):
    setup = Setup(layout_of("cleat"), alloy("tin bronze"), mould("investment"), 1130.0)
    apart, work = freeze(setup, 5e-3), _work(setup, 5e-3)
    monkeypatch.setattr(conduct, "CALM", 0.0)
    together = freeze(setup, 5e-3)
    assert apart.last_time_s == pytest.approx(together.last_time_s, rel=1e-3)
    assert np.nanmedian(np.abs(apart.freeze_time_s / together.freeze_time_s - 1.0)) < 1e-3
    assert work < 0.5 * _work(setup, 5e-3)


@pytest.mark.slow
def test_a_thin_neck_costs_little_more_than_a_thick_one():
    thick, thin = (
        _work(
            Setup(
                layout_of("eye plate", feeder_width=0.034, feeder_height=0.06, neck_width=neck),
                alloy("ZA-12"),
                mould("green sand"),
                475.0,
            ),
            5e-3,
        )
        for neck in (10e-3, 2e-3)
    )
    assert thin < 5.0 * thick


def test_the_march_gives_way_and_can_be_dropped():
    setup = Setup(layout_of("cleat"), alloy("ZA-12"), mould("green sand"), 475.0)
    march = freezing(setup, 6e-3, QUICK)
    first = next(march)
    assert 0.0 <= first < 0.5
    march.close()
    march, shares = freezing(setup, 6e-3, QUICK), []
    with pytest.raises(StopIteration) as done:
        while True:
            shares.append(next(march))
    assert len(shares) >= 8 and shares == sorted(shares)
    assert np.array_equal(
        done.value.value.freeze_time_s, freeze(setup, 6e-3, QUICK).freeze_time_s, equal_nan=True
    )


def test_a_cylinder_in_a_die_with_a_weak_interface_cools_as_a_whole():
    """t = rho V / (h A) [c ln(dT1 / dT2) + L / dT2]: so low an h that the body is even in temperature.

    The area of the interface in cut cells must be the true one, not that of a staircase (27 % more).
    """
    metal, h, wall = cases.pure_metal(400.0), 2.0, 100.0
    radius, height = 20e-3, 40e-3
    area, volume = 2 * math.pi * radius * (height + radius), math.pi * radius**2 * height
    superheat = 450.0 * math.log((450.0 - wall) / (400.0 - wall))
    expected = 6000.0 * volume / (h * area) * (superheat + 110e3 / (400.0 - wall))
    body = cylinder("bar", "casting", "x", (0.0, 0.0), 2 * radius, (-height / 2, height / 2))
    run = freeze(Setup(in_sand(body), metal, cases.fixed_wall(wall, h), 450.0), 4e-3)
    assert run.last_time_s == pytest.approx(expected, rel=0.02)
