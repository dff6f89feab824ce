"""Measurements on castings and melts that others published, as ratios, bounds or bands.

What is missing in each stands beside it in `castlab.teach.trust.trials`; a value that would have to be
guessed is spanned. Nothing in castlab was fitted to them, but for what a docstring here says.
"""

from functools import cache

import pytest

from castlab.materials import alloy, mould, values
from castlab.rules.contraction import hole_where_mould_yields, pattern_scale, volume_to_feed
from castlab.rules.filling import fluidity_length, fluidity_length_under_head
from castlab.rules.furnace import Furnace
from castlab.rules.lining import TWO_BUILDERS
from castlab.teach.trust import trials_in_field
from castlab.teach.trust.trials import trials

STEEL, A356, IRON = alloy("carbon steel"), alloy("A356"), alloy("grey iron")


@cache
def found():
    return {each.what: each for each in trials()}


def computed(start):
    """(lowest, highest) of the one trial whose name begins so."""
    (trial,) = [each for what, each in found().items() if what.startswith(start)]
    return trial.computed


# ---- 1. A wedge of 319 beside a chill of copper (Farhang Mehr and others, abstract read)


@pytest.mark.parametrize("frozen_in, measured", [("588 s", 40e-6), ("94 s", 25e-6)])
def test_arms_of_319_within_a_factor_of_1_4(frozen_in, measured):
    """At 50 mm from the chill, dry and cooled by water. Missing: the pour, and whether strontium was in it.

    The coefficient in the data lies between two sources since this trial was known: a compromise, not a fit.
    """
    low, _ = computed(f"arm spacing of 319 frozen in {frozen_in}")
    assert measured / 1.4 < low < 1.4 * measured


def test_one_width_meets_both_times_beside_the_chill():
    """56 s at 5 mm and 588 s at 50 mm. Missing: the wedge's size and the pour, so that a width is found from
    the second time, and the first is the test: with the usual contact of copper, not with 5000 W/m2/K."""
    usual = mould("copper chill").interface_coefficient
    assert trials_in_field.beside_chill(usual) == pytest.approx(56.0, rel=0.25)
    assert trials_in_field.beside_chill(5000.0) < 0.5 * 56.0


# ---- 2. Killed steel in thick iron moulds (article of an encyclopaedia, read)


@pytest.mark.parametrize("superheat", [20.0, 60.0])
@pytest.mark.parametrize("minutes, printed", [(4, 40e-3), (9, 60e-3)])
def test_the_skin_of_steel_in_an_iron_mould(minutes, printed, superheat):
    """Missing: superheat and the mould's wall, taken as thick and cold."""
    assert trials_in_field.skin_in_iron(60.0 * minutes, superheat) == pytest.approx(printed, rel=0.15)


@pytest.mark.xfail(strict=True, reason="one coefficient stands for metal that touches at first, and a gap")
def test_the_skin_of_steel_in_the_first_minute():
    assert trials_in_field.skin_in_iron(60.0, 20.0) == pytest.approx(20e-3, rel=0.15)


def test_steel_from_liquid_to_cold():
    """7.06 and 7.86 g/cm3, 10.2 %. Missing: the temperature of the liquid; here the liquidus."""
    assert computed("steel from liquid to cold")[0] == pytest.approx(0.102, abs=0.01)


def test_the_skin_of_steel_in_sand():
    """6.84 mm after a minute (a lecture sheet). Missing: superheat, 0 to 100 K."""
    low, high = computed("skin of steel in silica sand")
    assert low < 6.84e-3 < high < 1.3 * low


# ---- 3. A356 sucked into tubes (Metals 12 (2022) 1986, abstract read)


@pytest.mark.parametrize("radius", [1.5e-3, 2.5e-3, 5e-3])
@pytest.mark.parametrize("speed", [0.5, 3.0])
@pytest.mark.parametrize("wall", ["cast-iron die", "dry silica sand"])
def test_how_much_farther_hot_metal_runs_lies_between_the_two_tubes(radius, speed, wall):
    """26 to 36 cm in quartz, 13 to 29 in steel, from 650 to 730 deg C. Missing: bore and speed, spanned."""
    cool, hot = (fluidity_length_under_head(radius, speed, A356, mould(wall), pour)
                 for pour in (650.0, 730.0))
    assert 36 / 26 < hot / cool < 29 / 13


