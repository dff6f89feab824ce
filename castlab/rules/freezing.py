"""How long a body takes to freeze and how thick its skin is: in sand by first principles, and by a trial."""

import math

from castlab.errors import InputError, require_known, require_number, require_positive
from castlab.rules.filling import superheat
from castlab.rules.thick_wall import SLOW_MOULDS, drawn_by_wall, time_to_draw
from castlab.units import given

# For each shape: how many radii of curvature bend its surface, and its radius in moduli (M = r/2 for a
# round bar, r/3 for a ball). A plate's surface is flat. A square bar is bent at its corners only: each takes
# up 0.60 k T t more per length than the flat sides beside it (M. van den Berg, S. Srisatkunarajah,
# Probability Theory and Related Fields 86 (1990) 41, from memory), as much as a roundness of r = 3.32 M.
SHAPES = {"plate": (0, math.inf), "bar": (1, 2.0), "square bar": (1, 3.32), "ball": (2, 3.0)}


def heat_to_freeze(alloy, pour_temp_c):
    """Heat that leaves a kilogram of metal from pouring to its solidus [J/kg].

    Q = c_liquid (T_pour - T_liquidus) + latent heat + (c_liquid + c_solid)/2 (T_liquidus - T_solidus)

    alloy        a castlab.materials.Alloy
    pour_temp_c  [deg C] at or above the liquidus; raises InputError below it

    Check against a source (Zn-11Al from 472 to 381 deg C gives off 186 kJ/kg, calculated from the
    thermodynamic descriptions of an Mey 1993; this sum of handbook values is 6 % less):

    >>> from castlab.materials import alloy
    >>> round(heat_to_freeze(alloy("ZA-12"), 472) / 186e3, 2)
    0.94
    """
    above = alloy.heat_capacity_liquid * superheat(alloy, pour_temp_c)
    between = (alloy.heat_capacity_liquid + alloy.heat_capacity_solid) / 2.0 * alloy.freezing_range
    return above + alloy.latent_heat + between


def freezing_time_in_sand(modulus, alloy, mould, pour_temp_c, shape="plate", wall_temp_c=None):
    """Time from pouring to the solidus in a thick mould of sand or plaster [s].

    M density Q = (T_wall - T_mould) (2/sqrt(pi) b sqrt(t) - b^2/h + n k t / (2 r)), solved for t

    Q is `heat_to_freeze`; b, k and h are the mould's heat diffusivity, conductivity and contact. What the
    contact holds back is b^2/h after the first seconds, and less before (`drawn_by_wall`). The last term is
    the extra heat that goes into the mould round a curved surface: n = 0 for a plate, 1 for a round bar
    (r = 2 M), 2 for a ball (r = 3 M); the corners of a square bar count as n = 1 and r = 3.32 M.

    modulus [m]          volume over cooling surface, greater than 0
    alloy, mould         castlab.materials.Alloy, Mould
    pour_temp_c [deg C]  at or above the liquidus
    shape                "plate", "bar" (round), "square bar" or "ball"
    wall_temp_c [deg C]  of the metal's surface while it freezes; the solidus if not given

    Taking the solidus for the wall is simple and, in sand at room temperature, within about 10 % of a
    computed plate for the alloys of the data files (too long by that much for the longest freezing range).
    In a mould nearly as hot as the solidus it says little.

    Raises InputError for a die or chill, where the surface coefficient and the metal's own skin govern and
    time goes with the modulus rather than its square; for an insulating sleeve, through which the heat soon
    passes; for pouring below the liquidus; for a mould as hot as the wall.
    Source: Flemings, M. C.: Solidification Processing. McGraw-Hill 1974 (from memory); curvature as in
    Poirier and Geiger, Transport Phenomena in Materials Processing, TMS 1994 (from memory). Published
    check: in steel foundries the frozen skin is 0.684 cm after one minute and grows with the root of time
    (a lecture sheet), so that a plate with M = 1 cm, poured without superheat, needs 2.1 min; here, in hot
    silica sand, 1.8 min:

    >>> from castlab.materials import alloy, mould
    >>> hot_sand = mould("dry silica sand", hot=True)
    >>> round(freezing_time_in_sand(0.01, alloy("carbon steel"), hot_sand, 1520) / 60, 1)
    1.8
    """
    modulus = require_positive("modulus", modulus, "m")
    turns, radius_in_moduli = SHAPES[require_known("shape", shape, SHAPES)]
    require_slow_mould(mould)
    drive = wall_above_mould(alloy.solidus_c if wall_temp_c is None else wall_temp_c, mould)
    heat = modulus * alloy.density_solid * heat_to_freeze(alloy, pour_temp_c) / drive
    return time_to_draw(heat, mould, turns / (2.0 * radius_in_moduli * modulus))


