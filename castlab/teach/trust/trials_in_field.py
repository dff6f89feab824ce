"""Published trials that the field can repeat: skin in an iron mould, a wedge on a chill, a feeder in sleeves.

What was not printed is either spanned or found from one number, so that another can be compared.
"""

import math
from dataclasses import replace
from functools import cache

import numpy as np

from castlab.field.bodies import cylinder, ring
from castlab.field.freeze import freeze
from castlab.field.layout import Layout, Setup, box
from castlab.materials import alloy, mould

INGOT_M, WALL_M, INGOT_CELL = 0.4, 0.3, 4e-3  # thick: neither is felt in nine minutes
BLOCK_HIGH_M, COPPER_M, BLOCK_SAND_M, BLOCK_CELL = 0.12, 0.06, 0.10, 5e-3
BLOCK_WIDTHS = (0.05, 0.065, 0.08)
FEEDER_M, FEEDER_SAND_M, FEEDER_CELL, STEEL_POUR_C = 0.178, 0.16, 8e-3, 1580.0  # seven inches


@cache
def skin_in_iron(time, superheat):
    """Solid steel [m] in a thick iron mould so long [s] after the pour, so hot [K] above the liquidus."""
    place, frozen = _ingot(superheat)
    return float(np.interp(time, frozen, place))


@cache
def _ingot(superheat):
    """Depth below the mould's face [m] and when it is solid [s]; half an ingot, no heat flows sideways."""
    steel, iron = alloy("carbon steel"), replace(mould("cast-iron die"), start_temp_c=25.0)
    side, half = (0.0, 5 * INGOT_CELL), 0.5 * INGOT_M
    ingot = box("ingot", "casting", (0.0, half), side, side)
    layout = Layout((ingot,), (0.0, 0.0, 0.0), (half + WALL_M, side[1], side[1]), "+x")  # its top not bare
    run = freeze(Setup(layout, steel, iron, steel.liquidus_c + superheat), INGOT_CELL)
    here = run.grid.is_role("casting")[:, 0, 0]
    depth, frozen = half - run.grid.centres[0][here], run.freeze_time_s[here, 0, 0]
    return depth[::-1], np.maximum.accumulate(frozen[::-1])


@cache
def beside_chill(contact, far_s=588.0):
    """Local freezing time [s] of 319 at 5 mm from copper, in the block that takes `far_s` [s] at 50 mm.

    contact [W/m2/K] of the copper. The width of the published wedge was not read: it is found from `far_s`.
    """
    near, far = np.array([_block(width, contact) for width in BLOCK_WIDTHS]).T
    return float(np.interp(far_s, far, near))


def _block(width, contact):
    """Local freezing times [s] at 5 and 50 mm from the copper below a block of that width [m]."""
    metal, copper = alloy("319"), replace(mould("copper chill"), interface_coefficient=contact)
    low, high = BLOCK_SAND_M, BLOCK_SAND_M + width
    foot, side = BLOCK_SAND_M, (0.0, 4 * BLOCK_CELL)
    body = box("block", "casting", (low, high), (foot, foot + BLOCK_HIGH_M), side)
    chill = box("chill", "chill", (low, high), (foot - COPPER_M, foot), side, copper)
    flask = high + BLOCK_SAND_M, foot + BLOCK_HIGH_M + BLOCK_SAND_M, side[1]
    run = freeze(Setup(Layout((chill, body), (0.0, 0.0, 0.0), flask), metal, mould("dry silica sand"), 720.0),
                 BLOCK_CELL)
    x, y, _ = run.grid.centres
    column = int(np.argmin(np.abs(x - 0.5 * (low + high))))
    return [_local_time(run, metal, (column, int(np.argmin(np.abs(y - foot - away))), 0))
            for away in (5e-3, 50e-3)]


def _local_time(run, metal, cell):
    """From the liquidus to the solidus in one cell [s]."""
    member = int(np.flatnonzero(run.metal_cells == np.ravel_multi_index(cell, run.grid.shape))[0])
    begins = np.interp(-metal.liquidus_c, -run.temp_c[:, member], run.times_s)
    return float(run.freeze_time_s[cell] - begins)


@cache
def sleeve_factor(name, wall):
    """How many times the modulus a steel feeder of 7 inches has in a sleeve [m thick]: root of the times."""
    return math.sqrt(_feeder_time(name, wall) / _feeder_time())


@cache
def _feeder_time(name=None, wall=0.0):
    """When that feeder is solid [s]: a cylinder as high as wide, sand below and above."""
    foot, wide = FEEDER_SAND_M, 0.5 * FEEDER_M + FEEDER_SAND_M
    span = foot, foot + FEEDER_M
    blocks = [cylinder("feeder", "casting", "y", (0.0, 0.0), FEEDER_M, span)]
    if name:
        sleeve = mould(name, hot=name == "insulating sleeve")
        outer = FEEDER_M + 2.0 * wall
        blocks.append(ring("sleeve", "sleeve", "y", (0.0, 0.0), FEEDER_M, outer, span, sleeve))
    layout = Layout(tuple(blocks), (-wide, 0.0, -wide), (wide, span[1] + foot, wide))
    setup = Setup(layout, alloy("carbon steel"), mould("dry silica sand", hot=True), STEEL_POUR_C)
    return freeze(setup, FEEDER_CELL).last_time_s
