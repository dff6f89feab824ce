"""Checking a furnace's sensor: what it reads at known freezing points, and what set point that calls for.

A pure metal stays at one temperature while it melts and while it freezes, so it shows what a display should
read. A sensor in the furnace wall then reads high while heat flows in and low while it flows out: go slowly,
read it in both directions, and take the middle. A sensor in a sheath in the melt needs one reading only.
"""

import math
from dataclasses import dataclass
from datetime import date

from castlab.errors import InputError, require_between, require_known, require_number
from castlab.rules.thermocouple import CLASSES, HIGHEST_C, temperature_from_emf, tolerance
from castlab.units import METRIC

# Source: Preston-Thomas, H.: The International Temperature Scale of 1990 (ITS-90). Metrologia 27 (1990) 3-10.
FREEZING_POINTS_C = {
    "tin": 231.928, "zinc": 419.527, "aluminium": 660.323, "silver": 961.78, "copper": 1084.62,
}
READ_K = 2.0  # standard uncertainty of one reading at a freezing point (judgement: display, place, purity)
ASSUMED_SLOPE = 0.0075  # with one metal only: how far the slope may be off 1, as in class 2 of IEC 60584
COVER = 2.0  # bands hold the truth about 19 times in 20
REPLACE_AT = 3.0  # times the tolerance of a new class 2 thermocouple (judgement)
SETTLED_S = 1800.0  # a full pot may lag by half an hour: see castlab.rules.furnace
STATES = ("solid", "liquid")
LESS = "less than"


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

    @classmethod
    def by_voltmeter(cls, metal, voltage, cold_end_c):
        """A reading of the thermocouple itself, without its display (see `temperature_from_emf`)."""
        return cls(metal, temperature_from_emf(voltage, cold_end_c))

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
    lowest_c, highest_c        the metals read [deg C]
    assumed                    what was assumed, in words; empty if nothing
    """

    centre_c: float
    offset: float
    offset_band: float
    slope: float
    slope_band: float
    sigma: float
    lowest_c: float
    highest_c: float
    assumed: tuple[str, ...]

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

    def true_temp(self, reading_c):
        """The true temperature [deg C] behind a reading [deg C]: `set_point` the other way."""
        reading_c = require_number("reading", reading_c, "deg C")
        return self.centre_c + (reading_c - self.centre_c - self.offset) / (1.0 + self.slope)


def fit_sensor(readings, reading_uncertainty=READ_K):
    """Offset and slope of a sensor by least squares, with their bands.

    error_i = reading_i - T_i = offset + slope (T_i - mean T);  slope = sum dT error / sum dT^2
    bands   offset 2 sigma / sqrt(n),  slope 2 sigma / sqrt(sum dT^2)
    sigma   the stated uncertainty of a reading, or the scatter about the line (n - 2) if that is more

    readings                 one or more `Reading`; several of one metal count as what they are
    reading_uncertainty [K]  0.1 to 20, standard uncertainty of one reading; 2 is judgement

    With one metal only the offset is found: the slope is taken as 1 with a band of 0.75 %, which is how far
    a new class 2 sensor may lean. With two, the line goes through both and nothing shows a mistake in one.
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
    temps, errors = [each.true_c for each in readings], [each.error for each in readings]
    metals = len(set(temps))
    centre, offset, slope, spread = _line(temps, errors, leaning=metals > 1)
    left = [error - offset - slope * (temp - centre) for temp, error in zip(temps, errors, strict=True)]
    sigma = max(stated, _scatter(left, parameters=min(metals, 2)))
    return SensorFit(
        centre_c=centre, offset=offset, offset_band=COVER * sigma / math.sqrt(len(temps)),
        slope=slope, slope_band=COVER * sigma / math.sqrt(spread) if metals > 1 else ASSUMED_SLOPE,
        sigma=sigma, lowest_c=min(temps), highest_c=max(temps), assumed=_assumed(metals),
    )