def skin_in_sand(time, alloy, mould, pour_temp_c):
    """Thickness of metal frozen on a flat wall of thick sand or plaster [m].

    S = (2/sqrt(pi) b sqrt(t) - b^2/h) (T_solidus - T_mould) / (density Q)

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
    return drive * drawn_by_wall(time, mould) / (alloy.density_solid * heat_to_freeze(alloy, pour_temp_c))


def constant_from_trial(freezing_time, modulus):
    """Chvorinov's constant from a casting whose freezing time is known: B = t / M^2 [s/m2].

    freezing_time [s] and modulus [m], both greater than 0; raises InputError otherwise. 1 min/cm2 is
    600 000 s/m2. The constant holds for the same alloy, mould and pouring temperature only.

    Published example (Groover, example 10.3: 1.6 min with V/A = 0.70 cm gives 3.26 min/cm2, from unrounded
    V/A):

    >>> round(constant_from_trial(1.6 * 60, 187.5e-6 / 267.5e-4) / 600e3, 2)
    3.26
    """
    time = require_positive("freezing time", freezing_time, "s")
    return time / require_positive("modulus", modulus, "m") ** 2


def freezing_time(modulus, constant):
    """Freezing time by Chvorinov's rule: t = B M^2 [s].

    modulus [m] and constant B [s/m2], both greater than 0 (`constant_from_trial`, in the same mould and
    alloy); raises InputError otherwise. Source: Chvorinov, N., Die Giesserei 27 (1940) 177-186.

    Published example (lecture problem: a cube of 50 mm freezes in 155 s; a cylinder of 30 mm diameter, 50
    mm long, in the same sand freezes in 74.3 s):

    >>> from castlab.rules.modulus import box, cylinder
    >>> constant = constant_from_trial(155, box(0.05, 0.05, 0.05))
    >>> round(freezing_time(cylinder(0.03, 0.05), constant), 1)
    74.3
    """
    constant = require_positive("Chvorinov's constant", constant, "s/m2")
    return constant * require_positive("modulus", modulus, "m") ** 2


def require_slow_mould(mould):
    """Refuse what is not thick sand or plaster, and say why.

    mould   a castlab.materials.Mould

    Raises InputError for a die, a chill or a sleeve. Source: the assumptions of `freezing_time_in_sand`.

    >>> from castlab.materials import mould
    >>> require_slow_mould(mould("green sand"))
    >>> require_slow_mould(mould("insulating sleeve"))
    Traceback (most recent call last):
        ...
    castlab.errors.InputError: mould is insulating sleeve: it must be thick sand or plaster; \
heat soon passes through the thin wall of a sleeve
    """
    if mould.kind in SLOW_MOULDS:
        return
    if mould.kind == "sleeve":
        reason = "heat soon passes through the thin wall of a sleeve"
    else:
        reason = "here the surface coefficient and the metal's own skin govern: see freezing_time_in_die"
    raise InputError("mould", mould.name, f"it must be thick sand or plaster; {reason}")


def wall_above_mould(wall_temp_c, mould):
    """How much hotter the metal's surface is than the mould: T_wall - T_mould [K].

    wall_temp_c [deg C]  of the metal's surface
    mould                a castlab.materials.Mould; its starting temperature counts

    Raises InputError for a mould that is as hot. By definition; by hand, 380 and 25 deg C:

    >>> from castlab.materials import mould
    >>> wall_above_mould(380.0, mould("green sand"))
    355.0
    """
    wall_temp_c = require_number("temperature of the metal's surface", wall_temp_c, "deg C")
    drive = wall_temp_c - mould.start_temp_c
    if drive <= 0.0:
        allowed = "it must be below the temperature of the metal's surface, {}"
        raise InputError("mould temperature", given(mould.start_temp_c, "deg C"), allowed,
                         given(wall_temp_c, "deg C"))
    return drive
