"""The desk for a part of one's own: table or file, three views, pour, hot spots, feeders, cures, how sure."""

from dataclasses import replace

import ipywidgets as widgets
import numpy as np

from castlab.errors import InputError, require_known
from castlab.field.cures import cures
from castlab.field.design import design
from castlab.field.diagnosis import diagnose
from castlab.field.hot_spots import hot_spots
from castlab.field.outcome import COARSE, FULL, outcome_of, pour, require_room
from castlab.field.own_part import Body, OwnPart
from castlab.field.sure import across_bands
from castlab.field.turned_rigging import carried
from castlab.materials import alloy, alloy_names, mould
from castlab.plan import Batch, Job, map_over
from castlab.teach.bench.controls import units_switch
from castlab.teach.bench.safe_keys import safe_keys
from castlab.teach.own_part import by_rule
from castlab.teach.own_part.as_bench import AsBench
from castlab.teach.own_part.in_words import as_it_lies, cure_tables, numbers_of, spot_words
from castlab.teach.own_part.metal_and_pot import too_much_metal
from castlab.teach.own_part.part_files import PartFiles
from castlab.teach.own_part.part_table import PartTable
from castlab.teach.own_part.rigging_table import RiggingTable
from castlab.teach.own_part.views import Views, words_and_buttons
from castlab.teach.panels.cure_table import setting_of
from castlab.teach.panels.sensitivity import in_words
from castlab.teach.shop.book_file import BookFile
from castlab.teach.text import markup
from castlab.teach.text.cautions import cautions_at
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.text.sentence import sentence
from castlab.teach.work.alone import alone
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import button, guarded, menu
from castlab.units import METRIC

MOULDS = ("green sand", "dry silica sand", "investment")
UPS = {
    "its top (+y)": "+y",
    "its bottom (-y)": "-y",
    "its right end (+x)": "+x",
    "its left end (-x)": "-x",
    "its front (+z)": "+z",
    "its back (-z)": "-z",
}
EMPTY = OwnPart("my part", (Body("body 1", "box", (("length", 0.06), ("height", 0.02), ("width", 0.03))),))
NOT_POURED = "Press “Pour” to see where it shrinks."
NO_SPOT = "None: what freezes last is a feeder, a gate, or beside one."
NOT_YET = "They are listed when the part is poured."
QUICK = "quick answer; the full one follows"
REST_SECONDS = 60.0  # after a pour the next change is near, and a fresh process takes as long as the field
ROUGHLY_POUR_K = 45.0  # above the liquidus, at first; common practice in small moulds


