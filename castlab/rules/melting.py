"""How much heat a melt takes, how long that lasts, and what circuit and elements allow.

Heat contents are counted from 25 deg C. A constant heat capacity from a data sheet is that of cold metal and
leaves out what changes in the solid: for ZA-12 it makes the whole 24 % too small. So the heat of the solid
comes from a small table (`castlab/data/melting.json`, each value with source and range), and what follows,
from the solidus on, from the alloy's own record.
"""

import functools
import json
import math
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between, require_known, require_positive
from castlab.materials import DATA, Value, values

ROOM_C = 25.0  # heat contents are counted from here
CONTINUOUS_SHARE = 0.8  # of a breaker's current, for a load that lasts 3 h or more
# Mean of graphite from 25 to 500 deg C 1250, to 700 deg C 1380, to 1000 deg C 1530 J/kg/K, calculated from
# the COST 507 database; clay-bonded crucibles take less. Judgement between.
CRUCIBLE_HEAT_CAPACITY = 1300.0  # J/kg/K


def solid_heat(alloy):
    """Heat that a kilogram takes from 25 deg C to its solidus, still solid: a `Value` in J/kg with its range.

    alloy  a castlab.materials.Alloy of the data files, known by its name

    Raises InputError for an alloy that is not in the table: give `heat_content` a value then. The sources
    are in castlab/data/melting.json. Check (ZA-12 at 379 deg C, calculated from two public thermodynamic
    databases: 209 and 214 kJ/kg):

    >>> from castlab.materials import alloy
    >>> solid_heat(alloy("ZA-12")).value
    212000.0
    """
    table = _table()
    row = table[require_known("alloy in the table of heat contents", alloy.name, table)]["quantities"][0]
    return Value(**row | {key: float(row[key]) for key in ("value", "low", "high")})


def composition(alloy):
    """Nominal composition of an alloy of the data files: {element: share by mass}, adding up to 1.

    alloy  a castlab.materials.Alloy of the data files, known by its name

    By definition: the nominal shares that its name or standard stands for. Raises InputError for an alloy
    that is not in the table.

    >>> from castlab.materials import alloy
    >>> composition(alloy("sterling silver"))
    {'Ag': 0.925, 'Cu': 0.075}
    """
    table = _table()
    return dict(table[require_known("alloy in the table of compositions", alloy.name, table)]["composition"])


def hottest_melt_c(alloy):
    """How hot an alloy may ever be, in the furnace as well as in the mould [deg C]; infinite: no limit here.

    alloy  a castlab.materials.Alloy

    A zinc alloy stays within its usual pouring temperatures, because zinc fumes the more, the hotter it is.
    The range is common practice; that its top holds for the furnace too is judgement, on the safe side.

    >>> from castlab.materials import alloy
    >>> hottest_melt_c(alloy("ZA-12")), hottest_melt_c(alloy("ZA-27")), hottest_melt_c(alloy("A356"))
    (540.0, 600.0, inf)
    """
    return alloy.pour_range_c[1] if "zinc" in alloy.family else math.inf


def heat_rows(alloy, hottest_c, solid=None):
    """Temperatures [deg C] and heat contents [J/kg] from 25 deg C up to hottest_c, straight between them.

    alloy, solid [J/kg]  as for `heat_content`
    hottest_c [deg C]    above the liquidus

    Two rows at one temperature are an arrest. Raises InputError for a table that ends below the liquidus.
    Source: the heat balance that `heat_content` gives. Check: pure zinc melts at 419.527 deg C (ITS-90) and
    takes 112 kJ/kg (SGTE):

    >>> from castlab.materials import alloy
    >>> temps, heats = heat_rows(alloy("pure zinc"), 500)
    >>> temps, round(heats[2] - heats[1])
    ((25.0, 419.527, 419.527, 500.0), 112000)
    """
    low, high = alloy.liquidus_c + 1.0, alloy.liquidus_c + 1000.0
    hottest = require_between("highest temperature of the table", hottest_c, low, high, "deg C")
    solid = solid_heat(alloy).value if solid is None else require_positive("heat of the solid", solid, "J/kg")
    temps, heats = [ROOM_C, alloy.solidus_c], [0.0, solid]
    rows = tuple(reversed(alloy.solid_fraction))
    for (_, share), (temp, next_share) in zip(rows, rows[1:], strict=False):
        middle = 0.5 * (share + next_share)
        capacity = middle * alloy.heat_capacity_solid + (1.0 - middle) * alloy.heat_capacity_liquid
        heats.append(heats[-1] + capacity * (temp - temps[-1]) + alloy.latent_heat * (share - next_share))
        temps.append(temp)
    above = alloy.heat_capacity_liquid * (hottest - alloy.liquidus_c)
    return (*temps, hottest), (*heats, heats[-1] + above)


