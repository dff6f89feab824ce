"""Values between cells: what rises evenly is drawn so, and nothing lies above or below what was mixed."""

import numpy as np
import pytest

from castlab.teach.picture import raster
from castlab.teach.picture.smooth import Blend, carried_outward

EDGES = np.linspace(0.0, 1.0, 11)
VIEW = raster.View((0.0, 0.0), (1.0, 1.0), 200, 200)


def test_a_slope_is_kept_and_a_peak_is_not_exceeded():
    middles = 0.5 * (EDGES[1:] + EDGES[:-1])
    blend = Blend(EDGES, EDGES, VIEW)
    slope = blend.spread(middles[:, None] + 2.0 * middles)
    inside = np.s_[30:170, 30:170]
    wanted = VIEW.x[None, :] + 2.0 * VIEW.y[:, None]
    assert slope[inside] == pytest.approx(wanted[inside], abs=1e-5)
    peak = np.zeros((10, 10))
    peak[4, 5] = 1.0
    drawn = blend.spread(peak)
    assert drawn.min() >= 0.0 and 0.5 < drawn.max() <= 1.0
    at = np.unravel_index(drawn.argmax(), drawn.shape)
    assert (VIEW.x[at[1]], VIEW.y[at[0]]) == pytest.approx((0.45, 0.55), abs=0.01)


def test_values_reach_two_cells_into_the_mould_and_no_farther():
    values = np.full((9, 9), np.nan)
    values[4, 4] = 3.0
    carried = carried_outward(values, np.isfinite(values))
    assert carried[2:7, 2:7] == pytest.approx(np.full((5, 5), 3.0)) and carried.sum() == pytest.approx(75.0)
