"""A batch of one exercise: for each student a casting of other sizes with the same fault, equally hard.

Each variant is drawn by a seed of its own. It must have the hole of the exercise in the same place, for the
same reason and about as large, in the pour as meant and in eight across the bands of the data; and it must be
about as hard to cure. How hard, is looked at on coarse cells: which of the students' sliders cure it alone,
and with how much metal.
"""

from dataclasses import dataclass, replace

import numpy as np

from castlab.errors import InputError
from castlab.field.outcome import COARSE, FULL, Outcome, outcome_of
from castlab.field.placed import is_place
from castlab.field.sure import across_bands
from castlab.plan import Batch, Job, side_by_side
from castlab.teach.bad_examples.search import has_it
from castlab.teach.bad_examples.wanted_defect import ROBUST_K, broken
from castlab.teach.exercise.exercise import Exercise
from castlab.teach.marking.model_answer import allowed_kinds
from castlab.teach.sliders.slider import on_step
from castlab.teach.sliders.to_design import sliders_for

MOST = 60  # variants of one exercise
ROUNDS, BROOD = 4, 10  # how often settings are drawn for a student, and how many at a time
REACH = 0.15  # of a slider's range, by which a size usually moves
LEAST_MOVED = 2  # sliders, or two neighbours have the same casting
LOOKS = 6  # settings of each kind of cure that are tried, from the least on
HOLE_BAND = 0.30  # the share of the casting that the hole takes may differ by so much of the exercise's own
METAL_BAND = 0.15  # and so may the metal of the lightest cure, as a share of what the casting pours as given
WAYS_BAND = 1  # so many ways to cure it more or fewer


@dataclass(frozen=True)
class Hardness:
    """What makes an exercise hard or easy.

    place, causes   of the largest hole       hole_share   all holes, as a share of the casting
    ways            how many kinds of cure with the students' sliders make it sound, alone, on coarse cells
    cure_share      metal of the lightest of them, as a share of what the casting pours as given; 0: none
    """

    place: str
    causes: tuple[str, ...]
    hole_share: float
    ways: int = 0
    cure_share: float = 0.0

    def alike(self, other):
        """Whether the hole is the same but for a little: to be asked before ways are known."""
        near = abs(self.hole_share - other.hole_share) <= HOLE_BAND * other.hole_share
        return (self.place, self.causes) == (other.place, other.causes) and near

    def equal(self, other):
        """Whether it is also about as hard to cure."""
        return (self.alike(other) and abs(self.ways - other.ways) <= WAYS_BAND
                and abs(self.cure_share - other.cure_share) <= METAL_BAND * other.cure_share)


@dataclass(frozen=True)
class Variant:
    """One student's exercise.

    seed      number by which it was drawn      outcome   of the casting as given
    hard      its Hardness                      held      in how many of eight pours the hole is there
    """

    seed: int
    exercise: Exercise
    outcome: Outcome
    hard: Hardness
    held: int


@dataclass(frozen=True)
class Batched:
    """What came of it: the exercise they are like, variants that are equally hard, how many are missing."""

    like: Variant
    variants: tuple[Variant, ...]
    missing: int


def batch(exercise, wish, count, seed=1):
    """The plan of a batch of so many variants of an exercise; its answer is a Batched.

    wish   the `WantedDefect` by which settings are refused that must not be poured
    seed   of the first; each further one has the next number

    Raises InputError for a count out of range, and by way of the work when the casting is not bad.
    """
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= MOST:
        raise InputError("variants", count, f"it must be a whole number from 1 to {MOST}")
    like = yield from _as_given(exercise, wish)
    seeds = range(seed, seed + count)
    found = yield from side_by_side(_drawn(exercise, wish, like, each) for each in seeds)
    by_key = {each.exercise.key: each for each in found if each}
    by_key.pop(exercise.key, None)
    return Batched(like, tuple(by_key.values()), count - len(by_key))


