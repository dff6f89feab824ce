"""Grid lines of a solid: on flat faces, fine in metal, finer in thin sections, growing in the mould.

They are the same, mirrored, for a mirrored layout: no choice depends on which end of an axis comes first.
"""

import math
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError
from castlab.field.forms import Disc, Polygon, Prism
from castlab.field.mesh import Mesh
from castlab.field.symmetry import planes_of
from castlab.field.turned import Turned
from castlab.units import given, metres

GAP = 0.5  # two faces nearer than this share of a cell get one grid line; the other face then cuts cells
FIRST = 1.0  # the mould's first cell beside metal, in cells
CELLS_ACROSS_A_GATE = 2
FIRST_TO_GET_A_LINE = ("casting", "feeder", "gate", "chill", "sleeve", "core")
BYTES_PER_CELL, BYTES_PER_METAL_CELL = 350.0, 2600.0  # measured by tests/benchmark/solids.py
MOST_BYTES = 1.0e9  # what one solve may take of a laptop's memory; judgement
FINEST_IN_MESH = 0.5  # a thin section of a mesh gets cells of this share of the usual ones, and no finer
MOST_COARSE = 2.5  # a cell for a look is at most so many times the usual one
MOST_CELLS_ALONG = 4000  # more are not even counted


@dataclass(frozen=True)
class Look:
    """How fine a solid is cut.

    across           cells across a section
    across_a_wall    ... across the wall of a ring, which is seen at all angles, so that fewer will do
    growth, largest  each cell of the mould outside the metal is larger by this factor, up to so many cells
    near             blocks of far mould are at most as long as their distance from a body over this
    cell, cells      the usual cell [m]; a larger one where there would be more cells than that
    """

    across: float
    across_a_wall: float
    growth: float
    largest: float
    near: float
    cell: float
    cells: int


FULL, QUICK = Look(3.0, 2.0, 1.3, 8.0, 1.5, 3e-3, 60_000), Look(2.0, 1.5, 1.5, 16.0, 1.0, 6e-3, 12_000)
COARSER = 1.1  # by which a cell is made larger, again and again, until few enough fit


def cell_for(layout, look):
    """The cell [m] for a `look`, FULL or QUICK, at a solid `layout`: the usual one, or a larger if need be.

    >>> from castlab.field import parts
    >>> cell_for(parts.eye_plate(), FULL), cell_for(parts.eye_plate(), QUICK)
    (0.003, 0.006)
    """
    planes, cell = planes_of(layout), look.cell
    while _count(_lines(layout, cell, look, planes, list(_thin_sections(layout, cell, look)))) > look.cells:
        larger = cell * COARSER
        if larger > MOST_COARSE * look.cell:  # thin sections ask for the rest
            break
        cell = larger
    return cell


def thinnest_section(layout, roles=("casting",)):
    """The thinnest section [m] of bodies of these `roles` in a `layout`, walls round cores too.

    Of an outline it is that in its middle.

    >>> from castlab.field import parts
    >>> thinnest_section(parts.eye_plate(thickness=0.008))
    0.008
    """
    cores = [body for body in layout.blocks if body.role == "core"]
    found = [thickness for body in layout.blocks if body.role in roles for axis in range(3)
             for _, _, thickness, _ in _sections(body, axis, cores, FULL)]
    return round(min(found), 9)


def lines_of(layout, cell, look, planes):
    """Grid lines along the three axes of a solid layout [m].

    Parameters: `layout`; `cell` [m] in metal; `look`, FULL or QUICK; `planes`, the place of the plane of
    symmetry on each axis that has one, where the grid begins. Returns a tuple of arrays. Raises InputError
    where so many cells would not fit into memory, with what would.

    >>> from castlab.field import parts
    >>> x, y, z = lines_of(parts.eye_plate(), 4e-3, FULL, {2: 0.0})
    >>> float(z[0]), bool((abs(x - 0.12) < 1e-9).any())
    (0.0, True)
    """
    thin = list(_thin_sections(layout, cell, look))
    lines = _lines(layout, cell, look, planes, thin)
    if _bytes(layout, lines) > MOST_BYTES:
        _refuse_too_many(layout, cell, look, planes, thin)
    return lines


