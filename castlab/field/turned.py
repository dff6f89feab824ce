"""A form turned round an axis: its outline is half of a section through the middle."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from castlab.field.forms import Disc, Polygon, insert, moved_axis, rounded


@dataclass(frozen=True)
class Rings:
    """Flat rings about one `middle` (u, v); `walls`, their (inner, outer) radii [m]."""

    middle: tuple[float, float]
    walls: tuple[tuple[float, float], ...]

    @property
    def discs(self):
        """Each ring alone."""
        return [Disc(self.middle, outer, inner) for inner, outer in self.walls]

    def spans(self, across, places):
        """As for a Polygon."""
        spans = [disc.spans(across, places) for disc in self.discs]
        if not spans:
            return np.zeros((0, len(places))), np.zeros((0, len(places)))
        return tuple(np.concatenate(ends) for ends in zip(*spans, strict=True))

    def breaks(self, axis):
        """Where each ring begins and ends on a flat axis [m]."""
        return [each for disc in self.discs for each in disc.breaks(axis)]


@dataclass(frozen=True)
class Turned:
    """An outline turned round an `axis` (0, 1 or 2) through `middle` on the flat axes.

    `points` are its corners (radius, place along the axis) [m] in order, no radius below 0.
    """

    axis: int
    middle: tuple[float, float]
    points: tuple[tuple[float, float], ...]

    @property
    def volume(self):
        """Area times the way of its middle (Pappus), summed over the sides of the outline [m3]."""
        here = np.array(self.points)
        (r0, p0), (r1, p1) = here.T, np.roll(here, -1, axis=0).T
        return math.pi / 3.0 * abs(float(((p1 - p0) * (r0**2 + r0 * r1 + r1**2)).sum()))

    @property
    def low(self):
        """Where it begins along its axis [m]."""
        return min(place for _, place in self.points)

    @property
    def high(self):
        """Where it ends along its axis [m]."""
        return max(place for _, place in self.points)

    @property
    def extent(self):
        """Lowest and highest corner [m]."""
        low, high = Disc(self.middle, max(radius for radius, _ in self.points)).extent
        return insert(low, self.axis, self.low), insert(high, self.axis, self.high)

    def straight(self, axis):
        """Places of its flat sides that run square to an axis [m]."""
        return self._outline.straight(1) if axis == self.axis else []

    def moved(self, move):
        """As for a Prism."""
        axis, low, high, flat_move = moved_axis(self.axis, self.low, self.high, move)
        start = move(insert(self.middle, self.axis, self.low))[axis]
        if abs(start - low) < abs(start - high):
            places = [low + place - self.low for _, place in self.points]
        else:
            places = [high - (place - self.low) for _, place in self.points]
        points = tuple((radius, place) for (radius, _), place in zip(self.points, places, strict=True))
        return Turned(axis, Disc(self.middle, 1.0).moved(flat_move).middle, points)

    @property
    def key(self):
        """The same for equal turned forms."""
        return "turned", self.axis, rounded(*self.middle), self._outline.key

    def flat_at(self, place):
        """Its section at a place along the axis."""
        starts, ends = self._outline.spans(1, [place])
        walls = (
            (max(float(low), 0.0), float(high)) for low, high in zip(starts[:, 0], ends[:, 0], strict=True)
        )
        return Rings(self.middle, tuple((low, high) for low, high in walls if high > low))

    @property
    def wall(self):
        """The thickest wall across its axis, half-way along it [m]."""
        walls = self.flat_at(0.5 * (self.low + self.high) + 1e-9).walls
        return max((high - low if low else 2.0 * high for low, high in walls), default=0.0)

    @cached_property
    def _outline(self):
        return Polygon(self.points)