def heat_content(alloy, temp_c, solid=None):
    """Heat that a kilogram takes from 25 deg C to a temperature [J/kg].

    below the solidus   H = solid (T - 25) / (T_solidus - 25)
    above it            H = solid + sum of (f c_solid + (1 - f) c_liquid) dT - L df

    with f the solid fraction, down the alloy's own table; where much melts at one temperature, H is that of
    the metal when all of it has melted there.

    alloy          a castlab.materials.Alloy
    temp_c [deg C] -50 to 500 K above the liquidus
    solid [J/kg]   heat of the solid from 25 deg C to the solidus, greater than 0; `solid_heat(alloy)` if not
                   given

    Raises InputError outside the range. Published example (Groover: Fundamentals of Modern Manufacturing,
    example 10.1, numbers from memory: 1 m3 of a metal of 7.5 g/cm3 that melts at 800 deg C, 0.33 J/g/K solid,
    0.29 liquid, 160 J/g, heated from 25 to 900 deg C: 3335 MJ):

    >>> from dataclasses import replace
    >>> from castlab.materials import alloy
    >>> metal = replace(alloy("pure zinc"), liquidus_c=800, solidus_c=800, pour_range_c=(850, 950),
    ...                 solid_fraction=((800, 0), (800, 1)), latent_heat=160e3, heat_capacity_liquid=290)
    >>> round(7500 * heat_content(metal, 900, solid=330 * 775) / 1e6)
    3336
    """
    hottest = alloy.liquidus_c + 500.0
    temp_c = require_between("temperature", temp_c, -50.0, hottest, "deg C")
    temps, heats = heat_rows(alloy, hottest, solid)
    if temp_c < ROOM_C:
        return heats[1] * (temp_c - ROOM_C) / (temps[1] - ROOM_C)
    return float(np.interp(temp_c, temps, heats))


def heat_content_band(alloy, temp_c):
    """Between which limits the heat content lies, (low, high) [J/kg]: those of its solid and latent heats.

    alloy, temp_c [deg C]  as for `heat_content`, at or above the liquidus

    Raises InputError below the liquidus. The sources of both bands are in castlab/data. Check (ZA-12 at 500
    deg C, calculated from two public thermodynamic databases: 411 and 413 kJ/kg):

    >>> from castlab.materials import alloy
    >>> low, high = heat_content_band(alloy("ZA-12"), 500)
    >>> low < 411e3 < 413e3 < high
    True
    """
    require_between("temperature", temp_c, alloy.liquidus_c, alloy.liquidus_c + 500.0, "deg C")
    middle = heat_content(alloy, temp_c)
    parts = [solid_heat(alloy), *(each for each in values(alloy.name) if each.quantity == "latent_heat")]
    return tuple(middle + sum(getattr(part, end) - part.value for part in parts) for end in ("low", "high"))


def circuit_power(volts, breaker_amps):
    """Power that a circuit carries for hours: P = 0.8 volts amps [W].

    volts [V]         greater than 0, at most 500
    breaker_amps [A]  greater than 0, at most 200

    A load that lasts three hours or more may take 80 % of the breaker (rule of the US electrical code, NFPA
    70, 210.19 and 210.20; other countries have other rules: ask a licensed electrician). A melt is shorter,
    but two in a row are not. One phase, a load of plain resistance. Raises InputError outside the ranges.
    Published example (15 A at 120 V carry 1440 W for long, 20 A 1920 W):

    >>> circuit_power(120, 15), circuit_power(120, 20), circuit_power(230, 16)
    (1440.0, 1920.0, 2944.0)
    """
    volts = require_between("voltage", require_positive("voltage", volts, "V"), 0.0, 500.0, "V")
    amps = require_positive("breaker", breaker_amps, "A")
    return CONTINUOUS_SHARE * volts * require_between("breaker", amps, 0.0, 200.0, "A")


