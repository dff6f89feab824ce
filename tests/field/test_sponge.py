"""Sponge: where liquid does not get between the crystals."""

import dataclasses
import functools
import math

import numpy as np
import pytest
from cases import endlessly_wide

from castlab import Setup, alloy, freeze, mould, parts, shrinkage
from castlab.field import sponge
from castlab.field.freeze import Freeze
from castlab.field.grid import build
from castlab.field.layout import Layout
from castlab.field.rigging import slab
from castlab.field.sponge import gradient_and_rate, last_fed_fraction, resistance_of_mush

KOZENY = 180.0  # Carman and Kozeny's, as Carlson and Beckermann have it
# The boss does not stand out: a plate.
FLAT = endlessly_wide(parts.eye_plate(thickness=12e-3, boss=12.1e-3, boss_depth=40e-3), 12e-3)


@functools.lru_cache(maxsize=64)
def run_of(metal, cell=2e-3, layout=FLAT):
    metal = alloy(metal) if isinstance(metal, str) else metal
    return freeze(Setup(layout, metal, mould("green sand"), metal.liquidus_c + 40.0), cell=cell)


def sponge_share(account):
    """Sponge as a share of the casting's volume."""
    return account.paid_m3["sponge"] / account.casting_m3


def with_table(table):
    return dataclasses.replace(alloy("tin bronze"), solid_fraction=table, solidus_c=table[-1][0])


LIQUIDUS, SOLIDUS = alloy("tin bronze").liquidus_c, alloy("tin bronze").solidus_c
LONG = with_table(((LIQUIDUS, 0.0), (SOLIDUS, 1.0)))
SHORT = with_table(((LIQUIDUS, 0.0), (LIQUIDUS, 0.95), (SOLIDUS, 1.0)))


def test_the_resistance_of_the_mush_is_the_integral():
    """With f = theta: integral of 180 f^2/(1-f)^2 up to F = 180 (1/(1-F) + 2 ln(1-F) - (1-F)), by hand."""
    fractions, resistance = resistance_of_mush(LONG)
    for wanted in (0.2, 0.5, 0.8, 0.95):
        left = 1.0 - wanted
        exact = KOZENY * (1.0 / left + 2.0 * math.log(left) - left)
        assert np.interp(wanted, fractions, resistance) == pytest.approx(exact, rel=0.01)


def test_gradient_and_rate_are_read_off_a_field_that_is_known():
    """A temperature that falls by 3 K/s everywhere and by 500 K/m from left to right."""
    run = run_of(LONG, cell=4e-3)
    x = run.grid.centres[0][np.unravel_index(run.metal_cells, run.grid.shape)[0]]
    times = np.linspace(0.0, 200.0, 401)
    temp = LIQUIDUS + 80.0 - 500.0 * (x - x.min())[None, :] - 3.0 * times[:, None]
    solid = np.clip((LIQUIDUS - temp) / (LIQUIDUS - SOLIDUS), 0.0, 1.0)
    gradient, rate = gradient_and_rate(dataclasses.replace(run, times_s=times, temp_c=temp, solid=solid), 0.8)
    assert gradient == pytest.approx(np.full(len(x), 500.0), rel=1e-6)
    assert rate == pytest.approx(np.full(len(x), 3.0), rel=1e-6)


def test_between_two_snapshots_the_gradient_is_read_where_the_fraction_is_reached():
    """Half-way from 0.6 to 1.0 solid: half-way from 400 to 600 K/m; and the rate is that of the step."""
    run = run_of(LONG, cell=4e-3)
    x = run.grid.centres[0][np.unravel_index(run.metal_cells, run.grid.shape)[0]]
    temp = np.array([900.0 - 400.0 * x, 800.0 - 600.0 * x])
    solid = np.array([np.full(len(x), 0.6), np.full(len(x), 1.0)])
    told = dataclasses.replace(run, times_s=np.array([0.0, 100.0]), temp_c=temp, solid=solid)
    gradient, rate = gradient_and_rate(told, 0.8)
    assert gradient == pytest.approx(np.full(len(x), 500.0), rel=1e-6)
    assert rate == pytest.approx((100.0 + 200.0 * x) / 100.0, rel=1e-6)


