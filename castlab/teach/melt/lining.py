"""What a lining costs, for lesson 8: two builders' melts side by side, and a task about them."""

import ipywidgets as widgets

from castlab.rules.lining import TWO_BUILDERS
from castlab.teach.bench.questions import Checked, is_near, slip_in, task
from castlab.teach.text import markup
from castlab.teach.text.reader_units import BOTH
from castlab.units import METRIC

BRICK = 1000.0  # J/kg/K of firebrick and castable, hot; common practice
CLOSE_ENOUGH = 0.08  # rounding of the heat by hand
HEADINGS = ("furnace", "power", "aluminium", "took", "with all heat in the metal", "electricity",
            "of that in the metal", "lining, at most as much as")
NOTE = ("Two builders' pages, read: end temperature, here 720 °C (1328 °F), and lining were not said. "
        "What was lost to the room is counted as lining, as if it were brick.")
_, HEAVY = TWO_BUILDERS
TASK_LINING = """A builder's furnace has 4.4 kW and a lining of firebrick. From cold it took 2 hours to melt
2.27 kg (5 lb) of aluminium and bring it to 720 °C (1328 °F), for which a kilogram takes 1.14 MJ. How many per
cent of the electricity were in the metal at the end? (1 W is 1 J/s.)"""


def two_builders():
    """The two melts as a table, and what they say in a sentence: a widget."""
    rows = [(f"{melt.name}", f"{melt.power / 1e3:.1f} kW", BOTH.mass(melt.mass), METRIC.time(melt.time),
             METRIC.time(melt.least_time), f"{melt.power * melt.time / 3.6e6:.1f} kWh",
             f"{100.0 * melt.share_in_metal:.0f} %", f"{BOTH.mass(melt.lining / BRICK)} of brick")
            for melt in TWO_BUILDERS]
    light, heavy = TWO_BUILDERS
    says = (f"The stronger furnace takes {heavy.time / light.time:.0f} times as long, because it has about "
            f"{heavy.lining / light.lining:.0f} times as much lining to warm up. A second melt, while it is "
            f"hot, needs little more than the least time, {METRIC.time(heavy.least_time)}: melt in a row.")
    return widgets.HTML(markup.paragraph(says) + markup.table(HEADINGS, rows, NOTE))


@task(TASK_LINING, number="per cent")
def task_lining(bench, answer):
    """Where the heat of a melt from cold goes, by a balance."""
    right = 100.0 * HEAVY.share_in_metal
    if is_near(answer, right, CLOSE_ENOUGH):
        return Checked(True, f"{HEAVY.metal_heat / 1e6:.1f} of {HEAVY.power * HEAVY.time / 1e6:.1f} MJ. The "
                             "rest is in the lining, and lost through it. Light blocks took a tenth of that; "
                             "heavy brick pays only for whoever melts all day.")
    slips = (
        (100.0 - right, "That is what the lining and the room got."),
        (100.0 / HEAVY.mass * HEAVY.share_in_metal, "That is one kilogram; there were 2.27."),
        (60.0 * right, "The 2 hours are 7200 seconds, not 120."),
        (right / 100.0, "That is the share; times 100."),
    )
    return Checked(False, slip_in(answer, slips, CLOSE_ENOUGH) or
                   "Electricity first: power times time, in joules. Then what 2.27 kg took, over that.")
