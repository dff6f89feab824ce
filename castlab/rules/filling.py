"""Superheat, and how far metal runs in a channel before it stops."""

import math

from castlab.errors import InputError, require_between, require_number, require_positive
from castlab.rules.thick_wall import SLOW_MOULDS, drawn_by_wall, time_to_draw
from castlab.units import given

BLASIUS = 0.316  # friction of a smooth round channel, turbulent (Blasius 1913, from memory)


def superheat(alloy, pour_temp_c):
    """How far above its liquidus metal is poured: T_pour - T_liquidus [K].

    alloy        a castlab.materials.Alloy
    pour_temp_c  [deg C]

    Raises InputError for pouring below the liquidus, where crystals are already in the melt.

    Published example (zinc freezes at 419.527 deg C, ITS-90):

    >>> from castlab.materials import alloy
    >>> round(superheat(alloy("pure zinc"), 469.527), 3)
    50.0
    """
    pour_temp_c = require_number("pouring temperature", pour_temp_c, "deg C")
    above = pour_temp_c - alloy.liquidus_c
    if above < 0.0:
        raise InputError("pouring temperature", given(pour_temp_c, "deg C"),
                         "it must be at least the liquidus of {}, {}", alloy.name,
                         given(alloy.liquidus_c, "deg C"))
    return above


def superheat_window(alloy):
    """The superheats usual for this alloy, (lowest, highest) [K], from its range of pouring temperatures.

    Common practice, and a judgement: thin sections want the upper end, heavy ones the lower. A rule for all
    metals that is often heard is 50 to 100 K.

    >>> from castlab.materials import alloy
    >>> superheat_window(alloy("A356"))
    (65.0, 135.0)
    """
    low, high = alloy.pour_range_c
    return low - alloy.liquidus_c, high - alloy.liquidus_c


def judge_superheat(alloy, pour_temp_c):
    """Where a pouring temperature lies against the usual window: "cold", "usual" or "hot" (common practice).

    alloy                a castlab.materials.Alloy
    pour_temp_c [deg C]  at or above the liquidus

    Cold risks a misrun or a cold shut; hot costs feed metal, gas, dross and a coarser structure.
    Raises InputError for pouring below the liquidus.

    >>> from castlab.materials import alloy
    >>> judge_superheat(alloy("A356"), 790)
    'hot'
    """
    above = superheat(alloy, pour_temp_c)
    low, high = superheat_window(alloy)
    return "cold" if above < low else "hot" if above > high else "usual"


def stopping_fraction(alloy):
    """Share of solid at which a running stream stops.

    1 where the metal freezes as a skin from the wall (pure metals, or an arrest that comes while the crystals
    can still move); else the solid fraction above which the mush no longer moves as a slurry, which is a
    judgement of the data. Flemings gives about 0.2 to 0.5 for long freezing ranges (Solidification
    Processing 1974, from memory).

    >>> from castlab.materials import alloy
    >>> stopping_fraction(alloy("fine silver")), stopping_fraction(alloy("tin bronze"))
    (1.0, 0.2)
    """
    return 1.0 if alloy.arrest_fraction <= alloy.mobile_limit else alloy.mobile_limit


def running_time(channel_radius, alloy, mould, pour_temp_c, stops_at=None):
    """How long metal runs in a round channel before it stops [s].

    Heat to be lost a volume       q = density (stops_at latent_heat + heat_capacity_liquid superheat)
    through a surface coefficient  t = radius q / (2 h (T_liquidus - T_mould))
    into thick sand                2/sqrt(pi) b sqrt(t) - b^2/h = radius q / (2 (T_liquidus - T_mould))

    channel_radius [m]      greater than 0
    alloy, mould            castlab.materials.Alloy, Mould; a die with an interface coefficient h [W/m2/K]
                            keeps its temperature; in sand its heat diffusivity b [J/m2/K/s^0.5] counts too
                            (`castlab.rules.thick_wall`)
    pour_temp_c [deg C]     in the channel's mouth, at or above the liquidus
    stops_at                share of solid that stops the stream, 0 to 1; `stopping_fraction(alloy)` if not
                            given

    The contact of sand is known to a factor of three at best: in walls of a few millimetres, which of sand
    and a warm, coated die lets the metal run longer is more than this rule can tell.

    Raises InputError for pouring below the liquidus, or for a mould as hot as the liquidus.
    Source: Flemings, M. C.: Solidification Processing. McGraw-Hill 1974, chapter on fluidity (from memory);
    the form for sand is the same heat balance with the flow of heat into a thick wall. Worked by hand, a
    channel of 5 mm diameter, liquid metal of 2389 kg/m3 that stops when all is solid, in a die: 2389 *
    0.0025 * (397000 + 1177 * 50) / (2 * 1200 * 460.3) = 2.46 s.

    >>> from castlab.materials import alloy, mould
    >>> round(running_time(0.0025, alloy("pure aluminium"), mould("cast-iron die"), 710.323), 2)
    2.46
    """
    held = require_positive("channel radius", channel_radius, "m")
    held *= _held_by_radius(alloy, mould, pour_temp_c, stops_at)
    return held / mould.interface_coefficient if _is_film(mould) else time_to_draw(held, mould)


