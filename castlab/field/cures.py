"""The smallest change that makes a casting sound: each kind of cure, its price, and its catch.

A search here is a plan (`castlab.plan`) whose jobs are pours and whose answers are their `Outcome`s. Who
follows it decides where they are solved: `run_here` in this process, the bench in two others, with a bar and
a stop button.
"""

import math
from dataclasses import dataclass, replace

from castlab.errors import InputError
from castlab.field.cure_kinds import GATE_IN_HEAVY, GATE_IN_THIN, KindOfCure, kind_of_cure, kinds_of_cure
from castlab.field.diagnosis import CAUSES
from castlab.field.holes import name_of, the
from castlab.field.outcome import COARSE, FULL, Outcome, outcome_of
from castlab.field.parts import name_of_part
from castlab.field.shrinkage import SOUND_BELOW
from castlab.field.sure import across_bands
from castlab.plan import Batch, Job, side_by_side
from castlab.units import Phrase

USUAL_POURS = 180  # of a whole search, which takes 120 to 210; only a bar needs it
FIRST_LOOK = 6  # settings of a kind of cure that are tried on coarse cells first
MOVED = 0.10  # a hole that changes by less than this share has only moved
MOVED_M = 4e-3  # and it has moved when its middle is so far from where it was: two cells
# Two that may do together what neither does alone: one that brings metal, one that shows it the way.
BRINGS = (GATE_IN_THIN, GATE_IN_HEAVY)
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
TOO_FAR = "one step further on it fails again, so hit the setting"
NOT_TO_THE_END = "what could feed it is solid or shut off too early"
MANY_SMALL = "many small holes are left, none of them large"
SPONGE_STAYS = "a little sponge stays, too little to count"
NO_FEED_FOR_SPONGE = "no feeder reaches it: a steeper fall of temperature there would help"


@dataclass(frozen=True)
class Cure:
    """What a kind of cure can do for a design.

    setting     its smallest sound value (a size [m], a temperature [deg C], words, or for a pair both); of a
                kind that fails, the value that leaves least
    changes     what to change of the design for that, as pairs
    margin      the changes one step further on, which hold on finer cells too; empty where there is none
    outcome     of the pour so changed
    added_kg    metal more than before, in the mould and in the casting
    sure        of how many of eight pours across the bands it stays sound; None before it was asked
    catch       what else happens, or why it fails, in words; a Phrase of what cannot be cast
    """

    key: str
    name: str
    setting: str | float | tuple
    changes: tuple[tuple[str, float | str], ...]
    margin: tuple[tuple[str, float | str], ...]
    outcome: Outcome
    added_kg: float
    catch: Phrase | str
    sure: int | None = None

    @property
    def works(self):
        """Whether the casting is sound with it."""
        return self.outcome.sound


def cures(design):
    """Search all kinds of cure, then pairs where one alone fails, then say how sure each is.

    Parameters: `design`, a casting that is not sound. This plan returns a tuple of `Cure`s: those that
    work first, the surest and then the lightest in front; then those that fail, with the reason. Raises
    InputError when the design cannot be cast at all. What it asks for first, before any cure:

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    >>> next(cures(plain)).jobs == (Job(outcome_of, plain, FULL),)
    True
    """
    (before,) = yield Batch([Job(outcome_of, design, FULL)], more=USUAL_POURS)
    if before.refused:
        name = name_of_part(design.part)
        raise InputError("design", name, "it must be possible to cast it: {}", before.refused)
    found = yield from single_cures(design, before)
    found += yield from side_by_side(pairs(design, found, before))
    working = [cure for cure in found if cure.works]
    sure = yield from side_by_side(how_sure(design, cure) for cure in working)
    failing = sorted((cure for cure in found if not cure.works), key=lambda cure: _left(cure.outcome))
    return (*sorted(sure, key=lambda cure: (-cure.sure, cure.outcome.poured_kg)), *failing)


