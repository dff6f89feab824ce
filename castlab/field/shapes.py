"""Plain shapes alone in sand: plate, long bar, long cylinder and ball, for comparison with the hand rule.

They have no gate and no feeder, so that nothing but their shape makes them differ. The mould reaches farther
than heat does before they are solid. Straight from the drawing board; no real mould is made so.
"""

from castlab.errors import require_between
from castlab.field import bodies
from castlab.field.layout import Layout, box

SAND_SIZES = 5.0  # sand on each side, in sizes of the shape: several times as far as heat reaches
SLICE = 0.25  # of what has no end a slice so wide is cut out, in sizes; its walls let no heat through
SMALLEST_M, LARGEST_M = 4e-3, 150e-3


def plate(thickness):
    """A plate without end: sand above and below, and no heat flows sideways.

    thickness [m], 4 mm to 150 mm. Returns a Layout with one block, "plate". Raises InputError outside that.

    >>> plate(0.020).block("plate").high
    (0.0025, 0.01, 0.0025)
    """
    thickness = _size("thickness", thickness)
    across, up = 0.5 * SLICE * thickness, 0.5 * thickness
    body = box("plate", "casting", (-across, across), (-up, up), (-across, across))
    return _in_sand(body, thickness, (0, 2))


def bar(side):
    """A square bar without end, seen from its end.

    side [m], 4 mm to 150 mm. Returns a Layout with one block, "bar". Raises InputError outside that.

    >>> bar(0.040).block("bar").high
    (0.02, 0.02, 0.005)
    """
    half = 0.5 * _size("side", side)
    deep = SLICE * half
    return _in_sand(box("bar", "casting", (-half, half), (-half, half), (-deep, deep)), side, (2,))


def rod(diameter):
    """A cylinder without end, seen from its end.

    diameter [m], 4 mm to 150 mm. Returns a Layout with one block, "cylinder". Raises InputError outside that.

    >>> rod(0.040).block("cylinder").high
    (0.02, 0.02, 0.005)
    """
    deep = 0.5 * SLICE * _size("diameter", diameter)
    body = bodies.cylinder("cylinder", "casting", "z", (0.0, 0.0), diameter, (-deep, deep))
    return _in_sand(body, diameter, (2,))


def ball(diameter):
    """A ball.

    diameter [m], 4 mm to 150 mm. Returns a Layout with one block, "ball". Raises InputError outside that.

    >>> ball(0.060).block("ball").high
    (0.03, 0.03, 0.03)
    """
    body = bodies.ball("ball", "casting", (0.0, 0.0, 0.0), _size("diameter", diameter))
    return _in_sand(body, diameter, ())


def _in_sand(body, size, endless):
    """A flask round a body, with sand but along the axes on which the body has no end."""
    room = [0.0 if axis in endless else SAND_SIZES * size for axis in range(3)]
    low = tuple(each - more for each, more in zip(body.low, room, strict=True))
    high = tuple(each + more for each, more in zip(body.high, room, strict=True))
    return Layout((body,), low, high, title=body.name)


def _size(parameter, value):
    return require_between(parameter, value, SMALLEST_M, LARGEST_M, "m")
