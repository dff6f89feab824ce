"""Lag and hold: what a small electric crucible furnace shows, and how hot the metal in it is.

The sensor of such a furnace sits by the elements and not in the melt. While the metal takes up heat, above
all while it melts, the display runs ahead of it.
"""

import math
from bisect import bisect_right
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between, require_number
from castlab.units import celsius, given, phrase

HOLD_AFTER_LIQUID_S = 900.0  # common practice: hold about 15 minutes after all looks liquid
ARRIVED_K = 5.0  # metal so close below the set point has arrived; exactly there it never is
TABLE_END_K = 10.0  # the heat table may begin so far above room temperature
LONGEST_S = 12 * 3600.0
LONGEST_STEP_S = 5.0
LEAST_HEAT_CAPACITY = 50.0  # J/kg/K, less than any metal
MEETS_K = 1e-7  # how near the display must be to a switching point


@dataclass(frozen=True)
class Furnace:
    """A small electric crucible furnace: a wall, and a sensor that follows the wall.

    power               [W]     50 to 50 000: of the elements, switched on and off
    wall_heat_capacity  [J/K]   100 to 1e6: what heats up with the elements: lining, muffle and crucible
    coupling            [W/K]   0.1 to 100: heat from wall to metal for each kelvin between them
    loss                [W/K]   0.01 to 100: heat from wall to room for each kelvin between them
    top_temp_c          [deg C] 100 to 1800: the maker's highest setting
    sensor_lag          [s]     5 to 300: the sensor in its sheath follows the wall so much later
    switching_band      [K]     0.5 to 10: off half of it above the set point, on half of it below

    One coupling and one loss for all temperatures is a simplification: both grow as a furnace glows.
    Raises InputError where a number is impossible.

    >>> SMALL_FURNACE.power, SMALL_FURNACE.top_temp_c
    (1440.0, 1150.0)
    """

    power: float
    wall_heat_capacity: float
    coupling: float
    loss: float
    top_temp_c: float
    sensor_lag: float = 20.0
    switching_band: float = 2.0

    def __post_init__(self):
        require_between("power of the furnace", self.power, 50.0, 50e3, "W")
        require_between("heat capacity of the wall", self.wall_heat_capacity, 100.0, 1e6, "J/K")
        require_between("coupling of wall and metal", self.coupling, 0.1, 100.0, "W/K")
        require_between("loss to the room", self.loss, 0.01, 100.0, "W/K")
        require_between("top temperature of the furnace", self.top_temp_c, 100.0, 1800.0, "deg C")
        require_between("lag of the sensor", self.sensor_lag, 5.0, 300.0, "s")
        require_between("switching band", self.switching_band, 0.5, 10.0, "K")


# An example by judgement, not a measured furnace: one that a 120 V, 15 A circuit carries for hours (12 A),
# with about 2.5 kg of lining, muffle and crucible at 1000 J/kg/K; 0.6 W/K is about 25 mm of fibre board
# (0.2 W/m/K) over 0.05 m2, and a lid; 4 W/K is radiation at 500 to 700 deg C on 0.03 m2 of crucible.
SMALL_FURNACE = Furnace(
    power=1440.0, wall_heat_capacity=2500.0, coupling=4.0, loss=0.6, top_temp_c=1150.0
)


