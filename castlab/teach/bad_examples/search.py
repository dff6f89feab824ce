"""Find settings that give a wished defect every time they are poured: a bounded, repeatable search.

    search    the casting as it stands, with feeders from too small to large, and settings drawn from the
              sliders' ranges; those that must not be poured are left out
    refine    the best of them, moved a slider or two at a time, on coarse cells (full ones for sponge)
    simplify  every slider that need not have moved goes back
    prove     on full cells: eight pours across the bands of the data and 15 K at the pour, and the usual pour
              and the weakest of the eight on a grid twice as fine

A pour that fails the proof is added to what every further setting must pass. The same seed finds the same
setting. `find` is a plan for `castlab.teach.work.progress.Work`.
"""

import itertools
import re
from dataclasses import dataclass, field

import numpy as np

from castlab.field.outcome import COARSE, FINE, FULL, Outcome, outcome_of
from castlab.field.sure import across_bands
from castlab.plan import Batch, Job
from castlab.teach.bad_examples.wanted_defect import CAST, ROBUST_K, broken
from castlab.teach.sliders.slider import on_step

HALF = 0.5  # a hole that is half as large as wished still counts, in each of the eight pours
LOOKS, AT_ONCE = 64, 16  # settings that are tried first, so many at a time
MOST_DRAWN = 512  # settings that are drawn to find so many that can be poured
# shares of the sliders' ranges
FEEDERS = {"feeder_width": (0.4, 0.55, 0.75), "feeder_height": (0.0, 0.4), "sleeve_thickness": (0.0, 0.5)}
OF_FEEDER = re.compile(r"feeder_\d_")
STAYS = 0.5  # chance that a slider stays where it stands, so that settings are simple
BROOD, BROODS = 12, 8  # moved settings that are tried together, and how often
PARENTS, BEST = 4, 12
ROUNDS = 4  # proofs that are tried
MOST_POURS = 260  # after so many it gives up; a pour of the proof counts by its cells
COARSE_PRICE, FULL_PRICE, FINE_PRICE = 1, 1.5, 4
AIM, AIM_MORE = 1.1, 1.2  # how much larger than wished to aim at, and more after each failed proof
AHEAD = 1.25  # the wished hole should be so much larger than any other
NOWHERE, ELSEWHERE = 2.0, 1.5  # short by so much: no such hole anywhere; one, but in another block
LIFTED_LOOKS = 24  # settings that break a limit, tried only to know what the limit costs
USUAL = None  # the case of the pour as it is meant; the other cases are numbers of the eight across the bands


@dataclass(frozen=True)
class Proof:
    """How surely a setting gives what was wished.

    usual      the pour as meant; eight: across the bands; fine: the usual and the weakest, twice as fine
    held       of how many of the eight pours the hole is there: same kind, same block, half the size
    weakest    number of the weakest of the eight
    holds      all of them, the usual pour in full size, and the finer grid
    """

    usual: Outcome
    eight: tuple[Outcome, ...]
    fine: tuple[Outcome, ...]
    held: int
    weakest: int
    holds: bool


@dataclass(frozen=True)
class Found:
    """What a search found.

    values     all sliders of the setting that gives it, or of what came closest; empty where nothing tried
               can be poured
    proof      its Proof; None where nothing came near enough to be proved
    looked     Outcome of the setting
    in_the_way {limit: why}: limits without which it seems to be possible, or that leave nothing to pour
    price      how many pours on coarse cells it cost, or as many finer ones as take as long
    """

    met: bool
    values: dict
    proof: Proof | None
    looked: Outcome | None
    in_the_way: dict
    price: float


@dataclass
class Tried:
    """What is known so far: {setting: {case: Outcome}}, and the cases that a setting must pass."""

    wish: object
    cases: tuple = (USUAL,)
    aim: float = AIM
    known: dict = field(default_factory=dict)
    failed: set = field(default_factory=set)
    price: float = 0.0

    def best(self, most=BEST):
        """The settings that come closest and were looked at in all cases; the simpler first among equals."""
        whole = [key for key, looks in self.known.items() if set(self.cases) <= set(looks)]
        return sorted((key for key in whole if key not in self.failed), key=self._rank)[:most]

    def short(self, key, aim=None, ahead=AHEAD):
        """By how much a setting is short of the aim in its worst case; 0: it has all of it."""
        aim = aim or self.aim
        return max(short_of(self.wish, self.known[key][case], aim if case is USUAL else HALF * aim, ahead)
                   for case in self.cases)

    def worth_a_proof(self, key):
        """Whether a setting has what was wished, though perhaps with nothing to spare."""
        return self.short(key, aim=1.0, ahead=1.0) == 0.0

    def _rank(self, key):
        moved = sum(value != first for value, first in zip(key, self.wish.start.values(), strict=True))
        return round(self.short(key), 6), len(self.known[key][USUAL].causes) != 1, moved, repr(key)


