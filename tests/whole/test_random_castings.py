"""Any casting that the sliders can set up is computed and closes, or is refused in words; 1 % moves no
verdict.

The first twenty-five castings of `random_castings` belong to every run of the tests; a thousand more, and a
thousand moves on a bench, take minutes: `pytest -m slow`.

"Near a limit" is set from outside. The freezing contraction of an alloy is known to 15 to 20 %
(castlab/data), and what a casting loses is the small difference of what is asked for and what is fed: a
verdict whose defects are within 1.5 times of a limit is not one to bet on, whatever the grid does.
"""

import gc
import random
import tracemalloc
from collections import Counter
from functools import cache

import numpy as np
import pytest
from random_castings import drawn, place_of
from shares import every
from test_properties import closes_and_is_finite

from castlab import InputError
from castlab.field.layout import METAL_ROLES
from castlab.field.ledger import KINDS
from castlab.field.outcome import COARSE, FULL, pour
from castlab.field.section import layer_at
from castlab.field.shrinkage import MARGINAL_BELOW, SOUND_BELOW
from castlab.teach.bench.casting import Casting
from castlab.teach.bench.ready_made import bench_for
from castlab.teach.picture import raster
from castlab.teach.picture.hollows import hollows
from castlab.teach.sliders.to_design import design_of

NEAR = 1.5
LEAST_DRAWN_M2 = 4e-6  # of a section: a smaller hole is a few pixels, and their number is rounded
NORMAL, SLOW, PORTION = 25, 1000, 50
MOST_REFUSED = 0.1  # of those that can be set up: a neck that a core cuts off, a size past its range


def account_of(part, values, look=COARSE):
    """The account of one casting, or None where it is refused in words."""
    try:
        return pour(design_of(part, values), look)
    except InputError as error:
        assert error.parameter and error.allowed and str(error)
        return None


def near_a_limit(*accounts):
    """Whether the harm of one of them is within a factor NEAR of what is sound, or what is marginal."""
    limits = 1.0, MARGINAL_BELOW / SOUND_BELOW
    return any(limit / NEAR < account.harm < limit * NEAR for limit in limits for account in accounts)


def looked_at(number):
    """Compute one casting and the same 1 % larger; what came of it in a word, for the count."""
    part, values, larger = drawn(number)
    first, second = account_of(part, values), account_of(part, larger)
    for account in (first, second):
        if account is not None:
            closes_and_is_finite(account)
    if first is None or second is None:
        return "refused" if first is second else "one of the two refused"
    if first.verdict == second.verdict:
        return first.verdict
    return "near a limit" if near_a_limit(first, second) else at_rest(number)


def at_rest(number):
    """A verdict that changed on the cells of a quick look is computed again on those of an answer."""
    part, values, larger = drawn(number)
    first, second = (account_of(part, each, FULL) for each in (values, larger))
    if first.verdict == second.verdict:
        return "changed in a quick look only"
    assert near_a_limit(first, second), (number, first.harm, second.harm)
    return "near a limit"


@cache
def portion(start, count=PORTION):
    return Counter(looked_at(number) for number in range(start, start + count))


@pytest.mark.slow
def test_twenty_five_random_castings():
    found = portion(0, NORMAL)
    assert found.total() == NORMAL and found["refused"] < MOST_REFUSED * NORMAL
    assert found["sound"] and found["defective"]


@pytest.mark.slow
@pytest.mark.parametrize("start", range(NORMAL, NORMAL + SLOW, PORTION))
def test_a_thousand_random_castings(start):
    found = portion(start)
    print(start, dict(found))
    assert found["refused"] < MOST_REFUSED * PORTION


MOVES, SETTLED = 1000, 250
GROWTH_BYTES = 2_000_000  # of some 200 MB that a bench may keep; a leak of 3 kB a move would show


@pytest.mark.slow
def test_memory_does_not_grow_over_a_long_session():
    """A thousand moves of one slider after the other, at rest every fiftieth; what is kept is bounded."""
    bench, dice = bench_for("eye plate", "thickness", "boss", "feeder_width"), random.Random(1)
    bench._cache.limit_bytes = 20_000_000  # full within the first moves, so that growth is not the cache
    tracemalloc.start()
    try:
        for move in range(MOVES):
            control = bench.controls[dice.choice(("thickness", "boss", "feeder_width"))]
            control.value = place_of(control.slider, dice)
            if move % 50 == 49:
                bench.settle()
            if move == SETTLED:
                gc.collect()
                settled = tracemalloc.get_traced_memory()[0]
        gc.collect()
        assert tracemalloc.get_traced_memory()[0] - settled < GROWTH_BYTES
    finally:
        tracemalloc.stop()
    assert bench.alert == "" and bench._cache.used_bytes <= 20_000_000


@pytest.mark.parametrize("number", every(5, range(50)))
def test_holes_are_drawn_as_large_as_they_are_in_the_section(number):
    """Within 5 % of the volume that the account has there, in front of and behind the plane by as much."""
    part, values, _ = drawn(number)
    try:
        casting = Casting(pour(design_of(part, values), COARSE))
    except InputError:
        return
    for area, wanted in drawn_and_there(casting):
        assert area == pytest.approx(wanted, rel=0.05), (part, values)


def drawn_and_there(casting):
    """Pairs of areas [m2] of holes in the section, as drawn and as the account has them: those of feeder and
    gate, and those of the casting; without what is too small."""
    section, grid = casting.section, casting.run.grid
    view = raster.View(*raster.bounds([casting.setup.layout]), 672, 432)
    metal = raster.codes_of(raster.role_codes(section.layout, view, section.plane), METAL_ROLES)
    seen = hollows(section, view, metal, raster.HOLLOW)
    layer, twice = layer_at(grid, casting.plane), 2.0 if 0 in dict(grid.planes) else 1.0
    deep = np.diff(grid.edges[2])[layer] * grid.volume / grid_box(grid)
    lost = twice * (casting.account.void * grid.metal_volume / deep)[:, :, layer]
    kinds = np.array([*KINDS, ""])[casting.account.kind[:, :, layer]]
    own = set(raster.HOLLOW) - {raster.HARMLESS}
    for own, drawn_as in ((("feeder", "gate"), (raster.HARMLESS,)),
                          (("sink", "cavity", "pipe_into_casting"), tuple(own))):
        wanted = lost[np.isin(kinds, own)].sum()
        if wanted > LEAST_DRAWN_M2:
            yield np.isin(seen, drawn_as).sum() * view.metres_per_pixel**2, wanted


def grid_box(grid):
    """Volume of each cell by its edges [m3]; where half or a quarter is solved, less than `grid.volume`."""
    x, y, z = (np.diff(edges) for edges in grid.edges)
    return x[:, None, None] * y[:, None] * z
