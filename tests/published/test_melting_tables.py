"""Charge, crucible, heat and pouring loss against worked examples, databases, tables and another solver."""

from dataclasses import replace

import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from castlab.materials import alloy, alloy_names, values
from castlab.rules import charge, melting, pouring
from castlab.rules.furnace import SMALL_FURNACE, HeatRows, heat_up

ROOM_K = 298.15


def hand_made(**numbers):
    """A metal with the numbers of a worked example."""
    melts = numbers.pop("melts_c")
    rows, usual = ((melts, 0), (melts, 1)), (melts + 50, melts + 150)
    return replace(alloy("pure zinc"), liquidus_c=melts, solidus_c=melts, pour_range_c=usual,
                   solid_fraction=rows, **numbers)


def heat_content(metal, temp_c, solid=None):
    """What a kilogram takes from 25 deg C on [J/kg], read off the rule's rows as the furnace reads them."""
    return HeatRows(*melting.heat_rows(metal, metal.liquidus_c + 500.0, solid)).liquid_heat(temp_c)


def test_heat_to_melt_worked_example():
    """Groover, Fundamentals of Modern Manufacturing, example 10.1 (formula read, numbers from memory).

    1 m3 of a eutectic alloy of 7.5 g/cm3 that melts at 800 deg C; 0.33 J/g/K solid, 0.29 liquid, 160 J/g;
    from 25 deg C to 100 K above the melting point: 3335 MJ.
    """
    metal = hand_made(melts_c=800.0, latent_heat=160e3, heat_capacity_liquid=290.0)
    heat = 7500.0 * heat_content(metal, 900.0, solid=330.0 * (800 - 25))
    assert heat == pytest.approx(3335e6, rel=5e-4)


@pytest.mark.parametrize(
    "name, temp_c, heat",
    [
        # pure metals: SGTE data (Dinsdale 1991), evaluated with pycalphad
        ("pure aluminium", 720, 1139.1e3), ("pure zinc", 480, 306.1e3), ("pure copper", 1180, 716.9e3),
        # iron for steel: 0.2 % carbon changes little
        ("carbon steel", 1600, 1348.8e3),
        # an Mey 1993, binary zinc-aluminium; ZA-12 also COST 507 with 1 % copper
        ("ZA-12", 500, 411e3), ("ZA-12", 500, 413e3), ("ZA-27", 560, 563.3e3), ("Zn-4Al", 450, 327.4e3),
        # COST 507
        ("A356", 720, 1200.6e3), ("A356", 700, 1177e3), ("319", 720, 1174.1e3), ("Al-4.5Cu", 720, 1120.4e3),
        ("Al-12Si", 650, 1162.3e3),
    ],
)
def test_heat_contents_against_thermodynamic_databases(name, temp_c, heat):
    """Within 3 %, though the latent heats and liquid heat capacities are mostly from other sources."""
    metal = alloy(name)
    assert heat_content(metal, temp_c) == pytest.approx(heat, rel=0.03)
    parts = [melting.solid_heat(metal), *(each for each in values(name) if each.quantity == "latent_heat")]
    low, high = (heat_content(metal, temp_c) + sum(getattr(part, end) - part.value for part in parts)
                 for end in ("low", "high"))
    assert low <= heat <= high


@pytest.mark.parametrize("name, heat", [("ZA-12", 170e3), ("A356", 577e3)])
def test_heat_of_the_solid_on_the_way(name, heat):
    """COST 507, ZA-12 at 300 deg C (170 kJ/kg, above the eutectoid), A356 at 565 deg C (577).

    The rule draws a straight line from 25 deg C to the solidus; at 300 deg C the eutectoid is behind it.
    """
    temp_c = {"ZA-12": 300.0, "A356": 554.0}[name]
    assert heat_content(alloy(name), temp_c) == pytest.approx(heat, rel=0.07)


@pytest.mark.parametrize("name", [name for name in alloy_names() if alloy(name).family != "iron"])
def test_heat_of_the_solid_against_dulong_and_petit(name):
    """A mole of solid metal takes about 3 R a kelvin: 24.9 J, up to a third more near the melting point.

    The law of Dulong and Petit (1819), and that of Kopp and Neumann for alloys. Atomic masses: IUPAC. Iron,
    which takes more because it loses its magnetism on the way, is checked above.
    """
    molar = {"Al": 26.98, "Zn": 65.38, "Cu": 63.55, "Ag": 107.87, "Au": 196.97, "Sn": 118.71, "Fe": 55.85,
             "Si": 28.09, "Mg": 24.31, "Mn": 54.94, "Pb": 207.2}
    shares = melting.composition(alloy(name))
    moles = sum(1000.0 * share / molar[element] for element, share in shares.items())
    heat = melting.solid_heat(alloy(name)).value / (alloy(name).solidus_c - 25.0)
    assert 0.95 * 24.94 < heat / moles < 1.45 * 24.94


@pytest.mark.parametrize(
    "name, temp_c, energy",
    [("ZA-12", 500, 0.413e6), ("A356", 700, 1.18e6)],  # calculated from public databases
)
def test_energy_floor(name, temp_c, energy):
    """No furnace melts with less: 0.413 MJ at 1440 W take 287 s, and a run of the example furnace longer."""
    rows = melting.heat_rows(alloy(name), temp_c + 50.0)
    assert heat_content(alloy(name), temp_c) == pytest.approx(energy, rel=0.03)
    run = heat_up(SMALL_FURNACE, temp_c, 1.0, *rows)
    assert run.energy_in > energy and run.metal_arrives > energy / SMALL_FURNACE.power


