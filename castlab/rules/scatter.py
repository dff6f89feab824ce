"""How certain a freezing time is: the ranges of the properties behind it, carried through the hand rule."""

import math

from castlab.materials import values
from castlab.rules.filling import superheat
from castlab.rules.thick_wall import SLOW_MOULDS


def scatter_of_freezing_time(alloy, mould, pour_temp_c):
    """Half-width of the range of a freezing time, as a share of it, from the ranges in castlab/data.

    In sand and plaster   t ~ (density Q)^2 / (k_m density_m c_m)
    in a die              t ~ density Q / h
    Q = c_liquid (T_pour - T_liquidus) + latent heat + (c_liquid + c_solid)/2 (T_liquidus - T_solidus)

    Each property counts with half the logarithm of high / low, times the power with which it stands in t (a
    part of Q: times its share of Q too); they are independent of each other, so that their squares add up.

    alloy, mould           castlab.materials.Alloy, Mould; of the data files, hot sand too
    pour_temp_c [deg C]    at or above the liquidus

    Raises InputError for a pour below the liquidus and for a material that is not in the data files. A
    chill, a sleeve and the shape are left out: what they change, changes the low end and the high end alike.
    So is the contact of sand, which counts in thin walls only.
    Source: the rule of `freezing_time_in_sand` and `freezing_time_in_die`; sum of squares as in JCGM
    100:2008, Guide to the expression of uncertainty in measurement, section 5 (from memory). By hand, fine
    silver of 962 deg C in green sand: of the sand 1/2 ln(1.2/0.6) = 0.347, 1/2 ln(1.7/1.5) = 0.063 and
    1/2 ln(1.2/1.0) = 0.091, of the metal 2 * 1/2 ln(110.8/104) = 0.063 and 2 * 1/2 ln(9880/9780) = 0.010;
    the root of the squares is 0.37:

    >>> from castlab.materials import alloy, mould
    >>> round(scatter_of_freezing_time(alloy("fine silver"), mould("green sand"), 961.78), 2)
    0.37
    """
    above = superheat(alloy, pour_temp_c)
    slow = mould.kind in SLOW_MOULDS
    metal, around = _half_widths(alloy.name), _half_widths(mould.name.removesuffix(", hot"))
    conductivity = "conductivity_hot" if mould.name.endswith(", hot") else "conductivity"
    of_mould = (conductivity, "density", "heat_capacity") if slow else ("interface_coefficient",)
    of_metal = _shares_of_heat(alloy, above) | {"density_solid": 1.0}
    power = 2.0 if slow else 1.0
    terms = [around[name] for name in of_mould]
    terms += [power * share * metal[name] for name, share in of_metal.items()]
    return math.hypot(*terms)


def _shares_of_heat(alloy, above):
    """What each property adds to the heat of freezing, as a share of all."""
    half_range = 0.5 * alloy.freezing_range
    parts = {"latent_heat": alloy.latent_heat, "heat_capacity_solid": half_range * alloy.heat_capacity_solid,
             "heat_capacity_liquid": (above + half_range) * alloy.heat_capacity_liquid}
    return {name: part / sum(parts.values()) for name, part in parts.items()}


def _half_widths(name):
    """{quantity: half the logarithm of high / low} of a material in the data files, where above 0."""
    return {each.quantity: 0.5 * math.log(each.high / each.low)
            for each in values(name) if each.low > 0.0}
