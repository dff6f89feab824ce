"""What the bodies of a solid fill: metal of each cell, and how a cell that is only partly metal is divided.

Such a cut cell has two parts, metal and what is beside it, with a face between them. Its area and place
follow from the shares of the cell and of its six sides: all faces of the metal part, as vectors, add up to
none, and a third of the sum of face times distance is its volume (the divergence theorem). Both are exact for
a flat face.
"""

from dataclasses import dataclass

import numpy as np

from castlab.field.shares import shares_of

LEAST_SHARE, NEARLY_ALL = 1e-4, 1.0 - 1e-4  # less metal, or less beside it, is not worth a cell's part
LEAST_PART = 0.05  # a part acts as if at least so large, in cells: smaller ones would want shorter steps


@dataclass(frozen=True, eq=False)
class Cut:
    """How the cells within `where` (one slice an axis) are divided.

    moment    by axis, first moment of the metal about the middle of the cell, in cell volumes and sizes
    low, high by axis, the share of the cell's lower and upper side that is metal, seen from within the cell
    beside    number of the body that fills the rest of a cut cell, -1 the mould
    """

    where: tuple[slice, ...]
    moment: list[np.ndarray]
    low: list[np.ndarray]
    high: list[np.ndarray]
    beside: np.ndarray

    def spread(self, values, shape, fill=0.0):
        """Values within `where` spread over a grid of that shape, `fill` elsewhere."""
        whole = np.full(shape, fill, dtype=values.dtype)
        whole[self.where] = values
        return whole


def fill(layout, edges):
    """Metal share of each cell, the number of the body that it belongs to (-1: mould), and its Cut.

    A cell with metal in it belongs to the metal that fills most of it; a core takes the place of metal.
    Parameters: `layout`, `edges`, the grid lines along each axis [m]. The Cut is None where no cell is cut.

    >>> from castlab.field.layout import Layout, box
    >>> body = box("block", "casting", (0.0, 0.03), (0.0, 0.03), (0.0, 0.03))
    >>> layout = Layout((body,), (0.0,) * 3, (0.04,) * 3)
    >>> metal, block, cut = fill(layout, [np.array([0.0, 0.02, 0.04])] * 3)
    >>> float(metal[0, 0, 0]), round(float(metal[0, 0, 1]), 3), cut is None
    (1.0, 0.5, False)
    """
    shape = tuple(len(edge) - 1 for edge in edges)
    found = [(body, shares_of(body, edges)) for body in layout.blocks]
    found = [(number, body, shares) for number, (body, shares) in enumerate(found) if shares is not None]
    where = _window([shares for _, body, shares in found if body.is_metal], shape)
    within = [_within(shares, where, shape) for _, _, shares in found]
    size = tuple(each.stop - each.start for each in where)
    metal, cored, beside = np.zeros(size), np.zeros(size), np.full(size, -1, dtype=np.int16)
    moment, low, high = ([np.zeros(size) for _ in range(3)] for _ in range(3))
    for (_, body, shares), (here, there) in zip(found, within, strict=True):
        if body.is_metal:
            metal[here] += shares.share[there]
            for whole, parts in ((moment, shares.moment), (low, shares.low), (high, shares.high)):
                for each, part in zip(whole, parts, strict=True):
                    each[here] += part[there]
    for (number, body, shares), (here, there) in zip(found, within, strict=True):
        if body.is_metal or here is None:
            continue
        share = shares.share[there]
        beside[here] = np.where(share > 0.02, number, beside[here])
        if body.role == "core":
            cored[here] = np.maximum(cored[here], share)
            _take_away(
                metal[here],
                share,
                [each[here] for each in (*moment, *low, *high)],
                [each[there] for each in (*shares.moment, *shares.low, *shares.high)],
            )
    np.clip(metal, 0.0, 1.0, out=metal)
    metal[metal < LEAST_SHARE] = 0.0
    metal[metal > NEARLY_ALL] = 1.0
    whole = np.zeros(shape)
    whole[where] = metal
    block = _owners(found, whole)
    is_cut = (metal > 0.0) & (metal < 1.0)
    if not is_cut.any():
        return whole, block, None
    for each in moment:
        each[~is_cut] = 0.0
    for each in (*low, *high):
        np.clip(each, 0.0, 1.0, out=each)
        each[metal == 0.0], each[metal == 1.0] = 0.0, 1.0
    beside[~is_cut] = -1
    return whole, block, Cut(where, moment, low, high, beside)


def _take_away(metal, share, kept, taken):
    """A core takes metal away, in place: its share, its moment, its part of each side."""
    part = np.where(metal > 0.0, np.minimum(share, metal) / np.maximum(share, 1e-12), 0.0)
    metal -= share * part
    for each, other in zip(kept, taken, strict=True):
        each -= other * part


def _window(several, shape):
    """The smallest part of the grid that holds all of some shares, and one cell more on each side."""
    return tuple(
        slice(
            max(min(each.where[axis].start for each in several) - 1, 0),
            min(max(each.where[axis].stop for each in several) + 1, shape[axis]),
        )
        for axis in range(3)
    )


def _within(shares, where, shape):
    """Where shares lie in the window, and which of them: a pair of slices, (None, None) if none do."""
    here, there = [], []
    for own, window in zip(shares.where, where, strict=True):
        start, stop = max(own.start, window.start), min(own.stop, window.stop)
        if stop <= start:
            return None, None
        here.append(slice(start - window.start, stop - window.start))
        there.append(slice(start - own.start, stop - own.start))
    return tuple(here), tuple(there)


