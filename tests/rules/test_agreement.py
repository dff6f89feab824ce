"""The small fit: what it finds, how sure, and which entry it names."""

import numpy as np
import pytest

from castlab import InputError
from castlab.rules.agreement import COVER, fit_linear, judged


def line(kept, x, y, error=1.0):
    return fit_linear(np.column_stack([np.ones(len(kept)), x[kept]]), y[kept], [error] * len(kept))


def test_a_line_through_points_that_lie_on_one():
    x = np.array([0.0, 1.0, 2.0, 5.0])
    fit = line(list(range(4)), x, 3.0 + 2.0 * x)
    assert fit.values == pytest.approx([3.0, 2.0]) and np.abs(fit.misfits).max() < 1e-9


def test_the_bands_are_those_of_the_textbook():
    """Slope of a line: error / sqrt(sum (x - mean)^2)."""
    x = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
    fit = line(list(range(5)), x, x)
    assert fit.bands[1] == pytest.approx(COVER / np.sqrt(10.0))


def test_what_is_known_beforehand_counts_as_an_entry():
    """4.5 known to 1, and 3.5 measured to 1, meet halfway."""
    fit = fit_linear([[1.0]], [3.5], [1.0], (4.5,), (1.0,))
    assert fit.values == pytest.approx([4.0]) and fit.bands == pytest.approx([COVER / np.sqrt(2.0)])


def test_scatter_beyond_the_errors_widens_the_bands():
    tight, loose = (fit_linear(np.ones((4, 1)), wide * np.array([-1.0, 1.0, -1.0, 1.0]), [1.0] * 4)
                    for wide in (0.1, 3.0))
    assert loose.bands[0] == pytest.approx(tight.bands[0] * 3.0 * np.sqrt(4.0 / 3.0))


@pytest.mark.parametrize("wrong", range(6))
def test_the_wrong_one_of_six_is_named_and_left_out(wrong):
    x, y = np.arange(6.0), 2.0 * np.arange(6.0)
    y[wrong] += 40.0
    seen = judged(lambda kept: line(kept, x, y), 6)
    assert seen.wrong == (wrong,) and seen.left_out == wrong
    assert seen.fit.values == pytest.approx([0.0, 2.0], abs=1e-9)


def test_two_that_differ_are_both_kept():
    y = np.array([10.0, 30.0])
    seen = judged(lambda kept: fit_linear(np.ones((len(kept), 1)), y[kept], [1.0] * len(kept)), 2)
    assert seen.wrong == (0, 1) and seen.left_out is None and not seen.fit.agrees
    assert seen.fit.bands[0] >= 20.0  # so wide that both lie within


def test_two_wrong_ones_are_not_blamed_on_one():
    y = np.array([10.0, 10.0, 10.0, 40.0, 80.0])
    seen = judged(lambda kept: fit_linear(np.ones((len(kept), 1)), y[kept], [1.0] * len(kept)), 5)
    assert seen.wrong == () and not seen.fit.agrees and seen.fit.bands[0] > 30.0


def test_too_few_entries_and_an_error_of_nothing():
    with pytest.raises(InputError, match="2 different ones or more"):
        fit_linear([[1.0, 1.0], [1.0, 1.0]], [1.0, 2.0], [1.0, 1.0])
    with pytest.raises(InputError, match="error of an entry"):
        fit_linear([[1.0]], [1.0], [0.0])
