"""Checks of the freezing points and of the type K thermocouple by which a sensor is checked."""

from functools import partial

import elements
from check import Check

METALS = {"tin": "Sn", "zinc": "Zn", "aluminium": "Al", "silver": "Ag", "copper": "Cu"}
OURS = "castlab.rules.thermocouple"
FIXED_POINT = "a defining fixed point of the temperature scale: equal, or a slip of the pen"
TABLES = "the tables of NIST Monograph 175 are printed to 1 microvolt"
ONE_MICROVOLT = "1 microvolt is 0.025 K"
COLD_END_C = 25.0


def _freezing_c(metal):
    from castlab.rules.sensor import FREEZING_POINTS_C

    return FREEZING_POINTS_C[metal]


def _emf(temp_c):
    from castlab.rules.thermocouple import emf

    return emf(temp_c)


def _read_back(voltage):
    from castlab.rules.thermocouple import temperature_from_emf

    return temperature_from_emf(voltage, COLD_END_C)


def _their_emf(temp_c):
    from thermocouple_its90 import TypeK

    return TypeK.emf(temp_c) / 1e3


def _their_reading(voltage):
    from thermocouple_its90 import TypeK

    return TypeK.temperature(1e3 * voltage, reference=COLD_END_C)


def freezing_points():
    for metal, symbol in METALS.items():
        yield Check(metal, "freezing point of the sensor check", "deg C", partial(_freezing_c, metal),
                    "chemicals", partial(elements.chemicals_freezing_c, symbol), FIXED_POINT,
                    (OURS, "chemicals"), absolute=0.005)


def voltages():
    for temp_c in (25.0, 231.928, 419.527, 660.323, 961.78, 1084.62, 1300.0):
        yield Check("type K", f"emf at {temp_c:g} deg C", "V", partial(_emf, temp_c), "thermocouple-its90",
                    partial(_their_emf, temp_c), TABLES, (OURS, "thermocouple_its90"), absolute=0.5e-6)
    for millivolt in (5.0, 16.223, 40.0):
        yield Check("type K", f"reading at {millivolt:g} mV, cold end 25 deg C", "deg C",
                    partial(_read_back, millivolt / 1e3), "thermocouple-its90",
                    partial(_their_reading, millivolt / 1e3), ONE_MICROVOLT, (OURS, "thermocouple_its90"),
                    absolute=0.025)


CHECKS = [*freezing_points(), *voltages()]
