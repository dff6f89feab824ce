"""The marking desk: reads a folder of returned notebooks, solves every cure in them, and shows the marks."""

from dataclasses import dataclass
from pathlib import Path

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.field.outcome import Outcome, outcome_of
from castlab.plan import Batch, Job
from castlab.teach.bench.controls import units_switch
from castlab.teach.exercise.exercise import MOST_BYTES, read_exercise
from castlab.teach.marking import mark_table
from castlab.teach.marking.model_answer import ALLOWED_POURS, Truth, allowed_cures, truth_of
from castlab.teach.marking.returned import collect
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.progress import Work
from castlab.teach.work.shown import Shown, button, guarded
from castlab.units import METRIC, said

NOTE = (
    "Place and reason are compared with the computation, and each cure is solved; the model leaves out "
    "flow, gas and stress. Read the words of the students yourself: nothing here marks them."
)
WIDE = {"width": "640px", "max_width": "100%"}
ROW = {"flex_flow": "row wrap", "align_items": "center"}
LABELS = {"description_width": "140px"}


@dataclass(frozen=True)
class Solved:
    """What marking needs: the truth, the Outcome of each design, and the model cure if there is one."""

    truth: Truth
    outcomes: dict
    model: Outcome | None


def solve_all(exercise, returned):
    """The plan that solves an exercise and all cures that were handed in, equal ones once: gives a Solved."""
    designs = list(dict.fromkeys(exercise.design(**each.answer.values) for each in returned if each.answer))
    jobs = [Job(truth_of, exercise), *(Job(outcome_of, design) for design in designs)]
    truth, *outcomes = yield Batch(jobs, more=ALLOWED_POURS)
    allowed = yield from allowed_cures(exercise)
    model = allowed[0].outcome if allowed else None
    return Solved(truth, dict(zip(designs, outcomes, strict=True)), model)


def marks_of(exercise, returned, solved, units=METRIC):
    """The `Mark`s of all that was returned, in that order."""
    every = [*solved.outcomes.values(), *([solved.model] if solved.model else [])]
    best = mark_table.best_metal(every, exercise)
    marks = []
    for each in returned:
        if each.answer is None:
            marks.append(mark_table.unmarked(each, units))
            continue
        outcome = solved.outcomes[exercise.design(**each.answer.values)]
        marks.append(mark_table.mark(each, exercise, solved.truth, outcome, best, units))
    return tuple(marks)


def open_exercise(path):
    """The Exercise in a file. Raises InputError for what is no exercise or cannot be read."""
    path = Path(path)
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError("exercise", path.name, f"the file must have at most {MOST_BYTES} bytes")
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise InputError("exercise", str(path), f"it cannot be read: {error.strerror}") from None
    except UnicodeDecodeError:
        raise InputError("exercise", path.name, "it must be text in UTF-8") from None
    return read_exercise(text)


