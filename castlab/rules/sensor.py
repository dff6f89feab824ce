"""Checking a furnace's sensor: what it reads at known freezing points, and what set point that calls for.

A pure metal stays at one temperature while it melts and while it freezes, so it shows what a display should
read. A sensor in the furnace wall then reads high while heat flows in and low while it flows out: go slowly,
read it in both directions, and take the middle. A sensor in a sheath in the melt needs one reading only.
"""

import math
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between, require_known
from castlab.rules.agreement import fit_linear, judged

# Source: Preston-Thomas, H.: The International Temperature Scale of 1990 (ITS-90). Metrologia 27 (1990) 3-10.
FREEZING_POINTS_C = {
    "tin": 231.928, "zinc": 419.527, "aluminium": 660.323, "silver": 961.78, "copper": 1084.62,
}
READ_K = 2.0  # standard uncertainty of one reading at a freezing point (judgement: display, place, purity)
ASSUMED_SLOPE = 0.0075  # with one metal only: how far the slope may be off 1, as in class 2 of IEC 60584
NOTHING_KNOWN_K = 1000.0  # of an offset before anything is read
COVER = 2.0  # bands hold the truth about 19 times in 20
HIGHEST_C = 1372.0  # end of the reference function of type K, as in most small furnaces
# of new type K wire: (least tolerance [K], share of the temperature, highest temperature [deg C])
CLASSES = {"class 1": (1.5, 0.004, 1000.0), "class 2": (2.5, 0.0075, 1200.0)}


@dataclass(frozen=True)
class Reading:
    """What the display showed [deg C] while a pure metal froze: a name of FREEZING_POINTS_C, and -40 to 1400.

    >>> Reading("zinc", 427.0).error
    7.473
    """

    metal: str
    reading_c: float

    def __post_init__(self):
        require_known("metal of the reading", self.metal, FREEZING_POINTS_C)
        require_between(f"reading at freezing {self.metal}", self.reading_c, -40.0, 1400.0, "deg C")

    @property
    def true_c(self):
        """The freezing point [deg C]."""
        return FREEZING_POINTS_C[self.metal]

    @property
    def error(self):
        """Reading less truth [K]."""
        return round(self.reading_c - self.true_c, 9)


@dataclass(frozen=True)
class SensorFit:
    """The straight line through the errors of a sensor: error = offset + slope (T - centre_c).

    offset, offset_band [K]    error at centre_c [deg C], and its band
    slope, slope_band          error for each kelvin, and its band; with one metal the slope is not measured
    sigma [K]                  standard uncertainty of one reading: as stated, or the scatter if that is more
    """

    centre_c: float
    offset: float
    offset_band: float
    slope: float
    slope_band: float
    sigma: float

    def error(self, true_c):
        """Reading less truth [K] where the truth is true_c [deg C]."""
        return self.offset + self.slope * (true_c - self.centre_c)

    def band(self, true_c):
        """How far that error may be off, either way [K]: it grows away from the metals that were read."""
        return math.hypot(self.offset_band, self.slope_band * (true_c - self.centre_c))

    def set_point(self, true_c):
        """What to set for a wanted true temperature [deg C]: (most likely, lowest, highest).

        true_c [deg C]  20 to 1372. Raises InputError outside that range.
        """
        true_c = require_between("wanted temperature", true_c, 20.0, HIGHEST_C, "deg C")
        middle, band = true_c + self.error(true_c), self.band(true_c)
        return middle, middle - band, middle + band


