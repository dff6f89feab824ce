"""Plain shapes alone in sand: plate, long bar, long cylinder and ball, for comparison with the hand rule.

They have no gate and no feeder, so that nothing but their shape makes them differ. The mould reaches farther
than heat does before they are solid. Straight from the drawing board; no real mould is made so.
"""

import math

from castlab.errors import require_between
from castlab.field.layout import Layout, box, polygon

LONG_M = 2.0  # a bar so long that its two ends draw about 1 % of its heat
SAND_SIZES = 5.0  # sand on each side, in sizes of the shape: several times as far as heat reaches
PLATE_WIDE = 1.5  # a disc of that radius in thicknesses, cut off at walls that let no heat through
CORNERS = 96  # of the polygon that stands for a circle
SMALLEST_M, LARGEST_M = 4e-3, 150e-3


def plate(thickness):
    """A plate without end: sand above and below, and no heat flows sideways; round layout.

    thickness [m], 4 mm to 150 mm. Returns a Layout with one block, "plate". Raises InputError outside that.

    >>> plate(0.020).kind
    'round'
    """
    thickness = _size("thickness", thickness)
    wide, half, sand = PLATE_WIDE * thickness, thickness / 2.0, SAND_SIZES * 2.0 * thickness
    body = box("plate", "casting", (0.0, wide), (-half, half))
    return Layout("round", (body,), (0.0, -half - sand), (wide, half + sand), title="plate")


def bar(side):
    """A long square bar, seen from its end; planar, 2 m deep.

    side [m], 4 mm to 150 mm. Returns a Layout with one block, "bar". Raises InputError outside that.

    >>> bar(0.040).block("bar").depth
    2.0
    """
    half = _size("side", side) / 2.0
    return _planar(box("bar", "casting", (-half, half), (-half, half), depth=LONG_M))


def rod(diameter):
    """A long cylinder, seen from its end; planar, 2 m deep.

    diameter [m], 4 mm to 150 mm. Returns a Layout with one block, "cylinder". Raises InputError outside that.

    >>> len(rod(0.040).block("cylinder").outline)
    96
    """
    radius = _size("diameter", diameter) / 2.0
    return _planar(polygon("cylinder", "casting", _arc(radius, 0.0, 2.0 * math.pi)[:-1], depth=LONG_M))


def ball(diameter):
    """A ball; round layout, x is the radius.

    diameter [m], 4 mm to 150 mm. Returns a Layout with one block, "ball". Raises InputError outside that.

    >>> ball(0.060).block("ball").high
    (0.03, 0.03)
    """
    radius = _size("diameter", diameter) / 2.0
    outline = _arc(radius, -math.pi / 2.0, math.pi / 2.0)
    outline = [(0.0, -radius), *outline[1:-1], (0.0, radius)]  # exactly on the axis
    end = radius + SAND_SIZES * 2.0 * radius
    body = polygon("ball", "casting", outline)
    return Layout("round", (body,), (0.0, -end), (end, end), title="ball")


def _planar(body):
    end = body.high[0] + SAND_SIZES * (body.high[0] - body.low[0])
    return Layout("planar", (body,), (-end, -end), (end, end), title=body.name)


def _arc(radius, start, end):
    """Points on a circle, both ends included."""
    angles = [start + (end - start) * i / CORNERS for i in range(CORNERS + 1)]
    return [(radius * math.cos(angle), radius * math.sin(angle)) for angle in angles]


def _size(parameter, value):
    return require_between(parameter, value, SMALLEST_M, LARGEST_M, "m")
