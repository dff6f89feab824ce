"""Checks of the pure metals, and of the mixtures whose numbers the data files compute from them."""

from functools import partial

import elements
from check import Check, stored

from castlab.materials import alloy

PURE = {"pure aluminium": "Al", "pure zinc": "Zn", "pure copper": "Cu", "fine silver": "Ag"}
# Shares by mass, as the notes of the alloys give them.
MIXTURES = {
    "A356": (("Al", 0.927), ("Si", 0.07), ("Mg", 0.003)),
    "319": (("Al", 0.905), ("Si", 0.06), ("Cu", 0.035)),
    "Al-4.5Cu": (("Al", 0.955), ("Cu", 0.045)),
    "Al-12Si": (("Al", 0.88), ("Si", 0.12)),
    "ZA-12": (("Zn", 0.88), ("Al", 0.11), ("Cu", 0.01)),
    "ZA-27": (("Zn", 0.71), ("Al", 0.27), ("Cu", 0.02)),
    "Zn-4Al": (("Zn", 0.96), ("Al", 0.04)),
    "tin bronze": (("Cu", 0.90), ("Sn", 0.10)),
    "sterling silver": (("Ag", 0.925), ("Cu", 0.075)),
    "18k yellow gold": (("Au", 0.75), ("Ag", 0.16), ("Cu", 0.09)),
}
FIXED_POINT = "a defining fixed point of the temperature scale: equal, or a slip of the pen"
TABLES_AGREE = "tables of this quantity agree to the last digit printed or the one before"
CALORIMETRY = "heats of melting in good tables agree within 3 %"
HEAT_CAPACITIES = "tables of heat capacity near the freezing point agree within 3 %"
READ_FROM_IT = "read from this very table, rounded to 1 W/m/K; it is good to 5 % (solid), 10 % (liquid)"
DENSITY = "0.7 % for the density of molten metal, the rest for the expansion of the solid"
MIXING = "alloying changes the volume by up to 2 %"
SUMMED = "computed from this very table and rounded"


WORDS = {"liquidus_c": "freezing point", "density_20c": "density at 20 deg C",
         "density_liquid_published": "density of the liquid, published"}


def check_stored(name, quantity, by, reference, why, module, **band):
    """A check of one row of the data file."""
    row = stored(name, quantity)
    words = WORDS.get(quantity, quantity.replace("_", " "))
    return Check(name, words, row.unit, lambda: row.value, by, reference, why, (module,), quantity=quantity,
                 **band)


def freezing_points():
    for name, symbol in PURE.items():
        for by, look_up in (("mendeleev", elements.mendeleev_freezing_c),
                            ("chemicals", elements.chemicals_freezing_c)):
            yield check_stored(name, "liquidus_c", by, partial(look_up, symbol), FIXED_POINT, by,
                               absolute=0.005)


def densities():
    for name, symbol in PURE.items():
        for by, look_up in (("mendeleev", elements.mendeleev_density),
                            ("periodictable", elements.periodictable_density)):
            yield check_stored(name, "density_20c", by, partial(look_up, symbol), TABLES_AGREE, by,
                               relative=0.001)
    for name, symbol in PURE.items():
        look_up = partial(elements.chemicals_liquid_density, symbol)
        yield check_stored(name, "density_liquid_published", "chemicals", look_up, SUMMED, "chemicals",
                           relative=0.001)
        yield Check(name, "density of the liquid in a casting", "kg/m3", partial(_liquid_density, name),
                    "chemicals", look_up, DENSITY, ("chemicals",), relative=0.01)
        look_up = partial(elements.chemicals_liquid_contraction, symbol)
        yield check_stored(name, "liquid_contraction", "chemicals", look_up, SUMMED, "chemicals",
                           relative=0.01)


def _liquid_density(name):
    return alloy(name).density_liquid


def latent_heats():
    apart = {("pure zinc", "chemicals"): "another table has 108.1",
             ("fine silver", "mendeleev"): "another table has 110.8"}
    for name, symbol in PURE.items():
        for by, look_up in (("mendeleev", elements.mendeleev_latent_heat),
                            ("chemicals", elements.chemicals_latent_heat)):
            yield check_stored(name, "latent_heat", by, partial(look_up, symbol), CALORIMETRY, by,
                               relative=0.03, explained=apart.get((name, by), ""))


def heat_capacities():
    apart = {("pure copper", "solid", "WEBBOOK_SHOMATE"): "another (JANAF) gives 509",
             ("pure copper", "liquid", "WEBBOOK_SHOMATE"): "another equation gives 517"}
    rows = [(name, state, method) for name in PURE for state in ("solid", "liquid")
            for method in ("UNARY", "WEBBOOK_SHOMATE")]
    rows = [row for row in rows if row[::2] != ("fine silver", "WEBBOOK_SHOMATE")]  # the package has none
    for name, state, method in [*rows, ("fine silver", "solid", "PERRY151")]:
        look_up = partial(elements.thermo_heat_capacity, PURE[name], state, method)
        yield check_stored(name, f"heat_capacity_{state}", f"thermo ({method})", look_up, HEAT_CAPACITIES,
                           "thermo", relative=0.03, explained=apart.get((name, state, method), ""))


def conductivities_and_viscosity():
    for name, symbol in PURE.items():
        for state, method in (("solid", "Ho (1972)"), ("liquid", "Fit 2023")):
            if (name, state) != ("pure zinc", "solid"):  # the package has none
                look_up = partial(elements.thermo_conductivity, symbol, state, method)
                yield check_stored(name, f"conductivity_{state}", f"thermo ({method})", look_up, READ_FROM_IT,
                                   "thermo", absolute=0.5)
    for method in ("Fit 2023", "VISWANATH_NATARAJAN_3"):
        yield check_stored("pure zinc", "viscosity", f"thermo ({method})",
                           partial(elements.thermo_viscosity, "Zn", method),
                           "viscosities of molten zinc scatter by 9 %", "thermo", relative=0.09)


def mixtures():
    apart = {"319": "2481 for the bare Al-6Si-3.5Cu"}
    for name, shares in MIXTURES.items():
        look_up = partial(elements.mixed_density, shares, elements.periodictable_density)
        yield Check(name, WORDS["density_20c"], "kg/m3", partial(_stored_density, name),
                    "elements added (periodictable)", look_up, MIXING, ("periodictable",), relative=0.02)
        look_up = partial(_mixed_liquid, name, shares)
        yield Check(name, "density of the liquid in a casting", "kg/m3", partial(_liquid_density, name),
                    "elements added (chemicals)", look_up, DENSITY, ("chemicals",), relative=0.01,
                    explained=apart.get(name, ""))


def _stored_density(name):
    return stored(name, "density_20c").value


def _mixed_liquid(name, shares):
    hot = alloy(name).liquidus_c
    return elements.mixed_density(shares, lambda symbol: elements.chemicals_liquid_density(symbol, hot))


def summed_heats():
    for name in ("sterling silver", "18k yellow gold"):
        yield check_stored(name, "latent_heat", "elements added (chemicals)",
                           partial(_summed_heat, MIXTURES[name]), SUMMED, "chemicals", relative=0.01)


def _summed_heat(shares):
    return sum(share * elements.chemicals_latent_heat(symbol) for symbol, share in shares)


CHECKS = [*freezing_points(), *densities(), *latent_heats(), *heat_capacities(),
          *conductivities_and_viscosity(), *mixtures(), *summed_heats()]
