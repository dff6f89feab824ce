"""The course of freezing, cell by cell: what each asks for and how far it moves, whoever pays."""

from typing import NamedTuple

import numpy as np

EMPTY = 1e-9


class Course(NamedTuple):
    """What does not depend on who pays: one row for each step, one column for each metal cell.

    fed               whether the cell asks its pool for metal in this step
    rho               [kg/m3]  density up to which it does
    asked             [kg/m3]  what it asks for while it is full
    shrinks_unfed     the share by which its metal shrinks beyond that
    primary           solid fraction; liquid can be drawn out from between these crystals
    front             share of the cell that is solid behind a front
    slurry            share of the cell whose crystals do not yet hold each other
    """

    fed: np.ndarray
    rho: np.ndarray
    asked: np.ndarray
    shrinks_unfed: np.ndarray
    primary: np.ndarray
    front: np.ndarray
    slurry: np.ndarray


def course_of(alloy, solid, temp_c, last_fed, lines):
    """The Course of some steps: what `alloy` and `lines` (Columns) do to cells that are fed up to `last_fed`.

    `solid` and `temp_c` are the snapshots at their ends, one more than steps. By hand, a pure metal of which
    a fifth is missing once it is solid, when a quarter of it freezes:

    >>> from dataclasses import replace
    >>> from castlab.materials import alloy
    >>> zinc = replace(alloy("pure zinc"), freezing_contraction=0.2)
    >>> temp_c = np.full((2, 1), zinc.liquidus_c)
    >>> course = course_of(zinc, np.array([[0.25], [0.5]]), temp_c, np.ones(1), None)
    >>> round(float(course.asked[0, 0] / zinc.density_solid), 6), float(course.front[0, 0])
    (0.05, 0.5)
    """
    density = density_of(alloy, solid, temp_c)
    before, after = solid[:-1], solid[1:]
    asked = (last_fed - before) / np.maximum(after - before, EMPTY)  # share of the step in which it is fed
    np.clip(asked, 0.0, 1.0, out=asked)
    asked[after < before] = 1.0  # what melts again gives back what it took
    fed = asked > 0.0
    asked *= np.diff(density, axis=0)
    rho = density[:-1] + asked
    primary = np.minimum(after, alloy.arrest_fraction)
    front = (1.0 - after) / np.maximum(1.0 - primary, EMPTY)
    np.clip(np.subtract(1.0, front, out=front), 0.0, 1.0, out=front)
    slurry = np.ones(primary.shape)
    if alloy.arrest_fraction > 0.0:
        np.divide(alloy.mobile_limit - primary, np.maximum(lines.across(primary), EMPTY), out=slurry)
        slurry += 0.5
        np.clip(slurry, 0.0, 1.0, out=slurry)
    unfed = np.maximum(1.0 - rho / density[1:], 0.0)
    return Course(fed, rho, asked, unfed, primary, front, slurry)


def density_of(alloy, solid, temp_c):
    """Density [kg/m3] of an `alloy`: the liquid's falls with `temp_c` above the liquidus, the mush with the
    share `solid` is a mixture by volume.

    >>> from castlab.materials import alloy
    >>> zinc = alloy("pure zinc")
    >>> density_of(zinc, np.ones(1), np.full(1, 20.0))[0] == zinc.density_solid
    True
    """
    liquid = alloy.density_liquid * (
        1.0 - alloy.liquid_contraction * np.maximum(temp_c - alloy.liquidus_c, 0.0)
    )
    return solid * alloy.density_solid + (1.0 - solid) * liquid
