"""An exercise and an answer to it: what they hold, and how they are written as JSON and read again.

Nothing that comes from outside is trusted: every value is looked at before it is used, and nothing is run. An
exercise holds no hidden answer; what is right is found by solving it.
"""

import hashlib
import json
import math
from dataclasses import asdict, dataclass, field, fields
from functools import cached_property

from castlab.errors import InputError, require_between, require_known
from castlab.field.diagnosis import CAUSES
from castlab.field.grid import refuse_apart
from castlab.field.own_part import OwnPart
from castlab.field.part_file import part_of, write_part
from castlab.field.parts import require_part
from castlab.materials import alloy_names, mould_names
from castlab.outside import plain_text, read_json, shortened
from castlab.teach.exercise.places import bodies_in, places_in
from castlab.teach.sliders.slider import SI_UNITS
from castlab.teach.sliders.to_design import design_of, pouring_follows_alloy, sliders_for, sliders_of_part
from castlab.teach.text.file_names import safe_stem
from castlab.units import given

VERSION = 2
OWN_VERSION = 3  # of an exercise that brings its own part: older readers must refuse it in words
MOST_BYTES = 1_000_000  # an exercise with a skin of 20,000 triangles; more is something else
ANSWER_BYTES = 200_000  # an answer is a few kilobytes
MOST_WORDS = 2000  # characters of free text
MARKS = {"place": 2, "reason": 3, "sound": 4, "metal": 3, "words": 0}  # usual marks for each point
COMPUTED = ("place", "reason", "sound", "metal")  # the points that the desk marks; words are marked by hand
OF_ALLOY = ("pour_temp_c", "mould_temp_c")  # their ranges follow the alloy, so they must be free with it
TEXTS_OF_ANSWER = {"exercise": 64, "name": 200, "number": 40, "block": 64, "reason": 64, "words": MOST_WORDS}
MOST_NAMED = 3  # exercises that an error names
OFF_STEP = 1e-3  # of a step; what a slider and a text lose on the way


@dataclass(frozen=True)
class Exercise:
    """A deliberately bad casting and what students may do about it.

    part                           a name of `castlab.field.parts.PARTS`, or an OwnPart, which it then brings
    alloy, mould, values           as on the bench that shows it; `values` in metres, words and degrees C
    allowed                        names of the sliders that a student may change
    most_metal_kg                  metal that the pot holds [kg]; a cure that needs more is no cure
    marks                          marks for place, reason, sound, metal and, given by hand, words

    Where it shrinks is not in it: a student's notebook holds the exercise. Raises InputError for what no
    bench can show.
    """

    title: str
    part: str | OwnPart
    alloy: str
    mould: str
    values: dict
    allowed: tuple[str, ...]
    most_metal_kg: float
    marks: dict = field(default_factory=lambda: dict(MARKS))
    version: int = VERSION

    def __post_init__(self):
        _check_exercise(self)
        if isinstance(self.part, OwnPart):
            object.__setattr__(self, "part", part_of(json.loads(write_part(self.part))))  # as it will be read
            object.__setattr__(self, "version", OWN_VERSION)
        order = [*(slider.name for slider in sliders_of_part(self.part)), *OF_ALLOY]
        numbers = {name: _tidy(self.values[name]) for name in order if name in self.values}
        object.__setattr__(self, "values", numbers)
        object.__setattr__(self, "allowed", tuple(sorted(set(self.allowed))))
        object.__setattr__(self, "most_metal_kg", float(self.most_metal_kg))
        object.__setattr__(self, "marks", {name: _tidy(self.marks[name]) for name in MARKS})
        for slider in self.sliders():
            require_on_slider(slider, numbers.get(slider.name, slider.value), self.bench_values())
        refuse_apart(self.design().setup().layout)

    @cached_property
    def key(self):
        """A short name that tells one exercise from another. What is only said about it, title and marks, may
        be corrected after it was handed out."""
        return _short_hash({name: value for name, value in self.record.items()
                            if name not in ("title", "marks")})

    @cached_property
    def keys(self):
        """The key, and the one that castlab gave it before version 2, with title and marks in it."""
        marks = {name: self.marks[name] for name in COMPUTED}
        before = {"castlab": "exercise", **self.record, "marks": marks, "version": 1}
        return self.key, _short_hash(before, indent=1)

    @cached_property
    def record(self):
        """{field: value} as JSON has them; a part of one's own as its file has it."""
        values = {each.name: getattr(self, each.name) for each in fields(self)}
        own = isinstance(self.part, OwnPart)
        return values | {"part": json.loads(write_part(self.part)) if own else self.part}

    @cached_property
    def layout(self):
        """The Layout of the casting as it is given."""
        return self.design().setup().layout

    @property
    def places(self):
        """Where a hole can be: names of the blocks of the casting, or of thirds of its only one."""
        return places_in(self.layout)

    @property
    def most_marks(self):
        """Marks of an answer that has everything right."""
        return sum(self.marks.values())

    def bench_values(self):
        """All values of its bench: {name: value}."""
        return {"alloy": self.alloy, "mould": self.mould, **self.values}

    def design(self, **changes):
        """The design, with a student's changes."""
        return design_of(self.part, self.bench_values() | changes)

    def sliders(self):
        """The sliders that a student may change, standing as the exercise has them."""
        names = [name for name in self.values if name != "pour_temp_c"]
        every = sliders_for(self.part, *names, metal=self.alloy, sand=self.mould, **self.values)
        return [slider for slider in every if slider.name in self.allowed]

    def require_cure(self, values):
        """Refuse changes that no student can make with these sliders. Raises InputError.

        values   {name of slider: value}, [m], words and [deg C]
        """
        sliders = {slider.name: slider for slider in self.sliders()}
        for name, value in values.items():
            require_known("slider", shortened(name), sliders)
            _require_plain(name, value)
        for name, value in values.items():
            require_on_slider(sliders[name], value, self.bench_values() | values)


