"""After the pour: what was planned and what came of it, one record a pour, and what the pours say."""

from pathlib import Path

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.shop.entries import entry_of
from castlab.shop.pours import hole_of
from castlab.teach.shop.book_file import FILE, today
from castlab.teach.shop.entry_form import EntryForm
from castlab.teach.shop.shop_words import pours_words
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.shown import Shown
from castlab.units import said

PLAN, WRITE = "Write down this plan as a pour", "Write down what came of it"
MEASURED = ("date", "liquid", "poured", "furnace_c", "hole_by", "filling", "hole", "in_air", "in_water",
            "photograph", "note", "left_out")
NONE_YET = f"no pour yet: press “{PLAN}” before you light the furnace"
NO_POUR = (NONE_YET, -1)  # a menu shows nothing where the value is None
HOW = ("Times count from switching on. A hole that is open: fill it with dry sand or wax, and weigh that. "
       "One that is closed: saw the casting, or weigh it in air and hung in water; dry it through before it "
       "is melted again.")
MOST_BYTES = 12_000_000  # of a photograph that is shown
PICTURES = {".jpg": "jpg", ".jpeg": "jpg", ".png": "png", ".gif": "gif"}
# planned, measured and words for a row of the table
ROWS = (("planned_liquid", "liquid", "all liquid", "time"), ("planned_ready", "poured", "poured", "time"),
        ("planned_furnace_c", "furnace_c", "in the furnace", "temperature"))


