"""Outcomes with made-up holes, for tests of the search for bad examples and of its bench."""

import re

from castlab.field.holes import Hole
from castlab.field.outcome import Outcome

CM3 = 1e-6
CASTING_M3 = 100 * CM3
SOUND = Outcome("sound", casting_m3=CASTING_M3, poured_kg=1.0)
METRIC_UNIT = re.compile(r"\b(mm|cm3|cm³|kg|g|K)\b|°C|deg C")


def with_holes(*rows):
    """The outcome of a casting with these holes: kind, block, size [m3]."""
    holes = tuple(Hole(*row, (0.0, 0.0), 90.0) for row in rows)
    return Outcome("defective", holes=holes, causes=("no feeder",), casting_m3=CASTING_M3, poured_kg=1.0)


def sink(size_m3, kind="sink", block="boss"):
    return with_holes((kind, block, size_m3))