@dataclass(frozen=True)
class Answer:
    """What a student hands in: which exercise, where and why it shrinks, and the cure on the sliders.

    `number` is the student's on the list of the class; it may be empty.
    """

    exercise: str
    name: str
    block: str
    reason: str
    values: dict
    words: str = ""
    number: str = ""
    version: int = VERSION

    @cached_property
    def key(self):
        """A short name that tells one answer from another."""
        return _short_hash(asdict(self))


def exercise_text(exercise):
    """An exercise as JSON text that a person can read."""
    return json.dumps({"castlab": "exercise", **exercise.record}, indent=1, sort_keys=True)


def answer_text(answer):
    """An answer as JSON text, on one line, so that it can be found in a printed cell."""
    return json.dumps({"castlab": "answer", **asdict(answer)}, sort_keys=True)


def read_exercise(text):
    """An Exercise out of JSON text. Raises InputError that says what is wrong with it."""
    record = _record(text, "exercise", Exercise, MOST_BYTES)
    if isinstance(record["part"], dict):
        record["part"] = part_of(record["part"])
    return Exercise(**record)


def answer_file_name(name):
    """The name of a student's file, safe on every system whatever the student is called.

    >>> answer_file_name(" Zoë O'Neil "), answer_file_name("../*")
    ('Zoë_O_Neil_answer.json', 'student_answer.json')
    """
    return f"{safe_stem(name) or 'student'}_answer.json"


def read_answer(text, *exercises):
    """An Answer to one of these exercises out of JSON text. Raises InputError that says what is wrong."""
    record = _record(text, "answer", Answer, ANSWER_BYTES)
    for name, most in TEXTS_OF_ANSWER.items():
        record[name] = plain_text(_require_text(name, record[name], most))
    exercise = next((each for each in exercises if record["exercise"] in each.keys), None)
    if exercise is None:
        keys = ", ".join(each.key for each in exercises[:MOST_NAMED]) + ", ..." * bool(exercises[MOST_NAMED:])
        raise InputError("exercise", record["exercise"], f"the answer must be to exercise {keys}")
    record["exercise"] = exercise.key
    if not record["name"]:
        raise InputError("name", "empty", "the answer must say whose it is")
    require_known("place", record["block"], dict.fromkeys((*exercise.places, *bodies_in(exercise.layout))))
    require_known("reason", record["reason"], CAUSES)
    if not isinstance(record["values"], dict):
        raise InputError("values", shortened(record["values"]), "it must be pairs of slider and value")
    exercise.require_cure(record["values"])
    return Answer(**record)


def require_on_slider(slider, value, values):
    """Refuse a value that the slider cannot stand at, while the bench has these values."""
    if slider.kind == "choice":
        require_known(slider.label, value, slider.options)
        return
    low, high = slider.low, slider.high
    if slider.name in OF_ALLOY:
        low, high, _ = pouring_follows_alloy(values)[slider.name]
    _require_number(slider.label, value)
    unit = SI_UNITS[slider.kind]
    steps = (require_between(slider.label, value, low, high, unit) - low) / slider.step
    if abs(steps - round(steps)) > OFF_STEP:
        step = given(slider.step, SI_UNITS["difference"] if slider.kind == "temperature" else unit)
        allowed = "the slider goes from {} on in steps of {}"
        raise InputError(slider.label, given(value, unit), allowed, given(low, unit), step)


