"""Dissolved hydrogen and what it does, how to tell gas from shrinkage, arm spacing, and the Niyama value."""

import math

from castlab.errors import InputError, require_between, require_known, require_positive
from castlab.materials import HYDROGEN
from castlab.units import kelvins

STANDARD_PRESSURE = 101325.0  # Pa
ICE_POINT = 273.15  # K
CM3_PER_100G = 1e-5  # m3/kg, the trade's unit: cm3 of gas at 0 deg C and 1 atm in 100 g of metal
MELTING_C = 660.323
# (intercept, kelvin, lowest, highest deg C) of log10 S = intercept - kelvin / T, S in cm3/100 g at 1 atm
IN_LIQUID = (*HYDROGEN["aluminium"][0], MELTING_C, 850.0)
IN_SOLID = (*HYDROGEN["aluminium"][1], 300.0, MELTING_C)
HIGHEST_PRESSURE = 113e3  # Pa, the highest of the measurements
NIYAMA_STEEL = math.sqrt(60.0) / 10.0 * 1e3  # (K s)^0.5/m: 1 K^0.5 min^0.5/cm
SHORTEST_RANGE = 2.0  # K; below it there is no mush to speak of (judgement)


def hydrogen_in_liquid(temp_c, pressure=STANDARD_PRESSURE):
    """Hydrogen that liquid aluminium holds in equilibrium, as gas at 0 deg C and 1 atm [m3/kg].

    log10 S = 2.72 - 2700 / T + 1/2 log10(p / 1 atm),  S in cm3/100 g (1e-5 m3/kg), T in K

    temp_c [deg C]  660.323 to 850; the measurements began at 670
    pressure [Pa]   of hydrogen, greater than 0, up to 113 000; damp air over a melt acts like a few
                    hundredths of an atmosphere to a tenth (judgement)

    For pure aluminium; alloys hold somewhat more or less. Other measurements give 0.49 to 0.75 cm3/100 g at
    the melting point and 1.1 to 2.0 at 800 deg C. Raises InputError outside the ranges.
    Source: Talbot, D. E. J.; Anyalebechi, P. N.: Solubility of hydrogen in liquid aluminium. Mater. Sci.
    Technol. 4 (1988) 1-4, abstract (read; the authors from memory). At 700 deg C, by hand: 2.72 - 2700 /
    973.15 = -0.0545, 0.88 cm3/100 g; at a hundredth of the pressure a tenth of it:

    >>> round(hydrogen_in_liquid(700) / CM3_PER_100G, 2), round(hydrogen_in_liquid(700, 1013.25) / 1e-5, 3)
    (0.88, 0.088)
    """
    return _solubility(IN_LIQUID, temp_c, pressure)


def hydrogen_in_solid(temp_c, pressure=STANDARD_PRESSURE):
    """Hydrogen that solid aluminium holds in equilibrium, as gas at 0 deg C and 1 atm [m3/kg].

    log10 S = 0.788 - 2080 / T + 1/2 log10(p / 1 atm),  S in cm3/100 g

    temp_c [deg C]  300 to 660.323
    pressure [Pa]   of hydrogen, greater than 0, up to 113 000

    Raises InputError outside the ranges. Source: Ransley, C. E.; Neufeld, H., J. Inst. Metals 74 (1948) 599,
    from memory; it gives the 0.036 cm3/100 g of the textbooks (from memory) at the melting point:

    >>> round(hydrogen_in_solid(660.323) / CM3_PER_100G, 3)
    0.036
    """
    return _solubility(IN_SOLID, temp_c, pressure)


def gas_pore_share(dissolved, alloy, pressure=STANDARD_PRESSURE):
    """Share of the casting that is pores if all hydrogen that the solid cannot hold becomes bubbles.

    v = density (c - S_solid) (T / 273.15 K) (1 atm / p),  share = v / (1 + v)

    dissolved c [m3/kg]  in the melt, 0 to 2e-5; a melt treated with gas has about 1e-6 (0.1 cm3/100 g), a
                         neglected one three times that and more (common practice)
    alloy                of the aluminium family; density and T at its solidus, S as for pure aluminium
    pressure p [Pa]      in the pores, 10 000 to 1 000 000

    The most that gas can do: part of it escapes or stays in forced solution, and small pores hold it at
    higher pressure. Returns 0 where the solid holds it all. Raises InputError for another family, for which
    no solubility is in this file. By hand, pure aluminium with 0.69 cm3/100 g, the solid keeps 0.036: 2.558
    g/cm3 * 0.00654 cm3/g * 933.47 / 273.15 = 0.0572, 5.4 %:

    >>> from castlab.materials import alloy
    >>> round(100 * gas_pore_share(0.69e-5, alloy("pure aluminium")), 1)
    5.4
    """
    if alloy.family != "aluminium":
        allowed = "it must be aluminium: for other metals keep melt, tools and mould dry and make a trial"
        raise InputError("alloy for dissolved hydrogen", alloy.name, allowed)
    dissolved = require_between("dissolved hydrogen", dissolved, 0.0, 2e-5, "m3/kg")
    pressure = require_between("pressure in the pores", pressure, 1e4, 1e6, "Pa")
    solidus_c = min(alloy.solidus_c, MELTING_C)
    expelled = max(0.0, dissolved - hydrogen_in_solid(solidus_c))
    hot = (solidus_c + ICE_POINT) / ICE_POINT * STANDARD_PRESSURE / pressure
    pores = alloy.density_solid * expelled * hot
    return pores / (1.0 + pores)


