"""An answer that came on paper, typed in by the instructor: it becomes a file like all others."""

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.field.diagnosis import CAUSES
from castlab.teach.bench.controls import control_of, in_groups
from castlab.teach.exercise.exercise import OF_ALLOY, Answer, answer_file_name, answer_text, read_answer
from castlab.teach.sliders.to_design import pouring_follows_alloy
from castlab.teach.work.shown import button, menu
from castlab.units import METRIC

HEADING = "An answer that came on paper"
WIDE = {"width": "640px", "max_width": "100%"}
LABELS = {"description_width": "140px"}


class TypedAnswer:
    """A form with all that an answer holds; its sliders are those that the student might turn.

    done      function: (Answer), called with what was typed once the button is pressed
    guarded   what makes callbacks of actions
    """

    def __init__(self, done, guarded):
        self._done, self._guarded, self._units, self._exercises, self.controls = done, guarded, METRIC, (), {}
        self._which, self._place = menu("exercise", (), None), menu("where", (), None)
        self._reason = menu("why", [(words, key) for key, words in CAUSES.items()], None)
        self._reason.layout.max_width = "100%"
        self._which.observe(lambda _: guarded(self._exercise_chosen)(), "value")
        self.name, self.number = (widgets.Text(description=words, style=LABELS, layout=WIDE)
                                  for words in ("name", "number in the class"))
        self.words = widgets.Textarea(description="in words", style=LABELS, layout=WIDE)
        self._sliders = widgets.VBox()
        put = button("Put it with the others", guarded(lambda: done(self.answer())), "max-content")
        form = widgets.VBox([self._which, self.name, self.number, self._place, self._reason, self._sliders,
                             self.words, put])
        self.widget = widgets.Accordion([form], selected_index=None, layout={"display": "none"})
        self.widget.set_title(0, HEADING)

    def show(self, exercises):
        """Take answers to these exercises; what was typed stays while they are the same."""
        self.widget.layout.display = ""
        if exercises != self._exercises:
            self._exercises = exercises
            self._which.layout.display = "" if exercises[1:] else "none"
            self._which.options = [(f"{each.title}, {each.key}", each.key) for each in exercises]
            self._which.value = exercises[0].key
            self._exercise_chosen()

    def speak(self, units):
        """Show the sliders in these units."""
        self._units = units
        for control in self.controls.values():
            control.speak(units)

    def choose(self, place=None, reason=None, **values):
        """Fill in by code what is filled in by hand; `values` by the names of the sliders, in SI."""
        self._place.value, self._reason.value = place, reason
        for name, value in values.items():
            self.controls[name].value = value

    def answer(self):
        """The Answer that was typed. Raises InputError that says what is missing."""
        for name, field in (("where", self._place), ("why", self._reason)):
            if field.value is None:
                raise InputError(name, "missing", "choose one from the menu")
        exercise, before = self._exercise, self._exercise.bench_values()
        values = {name: control.value for name, control in self.controls.items()}
        typed = Answer(exercise.key, self.name.value, self._place.value, self._reason.value,
                       {name: value for name, value in values.items() if value != before[name]},
                       self.words.value, self.number.value)
        return read_answer(answer_text(typed), exercise)

    def clear(self):
        """Make room for the next one."""
        self.name.value = self.number.value = self.words.value = ""
        self._exercise_chosen()

    @property
    def _exercise(self):
        return next(each for each in self._exercises if each.key == self._which.value)

    def _exercise_chosen(self):
        if self._which.value is None:
            return
        exercise = self._exercise
        self.controls = {slider.name: control_of(slider) for slider in exercise.sliders()}
        for name in ("alloy", "mould"):
            if name in self.controls:
                self.controls[name].widget.observe(lambda _: self._guarded(self._follow)(), "value")
        self._sliders.children = (in_groups(self.controls.values()),)
        self._place.options = exercise.places
        self._place.value = self._reason.value = None
        self.speak(self._units)

    def _follow(self):
        """Another alloy or mould has other temperatures."""
        values = self._exercise.bench_values() | {name: each.value for name, each in self.controls.items()}
        for name, ends in pouring_follows_alloy(values).items():
            if name in OF_ALLOY and name in self.controls:
                self.controls[name].move_range(*ends)


def put_down(answer, folder):
    """Write it into a folder as the file of that student; returns the path.

    Raises InputError where a file of that name is there, OSError where it cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / answer_file_name(answer.name)
    try:
        with open(path, "x", encoding="utf-8", newline="\n") as file:
            file.write(answer_text(answer) + "\n")
    except FileExistsError:
        allowed = "it is there already; take it away, or write the name otherwise"
        raise InputError("file", path.name, allowed) from None
    return path
