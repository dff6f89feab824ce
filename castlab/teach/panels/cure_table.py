"""The table of cures under a bench: every kind side by side with its price, searched in the background."""

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.field import cure_kinds, cures
from castlab.field.holes import name_of
from castlab.teach.bench.bench import HIDDEN
from castlab.teach.bench.computed_for import as_it_stands
from castlab.teach.sliders.slider import words_of
from castlab.teach.sliders.to_design import design_of
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import Shown
from castlab.units import said

HEADINGS = ("cure", "setting", "with its margin, as it is tried", "result", "how sure", "metal poured",
            "yield", "extra metal", "solid after", "drawbacks")
FAILING = ("what does not work", "best setting", "what is left", "why")
CELLS = cures.COARSE.cell, cures.FULL.cell
LEAST_KG = 0.5e-3  # less metal more is none
BUTTON = "Find the cures"
NONE_YET = "Press the button: each kind of cure is tried on the casting as it stands on the bench."
BEFORE = "This table is for the casting before the cure: {}. Another cure takes the place of this one."
NONE_WORKS = "Nothing that was tried makes this casting sound."
SOUND_ALREADY = "This casting is sound as it stands. Take its cure away, and search again."
NOTE = (
    "Searched on cells of {}, confirmed on {}. “How sure” counts eight pours with the mould's conductivity, "
    "latent heat, contraction and pouring temperature low or high, for the setting one step further on where "
    "that is sound. The model leaves out flow, gas and stress; properties are known to 10 to 20 %."
)


class CureTable(Shown):
    """A button, a progress bar, the table, and a menu that puts a cure on the bench.

    bench    the bench of a part, made by `bench_for`
    part     its name

    `widget` goes under the bench; `wait()` is for tests and number cells.
    """

    def __init__(self, bench, part):
        self._bench, self._part, self._work = bench, part, Work()
        self.found, self._for = (), as_it_stands(bench)
        self._cured, self._searched, self._refused = [], None, None
        self._build()
        bench.when_moved(self._follow)

    def search(self):
        """Search the cures of the casting as it stands on the bench; the table appears when it is done."""
        searched = as_it_stands(self._bench)
        if self._bench.hidden:
            self._refuse(HIDDEN, searched)
            return
        try:
            design = design_of(self._part, searched.values)
            sound = self._bench.solve().sound
        except InputError as error:
            why = sentence_of(error, self._bench.units)
            self._refuse(f"This cannot be cast, and so not cured. {why}", searched)
            return
        if sound:
            self._refuse(SOUND_ALREADY, searched)
            return
        self._searched, self._refused = searched, None
        self._work.start(cures.cures(design), on_done=lambda found: self.show(found, searched))
        self._follow()

    def wait(self, timeout=None):
        """Wait for the search to end; returns the cures."""
        self._work.wait(timeout)
        return self.found

    def show(self, found, searched=None):
        """Fill the table with the cures of the casting that stood on the bench at `searched`, else now."""
        self.found, self._for, self._cured = tuple(found), searched or as_it_stands(self._bench), []
        self._follow()

    @property
    def may_be_tried(self):
        """Whether the bench stands at the casting that was searched, or at one of its cures from here."""
        return bool(self.found) and (self._for.holds or self._bench.values in self._cured)

    def _follow(self):
        """What is said of the state of the bench, when that has moved or something has come."""
        if self._refused is None or not self._refused.holds:
            self._refused = None
            running = self._work.running and self._searched is not self._for
            self._say(self._searched.note("The table to come", BUTTON) if running else
                      "" if self.found else NONE_YET)
        if self.found:
            self._fill()

    def _refuse(self, words, searched):
        """Say why there is no search, until the bench stands elsewhere."""
        self._refused = searched
        self._say(words)

    def _fill(self):
        units = self._bench.units
        rows = [row_of(cure, units) for cure in self.found]
        working, failing = ([row for row, cure in zip(rows, self.found, strict=True) if cure.works == wanted]
                            for wanted in (True, False))
        tried = [self.tried(number) for number, cure in enumerate(self.found) if cure.works]
        working = [(*row[:2], words, *row[2:]) for row, words in zip(working, tried, strict=True)]
        tables = [markup.table(HEADINGS, working) if working else markup.paragraph(NONE_WORKS),
                  markup.table(FAILING, [(*row[:3], row[-1]) for row in failing],
                                  NOTE.format(*(units.length(cell, 2) for cell in CELLS)))]
        self._table.value = self._marked(markup.as_wide_as_it_needs("".join(tables)))
        options = tuple((f"{name}, {setting}", number) for number, (name, setting, *_) in enumerate(rows)
                        if self.can_be_set(number))
        if options != self._menu.options:
            chosen, numbers = self._menu.value, [number for _, number in options]
            self._menu.options = options
            self._menu.value = chosen if chosen in numbers else next(iter(numbers), None)
        self._menu.disabled = self._try.disabled = not (options and self.may_be_tried)

    def _marked(self, tables):
        """With words about the state that they are for, unless the bench stands there."""
        if not self.may_be_tried:
            return markup.outdated(self._for.note("This table", BUTTON), tables)
        return tables if self._for.holds else markup.paragraph(BEFORE.format(self._for.settings)) + tables

    def tried(self, number):
        """All that a cure sets on the bench, in words; a dash where the bench cannot set it."""
        controls, units = self._bench.controls, self._bench.units
        if not self.can_be_set(number):
            return "-"
        return ", ".join(f"{controls[name].slider.label} {words_of(controls[name].slider, value, units)}"
                         for name, value in self._changed(self.found[number])) or "-"

    def can_be_set(self, number):
        """Whether the bench has all sliders that a cure moves, and their ranges reach so far."""
        return all(name in self._bench.controls and _within(self._bench.controls[name], value)
                   for name, value in self._changed(self.found[number]))

    @property
    def words(self):
        """What it says beside the button, as plain text."""
        return markup.plain(self._words.value)

    def put(self, number):
        """Put the casting that was searched on the bench, with one cure, with its margin where it has one.

        Raises InputError when the bench stands at another casting by now.
        """
        if not self.may_be_tried:
            raise InputError("casting on the bench", "another one than these cures are for",
                             "search its own cures first")
        self._bench.set(**self._for.values | dict(self._changed(self.found[number])))
        self._cured.append(self._bench.values)
        self._follow()

    def _changed(self, cure):
        """What a cure changes that was not already so."""
        design = design_of(self._part, self._for.values)
        usual = cure_kinds.usual_sizes(self._part) | design.values
        return [(name, value) for name, value in cure.margin or cure.changes if usual.get(name) != value]

    def print_table(self):
        """Print the table, for a number cell."""
        for cure in self.found:
            print(" | ".join(word for word in row_of(cure, self._bench.units) if word))

    # ---- widgets

    def _build(self):
        self._button = self._bench.button(BUTTON, self.search)
        self._button.layout.flex = "0 0 auto"
        self._words, self._table = widgets.HTML(), widgets.HTML()
        self._menu = widgets.Dropdown(description="put on the bench", options=[],
                                      style={"description_width": "initial"},
                                      layout={"width": "460px", "max_width": "100%"})
        self._try = self._bench.button("Try it", lambda: self.put(self._menu.value))
        self._try.disabled = True
        self._say(NONE_YET)
        rows = [widgets.HBox([self._button, self._words]), self._work.widget, self._table,
                widgets.HBox([self._menu, self._try])]
        self.widget = widgets.VBox(rows)

    def _say(self, words):
        self._words.value = markup.status(words) if words else ""


