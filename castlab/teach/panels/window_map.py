"""The window map of a bench: what becomes of the casting over two of its sliders.

All settings are computed in the background on coarse cells, then those beside a border between two kinds
again on fine ones. The bench's present setting is marked and moves with its sliders; from the map the bench
can be sent to any setting.
"""

import time
from typing import Protocol

import ipywidgets as widgets
import numpy as np

from castlab.errors import InputError, require_known
from castlab.field.outcome import COARSE, FULL
from castlab.plan import Batch, Job
from castlab.teach.bench.cache import Cache
from castlab.teach.bench.controls import image
from castlab.teach.panels.map_picture import WIDTH, Axis, MapPicture, MapScene
from castlab.teach.panels.map_verdict import CANNOT, KINDS, cannot_be_cast, kind_of, outcome_on_map
from castlab.teach.sliders.slider import label_of, scale_of, words_of
from castlab.teach.text import markup
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import Shown
from castlab.units import said

STOPS = 15  # values of each slider
CACHE_BYTES = 5_000_000  # some thousand outcomes
REDRAW_SECONDS = 0.3  # while outcomes come in
SIDES = ((1, 0), (-1, 0), (0, 1), (0, -1))
HIDDEN = "The map is hidden until you have said what you expect."
OLD = "This map is for other settings. Press “Compute the map” for the present ones."
EMPTY = "Nothing is computed yet for these settings. Press “Compute the map”."
WORDS_STYLE = "font-size:16px; line-height:1.35; min-height:24px; max-width:960px"
LIMITS = (
    "Computed on cells of {coarse}, finer where a section is thin. A dot: beside a border between two kinds, "
    "so computed again on cells of {fine}. Misrun (the metal stops before the mould is full) is not "
    "computed: a rule of thumb compares how long metal runs in the thinnest section with how long the pour "
    "takes; it is good to a factor of two.")


def survey(setups, known):
    """The plan of a map: every setup on coarse cells, then both sides of every border on fine ones.

    setups  {(column, row): Setup}; equal ones are computed once
    known   {Setup: Outcome}, what need not be computed again

    Its answer is {Setup: Outcome}. Between sound, marginal and the kinds of defect, no border is left that
    was not computed on fine cells; the borders of "misrun" do not depend on cells.
    """
    outcomes = dict(known)
    in_order = dict.fromkeys(setups[spot] for spot in sorted(setups, key=_turn))
    new = [setup for setup in in_order if setup not in outcomes]
    outcomes.update(zip(new, (yield jobs(new, COARSE)), strict=True))
    while new := unchecked(setups, outcomes):
        outcomes.update(zip(new, (yield jobs(new, FULL)), strict=True))
    return outcomes


def jobs(setups, look):
    """A batch that computes these setups, each with this look."""
    return Batch(Job(outcome_on_map, setup, look) for setup in setups)


def _turn(spot):
    """Every fourth place comes first, then every second, so that the whole map is soon seen in outline."""
    return max((0, 2, 1, 2)[place % 4] for place in spot)


def unchecked(setups, outcomes):
    """The setups beside a border that have not been computed on fine cells."""
    kinds = {spot: kind_of(outcomes[setup]) for spot, setup in setups.items() if outcomes[setup].look}
    found = {}
    for (column, row), kind in kinds.items():
        setup = setups[column, row]
        around = (kinds.get((column + right, row + up), kind) for right, up in SIDES)
        if outcomes[setup].look == COARSE and any(other != kind for other in around):
            found[setup] = None
    return list(found)


def stops(control, count):
    """Up to so many values of a slider [SI], evenly spread over its range, each on one of its steps."""
    low, high, step = control.low, control.high, control.slider.step
    last = int((high - low) / step + 1e-6)
    numbers = sorted({round(place) for place in np.linspace(0, last, count)})
    return tuple(round(low + step * number, 9) for number in numbers)


class Mapped(Protocol):
    """What a map is of: a bench, or what else has sizes that can be moved.

    called    what a reader calls it        hidden    whether its result may not be seen yet
    controls  {name: control}, each with its `slider`, and `low` and `high` as they are now
    """

    called: str
    hidden: bool
    units: object
    controls: dict
    values: dict

    def setup(self, **values):
        """The Setup with some values changed."""

    def set(self, **values):
        """Move there."""

    def when_moved(self, listener):
        """Call `listener()` after each move."""

    def guarded(self, action):
        """The wrapper of callbacks."""

    def button(self, words, action):
        """A button that does `action()`, guarded."""


