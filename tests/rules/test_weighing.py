"""What scales and a stop-watch say, held against what was put in."""

import math
from dataclasses import replace

import numpy as np
import pytest

from castlab.errors import InputError
from castlab.materials import alloy, mould
from castlab.rules import weighing
from castlab.rules.freezing import freezing_time_in_sand


def test_the_coin_of_the_textbook():
    """OpenStax, College Physics, on Archimedes' principle (from memory): 8.630 g, in water 7.800 g."""
    assert weighing.density_in_water(8.630, 7.800, 1000.0) == pytest.approx(10_400, abs=20)


@pytest.mark.parametrize("hole_cm3", [0.0, 0.5, 4.0])
def test_a_hole_that_was_put_in_is_found(hole_cm3):
    """100 cm3 outside, of which so much is hollow: weights by hand."""
    sound, water = 6030.0, 998.21
    in_air = sound * (100 - hole_cm3) * 1e-6
    in_water = in_air - water * 100e-6
    volume, _ = weighing.closed_holes(in_air, in_water, sound, water)
    assert 1e6 * volume == pytest.approx(hole_cm3, abs=1e-9)


def test_the_error_is_that_of_many_weighings():
    """Scattered weights and densities scatter the volume by as much as the formula says."""
    chance, trials = np.random.default_rng(3), 4000
    _, error = weighing.closed_holes(0.77, 0.64, 6030.0, reads_to=1e-3, density_error=30.0)
    found = [weighing.closed_holes(0.77 + air, 0.64 + water, 6030.0 + sound)[0]
             for air, water, sound in zip(chance.normal(0, 1e-3, trials), chance.normal(0, 1e-3, trials),
                                          chance.normal(0, 30.0, trials), strict=True)]
    assert np.std(found) == pytest.approx(error, rel=0.10)


def test_the_error_of_the_density_alone_by_hand():
    """1 kg whose density of 7000 kg/m3 may be wrong by 1 %: 142.86 cm3 of metal, wrong by 1.43 cm3."""
    _, error = weighing.closed_holes(1.0, 0.85, 7000.0, density_error=70.0)
    assert 1e6 * error == pytest.approx(1.4286, rel=1e-3)


@pytest.mark.parametrize("in_air, in_water", [(0.0, 0.0), (0.5, 0.5), (0.5, 0.6), (0.5, -0.1), ("a", 0.1)])
def test_weights_that_cannot_be_are_refused(in_air, in_water):
    for rule in (weighing.density_in_water, lambda *each: weighing.closed_holes(*each, 6000.0)):
        with pytest.raises(InputError, match="weight in"):
            rule(in_air, in_water)


def test_warm_water_is_lighter_and_ice_is_refused():
    assert weighing.water_density(30.0) < weighing.water_density(20.0) < weighing.water_density(10.0)
    with pytest.raises(InputError, match="temperature of the water"):
        weighing.water_density(0.0)


@pytest.mark.parametrize("shape", ["plate", "bar", "ball"])
@pytest.mark.parametrize("name", ["green sand", "dry silica sand"])
def test_the_time_of_the_rule_gives_back_the_mould(shape, name):
    metal, around = alloy("A356"), mould(name)
    time = freezing_time_in_sand(0.006, metal, around, 710.0, shape)
    found = weighing.heat_diffusivity_from_trial(time, 0.006, metal, around, 710.0, shape)
    assert found == pytest.approx(around.heat_diffusivity)


def test_a_plate_that_takes_twice_as_long_has_a_mould_weaker_by_the_root_of_two():
    metal, around = alloy("ZA-12"), replace(mould("green sand"), interface_coefficient=math.inf)
    one, two = (weighing.heat_diffusivity_from_trial(time, 0.006, metal, around, 480.0)
                for time in (100, 200))
    assert one / two == pytest.approx(math.sqrt(2.0))


def test_what_has_no_heat_diffusivity_to_find_is_refused():
    with pytest.raises(InputError):
        weighing.heat_diffusivity_band("ZA-12")  # an alloy
    with pytest.raises(InputError, match="thick sand or plaster"):
        weighing.heat_diffusivity_from_trial(20.0, 0.006, alloy("ZA-12"), mould("cast-iron die"), 480.0)
    with pytest.raises(InputError, match="freezing time"):
        weighing.heat_diffusivity_from_trial(1e6, 0.006, alloy("ZA-12"), mould("green sand"), 480.0, "ball")
    with pytest.raises(InputError, match="the contact lets"):
        weighing.heat_diffusivity_from_trial(5.0, 0.006, alloy("ZA-12"), mould("green sand"), 480.0)
