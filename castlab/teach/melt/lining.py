"""What a lining costs, for lesson 8: two builders' melts side by side."""

import ipywidgets as widgets

from castlab.rules.lining import TWO_BUILDERS
from castlab.teach.text import markup
from castlab.teach.text.reader_units import BOTH
from castlab.units import METRIC

BRICK = 1000.0  # J/kg/K of firebrick and castable, hot; common practice
HEADINGS = ("furnace", "power", "aluminium", "took", "least time possible", "electricity",
            "lining, at most as much as")
NOTE = ("Two builders' pages, read: end temperature, here 720 °C (1328 °F), and lining were not said. "
        "What was lost to the room is counted as lining, as if it were brick.")


def two_builders():
    """The two melts as a table, without what its task asks for: a widget."""
    rows = [(f"{melt.name}", f"{melt.power / 1e3:.1f} kW", BOTH.mass(melt.mass), METRIC.time(melt.time),
             METRIC.time(melt.least_time), f"{melt.power * melt.time / 3.6e6:.1f} kWh",
             f"{BOTH.mass(melt.lining / BRICK)} of brick")
            for melt in TWO_BUILDERS]
    return widgets.HTML(markup.table(HEADINGS, rows, NOTE))


def what_they_say():
    """The two melts in a sentence, for whoever has worked it out."""
    light, heavy = TWO_BUILDERS
    return (f"The stronger furnace takes {heavy.time / light.time:.0f} times as long, because it has about "
            f"{heavy.lining / light.lining:.0f} times as much lining to warm up. A second melt, while it is "
            f"hot, needs little more than the least time, {METRIC.time(heavy.least_time)}: melt in a row.")