@pytest.mark.parametrize("volts, amps, watts", [(120, 15, 1440), (120, 20, 1920), (230, 10, 1840)])
def test_what_a_circuit_carries_for_hours(volts, amps, watts):
    """NFPA 70, 210.19(A)(1), as read in discussions of it: 15 A at 120 V carry 1440 W, 20 A 1920 W."""
    assert melting.circuit_power(volts, amps) == pytest.approx(watts)


def test_ten_per_cent_more_resistance_is_nine_per_cent_less_power():
    """Kiln trade: elements are replaced at 10 % more resistance; Ohm's law at one voltage."""
    assert melting.aged_power(1000.0, 1.10) == pytest.approx(909.0, abs=0.1)


@pytest.mark.parametrize("rated, holds", [(3.0, 1.1), (5.0, 1.8)])
def test_a_small_pot_full_of_zinc_alloy(rated, holds):
    """Common practice: a "3 kg" pot holds about 1.1 kg, a "5 kg" pot about 1.8 kg of ZA-12."""
    volume = charge.rated_volume(rated)
    assert charge.crucible_holds(volume, alloy("ZA-12"), 480.0, fill=1.0) == pytest.approx(holds, rel=0.04)


@pytest.mark.parametrize("name, ratio", [("ZA-12", 0.36), ("pure aluminium", 0.15), ("tin bronze", 0.51),
                                         ("fine silver", 0.60)])
def test_share_of_the_rated_mass(name, ratio):
    """Liquid density over 15.5 g/cm3: 5.55, 2.38, 7.9 and 9.32 (CRC Handbook; ideal mixes)."""
    metal = alloy(name)
    holds = charge.crucible_holds(charge.rated_volume(1.0), metal, metal.liquidus_c, fill=1.0)
    assert holds == pytest.approx(ratio, abs=0.01)


def test_gold_is_what_the_rating_fits():
    """18 carat yellow gold, 15.58 g/cm3 cold (two trade tables): the pot is rated for about its own mass."""
    gold = alloy("18k yellow gold")
    cold = gold.density_solid * (1 + gold.solid_expansion * (gold.solidus_c - 20.0)) ** 3
    assert charge.rated_volume(1.0) * cold == pytest.approx(1.0, rel=0.01)


def test_alligation():
    """The goldsmith's rule of mixture: 18 carat from 24 and 14 carat, 4 parts (18 - 14) to 6 (24 - 18)."""
    fine, fourteen = {"Au": 1.0}, {"Au": 14 / 24, "Cu": 10 / 24}
    recipe = charge.additions({"Au": 0.75, "Cu": 0.25}, 10.0, {"fine": fine, "14 carat": fourteen})
    assert dict(recipe.masses) == pytest.approx({"fine": 4.0, "14 carat": 6.0})
    assert recipe.words == ""


def test_zinc_that_burnt_off_is_brought_back():
    """By hand: 2 kg of 85-5-5-5 have gone down to 4 % of zinc.

    With pure metals, up to 2.1 kg: zinc 0.05 * 2.1 - 0.04 * 2 = 0.025 kg; tin and lead alike 0.105 - 0.1;
    copper the rest, 1.785 - 1.72 = 0.065.
    """
    target = {"Cu": 0.85, "Sn": 0.05, "Pb": 0.05, "Zn": 0.05}
    bath = {"Cu": 0.86, "Sn": 0.05, "Pb": 0.05, "Zn": 0.04}
    pure = {name: {name: 1.0} for name in target}
    recipe = charge.additions(target, 2.1, pure, 2.0, bath)
    by_hand = {"Cu": 0.065, "Sn": 0.005, "Pb": 0.005, "Zn": 0.025}
    assert dict(recipe.masses) == pytest.approx(by_hand, abs=1e-6)


def test_radiation_alone_cools_as_the_cube():
    """Exact for a grey body in empty space: 1/T^3 = 1/T0^3 + 3 e sigma A t / (m c) (Stefan and Boltzmann)."""
    metal = replace(alloy("fine silver"), emissivity=0.5)
    start, time, mass, area = 1100.0 + 273.15, 20.0, 0.5, 0.01
    pot = pouring.Vessel(open_area=area)
    end = pouring.held_temp_c(metal, 1100.0, time, mass, pot, air_c=-273.15, film=0.0) + 273.15
    slope = 3 * 0.5 * 5.670374419e-8 * area / (mass * metal.heat_capacity_liquid)
    assert end == pytest.approx((start**-3 + slope * time) ** (-1 / 3), rel=1e-7)


def test_a_black_body_at_a_thousand_kelvin():
    """sigma T^4 = 56.70 kW/m2 (CODATA 2018)."""
    assert pouring.surface_loss(726.85, 1.0, air_c=-273.15, film=0.0) == pytest.approx(56704, abs=1)


def test_a_crucible_in_the_open_against_another_solver():
    """scipy's integrator and root finder: metal loses through its surface and through the wall."""
    metal, pot = alloy("tin bronze"), pouring.Vessel(0.003, 0.025, 700.0)
    capacity = 1.5 * metal.heat_capacity_liquid + 700.0

    def lost(hot, emissivity):
        return emissivity * 5.670374419e-8 * (hot**4 - ROOM_K**4) + 10.0 * (hot - ROOM_K)

    def rate(_, temp):
        hot = temp[0] + 273.15
        wall = brentq(lambda wall: wall + pot.wall_resistance * lost(wall, 0.9) - hot, ROOM_K, hot)
        return [-(0.003 * lost(hot, metal.emissivity) + 0.025 * lost(wall, 0.9)) / capacity]

    run = solve_ivp(rate, (0.0, 30.0), [1200.0], rtol=1e-10, atol=1e-8)
    assert pouring.held_temp_c(metal, 1200.0, 30.0, 1.5, pot) == pytest.approx(run.y[0, -1], abs=0.01)