class HeatRows:
    """Heat content of a metal against temperature, from rows that a caller gives, read in both directions.

    temps_c [deg C]  rising; twice the same where metal melts at one temperature
    heats [J/kg]     rising from row to row

    Linear between rows; beyond the first and the last row the nearest line goes on. Raises InputError for
    rows that no metal can have.

    >>> tin = HeatRows((25, 231.9, 231.9, 400), (0, 50e3, 110e3, 151e3))
    >>> tin.temp_c(80e3), tin.liquid_heat(231.9)
    (231.9, 110000.0)
    """

    def __init__(self, temps_c, heats):
        self.temps_c = _rows("temperatures of the heat table", temps_c, "deg C")
        self.heats = _rows("heat contents of the heat table", heats, "J/kg")
        if len(self.temps_c) != len(self.heats):
            allowed = f"there must be as many as temperatures, {len(self.temps_c)}"
            raise InputError("heat contents of the heat table", f"{len(self.heats)} numbers", allowed)
        warmer, taken = np.diff(self.temps_c), np.diff(self.heats)
        if (warmer < 0.0).any() or (taken <= 0.0).any():
            allowed = "row by row the temperature must rise or stay, and the heat content rise"
            raise InputError("heat table", f"{len(self.heats)} rows", allowed)
        if (taken < LEAST_HEAT_CAPACITY * warmer).any():
            allowed = f"no metal takes less than {LEAST_HEAT_CAPACITY:.0f} J/kg for a kelvin; kJ, or a slip?"
            raise InputError("heat table", "too steep", allowed)
        if warmer[0] == 0.0 or warmer[-1] == 0.0:
            raise InputError("heat table", "flat at one end", "it must end in a metal that warms up")
        self.slopes = (warmer / taken).tolist()

    def temp_c(self, heat):
        """Temperature [deg C] of metal with this heat content [J/kg]."""
        row = bisect_right(self.heats, heat, 1, len(self.slopes)) - 1
        return self.temps_c[row] + self.slopes[row] * (heat - self.heats[row])

    def liquid_heat(self, temp_c):
        """The most heat that metal of this temperature can hold [J/kg]: at a melting point, as a liquid."""
        row = bisect_right(self.temps_c, temp_c, 1, len(self.slopes)) - 1
        return self.heats[row] + (temp_c - self.temps_c[row]) / self.slopes[row]


@dataclass(frozen=True, eq=False)
class HeatUp:
    """How a charge heats up and is held: arrays over time, and the times that matter.

    time [s]; display_c, wall_c, metal_c [deg C]; metal_heat [J/kg]; power [W] from each time to the next
    energy_in, energy_lost [J]     what the elements gave, what the room got
    energy_wall, energy_metal [J]  what wall and metal took up: energy_in = the other three, to round-off
    display_arrives [s]            the display reaches the set point for the first time
    metal_arrives [s]              the metal is within 5 K below the set point
    """

    set_point_c: float
    table: HeatRows
    time: np.ndarray
    display_c: np.ndarray
    wall_c: np.ndarray
    metal_c: np.ndarray
    metal_heat: np.ndarray
    power: np.ndarray
    energy_in: float
    energy_lost: float
    energy_wall: float
    energy_metal: float
    display_arrives: float
    metal_arrives: float

    @property
    def efficiency(self):
        """Share of the elements' energy that is in the metal at the end, the hold counted."""
        return self.energy_metal / self.energy_in

    def all_liquid(self, liquidus_c):
        """When all metal is liquid [s].

        Raises InputError where it never is: the set point too low, or the hold too short.
        """
        liquid = self.table.liquid_heat(require_number("liquidus", liquidus_c, "deg C"))
        if self.metal_heat[-1] < liquid:
            allowed = "well above the liquidus, {}, or held longer, or metal stays solid"
            raise InputError("set point", celsius(self.set_point_c), allowed, celsius(liquidus_c))
        return _first(self.time, self.metal_heat, liquid)


def heat_up(furnace, set_point_c, mass, temps_c, heats, room_c=25.0, hold=HOLD_AFTER_LIQUID_S):
    """Displayed and true metal temperature against time, from cold until `hold` after the metal arrives.

    wall    C dT_w/dt = P - coupling (T_w - T_m) - loss (T_w - T_room)
    metal   mass dh/dt = coupling (T_w - T_m),   T_m = T(h) from the table, flat where it melts
    sensor  sensor_lag dT_s/dt = T_w - T_s,      T_s is what the display shows
    power   P = power, until T_s is half a band above the set point; then 0 until half a band below; and so on

    furnace             `Furnace`
    set_point_c [deg C] above the room, up to the furnace's top
    mass [kg]           of the charge, 0.02 to 500
    temps_c, heats      rows of the metal's heat content [deg C], [J/kg] (see `HeatRows`), from the room to
                        the set point at least
    room_c [deg C]      -20 to 50; furnace and metal start there
    hold [s]            0 to 4 h, after the metal has arrived

    Returns `HeatUp`. Raises InputError for a set point above the top or beyond the power, for a table that
    is too short, for a run of more than 12 hours. Left out: coupling and loss that grow with temperature, a
    cold piece added later, metal that is hotter outside than inside, the crucible's own lag.
    Source: two lumps with Newton's law between them, ours; runs with the classical fourth-order Runge-Kutta
    method, each switching found inside its step. The heat taken in by 1 kg of tin cannot be less than that
    of the table, 156 kJ at 420 deg C:

    >>> tin = (25, 231.9, 231.9, 450), (0, 50e3, 110e3, 163e3)
    >>> run = heat_up(SMALL_FURNACE, 420, 1.0, *tin)
    >>> 1.53e5 < run.energy_metal < 1.57e5 < run.energy_in, run.display_arrives < run.metal_arrives
    (True, True)
    """
    mass = require_between("mass of the charge", mass, 0.02, 500.0, "kg")
    room_c = require_between("room temperature", room_c, -20.0, 50.0, "deg C")
    hold = require_between("hold", hold, 0.0, 4 * 3600.0, "s")
    table = HeatRows(temps_c, heats)
    set_point_c = _checked_set_point(furnace, set_point_c, room_c)
    _check_reach(table, room_c, set_point_c)
    records = _run(furnace, set_point_c, mass, table, room_c, hold)
    return _result(furnace, set_point_c, mass, table, records)


