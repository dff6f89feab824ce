"""An upright plane through a solid, seen from the front: outlines of its bodies, and where it shows most.

The plane lies square to z: x runs to the right, y up, and z towards whoever looks.
"""

import math

import numpy as np

from castlab.field.forms import Polygon, Prism
from castlab.field.mesh import Mesh
from castlab.field.turned import Rings, Turned

CORNERS = 48  # of the polygon that stands for a circle
ENOUGH = 0.5  # the middle plane will do where it cuts this share of a hole's largest section; judgement


def outlines(body, z):
    """The outlines of a body in the plane at `z` [m]: tuples of points (x, y) [m].

    None where the plane misses the body. An outline within another is a hole. `body` is a Block.

    >>> from castlab.field.bodies import cylinder, ring
    >>> outlines(cylinder("boss", "casting", "y", (0.0, 0.0), 0.04, (0.0, 0.03)), 0.0)
    (((-0.02, 0.0), (0.02, 0.0), (0.02, 0.03), (-0.02, 0.03)),)
    >>> len(outlines(ring("rim", "casting", "z", (0.0, 0.0), 0.1, 0.12, (0.0, 0.02)), 0.01))
    2
    """
    if not body.low[2] <= z <= body.high[2]:
        return ()
    form = body.form
    if form is None:
        return (_rectangle(*zip(body.low[:2], body.high[:2], strict=True)),)
    if isinstance(form, Prism):
        if form.axis == 2:
            return _flat_outlines(form.flat)
        spans = [(float(low[0]), float(high[0])) for low, high in zip(*form.flat.spans(1, [z]), strict=True)]
        ends = form.low, form.high
        return tuple(_rectangle(*((ends, span) if form.axis == 0 else (span, ends)))
                     for span in spans if span[1] > span[0])
    if isinstance(form, Mesh):
        return form.outlines(z)
    if form.axis == 2:
        return _flat_outlines(form.flat_at(z))
    return _turned_outlines(form, z) if isinstance(form, Turned) else _turned_outline(form, z)


def _rectangle(x, y):
    return (x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])


def _flat_outlines(flat):
    if isinstance(flat, Polygon):
        return (flat.points,)
    if isinstance(flat, Rings):
        return tuple(each for disc in flat.discs for each in _flat_outlines(disc))
    angles = 2.0 * np.pi * np.arange(CORNERS) / CORNERS
    (u, v), radii = flat.middle, [each for each in (flat.radius, flat.inner) if each]
    return tuple(tuple(zip((u + radius * np.cos(angles)).tolist(), (v + radius * np.sin(angles)).tolist(),
                           strict=True)) for radius in radii)


