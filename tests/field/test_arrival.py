"""Metal that cools on its way, against balances worked out without the code's own sums."""

import dataclasses

import numpy as np
import pytest

from castlab import Setup, alloy, freeze, mould, parts
from castlab.field.arrival import arrival
from castlab.materials import Mould
from castlab.rules.filling import running_time
from castlab.rules.thick_wall import drawn_by_wall

MM = 1e-3
FILM = Mould("die", "die", 35.0, 7000.0, 600.0, 250.0, 800.0)
GRAINS = Mould("sand", "sand", 0.6, 1600.0, 1000.0, 25.0, 900.0)
TIGHT = Mould("sand", "sand", 0.6, 1600.0, 1000.0, 25.0)
PARTS, SIDE = 400, 1.0 * MM


def channel(into, superheat=100.0, time=2.0, metal="A356", areas=None):
    """A straight channel of equal parts, metal coming in at the first, each with wall of its own."""
    metal, count = alloy(metal), np.arange(PARTS)
    setup = Setup(parts.eye_plate(), metal, into, metal.liquidus_c + superheat, pour_time_s=time)
    volume, inlet = np.full(PARTS, SIDE**3), count == 0
    areas = np.full(PARTS, 0.5 * SIDE**2) if areas is None else areas
    skins = count, count, areas, np.zeros(PARTS, dtype=int)
    walls = [into], np.full(PARTS, 1e9)
    apart = np.full(PARTS - 1, SIDE)
    return setup, arrival(setup, (volume, inlet), (count[:-1], count[1:], apart), skins, walls)


def test_in_a_die_whose_film_governs_loss_grows_evenly_along_the_way():
    """Plug flow through a film of h: a part that ends at x has lost h (T - T0) t x A / V, worked by hand."""
    light = dataclasses.replace(FILM, conductivity=1e6)  # draws off at once what comes through the film
    setup, came = channel(light, time=0.5)
    drive = setup.alloy.liquidus_c - light.start_temp_c
    way = (np.arange(PARTS) + 0.5) / PARTS
    by_hand = 800.0 * drive * 0.5 * way * 0.5 * SIDE**2
    assert came.lost == pytest.approx(by_hand, rel=1e-3)


def test_in_sand_without_contact_resistance_the_mean_is_two_thirds_of_what_all_that_time_draws():
    """The mean of root (1 - u) over u from 0 to 1 is 2/3; the last metal has lost 3/2 of the mean, for the
    mean of root u is 2/3 too."""
    setup, came = channel(TIGHT, superheat=300.0, time=1.0)
    drive = setup.alloy.liquidus_c - TIGHT.start_temp_c
    whole = 2.0 / np.sqrt(np.pi) * np.sqrt(0.6 * 1600.0 * 1000.0) * drive * 0.5 * SIDE**2
    assert came.lost.mean() == pytest.approx(2.0 / 3.0 * whole, rel=3e-3)
    assert came.lost[-1] / came.lost.mean() == pytest.approx(1.5, rel=5e-3)


@pytest.mark.parametrize("into", [FILM, GRAINS, TIGHT], ids=["film", "grains", "tight"])
def test_what_metal_lost_walls_have_and_the_first_walls_have_most(into):
    _, came = channel(into)
    assert came.lost.sum() == pytest.approx(came.gained.sum(), rel=1e-12)
    assert (np.diff(came.lost) > 0.0).all() and (np.diff(came.gained) < 0.0).all()
    assert (np.diff(came.touched_s) > 0.0).all() and -2.0 < came.touched_s[0] and came.touched_s[-1] < 0.0


def test_a_wall_has_drawn_what_the_rule_says_for_the_time_it_was_touched():
    setup, came = channel(GRAINS, superheat=300.0, time=0.2)
    drive = setup.alloy.liquidus_c - GRAINS.start_temp_c
    for number in (0, 100, 399):
        by_rule = drawn_by_wall(-came.touched_s[number], GRAINS) * drive * 0.5 * SIDE**2
        assert came.gained[number] == pytest.approx(by_rule, rel=2e-3)


