"""Parts that an evening class might bring: a handle, an oarlock, a cleat, a figure, a propeller.

All are made here, by sizes; nothing is copied from a real fitting. The figure and the propeller are
triangles, as they would come as files.
"""

import math

import numpy as np

from castlab.field.mend import mended
from castlab.field.own_part import Body, OwnPart

FIGURE_ROWS = 100
BLADES = 6
# The figure, seen from its middle: (direction x, y, z, by how much it stands out, how wide [rad]).
BUMPS = (
    (0.0, 1.0, 0.15, 0.75, 0.55),  # head
    (0.0, 0.75, 0.7, 0.25, 0.22),  # snout
    (0.75, -0.45, 0.45, 0.45, 0.28),  # flippers
    (-0.75, -0.45, 0.45, 0.45, 0.28),
    (0.0, -0.85, -0.75, 0.55, 0.3),  # tail
)


def door_handle():
    """A bar of 140 x 14 x 14 mm on two round feet of 30 mm: an OwnPart. By hand 44.4 cm3.

    >>> round(1e6 * sum(block.volume for block in door_handle().blocks), 1)
    44.4
    """
    foot = (("diameter", 30e-3), ("length", 12e-3))
    return OwnPart(
        "door handle",
        (
            Body("bar", "box", (("length", 140e-3), ("height", 14e-3), ("width", 14e-3)), (0.0, 7e-3, 0.0)),
            Body("left foot", "cylinder", foot, (-55e-3, -6e-3, 0.0)),
            Body("right foot", "cylinder", foot, (55e-3, -6e-3, 0.0)),
        ),
    )


def oarlock():
    """A fork of 12 mm for an oar, on a pin: an OwnPart.

    >>> [body.shape for body in oarlock().bodies]
    ['outline', 'cylinder']
    """
    outer = _arc(34e-3, 180.0, 360.0)
    inner = _arc(22e-3, 360.0, 180.0)
    fork = ((-34e-3, 40e-3), *outer, (34e-3, 40e-3), (22e-3, 40e-3), *inner, (-22e-3, 40e-3))
    return OwnPart(
        "oarlock",
        (
            Body("fork", "outline", (("length", 12e-3),), axis="z", corners=fork),
            Body("pin", "cylinder", (("diameter", 13e-3), ("length", 62e-3)), (0.0, -62e-3, 0.0)),
        ),
    )


def cleat_with_feet():
    """A horn turned from one piece, on two posts, with two feet that are drilled: an OwnPart.

    >>> cleat_with_feet().blocks[-1].role
    'core'
    """
    horn = ((0.0, -70e-3), (4e-3, -70e-3), (9e-3, -20e-3), (9e-3, 20e-3), (4e-3, 70e-3), (0.0, 70e-3))
    bodies = [Body("horn", "turned", (), (0.0, 34e-3, 0.0), "x", horn)]
    for name, x in (("left", -18e-3), ("right", 18e-3)):
        bodies.append(
            Body(f"{name} post", "cylinder", (("diameter", 16e-3), ("length", 30e-3)), (x, 15e-3, 0.0))
        )
        bodies.append(
            Body(
                f"{name} foot",
                "box",
                (("length", 30e-3), ("height", 8e-3), ("width", 34e-3)),
                (x + math.copysign(6e-3, x), 4e-3, 0.0),
            )
        )
    for name, x in (("left", -34e-3), ("right", 34e-3)):
        bodies.append(
            Body(
                f"{name} hole",
                "cylinder",
                (("diameter", 5e-3), ("length", 8e-3)),
                (x, 4e-3, 0.0),
                taken_away=True,
            )
        )
    return OwnPart("cleat with feet", tuple(bodies))