class WindowMap(Shown):
    """The map under a bench: `widget` shows it, `compute` fills it, `wait` waits until it is full.

    bench       a `Mapped`
    across, up  names of two of its sliders, as the map begins; anyone may choose others from the menus
    count       values of each slider

    Raises InputError for a slider that the bench has not.
    """

    def __init__(self, bench, across, up, count=STOPS):
        self.bench, self.work, self.count = bench, Work(), count
        self._cache, self._drawn_at, self._quiet = Cache(CACHE_BYTES), 0.0, False
        self._names = [name for name, control in bench.controls.items() if control.slider.kind != "choice"]
        self._build()
        self.choose(across, up)
        bench.when_moved(self._follow_bench)

    # ---- for tests, number cells and other programs

    @property
    def sentence(self):
        """What the map says in all, as plain text."""
        return markup.plain(self._sentence.value)

    @property
    def looked_at(self):
        """What it says of the setting in the frame, as plain text."""
        return markup.plain(self._looked_at.value)

    @property
    def kinds(self):
        """{(column, row): kind} of all that is computed; columns and rows count from the lowest value."""
        return {spot: kind_of(outcome) for spot, outcome in self.outcomes.items()}

    def choose(self, across, up):
        """Map two other sliders."""
        for name in (across, up):
            require_known("slider of the map", name, self._names)
        if across == up:
            raise InputError("sliders of the map", f"{across!r} twice", "choose two different ones")
        self._quiet = True
        self._across.value, self._up.value = across, up
        self._quiet = False
        self._lay_out()

    def compute(self):
        """Begin to fill the map for the bench's present settings; what is known is not computed again."""
        self._lay_out()
        if not self.bench.hidden:
            plan = survey(self._setups, self._known())
            self.work.start(plan, self._take, lambda _: self._draw())

    def wait(self, timeout=None):
        """Wait until the map is full; see `castlab.teach.work.progress.Work.wait`."""
        self.work.wait(timeout)
        self._draw()

    def jump(self, column, row):
        """Move the bench's two sliders to a place of the map, counted from the lowest values."""
        across, up = self._values
        column, row = min(max(column, 0), len(across) - 1), min(max(row, 0), len(up) - 1)
        self.bench.set(**dict(zip(self._pair, (across[column], up[row]), strict=True)))

    def step(self, right, up):
        """Move the bench by so many places of the map."""
        column, row = (round(place) for place in self._here())
        self.jump(column + right, row + up)

    # ---- the map follows the bench

    def _lay_out(self):
        """Take the present settings, and whatever is known about them."""
        self.work.stop()
        names, self._setups, self.outcomes = self._pair, {}, {}
        self._others = _, _, self._values = self._present_others()
        for column, x in enumerate(self._values[0]):
            for row, y in enumerate(self._values[1]):
                self._place((column, row), dict(zip(names, (x, y), strict=True)))
        self._spots = {}
        for spot, setup in self._setups.items():
            self._spots.setdefault(setup, []).append(spot)
        for setup, outcome in self._known().items():
            self._fill(setup, outcome)
        self._speak()

    def _place(self, spot, values):
        try:
            self._setups[spot] = self.bench.setup(**values)
        except InputError as error:
            self.outcomes[spot] = cannot_be_cast(error)

    def _known(self):
        """The best outcome that is kept of each setup."""
        both = {setup: self._cache.kept((setup, FULL)) or self._cache.kept((setup, COARSE))
                for setup in self._spots}
        return {setup: outcome for setup, outcome in both.items() if outcome}

    def _fill(self, setup, outcome):
        for spot in self._spots.get(setup, ()):
            self.outcomes[spot] = outcome

    def _take(self, job, outcome):
        self._cache.get(job.args, lambda: outcome)
        self._fill(job.args[0], outcome)
        if time.monotonic() - self._drawn_at > REDRAW_SECONDS:
            self._draw()

    @property
    def _pair(self):
        """The names of its two sliders."""
        return self._across.value, self._up.value

    def _present_others(self):
        """All that the map depends on besides its two sliders."""
        names = self._pair
        values = {name: value for name, value in self.bench.values.items() if name not in names}
        return names, values, tuple(stops(self.bench.controls[name], self.count) for name in names)

    @property
    def _old(self):
        return self._others != self._present_others()

    def _follow_bench(self):
        if self._old or self.bench.hidden:
            self.work.stop()
        if self._units is not self.bench.units:
            self._speak()
        else:
            self._draw()

    def _here(self):
        """Where the bench stands, in columns and rows; between two of them, a fraction."""
        return tuple(float(np.interp(self.bench.values[name], values, range(len(values))))
                     for name, values in zip(self._pair, self._values, strict=True))

    # ---- what is seen

    def _speak(self):
        """New axes, in the bench's units."""
        self._units = self.bench.units
        self._axes = tuple(map(self._axis, self._pair, self._values))
        self._picture = MapPicture(*self._axes, self.bench.called)
        coarse, fine = (self._units.length(cell, 2) for cell in (COARSE.cell, FULL.cell))
        self._limits.value = markup.paragraph(LIMITS.format(coarse=coarse, fine=fine))
        self._quiet = True
        for slider, axis in zip(self._look, self._axes, strict=True):
            index = slider.index or 0
            slider.description, slider.options = axis.label, axis.ticks
            slider.index = min(index, len(axis.ticks) - 1)
        self._quiet = False
        self._draw()

    def _axis(self, name, values):
        slider = self.bench.controls[name].slider
        ticks = tuple(words_of(slider, value, self._units).split()[0] for value in values)
        return Axis(label_of(slider, scale_of(slider.kind, self._units)), ticks)

    def _draw(self):
        old, hidden = self._old, self.bench.hidden
        kinds = {} if hidden else self.kinds
        fine = (spot for spot, outcome in self.outcomes.items() if outcome.look == FULL)
        checked = frozenset(() if hidden else fine)
        look = tuple(slider.index for slider in self._look)
        here = None if old else self._here()
        self._image.value = self._picture.png(MapScene(kinds, checked, here, look, old))
        words = HIDDEN if hidden else OLD if old else self._summary()
        self._sentence.value = markup.status(words, WORDS_STYLE)
        self._looked_at.value = markup.status(self._words_at(look, hidden), WORDS_STYLE)
        self._compute_button.disabled = hidden
        self._drawn_at = time.monotonic()

    def _summary(self):
        """Such as "Of 225 settings 97 are sound, 128 have a sink."."""
        total, kinds = len(self._values[0]) * len(self._values[1]), list(self.kinds.values())
        counts = [f"{kinds.count(kind)} {kind}" for kind in KINDS if kind in kinds]
        if not set(kinds) - {CANNOT}:
            return EMPTY
        rest = total - len(kinds)
        return f"Of {total} settings: {', '.join(counts)}" + (f"; {rest} not computed." if rest else ".")

    def _words_at(self, spot, hidden):
        """What is in the frame."""
        outcome = None if hidden else self.outcomes.get(spot)
        if outcome is None:
            return "In the frame: not computed."
        start = f"In the frame: {kind_of(outcome)}"
        if outcome.refused:
            return f"{start}: {said(outcome.refused, self._units)}."
        where = f" in the {outcome.block}" if outcome.block and not outcome.sound else ""
        cell = outcome.look.cell_in(self._setups[spot].layout)
        cells = f"computed on cells of {self._units.length(cell, 2)}"
        return f"{start}{where}, holes of {100 * outcome.defect_share:.2g} % of the casting, {cells}."

    # ---- widgets

    def _build(self):
        self._image = image(WIDTH)
        self._sentence, self._looked_at, self._limits = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self._across, self._up = self._menu("across"), self._menu("up")
        self._look = tuple(widgets.SelectionSlider(
            options=["0"], style={"description_width": "initial"}, layout={"width": "400px"}) for _ in "xy")
        for slider in self._look:
            slider.observe(self.bench.guarded(self._look_moved), "value")
        self._compute_button = self.bench.button("Compute the map", self.compute)
        called = self.bench.called
        go = self.bench.button(f"Set the {called} to the frame", self._go)
        arrows = [self.bench.button(f"{arrow} {called}", lambda right=right, up=up: self.step(right, up))
                  for arrow, (right, up) in zip("→←↑↓", SIDES, strict=True)]
        row = {"flex_flow": "row wrap", "align_items": "center"}
        menus = widgets.HBox([self._across, self._up, self._compute_button], layout=row)
        frame = widgets.HBox([*self._look, go], layout=row)
        parts = [menus, self.work.widget, self._sentence, self._image, frame, self._looked_at,
                 widgets.HBox(arrows, layout=row), self._limits]
        self.widget = widgets.VBox(parts)

    def _menu(self, side):
        labels = [(self.bench.controls[each].slider.label, each) for each in self._names]
        menu = widgets.Dropdown(options=labels, description=f"map {side}",
                                style={"description_width": "initial"}, layout={"width": "auto"})
        menu.observe(self.bench.guarded(self._axes_chosen), "value")
        return menu

    def _axes_chosen(self):
        """A slider chosen for both sides changes places with the one that it takes the place of."""
        if self._quiet:
            return
        (across, up), now = self._others[0], self._pair
        self.choose(*((up, across) if now[0] == now[1] else now))

    def _look_moved(self):
        if not self._quiet:
            self._draw()

    def _go(self):
        self.jump(*(slider.index for slider in self._look))
