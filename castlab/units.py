"""The one place where SI becomes mm, cm3, g and deg C, or inch, in3, lb and deg F, for people to read.

Inside, everything is SI with temperatures in deg C. A slider works in shown units through a `Scale`
(`METRIC.lengths.shown(0.012)` is 12.0); a sentence takes words (`METRIC.length(0.012)` is "12 mm").
Inch 25.4 mm and pound 0.45359237 kg are exact by definition (International Yard and Pound, 1959).
"""

import math
from dataclasses import dataclass

from castlab.errors import InputError, require_number

INCH_M = 0.0254
POUND_KG = 0.45359237
LONG_S, VERY_LONG_S = 600.0, 7200.0  # from here on minutes, then hours, read better than seconds


@dataclass(frozen=True)
class Scale:
    """A unit that a person reads: shown = si * factor + offset.

    >>> fahrenheit = INCH_POUND.temperatures
    >>> round(fahrenheit.shown(100.0), 6), round(fahrenheit.si(32.0), 6)
    (212.0, 0.0)
    """

    unit: str
    factor: float
    offset: float = 0.0

    def shown(self, si):
        """From SI (deg C for temperatures) to the number a person reads; numbers or arrays."""
        return si * self.factor + self.offset

    def si(self, shown):
        """From the number a person reads to SI (deg C for temperatures); numbers or arrays."""
        return (shown - self.offset) / self.factor


@dataclass(frozen=True)
class Units:
    """One way of speaking: its scales, for sliders, and its words, for sentences.

    The words take SI and keep `digits` significant digits, two where physics gives two. Each raises
    InputError for what is not a finite number.

    >>> METRIC.volume(3.14e-6), METRIC.time(226.0), METRIC.temperature(472.0)
    ('3.1 cm3', '230 s', '472 °C')
    >>> INCH_POUND.length(0.0127), INCH_POUND.mass(1.0), INCH_POUND.temperature(472.0)
    ('0.5 in', '2.2 lb', '882 °F')
    """

    name: str
    lengths: Scale
    volumes: Scale
    masses: Scale
    temperatures: Scale
    differences: Scale

    def length(self, metres, digits=3):
        """Such as "12 mm"; closing zeros are left out, because a drawing would not have them."""
        number = self.lengths.shown(require_number("length", metres, "m"))
        return f"{_without_closing_zeros(significant(number, digits))} {self.lengths.unit}"

    def volume(self, cubic_metres, digits=2):
        """Such as "3.1 cm3"."""
        number = self.volumes.shown(require_number("volume", cubic_metres, "m3"))
        return f"{significant(number, digits)} {self.volumes.unit}"

    def mass(self, kilograms, digits=2):
        """Such as "640 g", or "1.2 kg" from 1000 g on."""
        number = self.masses.shown(require_number("mass", kilograms, "kg"))
        if self.masses.unit == "g" and abs(number) >= 1000.0:
            return f"{significant(number / 1000.0, digits)} kg"
        return f"{significant(number, digits)} {self.masses.unit}"

    def temperature(self, celsius):
        """Such as "472 °C", to the nearest degree."""
        number = self.temperatures.shown(require_number("temperature", celsius, "deg C"))
        return f"{number:.0f} {self.temperatures.unit}"

    def temperature_difference(self, kelvins):
        """Such as "40 K" or "72 °F", to the nearest degree: a superheat, a freezing range."""
        number = self.differences.shown(require_number("temperature difference", kelvins, "K"))
        return f"{number:.0f} {self.differences.unit}"

    def time(self, seconds, digits=2, beside=None):
        """Such as "45 s", "12 min", "2.5 h"; the same in both ways of speaking.

        `beside`: another time [s], in whose unit this one is said, so that the two can be compared.
        """
        number, unit = _in_time_unit(require_number("time", seconds, "s"), beside)
        return f"{significant(number, digits)} {unit}"

    def time_within(self, seconds, error, beside=None):
        """Such as "189 s" where it may be 1 s off, "190 s" where 6 s: to the first figure of twice `error`.

        Two figures at least, three at most; `error` in s, `beside` as in `time`.
        """
        beside = seconds if beside is None else beside
        number, _ = _in_time_unit(require_number("time", seconds, "s"), beside)
        off, _ = _in_time_unit(require_number("error", error, "s"), beside)
        reach = _first_place(number) - _first_place(2.0 * off) + 1 if number and off else 3
        return self.time(seconds, min(max(reach, 2), 3), beside)


def _in_time_unit(seconds, beside):
    """A time as a person reads it, and its unit: that in which `beside` is read, when that is given."""
    size = abs(seconds if beside is None else beside)
    for limit, length, unit in ((LONG_S, 1.0, "s"), (VERY_LONG_S, 60.0, "min")):
        if size < limit:
            return seconds / length, unit
    return seconds / 3600.0, "h"


def _first_place(number):
    """Place of the first figure of a number: 0 for 3, -1 for 0.3, 1 for 30."""
    return math.floor(math.log10(abs(number)))


def significant(number, digits=2):
    """A number in plain figures with so many significant digits, without an exponent.

    >>> significant(1234.0), significant(0.04567), significant(9.96), significant(3.0, 3), significant(0.0)
    ('1200', '0.046', '10', '3.00', '0')
    """
    if digits < 1:
        raise InputError("digits", digits, "it must be 1 or more")
    if number == 0.0:
        return "0"
    rounded = float(f"{number:.{digits - 1}e}")
    places = digits - 1 - math.floor(math.log10(abs(rounded)))
    return f"{rounded:.{max(places, 0)}f}"


def per_cent(share):
    """A share in whole per cent, with two figures at most and without a sign.

    >>> per_cent(0.0453), per_cent(-0.37), per_cent(1.46)
    ('5', '37', '150')
    """
    return f"{float(f'{round(abs(100.0 * share)):.2g}'):.0f}"


def _without_closing_zeros(text):
    return text.rstrip("0").rstrip(".") if "." in text else text


METRIC = Units(
    name="metric",
    lengths=Scale("mm", 1e3),
    volumes=Scale("cm3", 1e6),
    masses=Scale("g", 1e3),
    temperatures=Scale("°C", 1.0),
    differences=Scale("K", 1.0),
)
INCH_POUND = Units(
    name="inch-pound",
    lengths=Scale("in", 1.0 / INCH_M),
    volumes=Scale("in3", 1.0 / INCH_M**3),
    masses=Scale("lb", 1.0 / POUND_KG),
    temperatures=Scale("°F", 1.8, 32.0),
    differences=Scale("°F", 1.8),
)
