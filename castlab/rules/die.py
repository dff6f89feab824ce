"""Freezing in a die.

In sand the mould holds the heat back, and time goes with the square of the modulus. In a die the film and
gap between metal and mould hold it back, and time goes with the modulus itself, until the metal's own skin
counts.
"""

import math

from castlab.errors import InputError, require_known, require_positive
from castlab.rules.filling import superheat
from castlab.rules.freezing import SHAPES, heat_to_freeze, wall_above_mould

# How far h sqrt(t) / b may go before the die is no longer near its starting temperature: at 0.5 an exact
# thick wall has taken up 72 % of what a wall that keeps its temperature would.
DIE_WARMS = 0.5


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


def _require_die(mould):
    """The interface coefficient of a die, or a refusal that says what to use."""
    if mould.kind == "die" and math.isfinite(mould.interface_coefficient):
        return mould.interface_coefficient
    sand = mould.kind in ("sand", "plaster")
    instead = "use freezing_time_in_sand: the wall governs there" if sand else "use the field"
    raise InputError("mould", mould.name, f"it must be a die with an interface coefficient; {instead}")


def _require_cool_die(mould, time):
    warms = mould.interface_coefficient * math.sqrt(time) / mould.heat_diffusivity
    if warms > DIE_WARMS:
        reached = f"h sqrt(t) / b = {warms:.2f} after {time:.3g} s"
        allowed = f"up to {DIE_WARMS:g} the die stays near its temperature; beyond that use the field"
        raise InputError("heat taken up by the die", reached, allowed)
