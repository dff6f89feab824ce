"""What a student's notebook of an exercise is made of: two questions, the bench, and the hand-in."""

from pathlib import Path

import ipywidgets as widgets

from castlab.errors import InputError, require_known
from castlab.field.diagnosis import CAUSES
from castlab.field.parts import name_of_part
from castlab.teach.bench.bench import Bench
from castlab.teach.bench.questions import ANSWERS, radio_of
from castlab.teach.exercise.exercise import (
    Answer,
    answer_file_name,
    answer_text,
    read_answer,
    read_exercise,
)
from castlab.teach.exercise.places import how_to_say
from castlab.teach.exercise.settings_in_words import range_words, settings_together, worth_telling
from castlab.teach.own_part.beside_bench import drawing_beside
from castlab.teach.sliders.to_design import mould_follows, pouring_follows_alloy
from castlab.teach.text import markup
from castlab.teach.text.reader_units import BOTH, sentence_of
from castlab.teach.work.shown import button

PLACE = "Where will the largest hole be?"
REASON = "Why will it be there? Choose the reason that you would give."
HIDDEN = "The result is hidden. First say above where the largest hole will be, and why."
MAY_TURN = "You may change:"
WHY_IT_WORKS = "Why does your cure work? Two sentences are enough."
SAID = f"font-size:16px; line-height:1.4; min-height:24px; {markup.WIDTH}"


def asked_where(exercise):
    """The question where the largest hole will be, with what explains its choices."""
    return f"{PLACE} {how_to_say(exercise.layout)}".strip()


class HandIn:
    """One exercise in a student's notebook.

    text    the exercise as JSON text (see `castlab.teach.exercise.exercise`)

    `bench` is the casting with the sliders that may be turned; it is hidden until place and reason are said
    together on `expectation`, because its sentence tells both. `who` takes name and words.
    """

    def __init__(self, text):
        self.exercise = read_exercise(text)
        self.bench = bench_for_exercise(self.exercise)
        self._start, self.said, self._saved = self.bench.values, None, None
        self._build()
        self.bench.hide(HIDDEN, may_show=False)

    def expect(self, place, reason):
        """Record where and why, once and for all, and show the result of the casting as it was given.

        Raises InputError for a place or reason that is not on the list, and when both were said before.
        """
        require_known("place", place, self.exercise.places)
        require_known("reason", reason, CAUSES)
        if self.said:
            raise InputError("place and reason", "recorded", "they cannot be changed any more")
        self.said = place, reason
        self._place.value, self._reason.value = place, reason
        for control in (self._place, self._reason, self._button):
            control.disabled = True
        self._say(f"Recorded: in the {place}, because {CAUSES[reason]}. Now look at the bench.")
        if self.bench.values != self._start:
            self.bench.start_again()
        self.bench.reveal()

    def write(self, name=None, words=None, number=None):
        """Fill in by code what a student fills in by hand."""
        for field, value in ((self._name, name), (self._words, words), (self._number, number)):
            if value is not None:
                field.value = value

    def answer(self):
        """The Answer as it stands. Raises InputError that says what is still missing."""
        if not self.said:
            raise InputError("place and reason", "missing", "first say where the hole will be, and why")
        if not self._name.value.strip():
            raise InputError("name", "missing", "first write your name")
        changes = {name: value for name, value in self.bench.values.items() if value != self._start[name]}
        return Answer(self.exercise.key, self._name.value.strip(), *self.said, changes,
                      self._words.value.strip(), self._number.value.strip())

    def hand_in(self, folder="."):
        """Print the answer and write it beside the notebook, named after the student; says whether it was
        saved."""
        try:
            text = answer_text(self.answer())
            name = read_answer(text, self.exercise).name
        except InputError as error:
            print(f"Not handed in yet. {sentence_of(error, self.bench.units)}")
            return
        print(text)
        path = Path(folder) / answer_file_name(name)
        try:
            self._save(path, text)
        except (InputError, OSError) as error:
            words = getattr(error, "strerror", None) or error
            print(f"Not saved: {words}. Save this notebook; the line above is your answer.")
        else:
            print(f"Saved: {path.name}. Hand in this file; save this notebook too, and hand it in with it.")
            if self._saved not in (None, path):
                print(f"{self._saved.name} is from before: do not hand it in.")
            self._saved = path

    def print_brief(self):
        """Print what the exercise is about."""
        print(brief(self.exercise), end="")

    def _save(self, path, text):
        """Replace an earlier answer, and nothing else."""
        if path.is_symlink() or path.exists():
            try:
                text_there = path.read_text(encoding="utf-8") if path.is_file() else ""
                read_answer(text_there, self.exercise)
            except (InputError, UnicodeDecodeError):
                raise InputError("file", path.name, "it is there, and is no answer to this") from None
        path.write_text(text + "\n", encoding="utf-8")

    # ---- widgets

    def _build(self):
        self._place = radio_of({name: f"in the {name}" for name in self.exercise.places})
        self._reason = radio_of({key: f"{words[:1].upper()}{words[1:]}" for key, words in CAUSES.items()})
        self._button = button("This is what I expect", self.bench.guarded(self._pressed), "max-content")
        self._words_said = widgets.HTML()
        self._say("")
        questions = asked_where(self.exercise), REASON
        ask = [widgets.HTML(markup.paragraph(words)) for words in questions]
        style = widgets.HTML(ANSWERS, layout={"display": "none"})
        self.expectation = widgets.VBox([style, ask[0], self._place, ask[1], self._reason, self._button,
                                         self._words_said])
        narrow, wide = ({"width": width, "max_width": "100%"} for width in ("420px", "640px"))
        self._name = widgets.Text(description="Your name", layout=narrow)
        self._number = widgets.Text(description="Your number", layout=narrow,
                                    placeholder="on the list of the class, if you have one")
        self._words = widgets.Textarea(description="In words", layout=wide | {"height": "80px"},
                                       placeholder=WHY_IT_WORKS)
        self.who = widgets.VBox([self._name, self._number, self._words])

    def _pressed(self):
        if self._place.value is None or self._reason.value is None:
            self._say("Choose a place and a reason first.")
        else:
            self.expect(self._place.value, self._reason.value)

    def _say(self, words):
        self._words_said.value = markup.status(words, SAID)