def short_of(wish, looked, aim=1.0, ahead=1.0):
    """How far a pour is from the wish: 0 where it has it, up to 2 where it has nothing like it."""
    if looked.refused or not looked.holes:
        return NOWHERE
    size, wanted = looked.size(wish.kind, wish.block), aim * wish.wanted_m3(looked.casting_m3)
    if size == 0.0:
        near = max((hole.volume_m3 for hole in looked.holes if hole.kind == wish.kind), default=0.0)
        return ELSEWHERE - 0.4 * near / (near + wanted) if near else NOWHERE - 0.1
    other = max((hole.volume_m3 for hole in looked.holes
                 if (hole.kind, hole.block) != (wish.kind, wish.block)), default=0.0)
    behind = max(ahead * other - size, 0.0) / (ahead * other + size)
    largest = looked.is_largest(wish.kind, wish.block)
    return max(1.0 - size / wanted, 0.0) + behind + (0.0 if largest else 0.1)


def has_it(wish, looked, share=HALF):
    """Whether a pour has the wished hole as its largest, of at least that share of the wished size."""
    wanted = share * wish.wanted_m3(looked.casting_m3)
    return looked.is_largest(wish.kind, wish.block) and looked.size(wish.kind, wish.block) >= wanted


# ---- the plan


def find(wish, seed=1):
    """The plan of the search for a `WantedDefect`; its answer is `Found`."""
    tried, rng = Tried(wish), np.random.default_rng(seed)
    legal, refused = first_settings(wish, seed)
    yield from _first_looks(tried, legal)
    proofs = []
    for _ in range(ROUNDS if legal else 0):
        yield from _refine(tried, rng)
        key = next(iter(tried.best(1)), None)
        if key is None or not tried.worth_a_proof(key):
            break
        key = yield from _simplify(tried, key)
        proof = yield from prove(wish, wish.design(_values(wish, key)))
        tried.price += FULL_PRICE * (1 + len(proof.eight)) + FINE_PRICE * len(proof.fine)
        if proof.holds:
            return Found(True, _values(wish, key), proof, proof.usual, {}, tried.price)
        proofs.append((key, proof))
        yield from _learn(tried, key, proof)
    return (yield from _not_met(tried, proofs, refused, rng))


def first_settings(wish, seed):
    """Settings spread over the ranges: those that can be poured, and (setting, limits) of those that not."""
    draws = np.random.default_rng(seed).random((MOST_DRAWN, 2 * len(wish.sliders)))
    moves = ({}, *_feeders(wish.sliders), *(_drawn(wish.sliders, draw) for draw in draws))
    legal, refused, seen = [], [], set()
    for move in moves:
        values = wish.start | move
        key = tuple(values.values())
        if key in seen:
            continue
        seen.add(key)
        if limits := broken(wish, values):
            refused.append((key, limits))
        else:
            legal.append(key)
        if len(legal) == LOOKS:
            break
    return legal, refused


def _feeders(sliders):
    """Feeders from too small to large, low and tall, bare and in a sleeve, as far as these may be turned; on
    a part of one's own all of them alike."""
    of_size = {size: [slider for slider in sliders if OF_FEEDER.sub("feeder_", slider.name) == size]
               for size in FEEDERS}
    if not of_size["feeder_width"]:
        return []
    chosen = {size: shares for size, shares in FEEDERS.items() if of_size[size]}
    return [{slider.name: _at(slider, share) for size, share in zip(chosen, shares, strict=True)
             for slider in of_size[size]} for shares in itertools.product(*chosen.values())]


def _drawn(sliders, draw):
    """One setting out of numbers between 0 and 1, two a slider: whether it moves, and where to."""
    return {slider.name: _at(slider, share) for slider, moves, share
            in zip(sliders, draw[::2], draw[1::2], strict=True) if moves > STAYS}


def _at(slider, share):
    if slider.kind == "choice":
        return slider.options[min(int(share * len(slider.options)), len(slider.options) - 1)]
    return on_step(slider, slider.low + share * (slider.high - slider.low))


def _first_looks(tried, keys):
    """Look at the first settings, the one that stands there first, until some have all that is wished."""
    for first in range(0, len(keys), AT_ONCE):
        yield from _look(tried, keys[first : first + AT_ONCE], more=len(keys) - first)
        if tried.short(tried.best(1)[0]) == 0.0:
            return


def _refine(tried, rng):
    """Move the best settings a slider or two at a time until one has all that is wished."""
    for left in range(BROODS - 1, -1, -1):
        best = tried.best(PARENTS)
        if not best or tried.short(best[0]) == 0.0 or tried.price > MOST_POURS:
            return
        brood = _brood(tried, best, rng, lambda values: not broken(tried.wish, values))
        if not brood:
            return
        yield from _look(tried, brood, more=left * BROOD)


def _brood(tried, parents, rng, allowed):
    """New settings near the best ones."""
    sliders, found = tried.wish.sliders, []
    for _ in range(20 * BROOD):
        # The best is moved as often as the others together.
        parent = parents[0 if rng.random() < 0.5 else rng.integers(len(parents))]
        values = _moved(_values(tried.wish, parent), sliders, rng)
        key = tuple(values.values())
        if key not in tried.known and key not in found and allowed(values):
            found.append(key)
        if len(found) == BROOD:
            break
    return found


