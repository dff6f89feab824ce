"""Alloys, moulds and layouts made by hand, with round numbers, for the tests of the computed casting."""

import dataclasses

import numpy as np

from castlab.field.layout import Layout, box
from castlab.field.rigging import slab
from castlab.materials import Alloy, Mould

COLD_C = 25.0

# The metal and sand of the reference problem: near ZA-12 in dry sand, but every number round and linear.
REFERENCE_METAL = Alloy(
    name="reference metal",
    family="made by hand",
    liquidus_c=432.0,
    solidus_c=377.0,
    solid_fraction=((432.0, 0.0), (377.0, 1.0)),
    latent_heat=110e3,
    heat_capacity_solid=450.0,
    heat_capacity_liquid=450.0,
    conductivity_solid=115.0,
    conductivity_liquid=115.0,
    density_solid=6000.0,
    freezing_contraction=0.047,
    liquid_contraction=1.4e-4,
    solid_expansion=2.7e-5,
    mobile_limit=0.25,
    passable_limit=0.9,
    viscosity=3e-3,
    arm_spacing=(4e-5, 0.33),
)
REFERENCE_SAND = Mould("reference sand", "sand", 0.6, 1500.0, 1100.0, COLD_C)
REFERENCE_POUR_C = 472.0


def metal(**changes):
    """The reference metal with some numbers changed."""
    return dataclasses.replace(REFERENCE_METAL, **changes)


def pure_metal(melting_c, **changes):
    """A metal that freezes at one temperature."""
    rows = ((melting_c, 0.0), (melting_c, 1.0))
    return metal(liquidus_c=melting_c, solidus_c=melting_c, solid_fraction=rows, pour_range_c=(), **changes)


def fixed_wall(temp_c, interface_coefficient=float("inf")):
    """A die so large and so good a conductor that it stays at its temperature; no real material."""
    return Mould("fixed wall", "die", 1e6, 1e5, 6e5, temp_c, interface_coefficient)


def bar_and_block(cell):
    """The reference problem: a 120 x 12 mm bar ending in a 40 x 40 mm block, in 300 x 200 mm of sand.

    Three cells deep and through the whole flask, so that heat flows in two directions only.
    """
    deep = (0.0, 3.0 * cell)
    bar = box("bar", "casting", (70e-3, 190e-3), (94e-3, 106e-3), deep)
    block = box("block", "casting", (190e-3, 230e-3), (80e-3, 120e-3), deep)
    return Layout((bar, block), (0.0, 0.0, 0.0), (0.3, 0.2, 3.0 * cell))


def rod(metal_length, mould_length, cell):
    """Metal from y = 0 up, then mould, in a narrow flask that lets no heat out: it flows along y only."""
    side = 0.0, 3.0 * cell
    body = box("metal", "casting", side, (0.0, metal_length), side)
    return Layout((body,), (0.0, 0.0, 0.0), (side[1], metal_length + mould_length, side[1]))


def endlessly_wide(layout, depth):
    """A layout of boxes cut to a `depth` [m] between walls of its flask that let no heat out."""
    def ends(thing):
        return dict(low=(*thing.low[:2], -depth / 2), high=(*thing.high[:2], depth / 2))

    cut = tuple(dataclasses.replace(body, **ends(body)) for body in layout.blocks)
    return dataclasses.replace(layout, blocks=cut, **ends(layout))


def block(depth, side=40e-3, sand=60e-3):
    """A block with a square face, in sand."""
    body, wide = slab("block", "casting", (sand, sand + side), (sand, sand + side), depth), 2 * sand + side
    return Layout((body,), (0.0, 0.0, -sand - depth / 2), (wide, wide, sand + depth / 2))


def eighth_of_block(x, y, z, sand=60e-3):
    """One eighth of a block in three dimensions: its planes of symmetry are walls of the flask."""
    body = box("block", "casting", (0.0, x / 2), (0.0, y / 2), (0.0, z / 2))
    return Layout((body,), (0.0, 0.0, 0.0), (x / 2 + sand, y / 2 + sand, z / 2 + sand))


def share_solid(metal, temp_c):
    """Solid fraction by mass of an alloy at temp_c [deg C], a number or an array, from its rows alone."""
    temps, shares = zip(*reversed(metal.solid_fraction), strict=True)
    return np.interp(temp_c, temps, shares)
