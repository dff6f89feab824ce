"""Convex edges of metal, where heat flows out faster than cells can show.

Round an outer corner of 90 degrees temperature falls as r^(2/3) sin(2 a / 3), r from the edge and a from the
metal's face (harmonic functions in a sector of 270 degrees). Through the sides of a cell beside it flows the
integral of its slope. The middle of the cell shows less, by the cube root of 2 where cells are as wide
as high, and by as much less what flows from there into the cell on the corner.
"""

import numpy as np

AT_AN_EDGE = 2.0 ** (1.0 / 3.0)


def at_edges(grid, axis):
    """By how much more heat flows through the faces along an axis than cells show: (from metal, in mould).

    Counts edges between whole cells of metal and whole cells of something else; 1 elsewhere. Parameters:
    `grid`, `axis`.

    >>> from castlab.field.grid import build
    >>> from castlab.field.layout import Layout, box
    >>> body = box("block", "casting", (-0.01, 0.01), (-0.01, 0.01), (-0.01, 0.01))
    >>> grid = build(Layout((body,), (-0.1,) * 3, (0.1,) * 3), 5e-3)
    >>> from_metal, _ = at_edges(grid, 0)
    >>> sorted({round(float(each), 2) for each in from_metal.ravel()})  # on a face, at its edges, its corners
    [1.0, 1.26, 1.59]
    """
    metal, other = grid.metal == 1.0, grid.metal == 0.0
    (metal_one, metal_two), (other_one, other_two) = (_halves(each, axis) for each in (metal, other))
    shape = metal_one.shape
    free, half_free = np.zeros(shape, dtype=np.int8), np.zeros(shape, dtype=np.int8)
    both_other = other_one & other_two
    one_of_each = (metal_one & other_two) | (other_one & metal_two)
    for across in range(3):
        if across != axis:
            for here, there in (_halves(slice(None), 0), _halves(slice(None), 0)[::-1]):
                here, there = ((slice(None),) * across + (each,) for each in (here, there))
                free[here] += both_other[there]
                half_free[here] += one_of_each[there]
    from_metal = np.where(one_of_each, AT_AN_EDGE**free, 1.0)
    return from_metal, np.where(both_other, AT_AN_EDGE**half_free, 1.0)


def _halves(values, axis):
    """Without the last and without the first along an axis; of a slice, the two slices."""
    if isinstance(values, slice):
        return slice(None, -1), slice(1, None)
    before = (slice(None),) * axis + (slice(None, -1),)
    after = (slice(None),) * axis + (slice(1, None),)
    return values[before], values[after]
