"""What is computed below speaks metric; here it is said in the units of the person who reads it.

`in_units` turns the quantities in a sentence that came from rules or field, such as an error, `BOTH` speaks
both ways at once, for paper.
"""

import re

from castlab.units import INCH_POUND, METRIC

_NUMBER = r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?"
_UNIT = r"(mm|m|cm3|m3|g|kg|deg C|°C|K)(?![\w/²^])"  # and not W/m2K or kg/m3
_QUANTITY = re.compile(rf"(?<![\w.])(?:({_NUMBER}) (and|to) )?({_NUMBER}) {_UNIT}")
_MEASURED = {  # what each unit measures, and how many SI units it is; "deg C" is how errors write it
    "mm": ("length", 1e-3), "m": ("length", 1.0), "cm3": ("volume", 1e-6), "m3": ("volume", 1.0),
    "g": ("mass", 1e-3), "kg": ("mass", 1.0), "deg C": ("temperature", 1.0), "°C": ("temperature", 1.0),
    "K": ("temperature_difference", 1.0),
}
_WRITTEN_SO = ("mm", "cm3", "g", "kg", "°C", "K")  # by METRIC itself


def in_units(words, units):
    """A sentence with metric quantities, said in these units. What METRIC would write so stays as it is.

    words   text, or an error
    units   METRIC, INCH_POUND or BOTH

    >>> in_units("core is 2 mm: 0 (none), or 3 mm to 14 mm", INCH_POUND)
    'core is 0.0787 in: 0 (none), or 0.118 in to 0.551 in'
    >>> in_units("plate length is 0.7 m: it must lie between 0.02 and 0.5 m", METRIC)
    'plate length is 700 mm: it must lie between 20 mm and 500 mm'
    >>> in_units("poured at 1150 deg C, 15 K colder, on sand of 0.6 W/m2K", INCH_POUND)
    'poured at 2102 °F, 27 °F colder, on sand of 0.6 W/m2K'
    """

    def turned(match):
        first, joint, last, unit = match.groups()
        start = f"{_one(first, unit, units)} {joint} " if first else ""
        return start + _one(last, unit, units)

    return _QUANTITY.sub(turned, str(words))


def sentence_of(error, units):
    """An error as a sentence: with a capital letter, a full stop, and in these units.

    >>> sentence_of("core is 2 mm: it must be larger", METRIC)
    'Core is 2 mm: it must be larger.'
    """
    words = in_units(error, units)
    return f"{words[:1].upper()}{words[1:]}."


def _one(number, unit, units):
    if units is METRIC and unit in _WRITTEN_SO:
        return f"{number} {unit}"
    name, factor = _MEASURED[unit]
    digits = (max(2, _digits(number)),) if name in ("volume", "mass") else ()
    return getattr(units, name)(factor * float(number), *digits)


def _digits(number):
    """How many digits of a number say something; the closing zeros of a whole number do not."""
    digits = number.split("e")[0].lstrip("-0.")
    return len(digits.replace(".", "") if "." in digits else digits.rstrip("0"))


class Both:
    """Metric, and inch-pound behind it: for paper, because scales, displays and rulers in a shop differ.

    >>> BOTH.temperature(470.0), BOTH.length(0.012), BOTH.time(45.0)
    ('470 °C (878 °F)', '12 mm (0.472 in)', '45 s')
    """

    lengths = METRIC.lengths  # a scale bar is a round number of these

    def length(self, *value):
        """A length [m] in both."""
        return self._twice("length", *value)

    def volume(self, *value):
        """A volume [m3] in both."""
        return self._twice("volume", *value)

    def mass(self, *value):
        """A mass [kg] in both."""
        return self._twice("mass", *value)

    def temperature(self, *value):
        """A temperature [deg C] in both."""
        return self._twice("temperature", *value)

    def temperature_difference(self, *value):
        """A difference [K] in both."""
        return self._twice("temperature_difference", *value)

    def time(self, *value):
        """Seconds are the same in both."""
        return METRIC.time(*value)

    @staticmethod
    def _twice(name, *value):
        return f"{getattr(METRIC, name)(*value)} ({getattr(INCH_POUND, name)(*value)})"


BOTH = Both()