def _lines(layout, cell, look, planes, thin):
    return tuple(
        _along(layout, axis, cell, look, planes.get(axis), [each for each in thin if each.axis == axis])
        for axis in range(3)
    )


@dataclass(frozen=True)
class _Thin:
    """A section of a body along an axis [m] that needs cells of its own [m]."""

    body: object
    axis: int
    low: float
    high: float
    thickness: float
    cell: float


def _thin_sections(layout, cell, look):
    cores = [body for body in layout.blocks if body.role == "core"]
    for body in layout.blocks:
        if body.role not in ("casting", "feeder"):
            continue
        for axis in range(3):
            for low, high, thickness, across in _sections(body, axis, cores, look):
                least = FINEST_IN_MESH * cell if isinstance(body.form, Mesh) else 0.0
                if thickness / cell < across - 1e-6:
                    yield _Thin(body, axis, low, high, thickness, max(thickness / across, least))


def _sections(body, axis, cores, look):
    """(low, high, thickness, cells across) of what must be cut finely enough along an axis."""
    low, high = body.low[axis], body.high[axis]
    if isinstance(body.form, Mesh):
        yield *body.form.thin(axis), look.across
        return
    if isinstance(body.form, Turned) and axis != body.form.axis:
        yield low, high, body.form.wall, look.across_a_wall
        return
    if isinstance(body.form, Prism) and axis != body.form.axis:
        flat = body.form.flat
        if isinstance(flat, Disc) and flat.inner:
            yield low, high, flat.radius - flat.inner, look.across_a_wall
            return
        if isinstance(flat, Polygon):
            across = 1 - (axis - (axis > body.form.axis))
            middle = 0.5 * sum(each[across] for each in flat.extent)
            starts, ends = flat.spans(across, [middle])
            if len(starts):
                yield float(starts[0, 0]), float(ends[-1, 0]), float((ends - starts).max()), look.across
            return
    yield low, high, high - low, look.across
    for core in cores:
        if all(
            l1 < h2 and l2 < h1
            for l1, h1, l2, h2 in zip(body.low, body.high, core.low, core.high, strict=True)
        ):
            for start, end in ((low, core.low[axis]), (core.high[axis], high)):
                if end - start > 1e-6:
                    yield start, end, end - start, look.across if core.form is None else look.across_a_wall


def _along(layout, axis, cell, look, plane, thin):
    """Lines along one axis."""
    start, end = layout.low[axis] if plane is None else plane, layout.high[axis]
    metal = [(body.low[axis], body.high[axis], body.role) for body in layout.blocks if body.is_metal]

    def local(low, high):
        return min([cell, *(each.cell for each in thin if each.low < high + 1e-9 and low - 1e-9 < each.high)])

    ends = [end] if plane is not None else [start, end]
    lines = _chosen(layout, axis, start, end, lambda place: GAP * local(place, place), ends)
    spans = list(zip(lines[:-1], lines[1:], strict=True))
    inside = [[role for low, high, role in metal if low < 0.5 * (a + b) < high] for a, b in spans]
    cells = [local(a + 1e-8, b - 1e-8) for a, b in spans]
    edges = [lines[0]]
    for number, (low, high) in enumerate(spans):
        if inside[number]:
            least = CELLS_ACROSS_A_GATE if set(inside[number]) == {"gate"} else 1
            count = min(max(least, int(np.ceil((high - low) / cells[number] - 1e-6))), MOST_CELLS_ALONG)
            edges.extend(np.linspace(low, high, count + 1)[1:])
        else:
            before = cells[number - 1] if number > 0 else None
            after = cells[number + 1] if number < len(spans) - 1 else None
            edges.extend(_growing(low, high, cell, look, before, after))
    return np.array(edges)


