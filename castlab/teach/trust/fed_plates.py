"""How far long plates are fed by the suction along the way through the mush, alloy by alloy; and its band."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from castlab.field.feeding_path import feeding_path
from castlab.field.freeze import freeze
from castlab.field.layout import Layout, Setup, box
from castlab.materials import alloy, mould, values

STEEL = "carbon steel"
METALS = (STEEL, "tin bronze", "sterling silver", "A356", "ZA-12")
THICK_M = (10e-3, 20e-3)
LENGTH, CELLS, SUPERHEAT_K = 15.0, 7, 60.0  # thicknesses beyond the feeder; across; above the liquidus
# What makes suction harder: end of the band of each property that a freezing that is computed does not need.
HARDER = {"viscosity": "high", "freezing_contraction": "high", "arm_spacing_at_1_K_per_s": "low"}


@dataclass(frozen=True)
class FedPlate:
    """A long plate that a feeder stands at one end of; places in thicknesses.

    fed_over        from the feeder to where metal first lacks; None where it lacks nowhere
    end             sound at the other end
    worst           largest share that a place lacks
    low, high       of fed_over, with viscosity, contraction and arm spacing all at the one end of their
                    bands, and at the other
    """

    metal: str
    thick_m: float
    fed_over: float | None
    end: float | None
    worst: float
    low: float | None
    high: float | None


def plate_with_feeder(thick, length):
    """A plate [m] so many thicknesses long beyond a feeder 2 thick and 3 high at its end, endlessly wide: a
    Layout, and the place where the plate begins [m]."""
    sand = 4.0 * thick
    slice_of_it = 0.0, 0.25 * thick  # no heat flows across
    start = sand + 2 * thick
    feeder = box("feeder", "feeder", (sand, start), (sand, sand + 3 * thick), slice_of_it)
    plate = box("plate", "casting", (start, start + length * thick), (sand, sand + thick), slice_of_it)
    flask = start + length * thick + sand, sand + 3 * thick, slice_of_it[1]
    return Layout((feeder, plate), (0.0, 0.0, 0.0), flask), start


@cache
def fed_plate(case):
    """How far a long plate is fed: a FedPlate. `case`: name of an alloy, thickness [m]."""
    name, thick = case
    metal = alloy(name)
    sand = mould("dry silica sand", hot=True) if metal.family == "iron" else mould("green sand")
    layout, _ = plate_with_feeder(thick, LENGTH)
    run = freeze(Setup(layout, metal, sand, metal.liquidus_c + SUPERHEAT_K), thick / CELLS)
    path = feeding_path(run)
    ends = [replace(run, setup=replace(run.setup, alloy=each)) for each in _ends(name)]
    low, high = (_fed_over(feeding_path(each)) for each in ends)
    return FedPlate(name, thick, _fed_over(path), _end(path), path.worst, low, high)


def _ends(name):
    """The alloy where suction is hardest, and where it is easiest."""
    metal, found = alloy(name), {value.quantity: value for value in values(name)}
    for hard in (True, False):
        ends = {}
        for quantity, end in HARDER.items():
            value = found[quantity]
            ends[quantity] = value.high if (end == "high") == hard else value.low
        arms = ends.pop("arm_spacing_at_1_K_per_s"), metal.arm_spacing[1]
        yield replace(metal, arm_spacing=arms, **ends)


def _fed_over(path):
    return path.fed_over if path.worst > 0.0 else None


def _end(path):
    """Thicknesses that are sound at the end of the plate."""
    if path.worst == 0.0:
        return None
    plate = path.run.grid.layout.blocks[-1]
    x = path.run.grid.centres[0][np.unravel_index(path.run.metal_cells, path.run.grid.shape)[0]]
    return float((plate.high[0] - x[path.lacks > 0.0].max()) / (plate.high[1] - plate.low[1]))