class MarkingDesk(Shown):
    """Choose the exercise and the folder, press Mark, look, and save the table.

    exercise   path of the exercise's JSON file       folder   path of the folder with the returned files

    Nothing in a returned file is ever run. `wait()`, `marks` and the `print_` functions are for tests and
    number cells.
    """

    def __init__(self, exercise="", folder=""):
        self._work, self.exercise, self.returned, self.marks = Work(), None, (), ()
        self.units = METRIC
        self._build(str(exercise), str(folder))

    def look(self):
        """Read the exercise and the returned files, and say what there is. Solves nothing.

        Raises InputError for an exercise or a folder that cannot be used.
        """
        self.exercise = open_exercise(self._exercise.value.strip())
        self.returned = collect(self._folder.value.strip() or ".", self.exercise)
        good = sum(each.answer is not None for each in self.returned)
        self._say(f"{self.exercise.title}: {good} answers; {len(self.returned) - good} without a usable one.")

    def mark(self):
        """Read everything, then solve and mark it in the background; the table appears when it is done."""
        self._forget()
        try:
            self.look()
        except InputError as error:
            self._say(f"Nothing is marked. {sentence_of(error, self.units)}")
            return
        exercise, returned = self.exercise, self.returned
        self._work.start(solve_all(exercise, returned),
                         on_done=lambda solved: self._show(exercise, returned, solved))

    def speak(self, units):
        """Say masses and volumes in the comments in these units; the table that is saved has them too."""
        self.units = self._switch.value = units
        if self.marks:
            self._show(*self._marked)

    def stop(self):
        """End the work; nothing is marked then."""
        self._work.stop()

    def wait(self, timeout=None):
        """Wait until everything is marked; returns the marks."""
        self._work.wait(timeout)
        return self.marks

    def save(self):
        """Write the table as CSV where the field says; returns the path.

        Raises InputError when there is nothing to save or the file is there and may not be replaced, and
        OSError when it cannot be written.
        """
        if not self.marks:
            raise InputError("table", "empty", "mark a folder first")
        path = Path(self._csv.value.strip())
        if not path.name or not path.parent.is_dir():
            raise InputError("file", str(path), "it needs a name, and its folder must be there")
        return mark_table.write_csv(path, mark_table.csv_text(self.marks, self.exercise), self._replace.value)

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

    # ---- widgets

    def _build(self, exercise, folder):
        found = sorted(map(str, Path().glob("*/*_exercise.json")))
        self._exercise = self._field("exercise file", exercise, found)
        self._folder = self._field("folder of returns", folder, ())
        self._csv = self._field("table goes to", "marks.csv", ())
        self._replace = widgets.Checkbox(description="may replace a file of that name", indent=False)
        self._said, self._table, self._wrong = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self._save = button("Save the table", guarded(self._save_pressed, self._said), "max-content")
        saving = widgets.HBox([self._csv, self._replace, self._save], layout=ROW)
        self._switch = units_switch(lambda units: guarded(lambda: self.speak(units), self._said)())
        mark = button("Mark", guarded(self.mark, self._said), "max-content")
        row = widgets.HBox([mark, self._switch], layout=ROW)
        self.widget = widgets.VBox([self._exercise, self._folder, row, self._said,
                                    self._work.widget, self._table, self._wrong, saving])
        self._forget()
        self._say("Choose the exercise and the folder, then press Mark.")

    def _field(self, label, value, options):
        return widgets.Combobox(description=label, value=value, options=options, layout=WIDE, style=LABELS)

    def _save_pressed(self):
        try:
            self._say(f"Saved: {self.save()}.")
        except (InputError, OSError) as error:
            self._say(f"Not saved. {sentence_of(getattr(error, 'strerror', None) or error, self.units)}")

    def _forget(self):
        self._work.stop()
        self.marks, self._table.value, self._wrong.value = (), "", ""
        self._save.disabled = True

    def _show(self, exercise, returned, solved):
        self._marked = exercise, returned, solved
        self.marks = marks = marks_of(exercise, returned, solved, self.units)
        self._table.value = markup.table(mark_table.HEADINGS, mark_table.rows_of(marks, exercise), NOTE)
        self._wrong.value = markup.paragraph(wrong_words(marks, exercise))
        self._save.disabled = not marks
        marked = sum(not each.problem for each in marks)
        self._say(f"{exercise.title}: {marked} marked, {len(marks) - marked} not.")

    def _say(self, words):
        self._said.value = markup.status(words, markup.TEXT)


def wrong_words(marks, exercise):
    """What the class got wrong most, in a sentence."""
    lost = [(name, share) for name, share in mark_table.most_wrong(marks, exercise) if share > 0.0]
    if not lost:
        nothing = all(each.problem for each in marks)
        return "Nothing was marked." if nothing else "Everybody got everything right."
    parts = ", ".join(f"{name} ({100 * share:.0f} % of its marks lost)" for name, share in lost)
    return f"What the class got wrong most: {parts}."
