"""Both ways of speaking at once, for paper; and an error as a sentence of the person who reads it."""

from castlab.units import INCH_POUND, METRIC, said


def sentence_of(error, units):
    """An error as a sentence: with a capital letter, a full stop, and in these units.

    >>> from castlab.errors import InputError
    >>> from castlab.units import metres
    >>> sentence_of(InputError("core", metres(0.002), "at least {}", metres(0.003)), BOTH)
    'Core is 2 mm (0.0787 in): at least 3 mm (0.118 in).'
    """
    words = said(error, units)
    return f"{words[:1].upper()}{words[1:]}."


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

    def contact(self, *value):
        """A coefficient of contact [W/m2K] in both."""
        return self._twice("contact", *value)

    def time(self, *value):
        """Seconds are the same in both."""
        return METRIC.time(*value)

    @staticmethod
    def _twice(name, *value):
        return f"{getattr(METRIC, name)(*value)} ({getattr(INCH_POUND, name)(*value)})"


BOTH = Both()
