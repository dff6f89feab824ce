"""Checking a sensor: the line through its errors, set points with bands, drift, and when to replace it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress

from castlab.errors import InputError
from castlab.rules import thermocouple
from castlab.rules.sensor import (
    FREEZING_POINTS_C,
    Check,
    Drift,
    Reading,
    Sighting,
    drift,
    findings,
    fit_sensor,
)
from castlab.units import INCH_POUND, METRIC

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
        assert fit.true_temp(fit.set_point(wanted)[0]) == pytest.approx(wanted, abs=1e-6)

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
        assert (fit.lowest_c, fit.highest_c) == (231.928, 660.323)

    def test_one_metal_gives_the_offset_and_says_what_is_assumed(self):
        for readings in ([Reading("zinc", 427.527)], [Reading("zinc", 427.527)] * 3):
            fit = fit_sensor(readings)
            assert (fit.offset, fit.slope) == (pytest.approx(8.0), 0.0)
            assert "one metal gives the offset only" in fit.assumed[0]
        one = fit_sensor([Reading("zinc", 427.527)])
        assert one.band(419.527) == pytest.approx(4.0)
        assert one.band(819.527) == pytest.approx(math.hypot(4.0, 0.0075 * 400))

    def test_two_metals_say_that_a_mistake_does_not_show(self):
        (assumed,) = fit_sensor(readings_of([1, 2, 3, 4, 5])[:2]).assumed
        assert "a mistake in one of them does not show" in assumed
        assert fit_sensor(readings_of([1, 2, 3, 4, 5])).assumed == ()

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
            (lambda: fit_sensor([Reading("zinc", 420)]).true_temp(None), "reading is None"),
        ],
    )
    def test_what_cannot_be_is_refused(self, call, words):
        with pytest.raises(InputError, match=words):
            call()


class TestReplace:
    def test_a_hundred_degrees_off_is_replaced_and_a_few_are_not(self):
        assert findings(readings=readings_of([3, -4, 8, -10, 12])) == ()
        found = findings(readings=[Reading("aluminium", 560.0), Reading("zinc", 422.0)])
        assert [each.replace for each in found] == [True]
        assert "reads 100 K too low, more than 15 K" in found[0].words()

    @pytest.mark.parametrize(
        "state, reading_c, kind",
        [("solid", 500.0, "solid"), ("solid", 425.0, None), ("solid", 300.0, None),
         ("liquid", 300.0, "liquid"), ("liquid", 375.0, None), ("liquid", 600.0, None)],
    )
    def test_what_the_metal_proves(self, state, reading_c, kind):
        """ZA-12, 432 and 377 deg C: three times its tolerance is 9.7 and 8.5 K."""
        found = findings(sightings=[Sighting(state, reading_c, 432.0, 377.0, held=3600.0)])
        assert [each.kind for each in found] == ([kind] if kind else [])
        assert all(each.replace for each in found)

    def test_what_fits_the_metal_proves_nothing(self):
        assert Sighting("solid", 300.0, 432.0, 377.0, held=3600.0).error == 0.0
        assert Sighting("liquid", 600.0, 432.0, 377.0, held=3600.0).error == 0.0

    def test_before_half_an_hour_the_metal_may_only_lag(self):
        (found,) = findings(sightings=[Sighting("solid", 500.0, 432.0, 377.0, held=600.0)])
        assert not found.replace
        assert "hold for 30 min and look again" in found.words()

    def test_sentences_in_both_units(self):
        looked = [("solid", 500.0), ("liquid", 300.0)]
        solid, liquid = findings(sightings=[Sighting(*each, 432.0, 377.0, 3600.0) for each in looked])
        assert solid.words() == (
            "Metal is still solid above 432 °C, its liquidus, by the display: "
            "the sensor reads at least 68 K too high, more than 10 K. Replace it.")
        assert "liquid below 711 °F" in liquid.words(INCH_POUND)
        assert "139 °F too low" in liquid.words(INCH_POUND)

    def test_the_multiple_is_the_users(self):
        reading = [Reading("zinc", 425.0)]
        assert findings(reading, multiple=3.0) == () and len(findings(reading, multiple=1.0)) == 1

    @pytest.mark.parametrize(
        "call, words",
        [
            (lambda: Sighting("mushy", 400, 432, 377, 60), "state of the metal"),
            (lambda: Sighting("solid", 400, 377, 432, 60), "solidus is 432"),
            (lambda: Sighting("solid", 9000, 432, 377, 60), "reading is 9000"),
            (lambda: Sighting("solid", 400, 5000, 377, 60), "liquidus is 5000"),
            (lambda: Sighting("solid", 400, 432, 377, -1), "time that the reading was held"),
            (lambda: findings(multiple=0), "multiple of the tolerance"),
        ],
    )
    def test_what_cannot_be_is_refused(self, call, words):
        with pytest.raises(InputError, match=words):
            call()


class TestDrift:
    @staticmethod
    def two_checks(change, number):
        """The same sensor twice, the second time reading higher by `change` everywhere."""
        first, second = seen(5.0, 0.01, 2.0, 2 * number), seen(5.0 + change, 0.01, 2.0, 2 * number + 1)
        return Check("2026-01-10", tuple(first)), Check("2026-06-30", tuple(second))

    def test_a_drifting_sensor_is_told(self):
        assert all(drift(*self.two_checks(10.0, number), 480.0).drifts for number in range(100))
        assert all(drift(*self.two_checks(-10.0, number), 480.0).drifts for number in range(100))

    def test_a_steady_sensor_is_left_alone_19_times_in_20(self):
        told = sum(drift(*self.two_checks(0.0, number), 480.0).drifts for number in range(400))
        assert told <= 0.05 * 400

    def test_the_days_between_and_the_words(self):
        found = drift(*self.two_checks(12.0, 1), 480.0)
        assert found.days == 171
        assert "The sensor drifts: at 480 °C it reads" in found.words()
        assert "higher than 171 days before" in found.words()
        assert "higher than 30 days" in Drift(0.7, 0.2, 480.0, 30).words()
        assert "lower than 30 days" in Drift(-0.7, 0.2, 480.0, 30).words()
        one = (Reading("zinc", 420.0),)
        assert drift(Check("2026-05-01", one), Check("2026-05-02", one), 480.0).days == 1

    @pytest.mark.parametrize("units, small, seen", [(METRIC, 0.4, 0.6), (INCH_POUND, 0.2, 0.4)])
    def test_a_change_that_rounds_to_nothing_is_no_drift(self, units, small, seen):
        one = units.differences.unit
        for change in (0.0, small, -small):
            words = Drift(change, 0.1, 480.0, 30).words(units)
            assert words.startswith("No drift shows") and f"less than 1 {one} in 30 days" in words
        words = Drift(-seen, 0.1, 480.0, 30).words(units)
        assert f"reads 1 {one} lower" in words and f"give or take less than 1 {one}" in words

    def test_a_drift_is_said_in_inch_pound_units(self):
        assert Drift(2.0, 4.0, 480.0, 30).words(INCH_POUND) == (
            "No drift shows at 896 °F: 4 °F in 30 days, and readings alone may differ by 7 °F.")

    @pytest.mark.parametrize(
        "call, words",
        [
            (lambda: Check("10.1.2026", ()), "such as 2026-03-14"),
            (lambda: Check("2026-02-30", ()), "day of the check"),
            (lambda: drift(Check("2026-05-01", ()), Check("2026-04-01", ()), 480), "earlier one, 2026-05-01"),
            (lambda: drift(Check("2026-05-01", ()), Check("2026-05-01", ()), 480), "earlier one, 2026-05-01"),
            (lambda: drift(Check("2026-05-01", ()), Check("2026-06-01", ()), 480), "readings is none"),
            (lambda: drift(Check("2026-05-01", ()), Check("2026-06-01", ()), 0), "temperature for the drift"),
        ],
    )
    def test_what_cannot_be_is_refused(self, call, words):
        with pytest.raises(InputError, match=words):
            call()


class TestThermocouple:
    @given(temp_c=st.floats(0, 1372), cold_c=st.floats(0, 60))
    def test_voltage_and_back(self, temp_c, cold_c):
        voltage = thermocouple.emf(temp_c) - thermocouple.emf(cold_c)
        assert thermocouple.temperature_from_emf(voltage, cold_c) == pytest.approx(temp_c, abs=1e-5)

    def test_a_broken_display_is_told_from_a_broken_thermocouple(self):
        """17.22 mV at freezing zinc: the wire is right, whatever the display says."""
        assert Reading.by_voltmeter("zinc", 16.22e-3, 25.0).error == pytest.approx(0.0, abs=0.2)

    @pytest.mark.parametrize(
        "call, words",
        [
            (lambda: thermocouple.emf(-5), "temperature of the thermocouple is -5"),
            (lambda: thermocouple.emf(1400), "between 0 °C and 1372 °C"),
            (lambda: thermocouple.temperature_from_emf(17.2, 25), "voltage of the thermocouple is 17.2 V"),
            (lambda: thermocouple.temperature_from_emf(0.0530, 60), "voltage of the thermocouple is 0.053 V"),
            (lambda: thermocouple.temperature_from_emf(0.017, 90), "temperature of the cold end is 90"),
            (lambda: thermocouple.tolerance(1250), "between -40 °C and 1200 °C"),
            (lambda: thermocouple.tolerance(400, grade="class 3"), "class of the thermocouple"),
        ],
    )
    def test_what_cannot_be_is_refused(self, call, words):
        with pytest.raises(InputError, match=words):
            call()
