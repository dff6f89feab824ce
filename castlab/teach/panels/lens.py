"""Holes as a lens shows them on a polished cut: of gas, round and smooth; of shrinkage, branched and dull.

Nothing here is computed: shares of the face and sizes come from rules and field, places and shapes are drawn
by lot, always the same lot. So a larger share shows more and larger holes in the same places.

>>> drawn = face((), "no holes")
>>> "no holes" in drawn
True
"""

import functools
import math
from dataclasses import dataclass

import numpy as np

from castlab.teach.panels.curve import INK
from castlab.teach.text import markup

ACROSS_M = 2e-3  # of the face
PIXELS = 230
RADIUS = 0.5 * ACROSS_M
PORE_M = 0.25e-3  # across a pore of gas; some tenths of a millimetre: common practice
ARMS_ACROSS = 12.0  # a hole of shrinkage, in spacings of the arms between which it lies; judgement
MOST = 60  # holes that are drawn
FILLED = 0.6  # of the face at most
LOT = 9
METAL, SHADE, GLINT, DULL = "#d5dae0", "#2b2f36", "#ffffff", "#35302c"


@dataclass(frozen=True)
class Pore:
    """A round hole: middle and radius [m] on the face, whose own middle is (0, 0)."""

    middle: tuple
    radius: float

    @property
    def area(self):
        """Of the face [m2]."""
        return math.pi * self.radius**2


@dataclass(frozen=True)
class Cranny:
    """A branched hole: its corners [m], one after the other."""

    corners: tuple

    @property
    def area(self):
        """Of the face [m2]."""
        x, y = np.array(self.corners).T
        return 0.5 * abs(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))))


def pores(share):
    """Round holes that take this share of a face."""
    total = min(share, FILLED) * math.pi * RADIUS**2
    count = _count(total, 0.25 * math.pi * PORE_M**2)
    sizes = np.random.default_rng(LOT).uniform(0.6, 1.4, MOST)[:count]
    radii = sizes * math.sqrt(total / (math.pi * np.sum(sizes**2))) if count else sizes
    return tuple(Pore(middle, float(radius)) for middle, radius in zip(_middles(), radii, strict=False))


def crannies(share, arms):
    """Branched holes that take this share of a face, between crystals whose arms are so far apart [m]."""
    total, shapes = min(share, FILLED) * math.pi * RADIUS**2, _branched()
    areas = np.array([Cranny(shape).area for shape in shapes])
    count = _count(total, areas.mean() * (0.5 * ARMS_ACROSS * arms) ** 2)
    scale = math.sqrt(total / areas[:count].sum()) if count else 0.0
    return tuple(Cranny(tuple((left + scale * x, up + scale * y) for x, y in shape))
                 for (left, up), shape in zip(_middles()[:count], shapes, strict=False))


def _count(total, each):
    """How many holes make a total of areas, none for next to nothing."""
    return 0 if total < 1e-4 * math.pi * RADIUS**2 else int(np.clip(round(total / each), 1, MOST))


@functools.cache
def _middles():
    """Places for holes, each as far from those before it as the best of a few tries."""
    lot, places = np.random.default_rng(LOT), []
    for _ in range(MOST):
        turns, away = lot.uniform(0.0, 2.0 * np.pi, 12), 0.75 * RADIUS * np.sqrt(lot.uniform(0.0, 1.0, 12))
        tries = np.stack([away * np.cos(turns), away * np.sin(turns)], axis=1)
        apart = [min((math.dist(each, other) for other in places), default=1.0) for each in tries]
        places.append(tuple(tries[int(np.argmax(apart))].tolist()))
    return tuple(places)


@functools.cache
def _branched():
    """Corners of branched holes, each about two across: spikes round a middle, with barbs on both sides."""
    lot = np.random.default_rng(LOT)
    return tuple(tuple(corner for number in range(spikes) for corner in _spike(lot, number / spikes))
                 for spikes in lot.integers(4, 7, MOST))


def _spike(lot, share):
    """Corners of one spike, out along one side and back along the other."""
    turn = 2.0 * np.pi * (share + lot.uniform(-0.04, 0.04))
    along, side = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    length, out, back = lot.uniform(0.55, 1.0), [], []
    for at in np.arange(0.25, 0.85, 0.2):
        root, barb = 0.08 * (1.0 - 0.7 * at), lot.uniform(0.1, 0.26) * (1.0 - 0.6 * at)
        for shift, reach in ((-0.06, root), (0.03, barb), (0.06, root)):
            out.append(length * (at + shift) * along - reach * side)
            back.append(length * (at + shift) * along + lot.uniform(0.8, 1.1) * reach * side)
    return [tuple(corner.tolist()) for corner in (*out, length * along, *back[::-1])]


def face(holes, words):
    """One face as HTML, round as a lens, with its words below."""
    drawn = "".join(_drawn(hole) for hole in holes)
    return (f'<figure style="margin:0; width:{PIXELS}px"><svg viewBox="-1.06 -1.06 2.12 2.12" '
            f'width="{PIXELS}" height="{PIXELS}" aria-hidden="true"><circle r="1" fill="{METAL}"/>{drawn}'
            f'<circle r="1" fill="none" stroke="{INK}" stroke-width="0.03"/></svg>'
            f'<figcaption style="{markup.TEXT}">{markup.safe(words)}</figcaption></figure>')


def _drawn(hole):
    if isinstance(hole, Cranny):
        points = " ".join(f"{x / RADIUS:.3f},{-y / RADIUS:.3f}" for x, y in hole.corners)
        return f'<polygon points="{points}" fill="{DULL}"/>'
    x, y, radius = hole.middle[0] / RADIUS, -hole.middle[1] / RADIUS, hole.radius / RADIUS
    near = 0.62 * radius  # of the glint on its wall
    return (f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{radius:.3f}" fill="{SHADE}"/>'
            f'<path d="M{x - near:.3f} {y:.3f} A{near:.3f} {near:.3f} 0 0 1 {x:.3f} {y - near:.3f}" '
            f'fill="none" stroke="{GLINT}" stroke-width="{0.2 * radius:.3f}" stroke-linecap="round"/>')
