"""Type K thermocouples, as in most small furnaces: their voltage, and how far off a new one may be."""

import math

from castlab.errors import require_between, require_known

HIGHEST_C = 1372.0  # end of the reference function
# Coefficients c0 ... c9 of the emf in mV from 0 deg C on, and the bump a0 exp(a1 (t - a2)^2).
POLYNOMIAL = (
    -0.176004136860e-1, 0.389212049750e-1, 0.185587700320e-4, -0.994575928740e-7, 0.318409457190e-9,
    -0.560728448890e-12, 0.560750590590e-15, -0.320207200030e-18, 0.971511471520e-22, -0.121047212750e-25,
)
BUMP = (0.118597600000, -0.118343200000e-3, 0.126968600000e3)
# of new wire: (least tolerance [K], share of the temperature, highest temperature [deg C])
CLASSES = {"class 1": (1.5, 0.004, 1000.0), "class 2": (2.5, 0.0075, 1200.0)}


def emf(temp_c):
    """Voltage of a type K thermocouple, its other end at 0 deg C [V].

    E = sum of c_i t^i + a0 exp(a1 (t - a2)^2)   in mV, t in deg C

    temp_c [deg C]  0 to 1372

    Raises InputError outside that range. Source: Burns, G. W. et al.: Temperature-electromotive force
    reference functions and tables based on the ITS-90. NIST Monograph 175 (1993), table 7.3.1 (read in public
    code that quotes it). At the freezing point of silver the tables give 39.778 mV:

    >>> round(1e3 * emf(961.78), 3)
    39.778
    """
    temp_c = require_between("temperature of the thermocouple", temp_c, 0.0, HIGHEST_C, "deg C")
    millivolts = 0.0
    for coefficient in reversed(POLYNOMIAL):
        millivolts = millivolts * temp_c + coefficient
    height, spread, centre = BUMP
    return 1e-3 * (millivolts + height * math.exp(spread * (temp_c - centre) ** 2))


def temperature_from_emf(voltage, cold_end_c):
    """Temperature at the hot end of a type K thermocouple [deg C], from a voltmeter at its other end.

    E(T) = voltage + E(T_cold), solved for T by halving

    voltage [V]         as measured; 0 to 0.054886 once the cold end is added
    cold_end_c [deg C]  0 to 60: where the thermocouple's wires (or its own kind of cable) join the meter's

    So the thermocouple can be told apart from the display that belongs to it. Raises InputError outside the
    ranges. Source: as for `emf`. With the meter at 25 deg C (1.000 mV) and 16.223 mV measured, 17.223 mV:
    zinc freezes.

    >>> round(temperature_from_emf(16.223e-3, 25.0), 1)
    419.5
    """
    cold_end_c = require_between("temperature of the cold end", cold_end_c, 0.0, 60.0, "deg C")
    cold, highest = emf(cold_end_c), emf(HIGHEST_C)
    voltage = require_between("voltage of the thermocouple", voltage, emf(0.0) - cold, highest - cold, "V")
    low, high = 0.0, HIGHEST_C
    while high - low > 1e-7:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if emf(middle) < voltage + cold else (low, middle)
    return 0.5 * (low + high)


def tolerance(temp_c, grade="class 2"):
    """How far a new type K thermocouple may be off, either way [K].

    class 1: the greater of 1.5 K and 0.004 t;  class 2: the greater of 2.5 K and 0.0075 t

    temp_c t [deg C]  -40 to 1000 in class 1, to 1200 in class 2
    grade             "class 1" or "class 2"

    Used wire drifts beyond it. Raises InputError outside the ranges. Source: IEC 60584-1:2013 (read in two
    supplier's tables). At 420 deg C:

    >>> round(tolerance(420), 2), round(tolerance(420, grade="class 1"), 2)
    (3.15, 1.68)
    """
    least, share, highest = CLASSES[require_known("class of the thermocouple", grade, CLASSES)]
    temp_c = require_between("temperature of the thermocouple", temp_c, -40.0, highest, "deg C")
    return max(least, share * abs(temp_c))