def _chosen(layout, axis, start, end, gap, ends):
    """Sorted places of the lines: those of the casting before those of the feeder and so on, outer ones
    first, and none nearer than `gap` to one that is there already."""
    metal = [body for body in layout.blocks if body.is_metal]
    middle = 0.5 * (min(body.low[axis] for body in metal) + max(body.high[axis] for body in metal))
    wanted = set()
    for body in layout.blocks:
        places = body.form.straight(axis) if body.form else []
        for place in (body.low[axis], body.high[axis], *places):
            wanted.add((FIRST_TO_GET_A_LINE.index(body.role), -round(abs(place - middle), 9), place))
    lines = [start, *ends]
    for _, _, place in sorted(wanted):
        near = gap(place)
        if start + near <= place <= end - near and all(abs(place - each) >= near for each in lines):
            lines.append(place)
    return sorted(set(lines))


def _growing(low, high, cell, look, before, after):
    """Lines after `low` up to `high` that grow away from the cells `before` and `after`; None at a wall."""
    left, right, room = [], [], high - low
    sizes = [np.inf if beside is None else FIRST * beside for beside in (before, after)]
    while room > 1e-12 and len(left) + len(right) < MOST_CELLS_ALONG:
        smallest = min(sizes) * (1.0 + 1e-9)
        for side, steps in enumerate((left, right)):
            if sizes[side] <= smallest:
                steps.append(sizes[side])
                room -= sizes[side]
                sizes[side] = min(sizes[side] * look.growth, look.largest * cell)
    steps = np.array(left + right[::-1])
    edges = low + np.cumsum(steps * (high - low) / steps.sum())
    edges[-1] = high
    return list(edges)


def _count(lines):
    return math.prod(len(edges) - 1 for edges in lines)


def _bytes(layout, lines):
    """Memory that a solve on these lines will take, before any of it is taken [bytes]."""
    metal = 0.0
    for body in layout.blocks:
        if body.is_metal:
            inside = 1.0
            for edges, low, high in zip(lines, body.low, body.high, strict=True):
                inside *= np.count_nonzero((edges[1:] > low) & (edges[:-1] < high))
            metal += inside
    return BYTES_PER_CELL * _count(lines) + BYTES_PER_METAL_CELL * metal


def _refuse_too_many(layout, cell, look, planes, thin):
    if _bytes(layout, _lines(layout, cell, look, planes, [])) > MOST_BYTES:
        fits = cell
        while _bytes(layout, _lines(layout, fits, look, planes, [])) > MOST_BYTES:
            fits *= 1.05
        raise InputError(
            "cell",
            given(cell, "m"),
            f"so many cells need more than {MOST_BYTES / 1e9:g} GB of memory; take {{}} or more",
            given(_rounded_up(fits), "m"),
        )
    worst = min(thin, key=lambda each: each.cell)
    fits = worst.thickness
    while fits < cell * look.across:
        fits *= 1.1
        eased = [
            _Thin(
                each.body,
                each.axis,
                each.low,
                each.high,
                max(each.thickness, fits),
                max(each.cell, fits / look.across),
            )
            for each in thin
        ]
        if _bytes(layout, _lines(layout, cell, look, planes, eased)) <= MOST_BYTES:
            break
    raise InputError(
        f"thickness of {worst.body.name}",
        metres(worst.thickness),
        "too thin for the size of this casting: the computer's memory allows no cells so fine. Make it {} or "
        "more, or leave it out",
        given(_rounded_up(fits), "m"),
    )


def _rounded_up(size):
    """To the next tenth of a millimetre, so that the advice is good [m]."""
    return round(float(np.ceil(size * 1e4 - 1e-9)) * 1e-4, 6)
