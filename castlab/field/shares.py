"""Which share of each cell, and of each of its faces, lies within a body; which bodies overlap.

Shares are exact along lines through a flat form, which lie so close that the rest is below a thousandth.
"""

from dataclasses import dataclass, replace

import numpy as np

from castlab.field.forms import Ball, Cone, insert
from castlab.field.mesh import Mesh
from castlab.field.mesh_shares import shares_in
from castlab.field.turned import Turned

LINES = 8  # a flat form is measured along so many lines in each row of cells, and across them
LAYERS, WEIGHTS = np.polynomial.legendre.leggauss(3)  # a cone is so many discs in each layer of cells
WITHIN_M = 1e-8  # a face is looked at so far within its cell: on a face two bodies may meet
TOUCH_M, GAP_M = 1e-9, 2e-5  # nearer than this touches; more common room than such a gap has is an overlap
PIECES = 12  # the room that two bodies may share is cut into so many pieces along each axis


@dataclass(eq=False)
class Shares:
    """What a body covers of some cells, whose numbers along each axis `where` says.

    share of each cell; `moment`, the first moment of that share about the cell's middle, by axis, in cell
    sizes; `low` and `high`, by axis, the share of the cell's lower and upper face, seen from within the cell.
    """

    where: tuple[slice, ...]
    share: np.ndarray
    moment: list[np.ndarray]
    low: list[np.ndarray]
    high: list[np.ndarray]


def shares_of(body, edges):
    """Shares of the cells between `edges` (one array an axis [m]) that lie in a `body`; None where none does.

    `body` has corners `low` and `high` [m] and a `form`, None for a straight box.

    >>> from castlab.field.layout import box
    >>> plate = box("plate", "casting", (0.0, 0.03), (0.0, 0.01), (0.0, 0.01))
    >>> shares_of(plate, [np.array([0.0, 0.02, 0.04])] * 3).share.round(3).tolist()
    [[[0.25]], [[0.125]]]
    """
    where = tuple(
        _reached(edge, low, high) for edge, low, high in zip(edges, body.low, body.high, strict=True)
    )
    if any(each.stop <= each.start for each in where):
        return None
    near = [edge[each.start : each.stop + 1] for edge, each in zip(edges, where, strict=True)]
    form = body.form
    if form is None:
        return _product(
            where,
            [_on_a_line(edge, low, high) for edge, low, high in zip(near, body.low, body.high, strict=True)],
        )
    if isinstance(form, Mesh):
        return Shares(where, *shares_in(form, near))
    if isinstance(form, Ball):  # equal along all axes
        stacks = [_stack(where, near, replace(form, axis=axis)) for axis in range(3)]
        return _mean(where, stacks)
    if isinstance(form, (Cone, Turned)):
        return _stack(where, near, form)
    flat = _flat_shares(form.flat, [edge for axis, edge in enumerate(near) if axis != form.axis])
    return _raised(where, form.axis, flat, _on_a_line(near[form.axis], form.low, form.high))


def overlap(first, second):
    """Whether two bodies, `first` and `second`, share more than a face: as much room as a gap of 0.02 mm has.

    >>> from castlab.field.bodies import cylinder
    >>> hub, web = (cylinder("a", "casting", "y", (x, 0.0), 0.04, (0.0, 0.01)) for x in (0.0, 0.04))
    >>> overlap(hub, web)
    False
    """
    low, high = (
        np.array(pick) for pick in (np.maximum(first.low, second.low), np.minimum(first.high, second.high))
    )
    size = high - low
    if (size <= TOUCH_M).any():
        return False
    if first.form is None and second.form is None:
        return True
    edges = [np.linspace(start, end, PIECES + 1) for start, end in zip(low, high, strict=True)]
    covered = np.full((PIECES,) * 3, -1.0)
    for body in (first, second):
        shares = shares_of(body, edges)
        if shares is None:
            return False
        covered[shares.where] += shares.share
    common = np.maximum(covered, 0.0).mean() * size.prod()
    return bool(common > GAP_M * size.prod() / size.min())


def _reached(edge, low, high):
    """The cells of an axis that have something between low and high."""
    first = int(np.searchsorted(edge, low + 1e-9, side="right")) - 1
    last = int(np.searchsorted(edge, high - 1e-9, side="left"))
    return slice(max(first, 0), min(last, len(edge) - 1))


def _on_a_line(edge, low, high):
    """(share, moment, lower face, upper face) of the cells of one axis between low and high."""
    share, moment = _covered(edge, np.array([[low]]), np.array([[high]]))
    faces = [
        ((low < place) & (place < high)).astype(float)
        for place in (edge[:-1] + WITHIN_M, edge[1:] - WITHIN_M)
    ]
    return share[0], moment[0], *faces


def _covered(edge, low, high):
    """Share and first moment of each cell along lines: spans (spans, lines) give arrays (lines, cells)."""
    start = np.maximum(edge[:-1], low[..., None])
    end = np.minimum(edge[1:], high[..., None])
    size = np.diff(edge)
    share = np.maximum(end - start, 0.0) / size
    moment = share * (0.5 * (start + end) - 0.5 * (edge[1:] + edge[:-1])) / size
    share, moment = share.sum(axis=0), np.where(share > 0.0, moment, 0.0).sum(axis=0)
    share[share < 1e-9], share[share > 1.0 - 1e-9] = 0.0, 1.0
    return share, moment


