"""A form whose skin is made of triangles, such as one that was drawn elsewhere and came as a file.

Corners are whole numbers of a ten-thousandth of a millimetre, and lines through the form lie half-way between
two such numbers. So whether a line passes a triangle on one side or the other is decided without rounding:
it goes in and comes out equally often, and no line leaks through an edge.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

UNIT_M = 1e-7
AT_ONCE = 400_000  # lines and triangles that are looked at together: about 80 MB
FLAT_SHARE = 0.01  # triangles in one plane with this share of all skin are a flat face that gets a grid line
THIN_SHARE = 0.1  # so much of the metal lies in sections thinner than what counts as the thinnest; judgement
LINES = 40  # along each axis, to look at sections and at symmetry
EVEN_M = 5e-6  # two halves that differ by less are mirror images


@dataclass(frozen=True)
class Mesh:
    """A closed skin of triangles, seen counter-clockwise from outside.

    `packed_corners`, whole numbers (n, 3) of UNIT_M, and `packed_faces`, numbers of corners (m, 3), are int32
    as bytes, so that a setup stays hashable. Make one with `mesh_of`; `castlab.field.mend` closes a skin.
    """

    packed_corners: bytes
    packed_faces: bytes

    def __repr__(self):
        return f"Mesh of {len(self.faces)} triangles, {hash(self):x}"

    def __getstate__(self):
        return {name: getattr(self, name) for name in ("packed_corners", "packed_faces")}

    @cached_property
    def corners(self):
        """Whole numbers of UNIT_M, shape (n, 3)."""
        return np.frombuffer(self.packed_corners, dtype=np.int32).reshape(-1, 3)

    @cached_property
    def faces(self):
        """Numbers of corners, shape (m, 3)."""
        return np.frombuffer(self.packed_faces, dtype=np.int32).reshape(-1, 3)

    @cached_property
    def triangles(self):
        """Corners of each triangle [m], shape (m, 3, 3)."""
        return UNIT_M * self.corners[self.faces]

    @cached_property
    def volume(self):
        """[m3]; room that two shells share counts once."""
        return signed_volume(self.triangles) / (1.0 + self.counted_twice)

    @property
    def counted_twice(self):
        """Room that lies within two shells, as a share of the metal; below 0 where shells are inside out."""
        once, signed = (sum(each[number].sum() for each in self._by_lines) for number in (1, 2))
        return float(signed / max(once, 1e-12) - 1.0)

    @property
    def extent(self):
        """Lowest and highest corner [m]."""
        low, high = UNIT_M * self.corners.min(axis=0), UNIT_M * self.corners.max(axis=0)
        return tuple(low.tolist()), tuple(high.tolist())

    def straight(self, axis):
        """Places of its flat sides that run square to an axis [m]."""
        return self._flat[axis]

    def moved(self, move):
        """As for a Prism."""
        origin = np.array(move((0.0, 0.0, 0.0)), dtype=float)
        units = np.array([move(tuple(row)) for row in np.eye(3)]) - origin
        corners = UNIT_M * self.corners @ units + origin
        faces = self.faces if np.linalg.det(units) > 0.0 else self.faces[:, ::-1]
        return mesh_of(corners, faces)

    @property
    def key(self):
        """The same for the same triangles."""
        return "mesh", hash(self)

    def is_mirrored(self, axis, plane):
        """Whether beyond a `plane` [m] that is square to an `axis` it is its own mirror image."""
        low, high = (end[axis] for end in self.extent)
        if abs(low + high - 2.0 * plane) > EVEN_M:
            return False
        (at, low, high), *_ = self._by_lines[axis]
        back = np.lexsort((2.0 * plane - high, at))
        there, here = (2.0 * plane - high)[back], (2.0 * plane - low)[back]
        return bool(np.abs(low - there).max() < EVEN_M and np.abs(high - here).max() < EVEN_M)

    def thin(self, axis):
        """(from, to, thickness) [m] of the thinnest sections along an axis: a tenth of the metal lies so."""
        (_, low, high), size, _ = self._by_lines[axis]
        order = np.argsort(size)
        share = np.cumsum(size[order])
        thickness = float(size[order][np.searchsorted(share, THIN_SHARE * share[-1])])
        near = size <= 1.2 * thickness
        return float(low[near].min()), float(high[near].max()), thickness

    def spans(self, axis, us, vs):
        """Where lines along an `axis` run through the form.

        Parameters: `us` and `vs`, rising places [m] on the flat axes; there is a line at each pair of them.
        Returns the number of the line, u times the count of vs plus v, and from where to where [m]; sorted.
        """
        return _insides(*self._crossings(axis, us, vs))

    def _crossings(self, axis, us, vs):
        """Where lines cross the skin: (line, height [m], step), in the order of lines and heights."""
        flat = [each for each in range(3) if each != axis]
        corners = 2.0 * self.corners[:, [*flat, axis]]
        us, vs = (2.0 * np.floor(np.asarray(each) / UNIT_M) + 1.0 for each in (us, vs))
        a, b, c = (corners[self.faces[:, each]] for each in range(3))
        area = _cross(a, b, c[:, 0], c[:, 1])
        if axis == 1:  # the flat axes x and z with y turn the other way round
            leaves = area < 0.0
        else:
            leaves = area > 0.0
        left = (area < 0.0)[:, None]
        b, c = np.where(left, c, b), np.where(left, b, c)
        low, high = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
        first = [np.searchsorted(each, low[:, number]) for number, each in enumerate((us, vs))]
        count = [
            np.searchsorted(each, high[:, number]) - first[number] for number, each in enumerate((us, vs))
        ]
        lines = np.where(area != 0.0, count[0] * count[1], 0)
        found = []
        ends = np.cumsum(lines)
        for start in _batches(ends, AT_ONCE):
            found.append(_crossed(start, lines, first, count, (a, b, c), us, vs, leaves))
        line, height, step = (
            (np.concatenate(each) for each in zip(*found, strict=True)) if found else [[]] * 3
        )
        order = np.lexsort((-np.asarray(step), height, line))
        return (np.asarray(each)[order] for each in (line, np.multiply(height, 0.5 * UNIT_M), step))

    def outlines(self, z):
        """Its outlines in the plane at `z` [m], square to the third axis: tuples of points (x, y) [m]."""
        height = np.floor(z / UNIT_M) + 0.5
        above = self.corners[self.faces][:, :, 2] > height
        on_its_way = {}  # from each edge that an outline crosses to the next
        for face, up in zip(
            self.faces[(cut := above.any(axis=1) & ~above.all(axis=1))], above[cut], strict=True
        ):
            turns = [(int(face[i]), int(face[(i + 1) % 3])) for i in range(3) if up[i] != up[(i + 1) % 3]]
            start = next(each for each in turns if self.corners[each[0], 2] > height)
            end = next(each for each in turns if self.corners[each[0], 2] < height)
            on_its_way.setdefault(tuple(sorted(start)), []).append(tuple(sorted(end)))
        found = []
        while on_its_way:
            here, points = next(iter(on_its_way)), []
            while here in on_its_way:
                points.append(self._at_height(here, height))
                there = on_its_way[here].pop()
                if not on_its_way[here]:
                    del on_its_way[here]
                here = there
            found.append(tuple(points))
        return tuple(each for each in found if len(each) > 2)

    def _at_height(self, edge, height):
        start, end = self.corners[list(edge)].astype(float)
        x, y, _ = UNIT_M * (start + (height - start[2]) / (end[2] - start[2]) * (end - start))
        return float(x), float(y)

    @cached_property
    def _flat(self):
        triangles = self.triangles
        normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
        area = np.linalg.norm(normal, axis=1)
        found = []
        for axis in range(3):
            level = np.abs(normal[:, axis]) > 0.9999 * area
            places, where = np.unique(self.corners[self.faces[level, 0], axis], return_inverse=True)
            sizes = np.bincount(where, weights=area[level], minlength=len(places))
            found.append((UNIT_M * places[sizes > FLAT_SHARE * area.sum()]).tolist())
        return found

    @cached_property
    def _by_lines(self):
        """By axis: the spans of LINES times LINES lines through it, how long each is, and the same with room
        in two shells counted twice."""
        found = []
        for axis in range(3):
            line, height, step = self._crossings(
                axis, *(self._places(each) for each in range(3) if each != axis)
            )
            spans = _insides(line, height, step)
            found.append((spans, spans[2] - spans[1], -step * height))
        return found

    def _places(self, axis):
        low, high = (end[axis] for end in self.extent)
        return low + (high - low) * (np.arange(LINES) + 0.5) / LINES


def mesh_of(corners, faces):
    """A Mesh of `corners` (n, 3) [m] and `faces`, numbers of corners (m, 3).

    >>> corners = [(0, 0, 0), (0.03, 0, 0), (0, 0.03, 0), (0, 0, 0.03)]
    >>> block = mesh_of(corners, [(0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)])
    >>> round(1e6 * block.volume, 3), block.straight(0)
    (4.5, [0.0])
    """
    corners = np.ascontiguousarray(np.rint(np.asarray(corners, dtype=float) / UNIT_M), dtype=np.int32)
    return Mesh(corners.tobytes(), np.ascontiguousarray(faces, dtype=np.int32).tobytes())


def signed_volume(triangles):
    """What `triangles` (m, 3, 3) [m] enclose [m3]; below 0 where they are seen clockwise from outside.

    >>> signed_volume(np.array([[(0, 0, 0), (0, 3, 0), (3, 0, 0)], [(0, 0, 0), (3, 0, 0), (0, 0, 3)],
    ...                         [(0, 0, 0), (0, 0, 3), (0, 3, 0)], [(3, 0, 0), (0, 3, 0), (0, 0, 3)]]))
    4.5
    """
    middle = triangles.reshape(-1, 3).mean(axis=0)
    a, b, c = np.moveaxis(triangles - middle, 1, 0)
    return float((np.cross(a, b) * c).sum() / 6.0)


def _cross(a, b, u, v):
    """Twice the area of the flat triangle a, b, (u, v): above 0 where it runs counter-clockwise."""
    return (b[:, 0] - a[:, 0]) * (v - a[:, 1]) - (b[:, 1] - a[:, 1]) * (u - a[:, 0])


def _batches(ends, most):
    """Slices of triangles, each with at most so many lines, or a single triangle."""
    start = 0
    while start < len(ends):
        before = ends[start - 1] if start else 0
        stop = max(int(np.searchsorted(ends, before + most, side="right")), start + 1)
        yield slice(start, stop)
        start = stop


def _crossed(batch, lines, first, count, corners, us, vs, leaves):
    """(line, height, step) where lines cross a batch of triangles; a step is 1 going in, -1 coming out."""
    lines = lines[batch]
    triangle = np.repeat(np.arange(len(lines)), lines)
    number = np.arange(len(triangle)) - np.repeat(np.cumsum(lines) - lines, lines)
    wide = np.maximum(count[1][batch], 1)[triangle]
    iu, iv = first[0][batch][triangle] + number // wide, first[1][batch][triangle] + number % wide
    u, v = us[iu], vs[iv]
    a, b, c = (each[batch][triangle] for each in corners)
    inside, weights = np.ones(len(triangle), dtype=bool), []
    for start, end in ((b, c), (c, a), (a, b)):
        side = _cross(start, end, u, v)
        rise, run = end[:, 1] - start[:, 1], end[:, 0] - start[:, 0]
        own = (rise > 0.0) | ((rise == 0.0) & (run < 0.0))  # a line through an edge is one neighbour's only
        inside &= (side > 0.0) | ((side == 0.0) & own)
        weights.append(side)
    whole = np.where(inside, sum(weights), 1.0)
    height = sum(weight * each[:, 2] for weight, each in zip(weights, (a, b, c), strict=True)) / whole
    step = np.where(leaves[batch][triangle], -1, 1)
    return (iu * len(vs) + iv)[inside], height[inside], step[inside]


def _insides(line, height, step):
    """From crossings to spans: inside is where a line has gone in oftener than it has come out."""
    depth = np.cumsum(step)
    begins, ends = (depth > 0) & (depth - step <= 0), (depth <= 0) & (depth - step > 0)
    return line[begins], height[begins], height[ends]
