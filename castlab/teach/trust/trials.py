"""Measurements that somebody published, beside what a hand rule says of them.

None is ours and none is complete: a rule spans a range where what was not printed has to be guessed.
"""

from dataclasses import dataclass

from castlab.materials import alloy, mould
from castlab.rules.filling import fluidity_length
from castlab.rules.freezing import skin_in_sand
from castlab.rules.furnace import HeatRows
from castlab.rules.gas import arm_spacing, arm_spacing_al_cu_si
from castlab.rules.melting import composition, heat_rows
from castlab.teach.text.reader_units import BOTH
from castlab.teach.trust import check_pictures
from castlab.teach.trust.checks import Check
from castlab.units import METRIC

BUILDER = "a builder's page, read: lining and end temperature not said"
WEDGE = "Farhang Mehr and others, wedge of A319 on a copper chill, abstract read: pouring not said"


@dataclass(frozen=True)
class Trial:
    """One measurement: what, (lowest, highest) measured and by the rule, source and what is missing."""

    what: str
    measured: tuple[float, float]
    by_rule: tuple[float, float]
    source: str
    words: object = BOTH.length

    def said(self, ends):
        """The ends of a range in words."""
        return " to ".join(dict.fromkeys(self.words(each, 2) for each in ends))


def trials():
    """All of them, each worked out by its rule."""
    return (
        Trial("skin of steel in silica sand after a minute", (6.84e-3, 6.84e-3), _skin(60.0),
              "a lecture sheet: superheat not said, here 100 to 0 K"),
        Trial("A356 runs farther at 730 than at 650 °C, times", (1.38, 2.23), _runs_farther(),
              "Metals 12 (2022) 1986, abstract read: steel and quartz tubes, here sand and die", _times),
        Trial("arm spacing of 319 frozen in 588 s", (40e-6, 40e-6), _arms(588.0), WEDGE),
        Trial("arm spacing of 319 frozen in 94 s", (25e-6, 25e-6), _arms(93.5), WEDGE),
        Trial("1 kg of aluminium melted with 2 kW", (1800.0, 1800.0), _least_time(1.0, 2000.0),
              f"{BUILDER}; under half an hour", _minutes),
        Trial("2.3 kg of aluminium melted with 4.4 kW", (7200.0, 7200.0), _least_time(2.27, 4400.0),
              f"{BUILDER}; about two hours", _minutes),
    )


def _times(ratio, digits):
    return f"{ratio:.{digits - 1}f}"


def _minutes(time, digits):
    return METRIC.time(time, digits, beside=1800.0)


def _skin(time):
    steel, sand = alloy("carbon steel"), mould("dry silica sand", hot=True)
    return tuple(skin_in_sand(time, steel, sand, steel.liquidus_c + above) for above in (100.0, 0.0))


def _runs_farther():
    metal = alloy("A356")
    lengths = [[fluidity_length(2.5e-3, 0.5, metal, mould(name), pour) for pour in (730.0, 650.0)]
               for name in ("cast-iron die", "dry silica sand")]
    return tuple(hot / cool for hot, cool in lengths)


def _arms(time):
    metal = alloy("319")
    shares = composition(metal)
    by_content = arm_spacing_al_cu_si(100.0 * shares["Cu"], 100.0 * shares["Si"], time)
    return tuple(sorted((arm_spacing(metal, time), by_content)))


def _least_time(mass, power):
    """With every joule in the metal; nothing for the lining."""
    metal = alloy("pure aluminium")
    heat = HeatRows(*heat_rows(metal, 800.0)).liquid_heat(metal.pour_range_c[0])
    return (mass * heat / power,) * 2


def against_trials():
    """What the rules say of published measurements: a Check."""
    found = trials()
    over = [sum(each.by_rule) / sum(each.measured) for each in found]
    return Check(
        "Against published measurements", ("what", "measured", "by the rule", "source, and what is missing"),
        tuple((each.what, each.said(each.measured), each.said(each.by_rule), each.source) for each in found),
        f"In the middle of its range the rule gives {over[0]:.2f} times the measured skin of steel, and up "
        f"to {max(over[2:4]):.1f} times the measured arm spacing of 319. With all heat in the metal a melt "
        f"takes {100 * min(over[4:]):.0f} to {100 * max(over[4:]):.0f} % of the builders' time: the lining "
        "takes the rest.",
        {each.what: (each.measured, each.by_rule) for each in found},
        lambda axes: check_pictures.draw_trials(axes, found))
