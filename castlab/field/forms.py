"""Forms of solid bodies: prism, cone, ball; `turned` and `mesh` have one more each.

Every form is made of flat ones: a prism is one outline along an axis; a cone and a ball are stacks of discs.
A flat form says where a line runs through it.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

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
        return tuple(map(min, zip(*self.points, strict=True))), tuple(
            map(max, zip(*self.points, strict=True))
        )

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
        points = [rounded(*point) for point in self.points]
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
        return rounded(*self.middle, self.radius, self.inner)


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
        return tuple(
            insert(flat, self.axis, end)
            for flat, end in zip(self.flat.extent, (self.low, self.high), strict=True)
        )

    def straight(self, axis):
        """Places of its flat sides that run square to an axis [m]."""
        if axis == self.axis:
            return [self.low, self.high]
        return self.flat.straight(axis - (axis > self.axis))

    def moved(self, move):
        """The prism turned or mirrored: `move` takes (x, y, z) to where it comes to lie."""
        axis, low, high, flat_move = moved_axis(self.axis, self.low, self.high, move)
        return Prism(axis, self.flat.moved(flat_move), low, high)

    @property
    def key(self):
        """The same for equal prisms."""
        return "prism", self.axis, self.flat.key, rounded(self.low, self.high)


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
        return insert(low, self.axis, self.low), insert(high, self.axis, self.high)

    def straight(self, axis):
        """Places of its flat sides that run square to an axis [m]."""
        return [self.low, self.high] if axis == self.axis else []

    def moved(self, move):
        """As for a Prism."""
        axis, low, high, flat_move = moved_axis(self.axis, self.low, self.high, move)
        start = move(insert(self.middle, self.axis, self.low))[axis]
        radii = self.radii if abs(start - low) < abs(start - high) else self.radii[::-1]
        return Cone(axis, Disc(self.middle, 1.0).moved(flat_move).middle, radii, low, high)

    @property
    def key(self):
        """The same for equal cones."""
        return "cone", self.axis, rounded(*self.middle, *self.radii, self.low, self.high)

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
        return "ball", rounded(*self.middle, self.radius)

    def flat_at(self, place):
        """Its section at a place along the axis."""
        middle = tuple(each for axis, each in enumerate(self.middle) if axis != self.axis)
        off = place - self.middle[self.axis]
        return Disc(middle, math.sqrt(max(self.radius**2 - off**2, 0.0)))


def _turns_left(points):
    u, v = np.array(points).T
    return float((u * np.roll(v, -1) - np.roll(u, -1) * v).sum()) > 0.0


def rounded(*values):
    """Lengths [m] as they are compared: to the nanometre.

    >>> rounded(0.1, -1e-12)
    (0.1, 0.0)
    """
    return tuple(round(each, ROUNDED_M) + 0.0 for each in values)  # + 0.0: no minus zero


def moved_axis(axis, low, high, move):
    """Where an axis with two ends on it goes, and how points of the flat axes move with it.

    Parameters: `axis`, its number; `low` and `high` [m], the ends; `move` takes (x, y, z) to where it comes
    to lie.

    >>> moved_axis(0, 1.0, 2.0, lambda p: (p[1], -p[0], p[2]))[:3]
    (1, -2.0, -1.0)
    """
    origin = np.array(move((0.0, 0.0, 0.0)))
    unit = np.array(move(insert((0.0, 0.0), axis, 1.0))) - origin
    new = int(np.abs(unit).argmax())
    ends = sorted(float(origin[new] + unit[new] * each) for each in (low, high))

    def flat_move(point):
        moved = move(insert(tuple(point), axis, 0.0))
        return tuple(each for other, each in enumerate(moved) if other != new)

    return new, *ends, flat_move


def insert(values, axis, value):
    """A tuple of `values` with one more `value` at the place of an `axis`.

    >>> insert((1.0, 3.0), 1, 2.0)
    (1.0, 2.0, 3.0)
    """
    return (*values[:axis], value, *values[axis:])
