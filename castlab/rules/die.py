"""Freezing in a die, the frozen skin against time, and what chills and sleeves do to a modulus.

In sand the mould holds the heat back, and time goes with the square of the modulus. In a die the film and
gap between metal and mould hold it back, and time goes with the modulus itself, until the metal's own skin
counts.
"""

import math

from castlab.errors import InputError, require_between, require_known, require_positive
from castlab.rules.filling import superheat
from castlab.rules.freezing import SHAPES, heat_to_freeze, require_slow_mould, wall_above_mould

# How far h sqrt(t) / b may go before the die is no longer near its starting temperature: at 0.5 an exact
# thick wall has taken up 72 % of what a wall that keeps its temperature would.
DIE_WARMS = 0.5
SLEEVE_FACTORS = (1.0, 1.6)


def freezing_time_in_die(modulus, alloy, mould, pour_temp_c, shape="plate"):
    """Time from pouring to the solidus in a die that stays near its temperature [s].

    to the liquidus   t1 = density_liquid c_liquid M / h ln((T_pour - T_die) / (T_liquidus - T_die))
    then to solid     t2 = density_solid H / (T_mean - T_die) (M / h + (1 + n) M^2 / (2 k))

    H is latent heat and the heat of the freezing range, T_mean the middle of that range; the first term is
    the film and gap between metal and die, the second the metal's own skin: n = 0 for a plate, 1 for a bar,
    2 for a ball.

    modulus [m]          volume over cooling surface, greater than 0
    alloy, mould         castlab.materials.Alloy, Mould of kind "die" with an interface coefficient h
    pour_temp_c [deg C]  at or above the liquidus
    shape                "plate", "bar" (round), "square bar" or "ball"

    Raises InputError for any other mould; for pouring below the liquidus; for a die as hot as the metal;
    and where the die itself warms up (h sqrt(t) / b above 0.5: the rule would be a quarter too short), with
    the field as the way out. The interface coefficient is known to a factor of two at best, and so is this.
    Source: cooling to the liquidus is Newton's law, as in the teaching package "Casting" of DoITPoMS,
    University of Cambridge; the film term Flemings, Solidification Processing 1974 (from memory); the skin
    term the exact slow-front solution. By hand, zinc at its freezing point, 5 mm plate from both sides:
    6835 * 112000 / 219.5 * (0.0025 / 1200 + 0.0025^2 / (2 * 97)) = 7.4 s.

    >>> from dataclasses import replace
    >>> from castlab.materials import alloy, mould
    >>> zinc = replace(alloy("pure zinc"), density_solid=6835, latent_heat=112e3, conductivity_solid=97)
    >>> round(freezing_time_in_die(0.0025, zinc, mould("cast-iron die"), zinc.liquidus_c), 1)
    7.4
    """
    modulus = require_positive("modulus", modulus, "m")
    turns, _ = SHAPES[require_known("shape", shape, SHAPES)]
    film = _require_die(mould)
    drive = wall_above_mould((alloy.liquidus_c + alloy.solidus_c) / 2.0, mould)
    above = superheat(alloy, pour_temp_c)
    liquid = alloy.density_liquid * alloy.heat_capacity_liquid * modulus / film
    cooling = liquid * math.log1p(above / wall_above_mould(alloy.liquidus_c, mould))
    skin = (1.0 + turns) * modulus**2 / (2.0 * alloy.conductivity_solid)
    heat = alloy.density_solid * heat_to_freeze(alloy, alloy.liquidus_c)
    time = cooling + heat / drive * (modulus / film + skin)
    _require_cool_die(mould, time)
    return time


def skin_in_sand(time, alloy, mould, pour_temp_c):
    """Thickness of metal frozen on a flat wall of thick sand or plaster [m].

    S = 2/sqrt(pi) b (T_solidus - T_mould) sqrt(t) / (density Q)

    time [s]             since pouring, greater than 0
    alloy, mould, pour_temp_c [deg C]  as for `freezing_time_in_sand`, whose inverse this is

    Raises InputError as that does; the source is the same.

    For metals that freeze as a skin; one with a long freezing range has no sharp skin, and this is where its
    solidus would be. Published check: steel castings show a skin of 0.684 cm after a minute (a lecture
    sheet, superheat not given); here, in hot silica sand, it lies between the skins with 100 K and with none:

    >>> from castlab.materials import alloy, mould
    >>> hot_sand, steel = mould("dry silica sand", hot=True), alloy("carbon steel")
    >>> skin_in_sand(60, steel, hot_sand, 1620) < 0.00684 < skin_in_sand(60, steel, hot_sand, 1520)
    True
    """
    time = require_positive("time", time, "s")
    require_slow_mould(mould)
    drive = wall_above_mould(alloy.solidus_c, mould)
    drawn = 2.0 / math.sqrt(math.pi) * mould.heat_diffusivity * drive * math.sqrt(time)
    return drawn / (alloy.density_solid * heat_to_freeze(alloy, pour_temp_c))