def require_circuit(power, volts, breaker_amps):
    """Refuse a furnace that the circuit cannot carry; returns its power [W].

    power [W]                    on the furnace's plate, greater than 0
    volts [V], breaker_amps [A]  as for `circuit_power`

    Raises InputError for a power that is more than `circuit_power`; the source is the same.

    >>> require_circuit(1400, 120, 15)
    1400.0
    >>> require_circuit(2000, 120, 15)
    Traceback (most recent call last):
        ...
    castlab.errors.InputError: power of the furnace is 2000 W: a 15 A breaker at 120 V carries 1440 W for \
long; use a larger circuit of its own or a smaller furnace
    """
    power, most = require_positive("power of the furnace", power, "W"), circuit_power(volts, breaker_amps)
    if power > most:
        allowed = (f"a {breaker_amps:g} A breaker at {volts:g} V carries {most:.0f} W for long; "
                   "use a larger circuit of its own or a smaller furnace")
        raise InputError("power of the furnace", f"{power:.0f} W", allowed)
    return power


def aged_power(power, resistance_ratio):
    """What a furnace draws when its elements have aged: P / ratio [W], for P = V^2 / R at one voltage.

    power [W]         when new, greater than 0
    resistance_ratio  resistance now over that when new, 1 to 1.5

    Heating wire grows in resistance as it oxidises; kiln users replace it at 1.10 (common practice). Raises
    InputError outside the ranges. By hand: 10 % more resistance, 9 % less power.

    >>> round(aged_power(1500, 1.10))
    1364
    """
    power = require_positive("power of the furnace", power, "W")
    return power / require_between("resistance of the elements over new", resistance_ratio, 1.0, 1.5)


def aged_top_temp_c(top_temp_c, resistance_ratio, room_c=ROOM_C):
    """The highest temperature that a furnace still reaches: T_room + (T_top - T_room) / ratio [deg C].

    top_temp_c [deg C]  when new, above the room's
    resistance_ratio    as for `aged_power`
    room_c [deg C]      -20 to 50

    A balance: at the top all power leaves through the lining, and what leaves grows with the temperature
    difference; so both fall alike. Holds for a furnace whose power sets its top, not its controller. Raises
    InputError outside the ranges. By hand: 25 + 1100 / 1.1 = 1025 deg C.

    >>> round(aged_top_temp_c(1125, 1.1))
    1025
    """
    room_c = require_between("temperature of the room", room_c, -20.0, 50.0, "deg C")
    top = require_between("highest temperature of the furnace", top_temp_c, room_c + 1.0, 3000.0, "deg C")
    return room_c + aged_power(top - room_c, resistance_ratio)


def loss_per_kelvin(power, top_temp_c, room_c=ROOM_C):
    """Heat that leaves the furnace for each kelvin above the room: U = P / (T_top - T_room) [W/K].

    power [W], top_temp_c [deg C]  with which the furnace just keeps a temperature: read the share of the time
                                   that it is on while it holds; or its full power and top temperature
    room_c [deg C]                 -20 to 50

    Raises InputError for a temperature not above the room's. A balance of heat; by hand: 1100 W hold 1125
    deg C, 1 W/K.

    >>> loss_per_kelvin(1100, 1125)
    1.0
    """
    room_c = require_between("temperature of the room", room_c, -20.0, 50.0, "deg C")
    top = require_between("temperature that is held", top_temp_c, room_c + 1.0, 3000.0, "deg C")
    return require_positive("power", power, "W") / (top - room_c)


@dataclass(frozen=True)
class ShortestMelt:
    """One melt from cold to ready: times [s] from switching on, heats [J]."""

    time: float
    melting_from: float
    melting_until: float
    melt_heat: float
    other_heat: float
    lost: float

    @property
    def energy(self):
        """All that the elements gave [J]."""
        return self.melt_heat + self.other_heat + self.lost

    @property
    def plateau(self):
        """How long the melt took from solidus to liquidus [s], rising slowly or not at all."""
        return self.melting_until - self.melting_from


