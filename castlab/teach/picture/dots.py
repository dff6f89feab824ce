"""Sponge as dots: as many in a hundred places as the share of fine holes says."""

import numpy as np

LEAST_SPONGE = 0.001  # share of a cell; less than this is not shown
DENSE = 0.02  # share of a cell from which on there is a dot at every place
STEP, SHIFT, SIZE = 8, 3, 4  # screen pixels from dot to dot, from row to row, and across a dot


def dots(section, view, metal, sponge):
    """Which pixels belong to a dot.

    section   a `raster.Section`; `sponge`, the share of each of its cells that fine holes take
    view      the pixels, of which `metal` (rows, columns) is metal
    """
    (across, down), size = view.strokes(), SIZE * view.scale
    row = np.arange(down[0, 0] // STEP, down[-1, 0] // STEP + 1)[:, None]
    place = np.arange(across[0, 0] // STEP, (across[0, -1] + SHIFT * row[-1, 0]) // STEP + 1)
    top = (STEP * row - down[0, 0]) * view.scale + 0 * place
    left = (STEP * place - SHIFT * row - across[0, 0]) * view.scale
    share = _at(section, view, sponge, top + size // 2, left + size // 2)
    found = _dice(place, row) * DENSE < share - LEAST_SPONGE
    marks = np.zeros((metal.shape[0] + 2 * size, metal.shape[1] + 2 * size), dtype=bool)
    for step in np.ndindex(size, size):  # a frame round the picture takes what hangs over its edge
        marks[top[found] + size + step[0], left[found] + size + step[1]] = True
    return marks[size:-size, size:-size] & metal


def place_of_dots(across, down):
    """Whether a dot could lie on these columns and rows of screen pixels: all dots, side by side."""
    return ((across + SHIFT * (down // STEP)) % STEP < SIZE) & (down % STEP < SIZE)


def _dice(place, row):
    """A number from 0 to 1 for each dot: neighbours differ much, and each range of numbers is spread evenly,
    like multiples of the golden section along a line (these two are for a plane, from memory)."""
    return (0.5 + 0.7548776662 * place + 0.5698402910 * row) % 1.0


def _at(section, view, values, rows, columns):
    """Values of the cells in which these pixels lie; 0 outside the picture."""
    inside = (rows >= 0) & (rows < len(view.y)) & (columns >= 0) & (columns < len(view.x))
    x, y = view.x[np.where(inside, columns, 0)], view.y[np.where(inside, rows, 0)]
    cells = [np.clip(np.searchsorted(edges, points) - 1, 0, len(edges) - 2)
             for edges, points in ((section.x_edges, x), (section.y_edges, y))]
    return np.where(inside, values[tuple(cells)], 0.0)
