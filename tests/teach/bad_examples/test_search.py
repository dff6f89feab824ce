"""The search for a wished bad casting, with made-up solvers, and one real small wish; its words."""

import itertools
import math
import re
from dataclasses import replace

import numpy as np
import pytest
from made_holes import CM3, METRIC_UNIT, SOUND, sink, with_holes
from plans import followed as follow
from shares import mostly_slow

from castlab.errors import InputError
from castlab.field.grid import build
from castlab.field.outcome import COARSE, FINE, FULL, Outcome
from castlab.materials import alloy
from castlab.plan import run_here
from castlab.rules.filling import running_time
from castlab.teach.bad_examples import search
from castlab.teach.bad_examples.search import MOST_POURS, Found, find, has_it, short_of
from castlab.teach.bad_examples.search_report import found_words
from castlab.teach.bad_examples.wanted_defect import (
    CAST,
    FURNACE,
    POT,
    SECTION,
    WINDOW,
    WantedDefect,
    blocks_of,
    broken,
)
from castlab.units import INCH_POUND, METRIC
from castlab.units import said as in_units

SMALL = WantedDefect("eye plate", "ZA-12", "green sand", "sink", "boss", 3 * CM3,
                     turn=("boss", "pour_temp_c"))


def grows_with_boss(design, look):
    """A sink of 0.1 cm3 for each mm of the boss above 26 mm."""
    return sink(max(design.values["boss"] - 26e-3, 0.0) * 1e3 * 0.1 * CM3)


@pytest.fixture
def shorter(monkeypatch):
    """The same search with fewer tries."""
    for name, fewer in (("LOOKS", 16), ("BROODS", 2), ("BROOD", 6), ("MOST_DRAWN", 64)):
        monkeypatch.setattr(search, name, fewer)


# ---- the search


def test_it_finds_what_the_solver_hides():
    found, _ = follow(find(SMALL), grows_with_boss)
    assert found.met and found.proof.held == 8
    assert grows_with_boss(SMALL.design(found.values), FULL).holes[0].volume_m3 >= 3 * CM3 * (1 - 1e-9)
    assert found.values["boss"] >= 56e-3


@pytest.mark.slow
def test_the_same_number_finds_the_same_and_asks_the_same(shorter):
    wish = replace(SMALL, turn=(), size_m3=2.5 * CM3)
    first, second = (follow(find(wish, seed=7), grows_with_boss) for _ in range(2))
    assert first == second
    assert follow(find(wish, seed=8), grows_with_boss)[1] != first[1]


def test_what_stands_there_already_is_not_moved():
    wish = replace(SMALL, size_m3=1.0 * CM3)
    found, asked = follow(find(wish), grows_with_boss)
    assert found.met and found.values == wish.start
    assert "Nothing had to be moved" in found_words(wish, found, METRIC)


def test_sliders_that_must_stay_stay_and_ranges_hold():
    wish = replace(SMALL, turn=("boss", "thickness"), ranges=(("boss", 0.030, 0.050),), size_m3=2 * CM3)
    found, asked = follow(find(wish), grows_with_boss)
    for design, _ in asked:
        assert 0.030 <= design.values["boss"] <= 0.050
        assert design.values["length"] == wish.start["length"]
    assert found.met


def test_a_slider_that_does_nothing_is_put_back():
    wish = replace(SMALL, turn=(), size_m3=2.5 * CM3)
    found, _ = follow(find(wish), grows_with_boss)
    moved = {name for name, value in found.values.items() if value != wish.start[name]}
    assert found.met and moved == {"boss"}


def test_a_hole_that_goes_when_the_pour_is_cold_is_not_taken():
    """Only hot pours give it in all eight: the search has to learn that from the failed proof."""

    def hot_only(design, look):
        size = 6 * CM3 if design.pour_temp_c > 480.0 else 0.0
        return sink(size) if size else sink(6 * CM3, block="plate")

    found, _ = follow(find(SMALL), hot_only)
    assert found.met and found.values["pour_temp_c"] - 15.0 > 480.0


@pytest.mark.slow
def test_a_hole_that_goes_on_the_finer_grid_is_not_taken():
    def coarse_only(design, look):
        return sink(6 * CM3) if look != FINE else sink(0.1 * CM3)

    found, asked = follow(find(SMALL), coarse_only)
    assert not found.met and found.proof.held == 8 and not found.proof.holds
    assert "but not on a grid twice as fine" in found_words(SMALL, found, METRIC)
    assert {look for _, look in asked} == {COARSE, FULL, FINE}


@pytest.mark.slow
def test_it_is_bounded_when_nothing_helps():
    found, asked = follow(find(replace(SMALL, turn=())), lambda design, look: SOUND)
    assert not found.met and len(asked) < 1.2 * MOST_POURS
    assert "a sound casting" in found_words(SMALL, found, METRIC)


