"""Freezing in a die, skins, chills and sleeves against exact solutions and foundry experience."""

import math
from dataclasses import replace

import pytest

from castlab.errors import InputError
from castlab.materials import Mould, alloy, mould
from castlab.rules import die, freezing, modulus

DIE = mould("cast-iron die")
SAND = mould("green sand")
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


def test_a_skin_of_steel():
    """Lecture sheet on steel castings: 0.684 cm sqrt(minutes), superheat not said: between 0 and 100 K."""
    hot_sand, steel = mould("dry silica sand", hot=True), alloy("carbon steel")
    for minutes in (1, 4):
        skins = [die.skin_in_sand(60 * minutes, steel, hot_sand, steel.liquidus_c + k) for k in (100, 0)]
        assert skins[0] <= 0.684e-2 * math.sqrt(minutes) <= skins[1]


@pytest.mark.parametrize("name", ["pure zinc", "A356", "tin bronze"])
def test_the_skin_reaches_the_middle_when_the_plate_is_frozen(name):
    metal = alloy(name)
    time = freezing.freezing_time_in_sand(0.008, metal, SAND, metal.liquidus_c + 30)
    assert die.skin_in_sand(time, metal, SAND, metal.liquidus_c + 30) == pytest.approx(0.008)
    time = die.freezing_time_in_die(0.003, metal, DIE, metal.liquidus_c)
    assert die.skin_in_die(time, metal, DIE) == pytest.approx(0.003)


def test_a_thin_chill_fills_up_and_a_thick_one_does_not():
    """Limits: a thin chill holds density c d a kelvin, a very thick one takes h t a kelvin, however long."""
    chill = mould("steel chill")
    sand = 2 / math.sqrt(math.pi) * SAND.heat_diffusivity * math.sqrt(600)
    thin = die.chill_factor(0.002, chill, SAND, 600)
    assert thin == pytest.approx(chill.density * chill.heat_capacity * 0.002 / sand, rel=1e-6)
    thick = die.chill_factor(1e4, chill, SAND, 600)
    assert thick == pytest.approx(chill.interface_coefficient * 600 / sand, rel=1e-3)


def test_a_chilled_face_that_draws_as_sand_does_is_no_chill():
    assert die.chilled_modulus(64e-6, 80e-4, 16e-4, 1.0) == pytest.approx(modulus.cube(0.040))
    assert die.chilled_modulus(64e-6, 80e-4, 16e-4, 5.0) == pytest.approx(0.4e-2)


@pytest.mark.parametrize("factor", [0.9, 1.7])
def test_a_sleeve_outside_the_books_is_refused(factor):
    """Books give 1.3 to 1.6 for exothermic sleeves (from memory)."""
    assert die.sleeved_modulus(0.010, 1.6) == pytest.approx(0.016)
    with pytest.raises(InputError):
        die.sleeved_modulus(0.010, factor)


@pytest.mark.parametrize(
    "name, instead",
    [("green sand", "freezing_time_in_sand"), ("investment", "freezing_time_in_sand"),
     ("steel chill", "chill_factor"), ("insulating sleeve", "the field")],
)
def test_what_is_no_die_is_refused_with_what_to_use(name, instead):
    with pytest.raises(InputError, match=instead):
        die.freezing_time_in_die(0.005, alloy("A356"), mould(name), 700)
