"""Freezing that is known exactly: a half-space of metal that touches a half-space of mould.

Nothing is approximated but the numbers' last digits, so the computed field has to agree with it wherever it
is set the same problem: one dimension, a pure metal, perfect contact.
"""

import math
from dataclasses import dataclass

from castlab.errors import InputError
from castlab.rules.filling import superheat
from castlab.units import given

SMALLEST_ROOT, LARGEST_ROOT = 1e-9, 4.0  # of lambda: no front at all, and next to no latent heat


@dataclass(frozen=True)
class Front:
    """How a front runs: depth = 2 root sqrt(diffusivity t).

    root             lambda, without a unit
    diffusivity      [m2/s]   of the solid metal
    """

    root: float
    diffusivity: float

    def depth(self, time):
        """How thick the solid is [m] after a time [s], 0 or more; InputError below.

        >>> round(Front(0.5, 1e-6).depth(100.0), 6)
        0.01
        """
        if time < 0.0:
            raise InputError("time", f"{time:g} s", "it must be 0 s or more")
        return 2.0 * self.root * math.sqrt(self.diffusivity * time)


def front_against_mould(alloy, mould, pour_temp_c):
    """How a pure metal freezes against a mould, both endless and in perfect contact: a Front.

    T in solid, liquid and mould are error functions of x / sqrt(t); the heat that leaves the front is the
    latent heat,

        k_s (T_m - T_i) exp(-r^2) / (erf(r) sqrt(pi a_s)) - k_l (T_p - T_m) exp(-y^2) / (erfc(y) sqrt(pi a_l))
            = density L r sqrt(a_s),       y = r sqrt(a_s / a_l),

    solved for r = lambda; T_m, T_p, T_i are the temperatures of melting, pouring and the interface,
    T_i = (q T_m + T_mould erf(r)) / (q + erf(r)), q = sqrt(k_s density c_s) / b, b the mould's heat
    diffusivity.

    alloy                 a pure castlab.materials.Alloy; solid and liquid count with one density
    mould                 a castlab.materials.Mould without resistance at its surface, cooler than the metal
    pour_temp_c [deg C]   at or above the melting point

    Raises InputError otherwise, and where no front can form: the superheat of endless metal is endless, and
    against sand little is enough. Source: Carslaw and Jaeger, Conduction of Heat in Solids, chapter 11 (from
    memory). Without superheat it is Schwarz's solution, with an endlessly strong mould Neumann's. Published
    roots (Crank, Free and Moving Boundary Problems, for r exp(r^2) erf(r) = St / sqrt(pi), one phase, wall at
    a fixed temperature): 0.2200163 for St = 0.1, where St = c (T_m - T_wall) / L; here c 450 J/kg/K, 300 K:

    >>> from dataclasses import replace
    >>> from castlab.materials import Mould, alloy
    >>> metal = replace(alloy("pure zinc"), heat_capacity_solid=450.0, latent_heat=450.0 * 300.0 / 0.1)
    >>> wall = Mould("fixed wall", "die", 1e12, 1e5, 1e5, metal.solidus_c - 300.0)
    >>> round(front_against_mould(metal, wall, metal.liquidus_c).root, 6)
    0.220016
    """
    from scipy.optimize import brentq  # here, so that the other rules start without scipy

    _require_exact(alloy, mould)
    above = superheat(alloy, pour_temp_c)
    by_volume = alloy.density_solid * alloy.heat_capacity_solid
    a_s = alloy.conductivity_solid / by_volume
    a_l = alloy.conductivity_liquid / (alloy.density_solid * alloy.heat_capacity_liquid)
    ratio = math.sqrt(alloy.conductivity_solid * by_volume) / mould.heat_diffusivity

    def left_over(root):
        """Heat that reaches the solid from the front, less latent heat and superheat that arrive there."""
        share = math.erf(root)
        interface_c = (ratio * alloy.solidus_c + mould.start_temp_c * share) / (ratio + share)
        solid = alloy.conductivity_solid * (alloy.solidus_c - interface_c) * math.exp(-root**2)
        solid /= share * math.sqrt(math.pi * a_s)
        y = root * math.sqrt(a_s / a_l)
        liquid = alloy.conductivity_liquid * above * math.exp(-y**2)
        liquid /= math.erfc(y) * math.sqrt(math.pi * a_l)
        return solid - liquid - alloy.density_solid * alloy.latent_heat * root * math.sqrt(a_s)

    if left_over(SMALLEST_ROOT) <= 0.0:
        allowed = "it must be lower: endless metal so hot never freezes against this mould"
        raise InputError("pouring temperature", given(pour_temp_c, "deg C"), allowed)
    return Front(brentq(left_over, SMALLEST_ROOT, LARGEST_ROOT, xtol=1e-14), a_s)


def _require_exact(alloy, mould):
    if not alloy.is_pure:
        raise InputError("alloy", alloy.name, "it must freeze at one temperature for an exact solution")
    if math.isfinite(mould.interface_coefficient):
        raise InputError("mould", mould.name, "its surface must not hold back heat for an exact solution")
    if mould.start_temp_c >= alloy.solidus_c:
        raise InputError("mould temperature", given(mould.start_temp_c, "deg C"), "it must be below melting")
