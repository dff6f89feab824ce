"""Marks that the instructor gives by hand, each with its reason, kept in a file of their own.

They belong to an answer, not to a name: whoever hands in a changed answer is looked at anew.
"""

import json
from dataclasses import dataclass
from pathlib import Path

from castlab.errors import InputError, require_between
from castlab.outside import plain_text, read_json
from castlab.teach.exercise.exercise import ANSWER_BYTES

WHAT, VERSION = "marks by hand", 1
MOST_MARKS = 100.0  # as much as any point of a scheme may have
MOST_WHY = 1000  # characters of a reason


@dataclass(frozen=True)
class ByHand:
    """Marks added, or taken away where negative, and why. Raises InputError for marks without a reason.

    name   whose answer it was, so that a person can read the file

    >>> ByHand(-1, "the drawing is missing").words
    'By hand: -1, because: the drawing is missing.'
    """

    marks: float = 0.0
    why: str = ""
    name: str = ""

    def __post_init__(self):
        if isinstance(self.marks, bool) or not isinstance(self.marks, (int, float)):
            raise InputError("marks by hand", type(self.marks).__name__, "it must be a number")
        require_between("marks by hand", self.marks, -MOST_MARKS, MOST_MARKS)
        for name in ("why", "name"):
            words = getattr(self, name)
            if not isinstance(words, str) or len(words) > MOST_WHY:
                raise InputError(f"{name} of marks by hand", type(words).__name__,
                                 f"it must be text of at most {MOST_WHY} characters")
            object.__setattr__(self, name, plain_text(words))
        if self.marks and not self.why:
            raise InputError("reason for the marks by hand", "missing", "say why, the student will read it")

    @property
    def words(self):
        """What the student reads about it; "" where there is nothing."""
        if not self.marks:
            return f"By hand: {self.why}." if self.why else ""
        return f"By hand: {self.marks:+g}, because: {self.why}."


NOTHING = ByHand()


def read_by_hand(path):
    """{key of an answer: ByHand} out of a file; empty where there is none.

    Raises InputError for a file that is something else or damaged, OSError where it cannot be read.
    """
    path = Path(path)
    if not path.exists():
        return {}
    if not path.is_file() or path.stat().st_size > ANSWER_BYTES:
        raise InputError("marks by hand", path.name, f"it must be a file of at most {ANSWER_BYTES} bytes")
    record = read_json(path.read_bytes().decode("utf-8-sig", errors="replace"), WHAT, ANSWER_BYTES)
    kind = (record.get("castlab"), record.get("version")) if isinstance(record, dict) else ()
    if kind != (WHAT, VERSION) or not isinstance(record.get("answers"), dict):
        raise InputError("marks by hand", path.name, f"it must be a file of marks by hand, version {VERSION}")
    return {key: _one(key, each) for key, each in record["answers"].items()}


def write_by_hand(path, marks):
    """Write {key of an answer: ByHand}; what was there before is replaced whole or not at all."""
    path = Path(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    answers = {key: {"marks": each.marks, "why": each.why, "name": each.name} for key, each in marks.items()}
    text = json.dumps({"castlab": WHAT, "version": VERSION, "answers": answers}, indent=1, ensure_ascii=False)
    fresh = path.with_suffix(".new")
    fresh.write_text(text + "\n", encoding="utf-8", newline="\n")
    fresh.replace(path)


def _one(key, record):
    if not isinstance(record, dict) or set(record) != {"marks", "why", "name"}:
        raise InputError("marks by hand", plain_text(key)[:60], "each must have marks, why and name")
    return ByHand(**record)
