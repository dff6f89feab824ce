"""Checking a sensor: the line through its errors, set points with bands, and what a new one may be off."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress

from castlab.errors import InputError
from castlab.rules.sensor import FREEZING_POINTS_C, Reading, fit_sensor, tolerance

POINTS = np.array(list(FREEZING_POINTS_C.values()))


def readings_of(errors):
    """One reading at each of the five metals, off by these errors."""
    return [Reading(name, temp + error)
            for (name, temp), error in zip(FREEZING_POINTS_C.items(), errors, strict=True)]


def seen(offset, slope, sigma, number):
    """Five noisy readings of a sensor with a known error."""
    noise = np.random.default_rng(number).normal(0.0, sigma, len(POINTS))
    return readings_of(offset + slope * POINTS + noise)


class TestFit:
    @given(errors=st.lists(st.floats(-40, 40), min_size=5, max_size=5))
    def test_it_is_the_regression_of_scipy(self, errors):
        fit = fit_sensor(readings_of(errors), reading_uncertainty=0.1)
        other = linregress(POINTS, errors)
        assert fit.slope == pytest.approx(other.slope, abs=1e-9)
        assert fit.error(500.0) == pytest.approx(other.intercept + 500.0 * other.slope, abs=1e-6)
        if other.stderr * math.sqrt(((POINTS - POINTS.mean()) ** 2).sum()) > 0.1:  # the scatter governs
            assert fit.slope_band == pytest.approx(2.0 * other.stderr, rel=1e-6)
            far = math.hypot(fit.offset_band, fit.slope_band * POINTS.mean())
            assert far == pytest.approx(2.0 * other.intercept_stderr, rel=1e-6)

    @given(offset=st.floats(-100, 100), slope=st.floats(-0.1, 0.1), wanted=st.floats(200, 1200))
    def test_a_known_error_is_taken_out(self, offset, slope, wanted):
        fit = fit_sensor(seen(offset, slope, 0.0, 0))
        assert fit.set_point(wanted)[0] == pytest.approx(wanted + offset + slope * wanted, abs=1e-6)

    @pytest.mark.parametrize("wanted", [300.0, 480.0, 720.0, 1150.0])
    def test_the_band_holds_the_truth_19_times_in_20(self, wanted):
        """1000 sensors with readings uncertain by 2 K: a normal band of two sigma holds 95.4 %."""
        held = 0
        for number in range(1000):
            _, low, high = fit_sensor(seen(15.0, -0.02, 2.0, number)).set_point(wanted)
            held += low <= wanted + 15.0 - 0.02 * wanted <= high
        assert held >= 940

    def test_scatter_above_the_stated_uncertainty_widens_the_band(self):
        calm, wild = fit_sensor(readings_of([3, 3, 3, 3, 3])), fit_sensor(readings_of([20, -15, 18, -20, 12]))
        assert calm.sigma == 2.0 and wild.sigma > 15.0
        assert wild.band(480.0) > 5 * calm.band(480.0)

    def test_the_scatter_of_three_readings_about_their_line(self):
        """One reading more than a line needs: the root of what numpy's line leaves, over one."""
        errors = [10.0, -10.0, 10.0]
        line = np.polynomial.Polynomial.fit(POINTS[:3], errors, 1)
        left = math.sqrt(((np.array(errors) - line(POINTS[:3])) ** 2).sum())
        assert fit_sensor(readings_of(errors + [0.0, 0.0])[:3]).sigma == pytest.approx(left)
        assert fit_sensor(readings_of(errors + [0.0, 0.0])[:2], 0.1).sigma == 0.1  # nothing to judge by

    def test_the_band_grows_away_from_the_metals_and_shrinks_with_readings(self):
        fit = fit_sensor(readings_of([3] * 5)[:3])
        assert fit.band(1100.0) > fit.band(660.0) > fit.band(fit.centre_c) == pytest.approx(4 / math.sqrt(3))
        assert fit_sensor(readings_of([3] * 5)[:3] * 4).band(1100.0) == pytest.approx(fit.band(1100.0) / 2)

    def test_one_metal_gives_the_offset_and_a_band_that_widens(self):
        for readings in ([Reading("zinc", 427.527)], [Reading("zinc", 427.527)] * 3):
            fit = fit_sensor(readings)
            assert (fit.offset, fit.slope) == (pytest.approx(8.0), 0.0)
        one = fit_sensor([Reading("zinc", 427.527)])
        assert one.band(419.527) == pytest.approx(4.0)
        assert one.band(819.527) == pytest.approx(math.hypot(4.0, 0.0075 * 400))

    @pytest.mark.parametrize(
        "call, words",
        [
            (lambda: fit_sensor([]), "readings is none"),
            (lambda: Reading("zink", 420), "did you mean 'zinc'"),
            (lambda: Reading("zinc", "hot"), "reading at freezing zinc is 'hot'"),
            (lambda: Reading("zinc", 9000), "reading at freezing zinc is 9000 °C"),
            (lambda: fit_sensor([Reading("zinc", 420)], 0.0), "uncertainty of a reading"),
            (lambda: fit_sensor([Reading("tin", 660), Reading("aluminium", 232)]), "two metals mixed up"),
            (lambda: fit_sensor([Reading("tin", 231.928), Reading("zinc", 231.928 + 0.4 * 187.599)]),
             "0.40 degrees for each degree: a hotter metal must read higher"),
            (lambda: fit_sensor([Reading("zinc", 420)]).set_point(5000), "wanted temperature is 5000"),
        ],
    )
    def test_what_cannot_be_is_refused(self, call, words):
        with pytest.raises(InputError, match=words):
            call()


class TestTolerance:
    @pytest.mark.parametrize(
        "call, words",
        [
            (lambda: tolerance(1250), "between -40 °C and 1200 °C"),
            (lambda: tolerance(400, grade="class 3"), "class of the thermocouple"),
        ],
    )
    def test_what_cannot_be_is_refused(self, call, words):
        with pytest.raises(InputError, match=words):
            call()
