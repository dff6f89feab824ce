"""A closed skin out of loose triangles: joined, closed where little is missing, turned the right way round.

A skin is closed where every edge is run along as often one way as the other. What is missing is closed by a
fan of triangles if it is small; a larger gap is refused, with its place: nobody knows what belongs there.
"""

from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse import csgraph
from scipy.spatial import cKDTree

from castlab.errors import InputError, require_between
from castlab.field.layout import LARGEST_M, SMALLEST_M
from castlab.field.mesh import UNIT_M, Mesh, mesh_of, signed_volume
from castlab.units import metres, phrase

SKIN = "skin of the part"
JOINED_M = 20e-6  # corners beside a gap that lie nearer than this are one; judgement
GAP_SHARE = 0.02  # a gap of this share of all skin is closed, a larger one is refused; judgement
FLAT_M = 0.2e-3  # volume over half the skin below this is a sheet, not a part; judgement
CROSSED_SHARE = 0.02  # where so much of its room is inside out it is refused; judgement


@dataclass(frozen=True)
class Mended:
    """A closed `mesh`, and what was done to it: `notes`, Phrases or plain words."""

    mesh: Mesh
    notes: tuple


def mended(triangles):
    """Close a skin.

    Parameters: `triangles` (m, 3, 3) [m]. Returns a Mended. Raises InputError for what is too small or large,
    flat, in two pieces, open where more than a little is missing, or crosses itself too much; judgement.

    >>> corners = np.array([(0, 0, 0), (0.03, 0, 0), (0, 0.03, 0), (0, 0, 0.03)])
    >>> block = mended(corners[[(0, 1, 2), (0, 3, 1), (0, 2, 3), (1, 3, 2)]])  # seen from inside
    >>> round(1e6 * block.mesh.volume, 3), [str(each) for each in block.notes]
    (4.5, ['it was inside out and is turned right side out'])
    """
    _require_sizes(triangles)
    corners, faces = _joined(triangles)
    notes, gaps = [], []
    if len(_open_edges(faces)[0]):
        corners, faces = _joined_beside_gaps(corners, faces)
        faces, turned = _turned_alike(faces)
        if turned:
            notes.append(f"{turned} triangles were turned round and are turned back")
        gaps = _gaps(corners, faces)
        _refuse_gaps(corners, faces, gaps)
        corners, faces = _closed(corners, faces, gaps)
    if gaps:
        closed = phrase(
            "{} small gaps are closed, the largest {} across",
            len(gaps),
            metres(max(gap.size for gap in gaps)),
        )
        notes.append(closed if len(gaps) > 1 else phrase("a gap of {} is closed", metres(gaps[0].size)))
    faces, shells = _right_way_round(corners, faces)
    notes.extend(shells)
    mesh = mesh_of(UNIT_M * corners, faces)
    notes.extend(_crossings(mesh))
    return Mended(mesh, tuple(notes))


def require_closed(mesh):
    """Refuse a `mesh` whose skin is open, flat, inside out, of impossible size or in pieces.

    Parameters: `mesh`. Returns it. Raises InputError for these.

    >>> block = mended(1e-2 * np.array([(0, 0, 0), (3, 0, 0), (0, 3, 0), (0, 0, 3)])[
    ...     [(0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)]]).mesh
    >>> require_closed(block) == block
    True
    """
    _require_sizes(mesh.triangles)
    if len(_open_edges(mesh.faces)[0]):
        raise InputError(SKIN, "open", "read the STL file again, which closes it")
    faces, notes = _right_way_round(mesh.corners, mesh.faces)
    if notes:
        raise InputError(SKIN, "inside out", "read the STL file again, which turns it")
    _crossings(mesh)
    return mesh


def open_places(triangles):
    """Where a skin is open: a list of (middle [m], diagonal of a box round it [m]), largest first.

    Parameters: `triangles` (m, 3, 3) [m]. Raises InputError for what is too small or large.

    >>> corners = np.array([(0, 0, 0), (0.03, 0, 0), (0, 0.03, 0), (0, 0, 0.03)])
    >>> [(middle, round(size, 4)) for middle, size in open_places(corners[[(0, 2, 1), (0, 1, 3), (0, 3, 2)]])]
    [((0.01, 0.01, 0.01), 0.052)]
    """
    _require_sizes(triangles)
    corners, faces = _joined_beside_gaps(*_joined(triangles))
    return [(gap.middle, gap.size) for gap in _gaps(corners, _turned_alike(faces)[0])]


@dataclass(frozen=True, eq=False)
class _Gap:
    """A way round a place where skin is missing, or the pieces of one; middle and size [m]."""

    ways: list[np.ndarray]  # numbers of corners, in the order in which new triangles run
    middle: tuple[float, ...]
    size: float
    area: float
    is_round: bool


def _require_sizes(triangles):
    if not len(triangles):
        raise InputError(SKIN, "empty", "there must be triangles in it")
    corners = triangles.reshape(-1, 3)
    size = float((corners.max(axis=0) - corners.min(axis=0)).max())
    require_between("size of the part", size, SMALLEST_M, LARGEST_M, "m")


