"""What metal loses between furnace and mould: while it stands in the open, and in the stream.

So the temperature in the furnace starts from the temperature that the mould needs.
"""

import math
from dataclasses import dataclass

from castlab.errors import InputError, require_between, require_positive
from castlab.rules.gas import ICE_POINT
from castlab.rules.gating import GRAVITY
from castlab.rules.melting import CRUCIBLE_HEAT_CAPACITY, ROOM_C

STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2/K4, CODATA 2018
CALM_AIR = 10.0  # W/m2/K over a hot surface, 5 to 15; judgement
FALLING = 50.0  # W/m2/K round a stream of 1 cm falling at 2 m/s, 30 to 80; judgement from Nusselt's number
CRUCIBLE_WALL, CRUCIBLE_DENSITY = 8e-3, 1800.0  # m, kg/m3; judgement
# m2 K/W: 8 mm of clay graphite at 25 W/m/K, and 2000 W/m2/K from the metal into it; judgement
WALL_RESISTANCE = 8e-3 / 25.0 + 1.0 / 2000.0
NEWTON_STEPS = 4
STEPS = 25  # of the time in the open; the loss changes by a few per cent in it


def surface_loss(temp_c, emissivity, air_c=ROOM_C, film=CALM_AIR):
    """Heat that a hot surface loses: q = e sigma (T^4 - T_air^4) + film (T - T_air) [W/m2], T in kelvin.

    temp_c, air_c [deg C]  from -273.15 on
    emissivity             0 to 1
    film [W/m2/K]          0 or more

    Raises InputError outside the ranges. Source: Stefan and Boltzmann's law; by hand, a black body at 1000 K
    in empty space gives off 5.670e-8 * 1e12 = 56.7 kW/m2.

    >>> round(surface_loss(726.85, 1.0, air_c=-273.15, film=0.0), -2)
    56700.0
    """
    hot = require_between("temperature", temp_c, -ICE_POINT, 4000.0, "deg C") + ICE_POINT
    air = require_between("temperature of the air", air_c, -ICE_POINT, 1000.0, "deg C") + ICE_POINT
    emissivity = require_between("emissivity", emissivity, 0.0, 1.0)
    film = require_between("coefficient of the air", film, 0.0, 1e4, "W/m2/K")
    return _lost(hot, emissivity, air, film)


@dataclass(frozen=True)
class Vessel:
    """What the metal stands in between furnace and mould: the crucible lifted out, or a ladle.

    open_area [m2]             of the metal's own surface, 0 or more
    wall_area [m2]             of the outside, 0 or more
    heat [J/K]                 of the vessel, which cools with the metal, 0 or more
    wall_emissivity            0 to 1; 0.9 for graphite or clay, from memory
    wall_resistance [m2 K/W]   from the metal through the wall to its outside, 0 to 1
    """

    open_area: float
    wall_area: float = 0.0
    heat: float = 0.0
    wall_emissivity: float = 0.9
    wall_resistance: float = WALL_RESISTANCE

    def __post_init__(self):
        for name, field in (("open area", "open_area"), ("wall area", "wall_area")):
            require_between(f"{name} of the vessel", getattr(self, field), 0.0, 10.0, "m2")
        require_between("heat of the vessel", self.heat, 0.0, 1e7, "J/K")
        require_between("emissivity of the vessel", self.wall_emissivity, 0.0, 1.0)
        require_between("resistance of the vessel's wall", self.wall_resistance, 0.0, 1.0, "m2 K/W")


def likely_bore(volume):
    """Bore of a crucible twice as deep as wide (judgement): d = (2 V / pi)^(1/3) [m].

    volume [m3]  to the brim, greater than 0

    Raises InputError otherwise. By hand: 50 mm wide and 100 mm deep, 196.35 cm3.

    >>> round(likely_bore(196.35e-6), 4)
    0.05
    """
    return (2.0 * require_positive("volume of the crucible", volume, "m3") / math.pi) ** (1.0 / 3.0)


