"""Forms of solid bodies, and which share of each cell and of each of its faces lies within them.

Every form is made of flat ones: a prism is one outline along an axis; a cone and a ball are stacks of discs. A
flat form says where a line runs through it, so that shares are exact along the line.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

LINES = 8  # a flat form is measured along so many lines in each row of cells, and across them
LAYERS, WEIGHTS = np.polynomial.legendre.leggauss(3)  # a cone is so many discs in each layer of cells
WITHIN_M = 1e-8  # a face is looked at so far within its cell: on a face two bodies may meet
TOUCH_M, GAP_M, PIECES = 1e-9, 2e-5, 12  # of two bodies that may overlap, cut into so many pieces along each axis
FAR_M = 1e3  # where a line that does not meet a form has its span of no length
ROUNDED_M = 9  # decimals to which two forms are compared


@dataclass(frozen=True)
class Polygon:
    """A flat outline, its corners (u, v) [m] in order."""

    points: tuple[tuple[float, float], ...]

    @property
    def area(self):
        """What it encloses [m2]."""
        (u, v), (u1, v1) = np.array(self.points).T, np.roll(np.array(self.points), -1, axis=0).T
        return 0.5 * abs(float((u * v1 - u1 * v).sum()))

    @property
    def extent(self):
        """Lowest and highest corner [m]."""
        return tuple(map(min, zip(*self.points, strict=True))), tuple(map(max, zip(*self.points, strict=True)))

    def spans(self, across, places):
        """Where lines run through it: (from, to), each of shape (spans, lines), empty ones of no length.

        Parameters: `across`, the flat axis (0 or 1) that the lines cross at `places` [m].

        >>> low, high = Polygon(((0, 0), (4, 0), (4, 2))).spans(0, np.array([2.0]))
        >>> float(low[0, 0]), float(high[0, 0])
        (0.0, 1.0)
        """
        here = np.array(self.points)
        there = np.roll(here, -1, axis=0)
        x0, y0, x1, y1 = here[:, across], here[:, 1 - across], there[:, across], there[:, 1 - across]
        rise = np.where(x0 == x1, 0.0, (y1 - y0) / np.where(x0 == x1, 1.0, x1 - x0))
        places = np.asarray(places)[:, None]
        crossed = (x0 <= places) != (x1 <= places)
        heights = np.sort(np.where(crossed, y0 + rise * (places - x0), FAR_M), axis=1)
        heights = heights[:, : 2 * int(crossed.sum(axis=1).max(initial=0) // 2)]
        return heights[:, ::2].T, heights[:, 1::2].T

    def straight(self, axis):
        """Places of the sides that run square to a flat axis [m]."""
        pairs = zip(self.points, self.points[1:] + self.points[:1], strict=True)
        return [here[axis] for here, there in pairs if abs(here[axis] - there[axis]) < 1e-12]

    def breaks(self, axis):
        """Places of its corners on a flat axis [m]."""
        return [point[axis] for point in self.points]

    def moved(self, move):
        """The outline with each corner moved."""
        return Polygon(tuple(tuple(float(each) for each in move(point)) for point in self.points))

    @property
    def key(self):
        """The same for equal outlines, wherever they begin."""
        points = [_rounded(*point) for point in self.points]
        if not _turns_left(points):
            points.reverse()
        first = points.index(min(points))
        return tuple(points[first:] + points[:first])


@dataclass(frozen=True)
class Disc:
    """A flat circle, or a flat ring where `inner` is not 0: middle (u, v), radius and inner radius [m]."""

    middle: tuple[float, float]
    radius: float
    inner: float = 0.0

    @property
    def area(self):
        """What it covers [m2]."""
        return math.pi * (self.radius**2 - self.inner**2)

    @property
    def extent(self):
        """Lowest and highest corner of the square round it [m]."""
        u, v = self.middle
        return (u - self.radius, v - self.radius), (u + self.radius, v + self.radius)

    def spans(self, across, places):
        """As for a Polygon."""
        off, middle = np.asarray(places) - self.middle[across], self.middle[1 - across]
        outer, inner = (np.sqrt(np.maximum(each**2 - off**2, 0.0)) for each in (self.radius, self.inner))
        if not self.inner:
            return (middle - outer)[None], (middle + outer)[None]
        return np.array([middle - outer, middle + inner]), np.array([middle - inner, middle + outer])

    def straight(self, axis):
        """It has no straight side."""
        return []

    def breaks(self, axis):
        """Where it begins and ends on a flat axis [m]."""
        return [self.middle[axis] + sign * each for each in (self.radius, self.inner) for sign in (-1, 1)]

    def moved(self, move):
        """The disc with its middle moved."""
        return replace(self, middle=tuple(float(each) for each in move(self.middle)))

    @property
    def key(self):
        """The same for equal discs."""
        return _rounded(*self.middle, self.radius, self.inner)


@dataclass(frozen=True)
class Prism:
    """A flat form along an `axis` (0, 1 or 2) from `low` to `high` [m].

    The flat axes are the other two in their order; a cylinder and a ring are prisms of a Disc.
    """

    axis: int
    flat: Polygon | Disc
    low: float
    high: float

    @property
    def volume(self):
        """[m3]"""
        return self.flat.area * (self.high - self.low)

    @property
    def extent(self):
        """Lowest and highest corner [m]."""
        return tuple(_insert(flat, self.axis, end)
                     for flat, end in zip(self.flat.extent, (self.low, self.high), strict=True))

    def straight(self, axis):
        """Places of its flat sides that run square to an axis [m]."""
        if axis == self.axis:
            return [self.low, self.high]
        return self.flat.straight(axis - (axis > self.axis))

    def moved(self, move):
        """The prism turned or mirrored: `move` takes (x, y, z) to where it comes to lie."""
        axis, low, high, flat_move = _moved_axis(self.axis, self.low, self.high, move)
        return Prism(axis, self.flat.moved(flat_move), low, high)

    @property
    def key(self):
        """The same for equal prisms."""
        return "prism", self.axis, self.flat.key, _rounded(self.low, self.high)



@dataclass(frozen=True)
class Cone:
    """A cone along an `axis` from `low`, where its radius is `radii[0]`, to `high`, where it is `radii[1]`;
    `middle` on the flat axes; all [m]."""

    axis: int
    middle: tuple[float, float]
    radii: tuple[float, float]
    low: float
    high: float

    @property
    def volume(self):
        """[m3]"""
        first, last = self.radii
        return math.pi / 3.0 * (self.high - self.low) * (first**2 + first * last + last**2)

    @property
    def extent(self):
        """Lowest and highest corner [m]."""
        low, high = Disc(self.middle, max(self.radii)).extent
        return _insert(low, self.axis, self.low), _insert(high, self.axis, self.high)

    def straight(self, axis):
        """Places of its flat sides that run square to an axis [m]."""
        return [self.low, self.high] if axis == self.axis else []

    def moved(self, move):
        """As for a Prism."""
        axis, low, high, flat_move = _moved_axis(self.axis, self.low, self.high, move)
        start = move(_insert(self.middle, self.axis, self.low))[axis]
        radii = self.radii if abs(start - low) < abs(start - high) else self.radii[::-1]
        return Cone(axis, Disc(self.middle, 1.0).moved(flat_move).middle, radii, low, high)

    @property
    def key(self):
        """The same for equal cones."""
        return "cone", self.axis, _rounded(*self.middle, *self.radii, self.low, self.high)

    def flat_at(self, place):
        """Its section at a place along the axis."""
        share = (place - self.low) / (self.high - self.low)
        return Disc(self.middle, max(self.radii[0] + share * (self.radii[1] - self.radii[0]), 0.0))


@dataclass(frozen=True)
class Ball:
    """A ball: middle (x, y, z) and radius [m]; `axis` is the one along which it is cut into discs."""

    middle: tuple[float, float, float]
    radius: float
    axis: int = 1

    @property
    def volume(self):
        """[m3]"""
        return 4.0 / 3.0 * math.pi * self.radius**3

    @property
    def low(self):
        """Where it begins along its axis [m]."""
        return self.middle[self.axis] - self.radius

    @property
    def high(self):
        """Where it ends along its axis [m]."""
        return self.middle[self.axis] + self.radius

    @property
    def extent(self):
        """Lowest and highest corner [m]."""
        return tuple(tuple(each + sign * self.radius for each in self.middle) for sign in (-1, 1))

    def straight(self, axis):
        """It has no flat side."""
        return []

    def moved(self, move):
        """As for a Prism."""
        return replace(self, middle=tuple(float(each) for each in move(self.middle)))

    @property
    def key(self):
        """The same for equal balls."""
        return "ball", _rounded(*self.middle, self.radius)

    def flat_at(self, place):
        """Its section at a place along the axis."""
        middle = tuple(each for axis, each in enumerate(self.middle) if axis != self.axis)
        off = place - self.middle[self.axis]
        return Disc(middle, math.sqrt(max(self.radius**2 - off**2, 0.0)))


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
    """
    where = tuple(_reached(edge, low, high) for edge, low, high in zip(edges, body.low, body.high, strict=True))
    if any(each.stop <= each.start for each in where):
        return None
    near = [edge[each.start : each.stop + 1] for edge, each in zip(edges, where, strict=True)]
    form = body.form
    if form is None:
        return _product(where, [_on_a_line(edge, low, high)
                                for edge, low, high in zip(near, body.low, body.high, strict=True)])
    if isinstance(form, Ball):  # equal along all axes
        stacks = [_stack(where, near, replace(form, axis=axis)) for axis in range(3)]
        return _mean(where, stacks)
    if isinstance(form, Cone):
        return _stack(where, near, form)
    flat = _flat_shares(form.flat, [edge for axis, edge in enumerate(near) if axis != form.axis])
    return _raised(where, form.axis, flat, _on_a_line(near[form.axis], form.low, form.high))


