"""What scales and a stop-watch tell about a casting, to be compared with a prediction.

A hole that is closed all round makes the casting lighter than its volume should be: weigh it in air and in
water. A plate whose freezing time was taken says how strongly the mould draws heat.
"""

import math
from dataclasses import replace

import numpy as np

from castlab.errors import InputError, require_between, require_known, require_positive
from castlab.materials import mould, values
from castlab.rules.freezing import SHAPES, heat_to_freeze, require_slow_mould, wall_above_mould
from castlab.rules.thick_wall import drawn_by_wall
from castlab.units import given

MOST_BY_CONTACT = 0.95  # of what the contact alone lets through; nearer to it, any b would do

# Density of pure water at these temperatures [deg C, kg/m3]; CRC Handbook of Chemistry and Physics, from
# memory.
WATER = ((5.0, 999.97), (10.0, 999.70), (15.0, 999.10), (20.0, 998.21), (25.0, 997.05), (30.0, 995.65))


def water_density(temp_c=20.0):
    """Density of pure water [kg/m3], on straight lines between the rows of a table.

    temp_c [deg C]  5 to 30; raises InputError outside

    Source: CRC Handbook of Chemistry and Physics (from memory).

    >>> water_density(20.0)
    998.21
    """
    temp_c = require_between("temperature of the water", temp_c, WATER[0][0], WATER[-1][0], "deg C")
    return float(np.interp(temp_c, *zip(*WATER, strict=True)))


def density_in_water(in_air, in_water, water=998.21):
    """Density of a casting weighed in air and hung in water: m_air / (m_air - m_water) water [kg/m3].

    in_air [kg]       greater than 0
    in_water [kg]     what the scales show while it hangs wholly in water, 0 or more and less than in air
    water [kg/m3]     density of the water, 900 to 1100 (`water_density`)

    The buoyancy of air is left out: it changes a metal's density by about 0.1 % at most. Raises InputError
    outside the ranges. Source: Archimedes' principle. Published example (OpenStax, College Physics, on
    Archimedes' principle, from memory: a coin of 8.630 g shows 7.800 g in water of 1.000 g/cm3: 10.4 g/cm3):

    >>> round(density_in_water(8.630e-3, 7.800e-3, 1000.0) / 1000, 1)
    10.4
    """
    in_air, in_water, water = _weighed(in_air, in_water, water)
    return in_air / (in_air - in_water) * water


def closed_holes(in_air, in_water, sound_density, water=998.21, reads_to=0.0, density_error=0.0):
    """Volume of the holes that no water enters, and how far it may be wrong: (V, dV) [m3].

    V = (m_air - m_water) / water - m_air / sound
    dV^2 = 2 (dm / water)^2 + (m_air d_sound / sound^2)^2

    in_air, in_water, water       as in `density_in_water`
    sound_density [kg/m3]         of the same metal without holes, at room temperature; greater than 0. Best
                                  is a small piece of the same melt that froze fast, weighed in the same way
    reads_to dm [kg]              to which the scales can be read, 0 or more
    density_error d_sound [kg/m3] by which the sound density may be wrong, 0 or more

    A negative volume within dV means: no hole that can be measured. A negative one beyond it means: the sound
    density is too low. Raises InputError outside the ranges. Source: Archimedes' principle; the errors add as
    squares (common practice). By hand: 1000 g in air and 850 g in water of 1 g/cm3 push away 150 cm3; sound,
    at 7 g/cm3, the casting would take 142.9 cm3; so 7.1 cm3 are hollow. Scales that read to 1 g leave
    1.4 cm3 open:

    >>> volume, error = closed_holes(1.0, 0.85, 7000.0, 1000.0, reads_to=1e-3)
    >>> round(1e6 * volume, 1), round(1e6 * error, 1)
    (7.1, 1.4)
    """
    in_air, in_water, water = _weighed(in_air, in_water, water)
    sound = require_positive("density of sound metal", sound_density, "kg/m3")
    reads_to = require_between("what the scales read to", reads_to, 0.0, 0.1, "kg")
    density_error = require_between("error of the sound density", density_error, 0.0, 0.5 * sound, "kg/m3")
    volume = (in_air - in_water) / water - in_air / sound
    error = math.hypot(math.sqrt(2.0) * reads_to / water, in_air * density_error / sound**2)
    return volume, error