def _as_given(exercise, wish):
    """The exercise itself as a Variant, however surely it has its hole."""
    (outcome,) = yield Batch([Job(outcome_of, exercise.design(), FULL)], more=60)
    if not outcome.holes:
        raise InputError("exercise", exercise.title, "its casting must have a hole to be found")
    wish = replace(wish, kind=outcome.kind, block=outcome.block)
    eight = yield Batch([Job(outcome_of, each, FULL) for each in across_bands(exercise.design(), ROBUST_K)])
    hard = yield from _hardness(exercise, outcome)
    return Variant(0, exercise, outcome, hard, sum(has_it(wish, each) for each in eight))


def _drawn(exercise, wish, like, seed):
    """The plan of one variant; its answer is None where none was found that is equally hard."""
    rng, wish = np.random.default_rng(seed), replace(wish, kind=like.outcome.kind, block=like.outcome.block)
    for _ in range(ROUNDS):
        brood = _brood(exercise, wish, rng)
        if not brood:
            continue
        looks = yield Batch([Job(outcome_of, each.design(), COARSE) for each in brood])
        near = [each for each, look in zip(brood, looks, strict=True) if _hole(look).alike(like.hard)]
        for each in near[:2]:
            variant = yield from _proved(each, wish, like, seed)
            if variant is not None:
                return variant
    return None


def _proved(exercise, wish, like, seed):
    """A Variant of this exercise where it is bad in all eight pours and as hard as the one it is like."""
    (outcome,) = yield Batch([Job(outcome_of, exercise.design(), FULL)])
    if not _hole(outcome).alike(like.hard):
        return None
    hard = yield from _hardness(exercise, outcome)
    if not hard.equal(like.hard):
        return None
    eight = yield Batch([Job(outcome_of, each, FULL) for each in across_bands(exercise.design(), ROBUST_K)])
    held = sum(has_it(wish, each) for each in eight)
    return Variant(seed, exercise, outcome, hard, held) if held >= like.held else None


def _hardness(exercise, outcome):
    """The plan that says how hard an exercise is whose casting came out so."""
    kinds, tried = allowed_kinds(exercise), []
    for kind in kinds:
        steps = sorted({round((len(kind.settings) - 1) * look / (LOOKS - 1)) for look in range(LOOKS)})
        tried.append([exercise.design(**dict(kind.settings[step][1])) for step in steps])
    designs = list(dict.fromkeys(design for some in tried for design in some))
    outcomes = yield Batch([Job(outcome_of, each, COARSE) for each in designs])
    looks = dict(zip(designs, outcomes, strict=True))
    cures = [[looks[each].poured_kg for each in some if _is_cure(looks[each], exercise)] for some in tried]
    metal = min((min(each) for each in cures if each), default=0.0)
    return replace(_hole(outcome), ways=sum(map(bool, cures)), cure_share=metal / outcome.poured_kg)


def _hole(outcome):
    return Hardness(outcome.block, outcome.causes, outcome.defect_share)


def _is_cure(outcome, exercise):
    return outcome.sound and outcome.poured_kg <= exercise.most_metal_kg


def _brood(exercise, wish, rng):
    """New exercises with some of the sizes moved, none of them one that must not be poured."""
    sliders = [slider for slider in sliders_for(exercise.part, metal=exercise.alloy, sand=exercise.mould,
                                                **exercise.values)
               if slider.kind != "choice" and slider.name in exercise.values
               and exercise.values[slider.name] != 0.0  # what is not there stays away
               and not is_place(slider.name)]
    found = {}
    for _ in range(6 * BROOD):
        values = dict(exercise.values)
        for slider in sliders:
            if rng.random() < 0.6:
                moved = rng.normal() * max(REACH * (slider.high - slider.low), slider.step)
                values[slider.name] = on_step(slider, values[slider.name] + moved)
        if sum(values[name] != exercise.values[name] for name in values) < LEAST_MOVED:
            continue
        if broken(wish, exercise.bench_values() | values):
            continue
        try:
            each = replace(exercise, values=values)
        except InputError:  # the sliders fit, but not together
            continue
        found[each.key] = each
        if len(found) == BROOD:
            break
    return list(found.values())
