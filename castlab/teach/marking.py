"""Marks for answers: each proposed cure is solved, and each mark says in words what it is for."""

import csv
import io
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from castlab.errors import InputError
from castlab.field.causes import CAUSES, cause_of
from castlab.field.outcome import Outcome, outcome_of
from castlab.teach.casting import FULL_CELL, solve
from castlab.units import METRIC

WORTH_NAMING = 0.15  # of all holes; who names the place of a smaller one has not found the hole
FULL_METAL, NO_METAL = 1.05, 1.60  # metal over the best known: full marks up to here, none from here on
HEADINGS = ("file", "name", "place", "reason", "sound", "metal", "sum", "of", "comment")


@dataclass(frozen=True)
class Truth:
    """What the exercise shows when it is solved: blocks of the holes with their share, the cause, why."""

    blocks: dict
    cause: str
    sentence: str
    outcome: Outcome


@dataclass(frozen=True)
class Mark:
    """Marks of one answer by the points of the scheme, and a comment in words."""

    files: tuple[str, ...]
    name: str
    points: dict
    comment: str
    problem: str = ""

    @property
    def total(self):
        return round(sum(self.points.values()), 1)


def truth_of(exercise):
    """Solve the bad casting itself: a Truth. Raises InputError when it is not bad."""
    setup = exercise.design().setup()
    casting = solve(setup, FULL_CELL)
    if casting.sound or not casting.account.places:
        raise InputError("exercise", exercise.title, "its casting must have a hole to be found")
    sums = Counter()
    for place in casting.account.places:
        sums[place.block] += place.volume_m3
    total = sum(sums.values())
    return Truth({name: volume / total for name, volume in sums.items()}, cause_of(casting.account),
                 casting.sentence(METRIC), outcome_of(exercise.design(), FULL_CELL))


def design_with(answer, exercise):
    """The exercise's design with the cure of an answer."""
    return exercise.design(**answer.values)


def best_metal(outcomes, exercise):
    """The least metal poured [kg] of all sound cures that the pot can hold; None when there is none."""
    fits = [each.poured_kg for each in outcomes if each.sound and each.poured_kg <= exercise.most_metal_kg]
    return min(fits, default=None)


def mark(returned, exercise, truth, outcome, best_kg, units=METRIC):
    """Marks of one returned answer.

    returned   a `Returned` with an answer        outcome   what came of its cure
    truth      of `truth_of`                      best_kg   of `best_metal`
    """
    answer, most = returned.answer, exercise.marks
    parts = (
        ("place", *_place(answer, truth)),
        ("reason", *_reason(answer, truth)),
        ("sound", *_sound(outcome, exercise, units)),
        ("metal", *_metal(outcome, exercise, best_kg, units)),
    )
    points = {name: round(share * most[name], 1) for name, share, _ in parts}
    comment = " ".join(words for _, _, words in parts)
    return Mark(returned.files, answer.name, points, f"{comment} {returned.remark}".strip())


def unmarked(returned):
    """A row for files whose answer could not be read."""
    return Mark(returned.files, "", dict.fromkeys(("place", "reason", "sound", "metal"), 0.0), "",
                returned.problem)


def most_wrong(marks, exercise):
    """What the class got wrong most: pairs of point and share of answers without full marks, worst first."""
    answered = [each for each in marks if not each.problem]
    if not answered:
        return ()
    missed = {name: sum(each.points[name] < most for each in answered) / len(answered)
              for name, most in exercise.marks.items()}
    return tuple(sorted(missed.items(), key=lambda item: -item[1]))


def rows_of(marks, exercise):
    """The table, one row a returned answer, in the order of HEADINGS."""
    most = sum(exercise.marks.values())
    return [(", ".join(each.files), each.name, *(f"{each.points[name]:g}" for name in exercise.marks),
             "not marked" if each.problem else f"{each.total:g}", f"{most:g}", each.problem or each.comment)
            for each in marks]


def csv_text(marks, exercise):
    """The table as CSV. A cell that a spreadsheet would take for a formula gets an apostrophe in front."""
    file = io.StringIO()
    writer = csv.writer(file)
    writer.writerow(HEADINGS)
    writer.writerows([_harmless(cell) for cell in row] for row in rows_of(marks, exercise))
    return file.getvalue()


def write_csv(path, text, overwrite=False):
    """Write the CSV; a file that is there stays, unless it is asked for. Returns the path."""
    path = Path(path)
    if path.exists() and not overwrite:
        raise InputError("file", path.name, "it is there already; choose another name or allow to replace it")
    path.write_text(text, encoding="utf-8", newline="")
    return path


def _harmless(cell):
    """Text that no spreadsheet runs: what begins like a formula, after blanks, begins with an apostrophe."""
    words = "".join(char if char.isprintable() else " " for char in str(cell))
    return "'" + words if words.lstrip()[:1] in ("=", "+", "-", "@") else words


def _place(answer, truth):
    share = truth.blocks.get(answer.block, 0.0)
    largest = max(truth.blocks, key=truth.blocks.get)
    if answer.block == largest:
        return 1.0, "The place is right."
    if share >= WORTH_NAMING:
        return 0.5, f"There is a hole in the {answer.block}, but the largest is in the {largest}."
    return 0.0, f"The hole is in the {largest}, not in the {answer.block or 'place named'}."


def _reason(answer, truth):
    if answer.reason == truth.cause:
        return 1.0, "The reason is right."
    return 0.0, f"The reason: {CAUSES[truth.cause]}."


def _sound(outcome, exercise, units):
    if outcome.refused:
        return 0.0, f"The cure cannot be cast: {outcome.refused}."
    if outcome.poured_kg > exercise.most_metal_kg:
        return 0.0, (f"The cure needs {units.mass(outcome.poured_kg)} of metal; the pot holds "
                     f"{units.mass(exercise.most_metal_kg)}.")
    if outcome.sound:
        return 1.0, "The cure makes it sound."
    left = f"{units.volume(outcome.defect_m3)} of holes are left, most of it in the {outcome.block}."
    return (0.5, f"Nearly sound: {left}") if outcome.verdict == "marginal" else (0.0, f"Not sound: {left}")


def _metal(outcome, exercise, best_kg, units):
    if not outcome.sound or outcome.poured_kg > exercise.most_metal_kg or best_kg is None:
        return 0.0, ""
    ratio = outcome.poured_kg / best_kg
    share = min(max((NO_METAL - ratio) / (NO_METAL - FULL_METAL), 0.0), 1.0)
    return share, f"It pours {units.mass(outcome.poured_kg)}; the best known cure {units.mass(best_kg)}."
