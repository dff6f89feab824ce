"""Which share of each cell, and of each of its faces, lies within a mesh: measured along lines.

They run along all three axes. Along its own length a line is exact. So in each cell those lines count most
that cross the skin there.
"""

import numpy as np

LINES = 4  # so many lines through each cell, across each of the other two axes
WITHIN_M = 1e-8  # a face is looked at so far within its cell: on a face two bodies may meet
LINES_AT_ONCE = 20_000
LITTLE = 1e-3  # weight of lines that do not cross the skin in a cell, beside those that do


def shares_in(mesh, near):
    """What a `mesh` covers of the cells between `near` edges, one array an axis [m].

    Returns the share, its first moment by axis, the share of the lower and of the upper face by axis.

    >>> from castlab.field.mesh import mesh_of
    >>> corners = [(0, 0, 0), (0.03, 0, 0), (0, 0.03, 0), (0, 0, 0.03)]
    >>> block = mesh_of(corners, [(0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)])
    >>> share, *_ = shares_in(block, [np.linspace(0.0, 0.03, 8)] * 3)
    >>> round(float(share.mean()), 2)  # a sixth
    0.17
    """
    shape = tuple(len(edge) - 1 for edge in near)
    total = {name: np.zeros(shape) for name in _names()}
    weight = {name: np.full(shape, 1e-30) for name in _names()}
    for axis in range(3):
        for name, (value, crossings) in _along(mesh, axis, near, shape).items():
            counts = LITTLE + crossings**2
            total[name] += counts * value
            weight[name] += counts
    mean = {name: total[name] / weight[name] for name in total}
    share = mean["share"]
    for each in mean.values():
        each[np.abs(each) < 1e-9] = 0.0
    share[share > 1.0 - 1e-9] = 1.0
    return share, *([mean[f"{kind} {axis}"] for axis in range(3)] for kind in ("moment", "low", "high"))


def _names():
    return ["share", *(f"{kind} {axis}" for kind in ("moment", "low", "high") for axis in range(3))]


def _along(mesh, axis, near, shape):
    """What lines along one axis say: {name: (values, how often they cross the skin in each cell)}."""
    flat = [each for each in range(3) if each != axis]
    u, v = (_lines(near[each]) for each in flat)
    sums = {}
    rows = max(LINES_AT_ONCE // len(v[0]), 1)
    for start in range(0, len(u[0]), rows):
        part = [each[start : start + rows] for each in u]
        _add(sums, mesh, axis, near, shape, part, v)
    return {
        name: (value, sums[f"crossings of {name}"])
        for name, value in sums.items()
        if not name.startswith("crossings")
    }


def _lines(edge):
    """Lines across an axis: places, cells, kinds (0 within the cell, 1 at its lower face, 2 at its upper)."""
    size, cells = np.diff(edge), np.arange(len(edge) - 1)
    inside = edge[:-1, None] + size[:, None] * (np.arange(LINES) + 0.5) / LINES
    places = np.concatenate([inside.ravel(), edge[:-1] + WITHIN_M, edge[1:] - WITHIN_M])
    kinds = np.repeat([0, 1, 2], [LINES * len(cells), len(cells), len(cells)])
    order = np.argsort(places, kind="stable")
    return places[order], np.concatenate([np.repeat(cells, LINES), cells, cells])[order], kinds[order]


def _add(sums, mesh, axis, near, shape, u, v):
    line, low, high = mesh.spans(axis, u[0], v[0])
    edge = near[axis]
    first = np.clip(np.searchsorted(edge, low, side="right") - 1, 0, len(edge) - 2)
    last = np.clip(np.searchsorted(edge, high, side="left") - 1, 0, len(edge) - 2)
    count = np.where((high > edge[0]) & (low < edge[-1]), last - first + 1, 0)
    span = np.repeat(np.arange(len(line)), count)
    cell = first[span] + np.arange(len(span)) - np.repeat(np.cumsum(count) - count, count)
    line, low, high = line[span], low[span], high[span]
    iu, iv = line // len(v[0]), line % len(v[0])
    start, end = np.maximum(low, edge[cell]), np.minimum(high, edge[cell + 1])
    size = np.diff(edge)[cell]
    share = np.maximum(end - start, 0.0) / size
    off = (0.5 * (start + end) - 0.5 * (edge[cell] + edge[cell + 1])) / size
    crossings = (low > edge[cell] + WITHIN_M).astype(float) + (high < edge[cell + 1] - WITHIN_M)
    flat = [each for each in range(3) if each != axis]
    place = [None] * 3
    place[axis], place[flat[0]], place[flat[1]] = cell, u[1][iu], v[1][iv]
    index = np.ravel_multi_index(place, shape)
    kinds = u[2][iu], v[2][iv]

    def note(name, where, values, share_of):
        for key, each in ((name, values), (f"crossings of {name}", crossings)):
            more = np.bincount(index[where], weights=each[where] * share_of, minlength=np.prod(shape))
            sums[key] = sums.get(key, 0.0) + more.reshape(shape)

    inside = (kinds[0] == 0) & (kinds[1] == 0)
    note("share", inside, share, LINES**-2)
    note(f"moment {axis}", inside, share * off, LINES**-2)
    for other, lines, at in ((flat[0], u, iu), (flat[1], v, iv)):
        edge_other, its = near[other], lines[1][at]
        middle = 0.5 * (edge_other[its] + edge_other[its + 1])
        note(f"moment {other}", inside, share * (lines[0][at] - middle) / np.diff(edge_other)[its], LINES**-2)
    for name, face in (("low", edge[cell] + WITHIN_M), ("high", edge[cell + 1] - WITHIN_M)):
        note(f"{name} {axis}", inside, ((low < face) & (face < high)).astype(float), LINES**-2)
        code = 1 if name == "low" else 2
        for other, own, rest in ((flat[0], *kinds), (flat[1], *kinds[::-1])):
            note(f"{name} {other}", (own == code) & (rest == 0), share, 1.0 / LINES)
