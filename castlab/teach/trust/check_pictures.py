"""The pictures and the page of the checks in `trust`, and the button behind which the long one waits."""

import base64
import io

import ipywidgets as widgets
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from castlab.plan import map_over
from castlab.teach.text import markup
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import Shown, button

SIZE_INCHES, DOTS_PER_INCH = (7.0, 3.2), 110
MARKS = "osD^vP"
GREYS = ("black", "0.55", "0.8")
SHADE = "0.9"
LEAST_RATIO = 0.05  # at the left end of the picture of trials; what is less is drawn there


def png(draw, title):
    """The picture that `draw(axes)` makes, as the bytes of a PNG."""
    figure = Figure(figsize=SIZE_INCHES, dpi=DOTS_PER_INCH, facecolor="white", layout="constrained")
    FigureCanvasAgg(figure)
    axes = figure.subplots()
    draw(axes)
    axes.set_title(title)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    if axes.get_legend_handles_labels()[0]:
        axes.legend(frameon=False, fontsize=8)
    stream = io.BytesIO()
    figure.savefig(stream, format="png")
    return stream.getvalue()


def page(check):
    """Table, picture and sentence of a Check; the sentence stands for the picture where it is not seen."""
    picture = base64.b64encode(check.png).decode()
    return (f"{markup.paragraph(check.says)}{markup.table(check.headings, check.rows)}"
            f'<img alt="{markup.safe(check.says)}" src="data:image/png;base64,{picture}">')


def draw_fronts(axes, fronts):
    """fronts: (name, times, computed depths, exact depths)."""
    for mark, grey, (name, times, depth, exact) in zip(MARKS, GREYS, fronts, strict=False):
        root = np.sqrt(times / times[-1])
        axes.plot(root, 1e3 * exact, color=grey)
        axes.plot(root, 1e3 * depth, ls="", marker=mark, ms=4, mfc="white", mec=grey,
                  label=f"{name}, to {times[-1]:.0f} s")
    axes.set(xlabel="root of (time / last time); line: exact, marks: field", ylabel="solid [mm]")


def draw_pairs(axes, pairs):
    """Rule over field of each pair."""
    names = list(dict.fromkeys(row.alloy for row in pairs))
    shapes = list(dict.fromkeys(row.shape for row in pairs))
    axes.axhspan(0.85, 1.15, color=SHADE, lw=0)
    axes.axhline(1.0, color="black", lw=1)
    for mark, grey, name in zip(MARKS, GREYS, names, strict=False):
        values = [row.rule_over_field for row in pairs if row.alloy == name]
        axes.plot(range(len(shapes)), values, ls="", marker=mark, mfc=grey, mec="black", label=name)
    axes.set(xticks=range(len(shapes)), xticklabels=shapes, ylim=(0.7, 1.3), ylabel="rule / field",
             xlabel="shaded: within 15 %")


def draw_plates(axes, plates, limit):
    """plates: {length: (places, values)}; below the limit a plate is not fed."""
    axes.axhspan(1e-3, limit, color=SHADE, lw=0)
    for style, (length, (place, value)) in zip(("-", "--", "-.", ":"), plates.items(), strict=False):
        axes.plot(place, value, style, color="black", label=f"{length:g} thicknesses long")
    axes.set(yscale="log", ylim=(5e-3, 20), xlabel="from the feeder [thicknesses]; shaded: not fed",
             ylabel="G/√R [(K s)$^{1/2}$/mm]")


def draw_fed_plates(axes, plates, length, published):
    """plates: a `FedPlate` each; a bar that ends at `length` thicknesses means all along the plate."""
    names = [f"{plate.metal}, {1e3 * plate.thick_m:.0f} mm" for plate in plates]
    fed, low, high = (np.array([length if each is None else each for each in values])
                      for values in zip(*((plate.fed_over, plate.low, plate.high) for plate in plates),
                                        strict=True))
    axes.barh(names, fed, color="0.8", edgecolor="black", height=0.6)
    axes.hlines(names, low, high, color="black", lw=2)
    axes.axvline(published, color="black", ls="--", label=f"published for steel: {published:g}")
    axes.set(xlim=(0.0, length), xlabel="from the feeder [thicknesses]; line: by the data's ranges")
    axes.invert_yaxis()


