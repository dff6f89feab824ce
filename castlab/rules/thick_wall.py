"""What a thick mould of sand or plaster draws from the metal, through the contact at its face."""

import math

SLOW_MOULDS = ("sand", "plaster")


def drawn_by_wall(time, mould, curvature=0.0):
    """Heat that a thick wall has drawn, for each kelvin of the metal's surface above it [J/m2/K].

    2/sqrt(pi) b sqrt(t) - b^2/h (1 - exp(x^2) erfc(x)) + k c t,   x = h sqrt(t) / b

    time t [s]           since metal of one temperature touched the wall, 0 or more
    mould                a castlab.materials.Mould: heat diffusivity b, conductivity k, contact h
    curvature c [1/m]    half of all radii of curvature, one over each: 0 on a plate, 1/(2 r) round a bar,
                         1/r round a ball; at first, while heat has reached less than r

    Source: a half-space heated through a surface coefficient, Carslaw and Jaeger, Conduction of Heat in
    Solids, Oxford 1959 (from memory); without contact the second term is 0, and after a while it is b^2/h.
    Worked by hand, b = 1000, h = 1000, 1 s, x = 1: 1128.4 - 1000 * (1 - 2.71828 * 0.157299) = 556.0.

    >>> from castlab.materials import Mould
    >>> round(drawn_by_wall(1.0, Mould("sand", "sand", 1.0, 1000.0, 1000.0, 25.0, 1000.0)), 1)
    556.0
    """
    root = math.sqrt(time)
    drawn = 2.0 / math.sqrt(math.pi) * mould.heat_diffusivity * root + mould.conductivity * curvature * time
    if math.isinf(mould.interface_coefficient):
        return drawn
    from scipy.special import erfcx  # here, so that the other rules start without scipy

    held_back = 1.0 - float(erfcx(mould.interface_coefficient * root / mould.heat_diffusivity))
    return drawn - mould.heat_diffusivity**2 / mould.interface_coefficient * held_back


def time_to_draw(heat, mould, curvature=0.0):
    """When a thick wall has drawn so much heat: `drawn_by_wall` solved for the time [s].

    heat [J/m2/K]  for each kelvin of the metal's surface above the mould, 0 or more
    mould, curvature [1/m]  as for `drawn_by_wall`, whose source it shares

    By hand, without contact resistance, b = 1000: (1128.4 / 1128.4)^2 = 1 s.

    >>> from castlab.materials import Mould
    >>> round(time_to_draw(1128.4, Mould("sand", "sand", 1.0, 1000.0, 1000.0, 25.0)), 3)
    1.0
    """
    soonest = _without_contact(heat, mould, curvature)
    if math.isinf(mould.interface_coefficient) or heat == 0.0:
        return soonest
    from scipy.optimize import brentq  # here, so that the other rules start without scipy

    held_back = mould.heat_diffusivity**2 / mould.interface_coefficient
    latest = _without_contact(heat + held_back, mould, curvature)
    return brentq(lambda time: drawn_by_wall(time, mould, curvature) - heat, soonest, latest, rtol=1e-12)


def _without_contact(heat, mould, curvature):
    flat = 2.0 / math.sqrt(math.pi) * mould.heat_diffusivity
    root_of_time = 2.0 * heat / (flat + math.sqrt(flat**2 + 4.0 * mould.conductivity * curvature * heat))
    return root_of_time**2