# ---- reading


def _record(text, what, kind, most):
    """The fields of an object of JSON that says it is an exercise or an answer; no field too few or many."""
    record = read_json(text, what, most)
    if not isinstance(record, dict) or record.pop("castlab", None) != what:
        raise InputError(what, shortened(text), f'it must be a JSON object with "castlab": "{what}"')
    version = record.get("version")
    known = OWN_VERSION if isinstance(record.get("part"), dict) else VERSION
    if isinstance(version, bool) or version not in tuple(range(1, known + 1)):
        raise InputError("version", shortened(version), f"this castlab reads version {known} and before")
    if version == 1:
        _as_version_2(record)
    wanted = set(kind.__dataclass_fields__)
    for name in sorted(wanted - set(record)):
        raise InputError(name, "missing", f"the {what} must have it")
    for name in sorted(set(record) - wanted):
        raise InputError(shortened(name), "not known", f"the {what} must not have it")
    return record | {"version": VERSION}


def _as_version_2(record):
    """What an exercise and an answer have today, and did not before."""
    marks = record.get("marks")
    if isinstance(marks, dict):
        record["marks"] = {"words": 0} | marks
    if "block" in record:
        record.setdefault("number", "")


# ---- checking


def _check_exercise(exercise):
    """All that must hold before sliders and a design can be made of it."""
    for name in ("alloy", "mould"):
        _require_text(name, getattr(exercise, name), 64)
    if not isinstance(exercise.part, OwnPart):
        require_part(_require_text("part", exercise.part, 64))
    require_known("alloy", exercise.alloy, alloy_names())
    require_known("mould", exercise.mould, mould_names())
    title = _require_text("title", exercise.title, 120)
    if not title.strip() or title != plain_text(title):
        raise InputError("title", shortened(title), "it must be one line, with single blanks")
    _check_values(exercise)
    _check_allowed(exercise)
    _require_number("most metal", exercise.most_metal_kg)
    require_between("most metal", exercise.most_metal_kg, 0.001, 1000.0, "kg")
    if not isinstance(exercise.marks, dict) or set(exercise.marks) != set(MARKS):
        raise InputError("marks", shortened(exercise.marks), f"it must have {', '.join(MARKS)}")
    for name, value in exercise.marks.items():
        _require_number(f"marks for {name}", value)
        require_between(f"marks for {name}", value, 0, 100)
    if not sum(exercise.marks.values()) > 0:
        raise InputError("marks", "all 0", "there must be something to get marks for")


def _check_values(exercise):
    if not isinstance(exercise.values, dict) or "pour_temp_c" not in exercise.values:
        raise InputError("values", shortened(exercise.values), "it must name sliders, with pour_temp_c")
    known = [*OF_ALLOY, *(slider.name for slider in sliders_of_part(exercise.part))]
    for name, value in exercise.values.items():
        require_known("slider", shortened(name), known)
        _require_plain(name, value)


def _check_allowed(exercise):
    allowed = exercise.allowed
    if not isinstance(allowed, (list, tuple)) or not allowed:
        raise InputError("allowed", shortened(allowed), "it must be a list of names of sliders, one or more")
    for name in allowed:
        require_known("allowed slider", shortened(name), [*exercise.values, "alloy", "mould"])
    for name in OF_ALLOY:
        if "alloy" in allowed and name in exercise.values and name not in allowed:
            raise InputError("allowed", "alloy", f"who may choose the alloy must be free in {name} too")


def _require_text(name, value, most):
    if not isinstance(value, str) or len(value) > most:
        raise InputError(name, shortened(value), f"it must be text of at most {most} characters")
    return value


def _require_number(name, value):
    """A finite number that is small enough to be one; True and "5" are none."""
    good = isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < 1e9
    if not (good and math.isfinite(value)):
        raise InputError(name, shortened(value), "it must be a number of usual size")


def _require_plain(name, value):
    """A number or a short word, and nothing else."""
    if not isinstance(value, str):
        _require_number(str(name), value)
    elif len(value) > 64:
        raise InputError(str(name), shortened(value), "it must be a number or a short word")


def _short_hash(record, indent=None):
    return hashlib.sha256(json.dumps(record, indent=indent, sort_keys=True).encode()).hexdigest()[:12]


def _tidy(value):
    """12 and 12.0 are written the same, so that an exercise keeps its key when it is read again."""
    return value if isinstance(value, str) else float(value)
