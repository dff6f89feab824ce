"""Castings with a hole whose cause is hidden: drawn by number, and kept only when the cause can be told.

The same number always gives the same casting. A casting is drawn from a recipe that is likely to fail in one
way; whether it does, whether the cause is clear, whether the cure for that cause takes the hole out and the
cures for other causes do not, is computed, and what does not pass is drawn again.
"""

import functools
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between
from castlab.field.causes import CLEARLY, EMPTY_FEEDER, cause_of, is_clear
from castlab.field.freeze import freeze
from castlab.field.grid import natural_cell
from castlab.field.outcome import COARSE_CELL, FULL_CELL
from castlab.field.shrinkage import shrinkage
from castlab.materials import alloy
from castlab.teach.benches import design_of
from castlab.teach.levers import RIGGING, SIZES, middle

LARGEST_NUMBER = 999_999
MOST_DRAWS = 60  # far more than were ever needed
DRAWS_A_CAUSE = 6  # then another cause gets its turn
LEAST_HOLE, LEAST_SPONGE = 0.6e-2, 0.2e-2  # shares of the casting that are seen on a sawn face; judgement
# What the bench says afterwards must name the same cause, in these words of castlab.field.words.
SAID = {"freezes first": "the feeder freezes first", "runs empty": "the feeder runs empty",
        "way closes": "the neck freezes first"}
ONE_KIND = 0.7  # of all holes that must have the cause asked for; else two causes would be right

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
AS_A_SKIN = ("Zn-4Al", "pure zinc", "Al-12Si", "fine silver")
LONG_RANGE, LONGEST_RANGE = ("tin bronze", "silicon bronze", "85-5-5-5"), ("Al-4.5Cu", "sterling silver")
LONG_PLATE_M = 180e-3
FEEDER_SIZES = {slider.name: slider for slider in RIGGING}
SLEEVE_M = 8e-3


@dataclass(frozen=True)
class Hidden:
    """One casting to be read.

    values   where its sliders stand      fixed   rigging that no slider moves, as pairs
    cause    a key of CAUSES              cure    changes of the values that make it sound
    """

    number: int
    part: str
    values: dict
    fixed: tuple
    cause: str
    cure: dict

    def setup(self, **changes):
        """The pour that can be frozen, with some values changed."""
        return setup_from(self.part, self.fixed, self.values | changes)


def setup_from(part, fixed, values):
    """The Setup that sliders of these common names describe."""
    sizes = dict(values)
    for common, own in zip(("thickness", "heavy"), OWN_NAMES[part], strict=True):
        sizes[own] = sizes.pop(common)
    return design_of(part, sizes | dict(fixed)).setup()


def draw(number):
    """The casting of that number, 1 to 999 999: a Hidden.

    Raises InputError for what is not a whole number in this range.

    >>> draw(7) == draw(7)
    True
    """
    found = require_between("number of the casting", number, 1, LARGEST_NUMBER)
    if found != int(found):
        raise InputError("number of the casting", number, "it must be a whole number")
    return _drawn(int(found))


