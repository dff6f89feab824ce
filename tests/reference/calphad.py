"""Melting ranges, freezing curves and heat contents of alloys, calculated from thermodynamic databases.

The databases are those inside the installed package pycalphad. Two pitfalls decide the list of phases: with
all phases of COST 507 a body-centred phase that no experiment shows (BCC_B2) comes up in Zn-11Al-1Cu at
500 deg C, and each calculation takes ten times as long. So every melt names the phases that its published
diagram shows, by the names of its own database (zinc is HCP_A3 in one and HCP_ZN in the other).
"""

import functools
import os
import warnings
from dataclasses import dataclass

import numpy as np

ATOMIC_MASS = {"AL": 26.982, "SI": 28.085, "MG": 24.305, "CU": 63.546, "ZN": 65.38}  # g/mol, IUPAC
KELVIN = 273.15
ATMOSPHERE = 101325.0
SEARCHED_C = (370.0, 670.0)  # the alloys here begin and end to melt between these


@dataclass(frozen=True)
class Melt:
    """An alloy as a thermodynamic database sees it: the base metal and shares by mass of the others."""

    database: str
    base: str
    shares: tuple[tuple[str, float], ...]
    phases: tuple[str, ...]


_ZINC = ("alzn_mey.tdb", "ZN")
_AN_MEY = ("LIQUID", "FCC_A1", "HCP_A3")
_COST = "COST507.tdb"
MELTS = {
    "Zn-4Al": Melt(*_ZINC, (("AL", 0.04),), _AN_MEY),
    "ZA-12": Melt(*_ZINC, (("AL", 0.11),), _AN_MEY),
    "ZA-27": Melt(*_ZINC, (("AL", 0.27),), _AN_MEY),
    "ZA-12 with copper": Melt(_COST, "ZN", (("AL", 0.11), ("CU", 0.01)),
                              ("LIQUID", "FCC_A1", "HCP_A3", "HCP_ZN")),
    "A356": Melt(_COST, "AL", (("SI", 0.07), ("MG", 0.003)), ("LIQUID", "FCC_A1", "DIAMOND_A4", "MG2SI")),
    "Al-12Si": Melt(_COST, "AL", (("SI", 0.12),), ("LIQUID", "FCC_A1", "DIAMOND_A4")),
    "Al-4.5Cu": Melt(_COST, "AL", (("CU", 0.045),), ("LIQUID", "FCC_A1", "ALCU_THETA")),
    "pure aluminium": Melt(_COST, "AL", (), ("LIQUID", "FCC_A1")),
    "pure copper": Melt(_COST, "CU", (), ("LIQUID", "FCC_A1")),
    "pure zinc": Melt(_COST, "ZN", (), ("LIQUID", "HCP_ZN")),
}


@functools.cache
def _database(name):
    import pycalphad

    folder = os.path.join(os.path.dirname(pycalphad.__file__), "tests", "databases")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # about elements that none of these alloys contains
        return pycalphad.Database(os.path.join(folder, name))


def _mole_shares(melt):
    mass = dict(melt.shares)
    mass[melt.base] = 1.0 - sum(mass.values())
    moles = {each: share / ATOMIC_MASS[each] for each, share in mass.items()}
    return {each: amount / sum(moles.values()) for each, amount in moles.items()}


def _elements(melt):
    return [melt.base, *dict(melt.shares), "VA"]


def _conditions(melt):
    from pycalphad import variables as v

    moles = _mole_shares(melt)
    return {v.X(each): moles[each] for each in dict(melt.shares)}


def _phases(melt):
    """A phase by a wrong name is left out without a word, and the answer is nonsense."""
    unknown = set(melt.phases) - set(_database(melt.database).phases)
    assert not unknown, f"not in {melt.database}: {unknown}"
    return list(melt.phases)


def _equilibrium(melt, temps_c):
    from pycalphad import equilibrium
    from pycalphad import variables as v

    kelvin = sorted(temp + KELVIN for temp in temps_c)
    given = {v.P: ATMOSPHERE, v.N: 1, v.T: kelvin, **_conditions(melt)}
    return equilibrium(_database(melt.database), _elements(melt), _phases(melt), given, output="HM")