def test_where_walls_do_not_draw_nothing_is_lost():
    setup, came = channel(GRAINS, areas=np.full(PARTS, 1e-30))
    assert came.lost.max() < 1e-15


def test_a_channel_that_the_rule_lets_run_just_so_long_arrives_with_what_stops_it():
    """Filled in the running time of its section: a wall draws G in that time by the rule too, and the mean of
    G over all shorter times is between 1/2 (a film) and 2/3 (thick sand) of it."""
    metal = alloy("A356")
    radius = 2.0 * SIDE**3 / (0.5 * SIDE**2)  # V / A is half of it
    time = running_time(radius, metal, GRAINS, metal.liquidus_c + 60.0)
    _, came = channel(GRAINS, superheat=60.0, time=time)
    heat = metal.mobile_limit * metal.latent_heat + metal.heat_capacity_liquid * 60.0
    assert 1.0 / 2.0 < came.lost.mean() / (metal.density_liquid * heat * SIDE**3) < 2.0 / 3.0


def poured(on=True, name="A356", pour_time_s=3.0, **sizes):
    metal, sand = alloy(name), mould("green sand")
    pour = {"pour_time_s": pour_time_s, "cools_while_filling": on}
    return freeze(Setup(parts.eye_plate(**sizes), metal, sand, metal.liquidus_c + 90.0, **pour), 4 * MM)


def first_temps(run, *names):
    blocks = [block.name for block in run.setup.layout.blocks]
    found = []
    for name in names:
        own = (run.grid.block == blocks.index(name)).ravel()[run.metal_cells]
        found.append(float(run.temp_c[0][own].mean()))
    return found


def test_the_farther_the_metal_has_run_the_cooler_it_is():
    sprue, gate, plate, boss, feeder = first_temps(
        poured(feeder_width=40 * MM, feeder_height=60 * MM), "sprue", "gate", "plate", "boss", "feeder"
    )
    assert sprue > gate > plate > boss > feeder > alloy("A356").liquidus_c + 20.0


def test_a_gate_through_which_all_metal_has_run_stays_open_longer():
    hot, even = (shrunk_gate(on) for on in (True, False))
    assert 1.1 < hot / even < 2.0


def shrunk_gate(on):
    run = poured(on)
    blocks = [block.name for block in run.setup.layout.blocks]
    return float(np.nanmax(run.freeze_time_s[run.grid.block == blocks.index("gate")]))


@pytest.mark.parametrize("name", ["A356", "pure zinc", "tin bronze"])
def test_no_heat_is_lost_but_to_walls_and_air(name):
    run = poured(name=name)
    assert run.energy_error < 1e-10


def test_switched_off_or_poured_at_once_the_mould_is_full_of_equally_hot_metal():
    metal = alloy("A356")
    off = Setup(parts.eye_plate(), metal, mould("green sand"), 710.0, cools_while_filling=False)
    at_once = Setup(parts.eye_plate(), metal, mould("green sand"), 710.0, pour_time_s=0.0)
    for setup in (off, at_once):
        run = freeze(setup, 6 * MM)
        assert run.temp_c[0] == pytest.approx(710.0) and not run.cooled_on_its_way


def test_a_pour_that_takes_far_too_long_arrives_with_a_twentieth_of_its_latent_heat():
    """Where the rule expects a misrun; all else is computed for a full mould."""
    setup, came = channel(TIGHT, time=60.0)
    metal = setup.alloy
    whole = metal.density_solid * (metal.latent_heat + metal.heat_capacity_liquid * 100.0)
    assert whole - came.lost.max() / SIDE**3 == pytest.approx(0.05 * metal.density_solid * metal.latent_heat)
    assert came.lost.sum() == pytest.approx(came.gained.sum(), rel=1e-12)
    run = poured(pour_time_s=60.0, name="pure zinc")
    assert 0.2 < run.solid[0].max() < 1.0 and np.isfinite(run.freeze_time_s[run.grid.metal > 0.0]).all()
