"""Where a casting has a free face, found from its bodies: along a line from outside, where metal begins."""

from dataclasses import dataclass
from functools import lru_cache

from castlab.errors import InputError, require_known
from castlab.field.bodies import moved
from castlab.field.forms import ROUNDED_M, rounded
from castlab.field.layout import AXIS_NAMES
from castlab.field.mesh import Mesh
from castlab.field.section import upright_spans
from castlab.units import metres, phrase

# The axis that each side looks along, and in which direction.
SIDES = {"top": (1, 1), "bottom": (1, -1), "left": (0, -1), "right": (0, 1), "front": (2, 1), "back": (2, -1)}
BESIDE = ("left", "right", "front", "back")
INSIDE_M = 0.5e-3  # a face is measured so far below its skin
JOINED_M = 1e-7  # metal on both sides of so thin a gap is one
CONTACT = 0.25  # what stands on a round face sinks in until it touches over half its width


@dataclass(frozen=True)
class Face:
    """A free face of the casting: which `side` it looks to, a point on it [m], how far it reaches along the
    other two axes (from, to) [m], and whether metal leads straight from there to the place it was sought for.
    """

    side: str
    at: tuple[float, float, float]
    reach: tuple[tuple[float, float], tuple[float, float]]
    direct: bool = True

    @property
    def axis(self):
        """Number of the axis that it is square to."""
        return SIDES[self.side][0]

    @property
    def sign(self):
        """1 where it looks along that axis, -1 where against it."""
        return SIDES[self.side][1]

    def reach_along(self, axis):
        """(from, to) [m] along one of the other axes."""
        return self.reach[axis - (axis > self.axis)]


def metal_spans(blocks, axis, u, v):
    """Where a line along an axis runs through the metal of a casting: a list of (from, to) [m], in order.

    Parameters: `blocks`, of which castings are metal and cores take it away; `axis`, a number; `u` and `v`
    [m], where the line crosses the other two axes, in their order.

    >>> from castlab.field.layout import box
    >>> plate = box("plate", "casting", (0.0, 0.1), (0.0, 0.012), (0.0, 0.04))
    >>> slot = box("slot", "core", (0.04, 0.06), (0.0, 0.012), (0.0, 0.04))
    >>> metal_spans((plate, slot), 0, 0.006, 0.02)
    [(0.0, 0.04), (0.06, 0.1)]
    """
    ends = []  # (place, how many castings more or fewer, how many cores)
    for body in blocks:
        if body.role in ("casting", "core"):
            metal = body.role == "casting"
            for low, high in _spans(body, axis, u, v):
                ends += [(low, int(metal), int(not metal)), (high, -int(metal), -int(not metal))]
    found, castings, cores, start = [], 0, 0, None
    for place, metal, core in sorted(ends):
        inside = castings > 0 and cores == 0
        castings, cores = castings + metal, cores + core
        if not inside and castings > 0 and cores == 0:
            start = place
        elif inside and not (castings > 0 and cores == 0):
            found.append((start, place))
    joined = []
    for low, high in found:
        if joined and low - joined[-1][1] < JOINED_M:
            joined[-1] = joined[-1][0], high
        elif high - low > JOINED_M:
            joined.append((low, high))
    return joined


def free_face(blocks, side, near):
    """The free face of a casting that lies beside a place.

    Parameters: `blocks`; `side`, a name of SIDES; `near` (x, y, z) [m], of which what lies along the side's
    own axis only says whether the face is directly beside it. Returns a Face. Raises InputError where there
    is no metal, and for an unknown side.

    >>> from castlab.field.layout import box
    >>> plate = box("plate", "casting", (0.0, 0.1), (0.0, 0.012), (0.0, 0.04))
    >>> free_face((plate,), "top", (0.05, 0.006, 0.02))
    Face(side='top', at=(0.05, 0.012, 0.02), reach=((0.0, 0.1), (0.0, 0.04)), direct=True)
    """
    axis, sign = SIDES[require_known("side", side, SIDES)]
    spans = metal_spans(blocks, axis, *_flat(near, axis))
    if not spans:
        others = [each for each in range(3) if each != axis]
        where = phrase(
            "{} {}, {} {}",
            AXIS_NAMES[others[0]],
            metres(near[others[0]]),
            AXIS_NAMES[others[1]],
            metres(near[others[1]]),
        )
        raise InputError(
            f"place at the {side}", where, "there is no metal of the casting; choose another place"
        )
    low, high = spans[-1] if sign > 0 else spans[0]
    at = list(near)
    at[axis] = round(high if sign > 0 else low, ROUNDED_M)
    inside = list(at)
    inside[axis] -= sign * min(INSIDE_M, 0.25 * (high - low))
    reach = tuple(_around(blocks, other, inside) for other in range(3) if other != axis)
    direct = low - JOINED_M <= near[axis] <= high + JOINED_M
    return Face(side, tuple(at), reach, direct)


def foot_of(blocks, face, widths):
    """Where a body that stands on a face touches it firmly: its place [m] along the face's axis.

    On a level face that is the face; on a round one it lies deeper, so that the body touches over half of its
    width. Parameters: `blocks`; `face`; `widths` [m] of the body along the other two axes, in their order.

    >>> from castlab.field.bodies import ball
    >>> stone = ball("ball", "casting", (0.0, 0.0, 0.0), 0.06)
    >>> round(foot_of((stone,), free_face((stone,), "top", (0.0, 0.0, 0.0)), (0.04, 0.04)), 3)
    0.028
    """
    deepest = 0.0
    own = face.at[face.axis]
    others = [axis for axis in range(3) if axis != face.axis]
    for axis, width in zip(others, widths, strict=True):
        for step in (-CONTACT * width, CONTACT * width):
            beside = list(face.at)
            beside[axis] += step
            spans = metal_spans(blocks, face.axis, *_flat(beside, face.axis))
            if spans:
                drop = own - spans[-1][1] if face.sign > 0 else spans[0][0] - own
                if drop < CONTACT * width:  # more is another face
                    deepest = max(deepest, drop)
    return own if deepest < JOINED_M else round(own - face.sign * deepest, ROUNDED_M)


def _around(blocks, axis, place):
    """The metal round a place along an axis."""
    spans = metal_spans(blocks, axis, *_flat(place, axis))
    holding = [span for span in spans if span[0] - JOINED_M <= place[axis] <= span[1] + JOINED_M]
    return rounded(*(holding[0] if holding else (place[axis], place[axis])))


def _flat(place, axis):
    return [each for other, each in enumerate(place) if other != axis]


def _spans(body, axis, u, v):
    if isinstance(body.form, Mesh):
        _, low, high = body.form.spans(axis, [u], [v])
        return list(zip(low.tolist(), high.tolist(), strict=True))
    return upright_spans(_with_axis_up(body, axis), u, v)


@lru_cache(maxsize=500)
def _with_axis_up(body, axis):
    """The body with that axis upright and the others in their order along x and z."""
    places = {0: (1, 0, 2), 1: (0, 1, 2), 2: (0, 2, 1)}[axis]
    return body if axis == 1 else moved(body, lambda point: tuple(point[each] for each in places))