def crucible_vessel(volume):
    """The crucible itself as a `Vessel`, lifted out of the furnace to pour from.

    Its bore is `likely_bore`; wall and bottom are 8 mm of clay graphite, 1800 kg/m3 and 1300 J/kg/K
    (judgement).

    volume [m3]  to the brim, greater than 0

    Raises InputError otherwise. By hand, 196 cm3: 50 mm wide, 100 mm deep, 19.6 cm2 open; outside 66 by 108
    mm, 258 cm2 of side and bottom; 0.31 kg.

    >>> pot = crucible_vessel(196.35e-6)
    >>> round(1e4 * pot.open_area, 1), round(1e4 * pot.wall_area), round(pot.heat / CRUCIBLE_HEAT_CAPACITY, 2)
    (19.6, 258, 0.31)
    """
    bore = likely_bore(volume)
    outside, tall = bore + 2.0 * CRUCIBLE_WALL, 2.0 * bore + CRUCIBLE_WALL
    bottom = math.pi / 4.0 * outside**2
    wall = bottom * tall - volume
    mass = CRUCIBLE_DENSITY * wall
    return Vessel(math.pi / 4.0 * bore**2, math.pi * outside * tall + bottom, CRUCIBLE_HEAT_CAPACITY * mass)


def held_temp_c(alloy, temp_c, time, mass, vessel, air_c=ROOM_C, film=CALM_AIR):
    """Temperature of the metal after it has stood a time in the open [deg C].

    (m c + heat) dT/dt = - open_area q(T, metal) - wall_area q(T_wall, wall), q from `surface_loss`,
    T_wall = T - wall_resistance q(T_wall, wall)

    alloy, temp_c [deg C]  at the start, above the liquidus
    time [s]               0 to 600; a negative time, down to -600, asks backwards: how hot it was before
    mass [kg]              of metal, greater than 0
    vessel                 a `Vessel`
    air_c [deg C], film [W/m2/K]  as for `surface_loss`

    Raises InputError outside the ranges, and when the metal would begin to freeze in the vessel. Source:
    Newton's law of cooling and Stefan and Boltzmann's law. Check against the exact solution for an emissivity
    of 0, (T - T_air) exp(-film area t / (m c)): 1000 K above the air, 20 W/K, 1000 J/K, 10 s: 818.7 K.

    >>> from dataclasses import replace
    >>> from castlab.materials import alloy
    >>> metal = replace(alloy("pure zinc"), emissivity=0.0, heat_capacity_liquid=1000.0)
    >>> round(held_temp_c(metal, 1000, 10, 1.0, Vessel(2.0), air_c=0.0, film=10.0), 1)
    818.7
    """
    temp = require_between("temperature", temp_c, alloy.liquidus_c, alloy.liquidus_c + 1000.0, "deg C")
    step = require_between("time in the open", time, -600.0, 600.0, "s") / STEPS
    capacity = require_positive("mass of metal", mass, "kg") * alloy.heat_capacity_liquid + vessel.heat
    surface_loss(temp, alloy.emissivity, air_c, film)  # refuses air and film that cannot be
    air = air_c + ICE_POINT

    def slope(hot):
        metal = vessel.open_area * _lost(hot, alloy.emissivity, air, film)
        return -(metal + vessel.wall_area * _wall_loss(vessel, hot, air, film)) / capacity

    for done in range(STEPS):
        temp += step * _slope_over(slope, temp + ICE_POINT, step)
        if temp < alloy.liquidus_c:
            allowed = f"{alloy.name} would begin to freeze in the vessel after {step * (done + 1):.0f} s"
            raise InputError("time in the open", f"{time:g} s", allowed)
    return temp


