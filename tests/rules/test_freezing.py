"""Freezing times by hand: the shape of each law, its limits, what it refuses.

Published numbers: tests/published.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.materials import alloy, alloy_names, mould
from castlab.rules import freezing

ALLOYS = [alloy(name) for name in alloy_names()]
each_alloy = pytest.mark.parametrize("metal", ALLOYS, ids=lambda metal: metal.name)
SAND, DIE, A356 = mould("green sand"), mould("cast-iron die"), alloy("A356")
TOUCHING = replace(SAND, interface_coefficient=math.inf)


def test_half_a_kelvin_drives_heat_and_none_does_not():
    assert freezing.wall_above_mould(SAND.start_temp_c + 0.5, SAND) == pytest.approx(0.5)
    with pytest.raises(InputError, match="mould temperature"):
        freezing.wall_above_mould(SAND.start_temp_c, SAND)


@each_alloy
@given(size=st.floats(1e-3, 0.2), times=st.floats(1.1, 5))
def test_a_plate_freezes_by_the_square_of_its_modulus(metal, size, times):
    pour = metal.pour_range_c[0]
    thin = freezing.freezing_time_in_sand(size, metal, TOUCHING, pour)
    thick = freezing.freezing_time_in_sand(times * size, metal, TOUCHING, pour)
    assert thick == pytest.approx(times**2 * thin)


@each_alloy
def test_a_round_body_freezes_sooner_than_a_plate_of_its_modulus(metal):
    pour = metal.pour_range_c[0]
    shapes = ("ball", "bar", "plate")
    times = [freezing.freezing_time_in_sand(0.01, metal, SAND, pour, shape=each) for each in shapes]
    assert times == sorted(times) and len(set(times)) == 3


@pytest.mark.parametrize("shape, curvature", [("plate", 0.0), ("bar", 1 / 2), ("ball", 1.0)])
def test_the_mould_takes_up_the_heat_that_the_metal_gives_off(shape, curvature):
    """Flow into the mould, summed in small steps: k dT (1 / sqrt(pi a t) + 1/r), half of 1/r for a bar.

    For a ball this flow is exact (Carslaw and Jaeger, Conduction of Heat in Solids, from memory); for a
    bar it is the beginning of the exact series. The radii are those of bodies with V/A = 12 mm.
    """
    metal, size = alloy("pure zinc"), 0.012
    radius = {"plate": math.inf, "bar": 2 * size, "ball": 3 * size}[shape]
    stop = freezing.freezing_time_in_sand(size, metal, TOUCHING, 460, shape=shape)
    roots = np.linspace(0, math.sqrt(stop), 2001)
    times = (roots[1:] + roots[:-1]) ** 2 / 4
    spread = SAND.conductivity / (SAND.density * SAND.heat_capacity)
    gradient = 1 / np.sqrt(math.pi * spread * times) + curvature / radius
    taken = SAND.conductivity * (419.527 - 25) * np.sum(gradient * np.diff(roots**2))
    given_off = size * metal.density_solid * (metal.latent_heat + 480 * (460 - 419.527))
    assert taken == pytest.approx(given_off, rel=1e-6)


@each_alloy
def test_what_makes_a_casting_freeze_later(metal):
    low, high = metal.pour_range_c
    time = freezing.freezing_time_in_sand(0.01, metal, SAND, low)
    assert freezing.freezing_time_in_sand(0.01, metal, SAND, high) > time
    warm = replace(SAND, start_temp_c=120.0)
    assert freezing.freezing_time_in_sand(0.01, metal, warm, low) > time
    dry = mould("dry silica sand")
    assert freezing.freezing_time_in_sand(0.01, metal, dry, low) > time


def test_a_hotter_wall_freezes_sooner():
    metal = alloy("tin bronze")
    cold, hot = (
        freezing.freezing_time_in_sand(0.01, metal, TOUCHING, 1140, wall_temp_c=wall) for wall in (831, 1000)
    )
    assert hot == pytest.approx(cold * ((831 - 25) / (1000 - 25)) ** 2)
    assert cold == freezing.freezing_time_in_sand(0.01, metal, TOUCHING, 1140)


@given(time=st.floats(1, 1e4), size=st.floats(1e-3, 0.5), other=st.floats(1e-3, 0.5))
def test_chvorinov_there_and_back(time, size, other):
    constant = freezing.constant_from_trial(time, size)
    assert freezing.freezing_time(size, constant) == pytest.approx(time)
    later = freezing.freezing_time(other, constant)
    assert later == pytest.approx(time * (other / size) ** 2)


@pytest.mark.parametrize("name", ["cast-iron die", "steel chill", "insulating sleeve"])
def test_a_mould_that_is_not_thick_sand_is_refused_with_the_reason(name):
    with pytest.raises(InputError) as caught:
        freezing.freezing_time_in_sand(0.01, alloy("A356"), mould(name), 700)
    reason = "thin wall" if name == "insulating sleeve" else "surface coefficient"
    assert caught.value.parameter == "mould" and reason in str(caught.value)


@each_alloy
def test_contact_holds_a_thin_plate_back_more_than_a_thick_one(metal):
    """By how much longer than in sand that touches everywhere: it falls towards none as plates grow thick."""
    pour = metal.pour_range_c[0]
    sizes = (2e-3, 8e-3, 32e-3, 1.0)
    held, free = ([freezing.freezing_time_in_sand(size, metal, sand, pour) for size in sizes]
                  for sand in (SAND, TOUCHING))
    longer = [one / other for one, other in zip(held, free, strict=True)]
    assert longer == sorted(longer, reverse=True) and 1.0 < longer[-1] < 1.02


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: freezing.freezing_time_in_sand(-0.01, alloy("A356"), SAND, 700), "modulus"),
        (lambda: freezing.freezing_time_in_sand(0.01, alloy("A356"), SAND, 614), "pouring temperature"),
        (lambda: freezing.freezing_time_in_sand(0.01, alloy("A356"), SAND, 700, shape="cone"), "shape"),
        (lambda: freezing.freezing_time_in_sand(0.01, alloy("A356"), SAND, 700, wall_temp_c=math.nan),
         "temperature of the metal's surface"),
        (lambda: freezing.freezing_time_in_sand(0.01, alloy("ZA-12"), mould("investment"), 470,
                                                wall_temp_c=350.0), "mould temperature"),
        (lambda: freezing.constant_from_trial(0.0, 0.01), "freezing time"),
        (lambda: freezing.freezing_time(0.01, -1.0), "Chvorinov's constant"),
        (lambda: freezing.skin_in_sand(10, A356, DIE, 700), "mould"),
        (lambda: freezing.skin_in_sand(0, A356, SAND, 700), "time"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
