"""The furnace's lag: an independent solver, energy, limits, common practice, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from castlab.errors import InputError
from castlab.rules.furnace import HOLD_AFTER_LIQUID_S, SMALL_FURNACE, Furnace, HeatRows, heat_up

# Heat content of ZA-12 from 25 deg C, computed from a public thermodynamic database (COST 507): J/kg.
ZA12 = (
    (25, 300, 379, 382, 400, 420, 431.5, 450, 500),
    (0, 170e3, 213.5e3, 269e3, 307e3, 352e3, 376e3, 386e3, 413e3),
)
ZA12_LIQUIDUS = 431.5
ZINC = ((25, 419.527, 419.527, 600), (0, 165e3, 277e3, 364e3))  # 420 J/kg/K solid, 112 kJ/kg, 480 liquid
FURNACES = {
    "small": (SMALL_FURNACE, ZA12, 472.0, 1.1),
    "empty pot": (SMALL_FURNACE, ZINC, 460.0, 0.1),
    "slow sensor": (replace(SMALL_FURNACE, sensor_lag=120.0, switching_band=6.0), ZINC, 500.0, 1.5),
    "weak": (Furnace(800.0, 4000.0, 2.0, 0.9, 900.0, 40.0, 4.0), ZA12, 480.0, 0.8),
}


def solved_apart(oven, table, set_point_c, mass, end, room_c=25.0):
    """The same three equations by scipy (LSODA, 1e-9), from switching to switching by its events."""
    temps, heats = table

    def rates(_, state, power):
        wall, heat, display = state
        to_metal = oven.coupling * (wall - np.interp(heat, heats, temps))
        to_room = oven.loss * (wall - room_c)
        return [(power - to_metal - to_room) / oven.wall_heat_capacity, to_metal / mass,
                (wall - display) / oven.sensor_lag]

    def switched(_, state, power):
        return state[2] - set_point_c - (0.5 if power else -0.5) * oven.switching_band

    switched.terminal = True
    start, state, power, pieces = 0.0, [room_c, np.interp(room_c, temps, heats), room_c], oven.power, []
    while start < end:
        switched.direction = 1 if power else -1
        done = solve_ivp(rates, (start, end), state, "LSODA", args=(power,), events=switched, rtol=1e-9,
                         atol=1e-6, max_step=20.0, dense_output=True)
        pieces.append((done.t[-1], done.sol))
        start, state, power = done.t[-1], done.y[:, -1], oven.power - power
    return lambda t: next(sol(t) for stop, sol in pieces if t <= stop)


def lag(run):
    """How long after the display the metal arrives [s]."""
    return run.metal_arrives - run.display_arrives


def overshoot(run):
    """How far the display rises above the set point [K]."""
    return run.display_c.max() - run.set_point_c


@pytest.mark.parametrize("name", FURNACES)
def test_the_run_is_that_of_an_independent_solver(name):
    """Every temperature within 0.1 % of its value, and the two times with it."""
    oven, table, set_point_c, mass = FURNACES[name]
    run = heat_up(oven, set_point_c, mass, *table)
    other = solved_apart(oven, table, set_point_c, mass, run.time[-1])
    states = np.array([other(t) for t in run.time]).T
    metal = np.interp(states[1], table[1], table[0])
    for ours, theirs in ((run.wall_c, states[0]), (run.metal_c, metal), (run.display_c, states[2])):
        assert ours == pytest.approx(theirs, rel=1e-3)
    assert other(run.display_arrives)[2] == pytest.approx(set_point_c, rel=1e-3)
    arrived = np.interp(other(run.metal_arrives)[1], table[1], table[0])
    assert arrived == pytest.approx(set_point_c - 5.0, rel=1e-3)


@pytest.mark.parametrize("name", FURNACES)
def test_the_times_are_those_of_an_independent_solver(name):
    """First arrivals read off a fine table of the other solution, within 0.1 %."""
    oven, table, set_point_c, mass = FURNACES[name]
    run = heat_up(oven, set_point_c, mass, *table)
    other = solved_apart(oven, table, set_point_c, mass, run.time[-1])
    fine = np.arange(0.0, run.time[-1], 0.25)
    states = np.array([other(t) for t in fine]).T
    display = fine[np.argmax(states[2] >= set_point_c)]
    metal = fine[np.argmax(np.interp(states[1], table[1], table[0]) >= set_point_c - 5.0)]
    assert run.display_arrives == pytest.approx(display, rel=1e-3)
    assert run.metal_arrives == pytest.approx(metal, rel=1e-3)
    assert lag(run) == pytest.approx(metal - display, abs=1e-3 * metal)
    assert overshoot(run) == pytest.approx(states[2].max() - set_point_c, abs=0.05)


def test_before_the_first_switching_it_is_the_closed_form_for_a_metal_that_does_not_melt():
    """Two lumps with constant capacities: the matrix exponential of a 2 x 2 system."""
    mass, heat_capacity = 2.0, 500.0
    run = heat_up(SMALL_FURNACE, 800.0, mass, (25.0, 1000.0), (0.0, 975.0 * heat_capacity))
    c, u, loss = SMALL_FURNACE.wall_heat_capacity, SMALL_FURNACE.coupling, SMALL_FURNACE.loss
    system = np.array([[-(u + loss) / c, u / c], [u / (mass * heat_capacity), -u / (mass * heat_capacity)]])
    drive = np.array([SMALL_FURNACE.power / c, 0.0])
    values, vectors = np.linalg.eig(system)
    for at in (50, 150):
        grown = vectors @ np.diag(np.expm1(values * run.time[at]) / values) @ np.linalg.inv(vectors) @ drive
        assert run.power[: at + 1] == pytest.approx(SMALL_FURNACE.power)
        assert (run.wall_c[at] - 25.0, run.metal_c[at] - 25.0) == pytest.approx(grown, rel=1e-4)


@settings(max_examples=25)
@given(
    mass=st.floats(0.1, 3.0), power=st.floats(800, 3000), capacity=st.floats(1000, 8000),
    coupling=st.floats(1.5, 10.0), loss=st.floats(0.2, 0.9), set_point_c=st.floats(440, 590),
)
def test_energy_is_conserved_and_the_metal_gets_what_its_table_says(
        mass, power, capacity, coupling, loss, set_point_c):
    run = heat_up(Furnace(power, capacity, coupling, loss, 1100.0), set_point_c, mass, *ZINC)
    assert run.energy_in == pytest.approx(run.energy_lost + run.energy_wall + run.energy_metal, rel=1e-12)
    assert run.energy_metal == pytest.approx(mass * np.interp(run.metal_c[-1], *ZINC), rel=1e-9)
    assert run.metal_c.max() <= run.wall_c.max()  # no metal hotter than the wall ever was
    assert (np.diff(run.time) > 0.0).all()


@pytest.mark.parametrize("room_c", [15.0, 35.0])
def test_in_any_room_energy_is_conserved(room_c):
    run = heat_up(SMALL_FURNACE, 472.0, 1.0, *ZA12, room_c=room_c)
    assert run.energy_in == pytest.approx(run.energy_lost + run.energy_wall + run.energy_metal, rel=1e-12)
    assert run.time[0] == 0.0 and run.wall_c[0] == run.metal_c[0] == pytest.approx(room_c)


def test_no_time_is_below_the_ideal_floor():
    """1 kg of ZA-12 to 500 deg C at 1440 W and without any loss takes 413 kJ / 1440 W = 287 s.

    With next to no wall (100 J/K) and loss it comes near: 307 kJ and what the wall takes, at 400 deg C.
    """
    run = heat_up(SMALL_FURNACE, 500.0, 1.0, *ZA12)
    assert run.metal_arrives > 287.0
    bare = Furnace(1440.0, 100.0, 50.0, 0.01, 1150.0)
    near = heat_up(bare, 500.0, 1.0, *ZA12, hold=0.0)
    to_400 = np.interp(400.0, near.metal_c, near.time)
    assert 307e3 / 1440 < to_400 < (307e3 + 100 * (400 - 25 + 1440 / 50)) / 1440 * 1.005


def test_efficiency_is_that_of_small_furnaces():
    """Lining and crucible take most of it: 20 to 40 % goes into a full pot (from memory), before the hold."""
    run = heat_up(SMALL_FURNACE, 472.0, 1.8, *ZA12, hold=0.0)
    assert 0.2 < run.efficiency < 0.4


def test_holding_takes_the_loss_and_no_more():
    """Once all is warm the mean power is loss (T_set - T_room), here 0.6 * 447 = 268 W."""
    run = heat_up(SMALL_FURNACE, 472.0, 1.1, *ZA12, hold=4 * 3600.0)
    switched_on = run.time[1:][np.diff(run.power) > 0]
    first, last = np.searchsorted(run.time, (switched_on[-60], switched_on[-1]))
    steps = np.diff(run.time)[first:last]
    mean = (run.power[first:last] * steps).sum() / steps.sum()
    assert mean == pytest.approx(0.6 * (472 - 25), rel=0.01)


def test_the_metal_settles_at_the_set_point():
    run = heat_up(SMALL_FURNACE, 472.0, 1.1, *ZA12, hold=3600.0)
    assert run.metal_c[-1] == pytest.approx(472.0, abs=2.0)


class TestLag:
    def test_common_practice_fits_a_pot_of_za12(self):
        """Set 40 K above melting; 15 minutes after all looks liquid the metal is at the set point."""
        set_point_c = ZA12_LIQUIDUS + 40.0
        for mass in (0.6, 1.1, 1.8):
            run = heat_up(SMALL_FURNACE, set_point_c, mass, *ZA12)
            ready = run.all_liquid(ZA12_LIQUIDUS) + HOLD_AFTER_LIQUID_S
            assert ready >= run.metal_arrives
            assert np.interp(ready, run.time, run.metal_c) == pytest.approx(set_point_c, abs=5.0)

    def test_when_the_display_arrives_a_full_pot_is_not_even_molten(self):
        run = heat_up(SMALL_FURNACE, 472.0, 1.1, *ZA12)
        assert np.interp(run.display_arrives, run.time, run.metal_c) < ZA12_LIQUIDUS
        assert lag(run) > 300.0
        assert run.display_arrives < run.all_liquid(ZA12_LIQUIDUS) < run.metal_arrives

    def test_it_grows_with_the_charge(self):
        masses = (0.3, 0.6, 0.9, 1.2, 1.5, 1.8)
        lags = [lag(heat_up(SMALL_FURNACE, 472.0, mass, *ZA12, hold=0.0)) for mass in masses]
        assert (np.diff(lags) > 0).all()

    def test_it_is_longer_than_the_wait_for_the_latent_heat_alone(self):
        """From the display's arrival on the wall is at the set point, so melting takes at least
        latent heat / (coupling (T_set - T_melting)) where none has melted yet."""
        oven = replace(SMALL_FURNACE, sensor_lag=5.0)
        run = heat_up(oven, 450.0, 5.0, *ZINC)
        melted = np.interp(run.display_arrives, run.time, run.metal_heat) - 165e3
        least = 5.0 * (112e3 - max(melted, 0.0)) / (4.0 * (450.0 + 5.0 - 419.527))
        assert run.all_liquid(419.527) - run.display_arrives > least

    def test_the_display_follows_the_wall_by_its_lag(self):
        """On a straight ramp a first-order sensor is behind by rate times lag (any textbook)."""
        run = heat_up(SMALL_FURNACE, 900.0, 0.5, (25, 1000), (0, 400e3), hold=0.0)
        at = np.argmax(run.display_c > 500.0)
        rate = (run.wall_c[at + 1] - run.wall_c[at - 1]) / (run.time[at + 1] - run.time[at - 1])
        assert run.wall_c[at] - run.display_c[at] == pytest.approx(20.0 * rate, rel=0.05)

    def test_a_light_charge_and_a_slow_sensor_overshoot_more(self):
        over = [overshoot(heat_up(SMALL_FURNACE, 472.0, mass, *ZA12)) for mass in (0.1, 0.5, 1.1)]
        assert over[0] > over[1] > over[2] > 0.0
        slow = heat_up(replace(SMALL_FURNACE, sensor_lag=60.0), 472.0, 0.5, *ZA12)
        assert overshoot(slow) > over[1]

    def test_in_the_hold_the_display_stays_about_its_band(self):
        run = heat_up(SMALL_FURNACE, 472.0, 1.1, *ZA12, hold=3600.0)
        held = run.display_c[run.time > run.time[-1] - 1800.0]
        assert 470.0 < held.min() < 471.0 + 1e-6 and 473.0 - 1e-6 < held.max() < 478.0

    def test_a_light_charge_is_there_before_a_slow_display_and_the_run_waits_for_it(self):
        run = heat_up(replace(SMALL_FURNACE, sensor_lag=300.0), 472.0, 0.02, *ZA12, hold=0.0)
        assert lag(run) < 0.0 and run.display_c[-1] >= 472.0 - 1e-6

    def test_a_hotter_setting_melts_sooner(self):
        runs = [heat_up(SMALL_FURNACE, each, 1.1, *ZA12) for each in (450, 475, 500)]
        times = [run.all_liquid(ZA12_LIQUIDUS) for run in runs]
        assert times[0] > times[1] > times[2]


class TestHeatRows:
    def test_at_a_melting_point_the_liquid_counts(self):
        table = HeatRows(*ZINC)
        assert table.liquid_heat(419.527) == pytest.approx(277e3)
        assert table.liquid_heat(200.0) == pytest.approx(165e3 * 175 / 394.527)
        assert [table.temp_c(heat) for heat in (165e3, 200e3, 277e3)] == pytest.approx([419.527] * 3)

    def test_beyond_its_ends_it_runs_on(self):
        table = HeatRows(*ZINC)
        assert table.temp_c(364e3 + 87e3 / 180.473) == pytest.approx(601.0)

    def test_rows_may_lie_close(self):
        table = HeatRows((25, 231.9, 232.4, 450), (0, 50e3, 110e3, 163e3))
        assert table.temp_c(80e3) == pytest.approx(232.15)

    @pytest.mark.parametrize(
        "temps, heats, words",
        [
            ((25, 300), (0,), "two rows or more"),
            ((25, 300, 400), (0, 100e3), "as many as temperatures, 3"),
            ((25, 300, 200), (0, 1e5, 2e5), "row by row"),
            ((25, 300, 400), (0, 1e5, 1e5), "row by row"),
            ((25, 300, 300), (0, 1e5, 2e5), "it must end in a metal that warms up"),
            ((25, 25, 400), (0, 1e5, 2e5), "it must end in a metal that warms up"),
            ((25, 300, 400), (0, 1e5, 1e5 + 100), "no metal takes less than 50 J/kg"),
            ((25, 300, 400), (0, 170, 210), "no metal takes less than 50 J/kg"),
            ((25, "hot"), (0, 1e5), "must be a number"),
            ((25, float("nan")), (0, 1e5), "finite"),
        ],
    )
    def test_rows_that_cannot_be_are_refused(self, temps, heats, words):
        with pytest.raises(InputError, match=words):
            HeatRows(temps, heats)


@pytest.mark.parametrize(
    "call, words",
    [
        (lambda: heat_up(SMALL_FURNACE, 1200, 1.0, *ZA12), "1200 °C: this furnace goes up to 1150 °C"),
        (lambda: heat_up(replace(SMALL_FURNACE, power=200.0), 500, 1.0, *ZA12), "200 W against this loss"),
        (lambda: heat_up(replace(SMALL_FURNACE, power=240.0), 424, 1.0, *ZA12), "reach no more than 423"),
        (lambda: heat_up(SMALL_FURNACE, 30, 1.0, *ZA12), "well above the room, 25 °C"),
        (lambda: heat_up(SMALL_FURNACE, 472, -1.0, *ZA12), "mass of the charge is -1 kg"),
        (lambda: heat_up(SMALL_FURNACE, 472, 0.0, *ZA12), "between 20 g and 500 kg"),
        (lambda: heat_up(SMALL_FURNACE, 472, 1.0, *ZA12, room_c=80), "room temperature is 80"),
        (lambda: heat_up(SMALL_FURNACE, 472, 1.0, *ZA12, hold=-5), "hold is -5"),
        (lambda: heat_up(SMALL_FURNACE, 700, 1.0, *ZA12), "from the room, 25 °C, to the set point, 700 °C"),
        (lambda: heat_up(SMALL_FURNACE, 472, 1.0, *ZA12, room_c=0), "heat table is from 25 °C to 500 °C"),
        (lambda: heat_up(SMALL_FURNACE, 440, 200.0, *ZA12), "more than 12 hours"),
        (lambda: heat_up(SMALL_FURNACE, 425, 1.0, *ZA12).all_liquid(431.5), "well above the liquidus"),
        (lambda: replace(SMALL_FURNACE, power=-1.0), "power of the furnace is -1 W"),
        (lambda: replace(SMALL_FURNACE, loss=0.0), "loss to the room"),
        (lambda: replace(SMALL_FURNACE, coupling="much"), "coupling of wall and metal is 'much'"),
        (lambda: replace(SMALL_FURNACE, wall_heat_capacity=None), "heat capacity of the wall"),
        (lambda: replace(SMALL_FURNACE, top_temp_c=5000.0), "top temperature of the furnace"),
        (lambda: replace(SMALL_FURNACE, sensor_lag=0.0), "lag of the sensor"),
        (lambda: replace(SMALL_FURNACE, switching_band=30.0), "switching band"),
    ],
)
def test_what_cannot_be_is_refused_in_words(call, words):
    with pytest.raises(InputError, match=words):
        call()
