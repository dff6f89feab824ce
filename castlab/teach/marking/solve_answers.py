"""All that marking needs to know: each exercise solved, each cure, and the best cure that can be found."""

from dataclasses import dataclass, field
from pathlib import Path

from castlab.errors import InputError
from castlab.field.outcome import outcome_of
from castlab.plan import Batch, Job, side_by_side
from castlab.teach.exercise.exercise import MOST_BYTES, read_exercise
from castlab.teach.marking import mark_table
from castlab.teach.marking.by_hand import NOTHING
from castlab.teach.marking.model_answer import ALLOWED_POURS, allowed_cures, truth_of
from castlab.units import METRIC

ENDING = "_exercise.json"
MOST_EXERCISES = 200  # in one batch


@dataclass(frozen=True)
class Solved:
    """What is known: {key of an exercise: Truth}, {design: Outcome}, {key: best cure found, or None}."""

    truths: dict = field(default_factory=dict)
    outcomes: dict = field(default_factory=dict)
    models: dict = field(default_factory=dict)


def solve_all(exercises, returned, known=Solved()):
    """The plan that solves the exercises that were answered and all cures that were handed in: a Solved.

    Equal cures are solved once, and what is `known` already is not solved again.
    """
    by_key = {each.key: each for each in exercises}
    answers = [each.answer for each in returned if each.answer]
    asked = dict.fromkeys(answer.exercise for answer in answers)
    fresh = [by_key[key] for key in asked if key not in known.truths]
    every = dict.fromkeys(by_key[each.exercise].design(**each.values) for each in answers)
    designs = [design for design in every if design not in known.outcomes]
    jobs = [Job(truth_of, exercise) for exercise in fresh] + [Job(outcome_of, design) for design in designs]
    found = (yield Batch(jobs, more=ALLOWED_POURS * len(fresh))) if jobs else []
    allowed = (yield from side_by_side(allowed_cures(exercise) for exercise in fresh)) if fresh else []
    keys = [exercise.key for exercise in fresh]
    return Solved(
        known.truths | dict(zip(keys, found[: len(fresh)], strict=True)),
        known.outcomes | dict(zip(designs, found[len(fresh) :], strict=True)),
        known.models | {key: cures[0].outcome if cures else None
                        for key, cures in zip(keys, allowed, strict=True)},
    )


def marks_of(exercises, returned, solved, units=METRIC, by_hand=None):
    """The `Mark`s of all that was returned, in that order.

    by_hand   {key of an answer: ByHand}
    """
    by_key, outcomes, marks = {each.key: each for each in exercises}, {}, []
    for each in returned:
        if each.answer:
            design = by_key[each.answer.exercise].design(**each.answer.values)
            outcomes.setdefault(each.answer.exercise, {})[each.answer.key] = solved.outcomes[design]
    best = {key: mark_table.best_metal([*found.values(), *filter(None, [solved.models[key]])], by_key[key])
            for key, found in outcomes.items()}
    for each in returned:
        if each.answer is None:
            marks.append(mark_table.unmarked(each, units))
            continue
        key, hand = each.answer.exercise, (by_hand or {}).get(each.answer.key, NOTHING)
        marks.append(mark_table.mark(each, by_key[key], solved.truths[key], outcomes[key][each.answer.key],
                                     best[key], units, hand))
    return tuple(marks)


def open_exercises(path):
    """The exercises in a file, or in all files of a folder whose names end as exercises do: a tuple.

    Raises InputError for what is no exercise or cannot be read, and for a folder without any.
    """
    path = Path(path)
    if not path.is_dir():
        return (open_exercise(path),)
    paths = sorted(each for each in path.iterdir() if each.name.endswith(ENDING))
    if not 0 < len(paths) <= MOST_EXERCISES:
        allowed = f"the folder must hold 1 to {MOST_EXERCISES} files whose names end in {ENDING}"
        raise InputError("exercise", str(path), allowed)
    found = tuple(map(open_exercise, paths))
    if len({each.key for each in found}) < len(found):
        raise InputError("exercise", str(path), "two files hold the same exercise")
    return found


def open_exercise(path):
    """The Exercise in a file. Raises InputError for what is no exercise or cannot be read."""
    path = Path(path)
    try:
        if path.exists() and not path.is_file():
            raise InputError("exercise", path.name, "it must be a file, no folder and no device")
        if path.stat().st_size > MOST_BYTES:
            raise InputError("exercise", path.name, f"the file must have at most {MOST_BYTES} bytes")
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise InputError("exercise", str(path), f"it cannot be read: {error.strerror}") from None
    except UnicodeDecodeError:
        raise InputError("exercise", path.name, "it must be text in UTF-8") from None
    return read_exercise(text)