def display_at_full_power(furnace, times, mass, temps_c, heats, room_c=25.0):
    """What the display shows while the elements are on without a break: an array [deg C].

    The wall, the metal and the sensor of `heat_up`, with P = power all the time.

    furnace                    `Furnace`
    times [s]                  after switching on from cold, 0 to 12 hours
    mass [kg]                  of the charge, 0.02 to 500; 0: the crucible is empty
    temps_c, heats, room_c     as for `heat_up`; the metal may become hotter than the table

    Raises InputError outside the ranges. Source: that of `heat_up`. Check: at first nearly all heat stays in
    the wall, which warms by power / heat capacity, 0.576 K each second; the sensor follows 20 s behind.

    >>> tin = (25, 231.9, 231.9, 450), (0, 50e3, 110e3, 163e3)
    >>> shown = display_at_full_power(SMALL_FURNACE, [0.0, 60.0], 1.0, *tin)
    >>> float(shown[0]), bool(40 < shown[1] < 25 + 0.576 * 60)
    (25.0, True)
    """
    if mass:
        mass = require_between("mass of the charge", mass, 0.02, 500.0, "kg")
    room_c = require_between("room temperature", room_c, -20.0, 50.0, "deg C")
    times = [require_between("time", each, 0.0, LONGEST_S, "s") for each in np.ravel(times)]
    table = HeatRows(temps_c, heats)
    rates, step = _rates(furnace, mass, table, room_c), _step_length(furnace, mass, table)
    state, time, seen = (room_c, table.liquid_heat(room_c), room_c, 0.0), 0.0, [(0.0, room_c)]
    while time < max(times, default=0.0):
        state, time = _runge_kutta(rates, state, furnace.power, step), time + step
        seen.append((time, state[2]))
    return np.interp(times, *zip(*seen, strict=True))


def _checked_set_point(furnace, set_point_c, room_c):
    set_point_c = require_number("set point", set_point_c, "deg C")
    shown = celsius(set_point_c)
    if set_point_c > furnace.top_temp_c:
        allowed = "this furnace goes up to {} by its maker's limit"
        raise InputError("set point", shown, allowed, celsius(furnace.top_temp_c))
    if set_point_c <= room_c + 2 * ARRIVED_K:
        raise InputError("set point", shown, "it must be well above the room, {}", celsius(room_c))
    reached = room_c + furnace.power / furnace.loss - furnace.switching_band
    if set_point_c >= reached:
        allowed = f"{furnace.power:.0f} W against this loss reach no more than {{}}"
        raise InputError("set point", shown, allowed, celsius(reached))
    return set_point_c


def _check_reach(table, room_c, set_point_c):
    first, last = table.temps_c[0], table.temps_c[-1]
    if first > room_c + TABLE_END_K or last < set_point_c:
        raise InputError("heat table", phrase("from {} to {}", celsius(first), celsius(last)),
                         "it must reach from the room, {}, to the set point, {}", celsius(room_c),
                         celsius(set_point_c))


