"""Holes as a saw shows them: hollows with a smooth edge, as large in the section as what is missing.

An account says of each cell which share of it is empty. What hangs together is one hollow. It is drawn where
the share is largest, up to the line inside which its area is that of all the shares together.
"""

import numpy as np
from scipy import ndimage

from castlab.teach.picture.smooth import Blend, carried_outward

UPWARD = 0.05  # share of a cell by which the top of a hollow is preferred to its foot where shares are equal
SEEN = 1e-3  # share of a cell from which on it counts as holed
REACH = 2  # cells round a hollow into which its edge may bulge
LEAST_PIXELS = 6.0  # a hollow smaller than this is not drawn
CRUMB = 0.1  # of a hollow in a feeder: smaller pieces beside it are crumbs
NEARLY_EMPTY = 0.8  # share of the metal that is its own that a hollow takes
AROUND = np.ones((3, 3))


def hollows(section, view, metal, kinds, harmless=None, opened=None):
    """Which pixels of `metal` (rows, columns) are hollow: the kind of the hollow, 0 where there is none.

    section    a `raster.Section`; of its voids those of the `kinds`
    view       the pixels that `metal` is made for
    harmless   the kind that is drawn without crumbs: the pipe of a feeder
    opened     the kind that is open to its face: a sink, whose skin of one cell has gone down with it
    """
    share = np.where(np.isin(section.void_kind, kinds), section.void, 0.0)
    shown = np.zeros(metal.shape, dtype=np.uint8)
    names, kind_of = _named(section.void_kind, share, kinds)
    if not len(kind_of):
        return shown
    wide = _grown(names)
    columns, rows = (np.clip(np.searchsorted(edges, points) - 1, 0, len(edges) - 2)
                     for edges, points in ((section.x_edges, view.x), (section.y_edges, view.y)))
    area = _area(section, names, share) / view.metres_per_pixel**2
    going_on = _going_on(names, kind_of)
    deep = carried_outward(share, np.isfinite(section.frozen_share))
    for number, window in enumerate(ndimage.find_objects(wide), start=1):
        if window is None or area[number] < LEAST_PIXELS * view.scale**2:
            continue
        down, across = (_pixels_of(cells, span) for cells, span in zip((rows, columns), window[::-1]))
        if down.stop > down.start and across.stop > across.start:
            own = metal[down, across] & (wide.T[np.ix_(rows[down], columns[across])] == number)
            part = view.part(down, across)
            here = Blend(section.x_edges, section.y_edges, part).spread(deep)
            here += UPWARD * _height(section.layout, part)
            if number in going_on and area[number] > NEARLY_EMPTY * own.sum():
                here += ndimage.distance_transform_edt(metal[down, across]) / view.scale
            chosen = _deepest(here, own, area[number])
            if kind_of[number - 1] == opened:
                above = _skin_above(chosen, own, metal[down, across], section.layout)
                chosen = _deepest(np.where(above, np.inf, here), own, area[number])
            if kind_of[number - 1] == harmless:
                chosen = _without_crumbs(chosen, here, own, area[number])
            shown[down, across][chosen] = kind_of[number - 1]
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


def _going_on(names, kind_of):
    """The hollows that touch one of another kind. What metal is left in one that is nearly empty is skin on
    its walls, as in a feeder whose pipe goes on into the casting."""
    kinds = np.array([0, *kind_of])[names]
    found = set()
    for kind in set(kind_of):
        beside = ndimage.binary_dilation((kinds != kind) & (kinds > 0), AROUND)
        found.update(names[(kinds == kind) & beside].tolist())
    return found


def _area(section, names, share):
    """How much metal is missing in the plane of the section, of each hollow by number [m2]."""
    cells = np.diff(section.x_edges)[:, None] * np.diff(section.y_edges)
    filled = 1.0 if section.metal is None else section.metal
    return np.bincount(names.ravel(), weights=(share * filled * cells).ravel())


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
    pixels = np.flatnonzero(own)
    most, found = min(int(round(count)), len(pixels)), np.zeros(own.shape, dtype=bool)
    if most:
        found.ravel()[pixels[np.argpartition(depth.ravel()[pixels], -most)[-most:]]] = True
    return found


def _skin_above(chosen, own, metal, layout):
    """What lies of a hollow's own pixels between it and the face above, where nothing else does."""
    axis = 1 if layout.up_axis == 0 else 0
    from_top = slice(None, None, -1) if (layout.up_sign > 0) == (axis == 1) else slice(None)
    turned = (slice(None), from_top) if axis == 1 else (from_top,)
    hollow, free, inside = (each[turned] for each in (chosen, own, metal))
    not_yet = ~np.logical_or.accumulate(hollow, axis)
    skin = not_yet & inside & hollow.any(axis, keepdims=True)
    whole = (free | ~skin).all(axis, keepdims=True) & ~inside.take([0], axis)  # up to a face that is seen
    return (skin & whole)[turned]


def _without_crumbs(chosen, depth, own, count):
    """The same hollow with what lies in crumbs beside it given to its larger pieces.

    Where the mush above has just become stiff, the account takes its metal from the few cells below that
    still move, or drains a cell more than its neighbours. How much is missing in the feeder is true; that it
    is missing in just that cell is not.
    """
    names, found = ndimage.label(chosen, AROUND)
    sizes = np.bincount(names.ravel())
    crumbs = sizes < CRUMB * count
    if found < 2 or not crumbs.any() or crumbs[1:].all():
        return chosen
    crumbs[0] = False
    here = crumbs[names]
    to_crumb, to_rest = (ndimage.distance_transform_edt(~each) for each in (here, chosen & ~here))
    return _deepest(depth, own & (to_rest <= to_crumb), count)
