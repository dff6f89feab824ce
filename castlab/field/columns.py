"""The columns of metal along gravity: rows, heights, what lies above and beside each cell."""

import numpy as np
from scipy import ndimage


class Columns:
    """The columns of metal along gravity: rows, heights, what lies above each cell."""

    def __init__(self, run):
        self.run, self.grid = run, run.grid
        layout, grid = run.grid.layout, run.grid
        self.axis, self.sign = layout.up_axis, layout.up_sign
        cells = run.metal_cells
        place = np.unravel_index(cells, grid.shape)[self.axis]
        self.rows = grid.shape[self.axis]
        self.row = place if self.sign > 0 else self.rows - 1 - place
        self.height = self.sign * grid.centres[self.axis][place]
        self.thickness = np.diff(grid.edges[self.axis])[place] * grid.metal.ravel()[cells]
        self.below, self.above = (self._neighbour(self.axis, step) for step in (-1, 1))
        flat = [axis for axis in range(len(grid.shape)) if axis != self.axis]
        self.beside = np.array([self._neighbour(axis, step) for axis in flat for step in (-1, 1)])
        self.over = self.above if self.sign > 0 else self.below
        roles = grid.roles.ravel()[cells]
        places = np.delete(np.array(np.unravel_index(cells, grid.shape)), self.axis, axis=0)
        column = np.ravel_multi_index(places, np.delete(grid.shape, self.axis))
        self.order = np.lexsort((-self.row, column))  # column by column, from above
        places -= places.min(axis=1, keepdims=True)
        self.flat_shape = tuple(places.max(axis=1) + 1)
        self.flat_at = np.ravel_multi_index(places, self.flat_shape)
        self.flat = np.zeros(self.flat_shape, dtype=bool).ravel()
        by_row = np.argsort(self.row, kind="stable")
        self.rows_of = np.split(by_row, np.searchsorted(self.row[by_row], np.arange(1, self.rows)))
        new = np.diff(column[self.order], prepend=-1) != 0
        new |= np.diff(self.row[self.order], prepend=0) != -1  # mould between: another run of metal
        self.starts, self.run_of = np.flatnonzero(new), np.cumsum(new) - 1
        self.under_feeder = self._spread(np.isin(roles[self.order][self.starts], (2, 3)))
        self.open_top = (self.row == self.rows - 1) & np.isin(roles, (2, 3))

    def _spread(self, of_runs):
        """A value of each run of metal, given to its cells."""
        values = np.empty(len(self.order), dtype=of_runs.dtype)
        values[self.order] = of_runs[self.run_of]
        return values

    def _neighbour(self, axis, step):
        """Number of the metal cell next to each along an axis; its own where there is none."""
        own = np.arange(len(self.run.metal_cells))
        shifted = np.roll(self.run.on_grid(own, -1), -step, axis=axis)
        np.moveaxis(shifted, axis, 0)[-1 if step > 0 else 0] = -1
        found = shifted.ravel()[self.run.metal_cells]
        return np.where(found < 0, own, found)

    def across(self, values):
        """How much values (last axis: cells) differ between the upper and the lower face of each cell."""
        own = np.arange(values.shape[-1])
        steps = np.maximum((self.below != own) + 1.0 * (self.above != own), 1.0)
        differ = values.take(self.above, axis=-1)
        differ -= values.take(self.below, axis=-1)
        np.abs(differ, out=differ)
        differ /= steps
        return differ

    def roof(self, still, aired):
        """Metal [m] above the middle of each cell that neither moves nor is empty, up to the face of the
        metal or to a hollow with air in it; `still` is its share of each cell, `aired` where such a hollow
        is."""
        layer = (still * self.thickness)[self.order]
        through = np.cumsum(layer)
        place = np.arange(len(layer))
        opens = aired[self.order]
        opens[self.starts] = True
        top = np.maximum.accumulate(np.where(opens, place, 0))
        above = np.empty(len(layer))
        above[self.order] = through - through[top] + layer[top] - 0.5 * layer
        return above

    def level(self, cells, row, still_there):
        """These `cells` of one row, and all that hang together with them in it and are `still_there`."""
        others = self.rows_of[row]
        there = still_there[others]
        if np.count_nonzero(there) == len(cells):
            return cells
        self.flat[:] = False
        self.flat[self.flat_at[others[there]]] = True
        names = ndimage.label(self.flat.reshape(self.flat_shape))[0].ravel()
        reached = np.zeros(names.max() + 1, dtype=bool)
        reached[names[self.flat_at[cells]]] = True
        return others[reached[names[self.flat_at[others]]] & there]

    def total(self, values):
        """Sum of values over the run of metal that each cell's column has there."""
        return self._spread(np.bincount(self.run_of, weights=values[self.order]))
