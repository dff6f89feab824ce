"""How fast metal falls, how long a mould takes to fill, and how hard the metal lifts the cope.

Heights are measured from the surface of the metal in the pouring cup. `loss` is the discharge coefficient: 1
for flow without friction, 0.7 to 0.9 for real sprues and gates (common practice).
"""

import math

from castlab.errors import InputError, require_between, require_number, require_positive
from castlab.units import given

GRAVITY = 9.80665  # m/s2, standard


def sprue_velocity(height, loss=1.0, gravity=GRAVITY):
    """Velocity of metal that has fallen a height: v = loss sqrt(2 g h) [m/s].

    height [m]       below the surface in the cup, greater than 0
    loss             discharge coefficient, 0.1 to 1
    gravity [m/s2]   standard; textbooks take 9.81

    Raises InputError outside the ranges. Published example (textbook problem, sprue 175 mm: 1.853 m/s; and
    Groover, example 10.2, from memory, 20 cm: 198.1 cm/s):

    >>> round(sprue_velocity(0.175), 3), round(100 * sprue_velocity(0.20, gravity=9.81), 1)
    (1.853, 198.1)
    """
    height = require_positive("height of the sprue", height, "m")
    loss = require_between("loss", loss, 0.1, 1.0)
    return loss * math.sqrt(2.0 * require_positive("gravity", gravity, "m/s2") * height)


def fill_time(volume, area, head, loss=1.0, gravity=GRAVITY):
    """Time to fill a volume through a choke with a constant head: t = V / (A loss sqrt(2 g head)) [s].

    volume [m3], area [m2]  greater than 0
    head [m]                as `height` of `sprue_velocity`
    loss, gravity [m/s2]    as there

    For gates at or above the top of the cavity, and for a choke that falls free; metal that rises above the
    gate presses back: `fill_time_from_below`. Raises InputError outside the ranges.
    Published example (textbook problem: 1376 cm3, 444 mm2, 175 mm: 1.67 s):

    >>> round(fill_time(1376e-6, 444e-6, 0.175), 2)
    1.67
    """
    volume = require_positive("volume", volume, "m3")
    return volume / (require_positive("area of the choke", area, "m2") * sprue_velocity(head, loss, gravity))


def fill_time_from_below(volume, rise, area, head, loss=1.0, gravity=GRAVITY):
    """Time to fill a cavity of even section through a gate at its bottom [s].

    t = 2 V / (rise A loss sqrt(2 g)) (sqrt(head) - sqrt(head - rise))

    volume [m3], area [m2]  of the cavity and of the gate, greater than 0
    rise [m]                height of the cavity above the gate, greater than 0, not more than the head
    head [m]                from the surface in the cup to the gate
    loss, gravity [m/s2]    as for `sprue_velocity`

    Raises InputError outside the ranges. Published example (Ghosh, Mallik: Manufacturing Science, example on
    gating, from memory: mould 50 x 25 x 15 cm, gate 5 cm2, head 15 cm: 21.86 s from above, 43.71 s from
    below):

    >>> from_above = fill_time(18750e-6, 5e-4, 0.15, gravity=9.81)
    >>> from_below = fill_time_from_below(18750e-6, 0.15, 5e-4, 0.15, gravity=9.81)
    >>> round(from_above, 2), round(from_below / from_above, 6)
    (21.86, 2.0)
    """
    head = require_positive("head", head, "m")
    rise = require_positive("rise", rise, "m")
    if rise > head:
        allowed = "it must not be more than the head, {}: the cavity would never fill"
        raise InputError("rise", given(rise, "m"), allowed, given(head, "m"))
    mean_root = (math.sqrt(head) + math.sqrt(head - rise)) / 2.0
    return fill_time(volume, area, mean_root**2, loss, gravity)


def cope_lift(plan_area, head, density, cavity_in_cope=0.0):
    """Force with which standing metal lifts the cope: F = g density (A head - V) [N].

    plan_area A [m2]          of everything that metal fills, seen from above, greater than 0
    head [m]                  from the top of the metal in the cup to the cavity's flat top; or to the
                              parting, with cavity_in_cope given; greater than 0
    density [kg/m3]           of the liquid, greater than 0
    cavity_in_cope V [m3]     volume of the cavity above the parting, 0 to A head

    Raises InputError otherwise. Source: BCIRA Broadsheet 38, force = area * head * density (read).
    Published example (Whiteley, Iron Founding 1921: 8 inches of iron, 0.261 lb/in3, over 2 square feet: 8 *
    288 * 0.261 = 601 lb of force):

    >>> iron = 0.261 * 0.45359237 / 0.0254**3
    >>> round(cope_lift(288 * 0.0254**2, 8 * 0.0254, iron) / (0.45359237 * GRAVITY))
    601
    """
    area = require_positive("plan area", plan_area, "m2")
    head = require_positive("head", head, "m")
    density = require_positive("density of the liquid", density, "kg/m3")
    volume = require_between("cavity in the cope", cavity_in_cope, 0.0, area * head, "m3")
    return GRAVITY * density * (area * head - volume)


def weight_on_cope(lift, cope_mass, surge=1.5):
    """Mass to lay on the cope, or that clamps must replace: surge * lift / g - cope mass, at least 0 [kg].

    lift [N]        of metal and cores together, any number (a heavy core can pull down)
    cope_mass [kg]  flask and sand that rest on the drag, 0 or more
    surge           1 to 3: the metal arrives moving, and strikes when the mould is full. 1.5 is usual: an old
                    shop manual reckons 105 lb and says 150 (read)

    Too little weight lets hot metal run out at the parting: when in doubt, add. Raises InputError outside
    the ranges. Published example (lecture problem: metal lifts 3469.5 N, the core 856.7 N, the sand weighs
    1650 N; net 2676 N):

    >>> round(GRAVITY * weight_on_cope(3469.5 + 856.7, 1650 / GRAVITY, surge=1.0))
    2676
    """
    lift = require_number("lift", lift, "N")
    cope = require_between("mass of the cope", cope_mass, 0.0, 1e5, "kg")
    return max(0.0, require_between("surge", surge, 1.0, 3.0) * lift / GRAVITY - cope)