def single_cures(design, before):
    """Search each kind of cure alone; this plan returns a list of `Cure`s in the order of `kinds_of_cure`.

    Parameters: `design`; `before`, its Outcome. What it asks for first, of all kinds together:

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    >>> jobs = next(single_cures(plain, outcome_of(plain, COARSE))).jobs
    >>> len(jobs) > len(kinds_of_cure(plain)), {job.args[1] for job in jobs} == {COARSE}
    (True, True)
    """
    return side_by_side(smallest_sound(design, each, before) for each in kinds_of_cure(design, before.spots))


def smallest_sound(design, kind, before):
    """The smallest setting of one kind that is sound, first on coarse cells, then on full ones: a Cure.

    A kind need not get better all the way (a chill can be too large), and coarse cells can be too strict: so
    from the first setting that is sound on full cells it goes down look by look while those are sound too,
    and then halves the range to the first look that is not.

    Parameters: `design`; `kind`, one of its `kinds_of_cure`; `before`, the Outcome without it.

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> from castlab.plan import run_here
    >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    >>> run_here(smallest_sound(plain, kind_of_cure(plain, "feeder on top"), outcome_of(plain))).works
    True
    """
    able = tuple(each for each in kind.settings if _can_be_cast(design, each[1]))
    if not able:
        middle = len(kind.settings) // 2
        (outcome,) = yield Batch([_pour(design, kind, middle, FULL)])
        return _cure(kind, middle, outcome, before)
    kind, last = replace(kind, settings=able), len(able) - 1
    looks = sorted({round(last * look / max(FIRST_LOOK - 1, 1)) for look in range(FIRST_LOOK)})
    coarse = yield Batch(_pour(design, kind, at, COARSE) for at in looks)
    order = [at for at, each in zip(looks, coarse, strict=True) if each.sound] or _nearest(looks, coarse)
    known = {}

    def is_sound(at):
        if at not in known:
            (known[at],) = yield Batch([_pour(design, kind, at, FULL)])
        return known[at].sound

    for high in order:
        if (yield from is_sound(high)):
            break
    else:
        least = min(known, key=lambda at: _left(known[at]))
        return _cure(kind, least, known[least], before)
    below = [-1, *(look for look in looks if look < high)]
    while below[-1] >= 0 and (yield from is_sound(below[-1])):
        high = below.pop()
    low = below[-1]
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if (yield from is_sound(middle)) else (middle, high)
    return _cure(kind, high, known[high], before)


