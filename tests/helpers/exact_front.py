"""A freezing front against a mould, solved exactly and apart from castlab; and a published case of it."""

import math

import cases
from scipy.optimize import brentq
from scipy.special import erf, erfc

# The Code_Aster validation manual, V4.22.002 (two-phase Stefan problem): conductivities 210 and 95 W/m/K,
# heat by volume 3.0e6 and 2.58e6 J/m3/K, jump 1.08048e9 J/m3, melting at 660, wall 580, metal 740 deg C.
CODE_ASTER = cases.pure_metal(
    660.0,
    latent_heat=1.08048e9 / 2500.0,
    heat_capacity_solid=3.0e6 / 2500.0,
    heat_capacity_liquid=2.58e6 / 2500.0,
    conductivity_solid=210.0,
    conductivity_liquid=95.0,
    density_solid=2500.0,
)


def similarity(metal, sand, melting_c, pour_c):
    """lambda, temperature of the interface, and the diffusivity of the solid metal.

    Metal and mould are half-spaces in perfect contact (Carslaw and Jaeger, Conduction of Heat in Solids,
    chapter 11; without superheat it is Schwarz's case, with an endlessly strong mould Neumann's). Solid,
    liquid and mould have error-function profiles; heat balance at the front:
    k_s dT_s/dx - k_l dT_l/dx = rho L ds/dt.
    """
    rho = metal.density_solid
    k_s, k_l = metal.conductivity_solid, metal.conductivity_liquid
    a_s, a_l = k_s / (rho * metal.heat_capacity_solid), k_l / (rho * metal.heat_capacity_liquid)
    ratio = sand.heat_diffusivity / math.sqrt(k_s * rho * metal.heat_capacity_solid)

    def interface(x):  # heat out of the metal equals heat into the mould
        return (melting_c * ratio**-1 + sand.start_temp_c * erf(x)) / (ratio**-1 + erf(x))

    def balance(x):
        solid = k_s * (melting_c - interface(x)) * math.exp(-(x**2)) / (erf(x) * math.sqrt(math.pi * a_s))
        y = x * math.sqrt(a_s / a_l)
        liquid = k_l * (pour_c - melting_c) * math.exp(-(y**2)) / (erfc(y) * math.sqrt(math.pi * a_l))
        return solid - liquid - rho * metal.latent_heat * x * math.sqrt(a_s)

    root = brentq(balance, 1e-6, 4.0, xtol=1e-14)
    return root, interface(root), a_s
