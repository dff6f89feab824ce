"""Checks of melting ranges, freezing curves and heat contents against calculated phase diagrams."""

from functools import partial

import calphad
import numpy as np
from check import Check, stored

from castlab.field.heat import heat_table
from castlab.materials import alloy

MODULES = ("pycalphad", "scheil")
AN_MEY, COST = "pycalphad (an Mey)", "pycalphad (COST 507)"
# Alloy: database; warm and hot end of the range in which heats are compared [deg C].
ALLOYS = {
    "Zn-4Al": (AN_MEY, 379, 450),
    "ZA-12": (AN_MEY, 379, 500),
    "ZA-27": (AN_MEY, 379, 560),
    "A356": (COST, 550, 700),
    "Al-4.5Cu": (COST, 545, 720),
    "Al-12Si": (COST, 550, 680),
}
LIQUIDUS = "the permitted composition moves a liquidus by 3 to 5 K, and the two databases differ by 3 K"
END = "a eutectic is good to 2 K in these databases; 1 K for rounding"
HALF_DEGREE = 0.5
CURVE = "rows rounded to 0.01, joined by straight lines; half a per cent of alloying moves it by 0.02"
HEATS = "the database is 6 % high on the measured heat of the Zn-5Al eutectic"
SAME_TABLE = "the database holds the SGTE heats of the elements, from which the value was taken"


def checks_of(name, by, warm_c, hot_c):
    yield from _temperatures(name, by)
    yield Check(name, "solid share where it differs most", "1", lambda: _farthest_apart(name)[0], by,
                lambda: _farthest_apart(name)[1], CURVE, MODULES, absolute=0.02)
    yield Check(name, "solid share at the arrest", "1", lambda: alloy(name).arrest_fraction, by,
                lambda: calphad.freezing_curve(name).primary_share, CURVE, MODULES, absolute=0.02)
    yield Check(name, f"heat from {hot_c} to {warm_c} deg C", "J/kg", partial(_heat, name, warm_c, hot_c), by,
                partial(_calculated_heat, name, warm_c, hot_c), HEATS, MODULES, relative=0.1)
    liquid_from = alloy(name).liquidus_c + 25.0
    for state, low, high in (("solid", warm_c - 80.0, warm_c), ("liquid", liquid_from, liquid_from + 50.0)):
        row = stored(name, f"heat_capacity_{state}")
        yield Check(name, f"heat capacity {state}", row.unit, lambda row=row: row.value, by,
                    partial(_mean_heat_capacity, name, low, high), HEATS, MODULES, relative=0.1,
                    quantity=row.quantity)


def _temperatures(name, by):
    liquidus, solidus = stored(name, "liquidus_c"), stored(name, "solidus_c")
    apart = {"ZA-27": "the tables are followed"}
    yield Check(name, "liquidus", "deg C", lambda: liquidus.value, by, partial(calphad.liquidus, name),
                LIQUIDUS, MODULES, absolute=5.0, quantity="liquidus_c", explained=apart.get(name, ""))
    yield Check(name, "end of freezing (Scheil)", "deg C", lambda: solidus.value, by,
                lambda: calphad.freezing_curve(name).end_c, END, MODULES, absolute=3.0, quantity="solidus_c")
    apart = {"ZA-27": "at equilibrium, which a casting does not reach", "A356": "at equilibrium 568",
             "Al-4.5Cu": "at equilibrium 564"}
    yield Check(name, "solidus at equilibrium", "deg C", lambda: solidus.value, by,
                partial(calphad.solidus, name), END, MODULES, absolute=3.0, quantity="solidus_c",
                explained=apart.get(name, ""))


def _farthest_apart(name):
    """Solid share, here and calculated, of that row above the arrest where the two differ most.

    Each curve is taken from its own liquidus to its own arrest: that these agree is checked by itself. The
    rows stand at whole degrees, so what half a degree makes is no difference.
    """
    metal, curve = alloy(name), calphad.freezing_curve(name)

    def calculated(temp):
        return curve.solid_at((metal.liquidus_c - temp) / (metal.liquidus_c - metal.arrest_temp_c))

    pairs = [(share, float(np.clip(share, calculated(temp + HALF_DEGREE), calculated(temp - HALF_DEGREE))))
             for temp, share in metal.solid_fraction if temp > metal.arrest_temp_c]
    return max(pairs, key=lambda pair: abs(pair[0] - pair[1]))


def _heat(name, warm_c, hot_c):
    """Heat [J/kg] that the computed casting takes from hot to warm."""
    table = heat_table(alloy(name), warm_c, hot_c)
    return (table.heat_at(hot_c) - table.heat_at(warm_c)) / alloy(name).density_solid


def _calculated_heat(name, warm_c, hot_c):
    return calphad.heat_content(name, hot_c) - calphad.heat_content(name, warm_c)


def _mean_heat_capacity(name, low_c, high_c):
    return _calculated_heat(name, low_c, high_c) / (high_c - low_c)


def zinc_alloy_with_copper():
    """ZA-12 again from the other database, with its 1 % of copper, which the first does not know."""
    by, with_copper = f"{COST}, 1 % Cu", "ZA-12 with copper"
    row = stored("ZA-12", "liquidus_c")
    yield Check("ZA-12", "liquidus", "deg C", lambda: row.value, by, partial(calphad.liquidus, with_copper),
                LIQUIDUS, MODULES, absolute=5.0, quantity="liquidus_c")
    yield Check("ZA-12", "solid share at the arrest", "1", lambda: alloy("ZA-12").arrest_fraction, by,
                lambda: calphad.freezing_curve(with_copper, 2.0).primary_share, CURVE, MODULES, absolute=0.02,
                explained="with 1 % copper 0.35")
    yield Check("ZA-12", "heat from 500 to 379 deg C", "J/kg", partial(_heat, "ZA-12", 379, 500), by,
                partial(_calculated_heat, with_copper, 379, 500), HEATS, MODULES, relative=0.1)


def pure_metals():
    for name in ("pure aluminium", "pure zinc", "pure copper"):
        row = stored(name, "latent_heat")
        yield Check(name, "latent heat", row.unit, lambda row=row: row.value, COST,
                    partial(calphad.latent_heat, name, alloy(name).liquidus_c), SAME_TABLE, MODULES,
                    relative=0.005, quantity="latent_heat")


CHECKS = [each for name, (by, warm, hot) in ALLOYS.items() for each in checks_of(name, by, warm, hot)]
CHECKS += [*zinc_alloy_with_copper(), *pure_metals()]