def overlap(first, second):
    """Whether two bodies share more than a face: as much room as a gap of 0.02 mm has.

    >>> from castlab.field.bodies import cylinder
    >>> hub, web = (cylinder("a", "casting", "y", (x, 0.0), 0.04, (0.0, 0.01)) for x in (0.0, 0.04))
    >>> overlap(hub, web)
    False
    """
    low, high = (np.array(pick) for pick in (np.maximum(first.low, second.low), np.minimum(first.high, second.high)))
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
    faces = [((low < place) & (place < high)).astype(float)
             for place in (edge[:-1] + WITHIN_M, edge[1:] - WITHIN_M)]
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
        mean, along = (np.add.reduceat(each[: len(inside)] * weight[:, None], first, axis=0)
                       for each in (covered, moment))
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
        [times(*(line[pick] if axis == other else line[0] for other, line in enumerate(lines)))
         for axis in range(3)]
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
        _insert([times(each, share) for each in flat_moment], axis, times(flat_share, moment)),
        _insert([times(each, share) for each in flat_low], axis, times(flat_share, low)),
        _insert([times(each, share) for each in flat_high], axis, times(flat_share, high)),
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
        faces = [_flat_shares(form.flat_at(place), plane)[0] if form.low < place < form.high else nothing
                 for place in (edge[number] + WITHIN_M, edge[number + 1] - WITHIN_M)]
        layers.append((share, _insert(moments, axis, along), _insert(lows, axis, faces[0]),
                       _insert(highs, axis, faces[1])))
    share = np.stack([layer[0] for layer in layers], axis=axis)
    by_axis = ([np.stack([layer[pick][each] for layer in layers], axis=axis) for each in range(3)]
               for pick in (1, 2, 3))
    return Shares(where, share, *by_axis)