def _turned_outline(form, z):
    """A cone or ball that stands or lies in the plane: as wide along its axis as its discs are there."""
    there, back = [], []
    for place in 0.5 * (form.low + form.high) - 0.5 * (form.high - form.low) * np.cos(
            np.linspace(0.0, np.pi, CORNERS // 2)):
        disc = form.flat_at(float(place))
        half = math.sqrt(max(disc.radius**2 - (z - disc.middle[1]) ** 2, 0.0))
        for side, points in ((-1, there), (1, back)):
            point = float(place), disc.middle[0] + side * half
            points.append(point if form.axis == 0 else point[::-1])
    return ((*there, *back[::-1]),)


def _turned_outlines(form, z):
    """An outline that stands or lies in the plane, on both sides of its axis."""
    off = z - form.middle[1]
    corners = np.array((*form.points, form.points[0]))
    along = np.linspace(0.0, 1.0, CORNERS // 2)[:, None, None]
    radii, places = np.moveaxis(corners[:-1] + along * np.diff(corners, axis=0), 2, 0)
    halves = np.sqrt(np.maximum(radii.T.ravel() ** 2 - off**2, 0.0))
    found = []
    for side in (-1.0, 1.0):
        pair = places.T.ravel(), form.middle[0] + side * halves
        pair = pair if form.axis == 0 else pair[::-1]
        found.append(tuple(zip(*(each.tolist() for each in pair), strict=True)))
    return tuple(found)


def upright_spans(body, x, z):
    """Where the upright line at (x, z) [m] runs through a body: a list of (from, to) [m] in y.

    >>> from castlab.field.bodies import prism
    >>> wedge = prism("wedge", "casting", "z", [(0, 0), (0.1, 0), (0.1, 0.02)], (0.0, 0.03))
    >>> upright_spans(wedge, 0.05, 0.01)
    [(0.0, 0.01)]
    """
    heights = []
    for points in outlines(body, z):
        for (x0, y0), (x1, y1) in zip(points, (*points[1:], points[0]), strict=True):
            if (x0 <= x) != (x1 <= x):
                heights.append(y0 + (x - x0) / (x1 - x0) * (y1 - y0))
    heights.sort()
    return list(zip(heights[::2], heights[1::2], strict=True))


def middle_plane(layout):
    """Where the plane lies through the middle of the casting of a `layout` [m].

    >>> from castlab.field import parts
    >>> middle_plane(parts.eye_plate())
    0.0
    """
    own = [body for body in layout.blocks if body.role == "casting"]
    return 0.5 * (min(body.low[2] for body in own) + max(body.high[2] for body in own))


def plane_of(account):
    """Where the plane lies that shows the largest hole of an `account` (Shrinkage) [m].

    That is the middle plane of the casting, unless it misses the hole or cuts little of it.

    >>> from castlab import Setup, alloy, mould, parts
    >>> from castlab.field.outcome import COARSE, pour
    >>> plane_of(pour(Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), 475.0), COARSE))
    0.0
    """
    grid = account.run.grid
    middle = middle_plane(grid.layout)
    if account.verdict == "sound" or not account.holes:
        return middle
    hole = account.holes[0]
    number = [body.name for body in grid.layout.blocks].index(hole.block)
    holes = np.where(grid.block == number, account.void_of[hole.kind], 0.0)
    area = holes.sum(axis=(0, 1)) / np.diff(grid.edges[2])
    here = layer_at(grid, middle)
    return middle if area[here] >= ENOUGH * area.max() else float(grid.centres[2][area.argmax()])


def layer_at(grid, z):
    """Number of the layer of cells of a `grid` at `z` [m]; beyond a plane of symmetry, that of its image.

    >>> from castlab import parts
    >>> from castlab.field.grid import build
    >>> grid = build(parts.eye_plate(), 6e-3)
    >>> layer_at(grid, 0.005) == layer_at(grid, -0.005)
    True
    """
    planes = dict(grid.planes)
    if 2 in planes:
        z = planes[2] + abs(z - planes[2])
    edges = grid.edges[2]
    return int(np.clip(np.searchsorted(edges, z, side="right") - 1, 0, len(edges) - 2))


def whole_section(grid, values, z):
    """The layer at `z` [m] of `values` on the cells of a `grid`, whole where only half is solved.

    Returns the edges along x and y [m], and for each of the values its layer, shape (x, y).

    >>> from castlab import parts
    >>> from castlab.field.grid import build
    >>> grid = build(parts.eye_plate(), 6e-3)
    >>> x, y, (block,) = whole_section(grid, [grid.block], 0.0)
    >>> block.shape == (len(x) - 1, len(y) - 1)
    True
    """
    layer = layer_at(grid, z)
    x, flat = grid.edges[0], [each[:, :, layer] for each in values]
    plane = dict(grid.planes).get(0)
    if plane is not None:
        x = np.concatenate([2.0 * plane - x[:0:-1], x])
        flat = [np.concatenate([each[::-1], each]) for each in flat]
    return x, grid.edges[1], flat


def whole_solid(grid, values):
    """`values` on the cells of a `grid`, whole where only half or a quarter is solved.

    Returns the edges along x, y and z [m], and each of the values, shape (x, y, z).

    >>> from castlab import parts
    >>> from castlab.field.grid import build
    >>> grid = build(parts.eye_plate(), 6e-3)
    >>> _, (block,) = whole_solid(grid, [grid.block])
    >>> block.shape[2] == 2 * grid.shape[2]
    True
    """
    edges = list(grid.edges)
    for axis, plane in grid.planes:
        edges[axis] = np.concatenate([2.0 * plane - edges[axis][:0:-1], edges[axis]])
        values = [np.concatenate([np.flip(each, axis), each], axis=axis) for each in values]
    return edges, values


def images_of(grid, place):
    """A `place` [m] and where it lies mirrored beyond the planes of symmetry of a `grid`: a list of places.

    >>> from castlab import parts
    >>> from castlab.field.grid import build
    >>> images_of(build(parts.eye_plate(), 6e-3), (0.1, 0.0, 0.01))
    [(0.1, 0.0, 0.01), (0.1, 0.0, -0.01)]
    """
    found = [place]
    for axis, plane in grid.planes:
        if place[axis] != plane:
            found += [(*each[:axis], 2.0 * plane - each[axis], *each[axis + 1 :]) for each in found]
    return found
