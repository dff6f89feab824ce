"""The row above the table of a part: what to begin with, a file that is brought, and saving."""

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.field.example_parts import EXAMPLES
from castlab.teach.own_part.from_file import (
    bring_button,
    brought,
    part_of,
    question_about,
    save_part,
    saved_part,
    triangles_in,
)
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.alone import alone
from castlab.teach.work.shown import Shown, button, menu
from castlab.units import said

NEW, OWN = "a new part", "as it stands"


class PartFiles(Shown):
    """`PartFiles(desk, empty, folder)`: files for a desk that has `part`, `table`, `rigging`, `show_part`,
    `units` and `guarded`; `empty` is the part to begin a new one with, `folder` where parts are saved.
    """

    def __init__(self, desk, empty, folder):
        self._desk, self._empty, self._folder = desk, empty, folder
        self.saved = None  # path of the file to which the part was saved
        self._triangles = None  # name and triangles of an STL file whose unit is asked
        self._note = widgets.HTML()
        self._examples = menu("begin with", (OWN, NEW, *EXAMPLES), OWN, "260px")
        self._examples.observe(desk.guarded(self._example_chosen), "value")
        self._upload = bring_button(".stl,.json", desk.guarded(lambda: self.bring(*brought(self._upload))))
        self._unit = menu("drawn in", ("mm", "inch"), "mm", "160px")
        take = button("Take it", desk.guarded(lambda: self.take(self._unit.value)))
        self._unit_row = widgets.HBox([self._unit, take], layout={"display": "none"})
        self.row = [self._examples, self._upload, button("Save the part", desk.guarded(self._save_pressed))]
        self.widget = widgets.VBox([self._note, self._unit_row])

    @property
    def words(self):
        """What is said about a file, as plain text."""
        return markup.plain(self._note.value)

    def say(self, words):
        """Say something about a file."""
        self._note.value = markup.status(words, markup.TEXT) if words else ""

    @alone
    def bring(self, name, data):
        """Take a file: a saved part at once; of an STL file first ask in which unit it was drawn."""
        self._triangles = None
        try:
            triangles = triangles_in(data)
            if triangles is None:
                self._desk.show_part(saved_part(data), words=f"{name} is on the desk.")
                return
            self._triangles = name, triangles
            words, self._unit.value = question_about(triangles)
            self.say(said(words, self._desk.units))
        except InputError as error:
            self._refuse(name, error)
        finally:
            self._unit_row.layout.display = "" if self._triangles else "none"

    @alone
    def take(self, unit):
        """Take the STL file that was brought, drawn in "mm" or "inch"."""
        if self._triangles is None:
            raise InputError("file", "none", "bring an STL file first")
        name, triangles = self._triangles
        try:
            part, notes = part_of(triangles, unit, name)
        except InputError as error:
            self._refuse(name, error)
            return
        self._triangles, self._unit_row.layout.display = None, "none"
        mended = "; ".join(said(note, self._desk.units) for note in notes)
        words = f"{name} is on the desk{': ' + mended if mended else ''}. Is this way up right?"
        self._desk.show_part(part, words=words)

    def save(self):
        """Write the part to a file in the folder; returns its path.

        Raises OSError where it cannot be written, InputError for a part that cannot be drawn.
        """
        if self._desk.part is None:
            raise self._desk.table.error
        self.saved = save_part(self._desk.whole_part, self._folder, self.saved)
        return self.saved

    def _save_pressed(self):
        try:
            self.say(f"Saved: {self.save()}. Bring it again with “Bring a file”.")
        except InputError as error:
            self.say(f"Not saved. {sentence_of(error, self._desk.units)}")
        except OSError as error:
            self.say(f"Not saved. {self._folder}: {error.strerror or type(error).__name__}.")

    def _refuse(self, name, error):
        self.say(f"{name} was not taken. {sentence_of(error, self._desk.units)}")

    def _example_chosen(self):
        chosen = self._examples.value
        if chosen != OWN:
            self._desk.show_part(self._empty if chosen == NEW else EXAMPLES[chosen]())