def _sum_of(discs, weights, pick):
    """Weighted sum of one of the results of some discs; lists are summed by axis."""
    pairs = list(zip(discs, weights, strict=True))
    if pick == 0:
        return sum(weight * disc[0] for disc, weight in pairs)
    return [sum(weight * disc[pick][axis] for disc, weight in pairs) for axis in range(2)]


def _mean(where, several):
    lists = ([sum(getattr(each, name)[axis] for each in several) / len(several) for axis in range(3)]
             for name in ("moment", "low", "high"))
    return Shares(where, sum(each.share for each in several) / len(several), *lists)


def _insert(values, axis, value):
    """A list or tuple with one more value at a place."""
    return (*values[:axis], value, *values[axis:])


def _spread(row, axis):
    return row.reshape([-1 if each == axis else 1 for each in range(3)])


def _turns_left(points):
    u, v = np.array(points).T
    return float((u * np.roll(v, -1) - np.roll(u, -1) * v).sum()) > 0.0


def _rounded(*values):
    return tuple(round(each, ROUNDED_M) + 0.0 for each in values)  # + 0.0: no minus zero


def _moved_axis(axis, low, high, move):
    """Where an axis with two ends on it goes, and how points of the flat axes move with it."""
    origin = np.array(move((0.0, 0.0, 0.0)))
    unit = np.array(move(_insert((0.0, 0.0), axis, 1.0))) - origin
    new = int(np.abs(unit).argmax())
    ends = sorted(float(origin[new] + unit[new] * each) for each in (low, high))

    def flat_move(point):
        moved = move(_insert(tuple(point), axis, 0.0))
        return tuple(each for other, each in enumerate(moved) if other != new)

    return new, *ends, flat_move