def _joined(triangles):
    """Corners (whole numbers of UNIT_M) that lie on each other are one; triangles without an area go."""
    corners = triangles.reshape(-1, 3)
    middle = 0.5 * (corners.min(axis=0) + corners.max(axis=0))
    if np.abs(middle).max() > LARGEST_M:  # drawn far from its origin
        corners = corners - middle
    whole = np.rint(corners / UNIT_M).astype(np.int64)
    order = np.lexsort(whole.T)
    new = np.ones(len(whole), dtype=bool)
    new[1:] = (np.diff(whole[order], axis=0) != 0).any(axis=1)
    number = np.empty(len(whole), dtype=np.int64)
    number[order] = np.cumsum(new) - 1
    return whole[order][new], _tidy(number.reshape(-1, 3))


def _tidy(faces):
    """Without triangles that have two corners in one, and without doubles."""
    a, b, c = faces.T
    faces = faces[(a != b) & (b != c) & (c != a)]
    shift = faces.argmin(axis=1)
    first = np.take_along_axis(faces, (shift[:, None] + np.arange(3)) % 3, axis=1)
    _, once = np.unique(_as_one(first), return_index=True)
    return first[np.sort(once)]


def _as_one(rows):
    rows = np.ascontiguousarray(rows)
    return rows.view([("", rows.dtype)] * rows.shape[1]).ravel()


def _edges(faces):
    """Every side of every triangle: (smaller, larger) corner as one number, and 1 or -1 for its direction."""
    start, end = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    most = int(faces.max(initial=0)) + 1
    return np.minimum(start, end) * most + np.maximum(start, end), np.where(start < end, 1, -1), most


def _open_edges(faces):
    """Edges that are run along oftener one way: smaller and larger corner, by how much oftener upward."""
    edge, way, most = _edges(faces)
    names, where = np.unique(edge, return_inverse=True)
    excess = np.bincount(where, weights=way).astype(int) if len(names) else np.zeros(0, dtype=int)
    uneven = excess != 0
    return names[uneven] // most, names[uneven] % most, excess[uneven]


def _joined_beside_gaps(corners, faces):
    """Corners of open edges that nearly lie on each other become one."""
    low, high, _ = _open_edges(faces)
    loose = np.unique(np.concatenate([low, high]))
    if not len(loose):
        return corners, faces
    near = cKDTree(UNIT_M * corners[loose]).query_pairs(JOINED_M, output_type="ndarray")
    links = sparse.coo_matrix((np.ones(len(near)), near.T), shape=(len(loose),) * 2)
    _, group = csgraph.connected_components(links, directed=False)
    _, first = np.unique(group, return_index=True)
    name = np.arange(len(corners))
    name[loose] = loose[first[group]]
    return corners, _tidy(name[faces])


def _turned_alike(faces):
    """Neighbours run along their common edge in opposite ways: those that do not are turned round."""
    edge, way, _ = _edges(faces)
    owner = np.repeat(np.arange(len(faces)), 3)
    order = np.argsort(edge, kind="stable")
    names, start, count = np.unique(edge[order], return_index=True, return_counts=True)
    one = order[start[count == 2]]
    other = order[start[count == 2] + 1]
    unlike = way[one] == way[other]
    if not unlike.any():
        return faces, 0
    links = sparse.coo_matrix(
        (np.ones(len(one)), (owner[one], owner[other])), shape=(len(faces),) * 2
    ).tocsr()
    odd = sparse.coo_matrix((unlike.astype(float), (owner[one], owner[other])), shape=(len(faces),) * 2)
    odd = odd.tocsr() + odd.tocsr().T
    count, group = csgraph.connected_components(links, directed=False)
    turned = np.zeros(len(faces), dtype=bool)
    for first in np.unique(group, return_index=True)[1]:
        reached, before = csgraph.breadth_first_order(links, first, directed=False)
        if len(reached) > 1:
            flips = np.asarray(odd[reached[1:], before[reached[1:]]]).ravel() > 0.0
            for face, last, flip in zip(
                reached[1:].tolist(), before[reached[1:]].tolist(), flips, strict=True
            ):
                turned[face] = turned[last] ^ flip
    size, some = np.bincount(group), np.bincount(group, weights=turned)
    turned ^= (some > 0.5 * size)[group]  # the fewer ones are the wrong ones
    faces = np.where(turned[:, None], faces[:, ::-1], faces)
    return faces, int(turned.sum())


def _gaps(corners, faces):
    """The places where skin is missing, the largest first."""
    low, high, excess = _open_edges(faces)
    start, end = np.where(excess > 0, high, low), np.where(excess > 0, low, high)  # as new triangles must run
    start, end = np.repeat(start, np.abs(excess)), np.repeat(end, np.abs(excess))
    if not len(start):
        return []
    links = sparse.coo_matrix((np.ones(len(start)), (start, end)), shape=(len(corners),) * 2)
    _, group = csgraph.connected_components(links, directed=False)
    order = np.argsort(group[start], kind="stable")
    _, first = np.unique(group[start][order], return_index=True)
    found = [_gap(corners, start[part], end[part]) for part in np.split(order, first[1:])]
    return sorted(found, key=lambda gap: -gap.size)


