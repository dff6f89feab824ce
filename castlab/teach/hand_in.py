"""What a student's notebook of an exercise is made of: the bad casting, two questions, sliders, and the hand-in."""

import os
from pathlib import Path

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.field.causes import CAUSES, cause_of
from castlab.teach import hypertext
from castlab.teach.bench import Bench
from castlab.teach.benches import mould_follows, pouring_follows_alloy
from castlab.teach.casting import cells_for, solve
from castlab.teach.exercise import Answer, answer_text, read_answer, read_exercise, sliders_of
from castlab.teach.tasks import Question

PLACE = "Where will the largest hole be?"
REASON = "Why will it be there? Choose the reason that you would give."


class HandIn:
    """One exercise in a student's notebook.

    text    the exercise as JSON text (see `castlab.teach.exercise`)

    `place` is the question that hides the bench until it is answered, `reason` the choice of reasons, `bench`
    the casting with the sliders that may be turned, `name` and `words` what the student writes.
    """

    def __init__(self, text):
        self.exercise = read_exercise(text)
        allowed = [slider for slider in sliders_of(self.exercise) if slider.name in self.exercise.allowed]
        self.bench = Bench(allowed, lambda values: self.exercise.design(**values).setup(), solve, cells_for,
                           {"alloy": pouring_follows_alloy, "mould": mould_follows})
        bodies = [body.name for body in self.exercise.design().setup().layout.blocks if body.role == "casting"]
        self.place = Question(self.bench, PLACE, {name: f"in the {name}" for name in bodies}, _judge)
        self._start = self.bench.values
        options = [(f"{words[:1].upper()}{words[1:]}", key) for key, words in CAUSES.items()]
        self._reason = widgets.RadioButtons(options=options, value=None, layout={"width": "max-content"})
        self.reason = widgets.VBox([widgets.HTML(hypertext.paragraph(REASON)), self._reason])
        self._name = widgets.Text(description="Your name", layout={"width": "420px"})
        self._words = widgets.Textarea(description="In words", layout={"width": "640px", "height": "80px"},
                                       placeholder="Why does your cure work? Two sentences are enough.")
        self.who = widgets.VBox([self._name, self._words])

    def say(self, reason=None, name=None, words=None):
        """Fill in by code what a student fills in by hand."""
        for field, value in ((self._reason, reason), (self._name, name), (self._words, words)):
            if value is not None:
                field.value = value
        return self

    def answer(self):
        """The Answer as it stands. Raises InputError that says what is still missing."""
        if not self.place.record:
            raise InputError("answer", "no place", "first say where the hole will be")
        if self._reason.value is None:
            raise InputError("answer", "no reason", "first choose the reason")
        if not self._name.value.strip():
            raise InputError("answer", "no name", "first write your name")
        values = {name: value for name, value in self.bench.values.items() if value != self._start[name]}
        return Answer(self.exercise.key, self._name.value.strip(), self.place.record[0].said,
                      self._reason.value, values, self._words.value.strip())

    def hand_in(self, folder="."):
        """Print the answer and write it beside the notebook; says whether it was saved."""
        try:
            text = answer_text(self.answer())
            read_answer(text, self.exercise)
        except InputError as error:
            print(f"Not handed in. {str(error)[:1].upper()}{str(error)[1:]}.")
            return
        print(text)
        path = Path(folder) / f"{notebook_name()}.json"
        try:
            path.write_text(text + "\n", encoding="utf-8")
            print(f"Saved: {path.name}. Save this notebook too, and hand in both files.")
        except OSError as error:
            print(f"Not saved: {error.strerror}. Save this notebook; what is printed above is your answer.")


def notebook_name():
    """The notebook's file name without its ending, as Jupyter tells the kernel; "answer" when it does not."""
    return Path(os.environ.get("JPY_SESSION_NAME", "answer")).stem


def _judge(result, units):
    """Where the largest hole is, and why, in words."""
    place = result.worst_place
    if place is None:
        return "", result.sentence(units)
    return place.block, f"{result.sentence(units)} The reason: {CAUSES[cause_of(result.account)]}."
