"""The marking desk: reads a folder of returned papers, solves every cure in them, and shows the marks."""

from pathlib import Path

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.teach.bench.controls import units_switch
from castlab.teach.marking import class_picture, mark_table
from castlab.teach.marking.by_hand import read_by_hand, write_by_hand
from castlab.teach.marking.equal_answers import equal_groups, equal_words, others_like
from castlab.teach.marking.marked_files import BY_HAND, files_of, write_files
from castlab.teach.marking.one_paper import OnePaper
from castlab.teach.marking.returned import collect
from castlab.teach.marking.solve_answers import Solved, marks_of, open_exercises, solve_all
from castlab.teach.marking.typed_answer import TypedAnswer, put_down
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import Shown, button, guarded
from castlab.units import METRIC, said

NOTE = (
    "Place and reason are compared with the computation, and each cure is solved; the model leaves out "
    "flow, gas and stress. Nothing here marks the students' own words: read them, and give marks by hand "
    "below."
)
START = "Choose the exercise and the folder, then press Mark."
WIDE = {"width": "640px", "max_width": "100%"}
ROW = {"flex_flow": "row wrap", "align_items": "center"}
LABELS = {"description_width": "140px"}


class MarkingDesk(Shown):
    """Choose the exercise and the folder, press Mark, look, give marks by hand, and save.

    exercise   path of the exercise's JSON file, or of a folder with a batch of them
    folder     path of the folder with what was returned
    marks      path of the folder into which the tables and comments go; marks by hand are kept there at once

    Nothing in a returned file is ever run. `wait()`, `marks` and the `print_` functions are for tests and
    number cells.
    """

    def __init__(self, exercise="", folder="", marks="marks"):
        self._work, self.exercises, self.returned, self.marks = Work(), (), (), ()
        self.units, self._known, self._by_hand, self._rows = METRIC, Solved(), {}, ()
        self._build(str(exercise), str(folder), str(marks))

    def look(self):
        """Read the exercise and what was returned, and say what there is. Solves nothing.

        Raises InputError for an exercise or a folder that cannot be used.
        """
        self.exercises = open_exercises(self._exercise.value.strip())
        self._typed.show(self.exercises)
        self.returned = collect(self._folder.value.strip() or ".", *self.exercises)
        good = sum(each.answer is not None for each in self.returned)
        self._say(f"{self._title}: {good} answers; {len(self.returned) - good} without a usable one.")

    def mark(self):
        """Read everything, then solve and mark it in the background; what was solved before is not again."""
        self._forget()
        try:
            self.look()
            self._by_hand = read_by_hand(self._place_of_marks() / BY_HAND)
        except (InputError, OSError) as error:
            self._say(f"Nothing is marked. {self._sentence(error)}")
            return
        self._solve(self.returned)

    def again(self, number):
        """Read one paper again, and mark it without reading the others; `number` is that of its row."""
        before, old = self.marks, self.returned[number - 1]
        found = collect(self._folder.value.strip() or ".", *self.exercises)
        fresh = next((each for each in found
                      if each.folder == old.folder and set(each.files) & set(old.files)), None)
        if fresh is None:
            raise InputError("paper", ", ".join(old.files), "its files are not there any more; press Mark")
        self._solve((*self.returned[: number - 1], fresh, *self.returned[number:]),
                    lambda: self._say(again_words(number, before, self.marks)))

    def give(self, number, by_hand):
        """Record marks by hand for one paper, with their reason, and keep them in the folder of marks."""
        by_hand_now = self._by_hand | {self.returned[number - 1].answer.key: by_hand}
        path = self._place_of_marks() / BY_HAND
        write_by_hand(path, by_hand_now)
        self._by_hand = by_hand_now
        self._show()
        self._say(f"Recorded for {number} {by_hand.name}, and kept in {path}. {self._count}")

    def take_typed(self, answer):
        """Put an answer that was typed in with the others, and mark it."""
        path = put_down(answer, Path(self._folder.value.strip() or "."))
        self._typed.clear()
        self.mark()
        self._say(f"Written: {path.name}. It is marked with the others.")

    def speak(self, units):
        """Say masses and volumes in the comments in these units; the table that is saved has them too."""
        self.units = self._switch.value = units
        self._typed.speak(units)
        if self.marks:
            self._show()

    def stop(self):
        """End the work; nothing is marked then."""
        self._work.stop()

    def wait(self, timeout=None):
        """Wait until everything is marked; returns the marks."""
        self._work.wait(timeout)
        return self.marks

    def save(self):
        """Write both tables and the comments into the folder of marks; returns it.

        Raises InputError when there is nothing to save or a file is there and may not be replaced, and
        OSError when it cannot be written; then none is.
        """
        if not self.marks:
            raise InputError("table", "empty", "mark a folder first")
        return write_files(self._place_of_marks(), files_of(self.marks, self._rows, self.units),
                           self._replace.value)

    @property
    def said(self):
        """What the desk says, as plain text."""
        return markup.plain(self._said.value)

    def print_files(self):
        """Print what was returned: files, name or problem."""
        for each in self.returned:
            what = f"an answer of {each.answer.name}" if each.answer else (
                f"not used: {said(each.problem, self.units)}")
            remark = f" ({said(each.remark, self.units)})" if each.remark else ""
            print(f"{', '.join(each.files)}: {what}{remark}")

    # ---- the work

    def _solve(self, returned, then=lambda: None):
        def done(known):
            self._known, self.returned = known, returned
            self._show()
            then()

        self._work.start(solve_all(self.exercises, returned, self._known), on_done=done)

    def _show(self):
        """All that depends on marks, units and marks by hand."""
        marks = marks_of(self.exercises, self.returned, self._known, self.units, self._by_hand)
        self.marks = marks
        answers = [each.answer for each in self.returned]
        groups = equal_groups(answers)
        self._rows = [mark_table.columns_of(number, mark, others_like(number, groups), self.units)
                      for number, mark in enumerate(marks, start=1)]
        rows = mark_table.shown_rows(marks, self._rows, self.units)
        self._table.value = markup.table(mark_table.ON_SCREEN, rows, NOTE)
        self._wrong.value = "".join(markup.paragraph(words) for words in (
            wrong_words(marks), *equal_words(answers), self._orphans(answers)) if words)
        self._picture.value = class_picture.picture_of(marks)
        self._picture.layout.display = "" if self._picture.value else "none"
        self._in_words.value = markup.paragraph(class_picture.words_of(marks))
        self._paper.show(marks, self._rows)
        self._save.disabled = not marks
        self._say(self._count)

    @property
    def _title(self):
        more = len(self.exercises) - 1
        return self.exercises[0].title + (f" and {more} more exercises" if more else "")

    @property
    def _count(self):
        marked = sum(not each.problem for each in self.marks)
        return f"{self._title}: {marked} marked, {len(self.marks) - marked} not."

    def _orphans(self, answers):
        """Marks by hand whose answer is not here, or not any more."""
        here = {answer.key for answer in answers if answer}
        names = [each.name for key, each in self._by_hand.items() if key not in here]
        if not names:
            return ""
        return (f"Marks by hand were given for an answer of {', '.join(names)} that is not here as it was "
                "then: they are kept, and count for nothing.")

    def _place_of_marks(self):
        """The folder of marks, which must not be read as a student's."""
        place, returns = (Path(each.value.strip() or ".").resolve() for each in (self._marks, self._folder))
        if not self._marks.value.strip() or place == returns or returns in place.parents:
            allowed = "it must have a name, and lie outside the folder of returned work"
            raise InputError("folder of marks", self._marks.value.strip() or "empty", allowed)
        return Path(self._marks.value.strip())

    # ---- widgets

    def _build(self, exercise, folder, marks):
        found = sorted(map(str, Path().glob("*/*_exercise.json")))
        self._exercise = self._field("exercise file", exercise, found)
        self._folder = self._field("folder of returned work", folder, ())
        self._marks = self._field("folder of marks", marks, ())
        self._replace = widgets.Checkbox(description="may replace files that are there", indent=False)
        self._said, self._table, self._wrong = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self._picture = widgets.Image(format="png", layout={"max_width": "100%"})
        self._in_words = widgets.HTML()
        self._save = button("Save tables and comments", self._guarded(self._save_pressed), "max-content")
        self._paper = OnePaper(self.give, self.again, self._guarded)
        self._typed = TypedAnswer(self.take_typed, self._guarded)
        self._switch = units_switch(lambda units: self._guarded(lambda: self.speak(units))())
        mark = button("Mark", self._guarded(self.mark), "max-content")
        row = widgets.HBox([mark, self._switch], layout=ROW)
        saving = widgets.HBox([self._marks, self._replace, self._save], layout=ROW)
        self.widget = widgets.VBox([self._exercise, self._folder, row, self._said, self._work.widget,
                                    self._picture, self._in_words, self._table, self._wrong,
                                    self._paper.widget, self._typed.widget, saving])
        self._forget()
        self._say(START)

    def _field(self, label, value, options):
        return widgets.Combobox(description=label, value=value, options=options, layout=WIDE, style=LABELS)

    def _save_pressed(self):
        try:
            self._say(f"Saved into {self.save()}: the whole table, a short one to import, and a comment for "
                      "each student.")
        except (InputError, OSError) as error:
            self._say(f"Not saved. {self._sentence(error)}")

    def _forget(self):
        self._work.stop()
        self.marks, self._rows, self._save.disabled = (), (), True
        for each in (self._table, self._wrong, self._in_words):
            each.value = ""
        self._picture.value, self._picture.layout.display = b"", "none"
        self._paper.show((), ())

    def _guarded(self, action):
        """Bad input is said in words; any other error is shown, and raised for tests to see."""

        def tried():
            try:
                action()
            except (InputError, OSError) as error:
                self._say(self._sentence(error))

        return guarded(tried, self._said)

    def _sentence(self, error):
        return sentence_of(getattr(error, "strerror", None) or error, self.units)

    def _say(self, words):
        self._said.value = markup.status(words, markup.TEXT)


def wrong_words(marks):
    """What the class got wrong most, in a sentence."""
    lost = [(name, share) for name, share in mark_table.most_wrong(marks) if share > 0.0]
    if not lost:
        nothing = all(each.problem for each in marks)
        return "Nothing was marked." if nothing else "Everybody got everything right."
    parts = ", ".join(f"{name} ({100 * share:.0f} % of its marks lost)" for name, share in lost)
    return f"What the class got wrong most: {parts}."


def again_words(number, before, now):
    """What came of reading one paper again, and whether the marks of others changed with it.

    number   of the paper      before, now   all `Mark`s
    """
    mark = now[number - 1]
    came = f"not marked: {mark.problem}"
    if not mark.problem:
        came = f"{mark.total:g} of {mark.exercise.most_marks:g}"
    others = [f"{at} {new.whose}" for at, (old, new) in enumerate(zip(before, now, strict=True), start=1)
              if at != number and old.total != new.total]
    changed = (f" The lightest cure known is another now, so marks for metal changed as well: "
               f"{', '.join(others)}.") if others else " No other mark has changed."
    return f"Read again: {number} {mark.whose}, {came}.{changed}"