def _held_by_radius(alloy, mould, pour_temp_c, stops_at):
    """Heat to be lost through the wall, for each kelvin above the mould and metre of radius [J/m3/K]."""
    above = superheat(alloy, pour_temp_c)
    share = stopping_fraction(alloy) if stops_at is None else stops_at
    share = require_between("share of solid that stops the stream", share, 0.0, 1.0)
    heat = alloy.density_liquid * (share * alloy.latent_heat + alloy.heat_capacity_liquid * above)
    drive = alloy.liquidus_c - mould.start_temp_c
    if drive <= 0.0:
        raise InputError("mould temperature", given(mould.start_temp_c, "deg C"),
                         "it must be below the liquidus of {}, {}", alloy.name,
                         given(alloy.liquidus_c, "deg C"))
    return heat / (2.0 * drive)


def _is_film(mould):
    """Whether the film at its face alone governs: a mould that keeps its temperature."""
    return mould.kind not in SLOW_MOULDS and math.isfinite(mould.interface_coefficient)


def fluidity_length(channel_radius, velocity, alloy, mould, pour_temp_c, stops_at=None):
    """How far metal runs in a round channel before it stops: L = velocity * running time [m].

    velocity [m/s]  greater than 0, taken as constant until the metal stops: a gate or a ladle rations it
                    (`fluidity_length_under_head` where a head alone drives it)
    channel_radius [m], alloy, mould, pour_temp_c [deg C], stops_at  as for `running_time`

    Raises InputError as that does; the source is the same. An estimate for comparing metals, moulds and
    temperatures: a factor of two either way is no surprise, because oxide skins, surface tension and back
    pressure are left out.

    >>> from castlab.materials import alloy, mould
    >>> round(fluidity_length(0.0025, 0.5, alloy("pure aluminium"), mould("cast-iron die"), 710.323), 2)
    1.23
    """
    velocity = require_positive("velocity", velocity, "m/s")
    return velocity * running_time(channel_radius, alloy, mould, pour_temp_c, stops_at)


def fluidity_length_under_head(channel_radius, velocity, alloy, mould, pour_temp_c, stops_at=None):
    """How far metal runs in a round channel that a steady head or suction fills, slowed by friction [m].

    L = d / f ((1 + 3 f V t / (2 d))^(2/3) - 1),   f = 0.316 (density V d / viscosity)^-0.25

    d is the channel's diameter, t the `running_time`. The head that gives the velocity V to metal at the
    mouth has to push all metal in the channel along its wall: V / sqrt(1 + f x / d) once it has run x. So a
    long run grows with the power 2/3 of the running time, and with about 3/4 of the velocity.

    velocity V [m/s]  that the head gives at the mouth, `gating.sprue_velocity`; greater than 0
    channel_radius [m], alloy, mould, pour_temp_c [deg C], stops_at  as for `running_time`

    Raises InputError as that does. Left out: oxide skin and surface tension, bends, lifting the metal, how
    long suction takes to build up, and that f grows as the metal slows. Source: friction after Darcy and
    Weisbach with the factor of Blasius for smooth walls, integrated over the run (from memory of any
    textbook of hydraulics); that friction governs in suction tubes: J. Japan Foundrymen's Soc. 67 (1995) 246,
    abstract (read). By hand, aluminium in a die for 2.46 s: f = 0.316 (2377 * 0.5 * 0.005 / 0.0013)^-0.25 =
    0.0384, so 0.130 * ((1 + 14.17)^(2/3) - 1) = 0.67 m, against 1.23 m at constant speed.

    >>> from castlab.materials import alloy, mould
    >>> metal, die = alloy("pure aluminium"), mould("cast-iron die")
    >>> round(fluidity_length_under_head(0.0025, 0.5, metal, die, 710.323), 2)
    0.67
    """
    velocity = require_positive("velocity", velocity, "m/s")
    straight = fluidity_length(channel_radius, velocity, alloy, mould, pour_temp_c, stops_at)
    wide = 2.0 * channel_radius
    slows = BLASIUS * (alloy.density_liquid * velocity * wide / alloy.viscosity) ** -0.25 / wide
    return ((1.0 + 1.5 * slows * straight) ** (2.0 / 3.0) - 1.0) / slows


def thinnest_section(distance, velocity, alloy, mould, pour_temp_c, stops_at=None):
    """The thinnest flat wall that metal fills over a distance before it stops [m].

    A wall of thickness s has the modulus s / 2 of a round channel of radius s: `fluidity_length` of that
    channel is the distance. In a die s goes with the distance, in thick walls of sand with its root.

    distance [m]  from the gate to the far end of the wall, greater than 0
    velocity [m/s], alloy, mould, pour_temp_c [deg C], stops_at  as for `fluidity_length`

    Raises InputError as that does; the source is the same.

    Heat alone is asked here. Surface tension and the oxide skin add a limit of their own: walls below 2 to 3
    mm in sand need a head or a vent even if this rule lets them fill (common practice). Worked by hand from
    `running_time`, 2.46 s for 2.5 mm in a die: at 0.5 m/s that wall fills 1.23 m.

    >>> from castlab.materials import alloy, mould
    >>> round(1000 * thinnest_section(1.23, 0.5, alloy("pure aluminium"), mould("cast-iron die"), 710.323), 1)
    2.5
    """
    distance = require_positive("distance", distance, "m")
    needed = distance / require_positive("velocity", velocity, "m/s")
    held = _held_by_radius(alloy, mould, pour_temp_c, stops_at)
    if held == 0.0:
        raise InputError("pouring temperature", given(pour_temp_c, "deg C"),
                         "the metal has no heat to run with")
    drawn = mould.interface_coefficient * needed if _is_film(mould) else drawn_by_wall(needed, mould)
    return drawn / held
