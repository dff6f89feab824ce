"""Settings of the page kept in the shop's book under a name, and put back on the sliders."""

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.shop.entries import entry_of
from castlab.teach.shop.book_file import FILE, today
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.shown import Shown, button, guarded
from castlab.units import said

KEEP, PUT = "Keep these settings", "Put them on the sliders"
NONE_YET = ("nothing kept yet", -1)  # a menu shows nothing where the value is None


class SettingsPanel(Shown):
    """A name and a button that keep where all sliders stand; a menu and a button that put them back.

    page   has `part`, `bench`, `melt` and `choose(part)`       book   a `BookFile`
    """

    def __init__(self, page, book):
        self._page, self.book = page, book
        self._name = widgets.Text(placeholder="a name, such as oarlock 2", layout={"width": "260px"})
        self._kept = widgets.Dropdown(options=[NONE_YET], layout={"width": "360px"})
        self._done = widgets.HTML()
        self._buttons = [button(words, guarded(action, self._done))
                         for words, action in ((KEEP, self.keep), (PUT, self.put))]
        row = {"flex_flow": "row wrap"}
        self.widget = widgets.VBox([
            widgets.HBox([self._name, self._buttons[0], self._kept, self._buttons[1]], layout=row),
            self._done])
        book.when_changed(guarded(self._list, self._done))
        self._list()

    @property
    def remark(self):
        """What was done last, or why not, as plain text."""
        return markup.plain(self._done.value)

    def keep(self, name=None):
        """Write where the sliders stand into the book, under this name; an older one of that name stays."""
        page = self._page
        try:
            entry = entry_of("settings", {
                "name": self._name.value if name is None else name, "part": page.part, "date": today(),
                "settings": page.bench.values, "melt": page.melt.values})
            self.book.write_down(entry)
        except InputError as error:
            self._say(f"Not kept. {sentence_of(error, page.bench.units)}")
        except OSError as error:
            self._say(f"Not kept. {FILE}: {error.strerror or error}.")
        else:
            self._kept.value = len(self._entries()) - 1
            self._say(f"Kept in {FILE} as “{entry['name']}”.")

    def put(self, number=None):
        """Put kept settings, counted from the oldest, on the sliders; what they cannot take is said."""
        number = self._kept.value if number is None else number
        if number < 0:
            self._say("Keep some first.")
            return
        entry, page = self._entries()[number], self._page
        try:
            page.choose(entry["part"])
        except InputError as error:
            self._say(sentence_of(error, page.bench.units))
            return
        left = [*put_on(page.bench, entry["settings"]), *put_on(page.melt, entry["melt"] or {})]
        words = "; ".join(said(each, page.bench.units) for each in left)
        but = f" But not all of it: {words}." if left else ""
        self._say(f"“{entry['name']}” stands on the sliders.{but}")

    def _entries(self):
        return self.book.book.of("settings", every=True)

    def _list(self):
        options = [(f"{each['name']}: {each['part']}, {each['date']}", number)
                   for number, each in enumerate(self._entries())][::-1]
        if options != list(self._kept.options):
            self._kept.options = options or [NONE_YET]
        self._buttons[1].disabled = not options

    def _say(self, words):
        self._done.value = markup.status(words, markup.TEXT)


def put_on(bench, values):
    """Set the sliders of a bench to kept values; returns what could not be set, as phrases.

    A slider that is not there, or whose range has changed since, does not keep the others from being set.
    """
    left = []
    known = {name: value for name, value in values.items() if name in bench.controls}
    left += [f"there is no slider {name}" for name in values if name not in known]
    try:
        bench.set(**known)
        return left
    except InputError:
        bench.start_again()
    for name in sorted(known, key=lambda name: bench.controls[name].slider.kind != "choice"):
        try:
            bench.set(**{name: known[name]})
        except InputError as error:
            left.append(error.phrase)
    return left
