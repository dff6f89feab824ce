"""Peaks and what belongs to each, against a landscape drawn by hand."""

import numpy as np
import pytest

from castlab.field.peaks import peaks_of

SHAPE = (9, 1, 1)
HEIGHTS = np.array([1.0, 5.0, 4.0, 2.0, 3.0, 2.9, 2.95, 1.0, 0.5])


@pytest.mark.parametrize("stands_out, expected", [(0.0, [1, 4, 6]), (0.1, [1, 4]), (0.4, [1])])
def test_a_peak_stays_if_it_stands_out_above_the_pass(stands_out, expected):
    peaks, basin = peaks_of(HEIGHTS, np.arange(9), SHAPE, stands_out)
    assert peaks == expected
    assert sorted(set(basin.tolist())) == list(range(len(expected)))
    assert [basin[peak] for peak in peaks] == list(range(len(expected)))


def test_cells_that_do_not_count_part_the_land():
    cells = np.delete(np.arange(9), 3)
    peaks, basin = peaks_of(HEIGHTS, cells, SHAPE, 0.9)
    assert peaks == [1, 4] and basin[3] == -1 and basin[8] == 1


def test_the_same_on_each_axis_of_a_random_landscape():
    values = np.random.default_rng(3).random((5, 6, 7))
    peaks, _ = peaks_of(values.ravel(), np.arange(values.size), values.shape, 0.2)
    turned = np.transpose(values, (2, 0, 1))
    others, _ = peaks_of(turned.ravel(), np.arange(values.size), turned.shape, 0.2)
    assert [values.ravel()[each] for each in peaks] == [turned.ravel()[each] for each in others]
    for peak in peaks:
        i, j, k = np.unravel_index(peak, values.shape)
        around = values[max(i - 1, 0) : i + 2, j, k].max(), values[i, max(j - 1, 0) : j + 2, k].max()
        assert max(around) == values[i, j, k]
