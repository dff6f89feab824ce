"""The pour sheet as HTML, which a browser prints, and as a widget that fills it in from two benches."""

import os
from datetime import date
from pathlib import Path

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.teach.bench.casting import casting_scene
from castlab.teach.bench.computed_for import as_it_stands
from castlab.teach.melt.melt_chart import MeltChart, MeltScene
from castlab.teach.melt.pour_sheet import sheet_of
from castlab.teach.picture.picture import png_of_scene
from castlab.teach.text import markup, pages
from castlab.teach.text.file_names import free_path, safe_stem
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.shown import Shown

HIDDEN = "The pour sheet is filled in when you have said what you expect."
FILL, SAVE = "Fill in from the benches", "Save it"
OLD = "Old sheet, in grey: it is not for what stands on the benches now."


def to_html(sheet, pictures=()):
    """The page as a piece of HTML; `pictures` are PNG bytes, one under each column, or none."""
    return pages.to_html("pour_sheet.html", sheet=sheet, pictures=pictures)


def pictures_for(melt, casting, units):
    """The casting's section and the melt's chart, as PNG bytes at twice the size of a screen."""
    section = png_of_scene(casting_scene(casting.setup, casting, units), units)
    return section, MeltChart(units, scale=2).show(MeltScene(None, melt)).png()


class PourSheet(Shown):
    """The pour sheet of the casting on one bench and the melt on another, in a notebook.

    part, melt   the two benches: `castlab.teach.bench.ready_made`, `castlab.teach.melt.melt_bench`
    folder       where *Save it* puts the file, named by part, alloy and day; `path` is the last one
    how_sure     function: -> how sure the verdict is and whether it is, for `sheet_of`
    """

    def __init__(self, part, melt, folder=".", how_sure=lambda: None):
        self._how_sure = how_sure
        self._part, self._melt, self._folder = part, melt, Path(folder)
        self._made_for, self._saved_for = as_it_stands(part, melt), as_it_stands()  # nothing is saved yet
        self._sheet, self._done, self.path = "", "", None
        self._page, self._said = widgets.HTML(), widgets.HTML()
        self._buttons = [melt.button(FILL, self.fill), melt.button(SAVE, self._save_pressed)]
        self.widget = widgets.VBox([widgets.HBox(self._buttons), self._said, self._page])
        melt.when_revealed(self.fill)
        for bench in (part, melt):
            bench.when_moved(self._mark)
        self.fill()

    @property
    def words(self):
        """What stands on the sheet, as plain text."""
        return markup.plain(self._page.value)

    @property
    def remark(self):
        """What is said under the buttons, as plain text: what was done, or what is for other settings."""
        return markup.plain(self._said.value)

    def fill(self):
        """Make the sheet for what stands on the benches now."""
        if self._melt.hidden:
            self._mark()
            return
        try:
            self._show(to_html(*self._made()), "Filled in.")
        except InputError as error:
            words = f"Do not pour: there is no sheet for this. {sentence_of(error, self._melt.units)}"
            self._show(markup.paragraph(words), "")

    def save(self):
        """Make the sheet for what stands on the benches now, show it, and write it, whole or not at all, to a
        file of its own: none that is there is replaced, but for the last one of these very settings.

        Returns its path. Raises InputError while it is hidden and for what cannot be cast, OSError where it
        cannot be written.
        """
        if self._melt.hidden:
            raise InputError("pour sheet", "still hidden", "first say what you expect")
        self._show(to_html(*self._made()), "Filled in.")
        path = self.path if self._saved_for.holds and self.path else self._free_path()
        half = path.with_name(f".{path.name}.part")
        try:
            half.write_text(pages.whole_page("pour sheet", self._sheet), encoding="utf-8")
            os.replace(half, path)
        finally:
            half.unlink(missing_ok=True)
        self._saved_for, self.path = self._made_for, path
        return path

    def _free_path(self):
        """A name that says which part, which alloy, and when."""
        setup = self._part.setup()
        names = "pour_sheet", safe_stem(setup.layout.title), safe_stem(setup.alloy.name), f"{date.today()}"
        return free_path(self._folder, "_".join(filter(None, names)), ".html")

    def _made(self):
        melt, casting = self._melt.solve(), self._part.solve()
        units = self._melt.units
        return sheet_of(melt, casting, units, self._how_sure()), pictures_for(melt, casting, units)

    def _save_pressed(self):
        try:
            done = f"Saved: {self.save()}. Open it in a browser to print it."
        except InputError as error:
            self.fill()
            done = f"Not saved. {sentence_of(error, self._melt.units)}"
        except OSError as error:
            done = f"Not saved. {self._folder}: {error.strerror or type(error).__name__}."
        self._done = done
        self._mark()

    def _show(self, sheet, done):
        """Put a sheet of what stands on the benches on the page, and say what was done."""
        self._made_for, self._sheet, self._done = as_it_stands(self._part, self._melt), sheet, done
        self._mark()

    def _mark(self):
        """Say of sheet and file whether they are for what stands on the benches; what is not, is grey."""
        hidden, old = self._melt.hidden, not self._made_for.holds
        file = self.path.name if self.path else ""
        remarks = (self._made_for.note("This sheet", FILL) or self._done, self._saved_for.note(file, SAVE))
        self._said.value = markup.status("" if hidden else " ".join(filter(None, remarks)), markup.TEXT)
        page = markup.paragraph(HIDDEN) if hidden else self._sheet
        self._page.value = markup.outdated(OLD, page) if old and not hidden else page
        for each in self._buttons:
            each.disabled = hidden
