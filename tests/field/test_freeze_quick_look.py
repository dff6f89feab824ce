"""A quick look, while a slider moves, against the steps of an answer."""

import importlib

import numpy as np
import pytest

from castlab import InputError, Setup, alloy, mould, parts
from castlab.field.grid import build, natural_cell
from castlab.field.layout import Layout, box

freeze = importlib.import_module("castlab.field.freeze")


@pytest.mark.parametrize("name", ["ZA-12", "tin bronze", "pure zinc"])
def test_a_quick_look_says_the_same_within_one_per_cent(name):
    """Against the steps of an answer, which the grid-free times above hold to."""
    metal = alloy(name)
    setup = Setup(parts.eye_plate(), metal, mould("green sand"), metal.pour_range_c[0])
    exact, quick = (freeze.freeze(setup, 4e-3, pace) for pace in (1.0, freeze.QUICK))
    assert quick.last_time_s == pytest.approx(exact.last_time_s, rel=0.01)
    assert len(quick.times_s) < 0.5 * len(exact.times_s)
    with pytest.raises(InputError, match="pace"):
        freeze.freeze(setup, 4e-3, 0.5)


def bracket(rib):
    metal = alloy("A356")
    return Setup(parts.bracket(rib=rib), metal, mould("green sand"), metal.pour_range_c[0])


def test_only_the_thin_section_of_a_look_gets_finer_cells():
    """A rib 4 mm thick and 14 mm of wall on cells of 4 mm: two lie in the rib, the wall keeps its own."""
    layout = bracket(4e-3).layout
    grid = build(layout, 4e-3, look=True)
    for name, count in (("rib", 2), ("wall", 4)):
        body = layout.block(name)
        inside = (grid.edges[0] > body.low[0] + 1e-9) & (grid.edges[0] < body.high[0] - 1e-9)
        assert inside.sum() + 1 == count, name
    with pytest.raises(InputError, match="at least 3 cells"):
        build(layout, 4e-3)


def test_sand_beside_a_thin_section_begins_as_fine_as_it():
    plate = box("plate", "casting", (0.05, 0.15), (0.05, 0.055), depth=0.04)
    grid = build(Layout("planar", (plate,), (0.0, 0.0), (0.2, 0.1)), 4e-3, look=True)
    edges, sizes = grid.edges[1], np.diff(grid.edges[1])
    first, last = np.argmin(abs(edges - 0.05)), np.argmin(abs(edges - 0.055))
    assert sizes[first:last] == pytest.approx(2.5e-3)
    assert sizes[[first - 1, last]] == pytest.approx(1.25e-3, rel=0.15)  # stretched to end at the flask


@pytest.mark.parametrize("rib", [4e-3, 6e-3, 9e-3])
def test_a_look_at_a_thin_section_agrees_with_its_answer(rib):
    setup = bracket(rib)
    answer = freeze.freeze(setup, natural_cell(setup.layout, 1e-3))
    look = freeze.freeze(setup, 4e-3, freeze.QUICK)
    assert look.last_time_s == pytest.approx(answer.last_time_s, rel=0.03)
    assert look.grid.metal.size < 0.2 * answer.grid.metal.size
