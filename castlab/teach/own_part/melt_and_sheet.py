"""The melt and the pour sheet for the part on a desk, once it was poured as it stands."""

import ipywidgets as widgets

from castlab.teach.melt.melt_bench import melt_bench
from castlab.teach.melt.pour_sheet_page import PourSheet
from castlab.teach.panels.sensitivity import in_short
from castlab.teach.shop.book_file import BookFile
from castlab.teach.text import markup
from castlab.teach.work.shown import Shown

POUR_FIRST = ("There is no casting to plan a melt for: press “Pour” on the desk. Melt and pour sheet are for "
              "the part as it was poured last, and go when it is changed.")
HEADINGS = "The melt", "The pour sheet"


class MeltAndSheet(Shown):
    """`MeltAndSheet(desk)`: `melt`, the bench that plans the melt, and `sheet`, the page to print.

    folder   where the sheet is saved, and where the shop's own book lies, if there is one
    """

    def __init__(self, desk, folder="."):
        self._desk, self._filled_for = desk, None
        self.melt = melt_bench(desk, BookFile(folder))
        self.sheet = PourSheet(desk, self.melt, folder, lambda: in_short(desk.outcomes, desk.units))
        self._first = widgets.HTML(markup.status(POUR_FIRST, markup.TEXT))
        both = zip(HEADINGS, (self.melt, self.sheet), strict=True)
        self._below = widgets.VBox([
            row for words, each in both
            for row in (widgets.HTML(f"<h3>{markup.safe(words)}</h3>"), each.widget)
        ])
        self.widget = widgets.VBox([self._first, self._below])
        desk.when_moved(self._follow)
        self._follow()

    def _follow(self):
        poured = self._desk.account is not None
        self._first.layout.display = "none" if poured else ""
        self._below.layout.display = "" if poured else "none"
        if poured and self._filled_for is not self._desk.account:
            self._filled_for = self._desk.account
            self.sheet.fill()