def test_the_right_kind_in_the_right_block_must_be_the_largest():
    rows = ("cavity", "boss", 4 * CM3), ("sink", "boss", 3.5 * CM3)
    beside = with_holes(*rows)
    assert not has_it(SMALL, beside) and short_of(SMALL, beside) > 0.0
    assert has_it(SMALL, with_holes(*rows[::-1]))


@pytest.mark.parametrize("better, worse", [
    (sink(2 * CM3), sink(1 * CM3)),
    (sink(0.1 * CM3), sink(9 * CM3, block="plate")),
    (sink(9 * CM3, block="plate"), sink(9 * CM3, kind="cavity")),
    (sink(9 * CM3, kind="cavity"), Outcome("refused", "no")),
])
def test_nearer_to_the_wish_is_less_short(better, worse):
    assert 0.0 < short_of(SMALL, better) < short_of(SMALL, worse)


# ---- when it cannot be met


def test_the_pot_is_named_when_it_stands_in_the_way():
    wish = replace(SMALL, turn=("boss",), most_metal_kg=1.05)
    found, _ = follow(find(wish), grows_with_boss)
    assert not found.met and list(found.in_the_way) == [POT]
    assert not broken(wish, found.values)
    words = found_words(wish, found, METRIC)
    assert "The pot stands in the way: it needs 1." in words and "the pot holds 1.05 kg" in words


def test_a_furnace_that_is_too_cold_leaves_nothing_to_pour():
    wish = replace(SMALL, alloy="tin bronze", hottest_pour_c=900.0)
    found, asked = follow(find(wish), grows_with_boss)
    assert not found.met and found.values == {} and FURNACE in found.in_the_way
    assert "The furnace stands in the way: it is poured at 1" in found_words(wish, found, METRIC)


def test_the_end_of_a_slider_is_named():
    wish = replace(SMALL, turn=("boss",), size_m3=20 * CM3)
    found, _ = follow(find(wish), grows_with_boss)
    assert not found.met and not found.in_the_way and found.values["boss"] == 56e-3
    words = found_words(wish, found, INCH_POUND)
    assert "heavy-end size" in words and "in3" in words and "cm3" not in words


# ---- never unsafe


def wishes(number):
    """Wishes drawn at random, tight and wide."""
    rng = np.random.default_rng(3)
    metals = ("ZA-12", "A356", "tin bronze", "pure zinc", "Al-12Si", "silicon bronze", "carbon steel")
    moulds = ("green sand", "investment", "cast-iron die")
    for _ in range(number):
        part = str(rng.choice(["eye plate", "step wedge", "bracket", "cleat", "sheave", "bollard cap"]))
        yield WantedDefect(part, str(rng.choice(metals)), str(rng.choice(moulds)),
                   str(rng.choice(["sink", "cavity", "sponge"])), str(rng.choice(blocks_of(part))),
                   float(rng.uniform(0.5, 6)) * CM3, most_metal_kg=float(rng.uniform(0.3, 2.5)),
                   hottest_pour_c=float(rng.choice([500.0, 800.0, 1150.0, 1700.0])),
                   least_section_m=float(rng.uniform(3e-3, 12e-3)))


def draws_to_danger(wish, number):
    """A solver that likes heavy or thin, hot or cold castings best: it pulls the search to each limit."""

    def solver(design, look):
        value = design.values.get("thickness", design.values.get("thin", 0.01))
        cold = 1.0 - (design.pour_temp_c - design.alloy.liquidus_c) / 250.0
        wanted = [1.0 - value / 0.03, value / 0.03, cold, 1.0 - cold][number % 4]
        return sink(max(wanted, 0.01) * 8 * CM3, wish.kind, wish.block)

    return solver


@pytest.mark.slow
@pytest.mark.parametrize("draws", mostly_slow([10, 24], quick=[10]))
def test_no_proposal_is_unsafe_to_pour(shorter, draws):
    """Each limit is worked out here once more, by another way than in the search."""
    proposed = 0
    for number, wish in enumerate(wishes(draws)):
        found, asked = follow(find(wish), draws_to_danger(wish, number))
        if not found.values:
            continue
        proposed += 1
        setup = wish.design(found.values).setup()
        grid = build(setup.layout, FULL.cell_in(setup.layout))
        assert setup.alloy.density_solid * grid.metal_volume.sum() <= wish.most_metal_kg * 1.001
        assert setup.pour_temp_c <= wish.hottest_pour_c
        low, high = alloy(wish.alloy).pour_range_c
        assert low <= setup.pour_temp_c <= high
        sections = [high - low for block in setup.layout.blocks if block.role in ("casting", "feeder")
                    for low, high in zip(block.low, block.high, strict=True)]
        assert min(sections) >= wish.least_section_m - 1e-9
        mould = replace(setup.mould, start_temp_c=setup.mould_temp_c)
        runs = running_time(min(sections), setup.alloy, mould, setup.pour_temp_c - 15.0)
        assert runs >= setup.pour_time_s * (1 - 1e-9)
    assert proposed >= draws // 2