def _gap(corners, start, end):
    points = UNIT_M * corners[np.unique(np.concatenate([start, end]))]
    middle = points.mean(axis=0)
    arms = UNIT_M * corners[start] - middle, UNIT_M * corners[end] - middle
    area = 0.5 * float(np.linalg.norm(np.cross(*arms), axis=1).sum())
    size = float(np.linalg.norm(points.max(axis=0) - points.min(axis=0)))
    is_round = bool(
        (np.bincount(start, minlength=len(corners)) == np.bincount(end, minlength=len(corners))).all()
    )
    return _Gap([start, end], tuple(np.round(middle, 6).tolist()), size, area, is_round)


def _refuse_gaps(corners, faces, gaps):
    triangles = UNIT_M * corners[faces]
    skin = (
        0.5
        * np.linalg.norm(
            np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]), axis=1
        ).sum()
    )
    large = [gap for gap in gaps if gap.area > GAP_SHARE * skin or not gap.is_round]
    if large or sum(gap.area for gap in gaps) > 2.0 * GAP_SHARE * skin:
        worst = (large or gaps)[0]
        places = phrase(
            "open in {} places, {} across at x {}, y {}, z {}",
            len(gaps),
            metres(worst.size),
            *map(metres, worst.middle),
        )
        raise InputError(SKIN, places, "close it where it was drawn, and save it again")


def _closed(corners, faces, gaps):
    """Each gap with a fan of triangles from its middle."""
    new_corners, new_faces = [corners], [faces]
    for number, gap in enumerate(gaps):
        start, end = gap.ways
        new_corners.append(np.rint(corners[np.unique(start)].mean(axis=0)).astype(np.int64)[None])
        middle = np.full(len(start), len(corners) + number)
        new_faces.append(np.column_stack([start, end, middle]))
    return np.concatenate(new_corners), np.concatenate(new_faces)


def _right_way_round(corners, faces):
    """Shells that enclose metal run counter-clockwise, hollows within them the other way: faces and notes."""
    edge, _, _ = _edges(faces)
    owner = np.repeat(np.arange(len(faces)), 3)
    order = np.argsort(edge, kind="stable")
    beside = np.flatnonzero(np.diff(edge[order]) == 0)
    links = sparse.coo_matrix(
        (np.ones(len(beside)), (owner[order[beside]], owner[order[beside + 1]])), shape=(len(faces),) * 2
    )
    count, group = csgraph.connected_components(links, directed=False)
    triangles = UNIT_M * corners[faces]
    order = np.argsort(group, kind="stable")
    shells = np.split(order, np.cumsum(np.bincount(group, minlength=count))[:-1]) if len(faces) else []
    kept = [shell for shell in shells if not _is_flat(triangles[shell])]
    if not kept:
        raise InputError(SKIN, "flat", "it must enclose a body; a sheet has no thickness to cast")
    volume = [signed_volume(triangles[shell]) for shell in kept]
    ends = [(triangles[shell].min(axis=(0, 1)), triangles[shell].max(axis=(0, 1))) for shell in kept]
    notes, faces, outer = [], faces.copy(), []
    for number, shell in enumerate(kept):
        held = any(
            (ends[other][0] < ends[number][0]).all() and (ends[number][1] < ends[other][1]).all()
            for other in range(len(kept))
            if other != number
        )
        if volume[number] < 0.0 and not held:
            faces[shell] = faces[shell][:, ::-1]
            notes.append("it was inside out and is turned right side out")
        if not (held and volume[number] < 0.0):
            outer.append(ends[number])
    _refuse_pieces(outer)
    return faces[np.concatenate(kept)], list(dict.fromkeys(notes))


def _is_flat(triangles):
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    skin = 0.5 * float(np.linalg.norm(normal, axis=1).sum())
    return abs(signed_volume(triangles)) <= 0.5 * FLAT_M * skin


def _refuse_pieces(ends):
    joined = ends[:1]
    for low, high in joined:  # grows while it is read
        joined += [
            each
            for each in ends
            if not any(each is other for other in joined)
            and (each[0] <= high + UNIT_M).all()
            and (low <= each[1] + UNIT_M).all()
        ]
    if len(joined) < len(ends):
        raise InputError(
            "part",
            f"{len(ends)} bodies that do not all touch",
            "it must be one piece; save each as a file of its own",
        )


def _crossings(mesh):
    """What lies inside twice counts once; what is inside out in part could be anything."""
    twice = mesh.counted_twice
    if twice < -CROSSED_SHARE:
        raise InputError(
            SKIN, "crossing itself", "join its bodies into one where it was drawn, and save it again"
        )
    return ["its bodies reach into each other, and common room counts once"] if twice > 1e-3 else []