def stream_loss(alloy, temp_c, flow, height, air_c=ROOM_C):
    """How much a falling stream cools: dT = q pi d h / (flow c) [K], d its diameter halfway.

    alloy, temp_c [deg C]  as it leaves the lip
    flow [kg/s]            greater than 0
    height [m]             that it falls, 0 to 2
    air_c [deg C]          as for `surface_loss`

    A smooth round stream that starts from rest; one that breaks up loses several times as much. Raises
    InputError outside the ranges. Source: the heat balance of the stream's surface; by hand: 0.25 kg/s of a
    black metal of 10 000 kg/m3 and 500 J/kg/K fall 0.1 m in 0.143 s, at 0.70 m/s in the mean; 6.7 mm thick,
    21 cm2 of surface; 61 kW/m2 by radiation and 36 by air are 205 W on 125 W/K: 1.6 K.

    >>> from dataclasses import replace
    >>> from castlab.materials import alloy
    >>> metal = replace(alloy("pure zinc"), emissivity=1.0, heat_capacity_liquid=500.0, density_solid=10000.0,
    ...                 freezing_contraction=0.0, liquid_contraction=0.0)
    >>> round(stream_loss(metal, 745.0, 0.25, 0.1), 1)
    1.6
    """
    flow = require_positive("flow of the stream", flow, "kg/s")
    height = require_between("height of the fall", height, 0.0, 2.0, "m")
    if height == 0.0:
        return 0.0
    speed = math.sqrt(GRAVITY * height / 2.0)
    diameter = math.sqrt(4.0 * flow / (math.pi * alloy.liquid_density(temp_c) * speed))
    lost = surface_loss(temp_c, alloy.emissivity, air_c, FALLING) * math.pi * diameter * height
    return lost / (flow * alloy.heat_capacity_liquid)


@dataclass(frozen=True)
class WayToMould:
    """Temperature in the furnace [deg C] and what is lost from there to the mould [K], part by part."""

    mould_c: float
    stream: float
    held: float

    @property
    def furnace_c(self):
        """Temperature that the metal must have in the furnace [deg C]."""
        return self.mould_c + self.stream + self.held


def way_to_mould(alloy, mould_c, mass, vessel, time, pour_time, height, air_c=ROOM_C):
    """How hot the metal must be in the furnace to reach the mould at a temperature: a `WayToMould`.

    mould_c [deg C]        wanted as metal enters the mould, above the liquidus
    mass [kg]              poured, greater than 0
    vessel                 the crucible lifted out, or a ladle as hot as the metal: a `Vessel`
    time [s]               from the furnace to the end of the pour, 0 to 600; the last metal counts
    pour_time [s]          greater than 0
    height [m]             of the fall, 0 to 2
    air_c [deg C]          as for `surface_loss`

    Raises InputError outside the ranges. Source: `stream_loss` and `held_temp_c`. Check: what is added here
    is lost again on the way.

    >>> from castlab.materials import alloy
    >>> silver, pot = alloy("fine silver"), Vessel(0.003, 0.02, 400.0)
    >>> way = way_to_mould(silver, 1030, 1.0, pot, 20, 4, 0.1)
    >>> at_lip = held_temp_c(silver, way.furnace_c, 20, 1.0, pot)
    >>> round(at_lip - stream_loss(silver, 1030, 0.25, 0.1), 2)
    1030.0
    """
    mould_c = require_between("temperature in the mould", mould_c, alloy.liquidus_c, 3000.0, "deg C")
    flow = require_positive("mass poured", mass, "kg") / require_positive("time of pouring", pour_time, "s")
    stream = stream_loss(alloy, mould_c, flow, height, air_c)
    time = require_between("time from furnace to mould", time, 0.0, 600.0, "s")
    before = held_temp_c(alloy, mould_c + stream, -time, mass, vessel, air_c)
    return WayToMould(mould_c, stream, before - mould_c - stream)


def _lost(hot, emissivity, air, film):
    """Radiation and air [W/m2], temperatures in kelvin."""
    return emissivity * STEFAN_BOLTZMANN * (hot**4 - air**4) + film * (hot - air)


def _wall_loss(vessel, hot, air, film):
    """What the outside of the wall loses [W/m2]: its temperature [K] by Newton's method, from above."""
    wall, emissivity, resistance = hot, vessel.wall_emissivity, vessel.wall_resistance
    for _ in range(NEWTON_STEPS):
        slope = 4.0 * emissivity * STEFAN_BOLTZMANN * wall**3 + film
        wall -= (wall + resistance * _lost(wall, emissivity, air, film) - hot) / (1.0 + resistance * slope)
    return _lost(wall, emissivity, air, film)


def _slope_over(slope, temp, step):
    """Mean slope over a step (Runge-Kutta, fourth order)."""
    first = slope(temp)
    second = slope(temp + 0.5 * step * first)
    third = slope(temp + 0.5 * step * second)
    return (first + 2.0 * second + 2.0 * third + slope(temp + step * third)) / 6.0
