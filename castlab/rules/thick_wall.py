"""What a thick mould of sand or plaster draws from the metal, through the contact at its face."""

import math

SLOW_MOULDS = ("sand", "plaster")
CLOSE = 1e-10  # share of the heat that may be left over


def drawn_by_wall(time, mould, curvature=0.0):
    """Heat that a thick wall has drawn, for each kelvin of the metal's surface above it [J/m2/K].

    s^2 (2/sqrt(pi) b sqrt(t) - b^2/g (1 - exp(x^2) erfc(x))) + s k c t
    g = h + k c,   s = h / g,   x = g sqrt(t) / b

    time t [s]           since metal of one temperature touched the wall, 0 or more
    mould                a castlab.materials.Mould: heat diffusivity b, conductivity k, contact h
    curvature c [1/m]    0 on a plate, 1/r round a ball, and half of that round a bar while heat has reached
                         less than r

    On a plate s is 1 and g is h; where the wall touches everywhere (h without end) 2/sqrt(pi) b sqrt(t) +
    k c t is left. Source: plate and ball heated through a surface coefficient, Carslaw and Jaeger, Conduction
    of Heat in Solids, Oxford 1959 (from memory), summed over time; for a bar it is the beginning of a series.
    Worked by hand, b = 1000, h = 1000, 1 s, x = 1: 1128.4 - 1000 * (1 - 2.71828 * 0.157299) = 556.0.

    >>> from castlab.materials import Mould
    >>> round(drawn_by_wall(1.0, Mould("sand", "sand", 1.0, 1000.0, 1000.0, 25.0, 1000.0)), 1)
    556.0
    """
    root, curved = math.sqrt(time), mould.conductivity * curvature
    drawn = 2.0 / math.sqrt(math.pi) * mould.heat_diffusivity * root
    if math.isinf(mould.interface_coefficient):
        return drawn + curved * time
    from scipy.special import erfcx  # here, so that the other rules start without scipy

    both = mould.interface_coefficient + curved
    share = mould.interface_coefficient / both
    drawn -= mould.heat_diffusivity**2 / both * (1.0 - float(erfcx(both * root / mould.heat_diffusivity)))
    return share**2 * drawn + share * curved * time


def time_to_draw(heat, mould, curvature=0.0):
    """When a thick wall has drawn so much heat: `drawn_by_wall` solved for the time [s].

    heat [J/m2/K]  for each kelvin of the metal's surface above the mould, 0 or more
    mould, curvature [1/m]  as for `drawn_by_wall`, whose source it shares

    By hand, without contact resistance, b = 1000: (1128.4 / 1128.4)^2 = 1 s.

    >>> from castlab.materials import Mould
    >>> round(time_to_draw(1128.4, Mould("sand", "sand", 1.0, 1000.0, 1000.0, 25.0)), 3)
    1.0
    """
    flat = 2.0 / math.sqrt(math.pi) * mould.heat_diffusivity
    root = 2.0 * heat / (flat + math.sqrt(flat**2 + 4.0 * mould.conductivity * curvature * heat))
    if math.isinf(mould.interface_coefficient) or heat == 0.0:
        return root**2
    time = root**2  # without the resistance: never too late, and from there no step goes too far
    while (lacks := heat - drawn_by_wall(time, mould, curvature)) > CLOSE * heat:
        time += lacks / _flux(time, mould, curvature)
    return time


def _flux(time, mould, curvature):
    """What the wall draws in a second [W/m2/K]: `drawn_by_wall`, differentiated."""
    from scipy.special import erfcx  # here, so that the other rules start without scipy

    curved = mould.conductivity * curvature
    both = mould.interface_coefficient + curved
    drops = float(erfcx(both * math.sqrt(time) / mould.heat_diffusivity))
    return mould.interface_coefficient / both * (mould.interface_coefficient * drops + curved)
