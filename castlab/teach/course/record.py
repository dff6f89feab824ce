"""What a student did, lesson by lesson, as frozen values, and the readable text that they become in a file.

What is read comes from outside: every value is looked at, and nothing is run.
"""

import dataclasses
import json
import math
import types
import typing
from dataclasses import dataclass, field, replace

from castlab.errors import InputError

VERSION = 1
ABOUT = ("What you said, tried and found in the castlab lessons. The lessons write it; it stays on this "
         "computer. Without this file they have forgotten all of it.")
LONGEST_PAUSE_S = 300.0  # between two acts; a longer one is a break, and counts for so much
Answer = str | float | None


@dataclass(frozen=True)
class Said:
    """A prediction: what was asked, the choice and its words, whether it was right and why, where the sliders
    stood, in which units all this was said, what the bench said then, and when."""

    asked: str
    choice: str
    words: str
    right: bool
    why: str
    bench: str
    values: dict[str, Answer]
    units: str
    when: str


@dataclass(frozen=True)
class Tried:
    """The last answer to a task, what the check said, and whether it was ever right (`done`)."""

    asked: str
    answer: Answer
    words: str
    right: bool
    why: str
    bench: str
    values: dict[str, Answer]
    units: str
    when: str
    done: bool


@dataclass(frozen=True)
class Stood:
    """How a bench stood: its sliders, its units, whether its result was shown, and was predicted before."""

    values: dict[str, Answer]
    units: str
    shown: bool
    predicted: bool


@dataclass(frozen=True)
class Best:
    """The lightest sound casting of a bench: all metal in its mould [kg], where its sliders stood, which of
    them had been moved, in words, and when."""

    mass_kg: float
    values: dict[str, Answer]
    words: str
    when: str


@dataclass(frozen=True)
class CastingRead:
    """A sawn casting whose cause was said: its number, how much evidence was asked for, and whether it was
    right."""

    number: int
    asked: int
    right: bool


@dataclass(frozen=True)
class OnTheTable:
    """The sawn casting that lay on the table, the evidence asked for, all castings that were read, and how
    often that one was drawn until it could be read; 0: not known."""

    number: int
    evidence: tuple[str, ...]
    read: tuple[CastingRead, ...]
    draws: int = 0


@dataclass(frozen=True)
class LessonRecord:
    """One lesson: when it was last worked at, for how long in all, and what was done, each under the name of
    the function that made it. `fewest`: looks at the bench with which a task was done."""

    last: str = ""
    seconds: float = 0.0
    said: dict[str, tuple[Said, ...]] = field(default_factory=dict)
    tried: dict[str, Tried] = field(default_factory=dict)
    stood: dict[str, Stood] = field(default_factory=dict)
    best: dict[str, Best] = field(default_factory=dict)
    fewest: dict[str, int] = field(default_factory=dict)
    table: dict[str, OnTheTable] = field(default_factory=dict)

    @property
    def begun(self):
        """Whether anything was said, tried or moved."""
        return bool(self.said or self.tried or self.stood or self.table)

    def afresh(self):
        """The same lesson begun anew: what there is to beat stays, and so does the time."""
        return LessonRecord(self.last, self.seconds, best=self.best, fewest=self.fewest)


@dataclass(frozen=True)
class CourseRecord:
    """The whole course of one student.

    student   the names under which that student has logged in on computers
    name      as the student writes it on a page to hand in; "" until then
    seed      the number that shuffles the choices, always the same for one student
    lessons   {name of the lesson's module: LessonRecord}
    """

    student: tuple[str, ...]
    seed: int
    name: str = ""
    lessons: dict[str, LessonRecord] = field(default_factory=dict)

    def lesson(self, name):
        """What was done in a lesson; an empty LessonRecord where nothing was."""
        return self.lessons.get(name, LessonRecord())

    def with_lesson(self, name, lesson):
        """The same course with another record of one lesson."""
        return replace(self, lessons=self.lessons | {name: lesson})


# ---- as text and back


def text_of(record):
    """A CourseRecord as the text of its file.

    >>> record = CourseRecord(("ida",), 7)
    >>> record_of(text_of(record)) == record
    True
    """
    whole = {"about": ABOUT, "version": VERSION} | dataclasses.asdict(record)
    text = json.dumps(whole, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    return text.encode("utf-8", "replace").decode()  # a browser may send half a sign


def record_of(text):
    """The CourseRecord that a text holds.

    Raises InputError for what is no such text: no JSON, another version, a value that cannot be.
    """
    try:
        whole = json.loads(text)
    except (ValueError, RecursionError):
        raise InputError("record of the course", "damaged", "it must be JSON as it was written") from None
    if not isinstance(whole, dict):
        raise InputError("record of the course", "damaged", "it must be a JSON object")
    version = whole.pop("version", None)
    if version != VERSION or isinstance(version, bool):
        raise OtherVersion("version of the record", repr(version), f"this castlab reads version {VERSION}")
    whole.pop("about", None)
    return _read(CourseRecord, whole, "record of the course")


class OtherVersion(InputError):
    """A record that another castlab wrote."""


def _read(kind, value, name):
    """A value from outside as that kind: a dataclass, str, bool, int, float, None, a union, dict or tuple."""
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if dataclasses.is_dataclass(kind):
        return _read_fields(kind, value, name)
    if origin is dict and isinstance(value, dict):
        return {key: _read(inner[1], each, f"{name}, {key}") for key, each in value.items()}
    if origin is tuple and isinstance(value, list):
        return tuple(_read(inner[0], each, name) for each in value)
    if origin is types.UnionType:
        kind = next((each for each in inner if _is(each, value)), str)
        return _read(kind, value, name)
    if origin is None and _is(kind, value):
        return value
    raise InputError(name, "damaged", f"it must be {getattr(kind, '__name__', kind)}")


def _read_fields(kind, value, name):
    hints = typing.get_type_hints(kind)
    needed = {each.name for each in dataclasses.fields(kind) if each.default is dataclasses.MISSING
              and each.default_factory is dataclasses.MISSING}
    if not isinstance(value, dict) or not needed <= value.keys() <= hints.keys():
        raise InputError(name, "damaged", f"it must hold {', '.join(hints)}")
    return kind(**{key: _read(hints[key], each, f"{name}, {key}") for key, each in value.items()})


def _is(kind, value):
    """Whether a value is of that plain kind; whole numbers are numbers, truth values are not."""
    if kind is float:
        return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)
    if kind is int:
        return isinstance(value, int) and not isinstance(value, bool)
    return value is None if kind is types.NoneType else isinstance(value, kind)
