"""The smallest change that makes a casting sound: each kind of cure, its price, and its catch.

A search here is a generator: it yields lists of `Pour`s that it wants solved, is sent their `Outcome`s in the
same order, and returns what it found. Who follows it decides where the pours are solved: `run_here` in this
process, the bench in two others, with a bar and a stop button.
"""

import inspect
from dataclasses import dataclass, replace

from castlab.errors import InputError
from castlab.field import rigging
from castlab.field.design import Design
from castlab.field.outcome import COARSE_CELL, FULL_CELL, Outcome, outcome_of
from castlab.field.parts import PARTS
from castlab.field.rigging import Rigging
from castlab.field.sure import across_bands

FIRST_LOOK = 6  # settings of a lever that are tried on coarse cells first
STEP_M, STEP_K = 2e-3, 5.0  # a cure is found to within one step
HEIGHT_STEP_M, LEAST_HEIGHT_M = 5e-3, 20e-3
SLEEVE_M = 8e-3  # a common wall of a small insulating sleeve; common practice
HIGH, LOW = 1.5, 0.6  # height of a feeder over its width: usual, and squat; common practice
LARGEST_FEEDER_M, LARGEST_CHILL_M = 80e-3, 40e-3
MOVED = 0.10  # a hole that changes by less than this share has only moved

# What may change on the part itself, by name: (words, towards, limit [m]), from the least change on.
SHAPES = {
    "eye plate": {
        "core": ("core in the boss", +1, 24e-3),
        "boss": ("smaller boss", -1, 12e-3),
        "thickness": ("thicker plate", +1, 30e-3),
        "taper": ("plate that grows towards the boss", +1, 24e-3),
    },
    "step wedge": {
        "heavy": ("thinner last step", -1, 8e-3),
        "thin": ("thicker first step", +1, 30e-3),
    },
    "bracket": {
        "rib": ("thinner rib", -1, 4e-3),
        "wall": ("thinner wall", -1, 4e-3),
        "thickness": ("thicker base", +1, 24e-3),
    },
    "cleat": {
        "post": ("thinner post", -1, 8e-3),
        "thickness": ("thicker base", +1, 24e-3),
        "horn": ("thinner horn", -1, 4e-3),
    },
    "sheave": {
        "core": ("core in the hub", +1, 24e-3),
        "hub": ("smaller hub", -1, 14e-3),
        "thickness": ("thicker web", +1, 24e-3),
    },
    "bollard cap": {
        "core": ("core in the boss", +1, 22e-3),
        "boss": ("smaller boss", -1, 10e-3),
        "thickness": ("thicker crown", +1, 24e-3),
    },
}
# Two that may do together what neither does alone: one that brings metal, one that shows it the way.
BRINGS = ("thicker gate into the thin end", "gate into the heavy end")
SHOWS = (
    "core",
    "boss",
    "heavy",
    "rib",
    "wall",
    "post",
    "hub",
    "taper",
    "thickness",
    "thin",
    "chill under",
    "chill at the side",
)
MOST_PAIRS = 6


@dataclass(frozen=True)
class Pour:
    """A design to be solved on cells of about that size [m]."""

    design: Design
    cell: float


def solve(pour):
    """The Outcome of a Pour."""
    return outcome_of(pour.design, pour.cell)


@dataclass(frozen=True)
class Lever:
    """One kind of cure: its settings, pairs of (words, changes of the design), from the least change on."""

    key: str
    name: str
    settings: tuple[tuple[str | float, tuple[tuple[str, float | str], ...]], ...]


@dataclass(frozen=True)
class Cure:
    """What a lever can do for a design.

    setting     its smallest sound value (a size [m], a temperature [deg C] or words); of a lever that fails,
                the value that leaves least
    changes     what to change of the design for that, as pairs
    margin      the changes one step further on, which hold on finer cells too; empty where there is none
    outcome     of the pour so changed
    added_kg    metal more than before, in the mould and in the casting
    sure        of how many of eight pours across the bands it stays sound; None before it was asked
    catch       what else happens, or why it fails, in words
    """

    key: str
    name: str
    setting: str | float
    changes: tuple[tuple[str, float | str], ...]
    margin: tuple[tuple[str, float | str], ...]
    outcome: Outcome
    added_kg: float
    catch: str
    sure: int | None = None

    @property
    def works(self):
        return self.outcome.sound


def run_here(search):
    """Follow a search in this process; returns what it returns.

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    >>> cure = run_here(smallest_sound(plain, lever(plain, "feeder on top"), outcome_of(plain)))
    >>> cure.works
    True
    """
    answers = None
    while True:
        try:
            pours = search.send(answers)
        except StopIteration as end:
            return end.value
        answers = [solve(pour) for pour in pours]