def _line(temps, errors, leaning):
    """Middle temperature, error there, slope, and sum of squared distances from the middle."""
    centre, offset = sum(temps) / len(temps), sum(errors) / len(errors)
    if not leaning:
        return centre, offset, 0.0, 0.0
    spread = sum((temp - centre) ** 2 for temp in temps)
    slope = sum((temp - centre) * error for temp, error in zip(temps, errors, strict=True)) / spread
    if slope <= -0.5:
        allowed = "a hotter metal must read higher; were two metals mixed up?"
        raise InputError("readings", f"{1.0 + slope:.2f} degrees for each degree", allowed)
    return centre, offset, slope, spread


def _scatter(left, parameters):
    """Standard deviation of what the line leaves over; 0 where nothing is left to judge by."""
    free = len(left) - parameters
    return math.sqrt(sum(each * each for each in left) / free) if free > 0 else 0.0


def _assumed(metals):
    if metals == 1:
        return ("one metal gives the offset only: the sensor is taken to be off by the same amount "
                "everywhere, give or take 0.75 % of the distance from that metal's freezing point",)
    if metals == 2:
        return ("two metals give a line through both: a mistake in one of them does not show",)
    return ()


@dataclass(frozen=True)
class Sighting:
    """What the metal looked like when the display had stood at a reading for some time.

    state                     "solid" (some of it still is) or "liquid" (all of it is)
    reading_c [deg C]         of the display
    liquidus_c, solidus_c     [deg C] of the metal
    held [s]                  how long the display had stood there
    """

    state: str
    reading_c: float
    liquidus_c: float
    solidus_c: float
    held: float

    def __post_init__(self):
        require_known("state of the metal", self.state, STATES)
        require_between("reading", self.reading_c, -40.0, 1400.0, "deg C")
        require_between("liquidus", self.liquidus_c, 20.0, CLASSES["class 2"][-1], "deg C")
        require_between("solidus", self.solidus_c, 20.0, self.liquidus_c, "deg C")
        require_between("time that the reading was held", self.held, 0.0, 86400.0, "s")

    @property
    def error(self):
        """The least that the sensor is off [K]: above 0 it reads high, below 0 low, 0 if nothing shows."""
        if self.state == "solid":
            return max(self.reading_c - self.liquidus_c, 0.0)
        return min(self.reading_c - self.solidus_c, 0.0)

    @property
    def true_c(self):
        """The temperature that the metal proves [deg C]."""
        return self.liquidus_c if self.state == "solid" else self.solidus_c


@dataclass(frozen=True)
class Finding:
    """One thing that speaks for a new sensor, or for waiting before anything is said.

    kind           "solid", "liquid" (a sighting), "reading" (at a freezing point), "too early"
    error, limit   [K] how far it is off, at least, and how far it may be
    true_c         [deg C] where
    """

    kind: str
    error: float
    limit: float
    true_c: float

    @property
    def replace(self):
        """Whether this alone calls for a new sensor."""
        return self.kind != "too early"

    def words(self, units=METRIC):
        """The finding as a sentence, in the units of the reader."""
        off = units.temperature_difference(abs(self.error))
        high = "high" if self.error > 0.0 else "low"
        limit = units.temperature_difference(self.limit)
        at = units.temperature(self.true_c)
        if self.kind == "too early":
            return (f"The metal and the display differ by {off} at {at}, but the metal may only lag: "
                    f"hold for {units.time(SETTLED_S)} and look again.")
        seen = {"solid": f"Metal is still solid above {at}, its liquidus, by the display: ",
                "liquid": f"Metal is liquid below {at}, its solidus, by the display: ",
                "reading": f"At the freezing point {at}: "}[self.kind]
        least = "" if self.kind == "reading" else "at least "
        return f"{seen}the sensor reads {least}{off} too {high}, more than {limit}. Replace it."


