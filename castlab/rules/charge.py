"""What to weigh in for a pour, how to bring an alloy back, and whether the crucible takes it.

Which metal the rated mass of a small furnace is meant for is seldom said. 15 500 kg/m3, an 18 carat gold,
fits the ratings of small furnaces: that is this package's own inference, and anyone who knows better sets it.
"""

import math
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between, require_known, require_positive
from castlab.rules.contraction import pattern_scale
from castlab.units import given, kilograms

RATING_DENSITY = 15500.0  # kg/m3; an inference, see above
SAFE_FILL = 0.8  # of the volume to the brim, 0.75 to 0.8; common practice, from memory
FIRST_FILL = 0.5  # of the charge goes in cold; common practice
PIECE_SHARE = 0.1  # of the charge: as much goes in at once later, preheated; judgement
CLEARANCE = 3e-3  # m, all round a hot ingot; judgement
MOST_RETURNS = 0.5  # of the charge; common practice, from memory
# Share of the metal that becomes dross, skimmings and fume in a crucible: low and high, from memory.
MELT_LOSS = {
    "aluminium": (0.01, 0.03), "zinc-aluminium": (0.01, 0.03), "zinc": (0.01, 0.03), "copper": (0.01, 0.03),
    "precious": (0.001, 0.005), "iron": (0.02, 0.05),
}
TOLERANCE = 0.002  # of the mass: composition nearer than this counts as reached
MASS_ROW = 1e4  # weight of "the masses add up" among the equations of the elements


@dataclass(frozen=True)
class Charge:
    """What one melt takes [kg].

    poured    into the mould and its pouring basin         lost       dross, skimmings, fume
    heel      stays in the crucible after the pour         weigh_in   all metal to weigh in
    """

    casting: float
    poured: float
    lost: float
    heel: float
    weigh_in: float


def charge(casting, feeder=0.0, gate=0.0, sprue=0.0, basin=0.0, melt_loss=0.02, heel=0.0):
    """Metal to weigh in: (casting + feeder + gate + sprue + basin + heel) / (1 - melt_loss): a `Charge`.

    casting [kg]              greater than 0
    feeder, gate, sprue, basin, heel [kg]  0 or more; the basin is what stands in the pouring cup, the heel
                              what is left in the crucible on purpose
    melt_loss                 share of what is weighed in, 0 to 0.3; `usual_melt_loss(alloy)`

    Raises InputError outside the ranges. Source: loss of melting as foundries count it, 100 (m1 - m2) / m1
    with m1 weighed in and m2 got out (read). By hand: 640 + 260 + 80 + 20 g poured, heel 100 g, 2 % lost:
    1.122 kg.

    >>> plan = charge(0.640, 0.260, 0.080, 0.020, heel=0.100)
    >>> round(plan.poured, 3), round(plan.weigh_in, 3)
    (1.0, 1.122)
    """
    casting = require_positive("mass of the casting", casting, "kg")
    named = {"feeder": feeder, "gate": gate, "sprue": sprue, "pouring basin": basin}
    beside = sum(require_between(f"mass of the {name}", mass, 0.0, 1e4, "kg") for name, mass in named.items())
    heel = require_between("mass of the heel", heel, 0.0, 1e4, "kg")
    melt_loss = require_between("melt loss", melt_loss, 0.0, 0.3)
    weigh_in = (casting + beside + heel) / (1.0 - melt_loss)
    return Charge(casting, casting + beside, melt_loss * weigh_in, heel, weigh_in)


def usual_melt_loss(alloy):
    """Usual melt loss of clean metal in a crucible, (low, high), a share; chips and foil lose 5 to 15 %.

    From memory, common practice. Raises InputError for a family without a value.

    >>> from castlab.materials import alloy
    >>> usual_melt_loss(alloy("ZA-12"))
    (0.01, 0.03)
    """
    return MELT_LOSS[require_known("family of the alloy", alloy.family, MELT_LOSS)]


@dataclass(frozen=True)
class Recipe:
    """How much of each stock, (name, kg), and which contents are not reached.

    missed  (element, share that comes out, share wanted, whether any stock has it) for each element that
            is off by more than the tolerance
    """

    masses: tuple[tuple[str, float], ...]
    missed: tuple[tuple[str, float, float, bool], ...]

    @property
    def words(self):
        """What cannot be reached, in words; empty when everything is."""
        return " ".join(_missed_words(*each) for each in self.missed)