def fit_sensor(readings, reading_uncertainty=READ_K):
    """Offset and slope of a sensor by least squares, with their bands.

    error_i = reading_i - T_i = offset + slope (T_i - mean T);  slope = sum dT error / sum dT^2
    bands   offset 2 sigma / sqrt(n),  slope 2 sigma / sqrt(sum dT^2)
    sigma   the stated uncertainty of a reading, or the scatter about the line (n - 2) if that is more

    readings                 one or more `Reading`; several of one metal count as what they are
    reading_uncertainty [K]  0.1 to 20, standard uncertainty of one reading; 2 is judgement

    With one metal only the offset is found: the slope of the error is taken as 0, give or take 0.75 %, as for
    a new class 2 sensor. With two, the line goes through both, and a mistake in one of them does not show.
    Raises InputError for no reading, and for a line that falls (two metals mixed up).
    Source: linear regression, any textbook of statistics. By hand, +5 K at tin and +9 K at zinc: 4 K on
    187.599 K is 0.0213, 7 K at the middle, 325.7:

    >>> fit = fit_sensor([Reading("tin", 236.928), Reading("zinc", 428.527)])
    >>> round(fit.offset, 3), round(fit.slope, 4), round(fit.centre_c, 1)
    (7.0, 0.0213, 325.7)
    >>> [round(each) for each in fit.set_point(400)]
    [409, 405, 412]
    """
    readings = tuple(readings)
    if not readings:
        raise InputError("readings", "none", "at least one reading at a known freezing point is needed")
    stated = require_between("uncertainty of a reading", reading_uncertainty, 0.1, 20.0, "K")
    temps, errors = np.array([(each.true_c, each.error) for each in readings]).T
    centre, offset, several = float(temps.mean()), float(errors.mean()), len(set(temps)) > 1
    away = temps - centre
    slope = float(away @ errors / (away @ away)) if several else 0.0
    if slope <= -0.5:
        allowed = "a hotter metal must read higher; were two metals mixed up?"
        raise InputError("readings", f"{1.0 + slope:.2f} degrees for each degree", allowed)
    left, free = errors - offset - slope * away, len(readings) - (2 if several else 1)
    sigma = max(stated, math.sqrt(left @ left / free)) if free else stated
    return SensorFit(
        centre_c=centre, offset=offset, offset_band=COVER * sigma / math.sqrt(len(readings)), slope=slope,
        slope_band=COVER * sigma / math.sqrt(away @ away) if several else ASSUMED_SLOPE, sigma=sigma,
    )


def judge_sensor(readings, reading_uncertainty=READ_K):
    """Offset and slope of a sensor, and which reading is wrong: (`SensorFit`, `Judged`).

    As `fit_sensor`, but the slope is held near 0 as in a new class 2 sensor (ASSUMED_SLOPE, a standard
    deviation), so that three readings show which of them does not agree; and the bands hold the truth in all
    but about one of 10 000 checks (`castlab.rules.agreement.COVER`).

    readings                 one or more `Reading`; a wrong one is left out of the fit
    reading_uncertainty [K]  0.1 to 20, standard uncertainty of one reading; 2 is judgement

    Raises InputError for no reading and outside the range. Source: linear regression with what is known
    beforehand, any textbook of statistics. Check: three readings 5 K too high and one 40 K too high:

    >>> high = [Reading(metal, FREEZING_POINTS_C[metal] + 5.0) for metal in ("tin", "zinc", "silver")]
    >>> fit, seen = judge_sensor([*high, Reading("aluminium", 700.323)])
    >>> seen.left_out, round(fit.error(500.0), 1)
    (3, 5.0)
    """
    readings = tuple(readings)
    if not readings:
        raise InputError("readings", "none", "at least one reading at a known freezing point is needed")
    stated = require_between("uncertainty of a reading", reading_uncertainty, 0.1, 20.0, "K")
    temps, errors = np.array([(each.true_c, each.error) for each in readings]).T
    spread = (NOTHING_KNOWN_K, ASSUMED_SLOPE)

    def fit_of(kept):
        away = temps[kept] - temps[kept].mean()
        rows = np.column_stack([np.ones(len(kept)), away])
        return fit_linear(rows, errors[kept], [stated] * len(kept), (0.0, 0.0), spread)

    seen = judged(fit_of, len(readings))
    kept = [at for at in range(len(readings)) if at != seen.left_out]
    (offset, slope), bands = map(float, seen.fit.values), seen.fit.bands
    return SensorFit(float(temps[kept].mean()), offset, float(bands[0]), slope, float(bands[1]), stated), seen


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
