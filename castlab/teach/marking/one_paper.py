"""One paper looked at closely: what was said, what each mark is for, marks by hand, and reading it again."""

import ipywidgets as widgets

from castlab.teach.exercise.exercise import COMPUTED
from castlab.teach.marking.by_hand import ByHand
from castlab.teach.marking.mark_table import as_text
from castlab.teach.text import markup
from castlab.teach.work.shown import button, menu

HEADING = "one paper"
AGAIN = "Read this paper again"
WIDE = {"width": "640px", "max_width": "100%"}
LABELS = {"description_width": "140px"}


class OnePaper:
    """A menu of the papers, and the one that is chosen.

    record   function: (number, ByHand), called when marks by hand are given
    again    function: (number), called when the paper is to be read again
    guarded  what makes callbacks of actions
    """

    def __init__(self, record, again, guarded):
        self._marks, self._rows = (), ()
        self.papers = menu("paper", (), None)
        self.papers.observe(lambda _: guarded(self._show)(), "value")
        self._words = widgets.HTML()
        self.marks = widgets.FloatText(0.0, step=0.5, description="marks by hand", style=LABELS,
                                       layout={"width": "260px"})
        self.why = widgets.Text(description="because", placeholder="the student reads this", style=LABELS,
                                layout=WIDE)
        self._record = button("Record", guarded(lambda: record(self.papers.value, self.by_hand)),
                              "max-content")
        self._again = button(AGAIN, guarded(lambda: again(self.papers.value)), "max-content")
        self._hand = widgets.VBox([self.marks, self.why, self._record])
        row = widgets.HBox([self.papers, self._again], layout={"flex_flow": "row wrap"})
        heading = widgets.HTML(f"<b>{HEADING}</b>")
        self.widget = widgets.VBox([heading, row, self._words, self._hand], layout={"display": "none"})

    @property
    def by_hand(self):
        """What stands in the fields: a ByHand. Raises InputError for marks without a reason."""
        return ByHand(self.marks.value, self.why.value.strip(), self._mark.name)

    @property
    def _mark(self):
        return self._marks[self.papers.value - 1]

    def show(self, marks, rows):
        """Show these papers; the one that was chosen stays chosen.

        marks   a `Mark` each       rows   of `mark_table.columns_of`, in the same order
        """
        chosen, self._marks, self._rows = self.papers.value or 1, marks, rows
        self.widget.layout.display = "" if marks else "none"
        self.papers.options = [(f"{number} {mark.whose}", number)
                               for number, mark in enumerate(marks, start=1)]
        if marks:
            self.papers.value = min(chosen, len(marks))
            self._show()

    def _show(self):
        if self.papers.value is None:
            return
        mark, row = self._mark, self._rows[self.papers.value - 1]
        names = ("file", "id", "says where", "says why", "cure", "in words", "same answer as")
        pairs = [(name, as_text(row[name])) for name in names if row[name] != ""]
        pairs += [(name, f"{mark.points[name]:g} of {mark.exercise.marks[name]:g}. {mark.said[name]}")
                  for name in COMPUTED if mark.points]
        pairs.append(("problem", mark.problem) if mark.problem
                     else ("sum", f"{mark.total:g} of {row['of']:g}"))
        self._words.value = markup.table(("", ""), pairs)
        self._hand.layout.display = "none" if mark.problem else ""
        self.marks.value, self.why.value = mark.by_hand.marks, mark.by_hand.why