def test_what_is_too_little_to_be_told_in_a_trial_casting_is_not_shown(monkeypatch):
    """Fed up to a fraction F the suction is used up at 180 (1/(1-F) + 2 ln(1-F) - (1-F)). With 5 % of
    contraction 10 % unfed leaves 0.5 % of holes, which is shown, and 1 % leaves 0.05 %, which is not."""
    metal = dataclasses.replace(LONG, freezing_contraction=0.05)
    run = run_of(metal, cell=4e-3)
    fractions = np.resize([0.9, 0.99], len(run.metal_cells))
    left = 1.0 - fractions
    numbers = KOZENY * (1.0 / left + 2.0 * np.log(left) - left)
    monkeypatch.setattr(sponge, "_niyama_squared", lambda run, mush_k: numbers)
    assert last_fed_fraction(run) == pytest.approx(np.where(fractions < 0.95, 0.9, 1.0), abs=2e-3)


def followed(temp_of, solid, metal=LONG, up="+y", cell=4e-3):
    """A block of 40 x 32 mm that cooled as it is told: temperature of each snapshot from (x, y) [m]."""
    body = slab("block", "casting", (0.05, 0.09), (0.06, 0.092), 40e-3)
    layout = Layout((body,), (0.0, -0.02, -0.08), (0.2, 0.25, 0.08), up=up)
    setup = Setup(layout, metal, mould("green sand"), metal.liquidus_c + 40.0)
    grid = build(layout, cell)
    cells = np.flatnonzero(grid.metal > 0.0)
    x, y, _ = (centre[at] for centre, at in zip(
        grid.centres, np.unravel_index(cells, grid.shape), strict=True))
    temp = np.array([temp_of(number)(x, y) for number in range(len(solid))])
    times = 100.0 * np.arange(len(solid))
    shares = np.array([np.full(len(x), share) for share in solid])
    return Freeze(setup, grid, None, 0.0, (), times, shares, temp, cells, 0.0), y


def test_the_gradient_counts_both_directions():
    """300 K/m across and 400 K/m up are 500 K/m."""
    run, y = followed(lambda number: lambda x, y: 900.0 - 100.0 * number + 300.0 * x - 400.0 * y, (0.0, 1.0))
    gradient, rate = gradient_and_rate(run, 0.5)
    assert gradient == pytest.approx(np.full(len(y), 500.0))
    assert rate == pytest.approx(np.full(len(y), 1.0))


@pytest.mark.parametrize("up", ["+y", "-y"])
def test_the_number_that_says_how_far_liquid_gets_by_hand(up):
    """(G l2)^2 dP / (mu beta dTf R): 1 K/s, a gradient that grows from 400 to 600 K/m, metal above it up to
    the flask. It is read where the crystals close the way, at the passable limit, 0.3 of the way here."""
    metal = dataclasses.replace(LONG, passable_limit=0.3, arm_spacing=(50e-6, 0.4), viscosity=2e-3,
                                freezing_contraction=0.05, density_solid=8000.0)
    steeper = lambda number: (  # noqa: E731
        lambda x, y: 900.0 - 100.0 * number + (400.0 + 200.0 * number) * (x - 0.07))
    run, y = followed(steeper, (0.0, 1.0), metal, up)
    above = 0.25 - y if up == "+y" else y + 0.02
    pressure = 101325.0 + 8000.0 * 0.95 * 9.80665 * above
    rate = 1.0 - 2.0 * (run.grid.centres[0][np.unravel_index(run.metal_cells, run.grid.shape)[0]] - 0.07)
    arm = 50e-6 * rate**-0.4
    wanted = (460.0 * arm) ** 2 * pressure / (2e-3 * 0.05 * 150.0 * rate)
    assert sponge._niyama_squared(run, 150.0) == pytest.approx(wanted)


def test_the_limit_is_a_share_of_the_crystals_before_an_arrest():
    """With six tenths of crystals before the arrest and a limit of a half: read at 0.3, as above."""
    table = ((LIQUIDUS, 0.0), (SOLIDUS + 100.0, 0.6), (SOLIDUS + 100.0, 1.0))
    metal = dataclasses.replace(with_table(table), passable_limit=0.5)
    grows = lambda number: lambda x, y: 900.0 - 100.0 * number + (400.0 + 200.0 * number) * y  # noqa: E731
    run, _ = followed(grows, (0.0, 1.0), metal)
    same, _ = followed(lambda number: lambda x, y: 900.0 - 100.0 * number + 460.0 * y, (0.0, 1.0), metal)
    rates = [gradient_and_rate(each, 0.3)[1] for each in (run, same)]
    power = 2.0 * metal.arm_spacing[1] + 1.0
    ratio = sponge._niyama_squared(run, 150.0) / sponge._niyama_squared(same, 150.0)
    assert ratio == pytest.approx((rates[1] / rates[0]) ** power)


