"""Marks for answers: each proposed cure is solved, and each mark says in words what it is for."""

from dataclasses import dataclass, field

from castlab.field.diagnosis import CAUSES
from castlab.field.outcome import Outcome
from castlab.teach.exercise.exercise import COMPUTED, Exercise
from castlab.teach.exercise.settings_in_words import change_words, set_words
from castlab.teach.marking.by_hand import NOTHING, ByHand
from castlab.teach.marking.model_answer import Truth
from castlab.teach.marking.returned import Returned
from castlab.units import METRIC, said

WORTH_NAMING = 0.15  # of all holes; who names the place of a smaller one has not found the hole
HALF = 0.5  # share of the marks for an answer that is half right
FULL_METAL, NO_METAL = 1.05, 1.60  # metal over the best known: full marks up to here, none from here on
HEADINGS = ("paper", "file", "name", "id", "says where", "says why", "cure", "in words", *COMPUTED, "by hand",
            "reason by hand", "sum", "of", "same answer as", "comment")
ON_SCREEN = ("paper", "name", "cure", "in words", *COMPUTED, "by hand", "sum")
SHORT_WORDS, SHORT_PROBLEM = 160, 80  # characters of words, and of a problem, in the table on the screen
NOT_MARKED = "not marked"
SCHEME = {
    "place": "full marks for the block with the largest hole; half for another with 15 % of all holes",
    "reason": "full marks for the reason that the computation gives, or one as good where it is near a limit",
    "sound": "full marks for a cure that is sound with the metal that the pot holds; half for one that is "
             "marginal (holes below 0.5 % of the casting)",
    "metal": "for a sound cure: full marks up to 5 % more metal than the best known, none from 60 % more on, "
             "evenly between. The best known is the lightest of a search with the same sliders and of all "
             "sound answers",
    "words": "given by hand on the desk for the student's own words; nothing computed marks them",
}


@dataclass(frozen=True)
class Mark:
    """Marks of what one student returned.

    points, said   {point of the scheme that is computed: marks}, and {point: comment in words}
    truth, outcome of the exercise, and of the cure; None where there was none to solve
    best_kg        the metal of the best known cure [kg]; None where none is sound
    by_hand        what the instructor added or took away, with the reason
    problem        why nothing could be marked; "" where it could
    """

    returned: Returned
    exercise: Exercise | None
    points: dict
    said: dict
    truth: Truth | None = None
    outcome: Outcome | None = None
    best_kg: float | None = None
    remark: str = ""
    problem: str = ""
    by_hand: ByHand = field(default=NOTHING)

    @property
    def name(self):
        """Whose it is; "" where nobody knows."""
        return self.returned.answer.name if self.returned.answer else ""

    @property
    def whose(self):
        """The name, or else what the files are called."""
        return self.name or self.returned.folder or ", ".join(self.returned.files)

    @property
    def total(self):
        """All marks together: at least 0, and at most all that there are."""
        most = self.exercise.most_marks if self.exercise else 0.0
        return round(min(max(sum(self.points.values()) + self.by_hand.marks, 0.0), most), 1)

    @property
    def comment(self):
        """All that is said about it, in one line."""
        words = [*self.said.values(), self.by_hand.words, f"Note: {self.remark}." if self.remark else ""]
        return self.problem or " ".join(filter(None, words))


def best_metal(outcomes, exercise):
    """The least metal poured [kg] of all sound cures that the pot can hold; None when there is none."""
    fits = [each.poured_kg for each in outcomes if each.sound and each.poured_kg <= exercise.most_metal_kg]
    return min(fits, default=None)


def mark(returned, exercise, truth, outcome, best_kg, units=METRIC, by_hand=NOTHING):
    """Marks of one returned answer.

    returned   a `Returned` with an answer       outcome   what came of its cure
    truth      of `model_answer.truth_of`        best_kg   of `best_metal`, with this outcome in it
    """
    shares = {
        "place": _place(returned.answer, truth),
        "reason": _reason(returned.answer, truth),
        "sound": _sound(outcome, exercise, units),
        "metal": _metal(outcome, exercise, best_kg, units),
    }
    points = {name: round(share * exercise.marks[name], 1) for name, (share, _) in shares.items()}
    comments = {name: words for name, (_, words) in shares.items()}
    return Mark(returned, exercise, points, comments, truth, outcome, best_kg,
                said(returned.remark, units), by_hand=by_hand)


def unmarked(returned, units=METRIC):
    """The Mark of files whose answer could not be read."""
    return Mark(returned, None, {}, {}, problem=said(returned.problem, units))


def most_wrong(marks):
    """What the class got wrong most: pairs of point and share of its marks that was lost, worst first."""
    answered, lost = [each for each in marks if not each.problem], {}
    for name in COMPUTED:
        most = sum(each.exercise.marks[name] for each in answered)
        if most:
            lost[name] = 1.0 - sum(each.points[name] for each in answered) / most
    return tuple(sorted(lost.items(), key=lambda item: -item[1]))


def columns_of(number, mark, same, units=METRIC):
    """{heading: text or number} of one row of the table.

    number   of the paper, from 1 on      same   numbers of the papers with the same answer
    """
    row = dict.fromkeys(HEADINGS, "") | {"paper": number, "file": ", ".join(mark.returned.files),
                                         "name": mark.name or mark.returned.folder, "comment": mark.comment}
    if mark.problem:
        return row | {"sum": NOT_MARKED}
    answer = mark.returned.answer
    return row | mark.points | {
        "id": answer.number, "says where": answer.block, "says why": CAUSES[answer.reason],
        "cure": change_words(mark.exercise, answer.values, units), "in words": answer.words,
        "by hand": mark.by_hand.marks or "", "reason by hand": mark.by_hand.why, "sum": mark.total,
        "of": mark.exercise.most_marks, "same answer as": ", ".join(map(str, same)),
    }


def shown_rows(marks, rows, units=METRIC):
    """The rows as they stand on the screen: fewer columns, short words, the problem in place of a cure."""
    shown = []
    for mark, row in zip(marks, rows, strict=True):
        cure, total = cut(mark.problem, SHORT_PROBLEM), NOT_MARKED
        if not mark.problem:
            cure = set_words(mark.exercise, mark.returned.answer.values, units)
            total = f"{mark.total:g} of {mark.exercise.most_marks:g}"
        short = row | {"cure": cure, "in words": cut(row["in words"], SHORT_WORDS), "sum": total}
        shown.append(tuple(as_text(short[name]) for name in ON_SCREEN))
    return shown


def as_text(value):
    """A text as it is, and a number without needless noughts.

    >>> as_text(2.50), as_text("=2")
    ('2.5', '=2')
    """
    return value if isinstance(value, str) else f"{value:g}"


def cut(words, most):
    """Words as they are, or cut off with dots behind them.

    >>> cut("a tall feeder", 6), cut("a tall feeder", 13)
    ('a tal…', 'a tall feeder')
    """
    return words if len(words) <= most else words[: most - 1] + "…"


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
