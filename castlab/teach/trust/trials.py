"""Measurements that somebody published, beside what a hand rule or the field says of them.

None is ours and none is complete: what was not printed is spanned between two ends, or found from one number.
"""

import math
from dataclasses import dataclass
from functools import partial

from castlab.materials import alloy, mould
from castlab.rules.contraction import hole_where_mould_yields, pattern_scale, volume_to_feed
from castlab.rules.filling import fluidity_length_under_head
from castlab.rules.freezing import skin_in_sand
from castlab.rules.furnace import SMALL_FURNACE
from castlab.rules.gas import arm_spacing, arm_spacing_al_cu_si
from castlab.rules.lining import TWO_BUILDERS
from castlab.rules.melting import composition
from castlab.teach.text.reader_units import BOTH
from castlab.teach.trust import check_pictures, trials_in_field
from castlab.teach.trust.checks import Check
from castlab.units import METRIC

BUILDER = "a builder's page, read: lining and end temperature not said"
WEDGE = "Farhang Mehr and others, wedge of A319 on a copper chill, abstract read: pouring not said"
INGOT = "article on steel in an encyclopaedia, read: superheat not said, here 20 to 60 K; one coefficient " \
        "at the mould's face for all times"
TUBES = "Metals 12 (2022) 1986, abstract read: steel and quartz tubes, bore not said, here 3 to 10 mm"
SLEEVES = "Hardin, Williams, Beckermann 2013, abstract read, computed there from fitted trials: height and " \
          "wall not said, here as high as wide and 12 to 25 mm"
WEST = "West, Metallurgy of Cast Iron 1902, read in a poor scan: pouring not said, here 1300 to 1400 °C"


@dataclass(frozen=True)
class Trial:
    """One measurement: what, (lowest, highest) measured and computed, by "rule" or by "field", its source and
    what is missing."""

    what: str
    measured: tuple[float, float]
    computed: tuple[float, float]
    by: str
    source: str
    words: object = BOTH.length

    @property
    def apart(self):
        """How many times farther the nearest computed end lies; 1 where the ranges meet."""
        low, high = max(self.measured[0], self.computed[0]), min(self.measured[1], self.computed[1])
        return max(low / high, 1.0) if high > 0.0 else math.inf

    @property
    def inside(self):
        """Whether the two ranges meet, to a hundredth."""
        return self.apart < 1.01

    def said(self, ends):
        """The ends of a range in words."""
        return " to ".join(dict.fromkeys(self.words(each, 2) for each in ends))


def trials():
    """All of them, each computed."""
    return (*_freezing(), *_filling(), *_holes(), *_melting())


def _freezing():
    skins = [Trial(f"skin of steel in an iron mould after {minutes} min", (depth, depth),
                   _span(partial(trials_in_field.skin_in_iron, 60.0 * minutes), (20.0, 60.0)), "field", INGOT)
             for minutes, depth in ((1, 20e-3), (4, 40e-3), (9, 60e-3))]
    arms = [Trial(f"arm spacing of 319 frozen in {time:.0f} s", (size, size), _arms(time), "rule", WEDGE)
            for time, size in ((588.0, 40e-6), (93.5, 25e-6))]
    sleeves = [Trial(f"modulus of a 7 inch feeder in an {kind} sleeve, times", (factor, factor),
                     _span(partial(trials_in_field.sleeve_factor, f"{kind} sleeve"), (12e-3, 25e-3)), "field",
                     SLEEVES, _times)
               for kind, factor in (("insulating", 1.245), ("exothermic", 1.20))]
    return (
        Trial("skin of steel in silica sand after a minute", (6.84e-3, 6.84e-3), _skin(60.0), "rule",
              "a lecture sheet, read: superheat not said, here 0 to 100 K"),
        *skins, *arms,
        Trial("319 freezes at 5 mm from copper, where it takes 588 s at 50 mm", (56.0, 56.0),
              (trials_in_field.beside_chill(mould("copper chill").interface_coefficient),) * 2, "field",
              f"{WEDGE}; the width is found from the 588 s", _seconds),
        *sleeves,
    )