def draw_gas(axes, plates, trials):
    """plates: a `GassyPlate` each; trials: least and most per cent of pores in castings of degassed melts."""
    content = [1e5 * plate.content for plate in plates]
    axes.axhspan(*trials, color=SHADE, lw=0)
    for mark, by, name in (("--", "rule", "by the rule, at most"), ("o-", "field", "in the field")):
        axes.plot(content, [100.0 * getattr(plate, by) for plate in plates], mark, color="black", label=name)
    axes.set(xlabel="hydrogen in the melt [ml in 100 g]; shaded: trials, degassed", ylabel="pores [%]")


def draw_ratios(axes, found, published):
    """found: {alloy: ratio}."""
    axes.bar(list(found), list(found.values()), color="0.7", edgecolor="black", width=0.5)
    axes.axhline(published, color="black", ls="--", label=f"published, with a margin: {published:g}")
    axes.set(ylabel="feeder / casting, moduli", ylim=(0.0, 1.6))


def draw_least_feeders(axes, cases, found, curves):
    """found: (moduli, volumes) or None for each case (shape, alloy); curves: {metal: (a, b, c)}."""
    for style, metal in zip(("-", "--"), ("steel", "aluminium"), strict=True):
        shape, least, longer = curves[metal]
        ratio = np.linspace(longer + 0.02, 2.2, 200)
        axes.plot(ratio, shape / (ratio - longer) + least, style, color="black",
                  label=f"curve for {metal}, from memory")
    names = dict.fromkeys(name for _, name in cases)
    greys = ("black", "0.45", "0.65", "0.85", "white")
    for mark, grey, name in zip(MARKS, greys, names, strict=False):
        points = [each for (_, other), each in zip(cases, found, strict=True) if each and other == name]
        axes.plot([x for x, _ in points], [y for _, y in points], ls="", marker=mark, mfc=grey, mec="black",
                  label=name)
    axes.set(xlabel="feeder over casting, moduli", ylabel="volumes", xlim=(0.6, 2.2), ylim=(0.0, 3.0))


def draw_parts(axes, cases, found):
    """found: a `Smallest` or None for each case (part, alloy)."""
    parts = list(dict.fromkeys(part for part, _ in cases))
    for mark, grey, name in zip(MARKS, 2 * GREYS, dict.fromkeys(name for _, name in cases), strict=False):
        points = [(parts.index(part), each.modulus)
                  for (part, other), each in zip(cases, found, strict=True) if each and other == name]
        axes.plot([x for x, _ in points], [y for _, y in points], ls="", marker=mark, mfc=grey, mec="black",
                  label=name)
    axes.axhline(1.0, color="black", lw=1)
    axes.set(xticks=range(len(parts)), xticklabels=parts, ylim=(0.0, 1.4),
             ylabel="feeder / section, moduli", xlabel="the textbook's way of counting, open top included")


def draw_class_set(axes, castings, times, limits):
    """castings in the order of each of `times`, {name: times [s]}; limits: of x [mm] and y [s]."""
    for grey, (name, found) in zip(GREYS, times.items(), strict=False):
        shapes = dict.fromkeys(each.shape for each in castings)
        for mark, shape in zip(MARKS, shapes, strict=False):
            points = [(1e3 * each.modulus, time) for each, time in zip(castings, found, strict=True)
                      if each.shape == shape]
            axes.plot(*zip(*points, strict=True), ls="", marker=mark, mfc="white", mec=grey,
                      label=f"{shape}, {name}")
    (low, high), (first, last) = limits
    middle = (low * high) ** 0.5, (first * last) ** 0.5
    axes.plot((low, high), [middle[1] * (end / middle[0]) ** 2 for end in (low, high)], ":", color="0.6")
    axes.set(xscale="log", yscale="log", xlim=(low, high), ylim=(first, last), xlabel="modulus [mm]",
             ylabel="time until solid [s]; dots: its square")
    axes.set_xticks((6, 8, 10, 15, 20, 30), ("6", "8", "10", "15", "20", "30"))
    axes.grid(which="both", color="0.85", lw=0.5)