def shortest_melt(mass, alloy, temp_c, power, other_heat=0.0, loss=0.0, room_c=ROOM_C, solid=None):
    """Time and energy until the melt is at a temperature, at the least: a `ShortestMelt`.

    (m dH/dT + other_heat) dT = (P - loss (T - T_room)) dt, solved from row to row of the heat content

    mass [kg]            of metal, greater than 0
    alloy, solid [J/kg]  as for `heat_content`
    temp_c [deg C]       to be reached, above the room's
    power [W]            that the elements give, greater than 0
    other_heat [J/K]     of crucible and of the lining that becomes hot, 0 or more: mass times
                         CRUCIBLE_HEAT_CAPACITY, and the lining's
    loss [W/K]           0 or more, `loss_per_kelvin`
    room_c [deg C]       where everything starts, 0 to 50

    A balance of heat: the shortest time that can be, with all in the furnace equally hot; in truth the metal
    is behind the walls (castlab.rules.furnace). Raises InputError for a temperature that the power cannot
    reach. Check (413 kJ, the heat of ZA-12 at 500 deg C calculated from a public database, take 287 s at
    1440 W; ours is 3 % less, inside the 10 % of such data):

    >>> from castlab.materials import alloy
    >>> round(shortest_melt(1.0, alloy("ZA-12"), 500, 1440).time / 287, 2)
    0.97
    """
    mass, power = require_positive("mass of metal", mass, "kg"), require_positive("power", power, "W")
    other_heat = require_between("heat of crucible and lining", other_heat, 0.0, 1e7, "J/K")
    loss = require_between("loss of the furnace", loss, 0.0, 1e3, "W/K")
    room_c = require_between("temperature of the room", room_c, 0.0, 50.0, "deg C")
    temp_c = require_between("temperature to reach", temp_c, room_c + 1.0, alloy.liquidus_c + 500.0, "deg C")
    _require_reach(temp_c, power, loss, room_c)
    temps, heats = _rows_between(alloy, solid, room_c, temp_c)
    at = _times(temps, [mass * heat for heat in heats], other_heat, power, loss, room_c)
    melt, other = mass * (heats[-1] - heats[0]), other_heat * (temp_c - room_c)
    first = at[temps.index(alloy.solidus_c)] if temp_c >= alloy.solidus_c else at[-1]
    last = np.interp(alloy.liquidus_c, temps, at)
    lost = power * at[-1] - melt - other
    return ShortestMelt(at[-1], first, float(last), melt, other, lost)


@functools.cache
def _table():
    return json.loads((DATA / "melting.json").read_text(encoding="utf-8"))


def _rows_between(alloy, solid, low, high):
    """The heat table cut off at both ends; at an end on an arrest all of it counts as molten."""
    temps, heats = heat_rows(alloy, alloy.liquidus_c + 500.0, solid)
    slope = heats[1] / (temps[1] - ROOM_C)
    inside = [(temp, heat) for temp, heat in zip(temps, heats, strict=True) if low < temp <= high]
    last = (high, float(np.interp(high, temps, heats)))
    rows = [(low, slope * (low - ROOM_C)), *inside, *([last] if not inside or inside[-1][0] < high else [])]
    return [temp for temp, _ in rows], [heat for _, heat in rows]


def _times(temps, heats, other_heat, power, loss, room_c):
    """When each row is reached [s]; exact, because heat rises evenly with temperature between rows."""
    times = [0.0]
    for i in range(len(temps) - 1):
        rise, heat = temps[i + 1] - temps[i], heats[i + 1] - heats[i]
        net, next_net = (power - loss * (temps[j] - room_c) for j in (i, i + 1))
        fall = net - next_net  # log1p keeps the mean of 1 / net exact where hardly anything is lost
        slowness = math.log1p(fall / next_net) / fall if fall else 1.0 / net
        times.append(times[-1] + (heat + other_heat * rise) * slowness)
    return times


def _require_reach(temp_c, power, loss, room_c):
    if loss * (temp_c - room_c) >= power:
        top = room_c + power / loss
        allowed = f"with {power:.0f} W the furnace gets to {top:.0f} deg C at most"
        raise InputError("temperature to reach", f"{temp_c:g} deg C", allowed)