def figure_triangles():
    """A seal of about 20,000 triangles, 80 mm high: corners (m, 3, 3) [m].

    >>> len(figure_triangles())
    19800
    """
    up = np.pi * np.arange(FIGURE_ROWS + 1) / FIGURE_ROWS
    turn = np.pi * np.arange(FIGURE_ROWS) / (FIGURE_ROWS / 2)
    points = np.stack(
        [
            np.outer(np.sin(up), np.cos(turn)),
            np.outer(np.cos(up), np.ones(len(turn))),
            np.outer(np.sin(up), np.sin(turn)),
        ],
        axis=-1,
    )
    points[0], points[-1] = (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)
    radius = np.ones(points.shape[:2])
    for x, y, z, out, wide in BUMPS:
        way = np.array((x, y, z)) / math.hypot(x, y, z)
        radius += out * np.exp(-((np.arccos(np.clip(points @ way, -1.0, 1.0)) / wide) ** 2))
    return _closed_rows(26e-3 * points * radius[..., None])


def propeller_triangles():
    """A hub of 24 mm with six twisted blades, 130 mm across: corners (m, 3, 3) [m].

    >>> len(propeller_triangles()) > 1000
    True
    """
    hub = _closed_rows(_turned([(0.0, 12e-3), (12e-3, 12e-3), (12e-3, -12e-3), (0.0, -12e-3)], 48))
    stations, round_ = np.linspace(8e-3, 65e-3, 13), 2.0 * np.pi * np.arange(24) / 24
    rows = [np.tile((stations[0], 0.0, 0.0), (24, 1))]
    for radius in stations:
        share = (radius - stations[0]) / (stations[-1] - stations[0])
        half, thick = 5e-3 + 14e-3 * math.sin(math.pi * (0.15 + 0.75 * share)) ** 2, 3e-3 - 1.4e-3 * share
        pitch = math.atan2(22e-3, radius + 6e-3)
        along, across = half * np.cos(round_), thick * np.sin(round_)
        y, z = (
            along * math.sin(pitch) + across * math.cos(pitch),
            along * math.cos(pitch) - across * math.sin(pitch),
        )
        rows.append(np.column_stack([np.full(24, radius), 0.45 * y, z]))
    rows.append(np.tile(rows[-1].mean(axis=0), (24, 1)))
    blade = _closed_rows(np.array(rows))[:, ::-1]
    blades = []
    for number in range(BLADES):
        angle = 2.0 * math.pi * number / BLADES
        turn = np.array(
            [
                (math.cos(angle), 0.0, math.sin(angle)),
                (0.0, 1.0, 0.0),
                (-math.sin(angle), 0.0, math.cos(angle)),
            ]
        )
        blades.append(blade @ turn)
    return np.concatenate([hub, *blades])


def figure():
    """The seal as a part.

    >>> figure().bodies[0].shape
    'stl'
    """
    return _part("seal", figure_triangles())


def propeller():
    """The propeller as a part.

    >>> propeller().name
    'propeller'
    """
    return _part("propeller", propeller_triangles())


EXAMPLES = {
    "door handle": door_handle,
    "oarlock": oarlock,
    "cleat with feet": cleat_with_feet,
    "seal": figure,
    "propeller": propeller,
}


def _part(name, triangles):
    return OwnPart(name, (Body(name, "stl", mesh=mended(triangles).mesh, file=f"{name}.stl"),))


def _arc(radius, start, end, steps=16):
    angles = [math.radians(start + (end - start) * step / steps) for step in range(steps + 1)]
    return [(round(radius * math.cos(a), 9), round(radius * math.sin(a), 9)) for a in angles]


def _turned(outline, sides):
    """Rows of points of an outline (radius, y) turned round the y axis."""
    turn = 2.0 * np.pi * np.arange(sides) / sides
    return np.array(
        [
            np.column_stack([radius * np.cos(turn), np.full(sides, y), radius * np.sin(turn)])
            for radius, y in outline
        ]
    )


def _closed_rows(points):
    """Triangles between rows of points that run round, the first and last row being one point each."""
    a, d = points[:-1], points[1:]
    b, c = np.roll(a, -1, axis=1), np.roll(d, -1, axis=1)
    found = np.concatenate([np.stack(each, axis=2).reshape(-1, 3, 3) for each in ((a, b, c), (a, c, d))])
    area = np.linalg.norm(np.cross(found[:, 1] - found[:, 0], found[:, 2] - found[:, 0]), axis=1)
    return found[area > 1e-14]