def bench_for_exercise(exercise):
    """The bad casting with the sliders that a student may change, and no others."""
    given = exercise.bench_values()
    follows = {"alloy": lambda values: pouring_follows_alloy(given | values),
               "mould": lambda values: mould_follows(given | values)}
    return Bench(exercise.sliders(), lambda values: exercise.design(**values).setup(), follows=follows,
                 drawing_of=drawing_beside(exercise.part))


def brief(exercise):
    """What a student must know of an exercise, as printed text."""
    given, sliders, rules = brief_parts(exercise)
    return "\n".join((*given, MAY_TURN, *(f"- {words}" for words in sliders), *rules)) + "\n"


def brief_parts(exercise):
    """How the casting stands, which sliders may be turned, and what counts: three tuples of lines.

    In both units, because a teacher does not know with which a class measures.
    """
    fixed = [name for name in worth_telling(exercise)
             if exercise.values[name] and name not in exercise.allowed]
    given = (
        f"Exercise {exercise.key}: {exercise.title}",
        f"Part, alloy, mould: {name_of_part(exercise.part)}, {exercise.alloy}, {exercise.mould}",
        *(f"As it is: {words}" for words in settings_together(exercise, fixed, BOTH)),
    )
    rules = (
        f"The pot holds {BOTH.mass(exercise.most_metal_kg)} of metal in all.",
        f"Marks: {', '.join(f'{name} {most:g}' for name, most in exercise.marks.items() if most)}.",
    )
    return given, tuple(range_words(slider, BOTH) for slider in exercise.sliders()), rules