def together(searches):
    """Several searches as one; what they want at the same time is asked for together.

    Yields lists of `Pour`s; returns the list of what the searches return, in order.
    """
    searches = list(searches)
    found, wanted, answers = {}, {}, dict.fromkeys(range(len(searches)))
    while True:
        for number, reply in answers.items():
            try:
                wanted[number] = searches[number].send(reply)
            except StopIteration as end:
                found[number] = end.value
                wanted.pop(number, None)
        if not wanted:
            return [found[number] for number in range(len(searches))]
        outcomes = iter((yield [pour for pours in wanted.values() for pour in pours]))
        answers = {number: [next(outcomes) for _ in pours] for number, pours in wanted.items()}


def cures(design):
    """Search all kinds of cure, then pairs where one alone fails, then say how sure each is.

    Parameters: `design`, a casting that is not sound. Returns (by way of the generator) a tuple of `Cure`s:
    those that work first, the surest and then the lightest in front; then those that fail, with the reason.
    Raises InputError when the design cannot be cast at all.
    """
    (before,) = yield [Pour(design, FULL_CELL)]
    if before.refused:
        raise InputError("design", design.part, f"it must be possible to cast it: {before.refused}")
    found = yield from together(smallest_sound(design, each, before) for each in levers(design))
    found += yield from together(_pairs(design, found, before))
    working = [cure for cure in found if cure.works]
    sure = yield from together(how_sure(design, cure) for cure in working)
    failing = sorted((cure for cure in found if not cure.works), key=lambda cure: _left(cure.outcome))
    return (*sorted(sure, key=lambda cure: (-cure.sure, cure.outcome.poured_kg)), *failing)


def smallest_sound(design, lever, before):
    """The smallest setting of one lever that is sound, first on coarse cells, then on full ones: a Cure.

    A lever need not get better all the way (a chill can be too large): between the first setting that was
    sound and the last before it that was not, the range is halved.
    """
    changed = [design.change(**dict(changes)) for _, changes in lever.settings]
    last = len(changed) - 1
    looks = sorted({round(last * look / max(FIRST_LOOK - 1, 1)) for look in range(FIRST_LOOK)})
    coarse = yield [Pour(changed[at], COARSE_CELL) for at in looks]
    order = [at for at, each in zip(looks, coarse, strict=True) if each.sound]
    least = min(zip(coarse, looks, strict=True), key=lambda pair: _left(pair[0]))
    known = {}
    for at in order or [least[1]]:
        known |= {at: (yield [Pour(changed[at], FULL_CELL)])[0]}
        if known[at].sound:
            break
    high = at if known[at].sound else None
    low = max((look for look in looks if high is not None and look < high), default=-1)
    while high is not None and high - low > 1:
        middle = (low + high) // 2
        (known[middle],) = yield [Pour(changed[middle], FULL_CELL)]
        low, high = (low, middle) if known[middle].sound else (middle, high)
    at = least[1] if high is None else high
    return _cure(lever, at, known[at], before, holds=last > at if high is not None else False)


def how_sure(design, cure):
    """The same cure, and of how many of eight pours across the bands it is sound."""
    eight = across_bands(design.change(**dict(cure.margin or cure.changes)))
    outcomes = yield [Pour(each, FULL_CELL) for each in eight]
    return replace(cure, sure=sum(outcome.sound for outcome in outcomes))


def _cure(lever, at, outcome, before, holds):
    setting, changes = lever.settings[at]
    margin = lever.settings[at + 1][1] if holds else ()
    added = outcome.poured_kg - before.poured_kg
    return Cure(lever.key, lever.name, setting, changes, margin, outcome, added, _catch(outcome, before))


def _catch(outcome, before):
    """What else happens, or why it fails."""
    if outcome.refused:
        return outcome.refused
    if not outcome.sound:
        ratio = outcome.defect_m3 / before.defect_m3 if before.defect_m3 else 1.0
        if ratio > 1.0 - MOVED and outcome.block != before.block:
            return f"only moves the hole, from the {before.block} into the {outcome.block}"
        if ratio > 1.0 - MOVED:
            return f"the {outcome.block} must still pay as much: nothing outside it is liquid long enough"
        return f"a {outcome.kind.replace('_', ' ')} is left in the {outcome.block}"
    words = []
    if outcome.casting_kg > 1.02 * before.casting_kg:
        words.append("the casting itself becomes heavier")
    if outcome.casting_kg < 0.98 * before.casting_kg:
        words.append("the part is no longer as it was drawn")
    if outcome.last_block != before.last_block:
        words.append(f"the {outcome.last_block} now freezes last, no longer the {before.last_block}")
    if outcome.froze_s > 1.3 * before.froze_s:
        words.append("the casting stays liquid longer")
    return "; ".join(words)


def _left(outcome):
    """What orders failures: a hole left is better than nothing that can be cast."""
    return bool(outcome.refused), outcome.defect_share


def _pairs(design, found, before):
    """Searches for two levers together, each of which fails alone."""
    failed = {cure.key: cure for cure in found if not cure.works and not cure.outcome.refused}
    pairs = [
        (failed[first], failed[second])
        for first in BRINGS
        if first in failed
        for second in SHOWS
        if second in failed
    ]
    pairs.sort(key=lambda pair: pair[0].outcome.defect_share + pair[1].outcome.defect_share)
    return [_with(design, *pair, before) for pair in pairs[:MOST_PAIRS]]