def test_near_an_arrest_the_unfed_share_tapers_off(monkeypatch):
    """Crystals up to 0.6, then an arrest: 180/0.6 (1/(1-F) + 2 ln(1-F) - (1-F)) is used up at F. Of what is
    unfed, 1 - F, the share counts that the suction lacks of reaching the arrest; nothing beyond that."""
    table = ((LIQUIDUS, 0.0), (SOLIDUS + 100.0, 0.6), (SOLIDUS + 100.0, 1.0))
    metal = dataclasses.replace(with_table(table), freezing_contraction=0.05)
    run, y = followed(lambda number: lambda x, y: 0.0 * x, (0.0, 1.0), metal)
    fractions = np.resize([0.3, 0.5, 0.6], len(y))
    numbers = KOZENY / 0.6 * (1.0 / (1.0 - fractions) + 2.0 * np.log(1.0 - fractions) - (1.0 - fractions))
    end = KOZENY / 0.6 * (1.0 / 0.4 + 2.0 * math.log(0.4) - 0.4)
    monkeypatch.setattr(sponge, "_niyama_squared", lambda run, mush_k: numbers + 1e-3)
    wanted = np.where(fractions < 0.6, 1.0 - (1.0 - fractions) * (1.0 - numbers / end), 1.0)
    assert last_fed_fraction(run) == pytest.approx(wanted, abs=2e-3)


@pytest.mark.parametrize("range_k, fed_to_the_end", [(1.9, True), (2.1, False)])
def test_a_metal_that_freezes_within_two_kelvin_has_no_mush_to_speak_of(range_k, fed_to_the_end, monkeypatch):
    metal = with_table(((LIQUIDUS, 0.0), (LIQUIDUS - range_k, 1.0)))
    run, y = followed(lambda number: lambda x, y: 0.0 * x, (0.0, 1.0), metal)
    monkeypatch.setattr(sponge, "_niyama_squared", lambda run, mush_k: np.zeros(len(y)))
    assert last_fed_fraction(run) == pytest.approx(np.full(len(y), 1.0 if fed_to_the_end else 0.0))


def test_the_resistance_of_the_mush_never_becomes_endless():
    """At all solid the integral has a pole; it stops a thousandth short of that."""
    fractions, resistance = resistance_of_mush(LONG)
    assert fractions[-1] == pytest.approx(0.999) and np.isfinite(resistance).all()
    arrested, _ = resistance_of_mush(with_table(((LIQUIDUS, 0.0), (SOLIDUS, 0.6), (SOLIDUS, 1.0))))
    assert arrested[-1] == pytest.approx(0.6)


def test_a_gradient_is_averaged_over_a_quarter_of_the_thickness():
    """One cell of 2 mm in the middle of a block 32 mm thick: a quarter is 8 mm, nearest odd number of cells
    5 (10 mm), so 125 cells get 1/125 each. At a corner, where 27 of the 125 are metal, they get 1/27 ...
    1/125. A cell on the plane of symmetry has its image beside it, which counts too."""
    run, y = followed(lambda number: lambda x, y: 0.0 * x, (0.0, 1.0), cell=2e-3)
    places = np.transpose(np.unravel_index(run.metal_cells, run.grid.shape))
    places -= places.min(axis=0)
    assert (places.max(axis=0) == (19, 15, 9)).all()  # half of the block
    for at, near_m, room, alike in (((10, 8, 5), 125, 5 * 5 * 5, 1), ((0, 0, 9), 27, 3 * 3 * 3, 1),
                                    ((10, 8, 0), 75, 5 * 5 * 5, 2), ((0, 0, 0), 27, 3 * 3 * 5, 2)):
        spike = int(np.flatnonzero((places == at).all(axis=1))[0])
        spread = sponge._over_a_quarter(run, np.where(np.arange(len(y)) == spike, 1.0, 0.0))
        near = (abs(places - places[spike]) <= 2).all(axis=1)
        assert near.sum() == near_m and (spread[near] > 0.0).all() and not spread[~near].any()
        assert spread[spike] == pytest.approx(alike / room)
    assert sponge._over_a_quarter(run, np.full(len(y), 7.0)) == pytest.approx(np.full(len(y), 7.0))


