"""How much heat a melt takes, and what circuit and elements allow.

Heat contents are counted from 25 deg C. A constant heat capacity from a data sheet is that of cold metal and
leaves out what changes in the solid: for ZA-12 it makes the whole 24 % too small. So the heat of the solid
comes from a small table (`castlab/data/melting.json`, each value with source and range), and what follows,
from the solidus on, from the alloy's own record.
"""

import math

from castlab.errors import require_between, require_known, require_positive
from castlab.materials import read_data, value_of

ROOM_C = 25.0  # heat contents are counted from here
CONTINUOUS_SHARE = 0.8  # of a breaker's current, for a load that lasts 3 h or more
# Mean of graphite from 25 to 500 deg C 1250, to 700 deg C 1380, to 1000 deg C 1530 J/kg/K, calculated from
# the COST 507 database; clay-bonded crucibles take less. Judgement between.
CRUCIBLE_HEAT_CAPACITY = 1300.0  # J/kg/K


def solid_heat(alloy):
    """Heat that a kilogram takes from 25 deg C to its solidus, still solid: a `Value` in J/kg with its range.

    alloy  a castlab.materials.Alloy of the data files, known by its name

    Raises InputError for an alloy that is not in the table: give `heat_rows` a value then. The sources
    are in castlab/data/melting.json. Check (ZA-12 at 379 deg C, calculated from two public thermodynamic
    databases: 209 and 214 kJ/kg):

    >>> from castlab.materials import alloy
    >>> solid_heat(alloy("ZA-12")).value
    212000.0
    """
    table = read_data("melting")
    row = table[require_known("alloy in the table of heat contents", alloy.name, table)]["quantities"][0]
    return value_of(row)


def composition(alloy):
    """Nominal composition of an alloy of the data files: {element: share by mass}, adding up to 1.

    alloy  a castlab.materials.Alloy of the data files, known by its name

    By definition: the nominal shares that its name or standard stands for. Raises InputError for an alloy
    that is not in the table.

    >>> from castlab.materials import alloy
    >>> composition(alloy("sterling silver"))
    {'Ag': 0.925, 'Cu': 0.075}
    """
    table = read_data("melting")
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

    below the solidus   H = solid (T - 25) / (T_solidus - 25)
    above it            H = solid + sum of (f c_solid + (1 - f) c_liquid) dT - L df

    with f the solid fraction, down the alloy's own table.

    alloy              a castlab.materials.Alloy
    hottest_c [deg C]  above the liquidus
    solid [J/kg]       heat of the solid from 25 deg C to the solidus, greater than 0; `solid_heat(alloy)` if
                       not given

    Two rows at one temperature are an arrest. Raises InputError for a table that ends below the liquidus.
    Source: a balance of heat. Check: pure zinc melts at 419.527 deg C (ITS-90) and
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