def test_friction_brings_the_answer_to_suction_nearer():
    """Six times the suction: 1.55 and 1.72 times as far. With constant speed the rule says the root of 6."""
    steady = fluidity_length(2.5e-3, 6**0.5, A356, mould("cast-iron die"), 690.0)
    assert steady / fluidity_length(2.5e-3, 1.0, A356, mould("cast-iron die"), 690.0) == pytest.approx(6**0.5)
    low, high = computed("A356 runs farther with six times the suction")
    assert 43 / 25 < low <= high < 0.9 * 6**0.5


@pytest.mark.xfail(strict=True, reason="the rule has all suction from the beginning and lifts no metal; "
                                       "the paper's tube and pump were not read")
def test_the_answer_to_suction_within_a_tenth():
    low, _ = computed("A356 runs farther with six times the suction")
    assert low < 1.1 * 43 / 25


# ---- 4. A steel feeder of seven inches in sleeves (Hardin, Williams, Beckermann 2013, abstract read)


@pytest.mark.parametrize("wall", [12e-3, 19e-3, 25e-3])
@pytest.mark.parametrize("name, printed", [
    ("insulating sleeve", 1.55**0.5), ("exothermic sleeve", 1.44**0.5)])
def test_what_a_sleeve_does_to_the_modulus(name, printed, wall):
    """55 and 44 % longer. Missing: the feeder's height and the sleeve's wall: usual walls are spanned."""
    assert trials_in_field.sleeve_factor(name, wall) == pytest.approx(printed, rel=0.10)


# ---- 6. The hole that grey iron leaves (West 1902, read in a poor scan)


def test_grey_iron_draws_more_than_a_stiff_mould_allows():
    """About 2 oz of nearly 8 lb, "nearly 2 pounds per hundred": 1.6 to 2 %. Missing: the pour; the hottest is
    taken. So the mould gave way, by no more than a pattern maker would notice: under 1 % in each size."""
    stiff = volume_to_feed(1.0, IRON, 1400.0)
    assert 0.0 < stiff < 0.016
    assert hole_where_mould_yields(1.0, IRON, 1400.0, 3 * 0.01) > 0.020
    low, high = computed("hole in grey iron, each size")
    assert low < 0.016 < 0.020 < high


# ---- 7 and 8. Two builders' furnaces (their pages, read)


@pytest.mark.parametrize("melt", TWO_BUILDERS, ids=lambda melt: melt.name)
def test_no_builder_melts_in_less_than_the_least_time(melt):
    assert melt.least_time < melt.time


@pytest.mark.parametrize("melt", TWO_BUILDERS, ids=lambda melt: melt.name)
@pytest.mark.parametrize("coupling, loss", [(4.0, 0.6), (8.0, 0.3)])
def test_the_melt_with_a_lining_found_by_hand(melt, coupling, loss):
    """The lining is found by hand from the time, and the melt computed with it. Missing: how well wall and
    metal are coupled and what is lost; those of the example furnace, and twice as tight, are taken."""
    furnace = Furnace(1440.0, 2500.0, coupling, loss, 1150.0)
    assert melt.time / 1.5 < melt.computed_time(furnace) < 1.5 * melt.time


def test_a_heavy_lining_takes_most_of_the_heat():
    light, heavy = TWO_BUILDERS
    assert heavy.lining > 5.0 * light.lining
    assert light.share_in_metal > 3.0 * heavy.share_in_metal


# ---- 9. A bar with and without a flange in green sand (Motoyama and others, paragraphs read)


def test_a_flange_in_green_sand_counts_for_less_than_the_data():
    """It contracted by 6.26 mm with a flange and by 6.25 without; castlab's contraction is free. Missing: the
    bar's length, so that only the difference can be compared: with what is not known of the expansion."""
    (expands,) = [each for each in values("A356") if each.quantity == "solid_expansion"]
    assert 1.0 - 6.25 / 6.26 < 0.1 * (expands.high - expands.low) / expands.value
    assert 0.011 < pattern_scale(A356, 45.0) - 1.0 < 0.015  # a bar of 0.42 to 0.57 m, then
