"""Marks of made-up castings, for tests of the desk: what is computed is tested elsewhere."""

from dataclasses import replace

from castlab.field.holes import Hole
from castlab.field.outcome import Outcome
from castlab.teach.bad_examples.example_exercise import ANSWERS, EXERCISE
from castlab.teach.marking import mark_table
from castlab.teach.marking.by_hand import NOTHING
from castlab.teach.marking.model_answer import Truth
from castlab.teach.marking.returned import Returned


def with_holes(**volumes):
    """A bad casting with holes of so many cm3 in these blocks, the first counted as the largest."""
    kinds = ("cavity", "sink", "sponge")
    holes = (Hole(kind, block, 1e-6 * volume, (0.1, 0.0), 90.0)
             for kind, (block, volume) in zip(kinds, volumes.items(), strict=False))
    return Outcome("defective", holes=tuple(holes), causes=("freezes first",), defect_m3=2.5e-6,
                   defect_share=0.02, casting_kg=0.7, poured_kg=0.9)


BAD = with_holes(boss=2.0, plate=0.5)
SOUND = Outcome("sound", casting_kg=0.7, poured_kg=1.0)
MARGINAL = replace(BAD, verdict="marginal", defect_m3=0.3e-6, defect_share=3e-3)
TRUTH = Truth(BAD, "A cavity.")
RIGHT = Returned(("ann.ipynb",), replace(ANSWERS["ida"], name="Ann"))
MOST = EXERCISE.marks  # 2, 3, 4 and 3 marks for place, reason, sound and metal


def points(outcome=SOUND, best=1.0, truth=TRUTH, by_hand=NOTHING, **changes):
    returned = replace(RIGHT, answer=replace(RIGHT.answer, **changes))
    return mark_table.mark(returned, EXERCISE, truth, outcome, best, by_hand=by_hand)


def broken(words="bob.ipynb: size is 200 MB", files=("bob.ipynb",)):
    return mark_table.unmarked(Returned(files, None, words))
