"""Values of cells at pixels: mixed from the cells round each, so that lines of equal value run smoothly."""

import numpy as np
from scipy import ndimage

RINGS = 2  # of cells outside the metal to which its values are carried, for pixels near its edge


class Blend:
    """Quadratic B-splines: smooth, and never above or below the values of the cells that are mixed.

    x_edges, y_edges   [m]   edges of the cells
    view                     the pixels, a `raster.View`
    """

    def __init__(self, x_edges, y_edges, view):
        self._across, self._down = _weights(x_edges, view.x), _weights(y_edges, view.y)

    def spread(self, values):
        """Values of the cells, shape (x, y), at the pixels, shape (rows, columns)."""
        rows = np.asarray(values, dtype=np.float32).T
        wide = sum(weight * rows[:, cells] for cells, weight in self._across)
        return sum(weight[:, None] * wide[cells] for cells, weight in self._down)


def _weights(edges, points):
    """Of the cell before, at and after each point: its number and its weight."""
    count = len(edges) - 1
    place = np.interp(points, 0.5 * (edges[1:] + edges[:-1]), np.arange(count))
    nearest = np.rint(place).astype(int)
    off = (place - nearest).astype(np.float32)
    weights = 0.5 * (0.5 - off) ** 2, 0.75 - off**2, 0.5 * (0.5 + off) ** 2
    return [(np.clip(nearest + step, 0, count - 1), weight) for step, weight in zip((-1, 0, 1), weights)]


def carried_outward(values, known):
    """Values where they are `known`; in the cells next to these the mean of those beside them, else 0.

    >>> one = np.array([[np.nan, 4.0, 2.0]])
    >>> carried_outward(one, np.isfinite(one)).tolist()
    [[4.0, 4.0, 2.0]]
    """
    values, known = np.where(known, values, 0.0), known.astype(float)
    for _ in range(RINGS):
        beside, count = (9.0 * ndimage.uniform_filter(each, 3, mode="constant") for each in (values, known))
        found = (known == 0.0) & (count > 0.5)
        values = np.where(found, beside / np.maximum(count, 1.0), values)
        known = np.where(found, 1.0, known)
    return values