def skin_in_die(time, alloy, mould):
    """Thickness of metal frozen on a flat wall of a die, poured without superheat [m].

    S / h + S^2 / (2 k) = (T_mean - T_die) t / (density H), solved for S

    time [s], greater than 0; alloy, mould, symbols and sources as for `freezing_time_in_die`. Raises
    InputError as that does. The skin grows with time at first and with its root later.

    >>> from castlab.materials import alloy, mould
    >>> zinc, die = alloy("pure zinc"), mould("cast-iron die")
    >>> time = freezing_time_in_die(0.0025, zinc, die, zinc.liquidus_c)
    >>> round(skin_in_die(time, zinc, die), 6)
    0.0025
    """
    time = require_positive("time", time, "s")
    film = _require_die(mould)
    _require_cool_die(mould, time)
    drive = wall_above_mould((alloy.liquidus_c + alloy.solidus_c) / 2.0, mould)
    reach = drive * time / (alloy.density_solid * heat_to_freeze(alloy, alloy.liquidus_c))
    own = alloy.conductivity_solid / film  # thickness of metal that resists as much as film and gap
    return math.sqrt(own**2 + 2.0 * alloy.conductivity_solid * reach) - own


def chill_factor(thickness, chill, sand, time):
    """How many times as much heat a chilled face gives off as the same face in sand, over a time.

    f = C (1 - exp(-h t / C)) / (2/sqrt(pi) b sqrt(t)),  C = density heat_capacity thickness of the chill

    thickness [m]   of the chill, greater than 0
    chill           castlab.materials.Mould of kind "chill" with an interface coefficient h
    sand            the sand or plaster round the rest of the casting
    time [s]        the freezing time, greater than 0: take that of the unchilled casting first, then once
                    more the shorter one

    The chill is taken to be as hot inside as outside (a chill thin against k / h) and to lose nothing
    behind: a balance of heat, ours, for metal and sand that differ by the same temperature. A thin chill
    fills up with heat and is no more than a delay. Raises InputError for another kind of mould.

    By hand: 20 mm of steel, C = 70 200 J/m2/K, 1750 W/m2/K, 60 s: 54 470 against 1186.6 * 1.1284 * 7.746 =
    10 371 J/m2/K:

    >>> from castlab.materials import mould
    >>> round(chill_factor(0.020, mould("steel chill"), mould("green sand"), 60), 2)
    5.25
    """
    thickness = require_positive("thickness of the chill", thickness, "m")
    time = require_positive("time", time, "s")
    require_slow_mould(sand)
    if chill.kind != "chill" or math.isinf(chill.interface_coefficient):
        raise InputError("chill", chill.name, "it must be of kind 'chill' and have an interface coefficient")
    holds = chill.density * chill.heat_capacity * thickness
    taken = -holds * math.expm1(-chill.interface_coefficient * time / holds)
    return taken / (2.0 / math.sqrt(math.pi) * sand.heat_diffusivity * math.sqrt(time))


def chilled_modulus(volume, sand_area, chilled_area, factor):
    """Modulus of a body of which a part lies against a chill: M = V / (A_sand + f A_chill) [m].

    volume [m3], sand_area [m2]  greater than 0
    chilled_area [m2]            0 or more
    factor                       f, 1 or more: `chill_factor`

    Raises InputError otherwise. A balance of heat over the faces; by hand, a 40 mm cube with its base on a
    chill that draws five times as much: 64 / (80 + 5 * 16) = 0.4 cm:

    >>> round(chilled_modulus(64e-6, 80e-4, 16e-4, 5.0), 6)
    0.004
    """
    volume = require_positive("volume", volume, "m3")
    sand_area = require_positive("area in sand", sand_area, "m2")
    chilled_area = require_between("chilled area", chilled_area, 0.0, 1e6, "m2")
    factor = require_between("chill factor", factor, 1.0, 1000.0)
    return volume / (sand_area + factor * chilled_area)


def sleeved_modulus(modulus, factor):
    """Modulus of a feeder in a sleeve, as far as its freezing time goes: factor times its own [m].

    modulus [m]  of the bare feeder, greater than 0
    factor       1 to 1.6; the maker of the sleeve states it for his product and for one metal. Books give
                 1.3 to 1.6 for exothermic sleeves in steel (from memory); no published table of measured
                 factors was found for zinc, aluminium or bronze: use the field there, with the sleeve drawn

    Raises InputError outside the range.

    >>> round(sleeved_modulus(0.010, 1.3), 4)
    0.013
    """
    low, high = SLEEVE_FACTORS
    return require_positive("modulus", modulus, "m") * require_between("sleeve factor", factor, low, high)


def _require_die(mould):
    """The interface coefficient of a die, or a refusal that says what to use."""
    if mould.kind == "die" and math.isfinite(mould.interface_coefficient):
        return mould.interface_coefficient
    if mould.kind in ("sand", "plaster"):
        instead = "use freezing_time_in_sand: the wall governs there"
    else:
        instead = "use chill_factor for a chill, the field for anything else"
    raise InputError("mould", mould.name, f"it must be a die with an interface coefficient; {instead}")


def _require_cool_die(mould, time):
    warms = mould.interface_coefficient * math.sqrt(time) / mould.heat_diffusivity
    if warms > DIE_WARMS:
        reached = f"h sqrt(t) / b = {warms:.2f} after {time:.3g} s"
        allowed = f"up to {DIE_WARMS:g} the die stays near its temperature; beyond that use the field"
        raise InputError("heat taken up by the die", reached, allowed)