class PourPanel(Shown):
    """The records of the shop's pours, under the benches of a part and its melt.

    part    name of the part           bench, melt   the two benches
    book    a `BookFile`               folder        where photographs are looked for
    """

    def __init__(self, part, bench, melt, book, folder="."):
        self._part, self._bench, self._melt, self.book, self._folder = part, bench, melt, book, Path(folder)
        self.form = EntryForm("pours", MEASURED, bench.units)
        self._build()
        bench.when_moved(self._speak)
        book.when_changed(bench.guarded(self._show))
        self._show()

    @property
    def words(self):
        """What the pours say, as plain text."""
        return markup.plain(self._said.value)

    @property
    def remark(self):
        """What was done last, or why not, as plain text."""
        return markup.plain(self._done.value)

    @property
    def chosen(self):
        """The pour that is chosen; None where there is none."""
        pours, number = self.book.book.of("pours", every=True), self._pours.value
        return pours[number] if 0 <= number < len(pours) else None

    def plan(self):
        """Write down what stands on the benches now as the plan of a pour."""
        try:
            plan = planned(self._bench, self._melt)
            entry = entry_of("pours", {"part": self._part, "date": today()} | plan)
        except InputError as error:
            self._say(f"Not written down. {sentence_of(error, self._bench.units)}")
            return
        if self._try(lambda: self.book.write_down(entry)):
            self._pours.value = len(self.book.book.of("pours", every=True)) - 1
            self._say("Written down. After the pour, choose it here and fill in what came of it.")

    def write_down(self):
        """Write down what was measured of the pour that is chosen."""
        old = self.chosen
        if old is None:
            self._say(f"There is {NONE_YET}.")
            return
        kept = {name: value for name, value in old.values.items() if name not in MEASURED}

        def write():
            self.book.correct(old, self.form.entry(**kept))

        if self._try(write):
            self._say("Written down.")

    def choose(self, number):
        """Show the record of a pour, counted from the oldest."""
        self._pours.value = number

    # ---- what is shown

    def _try(self, write):
        """Whether it was written; why not is said."""
        try:
            write()
        except InputError as error:
            self._say(f"Not written down. {sentence_of(error, self._bench.units)}")
        except OSError as error:
            self._say(f"Not written down. {FILE}: {error.strerror or error}.")
        else:
            return True
        return False

    def _show(self):
        pours, before = self.book.book.of("pours", every=True), self._pours.value
        names = [f"{number + 1}: {each['date'] or '-'}, {each['part']} in {each['alloy']}"
                 + ("" if each.counts else ", left out") for number, each in enumerate(pours)]
        options = [(name, number) for number, name in enumerate(names)][::-1] or [NO_POUR]
        if options != list(self._pours.options):
            self._pours.options = options
            self._pours.value = before if 0 <= before < len(pours) else options[0][1]
        self._said.value = pours_words(self.book.book, self._bench.units)
        self._show_record()

    def _show_record(self):
        entry, units = self.chosen, self._bench.units
        self.form.show({} if entry is None else entry.values)
        for each in (self._write, self.form.widget):
            each.layout.display = "none" if entry is None else ""
        self._record.value = "" if entry is None else markup.table(
            ("", "planned", "what came of it"), record_rows(entry, units))
        self._show_photograph(entry)

    def _show_photograph(self, entry):
        name = "" if entry is None else entry["photograph"]
        self._photograph.layout.display = "none"
        self._no_photograph.value = ""
        if not name:
            return
        path = self._folder / name
        try:
            kind = PICTURES[path.suffix.lower()]
            if path.stat().st_size > MOST_BYTES:
                raise ValueError(f"more than {MOST_BYTES / 1e6:g} MB")
            self._photograph.value, self._photograph.format = path.read_bytes(), kind
            self._photograph.layout.display = ""
        except (OSError, KeyError, ValueError) as error:
            known = {FileNotFoundError: "it is not there",
                     KeyError: f"it is none of {', '.join(PICTURES)}"}
            why = known.get(type(error), getattr(error, "strerror", None) or str(error))
            self._no_photograph.value = markup.status(
                f"The photograph “{name}” cannot be shown: {why}. Its name stays in the book.", markup.TEXT)

    def _speak(self):
        if self.form.units is not self._bench.units:
            self.form.speak(self._bench.units)
            self._show()

    def _say(self, words):
        self._done.value = markup.status(words, markup.TEXT)

    def _build(self):
        self._pours = widgets.Dropdown(options=[NO_POUR], description="pour",
                                       layout={"width": "620px", "max_width": "100%"})
        self._pours.observe(self._bench.guarded(self._show_record), "value")
        self._record, self._done, self._said, self._no_photograph = (widgets.HTML() for _ in range(4))
        self._photograph = widgets.Image(layout={"display": "none", "max_width": "min(480px, 100%)"})
        self._write = self._bench.button(WRITE, self.write_down)
        self.widget = widgets.VBox([
            widgets.HBox([self._bench.button(PLAN, self.plan)]), self._pours, self._record,
            self._photograph, self._no_photograph,
            widgets.HTML(markup.paragraph(HOW)), self.form.widget, widgets.HBox([self._write]), self._done,
            self._said])


def planned(bench, melt):
    """What the benches foretell of a pour as they stand, SI: fields of an entry.

    Raises InputError for what cannot be cast.
    """
    casting, plan = bench.solve(), melt.solve()
    hole = 0.0 if casting.sound else casting.account.defect_m3
    return {"alloy": casting.setup.alloy.name, "settings": bench.values, "melt": melt.values,
            "planned_hole": hole, "planned_liquid": plan.all_liquid, "planned_ready": plan.ready,
            "planned_furnace_c": None if plan.ready is None else plan.metal_c(plan.ready)}


def record_rows(entry, units):
    """Rows of name, planned, measured, in words; a dash for what was not written down."""
    rows = [(words, *(_in_words(entry[name], kind, units) for name in (plan, measured)))
            for plan, measured, words, kind in ROWS]
    try:
        hole = _in_words(hole_of(entry), "volume", units)
    except InputError as error:
        hole = said(error, units)
    by = f" ({entry['hole_by']})" if entry["hole_by"] else ""
    return (*rows, ("holes", _in_words(entry["planned_hole"], "volume", units), hole + by))


def _in_words(value, kind, units):
    return "-" if value is None else getattr(units, kind)(value)
