"""Every way out of a cell of metal, by hand: into the mould, through an open top, into cut cells."""

import numpy as np
import pytest

from castlab import Setup, alloy, mould
from castlab.field.freeze import _Case
from castlab.field.grid import build
from castlab.field.layout import Layout, box, polygon

CELL = 2e-3
METAL, DIE = alloy("A356"), mould("cast-iron die")
BODY = box("body", "casting", (0.05, 0.09), (0.04, 0.07), depth=0.03)


def case_of(*blocks, top=0.12, into=DIE):
    layout = Layout("planar", blocks, (0.0, 0.0), (0.15, top))
    return _Case(Setup(layout, METAL, into, 700.0), build(layout, CELL))


def faces(case, axis, low, high):
    """Conductances through the faces of the body at two places along an axis, and of one face inside it."""
    edges = case.grid.edges[axis]
    across = np.moveaxis(case._conductance(axis), axis, 0)
    metal = np.moveaxis(case.grid.metal, axis, 0)
    first, last = (int(abs(edges - place).argmin()) for place in (low, high))
    row = np.flatnonzero(metal[first])
    return [across[at - 1][row] for at in (first, last, first + 2)], np.diff(edges)[[first - 1, last]]


@pytest.mark.parametrize("axis, low, high, other", [(0, 0.05, 0.09, CELL), (1, 0.04, 0.07, CELL)])
def test_heat_goes_through_half_a_cell_of_metal_the_gap_and_half_a_cell_of_mould(axis, low, high, other):
    """A / (d/2k of the metal + 1/h + d/2k of the mould); inside the metal A k / d."""
    (left, right, inside), sand = faces(case_of(BODY), axis, low, high)
    area = other * 0.03
    for found, beyond in zip((left, right), sand, strict=True):
        resistance = (0.5 * CELL / METAL.conductivity_solid + 1.0 / DIE.interface_coefficient
                      + 0.5 * beyond / DIE.conductivity)
        assert found == pytest.approx(np.full(len(found), area / resistance))
    assert inside == pytest.approx(np.full(len(inside), area * METAL.conductivity_solid / CELL))


def test_it_begins_with_hot_metal_and_cold_mould_and_nothing_has_left():
    """To be solid it gives its latent heat, and what 85 K to the liquidus and 60 K of freezing add."""
    case = case_of(BODY)
    assert (case.state[case.count:-1] == DIE.start_temp_c).all() and case.state[-1] == 0.0
    assert case.table.temperature(case.state[: case.count]) == pytest.approx(np.full(case.count, 700.0))
    wanted = METAL.density_solid * 0.04 * 0.03 * 0.03 * METAL.latent_heat
    assert wanted < case.heat_to_lose < 1.5 * wanted


def test_no_gap_lies_between_mould_and_mould():
    case = case_of(BODY)
    sizes = np.diff(case.grid.edges[0])
    wanted = DIE.conductivity * 0.03 * np.diff(case.grid.edges[1])[0] / (0.5 * (sizes[0] + sizes[1]))
    assert case._conductance(0)[0, 0] == pytest.approx(wanted)


@pytest.mark.parametrize("body", [
    BODY,
    polygon("wedge", "casting", [(0.05, 0.041), (0.09, 0.053), (0.09, 0.067), (0.05, 0.08)], depth=0.03)])
def test_the_mould_takes_up_heat_as_all_of_it_does_whatever_cells_a_slanted_edge_cuts(body):
    """Its heat capacity is that of the flask less the metal in it, 30 mm deep as the metal is."""
    case = case_of(body)
    wanted = DIE.density * DIE.heat_capacity * (0.15 * 0.12 * 0.03 - case.metal_volume.sum())
    assert case.capacity[case.count:-1].sum() == pytest.approx(wanted)


def test_an_open_top_gives_off_heat_as_a_hot_face_does():
    """Stefan-Boltzmann, emissivity (T^4 - Tair^4), and 10 W/m2K to still air; a cell below has none."""
    case = case_of(BODY, top=0.07)
    case.begin_step(0.0, 1.0)
    hot, air = 700.0 + 273.15, 25.0 + 273.15
    given = METAL.emissivity * 5.670374419e-8 * (hot**4 - air**4) + 10.0 * (hot - air)
    out = (case.loss * 700.0 - case.gain) * case.metal_volume
    row = np.unravel_index(case.metal_cells, case.grid.shape)[1]
    top, middle = out[row == row.max()], out[row == row.max() - 3]
    assert (top - middle).sum() == pytest.approx(0.04 * 0.03 * given)
    assert out[row == row.min()] == pytest.approx(middle)


def test_a_cell_of_an_open_top_that_is_cut_gives_off_by_its_share_of_metal():
    """The upper of two bodies lies 0.2 mm off the grid's lines: its top is 40 mm by 30 mm all the same."""
    upper = box("upper", "casting", (0.0502, 0.0902), (0.07, 0.10), depth=0.03)
    lower = box("lower", "casting", (0.05, 0.11), (0.04, 0.07), depth=0.03)
    case = case_of(lower, upper, top=0.10)
    assert ((case.grid.metal > 0.0) & (case.grid.metal < 1.0)).any()
    assert case.top_area.sum() == pytest.approx(0.04 * 0.03)
    assert not case_of(lower, upper).top_area.sum()