def heat_diffusivity_from_trial(freezing_time, modulus, alloy, around, pour_temp_c, shape="plate"):
    """Heat diffusivity of a mould from one casting whose freezing time was taken [J/m2/K/s^0.5].

    2/sqrt(pi) b sqrt(t) - b^2/h + n k t / (2 r) = M density Q / (T_solidus - T_mould), solved for b

    This is `castlab.rules.freezing.freezing_time_in_sand`, its source, read the other way round.

    freezing_time t [s]   from the pour until a thermocouple in its middle passes the solidus, greater than 0
    modulus M [m]         volume over cooling surface, greater than 0; of a wide plate half its thickness
    alloy, around         castlab.materials.Alloy, Mould; of the mould, its temperature before the pour, its
                          contact h and, for a bar or ball, its conductivity are taken
    pour_temp_c [deg C]   at or above the liquidus
    shape                 "plate", "bar" or "ball"

    Raises InputError for a mould that is no thick sand or plaster, for a time so long that the heat that
    spreads round a bar or ball is more than the metal held, and for one so short that the contact alone takes
    as long. By hand, without a contact (a plate that needs four times as long has a mould with half the b):

    >>> from dataclasses import replace
    >>> from castlab.materials import alloy, mould
    >>> from castlab.rules.freezing import freezing_time_in_sand
    >>> sand, metal = replace(mould("green sand"), interface_coefficient=math.inf), alloy("ZA-12")
    >>> slow = 4 * freezing_time_in_sand(0.005, metal, sand, 475.0)
    >>> round(heat_diffusivity_from_trial(slow, 0.005, metal, sand, 475.0) / sand.heat_diffusivity, 3)
    0.5
    """
    time = require_positive("freezing time", freezing_time, "s")
    modulus = require_positive("modulus", modulus, "m")
    turns, radius_in_moduli = SHAPES[require_known("shape", shape, SHAPES)]
    require_slow_mould(around)
    drive = wall_above_mould(alloy.solidus_c, around)
    held = modulus * alloy.density_solid * heat_to_freeze(alloy, pour_temp_c) / drive
    curvature = turns / (2.0 * radius_in_moduli * modulus)
    flat = held - curvature * around.conductivity * time
    if flat <= 0.0:
        raise InputError("freezing time", f"{time:g} s", "it is longer than the heat of this body can last")
    if held > MOST_BY_CONTACT * around.interface_coefficient * time:
        raise InputError("freezing time", f"{time:g} s", "the contact lets this body freeze more slowly only")
    lowest = math.sqrt(math.pi) / 2.0 * flat / math.sqrt(time)
    if math.isinf(around.interface_coefficient):
        return lowest
    from scipy.optimize import brentq  # here, so that the other rules start without scipy

    def too_much(diffusivity):
        capacity = around.heat_capacity * (diffusivity / around.heat_diffusivity) ** 2
        return drawn_by_wall(time, replace(around, heat_capacity=capacity), curvature) - held

    highest = 2.0 * lowest
    while too_much(highest) < 0.0:
        highest *= 2.0
    return brentq(too_much, lowest, highest, rtol=1e-12)


def heat_diffusivity_band(name):
    """Lowest and highest heat diffusivity that the data give for a mould [J/m2/K/s^0.5]: sqrt(k density c).

    name   a mould of castlab/data; conductivity, density and heat capacity each at the end of its range.
    Raises InputError for an unknown name. b by definition; by hand from the ranges of green sand in
    castlab/data, sqrt(0.6 * 1500 * 1000) and sqrt(1.2 * 1700 * 1200):

    >>> [round(each) for each in heat_diffusivity_band("green sand")]
    [949, 1565]
    """
    mould(name)
    ends = {each.quantity: (each.low, each.high) for each in values(name)}
    factors = [ends[quantity] for quantity in ("conductivity", "density", "heat_capacity")]
    low, high = (math.sqrt(math.prod(pair[end] for pair in factors)) for end in (0, 1))
    return low, high


def _weighed(in_air, in_water, water):
    in_air = require_positive("weight in air", in_air, "kg")
    in_water = require_between("weight in water", in_water, 0.0, in_air, "kg")
    water = require_between("density of the water", water, 900.0, 1100.0, "kg/m3")
    if in_water == in_air:
        raise InputError("weight in water", given(in_water, "kg"), "it must be less than in air")
    return in_air, in_water, water
