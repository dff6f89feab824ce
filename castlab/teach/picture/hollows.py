"""Holes as a saw shows them: hollows with a smooth edge that cover as much of the section as metal is missing.

An account says of each cell which share of it is empty. What hangs together is one hollow. It is drawn where
the share is largest, up to the line inside which its area is that of all the shares together.
"""

import numpy as np
from scipy import ndimage

from castlab.teach.picture.smooth import carried_outward

UPWARD = 0.05  # share of a cell by which the top of a hollow is preferred to its foot where shares are equal
SEEN = 1e-3  # share of a cell from which on it counts as holed
REACH = 2  # cells round a hollow into which its edge may bulge
LEAST_PIXELS = 6.0  # a hollow smaller than this is not drawn
NEARLY_EMPTY = 0.8  # share of its cells that a hollow takes
AROUND = np.ones((3, 3))


def hollows(section, view, metal, blend, kinds):
    """Which pixels of `metal` (rows, columns) are hollow: the kind of the hollow, 0 where there is none.

    section   a `raster.Section`; of its voids those of the `kinds`
    view      the pixels that `metal` and the `blend` (a `smooth.Blend`) are made for
    """
    share = np.where(np.isin(section.void_kind, kinds), section.void, 0.0)
    shown = np.zeros(metal.shape, dtype=np.uint8)
    names, kind_of = _named(section.void_kind, share, kinds)
    if not len(kind_of):
        return shown
    wide = _grown(names)
    columns, rows = (np.clip(np.searchsorted(edges, points) - 1, 0, len(edges) - 2)
                     for edges, points in ((section.x_edges, view.x), (section.y_edges, view.y)))
    area = _area(names, share, metal, rows, columns, len(kind_of))
    goes_on = _goes_on(names, share, kind_of)
    depth = blend.spread(carried_outward(share, np.isfinite(section.frozen_share)))
    for number, window in enumerate(ndimage.find_objects(wide), start=1):
        if window is None or area[number] < LEAST_PIXELS * view.scale**2:
            continue
        down, across = (_pixels_of(cells, span) for cells, span in zip((rows, columns), window[::-1]))
        if down.stop > down.start and across.stop > across.start:
            own = metal[down, across] & (wide.T[np.ix_(rows[down], columns[across])] == number)
            here = depth[down, across] + UPWARD * _height(section.layout, view.part(down, across))
            if goes_on[number]:
                here = here + ndimage.distance_transform_edt(metal[down, across]) / view.scale
            own &= _deepest(here, own, area[number])
            shown[down, across][own] = kind_of[number - 1]
    return shown


def _named(void_kind, share, kinds):
    """Hollows by number on the cells, and the kind of each; pieces that nearly touch are one."""
    names, kind_of = np.zeros(share.shape, dtype=int), []
    for kind in kinds:
        here = (void_kind == kind) & (share > SEEN)
        if here.any():
            found, count = ndimage.label(ndimage.binary_dilation(here, AROUND), AROUND)
            names = np.where(here, found + len(kind_of), names)
            kind_of += count * [kind]
    return names, kind_of


def _grown(names):
    for _ in range(REACH):
        names = np.where(names, names, ndimage.maximum_filter(names, footprint=AROUND, mode="constant"))
    return names


def _goes_on(names, share, kind_of):
    """Of each hollow whether it is nearly empty and a hollow of another kind begins where it ends: what metal is
    left in it is skin on its walls, as in a feeder whose pipe goes on into the casting."""
    kinds = np.array([0, *kind_of])[names]
    goes_on = np.zeros(len(kind_of) + 1, dtype=bool)
    for kind in set(kind_of):
        beside = ndimage.binary_dilation((kinds != kind) & (kinds > 0), AROUND)
        for number in np.unique(names[(kinds == kind) & beside]):
            goes_on[number] = share[names == number].mean() > NEARLY_EMPTY
    return goes_on


def _area(names, share, metal, rows, columns, count):
    """How many pixels of each hollow are missing in all."""
    spots = np.flatnonzero(names.any(axis=0)[rows]), np.flatnonzero(names.any(axis=1)[columns])
    cells = np.ix_(rows[spots[0]], columns[spots[1]])
    weights = (share.T[cells] * metal[np.ix_(*spots)]).ravel()
    return np.bincount(names.T[cells].ravel(), weights=weights, minlength=count + 1)


def _height(layout, view):
    """Of pixels along gravity, from 0 at their foot to 1 at their top."""
    along = view.x[None, :] if layout.up_axis == 0 else view.y[:, None]
    height = layout.up_sign * along
    return (height - height.min()) / max(np.ptp(height), 1e-12)


def _pixels_of(cells, span):
    """The pixels, whose `cells` rise or fall, that lie in a span of cells: a slice."""
    found = np.flatnonzero((cells >= span.start) & (cells < span.stop))
    return slice(found[0], found[-1] + 1) if len(found) else slice(0, 0)


def _deepest(depth, own, count):
    """The `count` deepest of the own pixels."""
    values = depth[own]
    most = min(int(round(count)), len(values))
    if most == 0:
        return np.zeros(own.shape, dtype=bool)
    return depth >= np.partition(values, len(values) - most)[len(values) - most]
