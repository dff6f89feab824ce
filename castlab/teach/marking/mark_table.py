"""Marks for answers: each proposed cure is solved, and each mark says in words what it is for."""

import csv
import io
from dataclasses import dataclass
from pathlib import Path

from castlab.errors import InputError
from castlab.field.diagnosis import CAUSES
from castlab.teach.exercise.exercise import MARKS, plain_text
from castlab.units import METRIC, said

WORTH_NAMING = 0.15  # of all holes; who names the place of a smaller one has not found the hole
HALF = 0.5  # share of the marks for an answer that is half right
FULL_METAL, NO_METAL = 1.05, 1.60  # metal over the best known: full marks up to here, none from here on
HEADINGS = ("file", "name", *MARKS, "sum", "of", "comment")
# What a spreadsheet takes for the start of a formula, in plain and in wide characters.
STARTS = "=+-@\N{FULLWIDTH EQUALS SIGN}\N{FULLWIDTH PLUS SIGN}\N{FULLWIDTH HYPHEN-MINUS}" \
         "\N{FULLWIDTH COMMERCIAL AT}"
SCHEME = {
    "place": "full marks for the block with the largest hole; half for another with 15 % of all holes",
    "reason": "full marks for the reason that the computation gives, or one as good where it is near a limit",
    "sound": "full marks for a cure that is sound with the metal that the pot holds; half for one that is "
             "marginal (holes below 0.5 % of the casting)",
    "metal": "for a sound cure: full marks up to 5 % more metal than the best known, none from 60 % more on, "
             "evenly between. The best known is the lightest of a search with the same sliders and of all "
             "sound answers",
}


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
        """All marks together."""
        return round(sum(self.points.values()), 1)


def best_metal(outcomes, exercise):
    """The least metal poured [kg] of all sound cures that the pot can hold; None when there is none."""
    fits = [each.poured_kg for each in outcomes if each.sound and each.poured_kg <= exercise.most_metal_kg]
    return min(fits, default=None)


def mark(returned, exercise, truth, outcome, best_kg, units=METRIC):
    """Marks of one returned answer.

    returned   a `Returned` with an answer               outcome   what came of its cure
    truth      of `model_answer.truth_of`    best_kg   of `best_metal`, with this outcome in it
    """
    shares = {
        "place": _place(returned.answer, truth),
        "reason": _reason(returned.answer, truth),
        "sound": _sound(outcome, exercise, units),
        "metal": _metal(outcome, exercise, best_kg, units),
    }
    points = {name: round(share * exercise.marks[name], 1) for name, (share, _) in shares.items()}
    comment = " ".join(words for _, words in shares.values() if words)
    remark = f" Note: {said(returned.remark, units)}." if returned.remark else ""
    return Mark(returned.files, returned.answer.name, points, comment + remark)


def unmarked(returned, units=METRIC):
    """A row for files whose answer could not be read."""
    return Mark(returned.files, "", dict.fromkeys(MARKS, 0.0), "", said(returned.problem, units))


def most_wrong(marks, exercise):
    """What the class got wrong most: pairs of point and share of its marks that was lost, worst first."""
    answered = [each for each in marks if not each.problem]
    lost = {name: 1.0 - sum(each.points[name] for each in answered) / (most * len(answered))
            for name, most in exercise.marks.items() if answered and most}
    return tuple(sorted(lost.items(), key=lambda item: -item[1]))


def rows_of(marks, exercise):
    """The table, one row a returned answer, in the order of HEADINGS."""
    return [
        (
            ", ".join(each.files),
            each.name,
            *("" if each.problem else f"{each.points[name]:g}" for name in MARKS),
            "not marked" if each.problem else f"{each.total:g}",
            f"{exercise.most_marks:g}",
            each.problem or each.comment,
        )
        for each in marks
    ]


def csv_text(marks, exercise):
    """The table as CSV, every cell quoted and harmless."""
    file = io.StringIO()
    writer = csv.writer(file, quoting=csv.QUOTE_ALL)
    writer.writerows([harmless(cell) for cell in row] for row in (HEADINGS, *rows_of(marks, exercise)))
    return file.getvalue()


def write_csv(path, text, overwrite=False):
    """Write the CSV; a file that is there stays, unless it is asked for. Returns the path."""
    path = Path(path)
    try:
        # the mark at its beginning tells a spreadsheet that it is UTF-8
        with open(path, "w" if overwrite else "x", encoding="utf-8-sig", newline="") as file:
            file.write(text)
    except FileExistsError:
        raise InputError("file", path.name, "it is there already; allow to replace it or rename") from None
    return path


def harmless(cell):
    """Text that no spreadsheet runs: what begins like a formula gets an apostrophe in front, and what some
    take for the end of a cell becomes a comma.

    >>> harmless(" =1+1"), harmless("Ann; =1+1"), harmless("2.5")
    ("'=1+1", 'Ann, =1+1', '2.5')
    """
    words = plain_text(str(cell)).replace(";", ",")
    return "'" + words if words[:1] in tuple(STARTS) else words


def _place(answer, truth):
    largest = next(iter(truth.blocks))
    share = truth.blocks.get(answer.block, 0.0)
    if share >= truth.blocks[largest]:  # another block may have more, in holes of several kinds
        return 1.0, "The place is right."
    if share >= WORTH_NAMING:
        return HALF, f"There is a hole in the {answer.block}, but the largest is in the {largest}."
    return 0.0, f"The largest hole is in the {largest}, not in the {answer.block}."


def _reason(answer, truth):
    if answer.reason in truth.outcome.causes:
        return 1.0, "The reason is right."
    return 0.0, f"The reason is another: {CAUSES[truth.outcome.cause]}."


def _sound(outcome, exercise, units):
    if outcome.refused:
        return 0.0, f"The cure cannot be cast: {said(outcome.refused, units)}."
    if not _pot_holds(outcome, exercise):
        return 0.0, (f"The cure needs {units.mass(outcome.poured_kg)} of metal; the pot holds "
                     f"{units.mass(exercise.most_metal_kg)}.")
    if outcome.sound:
        return 1.0, "The cure makes it sound."
    left = f"holes of {units.volume(outcome.defect_m3)} are left, the largest in the {outcome.block}."
    return (HALF, f"Nearly sound: {left}") if outcome.verdict == "marginal" else (0.0, f"Not sound: {left}")


def _metal(outcome, exercise, best_kg, units):
    if not (outcome.sound and _pot_holds(outcome, exercise)):
        return 0.0, ""
    ratio = outcome.poured_kg / best_kg
    share = min(max((NO_METAL - ratio) / (NO_METAL - FULL_METAL), 0.0), 1.0)
    poured, best = units.mass(outcome.poured_kg), units.mass(best_kg)
    if share == 1.0:
        return share, f"It pours {poured}, as little as the best known cure or hardly more."
    return share, f"It pours {poured}; the best known cure pours {best}."


def _pot_holds(outcome, exercise):
    return outcome.poured_kg <= exercise.most_metal_kg