def findings(readings=(), sightings=(), multiple=REPLACE_AT):
    """What speaks for a new sensor, as a tuple of `Finding`; empty if nothing does.

    replace where |error| > multiple * tolerance of a new class 2 type K thermocouple at that temperature

    readings   any number of `Reading`
    sightings  any number of `Sighting`; one that was held for less than half an hour only says "too early",
               because the metal in a full pot lags behind the display (castlab.rules.furnace)
    multiple   1 to 20; 3 is judgement: a smaller error is steady enough to be allowed for

    Raises InputError outside these. Zinc still solid at 500 on the display is off by 80 K, and 3 times
    0.0075 * 419.5 is 9.4 K:

    >>> (found,) = findings(sightings=[Sighting("solid", 500.0, 419.527, 419.527, held=3600)])
    >>> found.replace, round(found.error), round(found.limit, 1)
    (True, 80, 9.4)
    >>> findings(readings=[Reading("zinc", 425.0)])
    ()
    """
    multiple = require_between("multiple of the tolerance", multiple, 1.0, 20.0)
    seen = [("reading", each) for each in readings]
    seen += [(each.state if each.held >= SETTLED_S else "too early", each) for each in sightings]
    found = (Finding(kind, each.error, multiple * tolerance(each.true_c), each.true_c) for kind, each in seen)
    return tuple(each for each in found if abs(each.error) > each.limit)


@dataclass(frozen=True)
class Check:
    """One check of a sensor: its day, written year-month-day ("2026-03-14"), and its readings."""

    day: str
    readings: tuple[Reading, ...]

    def __post_init__(self):
        self.date()

    def date(self):
        """The day as a date; raises InputError where it is none."""
        try:
            return date.fromisoformat(str(self.day))
        except ValueError:
            allowed = "it must be a day written as year-month-day, such as 2026-03-14"
            raise InputError("day of the check", repr(self.day), allowed) from None


@dataclass(frozen=True)
class Drift:
    """How a sensor's error changed between two checks: change, band [K] at true_c [deg C], over days."""

    change: float
    band: float
    true_c: float
    days: int

    @property
    def drifts(self):
        """Whether the change is more than the readings alone explain."""
        return abs(self.change) > self.band

    def words(self, units=METRIC):
        """The drift as a sentence, in the units of the reader."""
        at = units.temperature(self.true_c)
        change, band = (_at_least_one(each, units) for each in (abs(self.change), self.band))
        if not self.drifts or change.startswith(LESS):
            return (f"No drift shows at {at}: {change} in {self.days} days, and readings alone may differ "
                    f"by {band}.")
        way = "higher" if self.change > 0.0 else "lower"
        return (f"The sensor drifts: at {at} it reads {change} {way} than {self.days} days before, "
                f"give or take {band}. Check it again soon, or replace it.")


def _at_least_one(kelvins, units):
    """A difference in whole degrees; nobody reads "0 K higher" rightly."""
    words = units.temperature_difference(kelvins)
    return f"{LESS} 1 {units.differences.unit}" if words.startswith("0 ") else words


def drift(earlier, later, true_c, reading_uncertainty=READ_K):
    """How the error of a sensor changed between two checks at a true temperature.

    change = error_later(T) - error_earlier(T);  band = the two bands, root of the sum of their squares

    earlier, later           `Check`, the later on a later day
    true_c [deg C]           20 to 1372, the temperature that matters
    reading_uncertainty [K]  as for `fit_sensor`

    Returns `Drift`. Raises InputError for days in the wrong order. Source: as for `fit_sensor`. By hand, one
    reading each: 6 K of change against 2 sqrt(2) 2 K = 5.7 K:

    >>> first = Check("2026-01-10", (Reading("zinc", 420.5),))
    >>> second = Check("2026-03-11", (Reading("zinc", 426.5),))
    >>> found = drift(first, second, 419.527)
    >>> round(found.change, 1), round(found.band, 1), found.days, found.drifts
    (6.0, 5.7, 60, True)
    """
    days = (later.date() - earlier.date()).days
    if days <= 0:
        allowed = f"it must be after the earlier one, {earlier.day}"
        raise InputError("day of the later check", later.day, allowed)
    true_c = require_between("temperature for the drift", true_c, 20.0, HIGHEST_C, "deg C")
    before, after = (fit_sensor(each.readings, reading_uncertainty) for each in (earlier, later))
    band = math.hypot(before.band(true_c), after.band(true_c))
    return Drift(after.error(true_c) - before.error(true_c), band, true_c, days)