def additions(target, total, stocks, bath=0.0, bath_composition=None):
    """Least-squares recipe for an alloy from what is on the shelf, no amount below zero: a `Recipe`.

    minimise the sum over elements of (bath c_bath + sum of m_j c_j - total c_target)^2, m_j >= 0, with
    bath + sum of m_j = total

    target             {element: share by mass}, adding up to 1
    total [kg]         wanted in the end, greater than the bath
    stocks             {name: {element: share}}, each adding up to 1; ingots, pure metals, master alloys
    bath [kg]          metal that goes in anyway, 0 or more: returns, or what is molten already
    bath_composition   {element: share} of it, measured or judged; needed when there is a bath

    An element that burns off, zinc out of bronze above all, is missing in the bath and is brought back. What
    no stock brings, and what only dilution could take out, is said in `words`. Raises InputError for shares
    that do not add up to 1 or a total not above the bath. Source: non-negative least squares, Lawson and
    Hanson: Solving Least Squares Problems, Prentice-Hall 1974. By hand: sterling from fine silver and copper,
    1 kg: 925 g and 75 g.

    >>> sterling = {"Ag": 0.925, "Cu": 0.075}
    >>> recipe = additions(sterling, 1.0, {"fine silver": {"Ag": 1}, "copper": {"Cu": 1}})
    >>> [(name, round(mass, 3)) for name, mass in recipe.masses], recipe.words
    ([('fine silver', 0.925), ('copper', 0.075)], '')
    >>> additions(sterling, 1.0, {"fine silver": {"Ag": 1}}).words
    'Cu comes to 0.0 % instead of 7.5 %: no stock brings it. Ag comes to 100.0 % instead of 92.5 %: too much.'
    """
    bath = require_between("mass of the bath", bath, 0.0, 1e5, "kg")
    total = require_positive("total mass", total, "kg")
    if total <= bath:
        allowed = "it must be more than the bath, {}"
        raise InputError("total mass", given(total, "kg"), allowed, given(bath, "kg"))
    if not stocks:
        raise InputError("stocks", "an empty shelf", "name at least one, with its composition")
    wanted = _shares("alloy wanted", target)
    have = _shares("bath", bath_composition) if bath else {}
    shelf = {name: _shares(f"stock {name!r}", shares) for name, shares in stocks.items()}
    return _recipe(wanted, total, shelf, bath, have)


def rated_volume(rated_mass, rating_density=RATING_DENSITY):
    """Volume of a crucible that is sold by a mass: V = m_rated / density [m3].

    rated_mass [kg]         greater than 0
    rating_density [kg/m3]  of the metal that the maker had in mind, 1000 to 25 000; the default is an
                            inference of this package: measure your crucible with water, cold and empty, and
                            dry it fully

    Raises InputError outside the ranges. Check (common practice: a "3 kg" pot holds about 1.1 kg and a "5 kg"
    pot about 1.8 kg of ZA-12 when full):

    >>> from castlab.materials import alloy
    >>> zinc = alloy("ZA-12")
    >>> [round(rated_volume(rated) * zinc.liquid_density(450), 1) for rated in (3.0, 5.0)]
    [1.1, 1.8]
    """
    density = require_between("rating density", rating_density, 1000.0, 25000.0, "kg/m3")
    return require_positive("rated mass", rated_mass, "kg") / density


def crucible_holds(volume, alloy, temp_c, fill=SAFE_FILL):
    """Mass of liquid metal that a crucible takes with room below the brim: fill V density(T) [kg].

    volume [m3]     to the brim, greater than 0
    temp_c [deg C]  the hottest that it gets; hot metal needs more room
    alloy           a castlab.materials.Alloy
    fill            share of the volume, 0.1 to 1; 0.8 keeps metal in the pot when it is lifted and tilted
                    (common practice)

    Raises InputError outside the ranges. By hand: 200 cm3 of zinc, 6554 kg/m3 at its freezing point, filled
    to 0.8: 1.05 kg.

    >>> from castlab.materials import alloy
    >>> round(crucible_holds(200e-6, alloy("pure zinc"), 419.527), 2)
    1.05
    """
    fill = require_between("fill of the crucible", fill, 0.1, 1.0)
    return fill * require_positive("volume of the crucible", volume, "m3") * alloy.liquid_density(temp_c)


@dataclass(frozen=True)
class FillOrder:
    """One melt in its crucible [kg]: what goes in cold, and in how many small hot pieces the rest follows."""

    first: float
    rest: float
    pieces: int


