"""Triangles of plain bodies, as a drawing program would write them, and an STL file of them."""

import struct

import numpy as np


def prism(outline, height):
    """Triangles of a convex outline (x, z), upright from y = 0 to `height`."""
    low = np.array([(x, 0.0, z) for x, z in outline])
    high = low + (0.0, height, 0.0)
    middles = low.mean(axis=0), high.mean(axis=0)
    found = []
    for number in range(len(low)):
        after = (number + 1) % len(low)
        found += [
            (middles[0], low[number], low[after]),
            (middles[1], high[after], high[number]),
            (low[number], high[number], low[after]),
            (low[after], high[number], high[after]),
        ]
    return np.array(found)


def cylinder(diameter, height, sides=96):
    angles = 2.0 * np.pi * np.arange(sides) / sides
    radius = (
        0.5 * diameter * np.sqrt(2 * np.pi / sides / np.sin(2 * np.pi / sides))
    )  # as much area as the circle
    return prism(np.column_stack([radius * np.cos(angles), radius * np.sin(angles)]), height)


def cuboid(x, y, z):
    """A straight box from the corners (from, to) along each axis."""
    outline = [(x[0], z[0]), (x[1], z[0]), (x[1], z[1]), (x[0], z[1])]
    return prism(outline, y[1] - y[0]) + (0.0, y[0], 0.0)


def ball(diameter, rows=48):
    """A ball of quadrangles, each in two triangles, as large as the true one."""
    up = np.pi * np.arange(rows + 1) / rows
    round_ = 2.0 * np.pi * np.arange(2 * rows) / (2 * rows)
    points = np.stack(
        [
            np.outer(np.sin(up), np.cos(round_)),
            np.outer(np.cos(up), np.ones(2 * rows)),
            np.outer(np.sin(up), np.sin(round_)),
        ],
        axis=-1,
    )
    points[0], points[-1] = (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)
    a, d = points[:-1], points[1:]
    b, c = np.roll(a, -1, axis=1), np.roll(d, -1, axis=1)
    found = np.concatenate([np.stack(each, axis=2).reshape(-1, 3, 3) for each in ((a, b, c), (a, c, d))])
    size = np.linalg.norm(np.cross(found[:, 1] - found[:, 0], found[:, 2] - found[:, 0]), axis=1)
    found = found[size > 1e-12]
    volume = (np.cross(found[:, 0], found[:, 1]) * found[:, 2]).sum() / 6.0
    return 0.5 * diameter * found * (4.0 / 3.0 * np.pi / volume) ** (1.0 / 3.0)


def turned_by(triangles, degrees):
    """Turned about the z axis."""
    angle = np.radians(degrees)
    turn = np.array(
        [(np.cos(angle), np.sin(angle), 0.0), (-np.sin(angle), np.cos(angle), 0.0), (0.0, 0.0, 1.0)]
    )
    return triangles @ turn


def binary(triangles, head=b"drawn in the shed"):
    """A binary STL file."""
    record = np.zeros(len(triangles), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("more", "<u2")])
    record["corners"] = np.asarray(triangles).reshape(-1, 9)
    return head.ljust(80, b" ") + struct.pack("<I", len(triangles)) + record.tobytes()


def text(triangles, comma="."):
    """A text STL file."""
    lines = ["solid part"]
    for corners in triangles:
        lines += ["facet normal 0 0 0", "outer loop"]
        lines += [
            f"vertex {' '.join(f'{each:.6e}' for each in corner)}".replace(".", comma) for corner in corners
        ]
        lines += ["endloop", "endfacet"]
    return "\n".join([*lines, "endsolid part"]).encode()