def _shares_liquid(name, temps_c):
    """Shares of liquid by moles at equilibrium, at rising temperatures."""
    found = _equilibrium(MELTS[name], temps_c)
    liquid = found.NP.where(found.Phase == "LIQUID").sum("vertex")
    return np.squeeze(liquid.values)


def _first_above(name, share):
    """Temperature [deg C] from which on more than this share is liquid, within 0.04 K.

    A call costs much and a temperature little: so 17 temperatures at a time, three times over.
    """
    low, high = SEARCHED_C
    for _ in range(3):
        temps = np.linspace(low, high, 17)
        above = _shares_liquid(name, temps) > share
        assert above[-1] and not above[0], f"{name} does not melt between {low:g} and {high:g} deg C"
        low, high = temps[np.argmax(above) - 1], temps[np.argmax(above)]
    return float(0.5 * (low + high))


@functools.cache
def liquidus(name):
    """Temperature [deg C] at which the last crystal melts."""
    return _first_above(name, 1.0 - 1e-6)


@functools.cache
def solidus(name):
    """Temperature [deg C] at which the first liquid appears at equilibrium."""
    return _first_above(name, 1e-6)


@functools.cache
def heat_content(name, temp_c):
    """Heat content [J/kg] at equilibrium above the database's own zero: only differences mean anything."""
    melt = MELTS[name]
    kg_a_mole = sum(ATOMIC_MASS[each] * share for each, share in _mole_shares(melt).items()) / 1000.0
    return float(np.squeeze(_equilibrium(melt, [temp_c]).HM)) / kg_a_mole


@dataclass(frozen=True, eq=False)
class Curve:
    """Freezing without diffusion in the solid (Scheil): falling temperatures and solid share by mass."""

    liquidus_c: float
    temp_c: np.ndarray
    solid: np.ndarray
    arrest: int  # the row after which a second kind of crystal joins the first

    @property
    def end_c(self):
        """Where the last liquid freezes [deg C]."""
        return float(self.temp_c[-1])

    @property
    def primary_share(self):
        """Solid share by mass when the second kind of crystal appears."""
        return float(self.solid[self.arrest])

    def solid_at(self, share_of_range):
        """Solid share, a given part of the way from the liquidus (0) to the arrest (1)."""
        temp = self.liquidus_c - share_of_range * (self.liquidus_c - self.temp_c[self.arrest])
        return float(np.interp(temp, self.temp_c[::-1], self.solid[::-1]))


@functools.cache
def freezing_curve(name, step=1.0):
    """Curve of an alloy, from a kelvin above its liquidus down in steps of one."""
    from scheil import simulate_scheil_solidification

    melt = MELTS[name]
    run = simulate_scheil_solidification(
        _database(melt.database), _elements(melt), _phases(melt), _conditions(melt),
        liquidus(name) + 1.0 + KELVIN, step_temperature=step)
    mass = sum(ATOMIC_MASS[each] * np.array(run.x_liquid[each]) for each in _elements(melt)[:-1])
    whole = sum(ATOMIC_MASS[each] * share for each, share in _mole_shares(melt).items())
    rows = slice(1, -1)  # the first row repeats; in the last, all is solid and the liquid has no composition
    solid = 1.0 - np.array(run.fraction_liquid)[rows] * mass[rows] / whole
    kinds = sum(np.array(amounts)[rows] > 1e-9 for amounts in run.cum_phase_amounts.values())
    temps = np.array(run.temperatures)[[*range(1, len(mass) - 1), -1]] - KELVIN
    arrest = int(np.argmax(kinds > 1)) - 1 if np.any(kinds > 1) else len(solid) - 1
    return Curve(liquidus(name), temps, np.append(np.maximum(solid, 0.0), 1.0), arrest)


def latent_heat(name, freezing_c):
    """Jump of the heat content [J/kg] at the freezing point of a pure metal, from lines on both sides."""
    solid, liquid = (2.0 * heat_content(name, freezing_c + side) - heat_content(name, freezing_c + 2.0 * side)
                     for side in (-0.5, 0.5))
    return liquid - solid
