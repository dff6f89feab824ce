"""Sensors against the temperature scale, reference tables and standards."""

import pytest

from castlab.materials import alloy
from castlab.rules import sensor, thermocouple

# ITS-90 reference values of type K [mV] at the freezing points, computed by the open-source package
# thermocouple-its90 1.0.2 from the published coefficients.
AT_FREEZING_POINTS = {
    231.928: 9.4205, 419.527: 17.2231, 660.323: 27.4607, 961.78: 39.7781, 1084.62: 44.5351,
}
# Ends of the ranges of the inverse functions (NIST, read), and rows of the table (from memory).
TABLE = {0.0: 0.000, 25.0: 1.000, 100.0: 4.096, 500.0: 20.644, 1000.0: 41.276, 1372.0: 54.886}


@pytest.mark.parametrize("temp_c, millivolts", (AT_FREEZING_POINTS | TABLE).items())
def test_type_k_voltage(temp_c, millivolts):
    digits = 5.1e-5 if temp_c in AT_FREEZING_POINTS else 5.1e-4  # as printed
    assert 1e3 * thermocouple.emf(temp_c) == pytest.approx(millivolts, abs=digits)


@pytest.mark.parametrize("temp_c, millivolts", AT_FREEZING_POINTS.items())
def test_a_voltmeter_gives_the_freezing_point_back(temp_c, millivolts):
    """Within what the last printed digit of the voltage means, 0.05 uV at about 40 uV/K."""
    assert thermocouple.temperature_from_emf(1e-3 * millivolts, 0.0) == pytest.approx(temp_c, abs=0.002)
    warm_room = 1e-3 * (millivolts - TABLE[25.0])
    assert thermocouple.temperature_from_emf(warm_room, 25.0) == pytest.approx(temp_c, abs=0.02)


@pytest.mark.parametrize(
    "temp_c, grade, tolerance",
    [(20, 2, 2.5), (333, 2, 2.5), (420, 2, 3.15), (1000, 2, 7.5), (1100, 2, 8.25),
     (375, 1, 1.5), (420, 1, 1.68), (1000, 1, 4.0)],
)
def test_tolerance_of_iec_60584(temp_c, grade, tolerance):
    """Rows of suppliers' tables of IEC 60584 (read): class 2 at 420, 1000, 1100; class 1 at 420, 1000."""
    assert thermocouple.tolerance(temp_c, f"class {grade}") == pytest.approx(tolerance, abs=0.005)


@pytest.mark.parametrize(
    "metal, name",
    [("zinc", "pure zinc"), ("aluminium", "pure aluminium"), ("silver", "fine silver"),
     ("copper", "pure copper")],
)
def test_the_freezing_points_are_those_of_the_alloy_data(metal, name):
    assert sensor.FREEZING_POINTS_C[metal] == pytest.approx(alloy(name).liquidus_c, abs=0.001)


def test_its_90():
    """Preston-Thomas 1990, table 1 [K]: Sn 505.078, Zn 692.677, Al 933.473, Ag 1234.93, Cu 1357.77."""
    kelvins = {"tin": 505.078, "zinc": 692.677, "aluminium": 933.473, "silver": 1234.93, "copper": 1357.77}
    assert sensor.FREEZING_POINTS_C == pytest.approx({name: t - 273.15 for name, t in kelvins.items()})
