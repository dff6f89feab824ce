"""Numbers of the pure metals as packages of tables print them, in this project's units."""

import functools
import warnings

import numpy as np

KELVIN = 273.15


@functools.cache
def mendeleev_element(symbol):
    from mendeleev import element

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # about the two kinds of tin
        return element(symbol)


@functools.cache
def cas(symbol):
    """Registry number, by which the two packages on chemicals know an element."""
    from chemicals import CAS_from_any

    return CAS_from_any(symbol)


def kg_a_mole(symbol):
    import periodictable

    return getattr(periodictable, symbol).mass / 1000.0


def mendeleev_freezing_c(symbol):
    return float(mendeleev_element(symbol).melting_point) - KELVIN


def mendeleev_density(symbol):
    return 1000.0 * mendeleev_element(symbol).density


def mendeleev_latent_heat(symbol):
    return 1000.0 * mendeleev_element(symbol).fusion_heat / kg_a_mole(symbol)


def periodictable_density(symbol):
    import periodictable

    return 1000.0 * getattr(periodictable, symbol).density


def chemicals_freezing_c(symbol):
    from chemicals import Tm

    return float(Tm(cas(symbol))) - KELVIN


def chemicals_latent_heat(symbol):
    from chemicals import Hfus

    return float(Hfus(cas(symbol))) / kg_a_mole(symbol)


def _molten(symbol):
    from chemicals.volume import rho_data_CRC_inorg_l

    return rho_data_CRC_inorg_l.loc[cas(symbol)]


def chemicals_liquid_density(symbol, temp_c=None):
    """CRC Handbook: density at the freezing point [kg/m3], and by its slope at another temperature."""
    row = _molten(symbol)
    above = 0.0 if temp_c is None else temp_c + KELVIN - row["Tm"]
    return float(row["rho"] - row["k"] * above)


def chemicals_liquid_contraction(symbol):
    row = _molten(symbol)
    return float(row["k"] / row["rho"])


def thermo_heat_capacity(symbol, state, method):
    """Mean over the 100 K below (solid) or above (liquid) the freezing point [J/kg/K]."""
    import thermo

    table = {"solid": thermo.HeatCapacitySolid, "liquid": thermo.HeatCapacityLiquid}[state]
    known = table(CASRN=cas(symbol), MW=1000.0 * kg_a_mole(symbol))
    freezing = chemicals_freezing_c(symbol) + KELVIN
    side = -1.0 if state == "solid" else 1.0
    kelvins = freezing + side * np.linspace(0.01, 100.0, 21)
    return float(np.mean([known.calculate(kelvin, method) for kelvin in kelvins]) / kg_a_mole(symbol))


def thermo_conductivity(symbol, state, method):
    """At the freezing point [W/m/K]."""
    import thermo

    table = {"solid": thermo.ThermalConductivitySolid, "liquid": thermo.ThermalConductivityLiquid}[state]
    side = -0.01 if state == "solid" else 0.01
    return float(table(CASRN=cas(symbol)).calculate(chemicals_freezing_c(symbol) + KELVIN + side, method))


def thermo_viscosity(symbol, method):
    """At the freezing point [Pa s]."""
    import thermo

    kelvin = chemicals_freezing_c(symbol) + KELVIN + 0.01
    return float(thermo.ViscosityLiquid(CASRN=cas(symbol)).calculate(kelvin, method))


def mixed_density(shares, density):
    """Density of a mixture whose elements keep their volumes; `shares` by mass."""
    return 1.0 / sum(share / density(symbol) for symbol, share in shares)
