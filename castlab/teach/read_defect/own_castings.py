"""Castings of a part of one's own, drawn by lot and sawn, as lesson 10 draws them of the course's parts."""

import ipywidgets as widgets
import numpy as np

from castlab.errors import InputError
from castlab.teach.read_defect.hidden_castings import LARGEST_NUMBER, drawing
from castlab.teach.read_defect.sawn_casting import SawnCasting
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import Shown

DRAW = "Draw a casting of this part"
INTRO = ("As in lesson 10: a casting of the part as it stands on the desk, with a hole whose cause is "
         "hidden. Alloy, mould and pour are drawn by lot, and its feeders: they stand where you put them, "
         "else at its hot spots, each as wide as its place wants, or narrower; one slider moves all widths. "
         "There may be a chill. Ask for evidence, say the cause, then cure it.")
LOOKED_FOR = "A casting is looked for: it must have a hole of one clear cause."
NOT_DRAWN = "There is no casting of a part that cannot be drawn."


class OwnCastings(Shown):
    """`OwnCastings(desk)`: `table` is the SawnCasting of the part that stood on the desk when it was asked
    for; None before that."""

    def __init__(self, desk):
        self._desk, self.table, self._work = desk, None, Work()
        self._said, self._place = widgets.HTML(), widgets.VBox()
        row = widgets.HBox([desk.button(DRAW, self.draw)])
        self.widget = widgets.VBox([widgets.HTML(markup.paragraph(INTRO)), row, self._work.widget, self._said,
                                    self._place])

    @property
    def words(self):
        """What is said while no casting lies there, as plain text."""
        return markup.plain(self._said.value)

    def draw(self, number=None):
        """Draw a casting of the part as it stands now; by lot, or the one of that number."""
        part = self._desk.whole_part
        if part is None:
            self._say(NOT_DRAWN)
            return
        number = number or int(np.random.default_rng().integers(1, LARGEST_NUMBER + 1))
        self._say(LOOKED_FOR)
        self._work.start(_found_or_why(drawing(number, part)), on_done=self._put)

    def stop(self):
        """Look no further."""
        self._work.stop()

    def wait(self, timeout=None):
        """Wait until the casting lies there, or nobody looks for it any more."""
        self._work.wait(timeout)

    def _put(self, found):
        if isinstance(found, InputError):
            self._say(sentence_of(found, self._desk.units))
            return
        self._say("")
        self.table = SawnCasting(found)
        self.table.bench.speak(self._desk.units)
        table, question = self.table, self.table.question
        self._place.children = [table.widget, question.widget, question.verdict(), table.bench.widget]

    def _say(self, words):
        self._said.value = markup.status(words, markup.TEXT) if words else ""


def _found_or_why(plan):
    """The same plan; what it refuses is its answer."""
    try:
        return (yield from plan)
    except InputError as error:
        return error
