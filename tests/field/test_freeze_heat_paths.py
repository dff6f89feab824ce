"""Every way out of a cell of metal, by hand: an open top, cut cells; and how it begins."""

import numpy as np
import pytest

from castlab import Setup, alloy, mould
from castlab.field.bodies import prism
from castlab.field.conduct import SolidCase
from castlab.field.grid import build
from castlab.field.layout import Layout
from castlab.field.rigging import slab

METAL, DIE = alloy("A356"), mould("cast-iron die")
BODY = slab("body", "casting", (0.05, 0.09), (0.04, 0.07), 0.03)
WEDGE = prism("wedge", "casting", "z", [(0.05, 0.041), (0.09, 0.053), (0.09, 0.067), (0.05, 0.08)],
              (-0.015, 0.015))


def case_of(*blocks, top=0.12):
    layout = Layout(blocks, (0.0, 0.0, -0.05), (0.15, top, 0.05))
    return SolidCase(Setup(layout, METAL, DIE, 700.0), build(layout, 2e-3))


def test_it_begins_with_hot_metal_and_cold_mould_and_nothing_has_left():
    """To be solid it gives its latent heat, and what 85 K to the liquidus and 60 K of freezing add."""
    case = case_of(BODY)
    assert (case.state[case.count:-1] == DIE.start_temp_c).all() and case.state[-1] == 0.0
    assert case.table.temperature(case.state[: case.count]) == pytest.approx(np.full(case.count, 700.0))
    wanted = METAL.density_solid * 0.04 * 0.03 * 0.03 * METAL.latent_heat
    assert wanted < case.heat_to_lose < 1.5 * wanted


@pytest.mark.parametrize("body", [BODY, WEDGE])
def test_the_mould_takes_up_heat_as_all_of_it_does_whatever_cells_a_slanted_edge_cuts(body):
    """Its heat capacity is that of the flask less the metal; slivers beside metal count a little more."""
    case = case_of(body)
    wanted = DIE.density * DIE.heat_capacity * (0.15 * 0.12 * 0.10 - case.metal_volume.sum())
    assert case.capacity[case.count:-1].sum() == pytest.approx(wanted, rel=1e-3)


def test_an_open_top_gives_off_heat_as_a_hot_face_does():
    """Stefan-Boltzmann, emissivity (T^4 - Tair^4), and 10 W/m2K to still air; a cell below has none."""
    case = case_of(BODY, top=0.07)
    case.begin_step(0.0, 1.0)
    hot, air = 700.0 + 273.15, 25.0 + 273.15
    given = METAL.emissivity * 5.670374419e-8 * (hot**4 - air**4) + 10.0 * (hot - air)
    assert (case.loss * (700.0 - 25.0)).sum() == pytest.approx(0.04 * 0.03 * given)
    row = np.unravel_index(case.metal_cells, case.grid.shape)[1]
    assert (row[case.top_cells] == row.max()).all()


def test_a_cell_of_an_open_top_that_is_cut_gives_off_by_its_share_of_metal():
    """The upper of two bodies lies 0.2 mm off the grid's lines: its top is 40 mm by 30 mm all the same."""
    upper = slab("upper", "casting", (0.0502, 0.0902), (0.07, 0.10), 0.03)
    lower = slab("lower", "casting", (0.05, 0.11), (0.04, 0.07), 0.03)
    case = case_of(lower, upper, top=0.10)
    assert ((case.grid.metal > 0.0) & (case.grid.metal < 1.0)).any()
    assert case.top_area.sum() == pytest.approx(0.04 * 0.03)
    assert not case_of(lower, upper).top_area.sum()
