"""How sure is a verdict? The same pour with properties at the ends of their bands."""

from dataclasses import replace

from castlab.errors import InputError
from castlab.materials import values

POUR_BAND_K = 10.0  # a thermocouple and a hurried hand; common practice
# Two levels of four things in eight pours: each pair of levels of any two of them comes up twice (the half
# fraction of a two-level design; Box, Hunter & Hunter, Statistics for Experimenters, from memory).
EIGHT = tuple((a, b, c, a * b * c) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1))
THINGS = ("the mould's conductivity", "latent heat", "contraction", "pouring temperature")


def across_bands(design, pour_band_k=POUR_BAND_K):
    """Eight designs with mould, latent heat, contraction and pouring temperature low or high: a tuple.

    The mould's conductivity, the alloy's latent heat and its freezing contraction go to the ends of the
    bands in castlab/data; the pour goes `pour_band_k` [K] down or up, but never below the liquidus.
    Parameters: `design`; `pour_band_k`, 0 or more, usually 10. Raises InputError for an alloy or mould that
    is not in the data.

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> eight = across_bands(design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0))
    >>> len(set(eight)), sorted({each.pour_temp_c for each in eight})
    (8, [465.0, 485.0])
    """
    name = design.mould.name.removesuffix(", hot")
    conducts = _band(name, "conductivity_hot" if design.mould.name != name else "conductivity")
    own = design.mould.conductivity / conducts[0]  # not 1 where a shop has measured its mould
    holds, shrinks = (_band(design.alloy.name, name) for name in ("latent_heat", "freezing_contraction"))
    found = []
    for mould_end, heat_end, shrink_end, pour_end in EIGHT:
        metal = replace(design.alloy, latent_heat=holds[heat_end], freezing_contraction=shrinks[shrink_end])
        around = replace(design.mould, conductivity=own * conducts[mould_end])
        poured = max(design.pour_temp_c + pour_end * pour_band_k, metal.liquidus_c)
        found.append(replace(design, alloy=metal, mould=around, pour_temp_c=poured))
    return tuple(found)


def _band(name, quantity):
    """{-1: low, 0: value, 1: high} of a value in castlab/data; the value itself where no band is given."""
    for value in values(name):
        if value.quantity == quantity:
            low, high = (value.value if end is None else end for end in (value.low, value.high))
            return {-1: low, 0: value.value, 1: high}
    raise InputError(quantity, name, "it must be in castlab/data for its band to be known")


def tipped_by(shares):
    """Which of THINGS opens the holes most, and at which end of its band: (thing, "low" or "high").

    The difference of means, holes with it high less holes with it low. Parameters: `shares`, of the eight
    pours of `across_bands` in their order, the defects as a share of the casting.

    >>> tipped_by([0.0, 0.0, 0.02, 0.02, 0.0, 0.0, 0.02, 0.02])
    ('latent heat', 'high')
    """
    effects = [sum(ends[at] * share for ends, share in zip(EIGHT, shares, strict=True)) for at in range(4)]
    at = max(range(4), key=lambda number: abs(effects[number]))
    return THINGS[at], "high" if effects[at] > 0.0 else "low"