def _flat_shares(flat, edges):
    """Shares of the cells of a plane: (share, moments by axis, lower faces, upper faces).

    Measured along lines in both directions alike, so that a form that is turned by a right angle has the
    same shares.
    """
    share, moments, lows, highs = 0.0, [None, None], [None, None], [None, None]
    for across in (0, 1):
        edge, other = edges[across], edges[1 - across]
        cells = len(edge) - 1
        inside, weight, first = _lines(edge, flat.breaks(across))
        places = np.concatenate([inside, edge[:-1] + WITHIN_M, edge[1:] - WITHIN_M])
        covered, moment = _covered(other, *_at_least_one(flat.spans(across, places), len(places)))
        mean, along = (
            np.add.reduceat(each[: len(inside)] * weight[:, None], first, axis=0)
            for each in (covered, moment)
        )
        results = mean, along, covered[len(inside) : -cells], covered[-cells:]
        mean, along, low, high = results if across == 0 else (each.T for each in results)
        share = share + 0.5 * mean
        moments[1 - across], lows[across], highs[across] = along, low, high
    return share, moments, lows, highs


def _lines(edge, breaks):
    """Lines across an axis: places, the share of its cell that each stands for, the first line of each cell.

    A cell is divided where the form has a corner, so that between two divisions widths change evenly.
    """
    ends = np.unique(np.concatenate([edge, [each for each in breaks if edge[0] < each < edge[-1]]]))
    size = np.diff(ends)
    places = ends[:-1, None] + size[:, None] * (np.arange(LINES) + 0.5) / LINES
    cell = np.searchsorted(edge, places[:, 0], side="right") - 1
    weight = np.repeat(size / np.diff(edge)[cell] / LINES, LINES)
    return places.ravel(), weight, LINES * np.searchsorted(cell, np.arange(len(edge) - 1))


def _at_least_one(spans, lines):
    low, high = spans
    return (low, high) if len(low) else (np.zeros((1, lines)), np.zeros((1, lines)))


def _product(where, lines):
    """Shares of a box from those along each axis."""

    def times(*rows):
        return rows[0][:, None, None] * rows[1][:, None] * rows[2]

    share = [line[0] for line in lines]
    moment, low, high = (
        [
            times(*(line[pick] if axis == other else line[0] for other, line in enumerate(lines)))
            for axis in range(3)
        ]
        for pick in (1, 2, 3)
    )
    return Shares(where, times(*share), moment, low, high)


def _raised(where, axis, flat, line):
    """Shares of a prism from those of its flat form and along its axis."""
    flat_share, flat_moment, flat_low, flat_high = flat
    share, moment, low, high = line

    def times(plane, row):
        return np.expand_dims(plane, axis) * _spread(row, axis)

    return Shares(
        where,
        times(flat_share, share),
        insert([times(each, share) for each in flat_moment], axis, times(flat_share, moment)),
        insert([times(each, share) for each in flat_low], axis, times(flat_share, low)),
        insert([times(each, share) for each in flat_high], axis, times(flat_share, high)),
    )


def _stack(where, near, form):
    """Shares of a cone or ball from those of the discs that it is a stack of."""
    axis = form.axis
    edge, plane = near[axis], [each for other, each in enumerate(near) if other != axis]
    start, end = np.maximum(edge[:-1], form.low), np.minimum(edge[1:], form.high)
    size, nothing = np.diff(edge), np.zeros([len(each) - 1 for each in plane])
    layers = []
    for number in range(len(edge) - 1):
        thick = 0.5 * (end - start)[number]
        places = start[number] + thick * (1.0 + LAYERS)
        discs = [_flat_shares(form.flat_at(place), plane) for place in places]
        weights = thick / size[number] * WEIGHTS
        share, moments, lows, highs = (_sum_of(discs, weights, pick) for pick in range(4))
        off = (places - 0.5 * (edge[number] + edge[number + 1])) / size[number]
        along = _sum_of(discs, weights * off, 0)
        faces = [
            _flat_shares(form.flat_at(place), plane)[0] if form.low < place < form.high else nothing
            for place in (edge[number] + WITHIN_M, edge[number + 1] - WITHIN_M)
        ]
        layers.append(
            (
                share,
                insert(moments, axis, along),
                insert(lows, axis, faces[0]),
                insert(highs, axis, faces[1]),
            )
        )
    share = np.stack([layer[0] for layer in layers], axis=axis)
    by_axis = (
        [np.stack([layer[pick][each] for layer in layers], axis=axis) for each in range(3)]
        for pick in (1, 2, 3)
    )
    return Shares(where, share, *by_axis)


def _sum_of(discs, weights, pick):
    """Weighted sum of one of the results of some discs; lists are summed by axis."""
    pairs = list(zip(discs, weights, strict=True))
    if pick == 0:
        return sum(weight * disc[0] for disc, weight in pairs)
    return [sum(weight * disc[pick][axis] for disc, weight in pairs) for axis in range(2)]


def _mean(where, several):
    lists = (
        [sum(getattr(each, name)[axis] for each in several) / len(several) for axis in range(3)]
        for name in ("moment", "low", "high")
    )
    return Shares(where, sum(each.share for each in several) / len(several), *lists)


def _spread(row, axis):
    return row.reshape([-1 if each == axis else 1 for each in range(3)])
