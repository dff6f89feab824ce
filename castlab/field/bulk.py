"""How thick a part is where, by its shape alone: small cubes, and the largest ball round each."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import ndimage

from castlab.field.faces import free_face
from castlab.field.mesh import Mesh
from castlab.field.peaks import peaks_of
from castlab.field.shares import shares_of

CUBES = 48  # along the longest side of a part
STANDS_OUT = 0.15  # cubes show the ball that fits in no closer than that; judgement
MOST_PLACES = 6
NEARLY_MOST = 0.95
NEARLY = 1.15  # sections that differ by less are equally thin
FROM_END_M = 10e-3  # a gate into the side of a thin section sits so far from its end


@dataclass(frozen=True, eq=False)
class Bulk:
    """A part in cubes: the lowest corner and size of the cubes [m], which are metal, how far each is from the
    skin [m], and the shortest way through the metal along an axis [m]."""

    low: np.ndarray
    cube: float
    metal: np.ndarray
    depth: np.ndarray
    section: np.ndarray

    def place(self, cell):
        """The middle of a cube [m]."""
        return tuple(float(each) for each in self.low + self.cube * (np.array(cell) + 0.5))


@lru_cache(maxsize=20)
def bulk_of(part):
    """A `part` (OwnPart) in cubes: a Bulk.

    >>> from castlab.field.own_part import Body, OwnPart
    >>> bulk = bulk_of(OwnPart("knob", (Body("ball", "ball", (("diameter", 0.048),)),)))
    >>> float(round(bulk.depth.max(), 3)), float(round(bulk.section.max(), 3))
    (0.023, 0.048)
    """
    low, high = (np.array(each) for each in part.extent)
    cube = float((high - low).max()) / CUBES
    count = np.maximum(np.ceil((high - low) / cube - 1e-6).astype(int), 1)
    low = 0.5 * (low + high) - 0.5 * cube * count
    edges = [start + cube * np.arange(each + 1) for start, each in zip(low, count, strict=True)]
    metal = np.zeros(count)
    for body in sorted(part.blocks, key=lambda each: each.role):  # castings before cores
        share = _share(body, edges)
        metal = np.minimum(metal + share, 1.0) if body.is_metal else metal * (1.0 - share)
    full = metal >= 0.5 * metal.max()  # of a part that is thinner than the cubes too
    depth = cube * (ndimage.distance_transform_edt(np.pad(full, 1))[1:-1, 1:-1, 1:-1] - 0.5) * full
    section = np.min([_runs(full, axis) for axis in range(3)], axis=0) * cube
    return Bulk(low, cube, full, depth, section)


def heavy_places(part):
    """The middles of the thickest places of a part [m], the thickest first: a list of (x, y, z).

    By its shape alone: no mould and no feeder counts. Parameters: `part` (OwnPart). What counts is judgement.

    >>> from castlab.field.own_part import Body, OwnPart
    >>> ends = [Body(name, "ball", (("diameter", size),), (x, 0.0, 0.0))
    ...         for name, size, x in (("a", 0.03, 0.0), ("b", 0.04, 0.1))]
    >>> bar = Body("bar", "cylinder", (("diameter", 0.012), ("length", 0.1)), (0.05, 0.0, 0.0), "x")
    >>> [round(x, 2) for x, _, _ in heavy_places(OwnPart("bar with two knobs", (*ends, bar)))]
    [0.1, 0.0]
    """
    bulk = bulk_of(part)
    depth = bulk.depth.ravel()
    peaks, _ = peaks_of(depth, np.flatnonzero(bulk.metal), bulk.metal.shape, STANDS_OUT)
    found = []
    for peak in peaks[:MOST_PLACES]:
        alike = _beside(bulk.depth >= depth[peak] - 0.51 * bulk.cube, peak)
        found.append(bulk.place(np.mean(np.nonzero(alike), axis=1)))
    return found


def thin_end(part):
    """A face on the left or right of a part where it is thinnest, away from its thickest place: a Face.

    Parameters: `part` (OwnPart). Common practice: a gate joins where metal freezes first.

    >>> from castlab.field.own_part import Body, OwnPart
    >>> plate = Body("plate", "box", (("length", 0.1), ("height", 0.01), ("width", 0.04)))
    >>> thin_end(OwnPart("plate", (plate,))).at
    (-0.05, 0.0, 0.0)
    """
    bulk = bulk_of(part)
    heavy = np.mean(np.nonzero(bulk.depth > NEARLY_MOST * bulk.depth.max()), axis=1)
    found = []
    for side, step in (("left", 1), ("right", -1)):
        metal = bulk.metal[::step]
        rows, columns = np.nonzero(metal.any(axis=0))
        first = metal.argmax(axis=0)[rows, columns]
        layer = first if step == 1 else len(metal) - 1 - first
        found += [(side, *cell) for cell in zip(layer, rows, columns, strict=True)]
    thin = np.array([bulk.section[cell[1:]] for cell in found])
    found = [cell for cell, thick in zip(found, thin, strict=True) if thick <= NEARLY * thin.min()]
    away = [float(np.linalg.norm(np.array(cell[1:]) - heavy)) for cell in found]
    side, *cell = next(cell for cell, far in zip(found, away, strict=True) if far > max(away) - 2.0)
    return _in_its_middle(part.blocks, free_face(part.blocks, side, bulk.place(cell)))


def _in_its_middle(blocks, face):
    """The face at the middle of its section, or near the end of a long one."""
    (low, high), across = face.reach
    y = 0.5 * (low + high)
    if high - low > 4.0 * FROM_END_M:
        y = low + FROM_END_M if face.at[1] < y else high - FROM_END_M
    return free_face(blocks, face.side, (face.at[0], round(y, 9), round(0.5 * sum(across), 9)))


def _share(body, edges):
    """Of each cube the share that a body covers; of a mesh, whether it covers the middle."""
    covered = np.zeros([len(edge) - 1 for edge in edges])
    if not isinstance(body.form, Mesh):
        shares = shares_of(body, edges)
        if shares is not None:
            covered[shares.where] = shares.share
        return covered
    x, y, z = (0.5 * (edge[1:] + edge[:-1]) for edge in edges)
    line, low, high = body.form.spans(1, x, z)
    for column, start, end in zip(line, low, high, strict=True):
        covered[column // len(z), (y > start) & (y < end), column % len(z)] = 1.0
    return covered


def _runs(full, axis):
    """Of each cube, how many cubes of metal follow each other through it along an axis."""
    full = np.moveaxis(full, axis, 0)
    ahead, behind = np.zeros(full.shape, dtype=int), np.zeros(full.shape, dtype=int)
    for layer in range(len(full)):
        ahead[layer] = np.where(full[layer], (ahead[layer - 1] if layer else 0) + 1, 0)
    for layer in range(len(full) - 1, -1, -1):
        behind[layer] = np.where(full[layer], (behind[layer + 1] if layer < len(full) - 1 else 0) + 1, 0)
    return np.moveaxis(np.maximum(ahead + behind - 1, 0), 0, axis)


def _beside(mask, cell):
    """The connected part of a mask that holds a cell."""
    names, _ = ndimage.label(mask)
    return names == names.ravel()[cell]
