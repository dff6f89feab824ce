"""Castings with a hole whose cause is hidden: drawn by number, and kept only when the cause can be told.

The same number always gives the same casting. A casting is drawn from a recipe that is likely to fail in one
way; whether it does, whether the cause is clear, whether the cure for that cause takes the hole out and the
cures for other causes do not, is computed, and what does not pass is drawn again.
"""

import functools
import itertools
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between
from castlab.field.outcome import COARSE, FULL
from castlab.field.own_part import OwnPart
from castlab.materials import alloy
from castlab.plan import Batch, Job, run_here
from castlab.teach.read_defect.own_lot import own_lot, own_sizes
from castlab.teach.read_defect.readable import REFUSED, SOUND, cut_tells
from castlab.teach.sliders.part_sliders import RIGGING, SIZES, middle
from castlab.teach.sliders.slider import on_step
from castlab.teach.sliders.to_design import design_of

LARGEST_NUMBER = 999_999
MOST_DRAWS = 60  # far more than were ever needed for the parts of the course
DRAWS_A_CAUSE = 6  # then another cause gets its turn

# The thin and the heavy size of each part, which one pair of sliders moves.
OWN_NAMES = {
    "eye plate": ("thickness", "boss"),
    "step wedge": ("thin", "heavy"),
    "cleat": ("thickness", "post"),
    "sheave": ("thickness", "hub"),
    "bollard cap": ("thickness", "boss"),
}
MOULDS = ("green sand", "dry silica sand", "oil-bonded sand")
SHORT_RANGE = {  # of the same family, an alloy that freezes over a short range
    "zinc-aluminium": "Zn-4Al",
    "aluminium": "Al-12Si",
    "copper": "pure copper",
    "zinc": "pure zinc",
    "precious": "fine silver",
}
EASY = ("ZA-12", "Zn-4Al", "A356", "Al-12Si", "319", "silicon bronze", "fine silver")
AS_A_SKIN = ("pure zinc", "pure aluminium", "fine silver")
LONG_RANGE, LONGEST_RANGE = ("tin bronze", "silicon bronze", "85-5-5-5"), ("Al-4.5Cu", "sterling silver")
LONG_PLATE_M = 180e-3
FEEDER_SIZES = {slider.name: slider for slider in RIGGING}
SLEEVE_M = 8e-3
NOT_TOLD = ("none of the castings that were tried has a hole of one clear cause with a cure of its own: "
            "change where feeders may stand, turn it another way up, or give it a heavier place")


@dataclass(frozen=True)
class Hidden:
    """One casting to be read.

    part     by its name, or one's own: then its widest feeder is as `values` say
    values   where its sliders stand      fixed   rigging that no slider moves, as pairs
    cause    a key of CAUSES              cure    changes of the values that make it sound
    draws    how often it was drawn until it could be read
    """

    number: int
    part: str | OwnPart
    values: dict
    fixed: tuple
    cause: str
    cure: dict
    draws: int

    def setup(self, **changes):
        """The pour that can be frozen, with some values changed."""
        return setup_from(self.part, self.fixed, self.values | changes)


def setup_from(part, fixed, values):
    """The Setup that sliders of these common names describe."""
    if isinstance(part, OwnPart):
        return design_of(part, own_sizes(part, fixed, values)).setup()
    sizes = dict(values)
    for common, own in zip(("thickness", "heavy"), OWN_NAMES[part], strict=True):
        sizes[own] = sizes.pop(common)
    return design_of(part, sizes | dict(fixed)).setup()


def draw(number, own=None):
    """The casting of that number, 1 to 999 999: a Hidden. `own`: the OwnPart to cast; none: the course's.

    Raises InputError for what is not a whole number in this range, and for a part of which none comes.

    >>> draw(7) == draw(7)
    True
    """
    return _drawn(number_of(number), own)


def number_of(number):
    """That number, when a casting can have it; raises InputError for what is no such number."""
    found = require_between("number of the casting", number, 1, LARGEST_NUMBER)
    if found != int(found):
        raise InputError("number of the casting", number, "it must be a whole number")
    return int(found)


@functools.lru_cache(maxsize=64)
def _drawn(number, own=None):
    return run_here(drawing(number, own))