def _nearest(looks, coarse):
    """The look that leaves least on coarse cells; where that is little, also half-way to its neighbours."""
    least, best = min(zip(coarse, looks, strict=True), key=lambda pair: _left(pair[0]))
    if least.verdict != "marginal":
        return [best]
    place = looks.index(best)
    beside = (look for look in looks[max(place - 1, 0) : place + 2] if look != best)
    return [best, *((best + look) // 2 for look in beside)]


def how_sure(design, cure):
    """The same cure, and of how many of eight pours across the bands it is sound: what this plan returns.

    With its margin, where the margin itself is sound; else the margin is dropped and the catch says so.
    Parameters: `design`; `cure`, a Cure that works for it. What it asks for where there is no margin:

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    >>> fed = plain.change(feeder_width=0.05, feeder_height=0.06)
    >>> changes = tuple(fed.values.items())
    >>> cure = Cure("feeder on top", "feeder", 0.05, changes, (), outcome_of(fed, COARSE), 0.0, "")
    >>> len(next(how_sure(plain, cure)).jobs)
    8
    """
    if cure.margin:
        (beyond,) = yield Batch([Job(outcome_of, design.change(**dict(cure.margin)), FULL)])
        if not beyond.sound:
            cure = replace(cure, margin=(), catch="; ".join(filter(None, (cure.catch, TOO_FAR))))
    eight = across_bands(design.change(**dict(cure.margin or cure.changes)))
    outcomes = yield Batch(Job(outcome_of, each, FULL) for each in eight)
    return replace(cure, sure=sum(outcome.sound for outcome in outcomes))


def pairs(design, found, before):
    """Searches for two kinds of cure together, each of which fails alone: a list of plans.

    Parameters: `design`; `found`, the Cures of `single_cures`; `before`, the Outcome of the design.

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    >>> before = outcome_of(plain, COARSE)
    >>> names = GATE_IN_THIN, "core"
    >>> found = [Cure(each, each, 0.0, (), (), before, 0.0, "") for each in names]
    >>> len(pairs(plain, found, before))
    1
    """
    failed = {cure.key: cure for cure in found if not cure.works and not cure.outcome.refused}
    able = [(failed[first], failed[second]) for first in BRINGS for second in SHOWS
            if first in failed and second in failed]
    able.sort(key=lambda pair: pair[0].outcome.defect_share + pair[1].outcome.defect_share)
    both = (_both(design, first.key, second.key, before.spots) for first, second in able)
    return [smallest_sound(design, each, before) for each in both if each.settings][:MOST_PAIRS]


def _both(design, first, second, spots):
    """Each setting of the second kind with the largest of the first that it leaves room for: a KindOfCure."""
    brings, shows = (kind_of_cure(design, each, spots) for each in (first, second))
    settings = []
    for setting, changes in shows.settings:
        for other, more in reversed(brings.settings):
            if _can_be_cast(design, (*more, *changes)):
                settings.append(((other, setting), (*more, *changes)))
                break
    names = f"{first} + {second}", f"{brings.name} and {shows.name}"
    return KindOfCure(*names, tuple(settings), f"{brings.remark}; {shows.remark}")


def _can_be_cast(design, changes):
    """Whether it can be drawn and rigged."""
    try:
        design.change(**dict(changes)).setup()
    except InputError:
        return False
    return True


def _pour(design, kind, at, look):
    return Job(outcome_of, design.change(**dict(kind.settings[at][1])), look)


def _cure(kind, at, outcome, before):
    setting, changes = kind.settings[at]
    margin = kind.settings[at + 1][1] if outcome.sound and at + 1 < len(kind.settings) else ()
    added = 0.0 if outcome.refused else outcome.poured_kg - before.poured_kg
    if outcome.refused:
        catch = outcome.refused.before("; ")
    else:
        catch = "; ".join(filter(None, _catch(outcome, before, kind)))
    return Cure(kind.key, kind.name, setting, changes, margin, outcome, added, catch)


def _catch(outcome, before, kind):
    """What else happens and what it costs besides, or why it fails: pieces of a sentence."""
    if not outcome.sound:
        yield _failure(outcome, before, kind)
    else:
        yield kind.remark
        if outcome.last_block != before.last_block:
            yield f"{the(outcome.last_block)} now freezes last, no longer {the(before.last_block)}"
        if outcome.froze_s > 1.3 * before.froze_s:
            yield "the casting stays liquid longer"
        if outcome.sponge_m3 * before.defect_share > 0.5 * SOUND_BELOW * before.defect_m3:
            yield SPONGE_STAYS


def _failure(outcome, before, kind):
    """Why a kind of cure fails, in words."""
    ratio = outcome.defect_m3 / before.defect_m3 if before.defect_m3 else 1.0
    if not (outcome.holes and before.holes):
        return MANY_SMALL
    place = the(outcome.block)
    if outcome.sponge_m3 > 0.5 * outcome.defect_m3:
        return f"what is left is sponge in {place}; {NO_FEED_FOR_SPONGE}"
    if outcome.cause != "no feeder":
        return f"a {name_of(outcome.kind)} is left in {place}: {CAUSES[outcome.cause]}"
    if ratio < 1.0 - MOVED:
        return f"leaves {100 * ratio:.0f} % of the hole, in {place}: {NOT_TO_THE_END}"
    larger = "the hole becomes larger, " if ratio > 1.0 + MOVED else "only moves the hole, "
    if outcome.block != before.block:
        return f"{larger}from {the(before.block)} into {place}"
    if "chill" in kind.key and math.dist(outcome.holes[0].middle, before.holes[0].middle) > MOVED_M:
        return f"{larger}to another place in {place}"
    if ratio > 1.0 + MOVED:
        return f"the hole in {place} becomes larger"
    return f"{place} must still pay as much: nothing outside it is liquid long enough"


def _left(outcome):
    """What orders failures: a hole left is better than nothing that can be cast."""
    return bool(outcome.refused), outcome.defect_share