def _moved(values, sliders, rng):
    """A setting with one or two sliders moved: often a little, sometimes far."""
    values = dict(values)
    for number in rng.choice(len(sliders), size=min(int(rng.integers(1, 3)), len(sliders)), replace=False):
        slider = sliders[number]
        if slider.kind == "choice":
            values[slider.name] = slider.options[rng.integers(len(slider.options))]
        else:
            reach = max((slider.high - slider.low) * rng.choice([0.05, 0.15, 0.5]), slider.step)
            values[slider.name] = on_step(slider, values[slider.name] + rng.normal() * reach)
    return values


def _simplify(tried, key):
    """Put back each slider that need not have moved, one after the other; returns the setting."""
    start = tuple(tried.wish.start.values())
    moved = [place for place, first in enumerate(start) if key[place] != first]
    for count, place in enumerate(moved):
        simpler = (*key[:place], start[place], *key[place + 1 :])
        if broken(tried.wish, _values(tried.wish, simpler)):
            continue
        yield from _look(tried, [simpler], more=len(moved) - count - 1)
        if tried.short(simpler) <= tried.short(key):
            key = simpler
    return key


def _look(tried, keys, more=0):
    """Solve settings in the cases that they must pass."""
    pairs = [(key, case) for key in keys for case in tried.cases
             if case not in tried.known.get(key, {})]
    if not pairs:
        return
    designs = [case_of(tried.wish.design(_values(tried.wish, key)), case) for key, case in pairs]
    look, price = first_look(tried.wish)
    looks = yield Batch([Job(outcome_of, design, look) for design in designs], more)
    for (key, case), looked in zip(pairs, looks, strict=True):
        tried.known.setdefault(key, {})[case] = looked
    tried.price += price * len(pairs)


def first_look(wish):
    """How closely to look at first, and its price: sponge follows from gradients, which need fine cells."""
    return (FULL, FULL_PRICE) if wish.kind == "sponge" else (COARSE, COARSE_PRICE)


def case_of(design, case):
    """A design as it is meant, or as one of the eight pours across the bands."""
    return design if case is USUAL else across_bands(design, ROBUST_K)[case]


def prove(wish, design):
    """The plan of the proof that a design has the wished hole; its answer is a `Proof`."""
    cases = [design, *across_bands(design, ROBUST_K)]
    usual, *eight = yield Batch([Job(outcome_of, each, FULL) for each in cases], more=2)
    weakest = max(range(len(eight)), key=lambda number: short_of(wish, eight[number]))
    held = sum(has_it(wish, each) for each in eight)
    fine = ()
    if held == len(eight) and has_it(wish, usual, 1.0):
        fine = yield Batch([Job(outcome_of, each, FINE) for each in (design, cases[1 + weakest])])
    holds = bool(fine) and all(has_it(wish, each) for each in fine)
    return Proof(usual, tuple(eight), tuple(fine), held, weakest, holds)


def _learn(tried, key, proof):
    """After a failed proof: that setting is out, its weakest pour becomes a case, and the aim goes up."""
    tried.failed.add(key)
    tried.aim *= AIM_MORE
    best = tried.best()
    if proof.weakest not in tried.cases:
        tried.cases = (*tried.cases, proof.weakest)
    yield from _look(tried, best, more=BROOD)


# ---- when it cannot be met


def _not_met(tried, proofs, refused, rng):
    """What came closest, and which limits stand in the way."""
    wish = tried.wish
    in_the_way = yield from _in_the_way(tried, refused, rng)
    values, proof, looked = {}, None, None
    if proofs:
        key, proof = max(proofs, key=lambda pair: pair[1].held)
        values, looked = _values(wish, key), proof.usual
    else:
        tried.cases = (USUAL,)
        for key in tried.best(1):
            values, looked = _values(wish, key), tried.known[key][USUAL]
    return Found(False, values, proof, looked, in_the_way, tried.price)


def _in_the_way(tried, refused, rng):
    """{limit: why} of limits without which the wish is met.

    Some settings that break them are looked at, never to be proposed, only to know what stands in the way.
    """

    def pours_without_limits(values):
        limits = broken(tried.wish, values)
        return limits and CAST not in limits

    near = _brood(tried, tried.best(PARENTS), rng, pours_without_limits) if tried.best(1) else []
    lifted = [(key, broken(tried.wish, _values(tried.wish, key))) for key in near]
    lifted += [(key, limits) for key, limits in refused if CAST not in limits][:LIFTED_LOOKS]
    lifted.sort(key=lambda pair: len(pair[1]))  # those that break one limit tell most
    beyond = Tried(tried.wish)
    yield from _look(beyond, [key for key, _ in lifted])
    tried.price += beyond.price
    found = {}
    for key, limits in lifted:
        if beyond.worth_a_proof(key) or not tried.known:
            for limit, why in limits.items():
                found.setdefault(limit, why)
    if not tried.known and not found and refused:
        found = dict(refused[0][1])
    return found


def _values(wish, key):
    return dict(zip(wish.start, key, strict=True))
