"""Hydrogen that a melt brings along: what the mush of it holds, and how hard the rest presses in a pore."""

from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_number
from castlab.field.sponge import ATMOSPHERE_PA
from castlab.materials import HYDROGEN, Alloy
from castlab.units import celsius, given

ICE_POINT = 273.15  # K
CM3_PER_100G = 1e-5  # m3/kg
TRADE = "ml in 100 g"


@dataclass(frozen=True)
class Hydrogen:
    """Hydrogen in a melt of an `alloy`: its `content`, as gas at 0 deg C and one atmosphere [m3/kg].

    It spreads within a place far faster than metal freezes, and stays in that place: what the crystals do not
    take is in the liquid left between them, or in its pores. By Sieverts' law what is dissolved goes with the
    root of the pressure.
    """

    alloy: Alloy
    content: float

    def dissolves(self, solid, temp_c):
        """How much mush dissolves under one atmosphere of hydrogen [m3/kg]; `solid` is its share of crystals.

        The law for liquid is carried below its lowest measurement, to the end of freezing.
        """
        kelvin = np.maximum(temp_c, self.alloy.solidus_c) + ICE_POINT
        in_liquid, in_solid = (10.0 ** (intercept - slope / kelvin) * CM3_PER_100G
                               for intercept, slope in HYDROGEN[self.alloy.family])
        return (1.0 - solid) * in_liquid + solid * in_solid

    def pressure(self, solid, temp_c, pores):
        """Of the gas [Pa] in `pores`, which are a share of the metal's volume, 0 for one that is to open; and
        by how much it falls where they grow [Pa for each share].

        content = dissolves r + pores / density (273 K / T) r^2,  p = r^2 atmospheres

        By hand, pores of nothing: p is one atmosphere where all that is there just dissolves, and four where
        it is twice as much.

        >>> from castlab.materials import alloy
        >>> holds = Hydrogen(alloy("A356"), 0.0).dissolves(0.5, 580.0)
        >>> melts = [Hydrogen(alloy("A356"), times * holds) for times in (1, 2)]
        >>> [round(float(melt.pressure(0.5, 580.0, 0.0)[0])) for melt in melts]
        [101325, 405300]
        """
        kelvin = np.maximum(temp_c, self.alloy.solidus_c) + ICE_POINT
        cold = ICE_POINT / kelvin / self.alloy.density_solid
        holds = self.dissolves(solid, temp_c)
        root = 2.0 * self.content / (holds + np.sqrt(holds**2 + 4.0 * pores * cold * self.content))
        falls = 2.0 * cold * root**3 / (2.0 * pores * cold * root + holds)
        return ATMOSPHERE_PA * root**2, ATMOSPHERE_PA * falls


def hydrogen_of(setup, content):
    """Hydrogen in the melt of a `setup`: a `Hydrogen`, or None for a melt without.

    content  as gas at 0 deg C and one atmosphere [m3/kg], 0 to what the melt dissolves where it is poured; a
             treated melt of aluminium has about 1e-6, which is 0.1 ml in 100 g (common practice)

    Raises InputError for more than that, and for a family of metals for which no solubility is in the data.

    >>> from castlab import Setup, alloy, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("tin bronze"), mould("green sand"), pour_temp_c=1150.0)
    >>> hydrogen_of(setup, 1e-6)
    Traceback (most recent call last):
    castlab.errors.InputError: alloy for dissolved hydrogen is tin bronze: its family must be aluminium
    """
    name, metal = "hydrogen in the melt", setup.alloy
    if require_number(name, content, "m3/kg") == 0.0:
        return None
    if metal.family not in HYDROGEN:
        allowed = f"its family must be {' or '.join(HYDROGEN)}"
        raise InputError("alloy for dissolved hydrogen", metal.name, allowed)
    melt = Hydrogen(metal, content)
    most = float(melt.dissolves(0.0, setup.pour_temp_c))
    if not 0.0 < content <= most:
        allowed = f"it must lie between 0 and {{}}, which is what {metal.name} dissolves at {{}}"
        words = (given(round(each / CM3_PER_100G, 3), TRADE) for each in (content, most))
        raise InputError(name, next(words), allowed, next(words), celsius(setup.pour_temp_c))
    return melt