def _owners(found, metal):
    block, most = np.full(metal.shape, -1, dtype=np.int16), np.zeros(metal.shape)
    for number, body, shares in sorted(found, key=lambda each: not each[1].reaches_in):
        owner, largest, share = block[shares.where], most[shares.where], shares.share
        here = (share > 0.0) & (share >= largest) & (body.is_metal == (metal[shares.where] > 0.0))
        owner[here], largest[here] = number, share[here]
    block[(most < 0.5) & (metal == 0.0)] = -1
    return block


def faces_between(grid, metal):
    """The faces between metal and what is beside it within cut cells.

    Parameters: `grid`; `metal`, its shares. Returns flat numbers of the cut cells, the area of each one's
    face [m2], and how far the middle of the metal part and that of the other lie from it [m].

    >>> from castlab.field.grid import build
    >>> from castlab.field.layout import Layout
    >>> from castlab.field.bodies import ball
    >>> flask = (-0.1,) * 3, (0.1,) * 3
    >>> grid = build(Layout((ball("ball", "casting", (0.0, 0.0, 0.0), 0.05),), *flask), 2e-3)
    >>> cells, area, metal_off, other_off = faces_between(grid, grid.metal)
    >>> round(1e4 * 4 * float(area.sum()) / (np.pi * 25), 2)  # a quarter of the ball is solved
    1.0
    """
    cut = grid.cut
    inner = metal[cut.where]
    places = np.nonzero((inner > 0.0) & (inner < 1.0))
    share = inner[places]
    sizes = [
        np.diff(edge)[where][place] for edge, where, place in zip(grid.edges, cut.where, places, strict=True)
    ]
    volume = sizes[0] * sizes[1] * sizes[2]
    normal, sides = [], np.zeros(len(share))
    for axis, size in enumerate(sizes):
        low, high = cut.low[axis][places], cut.high[axis][places]
        normal.append((low - high) * volume / size)
        sides += 0.5 * (low + high) * volume
    area = np.sqrt(sum(each**2 for each in normal))
    known = np.maximum(area, 1e-9 * volume / max(map(np.max, sizes)))
    face = (3.0 * share * volume - sides) / known  # of the cell's middle from the face, along its normal
    middle = sum(cut.moment[axis][places] / share * sizes[axis] * normal[axis] for axis in range(3)) / known
    least = 0.5 * LEAST_PART * volume / np.maximum(known, volume / np.max(sizes, axis=0))
    metal_off = np.clip(face - middle, least, np.max(sizes, axis=0))
    other_off = np.clip(-middle * share / (1.0 - share) - face, least, np.max(sizes, axis=0))
    cells = np.ravel_multi_index(
        [place + where.start for place, where in zip(places, cut.where, strict=True)], grid.shape
    )
    return cells, area, metal_off, other_off


def slant(grid, axis):
    """By how much more than along the axis heat flows between the other parts across each face of an axis.

    Heat leaves metal square to its surface. Where that is slanted, the middles of two parts lie beside each
    other, and their difference of temperature is that along the slanted way between them.

    Parameters: `grid`, `axis`. Returns factors, 1 away from cut cells, shaped as the faces of the grid.

    >>> from castlab.field.grid import build
    >>> from castlab.field.layout import Layout
    >>> from castlab.field.bodies import ball
    >>> flask = (-0.1,) * 3, (0.1,) * 3
    >>> factor = slant(build(Layout((ball("ball", "casting", (0.0,) * 3, 0.05),), *flask), 4e-3), 0)
    >>> bool(factor.min() < 1.0 < factor.max()), float(factor[-1, -1, -1])
    (True, 1.0)
    """
    cut = grid.cut
    inner = grid.metal[cut.where]
    is_cut = (inner > 0.0) & (inner < 1.0)
    sizes = [
        np.diff(edge)[where].reshape([-1 if each == other else 1 for each in range(3)])
        for other, (edge, where) in enumerate(zip(grid.edges, cut.where, strict=True))
    ]
    volume = sizes[0] * sizes[1] * sizes[2]
    normal = [
        np.where(is_cut, (cut.low[other] - cut.high[other]) * volume / sizes[other], 0.0)
        for other in range(3)
    ]
    off = [
        np.where(is_cut, -cut.moment[other] * sizes[other] / np.maximum(1.0 - inner, LEAST_PART), 0.0)
        for other in range(3)
    ]
    before, after = ([slice(None)] * 3 for _ in range(2))
    before[axis], after[axis] = slice(None, -1), slice(1, None)
    before, after = tuple(before), tuple(after)
    way = [off[other][after] - off[other][before] for other in range(3)]
    straight = way[axis] + 0.5 * (sizes[axis][before] + sizes[axis][after])
    way[axis] = straight
    along = [each[after] + each[before] for each in normal]
    slanted = sum(one * there for one, there in zip(way, along, strict=True))
    direct = straight * along[axis]
    same_way = direct * slanted > 0.0
    factor = np.where(same_way, np.clip(direct / np.where(same_way, slanted, 1.0), 0.5, 2.0), 1.0)
    whole = np.ones([count - (other == axis) for other, count in enumerate(grid.shape)])
    faces = [slice(where.start, where.stop - (other == axis)) for other, where in enumerate(cut.where)]
    whole[tuple(faces)] = factor
    return whole
