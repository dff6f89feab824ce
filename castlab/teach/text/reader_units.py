"""Both ways of speaking at once, for paper; and an error as a sentence of the person who reads it."""

from castlab.units import INCH_POUND, METRIC, SAID_AS, said


def sentence_of(error, units):
    """An error as a sentence: with a capital letter, a full stop, and in these units.

    >>> from castlab.errors import InputError
    >>> from castlab.units import metres
    >>> sentence_of(InputError("core", metres(0.002), "at least {}", metres(0.003)), BOTH)
    'Core is 2 mm (0.0787 in): at least 3 mm (0.118 in).'
    """
    words = said(error, units)
    return f"{words[:1].upper()}{words[1:]}."


def _twice(name):
    """A way of speaking that says what METRIC says, and what INCH_POUND says behind it."""
    return lambda self, *value: f"{getattr(METRIC, name)(*value)} ({getattr(INCH_POUND, name)(*value)})"


class Both:
    """Metric, and inch-pound behind it: for paper, because scales, displays and rulers in a shop differ.

    >>> BOTH.temperature(470.0), BOTH.length(0.012), BOTH.time(45.0)
    ('470 °C (878 °F)', '12 mm (0.472 in)', '45 s')
    """

    lengths = METRIC.lengths  # a scale bar is a round number of these
    length, volume, mass, temperature, temperature_difference, contact = map(_twice, SAID_AS.values())
    time = staticmethod(METRIC.time)  # the same in both


BOTH = Both()