# What one sees, and what it speaks for. Walls: international classification of casting defects, B100 (smooth,
# rounded: gas, read in ASM Handbook 17), B200 (rough: shrinkage, from memory). The others: common practice.
SIGNS = {
    "smooth round walls": "gas",
    "bright or shiny walls": "gas",
    "spread evenly through the casting": "gas",
    "near the top face or a core": "gas",
    "worse after a damp charge or mould": "gas",
    "rough walls with dendrites": "shrinkage",
    "branched or angular": "shrinkage",
    "in the heavy section that freezes last": "shrinkage",
    "below a sunk face": "shrinkage",
    "gone with a larger feeder": "shrinkage",
}


def tell_gas_from_shrinkage(signs):
    """What the signs on a pore speak for: "gas", "shrinkage" or "both".

    signs   names from `SIGNS`, at least one

    "both" where signs of the two are there, which is common: hydrogen opens pores where liquid is drawn
    thin, so look is not proof. A melt sample that is frozen under reduced pressure, and the same casting
    with a larger feeder, decide (common practice). Raises InputError for no sign or an unknown one.

    >>> tell_gas_from_shrinkage(["smooth round walls", "spread evenly through the casting"])
    'gas'
    >>> tell_gas_from_shrinkage(["smooth round walls", "in the heavy section that freezes last"])
    'both'
    """
    signs = [signs] if isinstance(signs, str) else list(signs)
    if not signs:
        raise InputError("signs", "empty", f"name at least one of {', '.join(SIGNS)}")
    found = {SIGNS[require_known("sign", each, SIGNS)] for each in signs}
    return found.pop() if len(found) == 1 else "both"


def arm_spacing(alloy, freezing_time):
    """Spacing of the secondary dendrite arms from the local freezing time [m].

    l = a R^-n,  R = (T_liquidus - T_solidus) / freezing time the mean cooling rate while it freezes

    alloy              a castlab.materials.Alloy with a freezing range of 2 K or more; a and n are its
                       `arm_spacing`, whose source and range are in the data
    freezing_time [s]  from liquidus to solidus at this place, greater than 0

    Finer arms mean a stronger, tighter casting. Raises InputError for a metal without mush. Worked by hand,
    A356 (60 K) frozen in 60 s cools at 1 K/s, where its spacing is 39 micrometres:

    >>> from castlab.materials import alloy
    >>> round(1e6 * arm_spacing(alloy("A356"), 60.0))
    39
    """
    _require_mush(alloy, alloy.freezing_range)
    spacing, exponent = alloy.arm_spacing
    rate = alloy.freezing_range / require_positive("local freezing time", freezing_time, "s")
    return spacing * rate**-exponent


def arm_spacing_al_cu_si(copper, silicon, freezing_time):
    """Spacing of the secondary dendrite arms of Al-Cu-Si alloys [m].

    l = 34.9 Cu^-0.333 Si^-0.145 t^0.208 micrometres

    copper, silicon [%]  by mass, 0.5 to 10 and 1 to 11 (judgement: alloys of six compositions were measured,
                         which the abstract does not name)
    freezing_time t [s]  local, 1 to 10 000

    Raises InputError outside the ranges. Source: Ronto, V.; Roosz, A.: The effect of cooling rate and
    composition on the secondary dendrite arm spacing, part I. Int. J. Cast Metals Res. 13 (2001) 337-342,
    abstract (read). By hand, 1 % of each and 1 s: 34.9 micrometres.

    >>> round(1e6 * arm_spacing_al_cu_si(1.0, 1.0, 1.0), 1)
    34.9
    """
    copper = require_between("copper", copper, 0.5, 10.0, "%")
    silicon = require_between("silicon", silicon, 1.0, 11.0, "%")
    time = require_between("local freezing time", freezing_time, 1.0, 1e4, "s")
    return 34.9e-6 * copper**-0.333 * silicon**-0.145 * time**0.208


