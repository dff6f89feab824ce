"""Sensors against the temperature scale and the standard of type K."""

import pytest

from castlab.materials import alloy
from castlab.rules import sensor


@pytest.mark.parametrize(
    "temp_c, grade, tolerance",
    [(20, 2, 2.5), (333, 2, 2.5), (420, 2, 3.15), (1000, 2, 7.5), (1100, 2, 8.25),
     (375, 1, 1.5), (420, 1, 1.68), (1000, 1, 4.0)],
)
def test_tolerance_of_iec_60584(temp_c, grade, tolerance):
    """Rows of suppliers' tables of IEC 60584 (read): class 2 at 420, 1000, 1100; class 1 at 420, 1000."""
    assert sensor.tolerance(temp_c, f"class {grade}") == pytest.approx(tolerance, abs=0.005)


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