def _within(control, value):
    if control.slider.kind == "choice":
        return value in control.slider.options
    low, _, high = control.range()
    return low <= value <= high


def row_of(cure, units):
    """One row of the table, in words."""
    outcome = cure.outcome
    if outcome.refused:
        return (cure.name, "", "cannot be cast", "", "", "", "", "", said(cure.catch, units))
    result = "sound" if cure.works else f"{name_of(outcome.kind)} {units.volume(outcome.defect_m3)}"
    sure = "" if cure.sure is None else f"{cure.sure} of 8" + ("" if cure.sure > 6 else ": marginal")
    price = (units.mass(outcome.poured_kg), f"{100 * outcome.yield_share:.0f} %",
             more_metal(cure.added_kg, units), units.time(outcome.froze_s))
    return (cure.name, setting_of(cure, units), result, sure, *price, said(cure.catch, units))


def more_metal(added_kg, units):
    """How much more metal a cure takes, with its sign."""
    if abs(added_kg) < LEAST_KG:
        return "none"
    return ("+" if added_kg > 0.0 else "") + units.mass(added_kg)


def setting_of(cure, units):
    """The setting of a cure in words; of a pair, both."""
    both = cure.setting if isinstance(cure.setting, tuple) else (cure.setting,)
    return " and ".join(value_in_words(one, units) for one in both)


def value_in_words(setting, units):
    """Words as they are, sizes below a metre as lengths, larger numbers as temperatures.

    >>> from castlab.units import METRIC
    >>> value_in_words(0.018, METRIC), value_in_words("blind", METRIC)
    ('18 mm', 'blind')
    """
    if isinstance(setting, str):
        return setting
    return units.length(setting) if setting < 1.0 else units.temperature(setting)