def fill_order(weigh_in, holds):
    """How a charge goes into the crucible: about half cold and loose, the rest as it melts: a `FillOrder`.

    weigh_in [kg]  for one pour, greater than 0
    holds [kg]     `crucible_holds`

    Common practice: metal expands more than the pot, and a pot that is stuffed cold cracks; later pieces are
    small and preheated on the furnace's lid, so that no damp goes under the melt. Pieces are a tenth of the
    charge or less (judgement). Raises InputError for a charge larger than the pot.

    >>> order = fill_order(0.9, 1.1)
    >>> order.first, order.pieces
    (0.45, 5)
    >>> fill_order(1.4, 1.1)
    Traceback (most recent call last):
        ...
    castlab.errors.InputError: charge is 1.40 kg: the crucible takes 1.10 kg with room below the brim; use a \
larger pot, or less metal in feeder and gates: one mould cannot be filled from two melts
    """
    weigh_in = require_positive("charge", weigh_in, "kg")
    holds = require_positive("what the crucible holds", holds, "kg")
    if weigh_in > holds:
        allowed = ("the crucible takes {} with room below the brim; use a larger pot, or less metal in "
                   "feeder and gates: one mould cannot be filled from two melts")
        raise InputError("charge", kilograms(weigh_in, 3), allowed, kilograms(holds, 3))
    first = FIRST_FILL * weigh_in
    rest = weigh_in - first
    return FillOrder(first, rest, math.ceil(rest / (PIECE_SHARE * weigh_in) - 1e-9))


def widest_ingot(bore, alloy):
    """How wide across its corners a cold ingot may be for a bore: (bore - 2 clearance) / scale [m].

    bore [m]  of the crucible, more than twice the clearance of 3 mm
    alloy     a castlab.materials.Alloy

    scale is that of `pattern_scale`: metal just below its solidus has grown so much, the crucible hardly.
    Plain geometry. Raises InputError for a bore that leaves no room. By hand, pure aluminium, 50 mm: 44 /
    1.018 = 43.2 mm.

    >>> from castlab.materials import alloy
    >>> round(1000 * widest_ingot(0.050, alloy("pure aluminium")), 1)
    43.2
    """
    bore = require_between("bore of the crucible", bore, 2.1 * CLEARANCE, 1.0, "m")
    return (bore - 2.0 * CLEARANCE) / pattern_scale(alloy)


def _shares(name, shares):
    """A composition that adds up, as floats."""
    if not isinstance(shares, dict) or not shares:
        raise InputError(f"composition of the {name}", repr(shares), "it must be {element: share by mass}")
    checked = {element: require_between(f"{element} in the {name}", share, 0.0, 1.0)
               for element, share in shares.items()}
    total = sum(checked.values())
    if abs(total - 1.0) > TOLERANCE:
        allowed = "the shares must add up to 1; the main metal is the rest"
        raise InputError(f"composition of the {name}", f"{total:.3f} in all", allowed)
    return checked


def _recipe(wanted, total, shelf, bath, have):
    from scipy.optimize import nnls  # here, so that the other rules start without scipy

    elements = sorted({element for each in (wanted, have, *shelf.values()) for element in each})
    aims, from_bath = (np.array([each.get(e, 0.0) for e in elements]) for each in (wanted, have))
    rows = np.array([[shares.get(e, 0.0) for shares in shelf.values()] for e in elements])
    needed = np.append(total * aims - bath * from_bath, MASS_ROW * (total - bath))
    masses, _ = nnls(np.vstack([rows, np.full(len(shelf), MASS_ROW)]), needed)
    reached = (rows @ masses + bath * from_bath) / total
    missed = [(element, share, aim, element in {e for each in shelf.values() for e in each if each[e]})
              for element, share, aim in zip(elements, reached.tolist(), aims.tolist(), strict=True)
              if abs(share - aim) > TOLERANCE]
    missed.sort(key=lambda each: each[1] - each[2])  # what is short first: it is usually the cause
    return Recipe(tuple(zip(shelf, masses.tolist(), strict=True)), tuple(missed))


def _missed_words(element, share, aim, on_shelf):
    short = "the stocks do not bring enough" if on_shelf else "no stock brings it"
    why = short if share < aim else "too much" if aim else "only purer metal instead of the bath thins it"
    return f"{element} comes to {100 * share:.1f} % instead of {100 * aim:.1f} %: {why}."