def niyama(gradient, cooling_rate):
    """Niyama's value: temperature gradient over the root of the cooling rate [(K s)^0.5/m].

    gradient [K/m]      0 or more; cooling_rate [K/s] greater than 0; both late in freezing, at a solid
                        fraction that has to be stated with the value

    Low values mean that liquid must travel far under a flat gradient. 1 (K s)^0.5/mm is 1000 here.
    Raises InputError outside the ranges. Source: Niyama, E. and others: A method of shrinkage prediction and
    its application to steel casting practice. AFS Int. Cast Metals J. 7 (1982) 52-63.

    >>> niyama(1000.0, 4.0)
    500.0
    """
    gradient = require_between("gradient", gradient, 0.0, 1e7, "K/m")
    return gradient / math.sqrt(require_positive("cooling rate", cooling_rate, "K/s"))


def judge_niyama(value, alloy):
    """"sponge likely" or "no sponge seen" in a steel, by the threshold 1 K^0.5 min^0.5/cm.

    value [(K s)^0.5/m]  0 or more (`niyama`)
    alloy                a steel

    The threshold, 775 in SI, is that of Niyama and others for steel castings (from memory; others take 700
    to 800). It holds for sponge that a radiograph shows, and depends on size and shape (Tavakoli, arXiv
    1005.2706, abstract read). Raises InputError for any other alloy: each would need its own threshold.

    >>> from castlab.materials import alloy
    >>> judge_niyama(500.0, alloy("carbon steel"))
    'sponge likely'
    """
    value = require_between("Niyama's value", value, 0.0, 1e9, "(K s)^0.5/m")
    if "steel" not in alloy.name:
        allowed = "it must be a steel: no threshold was found for others, use the field"
        raise InputError("alloy for Niyama's threshold", alloy.name, allowed)
    return "sponge likely" if value < NIYAMA_STEEL else "no sponge seen"


def dimensionless_niyama(gradient, cooling_rate, alloy, suction=STANDARD_PRESSURE):
    """Niyama's value without a unit, for comparing alloys: Ny* = G l sqrt(dp) / sqrt(mu beta dT R).

    gradient G [K/m], cooling_rate R [K/s]  greater than 0, at one stated solid fraction
    alloy             with mush: l its arm spacing at R, mu viscosity, beta freezing contraction (a share of
                      the liquid), dT from the liquidus to the first arrest, or to the solidus
    suction dp [Pa]   that can be put on the liquid, greater than 0; one atmosphere and the head at most

    It is Darcy's law across the mush, permeability l^2 (1 - f)^3 / (180 f^2): liquid arrives up to the solid
    fraction f at which Ny*^2 equals the integral of 180 f^2 / (1 - f)^2 over the relative temperature. This
    is the number of castlab.field.sponge. A mush that is kept full asks for beta / (1 - beta), so Darcy's law
    to the letter has (1 - beta) Ny*^2: 3 to 8 % less, where viscosity alone is known to 10 %.
    No pore share is given here: the curves of the source were not read; the field's account has the sum.
    Raises InputError for an alloy without mush or that expands. Source: Carlson, K. D.; Beckermann, C.,
    Metall. Mater. Trans. A 40 (2009) 163-175, abstract (read), the form from memory and from Darcy's law.

    A gradient twice as steep is worth twice as much:

    >>> from castlab.materials import alloy
    >>> bronze = alloy("tin bronze")
    >>> round(dimensionless_niyama(2000, 1, bronze) / dimensionless_niyama(1000, 1, bronze), 9)
    2.0
    """
    span = alloy.liquidus_c - alloy.arrest_temp_c
    _require_mush(alloy, span)
    if alloy.freezing_contraction <= 0.0:
        raise InputError("freezing contraction", alloy.freezing_contraction, "it must shrink to draw liquid")
    rate = require_positive("cooling rate", cooling_rate, "K/s")
    spacing = alloy.arm_spacing[0] * rate ** -alloy.arm_spacing[1]
    drag = alloy.viscosity * alloy.freezing_contraction * span * rate
    pull = require_positive("suction", suction, "Pa")
    return require_positive("gradient", gradient, "K/m") * spacing * math.sqrt(pull / drag)


def _solubility(law, temp_c, pressure):
    intercept, slope, low, high = law
    temp = require_between("temperature", temp_c, low, high, "deg C") + ICE_POINT
    pressure = require_positive("pressure of hydrogen", pressure, "Pa")
    pressure = require_between("pressure of hydrogen", pressure, 0.0, HIGHEST_PRESSURE, "Pa")
    at_one_atmosphere = 10.0 ** (intercept - slope / temp) * CM3_PER_100G
    return at_one_atmosphere * math.sqrt(pressure / STANDARD_PRESSURE)


def _require_mush(alloy, span):
    if span < SHORTEST_RANGE:
        allowed = "it must freeze as mush over {} or more; this one grows as a skin"
        raise InputError("alloy", alloy.name, allowed, kelvins(SHORTEST_RANGE))
