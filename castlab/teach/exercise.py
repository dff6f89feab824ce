"""An exercise and an answer to it: what they hold, and how they are written as JSON and read again.

Nothing that comes from outside is trusted: every value is looked at before it is used, and nothing is run. An
exercise holds no hidden answer; what is right is found by solving it.
"""

import hashlib
import json
import math
import re
from dataclasses import asdict, dataclass, field

from castlab.errors import InputError, require_between, require_known
from castlab.field.causes import CAUSES
from castlab.field.parts import PARTS
from castlab.materials import alloy, alloy_names, mould_names
from castlab.teach.benches import design_of, sliders_for

VERSION = 1
MOST_BYTES = 200_000  # an exercise or an answer is a few kilobytes; more is something else
MOST_WORDS = 2000  # characters of free text
MARKS = {"place": 2, "reason": 3, "sound": 4, "metal": 3}  # usual marks for each point of the scheme


@dataclass(frozen=True)
class Exercise:
    """A deliberately bad casting and what students may do about it.

    part, alloy, mould, values     as on the bench that shows it; `values` in metres, words and degrees C
    allowed                        names of the sliders that a student may turn
    most_metal_kg                  metal that the pot holds [kg]; a cure that needs more is no cure
    marks                          marks for place, reason, sound and metal

    Where it shrinks is not in it: a student's notebook holds the exercise.
    """

    title: str
    part: str
    alloy: str
    mould: str
    values: dict
    allowed: tuple[str, ...]
    most_metal_kg: float
    marks: dict = field(default_factory=lambda: dict(MARKS))
    version: int = VERSION

    def __post_init__(self):
        _check_exercise(self)
        object.__setattr__(self, "allowed", tuple(self.allowed))

    @property
    def key(self):
        """A short name that tells one exercise from another, and from a changed copy of itself."""
        return hashlib.sha256(exercise_text(self).encode()).hexdigest()[:12]

    def bench_values(self):
        """All values of its bench: {name: value}."""
        return {"alloy": self.alloy, "mould": self.mould, **self.values}

    def design(self, **changes):
        """The design, with a student's changes."""
        return design_of(self.part, self.bench_values() | changes)


@dataclass(frozen=True)
class Answer:
    """What a student hands in: which exercise, where and why it shrinks, and the cure on the sliders."""

    exercise: str
    name: str
    block: str
    reason: str
    values: dict
    words: str = ""
    version: int = VERSION


def exercise_text(exercise):
    """An exercise as JSON text that a person can read."""
    return json.dumps({"castlab": "exercise", **asdict(exercise)}, indent=1, sort_keys=True)


def answer_text(answer):
    """An answer as JSON text, on one line, so that it can be found in a printed cell."""
    return json.dumps({"castlab": "answer", **asdict(answer)}, sort_keys=True)


def read_exercise(text):
    """An Exercise out of JSON text. Raises InputError that says what is wrong with it."""
    record = _record(text, "exercise")
    _require_fields(record, Exercise, "exercise")
    if not isinstance(record["allowed"], list):
        raise InputError("allowed", _short(record["allowed"]), "it must be a list of names of sliders")
    return Exercise(**{**record, "allowed": tuple(record["allowed"])})


def read_answer(text, exercise):
    """An Answer to that exercise out of JSON text. Raises InputError that says what is wrong with it."""
    record = _record(text, "answer")
    _require_fields(record, Answer, "answer")
    for name, most in (("exercise", 64), ("name", 200), ("block", 64), ("reason", 64), ("words", MOST_WORDS)):
        if not isinstance(record[name], str) or len(record[name]) > most:
            raise InputError(name, _short(record[name]), f"it must be text of at most {most} characters")
    if record["exercise"] != exercise.key:
        raise InputError("exercise", record["exercise"], f"the answer must be to exercise {exercise.key}")
    require_known("reason", record["reason"], CAUSES)
    _check_cure(record["values"], exercise)
    return Answer(**record)


def sliders_of(exercise):
    """The sliders of its bench, standing as the exercise has them."""
    names = [name for name in exercise.values if name != "pour_temp_c"]
    return sliders_for(exercise.part, *names, metal=exercise.alloy, sand=exercise.mould, **exercise.values)


def _record(text, what):
    """The JSON object that says it is an exercise or an answer, without that line."""
    if len(text) > MOST_BYTES:
        raise InputError(what, f"{len(text)} characters", f"it must be at most {MOST_BYTES}")
    try:
        record = json.loads(text, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        raise InputError(what, _short(text), f"it must be JSON: {error}") from None
    if not isinstance(record, dict) or record.pop("castlab", None) != what:
        raise InputError(what, _short(text), f'it must be a JSON object with "castlab": "{what}"')
    if record.get("version") != VERSION:
        raise InputError("version", _short(record.get("version")), f"this castlab reads version {VERSION}")
    return record


def _no_constant(name):
    raise ValueError(f"{name} is no number")


def _require_fields(record, kind, what):
    wanted = set(kind.__dataclass_fields__)
    for name in sorted(wanted - set(record)):
        raise InputError(name, "missing", f"the {what} must have it")
    for name in sorted(set(record) - wanted):
        raise InputError(name[:64], "not known", f"the {what} must not have it")


def _check_exercise(exercise):
    require_known("part", exercise.part, PARTS)
    require_known("alloy", exercise.alloy, alloy_names())
    require_known("mould", exercise.mould, mould_names())
    if not isinstance(exercise.title, str) or not re.fullmatch(r"[^\x00-\x1f<>]{1,120}", exercise.title):
        raise InputError("title", _short(exercise.title), "it must be 1 to 120 characters of plain text")
    if not isinstance(exercise.values, dict) or "pour_temp_c" not in exercise.values:
        raise InputError("values", _short(exercise.values), "it must name sliders, pour_temp_c among them")
    for name, value in exercise.values.items():
        _require_plain(name, value)
    for name in exercise.allowed:
        require_known("allowed slider", name, [*exercise.values, "alloy", "mould"])
    require_between("most metal", exercise.most_metal_kg, 0.001, 1000.0, "kg")
    if not isinstance(exercise.marks, dict) or set(exercise.marks) != set(MARKS):
        raise InputError("marks", _short(exercise.marks), f"it must have {', '.join(MARKS)}")
    for name, value in exercise.marks.items():
        require_between(f"marks for {name}", value, 0, 100)
    exercise.design().setup()


def _check_cure(values, exercise):
    """Only sliders that are allowed, each within its range."""
    if not isinstance(values, dict):
        raise InputError("values", _short(values), "it must be pairs of slider and value")
    allowed = {slider.name: slider for slider in sliders_of(exercise) if slider.name in exercise.allowed}
    for name, value in values.items():
        require_known("slider of the answer", name, allowed)
        _require_plain(name, value)
        slider = allowed[name]
        if slider.kind == "choice":
            require_known(slider.label, value, slider.options)
        elif name == "pour_temp_c":
            low, high = alloy(values.get("alloy", exercise.alloy)).pour_range_c
            require_between(slider.label, value, low, high, "deg C")
        else:
            require_between(slider.label, value, slider.low, slider.high)


def _require_plain(name, value):
    """A number or a short word, and nothing else."""
    good_word = isinstance(value, str) and len(value) <= 64
    good_number = isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)
    if not (good_word or good_number):
        raise InputError(str(name)[:64], _short(value), "it must be a finite number or a short word")


def _short(value):
    words = repr(value)
    return words if len(words) <= 60 else words[:57] + "..."