def drawing(number, own=None):
    """The plan of a draw (see `castlab.teach.work.progress`); its answer is what `draw` returns."""
    lot = (yield from own_lot(own)) if own else None
    for draws, (cause, part, fixed, values) in enumerate(_each_draw(number, lot), start=1):
        cure = yield from cure_if_readable(part, fixed, values, cause)
        if cure is not None:
            return Hidden(number, part, values, fixed, cause, cure, draws)
    if own:
        raise InputError("part", own.name, NOT_TOLD)
    raise InputError("number of the casting", number, "no casting comes of it; choose another")


def drawn_before(number, draws):
    """The Hidden of a number, of a part of the course, of which it is known how often it was drawn, 1 to
    MOST_DRAWS; without its cure.

    Raises InputError for a number that no casting has.
    """
    cause, part, fixed, values = next(itertools.islice(_each_draw(number), draws - 1, None))
    return Hidden(number, part, values, fixed, cause, {}, draws)


def _each_draw(number, lot=None):
    """Cause, part, fixed rigging and values of one draw after the other."""
    chance = np.random.default_rng(number_of(number))
    order = [str(cause) for cause in chance.permutation(list(RECIPES))]
    for count in range(MOST_DRAWS):
        cause = order[count // DRAWS_A_CAUSE % len(order)]
        yield cause, *RECIPES[cause](chance, lot)


def ranges_of(part):
    """From where to where its thin and its heavy size may go [m]: {common name: (low, high)}.

    None of a part of one's own: it is cast as it was drawn.
    """
    if isinstance(part, OwnPart):
        return {}
    return {size: (_range_of(part, size).low, _range_of(part, size).high) for size in ("thickness", "heavy")}


# ---- can it be read?


def cure_if_readable(part, fixed, values, cause):
    """A plan; its answer is a cure, when the casting fails by that cause alone and can be read, else None.

    The cure is the first of those for this cause that is sound on coarse cells and on full ones. A cure for
    another cause, as far as it goes, must not do as well, on either.
    """

    def looks(look, more, *changes):
        jobs = [Job(cut_tells, setup_from(part, fixed, values | change), look) for change in changes]
        return Batch(jobs, more)

    others = wrong_cures(values, cause)
    try:
        if (yield looks(COARSE, 6, {})) != [cause]:
            return None
        wrong = yield looks(COARSE, 4, *others)
        if SOUND in wrong or REFUSED in wrong:
            return None
        for change in RIGHT[cause](values):
            quick = yield looks(COARSE, 3, change)
            if quick == [SOUND]:
                cured, first = yield looks(FULL, len(others), change, {})
                if first != cause or cured == REFUSED:
                    return None
                if cured == SOUND:
                    wrong = yield looks(FULL, 0, *others)
                    return None if SOUND in wrong else change
            elif quick == [REFUSED]:
                return None
        return None
    except InputError:
        return None  # a feeder that finds no room, a feeder lower than what it feeds: not this one


def wrong_cures(values, cause):
    """The cure for each of the other causes, as far as it goes, where it changes anything."""
    others = [cures for cures in TELLING.values() if cures is not TELLING.get(cause)]
    return [changes[-1] for changes in (cures(values) for cures in others) if changes]


# ---- cures: each a function of the values, from the least change on


def put_on_feeder(values):
    """Feeders of growing width on the heavy end."""
    return [_feeder(values["heavy"], share, 1.5) for share in (0.8, 1.0, 1.3)]


def larger_feeder(values):
    """Wider, and half as high again as it is wide."""
    return [_feeder(values["feeder_width"], share, 1.5) for share in (1.5, 2.0, 2.6)]


def insulate(values):
    """A sleeve, or a thicker one, round the feeder there is."""
    return [{"sleeve_thickness": size} for size in (8e-3, 16e-3)
            if values["feeder_width"] and size > values["sleeve_thickness"]]


def higher_feeder(values):
    """The feeder there is, made higher."""
    return [{"feeder_height": size} for size in (40e-3, 80e-3)
            if values["feeder_width"] and size > values["feeder_height"]]


def wider_neck(values):
    """No neck: the feeder's whole foot on the casting."""
    return [{"neck_width": 0.0}] if values["neck_width"] else []


def short_range(values):
    """An alloy of the same family that freezes over a short range."""
    name = SHORT_RANGE[alloy(values["alloy"]).family]
    return [] if name == values["alloy"] else [{"alloy": name, "pour_temp_c": usual_pour(name)}]


RIGHT = {
    "no feeder": put_on_feeder,
    "freezes first": lambda values: insulate(values) + larger_feeder(values),
    "runs empty": lambda values: higher_feeder(values) + larger_feeder(values),
    "way closes": wider_neck,
    "even": short_range,
}
# The cure for this cause that, in a casting that can be read, cures no other.
TELLING = {"freezes first": insulate, "runs empty": higher_feeder, "way closes": wider_neck,
           "even": short_range}


# ---- recipes: what is likely to fail in one way


# Each is a function of chance and the lot, an OwnLot or None for the parts of the course.


def _plain(chance, lot, alloys=EASY, parts=tuple(OWN_NAMES)):
    """Part, what is fixed about it, and values without a feeder."""
    part = lot.part if lot else str(chance.choice(parts))
    name = str(chance.choice(alloys))
    sizes = {"heavy": lot.heavy} if lot else _drawn_sizes(chance, part)
    values = sizes | {
        "alloy": name,
        "mould": str(chance.choice(MOULDS)),
        "pour_temp_c": usual_pour(name),
        "feeder_width": 0.0,
        "feeder_height": 60e-3,
        "neck_width": 0.0,
        "sleeve_thickness": 0.0,
    }
    return part, lot.drawn(chance) if lot else (), values


def _drawn_sizes(chance, part):
    """Sizes of a part of the course: thin in its thin section, heavy in its heavy one."""
    thin, heavy = (_range_of(part, size) for size in ("thickness", "heavy"))
    return {
        "thickness": on_step(thin, chance.uniform(thin.low, 0.5 * (thin.low + thin.high))),
        "heavy": on_step(heavy, chance.uniform(0.6 * heavy.high, 0.9 * heavy.high)),
        "chill_thickness": 0.0,
    }


def _slim(chance, lot):
    part, fixed, values = _plain(chance, lot, parts=("eye plate", "step wedge", "sheave"))
    return part, fixed, values | _feeder(values["heavy"], chance.uniform(0.35, 0.6), 2.0)


def _squat(chance, lot):
    part, fixed, values = _plain(chance, lot)
    values |= _feeder(values["heavy"], chance.uniform(0.35, 0.6), 0.5)
    return part, fixed, values | {"sleeve_thickness": SLEEVE_M}


def _narrow(chance, lot):
    part, fixed, values = _plain(chance, lot, AS_A_SKIN, ("eye plate", "step wedge"))
    values |= _feeder(values["heavy"], chance.uniform(1.0, 1.3), 1.5)
    neck = on_step(FEEDER_SIZES["neck_width"], chance.uniform(2e-3, 6e-3))
    return part, fixed, values | {"neck_width": neck}


def _flat(chance, lot):
    kinds = ((LONG_RANGE, ("eye plate",)), (LONGEST_RANGE, ("eye plate", "sheave", "bollard cap")))
    part, fixed, values = _plain(chance, lot, *kinds[int(chance.integers(2))])
    if part == "eye plate":
        fixed = (("length", LONG_PLATE_M),)
    return part, fixed, values | _feeder(values["heavy"], chance.uniform(1.0, 1.3), 1.5)


RECIPES = {"no feeder": _plain, "freezes first": _slim, "runs empty": _squat, "way closes": _narrow,
           "even": _flat}


def _feeder(size, share, slender):
    """A feeder whose width is a share of some size [m], and whose height is so many times its width."""
    width = on_step(FEEDER_SIZES["feeder_width"], share * size)
    return {"feeder_width": width, "feeder_height": on_step(FEEDER_SIZES["feeder_height"], slender * width)}


def _range_of(part, common):
    """The slider of a part's thin or heavy size."""
    own = OWN_NAMES[part][common == "heavy"]
    return next(slider for slider in SIZES[part] if slider.name == own)


def usual_pour(name):
    """The middle of an alloy's usual pouring temperatures [deg C]."""
    return middle(*alloy(name).pour_range_c)