def _with(design, first, second, before):
    """The second lever once more, the first at the value that left least."""
    more = lever(design, second.key)
    settings = tuple((setting, (*first.changes, *changes)) for setting, changes in more.settings)
    both = Lever(f"{first.key} + {second.key}", f"{first.name} and {second.name}", settings)
    return smallest_sound(design, both, before)


def lever(design, key):
    """One of `levers` by its key."""
    return next(each for each in levers(design) if each.key == key)


def levers(design):
    """All kinds of cure for a design, each with its settings from the least change on."""
    own = usual_sizes(design.part) | design.values
    round_part = design.part in ("sheave", "bollard cap")
    found = [
        *_feeders(round_part),
        *_gates(own, round_part),
        *_chills(own, round_part),
        *_shapes(design.part, own),
        _cooler(design),
        *_turns(design, own),
    ]
    return tuple(each for each in found if each.settings)


def _feeders(round_part):
    on_top = {"feeder_place": rigging.ON_TOP, "feeder_top": rigging.OPEN, "sleeve_thickness": 0.0}
    yield Lever("feeder on top", "feeder on top", _feeder_sizes(HIGH, on_top))
    yield Lever("squat feeder on top", "squat feeder on top", _feeder_sizes(LOW, on_top))
    sleeved = on_top | {"sleeve_thickness": SLEEVE_M, "sleeve": rigging.SLEEVES[0]}
    yield Lever("sleeved feeder", "feeder in an insulating sleeve", _feeder_sizes(HIGH, sleeved))
    if not round_part:
        beside = on_top | {"feeder_place": rigging.AT_THE_SIDE}
        yield Lever("feeder at the side", "feeder at the side", _feeder_sizes(HIGH, beside))


def _feeder_sizes(slender, rest):
    """Feeders of growing width, in steps of height as well."""
    settings = []
    for width in _range(10e-3, LARGEST_FEEDER_M):
        height = max(HEIGHT_STEP_M * round(slender * width / HEIGHT_STEP_M), LEAST_HEIGHT_M)
        sizes = {"feeder_width": width, "feeder_height": round(height, 6), "neck_width": 0.0, **rest}
        settings.append((width, tuple(sizes.items())))
    return tuple(settings)


def _gates(own, round_part):
    thick = _range(own["gate_thickness"] + STEP_M, 40e-3)
    yield Lever(
        BRINGS[0],
        BRINGS[0],
        tuple((size, (("gate_place", rigging.THIN), ("gate_thickness", size))) for size in thick),
    )
    if not round_part:
        heavy = (("gate_place", rigging.HEAVY),)
        yield Lever(
            BRINGS[1],
            BRINGS[1],
            tuple((size, (*heavy, ("gate_thickness", size))) for size in _range(4e-3, 60e-3)),
        )


def _chills(own, round_part):
    for place in (rigging.UNDER,) if round_part else (rigging.UNDER, rigging.AT_THE_SIDE):
        settings = (
            (size, (("chill_place", place), ("chill_thickness", size)))
            for size in _range(4e-3, LARGEST_CHILL_M)
        )
        yield Lever(f"chill {place}", f"{own['chill']} {place}", tuple(settings))


def _shapes(part, own):
    for name, (words, towards, limit) in SHAPES[part].items():
        first = own[name] + towards * STEP_M
        sizes = _range(first, limit) if towards > 0 else [-size for size in _range(-first, -limit)]
        if name == "core" and own[name] == 0.0:
            sizes = _range(4e-3, limit)
        yield Lever(name, words, tuple((size, ((name, size),)) for size in sizes))


def _cooler(design):
    low, usual = design.alloy.pour_range_c[0], design.pour_temp_c
    count = int((usual - low) / STEP_K + 1e-9)
    temps = [usual - STEP_K * step for step in range(1, count + 1)]
    return Lever("cooler pour", "cooler pour", tuple((temp, (("pour_temp_c", temp),)) for temp in temps))


def _turns(design, own):
    for turn in rigging.TURNS:
        if turn != own["turn"] and _can_lie(design, turn):
            yield Lever(turn, f"cast {turn}", ((turn, (("turn", turn),)),))


def _can_lie(design, turn):
    """Whether the bare part is ever cast that way up."""
    try:
        parts_alone = {
            name: value for name, value in design.values.items() if name not in rigging.RIGGING_NAMES
        }
        replace(design, sizes=tuple(parts_alone.items())).change(turn=turn).setup()
    except InputError:
        return False
    return True


def usual_sizes(part):
    """What the sizes of a part and its rigging are when nothing is said: a dict."""
    own = {
        name: each.default
        for name, each in inspect.signature(PARTS[part]).parameters.items()
        if each.default is not inspect.Parameter.empty
    }
    return own | {name: getattr(Rigging(), name) for name in rigging.RIGGING_NAMES}


def _range(low, high):
    """Sizes [m] from low to high in steps."""
    count = int((high - low) / STEP_M + 1e-9)
    return [round(low + STEP_M * step, 6) for step in range(count + 1)]