def test_a_thin_section_averages_over_three_cells_at_least():
    """4 mm cells in 32 mm: a quarter is two of them, and the mean needs a middle."""
    run, y = followed(lambda number: lambda x, y: 0.0 * x, (0.0, 1.0))
    places = np.transpose(np.unravel_index(run.metal_cells, run.grid.shape))
    middle = int(np.flatnonzero((places - places.min(axis=0) == (5, 4, 2)).all(axis=1))[0])  # of 10 x 8 x 5
    spread = sponge._over_a_quarter(run, np.where(np.arange(len(y)) == middle, 1.0, 0.0))
    assert spread[middle] == pytest.approx(1.0 / 27.0) and np.count_nonzero(spread) == 27


@pytest.mark.parametrize("name", ["pure aluminium", "pure zinc", "fine silver"])
def test_a_metal_that_freezes_at_one_temperature_is_fed_to_the_end(name):
    assert (last_fed_fraction(run_of(name, cell=4e-3)) == 1.0).all()


def test_a_metal_that_grows_on_freezing_is_fed_to_the_end():
    grows = dataclasses.replace(LONG, freezing_contraction=-0.01)
    assert (last_fed_fraction(run_of(grows, cell=4e-3)) == 1.0).all()


@pytest.mark.parametrize("cell", [4e-3, 2e-3])
def test_tin_bronze_shows_sponge_in_a_flat_plate_and_za12_none(cell):
    bronze, zinc = shrinkage(run_of("tin bronze", cell)), shrinkage(run_of("ZA-12", cell))
    assert sponge_share(bronze) > 0.002
    assert zinc.paid_m3["sponge"] == 0.0


def test_a356_shows_next_to_none():
    """Sand plates of A356, well degassed: 0.1 to 0.2 % (published trials); under 0.2 % is not shown."""
    share, bronze = sponge_share(shrinkage(run_of("A356"))), sponge_share(shrinkage(run_of("tin bronze")))
    assert share <= 0.002
    assert share < bronze / 3.0


def unfed_between(run, low, high):
    """Mean share of the metal between two places along the plate [m] that freezes unfed."""
    x = run.grid.centres[0][np.unravel_index(run.metal_cells, run.grid.shape)[0]]
    metal = np.where((x > low) & (x < high), run.grid.metal_volume.ravel()[run.metal_cells], 0.0)
    return float(np.average(1.0 - last_fed_fraction(run), weights=metal))


def test_the_end_of_a_plate_is_fed_and_its_middle_is_not():
    """The end zone of the feeding rules: within about one thickness of the end the gradient is steep."""
    run = run_of("tin bronze")
    middle, end = unfed_between(run, 0.04, 0.09), unfed_between(run, 0.12, 0.1321)
    assert middle > 0.05 and end < 0.2 * middle


def test_iron_feeds_the_middle_of_a_plate_further_than_sand_does():
    metal = alloy("tin bronze")
    die = freeze(Setup(FLAT, metal, mould("cast-iron die"), metal.liquidus_c + 40.0), cell=2e-3)
    assert unfed_between(die, 0.04, 0.09) < unfed_between(run_of("tin bronze"), 0.04, 0.09)


@pytest.mark.slow
@pytest.mark.parametrize("cell", [4e-3, 2e-3])
def test_only_the_table_of_solid_fractions_makes_the_difference(cell):
    """Two metals equal but for that table: the long-freezing one has sponge, the other an open sink."""
    heavy = parts.eye_plate()
    long, short = (shrinkage(run_of(metal, cell, heavy)) for metal in (LONG, SHORT))

    def hidden_share(account):
        return (account.paid_m3["sponge"] + account.drained_m3) / account.defect_m3

    assert hidden_share(long) >= 3.0 * hidden_share(short)
    assert hidden_share(long) > 0.3
    assert long.paid_m3["sink"] - long.drained_m3 < short.paid_m3["sink"]


@pytest.mark.slow
def test_sponge_hardly_depends_on_the_grid():
    coarse, fine = (sponge_share(shrinkage(run_of("tin bronze", cell))) for cell in (2e-3, 1e-3))
    assert coarse == pytest.approx(fine, rel=0.2)