class OwnPartDesk(AsBench):
    """A part of one's own, from the empty table or a file to a sound casting: `OwnPartDesk()`.

    `wait()` is for tests and number cells: it ends the pour or the search that is going on.
    """

    def __init__(self, part=EMPTY, folder="."):
        super().__init__()
        self.units, self._quiet = METRIC, True
        self.account, self.spots, self.cures, self.outcomes = None, (), (), ()
        self._work, self._folder = Work(rest=REST_SECONDS), folder
        self._build()
        self.table = PartTable(part, self.guarded, self._part_changed)
        self.rigging = RiggingTable(self.guarded, self._changed)
        self.files = PartFiles(self, EMPTY, folder)
        self._place_tables()
        self._quiet = False
        self._part_changed()

    # ---- what it stands for

    @property
    def part(self):
        """The part in the table; None while it cannot be."""
        return self.table.part

    @property
    def whole_part(self):
        """The part with what stands on it; None while it cannot be drawn."""
        return self.part and replace(self.part, rigging=tuple(self.rigging.sizes.items()))

    def design(self):
        """What would be poured now. Raises InputError for what cannot be drawn."""
        if self.part is None:
            raise self.table.error
        metal, sand = alloy(self._alloy.value), mould(self._mould.value)
        temp_c = self.units.temperatures.si(self._pour_temp.value)
        return design(self.part, metal, sand, round(temp_c, 1), **self.rigging.sizes)

    @property
    def alloy(self):
        """The name of the alloy that is chosen."""
        return self._alloy.value

    @property
    def words(self):
        """What is said about the part or the casting, as plain text."""
        return markup.plain(self._said.value)

    @property
    def alert(self):
        """What went wrong in the last callback, as plain text; empty when nothing did."""
        return markup.plain(self._alert.value)

    # ---- what the buttons do

    @alone
    def show_part(self, part, words=""):
        """Put a part on the desk, with what stands on it; what was there goes."""
        self._quiet, self.files.saved = True, None
        self.rigging.show(dict(part.rigging))
        self.table.show(part)
        self.turn(part.up)
        self._quiet = False
        self.files.say(words)
        self._look_at_middle()
        self._part_changed()

    def print_numbers(self):
        """Print what is said now, and the hot spots."""
        print(self.words)
        for spot in self.spots:
            print(self.spot_words(spot))

    @alone
    def pour(self):
        """Pour the part as it stands: a quick answer first; hot spots and all else come with the full one."""
        self._start(_quick_and_full, self._poured, self._looked)

    @alone
    def ask_how_sure(self):
        """Pour it eight times with its data low or high."""
        self._start(lambda asked: map_over(outcome_of, across_bands(asked)), self._sure)

    @alone
    def find_cures(self):
        """Search what makes it sound, at its hot spots."""
        self._start(cures, self._cured)

    def wait(self, timeout=None):
        """Wait until what was started is done."""
        self._work.wait(timeout)
        return self

    @alone
    def put_here(self, kind, spot):
        """A feeder, gate or chill at a hot spot, sized by rule."""
        make = {"feeder": by_rule.feeder_here, "gate": by_rule.gate_here, "chill": by_rule.chill_here}
        try:
            self.rigging.put(kind, make[require_known("kind", kind, make)](spot))
        except InputError as error:
            self._said.value = markup.status(sentence_of(error, self.units))

    @alone
    def put_cure(self, number):
        """Put one of the cures that were found on the part."""
        cure = self.cures[number]
        self.put(cure.margin or cure.changes)

    @alone
    def put(self, changes):
        """Set sizes of bodies and of what stands on them, way up and pour, by the names of a Design."""
        changes, self._quiet = dict(changes), True
        if "pour_temp_c" in changes:
            self._pour_temp.value = round(self.units.temperatures.shown(changes.pop("pour_temp_c")), 1)
        if "up" in changes:
            self.table.turn(changes["up"])
            self.turn(changes.pop("up"))
        part = self.part
        own = [(body.name, size) for body in part.bodies for size, _ in body.sizes
               if f"{body.name} {size}" in changes]
        for name, size in own:
            part = part.with_body(name, **{size: changes.pop(f"{name} {size}")})
        if own:
            self.table.show(part)
        self.rigging.show(self.rigging.sizes | changes)
        self._quiet = False
        self._part_changed()

    @alone
    def turn(self, up):
        """Let another direction of the drawing point up, such as "-y"."""
        require_known("way up", up, UPS.values())
        self._up.value = next(words for words, each in UPS.items() if each == up)

    @alone
    def look_at(self, place):
        """Lead the three sections through a place [m]."""
        self.views.look_at(place)

    @alone
    def speak(self, units):
        """Show all lengths and temperatures in these units."""
        temp_c = self.units.temperatures.si(self._pour_temp.value)
        self._quiet = True
        self.units = self._units.value = units
        self._pour_temp.value = round(units.temperatures.shown(temp_c), 1)
        self._name_units()
        self.table.speak(units)
        self.rigging.speak(units)
        self.views.speak(units, self.part and self.part.extent)
        self._quiet = False
        self._tell()
        self._list_spots()
        self._say_how_sure()
        self._list_cures()

    # ---- the walk

    def guarded(self, action):
        """The one wrapper of all callbacks."""
        return guarded(action, self._alert)

    def _start(self, plan_of, on_done, on_result=lambda job, answer: None):
        try:
            asked = self.design()
            require_room(asked.setup())
        except InputError as error:
            self._said.value = markup.status(f"This cannot be cast. {sentence_of(error, self.units)}")
            return

        def done(answer):
            if answer is not None and self._stands(asked):
                on_done(answer)

        def result(job, answer):
            if self._stands(asked):
                on_result(job, answer)

        self._work.start(plan_of(asked), on_result=result, on_done=done)

    def _stands(self, asked):
        """Whether the desk still stands where it was asked; else the answer is for another casting."""
        try:
            return self.design() == asked
        except InputError:
            return False

    def _looked(self, job, answer):
        """The quick answer has come."""
        if COARSE in job.args and self.account is None:
            self.views.show(answer.run.grid.layout, answer)
            self._tell(answer)

    def _poured(self, answer):
        self.account = answer
        self.spots = hot_spots(answer.run, answer)
        self._draw()
        if self.spots:
            self.look_at(self.spots[0].place)
        self._tell()
        self._list_spots()

    def _sure(self, outcomes):
        self.outcomes = tuple(outcomes)
        self._say_how_sure()

    def _say_how_sure(self):
        said = markup.status(in_words(self.outcomes, self.units), markup.TEXT) if self.outcomes else ""
        self._sure_words.value = said

    def _cured(self, found):
        self.cures = found
        self._list_cures()

    def _list_cures(self):
        self._cure_table.value = cure_tables(self.cures, self.units) if self.cures else ""
        options = [(f"{cure.name}, {setting_of(cure, self.units)}", number)
                   for number, cure in enumerate(self.cures) if cure.works]
        self._cure_menu.options = options
        self._cure_menu.value = options[0][1] if options else None
        self._cure_row.layout.display = "" if options else "none"

    def _part_changed(self):
        if not self._quiet:
            self._fit_point()
            self._changed()

    def _changed(self):
        """Something else would be poured now: what was computed goes."""
        if self._quiet:
            return
        self.account, self.spots, self.cures, self.outcomes = None, (), (), ()
        self._list_spots()
        self._say_how_sure()
        self._list_cures()
        self._alert.value = ""
        self._draw()
        self._tell()

    def _draw(self):
        if self._quiet:
            return
        try:
            setup = self.design().setup()
            require_room(setup)
            layout, self._error = setup.layout, None
        except InputError as error:
            self._error = error
            layout = self.part  # bare, where only what stands on it cannot be
        if layout is not None:
            self.views.show(layout, self.account, greyed=self._error is not None)

    def _tell(self, quick=None):
        account = quick or self.account
        if self._error is not None:
            words, pairs = f"This cannot be cast. {sentence_of(self._error, self.units)}", ()
        elif account is None:
            words, pairs = f"{as_it_lies(self.part, self.units)} {NOT_POURED}", ()
        else:
            words, pairs = sentence(diagnose(account), self.units), numbers_of(account, self.units)
        self._said.value = markup.status(f"{words} {self._too_much()}".strip())
        self._numbers.value = markup.numbers(pairs, QUICK if quick else "")
        self._tell_moved()

    def _too_much(self):
        """What to do where the shop's pots do not take the metal; nothing where one does, nor for what cannot
        be cast."""
        try:
            return too_much_metal(self.design().setup(), BookFile(self._folder).shop, self.units)
        except InputError:
            return ""

    def spot_words(self, spot):
        """A hot spot in words."""
        return spot_words(spot, self.account, self.units)

    def _list_spots(self):
        rows = []
        for number, spot in enumerate(self.spots, 1):
            look = button("Look there", self.guarded(lambda spot=spot: self.look_at(spot.place)))
            puts = [
                button(
                    f"{kind} here".capitalize(),
                    self.guarded(lambda kind=kind, spot=spot: self.put_here(kind, spot)),
                )
                for kind in ("feeder", "chill", "gate")
            ]
            rows.append(words_and_buttons(f"{number}. {self.spot_words(spot)}", look, *puts))
        none = NO_SPOT if self.account else NOT_YET
        self._spot_rows.children = rows or [widgets.HTML(markup.paragraph(none))]

    # ---- widgets

    def _build(self):
        self._alert, self._said, self._numbers = (widgets.HTML() for _ in range(3))
        self._sure_words, self._cure_table = widgets.HTML(), widgets.HTML()
        self._error = None
        self._units = units_switch(self.guarded(self._units_chosen))
        self._alloy = menu("alloy", tuple(alloy_names()), "ZA-12", "260px")
        self._mould = menu("mould", MOULDS, "green sand", "240px")
        self._up = menu("up in the mould", tuple(UPS), "its top (+y)", "260px")
        self._pour_temp = widgets.FloatText(
            value=475.0,
            continuous_update=False,
            layout={"width": "200px"},
            style={"description_width": "initial"},
        )
        self._part_heading = widgets.HTML()
        self._name_units()
        self._alloy.observe(self.guarded(self._alloy_chosen), "value")
        for each in (self._mould, self._pour_temp):
            each.observe(self.guarded(self._changed), "value")
        self._up.observe(self.guarded(self._up_chosen), "value")
        self.views = Views(self.guarded)
        self._spot_rows = widgets.VBox()
        self._cure_menu = widgets.Dropdown(
            description="put on the part", layout={"width": "560px"}, style={"description_width": "initial"}
        )
        put = button("Put it", self.guarded(lambda: self.put_cure(self._cure_menu.value)))
        self._cure_row = widgets.HBox([self._cure_menu, put], layout={"display": "none"})
        self._buttons = widgets.HBox(
            [
                button(words, self.guarded(action))
                for words, action in (
                    ("Pour", self.pour),
                    ("How sure?", self.ask_how_sure),
                    ("Find the cures", self.find_cures),
                )
            ]
        )

    def _place_tables(self):
        def heading(words):
            return widgets.HTML(f"<h3>{markup.safe(words)}</h3>")

        cautions = widgets.HTML(markup.paragraph(" ".join(cautions_at("top of the workbench"))))
        self.widget = widgets.VBox(
            [
                cautions,
                safe_keys(),
                widgets.HBox([*self.files.row, self._units], layout={"flex_flow": "row wrap"}),
                self.files.widget,
                self._part_heading,
                self.table.widget,
                heading("How it is cast"),
                widgets.HBox(
                    [self._alloy, self._mould, self._pour_temp, self._up], layout={"flex_flow": "row wrap"}
                ),
                self.rigging.widget,
                self._buttons,
                self._work.widget,
                self._alert,
                self._said,
                self.views.widget,
                self._numbers,
                self._sure_words,
                heading("Hot spots, the last to freeze first"),
                self._spot_rows,
                heading("Holes, and what an X-ray film would show"),
                self.views.films,
                heading("Cures"),
                self._cure_table,
                self._cure_row,
            ]
        )

    def _name_units(self):
        self._pour_temp.description = f"pour at [{self.units.temperatures.unit}]"
        self._part_heading.value = f"<h3>The part: sizes and places in {self.units.lengths.unit}</h3>"

    def _units_chosen(self):
        if not self._quiet:
            self.speak(self._units.value)

    def _up_chosen(self):
        if self._quiet:
            return
        up, lost = UPS[self._up.value], []
        if self.part is not None:
            sizes, lost = carried(self.part, self.rigging.sizes, up)
            self.rigging.show(sizes)
        self.table.turn(up)
        self.rigging.tell_lost(lost)

    def _alloy_chosen(self):
        low, high = alloy(self._alloy.value).pour_range_c
        liquidus = alloy(self._alloy.value).liquidus_c
        usual = float(np.clip(liquidus + ROUGHLY_POUR_K, low, high))
        self._quiet, before = True, self._quiet
        self._pour_temp.value = round(self.units.temperatures.shown(usual))
        self._quiet = before
        self._changed()

    def _fit_point(self):
        if self.part is not None:
            self.views.fit(self.part.extent)

    def _look_at_middle(self):
        if self.part is not None:
            self._fit_point()
            self.look_at([0.5 * (low + high) for low, high in zip(*self.part.extent, strict=True)])


def _quick_and_full(asked):
    """A plan that pours a design twice at once, first a quick look, and returns the full Shrinkage."""
    _, full = yield Batch([Job(pour, asked, COARSE), Job(pour, asked, FULL)])
    return full
