"""Pouring temperature against thickness: where a plate fills by the rule, where perhaps, and where not."""

import numpy as np

from castlab.teach.panels import curve

THICKNESSES = np.geomspace(0.003, 0.012, 10)  # [m]
TEMPERATURES = 4  # from one end of the alloy's usual range to the other


class FillingWindow:
    """The window as a drawing beside a bench: `drawing_of=window.drawing`.

    rule_of   function: values of the sliders, with "thickness" and "pour_temp_c" -> what the rule says, with
              `verdict`, and `spare`: how many times as long the plate stays open as filling takes
    safe      so much time to spare is enough; with less than 1 it is a misrun

    The rule is asked at a few temperatures for each of a few thicknesses, and that is kept while the other
    sliders stand.
    """

    def __init__(self, rule_of, safe):
        self._rule_of, self._safe, self._kept = rule_of, safe, (None, None)

    def drawing(self, values, result, units):
        """The window as HTML, and in it the result that belongs to these values of the sliders."""
        low, high = result.setup.alloy.pour_range_c
        across, up = units.lengths.shown, units.temperatures.shown
        fills, may = ([(across(each), up(temp)) for each, temp in zip(THICKNESSES, edge, strict=True)]
                      for edge in self._edges(values, np.linspace(low, high, TEMPERATURES)))
        floor, ceiling = ([(across(each), up(end)) for each in THICKNESSES] for end in (low, high))
        areas = tuple(curve.Area((*above, *below[::-1]), fill, *_named(words, above, below))
                      for words, above, below, fill in (("misrun", may, floor, "hatched"),
                                                        ("marginal", fills, may, "light"),
                                                        ("fills", ceiling, fills, "plain")))
        verdict = self._rule_of(values).verdict
        here = curve.Dot(across(values["thickness"]), up(values["pour_temp_c"]), f"here: {verdict}",
                         strong=True)
        return curve.drawing(curve.Curve(
            "The window, by the rule. Above the whole line the plate stays open for twice the time that "
            "filling takes: it fills. Between the lines it is marginal; below the broken one it is a misrun. "
            f"The bench stands at {units.length(values['thickness'])} and "
            f"{units.temperature(values['pour_temp_c'])}: {verdict}.",
            curve.Axis(f"section thickness [{units.lengths.unit}]", floor[0][0], floor[-1][0]),
            curve.Axis(f"pouring temperature [{units.temperatures.unit}]", up(low), up(high)),
            areas, (curve.Line(tuple(may), "", curve.STROKES[1]), curve.Line(tuple(fills))), (here,)))

    def _edges(self, values, temperatures):
        """For each thickness the temperatures above which it fills, and perhaps fills [deg C]; an end of the
        temperatures where that lies beyond."""
        others = {name: value for name, value in values.items() if name not in ("thickness", "pour_temp_c")}
        if self._kept[0] != others:
            spare = [[self._rule_of(others | {"thickness": float(each), "pour_temp_c": float(temp)}).spare
                      for temp in temperatures] for each in THICKNESSES]
            self._kept = others, [[float(np.interp(level, times, temperatures)) for times in spare]
                                  for level in (self._safe, 1.0)]
        return self._kept[1]


def _named(words, above, below):
    """Words for the area between two edges, and their place: where it is highest."""
    high, low = max(zip(above, below, strict=True), key=lambda both: both[0][1] - both[1][1])
    return ("", ()) if high[1] == low[1] else (words, (high[0], 0.5 * (high[1] + low[1])))