def draw_balances(axes, found):
    """found: {casting: (heat, paid, densities)}."""
    for mark, place, name in zip(MARKS, range(3), ("heat", "asked less paid", "densities"), strict=False):
        values = [max(each[place], 1e-17) for each in found.values()]
        axes.plot(range(1, len(values) + 1), values, ls="", marker=mark, mec="black", mfc="0.7", label=name)
    axes.set(yscale="log", ylim=(1e-18, 1.0), xlabel="casting, in the order of the table",
             ylabel="share missing")


def draw_convergence(axes, found):
    """found: (cell, time, volume), coarse to fine; each over the finest."""
    cells = [1e3 * cell for cell, _, _ in found]
    for mark, place, name in zip(MARKS, (1, 2), ("last metal solid", "holes"), strict=False):
        axes.plot(cells, [100.0 * (each[place] / found[-1][place] - 1.0) for each in found], color="black",
                  marker=mark, mfc="0.7", label=name)
    axes.set(xlabel="cells [mm]", ylabel="over the finest [%]", xlim=(0.0, 1.05 * max(cells)))


def draw_ranges(axes, times, share):
    """times: the plain pour's, then the eight others'."""
    axes.axvspan((1.0 - share) * times[0], (1.0 + share) * times[0], color=SHADE, lw=0, label="stated")
    axes.plot(times[1:], range(1, len(times)), ls="", marker="o", mec="black", mfc="0.7", label="eight pours")
    axes.axvline(times[0], color="black", lw=1, label="the data's own values")
    axes.set(xlabel="last metal solid [s]", ylabel="pour", xlim=(0.0, None))


def draw_trials(axes, found):
    """found: trials; each computed range over the middle of what was measured."""
    for place, each in enumerate(reversed(found)):
        middle = 0.5 * sum(each.measured)
        for ends, width, grey in ((each.measured, 7.0, "0.7"), (each.computed, 2.0, "black")):
            axes.plot([max(end / middle, LEAST_RATIO) for end in ends], [place, place], "-o", color=grey,
                      lw=width, ms=width)
    axes.set(xscale="log", xlim=(LEAST_RATIO, 4.0), xticks=(0.1, 1.0), xticklabels=("0.1", "1"),
             ylim=(-0.6, len(found) - 0.4), yticks=range(len(found)),
             yticklabels=[each.what for each in reversed(found)],
             xlabel="grey: measured; black: computed")
    axes.tick_params(axis="y", labelsize=7)


def draw_stated(axes, found):
    """found: (time, stated error, finer time)."""
    places = range(1, len(found) + 1)
    axes.errorbar(places, [0.0] * len(found), [100.0 * error / time for time, error, _ in found], ls="",
                  color="black", capsize=4, label="stated")
    axes.plot(places, [100.0 * (finer / time - 1.0) for time, _, finer in found], ls="", marker="o",
              mec="black", mfc="0.7", label="half the cells")
    axes.set(xlabel="casting, in the order of the table", ylabel="off by [%]")


class LongCheck(Shown):
    """A check that takes longer: a button, a bar, and the page when it is done.

    function, items   each answer is `function(item)`, computed in other processes
    check_of          function: list of answers -> Check
    """

    def __init__(self, function, items, check_of, words):
        self._function, self._items, self._check_of = function, items, check_of
        self.check, self._work, self._page = None, Work(), widgets.HTML()
        self.button = button(words, lambda _: self.start())
        self.widget = widgets.VBox([self.button, self._work.widget, self._page])

    def start(self):
        """Begin anew."""
        self._work.start(map_over(self._function, self._items), on_done=self._show)

    def wait(self, timeout=None):
        """For tests: until it is done; the Check."""
        self._work.wait(timeout)
        return self.check

    def _show(self, found):
        self.check = self._check_of(found)
        self._page.value = page(self.check)
