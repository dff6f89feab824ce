"""What a solved casting says of itself: its times, and where its picture points."""

import math

import numpy as np
import pytest

from castlab import Setup, alloy, mould, parts
from castlab.field.outcome import COARSE
from castlab.teach.bench.casting import KEPT, cell_at, solve_casting, time_and_cell
from castlab.units import METRIC


def poured(layout, metal="ZA-12"):
    return Setup(layout, alloy(metal), mould("green sand"), alloy(metal).pour_range_c[0])


def share_at(casting, place, values):
    """The value of the cell that a place lies in."""
    return values[cell_at(casting.run.grid, place)]


@pytest.mark.parametrize("layout", [
    parts.eye_plate(feeder_width=0.04, feeder_height=0.03), parts.eye_plate(feeder_width=0.05),
    parts.sheave(feeder_width=0.03, feeder_height=0.03), parts.eye_plate(),
])
def test_the_mark_of_the_last_metal_lies_in_metal(layout):
    """A pipe takes the metal that would have frozen last; the mark then stands at its edge in that body."""
    casting = solve_casting(poured(layout), COARSE)
    mark, last, grid = casting.section.last_place, casting.run.last_place, casting.run.grid
    assert share_at(casting, mark, casting.account.void) < KEPT
    assert share_at(casting, mark, grid.block) == share_at(casting, last, grid.block)
    if share_at(casting, last, casting.account.void) < KEPT:
        assert mark == pytest.approx(last)
    label = next(each for each in casting.labels(METRIC) if each.text.startswith("last"))
    assert math.dist(label.place, mark) == 0.0


def test_the_middles_are_said_in_the_unit_of_the_last_metal_and_none_is_later():
    casting = solve_casting(poured(parts.eye_plate(boss=0.08, boss_depth=0.08, thickness=0.02), "tin bronze"))
    words = dict(casting.numbers(METRIC))
    last = words["last metal solid"].split(" (")[0]
    middles = [text for name, text in words.items() if name.startswith("middle of the")]
    assert last.endswith(" min") and len(middles) == 2 and all(text.endswith(" min") for text in middles)
    assert all(float(text.split()[0]) <= float(last.split()[0]) for text in middles)


def test_the_cell_where_the_last_metal_was_is_read_off_the_grid():
    """In a boss of 40 mm beside a plate of 3 mm: only the rows of cells in the plate are finer than 6 mm."""
    layout = parts.eye_plate(thickness=0.003, gate_thickness=0.002)
    look = solve_casting(poured(layout), COARSE)
    sizes = [np.diff(edge)[(edge[:-1] < at) & (at < edge[1:])][0]
             for edge, at in zip(look.run.grid.edges, look.run.last_place, strict=True)]
    assert time_and_cell(look.run) == (look.run.last_time_s, pytest.approx(math.prod(sizes) ** (1 / 3)))
    assert 4e-3 < sizes[0] <= 6e-3 and min(np.diff(look.run.grid.edges[1])) == pytest.approx(1.5e-3)
