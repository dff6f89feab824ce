"""How large the hole is against one slider: a dot for each state that was seen, and a button for the rest."""

import itertools

import ipywidgets as widgets
import numpy as np

from castlab.errors import InputError
from castlab.field.outcome import outcome_of
from castlab.plan import map_over
from castlab.teach.panels import curve
from castlab.teach.sliders.slider import on_step, scale_of, words_of
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import Shown

EVERY = 2  # steps of the slider from one computed dot to the next
SHAPES = {"sound": "circle", "marginal": "triangle", "defective": "square"}
SAID = {"sound": "sound", "marginal": "marginal", "defective": "not sound"}
LEAST_M3 = 1e-6  # the height of the picture is that of a hole so large or larger


class HoleCurve(Shown):
    """The drawing beside a bench, `drawing_of=curve.drawing`, and its button: `curve.stand_under(bench)`.

    slider   the `Slider` along the axis. The dots are for the others as they stand; they go when one moves.
    """

    def __init__(self, slider):
        self._slider, self._name = slider, slider.name
        self._others, self._dots, self._work = None, {}, Work()
        self._bench = self._setups = None
        self.widget = widgets.VBox([])

    def stand_under(self, bench):
        """Put the button and its bar under a bench, and start over each time that another slider moves."""
        self._bench = bench
        button = bench.button(f"Compute the curve: holes against {self._slider.label}", self.ask)
        self.widget.children = (widgets.HBox([button]), self._work.widget)
        bench.stand_below(self.widget)

    @property
    def dots(self):
        """What is known now: {value of the slider [SI]: (volume of all holes [m3], verdict)}."""
        return dict(self._dots)

    def ask(self):
        """Pour what is not known yet, each second step of the slider; nothing while the result is hidden."""
        bench = self._bench
        if bench.result is None:
            return
        self._setups = {}
        slider = self._slider
        for value in np.arange(slider.low, slider.high + 0.5 * slider.step, EVERY * slider.step):
            value = on_step(slider, float(value))
            if value not in self._dots:
                try:
                    self._setups[bench.setup(**{self._name: value})] = value
                except InputError:
                    continue  # no dot for what cannot be cast
        self._work.start(map_over(outcome_of, list(self._setups)), on_result=self._take)

    def wait(self, timeout=None):
        """Wait for the end of the work; returns the dots."""
        self._work.wait(timeout)
        return self.dots

    def _take(self, job, outcome):
        (setup,) = job.args
        if outcome.verdict in SHAPES:
            self._dots[self._setups[setup]] = outcome.defect_m3, outcome.verdict
        self._bench.draw_beside()

    def drawing(self, values, result, units):
        """The curve as HTML, and in it the result that belongs to these values of the sliders."""
        others = {name: value for name, value in values.items() if name != self._name}
        if others != self._others:
            self._others, self._dots = others, {}
            self._work.stop()
        here = values[self._name]
        if result.rough is not None:  # the full answer
            self._dots[here] = result.casting_paid_m3, result.verdict
        return curve.drawing(self._curve(here, result, units))

    def _curve(self, here, result, units):
        slider, scale = self._slider, scale_of(self._slider.kind, units)
        shown = sorted((self._dots | {here: (result.casting_paid_m3, result.verdict)}).items())
        most = 1.15 * max(LEAST_M3, *(volume for _, (volume, _) in shown))
        points = [(float(scale.shown(value)), units.volumes.shown(volume)) for value, (volume, _) in shown]
        dots = tuple(curve.Dot(*point, "here" if value == here else "", SHAPES[verdict],
                               verdict == "defective", value == here)
                     for point, (value, (_, verdict)) in zip(points, shown, strict=True))
        return curve.Curve(
            f"All holes of the casting against {slider.label}, as far as it was computed: "
            f"{_said(shown, slider, units)}. Round: sound; triangle: marginal; black square: not sound. The "
            "other sliders stand as they do.",
            curve.Axis(f"{slider.label} [{scale.unit}]", scale.shown(slider.low), scale.shown(slider.high)),
            curve.Axis(f"holes [{units.volumes.unit}]", 0.0, units.volumes.shown(most)),
            lines=(curve.Line(tuple(points)),), dots=dots)


def _said(shown, slider, units):
    """What the dots say, neighbours of one verdict together."""
    parts = []
    for verdict, group in itertools.groupby(shown, key=lambda dot: dot[1][1]):
        (first, (at_first, _)), *_, (last, (at_last, _)) = [*group] * 2
        ends = dict.fromkeys((words_of(slider, first, units), words_of(slider, last, units)))
        holes = dict.fromkeys((units.volume(at_first), units.volume(at_last)))
        size = "" if verdict == "sound" else f", {' to '.join(holes)}"
        parts.append(f"{' to '.join(ends)} {SAID[verdict]}{size}")
    return "; ".join(parts)