def _run(furnace, set_point_c, mass, table, room_c, hold):
    """Rows of (time, wall, heat of the metal, display, lost, power), the last one at the end of the hold."""
    rates, step = _rates(furnace, mass, table, room_c), _step_length(furnace, mass, table)
    half = furnace.switching_band / 2.0
    state = (room_c, table.liquid_heat(room_c), room_c, 0.0)
    time, power, records, shown, end = 0.0, furnace.power, [], False, LONGEST_S
    while time < end:
        records.append((time, *state, power))
        goal = set_point_c + half if power else set_point_c - half
        state, taken, crossed = _advance(rates, state, power, min(step, end - time), goal)
        time += taken
        shown = shown or state[2] >= set_point_c
        if end == LONGEST_S and shown and table.temp_c(state[1]) >= set_point_c - ARRIVED_K:
            end = time + hold
        if crossed:
            power = furnace.power - power
    if end == LONGEST_S:
        raise InputError("mass of the charge", given(mass, "kg"),
                         "this furnace needs more than 12 hours for it")
    return np.array([*records, (time, *state, 0.0)])


def _advance(rates, state, power, step, goal):
    """One step, or less where the display meets the goal: state, time taken, whether it met."""
    sign = 1.0 if power else -1.0
    ahead = _runge_kutta(rates, state, power, step)
    if sign * (ahead[2] - goal) < 0.0:
        return ahead, step, False
    for _ in range(8):  # Newton: the display's own rate says how far back the meeting lies
        if abs(ahead[2] - goal) < MEETS_K:
            break
        step = max(step - (ahead[2] - goal) / rates(*ahead[:3], power)[2], 0.0)
        ahead = _runge_kutta(rates, state, power, step)
    return ahead, step, True


def _rates(furnace, mass, table, room_c):
    """The four rates of change: wall, heat of the metal, display, heat lost to the room."""
    capacity, coupling = furnace.wall_heat_capacity, furnace.coupling
    loss, lag, temp_of = furnace.loss, furnace.sensor_lag, table.temp_c

    def rates(wall, heat, display, power):
        to_metal = coupling * (wall - temp_of(heat)) if mass else 0.0
        to_room = loss * (wall - room_c)
        warming = to_metal / mass if mass else 0.0
        return (power - to_metal - to_room) / capacity, warming, (wall - display) / lag, to_room

    return rates


def _runge_kutta(rates, state, power, step):
    """The state one step later, by the classical fourth-order method; it keeps sums, so energy is exact."""
    wall, heat, display, lost = state
    half = step / 2.0
    a = rates(wall, heat, display, power)
    b = rates(wall + half * a[0], heat + half * a[1], display + half * a[2], power)
    c = rates(wall + half * b[0], heat + half * b[1], display + half * b[2], power)
    d = rates(wall + step * c[0], heat + step * c[1], display + step * c[2], power)
    mean = [step / 6.0 * (a[i] + 2.0 * (b[i] + c[i]) + d[i]) for i in range(4)]
    return wall + mean[0], heat + mean[1], display + mean[2], lost + mean[3]


def _step_length(furnace, mass, table):
    """A quarter of the shortest time constant, 5 s at most."""
    least = 1.0 / max(table.slopes)  # the smallest heat capacity of the metal
    metal = mass * least / furnace.coupling or math.inf
    wall = furnace.wall_heat_capacity / (furnace.coupling + furnace.loss)
    return min(LONGEST_STEP_S, 0.25 * min(metal, wall, furnace.sensor_lag))


def _result(furnace, set_point_c, mass, table, records):
    time, wall, heat, display, lost, power = records.T
    metal = np.array([table.temp_c(each) for each in heat])
    return HeatUp(
        set_point_c, table, time, display, wall, metal, heat, power,
        energy_in=float((power[:-1] * np.diff(time)).sum()),
        energy_lost=float(lost[-1]),
        energy_wall=furnace.wall_heat_capacity * float(wall[-1] - wall[0]),
        energy_metal=mass * float(heat[-1] - heat[0]),
        display_arrives=_first(time, display, set_point_c),
        metal_arrives=_first(time, metal, set_point_c - ARRIVED_K),
    )


def _first(time, values, goal):
    """When the values first reach the goal, straight between two times."""
    after = int(np.argmax(values >= goal))
    if after == 0:
        return float(time[0])
    share = (goal - values[after - 1]) / (values[after] - values[after - 1])
    return float(time[after - 1] + share * (time[after] - time[after - 1]))


def _rows(parameter, numbers, unit):
    rows = [require_number(parameter, each, unit) for each in np.ravel(numbers)]
    if len(rows) < 2:
        raise InputError(parameter, f"{len(rows)} number(s)", "it must have two rows or more")
    return rows