@functools.lru_cache(maxsize=64)
def _drawn(number):
    chance = np.random.default_rng(number)
    order = [str(cause) for cause in chance.permutation(list(RECIPES))]
    for count in range(MOST_DRAWS):
        cause = order[count // DRAWS_A_CAUSE % len(order)]
        part, fixed, values = RECIPES[cause](chance)
        cure = cure_if_fair(part, fixed, values, cause)
        if cure is not None:
            return Hidden(number, part, values, fixed, cause, cure)
    raise InputError("number of the casting", number, "no casting comes of it; choose another")


def ranges_of(part):
    """From where to where its thin and its heavy size may go [m]: {common name: (low, high)}."""
    return {size: (_range_of(part, size).low, _range_of(part, size).high) for size in ("thickness", "heavy")}


# ---- is it fair?


def cure_if_fair(part, fixed, values, cause):
    """A cure, when the casting fails by that cause and by no other, and can be read; else None."""
    try:
        if not fails_by(account_of(part, fixed, values, full=False), cause):
            return None
        if any(wrong_cures_work(part, fixed, values, cause)):
            return None
        cure = right_cure(part, fixed, values, cause)
        return cure if cure and fails_by(account_of(part, fixed, values), cause) else None
    except InputError:
        return None  # a feeder that finds no room, a feeder lower than what it feeds: not this one


def account_of(part, fixed, values, full=True):
    """Who pays for the shrinkage, on full cells or on coarse ones."""
    setup = setup_from(part, fixed, values)
    return shrinkage(freeze(setup, natural_cell(setup.layout, FULL_CELL if full else COARSE_CELL)))


def fails_by(account, cause):
    """Whether there is a hole to be seen, its cause is this one, and can be told from what is read off."""
    if account.verdict == "sound" or not account.places or cause_of(account) != cause:
        return False
    least = LEAST_SPONGE if cause == "even" else LEAST_HOLE
    alike = sum(place.volume_m3 for place in account.places if (place.kind == "sponge") == (cause == "even"))
    told = account.defect_share > least and alike > ONE_KIND * account.defect_m3
    return (told and is_clear(account) and SAID.get(cause, "") in account.sentence
            and told_by_times(account, cause))


def told_by_times(account, cause):
    """Whether times and the feeder's hollow tell it. A feeder that is stiff but not solid shows no time."""
    feeders = [body.name for body in account.run.grid.layout.blocks if body.role == "feeder"]
    if cause not in ("freezes first", "way closes"):
        return True
    feeder = max(account.froze_s[name] for name in feeders)
    holed = account.froze_s[account.places[0].block]
    if account.feeder_emptied > EMPTY_FEEDER * (1.0 - CLEARLY):
        return False
    return feeder * (1.0 + CLEARLY) < holed if cause == "freezes first" else feeder > holed * (1.0 + CLEARLY)


def right_cure(part, fixed, values, cause):
    """The first of the cures for this cause that is sound on coarse cells and on full ones; else None."""
    for change in RIGHT[cause](values):
        if all(_sound(part, fixed, values | change, full) for full in (False, True)):
            return change
    return None


def wrong_cures_work(part, fixed, values, cause):
    """For each of the other causes: whether the cure for it, as far as it goes, would do as well."""
    for other, lever in TELLING.items():
        if lever is not TELLING.get(cause):
            changes = lever(values)
            yield bool(changes) and _sound(part, fixed, values | changes[-1], full=False)


def _sound(part, fixed, values, full):
    return account_of(part, fixed, values, full).verdict == "sound"


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
# The lever that cures this cause and, in a fair casting, no other.
TELLING = {"freezes first": insulate, "runs empty": higher_feeder, "way closes": wider_neck,
           "even": short_range}


# ---- recipes: what is likely to fail in one way


def _plain(chance, alloys=EASY, parts=tuple(OWN_NAMES)):
    """Part, and values without a feeder."""
    part, name = str(chance.choice(parts)), str(chance.choice(alloys))
    thin, heavy = (_range_of(part, size) for size in ("thickness", "heavy"))
    values = {
        "thickness": _between(chance, thin.low, 0.5 * (thin.low + thin.high), thin.step),
        "heavy": _between(chance, 0.6 * heavy.high, 0.9 * heavy.high, heavy.step),
        "alloy": name,
        "mould": str(chance.choice(MOULDS)),
        "pour_temp_c": usual_pour(name),
        "feeder_width": 0.0,
        "feeder_height": 60e-3,
        "neck_width": 0.0,
        "sleeve_thickness": 0.0,
        "chill_thickness": 0.0,
    }
    return part, (), values


def _without(chance):
    return _plain(chance)


def _slim(chance):
    part, fixed, values = _plain(chance, parts=("eye plate", "step wedge", "sheave"))
    return part, fixed, values | _feeder(values["heavy"], chance.uniform(0.4, 0.65), 2.0)


def _squat(chance):
    part, fixed, values = _plain(chance)
    values |= _feeder(values["heavy"], chance.uniform(0.35, 0.6), 0.5)
    return part, fixed, values | {"sleeve_thickness": SLEEVE_M}


def _narrow(chance):
    part, fixed, values = _plain(chance, AS_A_SKIN, ("eye plate", "step wedge"))
    values |= _feeder(values["heavy"], chance.uniform(1.0, 1.3), 1.5)
    return part, fixed, values | {"neck_width": _between(chance, 4e-3, 8e-3, 2e-3)}


def _flat(chance):
    kinds = ((LONG_RANGE, ("eye plate",)), (LONGEST_RANGE, ("eye plate", "sheave", "bollard cap")))
    part, _, values = _plain(chance, *kinds[int(chance.integers(2))])
    fixed = (("length", LONG_PLATE_M),) if part == "eye plate" else ()
    return part, fixed, values | _feeder(values["heavy"], chance.uniform(1.0, 1.3), 1.5)


RECIPES = {"no feeder": _without, "freezes first": _slim, "runs empty": _squat, "way closes": _narrow,
           "even": _flat}


def _feeder(size, share, slender):
    """A feeder whose width is a share of some size [m], and whose height is so many times its width."""
    wide, high = FEEDER_SIZES["feeder_width"], FEEDER_SIZES["feeder_height"]
    width = min(_on_step(share * size, wide.step), wide.high)
    return {"feeder_width": width,
            "feeder_height": min(max(_on_step(slender * width, high.step), high.low), high.high)}


def _range_of(part, common):
    """The slider of a part's thin or heavy size."""
    own = OWN_NAMES[part][common == "heavy"]
    return next(slider for slider in SIZES[part] if slider.name == own)


def usual_pour(name):
    """The middle of an alloy's usual pouring temperatures [deg C]."""
    return middle(*alloy(name).pour_range_c)


def _between(chance, low, high, step):
    return _on_step(chance.uniform(low, high), step)


def _on_step(size, step):
    return round(step * round(size / step), 6)
