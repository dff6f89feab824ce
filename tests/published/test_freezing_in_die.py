"""Freezing in a die against exact solutions and published forms of the rule."""

import math
from dataclasses import replace

import pytest

from castlab.errors import InputError
from castlab.materials import Mould, alloy, mould
from castlab.rules import die

DIE = mould("cast-iron die")
PERFECT = Mould("cold wall", "die", 1e9, 1e5, 1e5, 25.0, 1e7)  # next to no film, and never warms


def pure(stefan):
    """Aluminium whose solid takes up `stefan` times its latent heat between 25 deg C and freezing."""
    metal = alloy("pure aluminium")
    return replace(metal, latent_heat=metal.heat_capacity_solid * (metal.liquidus_c - 25.0) / stefan)


@pytest.mark.parametrize("stefan, published", [(0.1, 0.2200163)])
def test_a_wall_without_a_film_is_stefans_problem(stefan, published):
    """Crank, Free and Moving Boundary Problems 1984, equation 3.14: St 0.1 gives 0.2200163.

    front = 2 g sqrt(a t). The rule leaves out the heat of the solid's own cooling, a third of St: 3.3 % of
    the time, so 3.5 %.
    """
    metal = pure(stefan)
    spread = metal.conductivity_solid / (metal.density_solid * metal.heat_capacity_solid)
    exact = (0.010 / (2 * published)) ** 2 / spread
    by_hand = die.freezing_time_in_die(0.010, metal, PERFECT, metal.liquidus_c)
    assert by_hand == pytest.approx(exact, rel=0.035)
    assert by_hand < exact


def test_cooling_to_the_liquidus_is_newtons_law():
    """DoITPoMS, "Casting", mould wall (read): d(T_W - T)/dt proportional to it; stepped here in time.

    Their coefficient of 5000 W/m2/K and mould wall at 100 deg C.
    """
    metal = alloy("pure aluminium")
    wall = Mould("cooled wall", "die", 1e9, 1e5, 1e5, 100.0, 5000.0)
    capacity = metal.density_liquid * metal.heat_capacity_liquid * 0.005
    temp, time, step = 760.0, 0.0, 1e-5
    while temp > metal.liquidus_c:
        temp -= 5000.0 * (temp - 100.0) / capacity * step
        time += step
    hot = die.freezing_time_in_die(0.005, metal, wall, 760.0)
    just = die.freezing_time_in_die(0.005, metal, wall, metal.liquidus_c)
    assert hot - just == pytest.approx(time, rel=1e-3)


def test_a_film_alone_is_flemings_form():
    """t = density L M / (h (T_m - T_0)), Flemings 1974 (from memory), where the skin resists a hundredth."""
    metal = replace(alloy("pure zinc"), conductivity_solid=97.0)
    wall = replace(DIE, interface_coefficient=100.0)
    flemings = metal.density_solid * metal.latent_heat * 0.010 / (100.0 * (metal.liquidus_c - 200.0))
    by_hand = die.freezing_time_in_die(0.010, metal, wall, metal.liquidus_c)
    assert by_hand / flemings == pytest.approx(1 + 100.0 * 0.010 / (2 * 97.0))


@pytest.mark.parametrize("shape, turns", [("plate", 0), ("bar", 1), ("ball", 2)])
def test_the_front_walks_inwards_through_film_and_skin(shape, turns):
    """Shell by shell: heat of a shell, through the skin outside it and the film, 4000 shells."""
    metal, size, shells = alloy("pure zinc"), 0.004, 4000
    radius = (1 + turns) * size  # of a body with this modulus; for a plate its half thickness
    drive, film, k = metal.liquidus_c - 200.0, DIE.interface_coefficient, metal.conductivity_solid
    time = 0.0
    for number in range(shells):
        r = radius * (number + 0.5) / shells
        area, outer = r**turns, radius**turns
        skin = [radius - r, math.log(radius / r), 1 / r - 1 / radius][turns] / k
        resists = 1 / (film * outer) + skin
        time += metal.density_solid * metal.latent_heat * area * radius / shells * resists / drive
    by_hand = die.freezing_time_in_die(size, metal, DIE, metal.liquidus_c, shape)
    assert by_hand == pytest.approx(time, rel=1e-3)


def test_the_die_that_warms_is_refused_where_it_matters():
    """Carslaw and Jaeger: a thick wall behind a film takes up (2 x/sqrt(pi) - 1 + exp(x^2) erfc(x)) / x^2.

    of what a wall that keeps its temperature would; at x = h sqrt(t)/b = 0.5 that is 72 %.
    """
    x = die.DIE_WARMS
    share = (2 * x / math.sqrt(math.pi) - 1 + math.exp(x * x) * math.erfc(x)) / x**2
    assert share == pytest.approx(0.72, abs=0.005)
    with pytest.raises(InputError, match="beyond that use the field"):
        die.freezing_time_in_die(0.050, alloy("A356"), DIE, 700)


@pytest.mark.parametrize(
    "name, instead",
    [("green sand", "freezing_time_in_sand"), ("investment", "freezing_time_in_sand"),
     ("steel chill", "the field"), ("insulating sleeve", "the field")],
)
def test_what_is_no_die_is_refused_with_what_to_use(name, instead):
    with pytest.raises(InputError, match=instead):
        die.freezing_time_in_die(0.005, alloy("A356"), mould(name), 700)
