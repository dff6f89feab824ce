"""The shop's own book under the benches: a form for each kind of entry, what the book says, its entries."""

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.shop.entries import KINDS
from castlab.teach.shop.book_file import FILE, today
from castlab.teach.shop.entry_form import EntryForm
from castlab.teach.shop.shop_words import entry_words, overview
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.shown import Shown, menu
from castlab.units import said

WRITTEN_HERE = ("furnaces", "heat_ups", "holds", "crucibles", "plates", "freezing_points", "stock", "usual")
WRITE, CHANGE, NEW = "Write it down", "Change the one chosen", "A new one instead"
LEAVE_OUT, OWN, EXAMPLE = "Leave the one chosen out, or use it again", "Your own book", "Show a made-up book"
# The names that a field offers: those that the book holds already.
NAMES = {"furnace": "furnace_names", "name": None, "mould": "mould_names", "sensor": "sensor_names"}
NO_ENTRY = ("no entry yet", -1)  # a menu shows nothing where the value is None


class ShopPanel(Shown):
    """The book of the shop: what was measured is written down, and what it says is read.

    bench   whose units it speaks       book   a `BookFile`

    `choose`, `form`, `write_down` and `words` are for tests and number cells.
    """

    def __init__(self, bench, book):
        self._bench, self.book, self._changing = bench, book, None
        self._build()
        self.choose(WRITTEN_HERE[0])
        bench.when_moved(self._speak)
        book.when_changed(bench.guarded(self._show))
        self._show()

    @property
    def words(self):
        """What the book says, as plain text."""
        return markup.plain(self._overview.value)

    @property
    def remark(self):
        """What was done last, or why not, as plain text."""
        return markup.plain(self._done.value)

    def choose(self, kind):
        """Show the form of a kind of entry, empty."""
        self._kinds.value, self._changing = kind, None
        known = {field: getattr(self.book.shop, names) for field, names in NAMES.items() if names}
        self.form = EntryForm(kind, units=self._bench.units, known=known)
        on_bench = self._bench.values  # most likely it is about what stands there
        self.form.show({"date": today(), "alloy": on_bench.get("alloy"), "material": on_bench.get("mould")})
        self._purpose.value = markup.paragraph(KINDS[kind].purpose)
        self._place.children = [self.form.widget]
        self._list_entries()

    def write_down(self):
        """Write down what the form holds, at once, as a new entry or in place of the one that is changed."""
        try:
            old, entry = self._changing, self.form.entry(**self._kept_out())
            if old is None:
                self.book.write_down(entry)
            else:
                self.book.correct(old, entry)
        except InputError as error:
            self._say(f"Not written down. {sentence_of(error, self._bench.units)}")
            return
        except OSError as error:
            self._say(f"Not written down. {FILE}: {error.strerror or error}.")
            return
        self.choose(entry.kind)
        self._say(f"Written down: {entry_words(entry, None, self._bench.units)}.")

    def change(self, number):
        """Take an entry of this kind, counted from the oldest, into the form."""
        self._changing = self._of_kind()[number]
        self.form.show(self._changing.values)
        self._say("Change it in the form, and write it down.")

    def leave_out(self, number):
        """Leave an entry of this kind out of all that is computed, or use it again; it stays in the book."""
        old = self._of_kind()[number]
        values = old.values | {"left_out": old.counts}
        try:
            self.book.correct(old, type(old)(old.kind, {name: value for name, value in values.items() if value
                                                        is not False}))
        except (InputError, OSError) as error:
            self._say(f"Not changed. {sentence_of(error, self._bench.units)}" if isinstance(error, InputError)
                      else f"Not changed. {FILE}: {error.strerror or error}.")
            return
        done = "Left out" if old.counts else "Used again"
        self._say(f"{done}: {entry_words(old, None, self._bench.units)}.")

    def swap(self):
        """Show the made-up book, or the shop's own again."""
        if self.book.is_example:
            self.book.read()
        else:
            self.book.show_example()
        self.choose(self._kinds.value)
        self._say("")

    # ---- what is shown

    def _kept_out(self):
        return {"left_out": True} if self._changing is not None and not self._changing.counts else {}

    def _of_kind(self):
        return self.book.book.of(self._kinds.value, every=True)

    def _show(self):
        units = self._bench.units
        self._file_words.value = "".join(markup.status(said(words, units), markup.ALERT)
                                         for words in self.book.said)
        self._overview.value = overview(self.book.shop, units)
        self._swap.description = OWN if self.book.is_example else EXAMPLE
        self._list_entries()

    def _list_entries(self):
        entries = self._of_kind()
        words = [entry_words(each, None, self._bench.units) + ("" if each.counts else ", left out")
                 for each in entries]
        options = [(each, number) for number, each in enumerate(words)][::-1] or [NO_ENTRY]
        self._entries.options, self._entries.value = options, options[0][1]
        for each in (*self._on_entries, self._entries):
            each.disabled = not entries

    def _speak(self):
        if self.form.units is not self._bench.units:
            self.form.speak(self._bench.units)
            self._show()

    def _say(self, words):
        self._done.value = markup.status(words, markup.TEXT)

    def _build(self):
        kinds = [(KINDS[kind].heading, kind) for kind in WRITTEN_HERE]
        self._kinds = menu("what to write down", kinds, WRITTEN_HERE[0])
        self._kinds.observe(self._bench.guarded(self._kind_chosen), "value")
        self._purpose, self._done, self._overview, self._file_words = (widgets.HTML() for _ in range(4))
        self._place = widgets.VBox()
        self._entries = menu("in the book", (), None, "620px")
        button = self._bench.button
        self._on_entries = [button(CHANGE, lambda: self.change(self._entries.value)),
                            button(LEAVE_OUT, lambda: self.leave_out(self._entries.value))]
        self._swap = button(EXAMPLE, self.swap)
        row = {"flex_flow": "row wrap"}
        write = [button(WRITE, self.write_down), button(NEW, lambda: self.choose(self._kinds.value))]
        self.widget = widgets.VBox([
            self._file_words, self._overview, widgets.HBox([self._swap]),
            self._kinds, self._purpose, self._place, widgets.HBox(write, layout=row), self._done,
            self._entries, widgets.HBox(self._on_entries, layout=row)])

    def _kind_chosen(self):
        if self.form.kind != self._kinds.value:
            self.choose(self._kinds.value)
            self._say("")