def _filling():
    return (
        Trial("A356 runs farther at 730 than at 650 °C, times", (36 / 26, 29 / 13),
              _times_farther((730.0, 1.0), (650.0, 1.0)), "rule", TUBES, _times),
        Trial("A356 runs farther with six times the suction, times", (31 / 20, 43 / 25),
              _times_farther((690.0, 6.0**0.5), (690.0, 1.0)), "rule", TUBES, _times),
    )


def _holes():
    steel, iron, pours = alloy("carbon steel"), alloy("grey iron"), (1300.0, 1400.0)
    cold = steel.density_solid * pattern_scale(steel) ** 3
    contracts = 1.0 - steel.density_liquid / cold
    return (
        Trial("steel from liquid to cold, volume", (0.102, 0.102), (contracts, contracts), "rule",
              "the same article: densities 7.06 and 7.86 g/cm3", _per_cent),
        Trial("hole in grey iron, if the mould were stiff", (0.016, 0.020),
              _span(lambda pour: volume_to_feed(1.0, iron, pour), pours), "rule", WEST, _per_cent),
        Trial("hole in grey iron, each size grown by up to 0.5 %", (0.016, 0.020),
              (volume_to_feed(1.0, iron, pours[0]), hole_where_mould_yields(1.0, iron, pours[1], 0.015)),
              "rule", f"{WEST}; growth not measured", _per_cent),
    )


def _melting():
    return tuple(Trial(f"{each.mass:.1f} kg of aluminium melted with {each.power / 1e3:g} kW",
                       (each.time,) * 2, (each.least_time, each.computed_time(SMALL_FURNACE)), "rule",
                       f"{BUILDER}; from no lining at all to the most that the time allows", _minutes)
                 for each in TWO_BUILDERS)


def _span(function, ends):
    """(lowest, highest) of a function at two ends of what was not printed."""
    return tuple(sorted(function(end) for end in ends))


def _skin(time):
    steel, sand = alloy("carbon steel"), mould("dry silica sand", hot=True)
    return _span(lambda above: skin_in_sand(time, steel, sand, steel.liquidus_c + above), (0.0, 100.0))


def _arms(time):
    metal = alloy("319")
    shares = composition(metal)
    by_content = arm_spacing_al_cu_si(100.0 * shares["Cu"], 100.0 * shares["Si"], time)
    return tuple(sorted((arm_spacing(metal, time), by_content)))


def _times_farther(hot, cool):
    """(lowest, highest) ratio of two runs of A356 in tubes of sand and iron; each (pour [deg C], m/s)."""
    metal = alloy("A356")
    runs = [[fluidity_length_under_head(radius, speed, metal, mould(wall), pour)
             for pour, speed in (hot, cool)]
            for wall in ("cast-iron die", "dry silica sand") for radius in (1.5e-3, 5e-3)]
    ratios = [far / near for far, near in runs]
    return min(ratios), max(ratios)


def _times(ratio, digits):
    return f"{ratio:.{digits}f}"


def _per_cent(share, digits):
    return f"{100.0 * share:.{digits - 1}f} %"


def _seconds(time, digits):
    return METRIC.time(time, digits)


def _minutes(time, digits):
    return METRIC.time(time, digits, beside=1800.0)


def against_trials():
    """What rules and field say of published measurements: a Check."""
    found = trials()
    inside = sum(each.inside for each in found)
    return Check(
        "Against published measurements",
        ("what", "measured", "computed", "by", "source, and what is missing"),
        tuple((each.what, each.said(each.measured), each.said(each.computed), each.by, each.source)
              for each in found),
        f"Of {len(found)} published measurements {inside} meet what is computed; the farthest is "
        f"{max(each.apart for each in found):.1f} times away. "
        "None was fitted; the arms of 319 lie between two published laws, of which one is here.",
        {each.what: (each.measured, each.computed) for each in found},
        lambda axes: check_pictures.draw_trials(axes, found))