@pytest.mark.parametrize("changes, limit", [
    ({"most_metal_kg": 0.2}, POT), ({"hottest_pour_c": 450.0}, FURNACE), ({"least_section_m": 0.02}, SECTION),
])
def test_each_limit_is_seen(changes, limit):
    wish = replace(SMALL, **changes)
    assert list(broken(wish, wish.start)) == [limit] and not broken(SMALL, SMALL.start)


def test_thin_and_cold_is_outside_the_fill_window():
    thin = SMALL.start | {"thickness": 0.006, "pour_temp_c": 450.0}
    assert list(broken(SMALL, thin)) == [WINDOW]
    assert not broken(SMALL, thin | {"pour_temp_c": 540.0})
    assert "too cold" in str(broken(SMALL, SMALL.start | {"pour_temp_c": 440.0})[WINDOW])


@pytest.mark.parametrize("units", [METRIC, INCH_POUND])
def test_a_section_that_is_too_thin_is_said_to_be_thinner_than_what_fills(units):
    told = set()
    for temp_c in np.arange(450.0, 500.0, 0.5):
        found = broken(SMALL, SMALL.start | {"thickness": 0.006, "pour_temp_c": float(temp_c)})
        if WINDOW in found:
            thin, fills = (float(number) for number in
                           re.findall(rf"([\d.]+) {units.lengths.unit}", in_units(found[WINDOW], units)))
            assert thin < fills, found[WINDOW]
            told.add(fills)
    assert min(told) < 1.01 * units.lengths.shown(0.006)  # so near was what had been said to be 6 mm itself


def test_what_cannot_be_cast_is_said():
    assert list(broken(SMALL, SMALL.start | {"boss": 0.010})) == [CAST]


# ---- wishes


@pytest.mark.parametrize("changes, said", [
    ({"part": "anchor"}, "part"), ({"kind": "crack"}, "kind of defect"), ({"block": "rim"}, "block"),
    ({"size_m3": math.nan}, "size of the defect"), ({"share": -0.1}, "share"),
    ({"turn": ("colour",)}, "slider"),
    ({"ranges": (("boss", 0.030, 0.500),)}, "range of heavy-end size"),
    ({"ranges": (("rib", 0.01, 0.02),)}, "slider with a range"),
    ({"turn": ("turn",), "ranges": (("turn", 0.0, 1.0),)}, "menu"), ({"most_metal_kg": 0.0}, "most metal"),
    ({"stay": (("boss", 5.0),)}, "heavy-end size"),
])
def test_a_wish_that_makes_no_sense_is_refused_in_words(changes, said):
    with pytest.raises(InputError, match=said):
        replace(SMALL, **changes)


def test_a_wish_is_never_so_small_that_the_casting_is_sound():
    assert replace(SMALL, size_m3=0.0).wanted_m3(100 * CM3) == pytest.approx(0.2 * CM3)


# ---- for real


@pytest.mark.slow
def test_a_real_wish_is_met():
    """The heavy boss without a feeder sinks: as it stands, and as the first lesson says."""
    wish = replace(SMALL, turn=("boss",), ranges=(("boss", 0.038, 0.046),), size_m3=2 * CM3)
    found = run_here(find(wish))
    assert found.met and not broken(wish, found.values)
    assert all(has_it(wish, looked) for looked in (*found.proof.eight, *found.proof.fine))
    assert found.proof.usual.causes == ("no feeder",)


# ---- words


@pytest.mark.parametrize("wish, values, said", [
    ({"most_metal_kg": 0.7}, {}, "lb of metal, the pot holds 1.54 lb"),
    ({"least_section_m": 0.005}, {"thickness": 0.004}, "0.157 in, the least allowed is 0.197 in"),
    ({"hottest_pour_c": 450.0}, {"pour_temp_c": 500.0}, "at 932 °F, the furnace gives 842 °F"),
    ({}, {"pour_temp_c": 440.0}, "824 °F is too cold for ZA-12, which is poured at 842 °F to 1004 °F"),
    ({}, {"boss": 0.010}, "heavy-end size is 0.394 in"),
])
def test_limits_are_said_in_inches(wish, values, said):
    """Worked with 25.4 mm to the inch, 453.59 g to the pound, 9/5 and 32."""
    limits = broken(replace(SMALL, **wish), SMALL.start | values)
    words = found_words(SMALL, Found(False, SMALL.start, None, None, limits, 1.0), INCH_POUND)
    assert said in words and not METRIC_UNIT.search(words)


def test_every_kind_of_answer_has_words():
    looks = [sink(4 * CM3), sink(4 * CM3, "cavity"), SOUND, Outcome("refused", "it is too thin")]
    ways = [{}, {POT: "it needs 3 kg"}, {WINDOW: "cold"}]
    for looked, way in itertools.product(looks, ways):
        words = found_words(SMALL, Found(False, SMALL.start, None, looked, way, 1.0), METRIC)
        assert words.startswith("Not met: a sink of ") and ("in the way" in words) and "_" not in words
