"""A layout cut into cells: volumes, widths, metal shares, materials."""

from dataclasses import dataclass, replace

import numpy as np
from scipy import ndimage

from castlab.errors import InputError, require_between
from castlab.field.cut import Cut, fill
from castlab.field.grid_lines import FULL, QUICK, lines_of
from castlab.field.layout import ROLES, TOUCH_M, Layout, line_spans
from castlab.field.symmetry import planes_of
from castlab.units import given, metres

MOULD = 0  # code of the mould in `roles`; role number i of ROLES has code i + 1
CELLS_ACROSS_A_SECTION = 3  # fewer, and the middle of a section is not seen
ACROSS_AT_A_LOOK = 2  # enough for a first look
CELLS_ACROSS_A_GATE = 2
SLIVER = 0.25  # two edges nearer than this share of a cell get one grid line; the other edge then cuts cells
SAND_FIRST = 0.5  # the mould's first cell beside metal, in cells: there the temperature falls most steeply
SAND_GROWTH = 1.13  # each cell of the mould outside the metal is larger than the last by this factor
SAND_LARGEST = 5.0  # ... up to this many cells
LINES_PER_CELL = 8  # a slanted outline is measured along this many lines in each column of cells


@dataclass(frozen=True, eq=False)
class Grid:
    """Cells of a layout on a tensor-product grid.

    edges: one array an axis [m]; `volume` [m3], `width` [m] (size across the picture), `metal` (share of
    the cell that is metal, 0 to 1), `roles` (0 mould, else 1 + place in ROLES) and `block` (number of the
    block, -1 mould) have the cells' shape. Axis order is that of the layout; `up` points against gravity.
    """

    layout: Layout
    cell: float
    edges: tuple[np.ndarray, ...]
    volume: np.ndarray
    width: np.ndarray
    metal: np.ndarray
    roles: np.ndarray
    block: np.ndarray
    cut: Cut | None = None  # how the cut cells of a solid are divided
    planes: tuple[tuple[int, float], ...] = ()  # axis and place [m] of the planes of symmetry it begins at
    near: float = FULL.near  # how near to a body mould is still cut into single cells

    @property
    def shape(self):
        """How many cells there are along each axis."""
        return self.metal.shape

    @property
    def up(self):
        """The axis that points against gravity, with its sign, such as "+y"."""
        return self.layout.up

    @property
    def centres(self):
        """Middle of the cells along each axis [m]."""
        return tuple(0.5 * (edge[1:] + edge[:-1]) for edge in self.edges)

    @property
    def sizes(self):
        """Size of the cells along each axis [m], shaped to spread over the grid."""
        return tuple(along(np.diff(edge), axis, self.metal.ndim) for axis, edge in enumerate(self.edges))

    @property
    def metal_volume(self):
        """Metal in each cell [m3]."""
        return self.volume * self.metal

    def is_role(self, role):
        """Mask of the cells of one role."""
        return self.roles == 1 + ROLES.index(role)

    def face_area(self, axis):
        """Area [m2] of the faces between neighbours along one axis.

        Between two metal cells the narrower width counts, between metal and mould the metal's.
        """
        area = self._face_width(axis)
        for other, size in enumerate(self.sizes):
            if other != axis:
                area = area * size
        return area

    def _face_width(self, axis):
        first, second = sides(self.width, axis)
        metal_first, metal_second = (each > 0.0 for each in sides(self.metal, axis))
        width = np.minimum(first, second)
        width = np.where(metal_first & ~metal_second, first, width)
        width = np.where(metal_second & ~metal_first, second, width)
        if self.layout.kind == "round":
            width = np.where(np.logical_or(*self._stub_faces(axis)), 0.0, width)
        if self.layout.kind == "round" and axis == 0:
            around = along(2.0 * np.pi * self.edges[0][1:-1], 0, 2)
            whole_rings = np.isclose(first, self._ring[:-1]) & np.isclose(second, self._ring[1:])
            return np.where(whole_rings, around, np.minimum(width, around))
        return width

    def _stub_faces(self, axis):
        """Faces between mould and metal that does not go round the axis: (metal before, metal after).

        Such a gate or sprue is narrow, and the mould beside it in the picture a whole ring, which would stay
        cold for ever: heat leaves there as through a flat side, not into the ring.
        """
        stub = (self.metal > 0.0) & ~self._goes_round
        (first, second), (before, after) = sides(stub, axis), sides(self.metal == 0.0, axis)
        return first & after, second & before

    @property
    def _goes_round(self):
        if self.layout.kind != "round":
            return np.zeros(self.shape, bool)
        return np.isclose(self.width, self._ring)

    @property
    def _ring(self):
        return along(2.0 * np.pi * self.centres[0], 0, 2)

    def bare_sides(self):
        """Area [m2] through which each metal cell touches the mould in front of and behind the picture.

        The flat faces of a slice, the part of a deep block's face that a shallower neighbour does not cover,
        and in a round layout all faces of what does not go round.
        """
        bare = np.zeros(self.shape)
        if self.layout.kind == "solid":
            return bare
        flat = self.metal_volume / self.width * 2.0
        goes_round = self._goes_round
        bare[...] = np.where(goes_round, 0.0, flat)
        for axis in range(2):
            other = self.sizes[1 - axis]
            first, second = sides(self.width, axis)
            share = np.minimum(*sides(self.metal, axis))
            step = np.where(share > 0.0, first - second, 0.0)
            length = other * share
            step = np.where(np.logical_and(*sides(goes_round, axis)), 0.0, step)
            lower, upper = sides(bare, axis)
            lower += np.maximum(step, 0.0) * length
            upper += np.maximum(-step, 0.0) * length
            if self.layout.kind == "round":
                metal_before, metal_after = self._stub_faces(axis)
                lower += np.where(metal_before, first, 0.0) * other
                upper += np.where(metal_after, second, 0.0) * other
        return bare


def build_solid(layout, cell, look=False):
    """Cut a solid into cells of about `cell` [m], half or a quarter of it where it has planes of symmetry.

    Volumes and areas count the whole. Parameters: `layout`; `cell` [m]; `look`, whether for a quick one.
    Returns a Grid. Raises InputError where cells do not fit into memory, metal hangs in the air or none is
    left.

    >>> from castlab.field import parts
    >>> layout = parts.sheave(solid=True)
    >>> volume = float(build_solid(layout, 3e-3).metal_volume.sum())
    >>> round(volume / sum(body.volume for body in layout.blocks), 3)
    1.0
    """
    _refuse_apart(layout)
    planes = planes_of(layout)
    fineness = QUICK if look else FULL
    edges = lines_of(layout, cell, fineness, planes)
    metal, block, cut = fill(layout, edges)
    codes = np.array([1 + ROLES.index(body.role) for body in layout.blocks] + [MOULD], dtype=np.int8)
    width = np.broadcast_to(2.0 ** len(planes), metal.shape)
    volume = _volumes(layout, edges, width)
    if not (metal * (codes[block] == 1)).any():
        raise InputError("core", "as large as the casting", "it leaves no metal; make it smaller")
    planes = tuple(planes.items())
    grid = Grid(layout, cell, edges, volume, width, metal, codes[block], block, cut, planes, fineness.near)
    _refuse_loose_metal(grid)
    return grid


def _refuse_apart(layout):
    """Bodies of metal with a gap between them, which cells coarser than the gap might not show."""
    metal = [body for body in layout.blocks if body.is_metal]
    joined = [body for body in metal if body.role == "casting"][:1]
    for body in joined:  # grows while it is read
        joined += [other for other in metal if other not in joined and _meet(body, other)]
    loose = [body.name for body in metal if body not in joined]
    if loose:
        _refuse_loose(loose)


def _meet(first, second):
    ends = zip(first.low, first.high, second.low, second.high, strict=True)
    return all(min(h1, h2) - max(l1, l2) >= -TOUCH_M for l1, h1, l2, h2 in ends)


def build(layout, cell, look=False):
    """Cut a layout into cells of about `cell` [m]; grid lines follow straight edges.

    Three cells lie across each section of casting or feeder. For a first `look` two do, and a section that is
    too thin for that gets finer cells of its own.

    Returns a Grid. Raises InputError for a cell outside 0.1 to 50 mm, or too large for a section unless it is
    for a look, and where metal hangs in the air. By hand: 120 x 12 x 40 mm of plate and a boss of
    40 x 40 x 40 mm are 121.6 cm3:

    >>> from castlab.field import parts
    >>> layout = parts.eye_plate()
    >>> grid = build(layout, natural_cell(layout, 4e-3))
    >>> round(1e6 * float(grid.metal_volume[grid.roles == 1 + ROLES.index("casting")].sum()), 3)
    121.6
    """
    require_between("cell", cell, 0.1e-3, 50e-3, "m")
    if layout.kind == "solid":
        return build_solid(layout, cell, look)
    thin = list(_thin_sections(layout, cell, ACROSS_AT_A_LOOK if look else CELLS_ACROSS_A_SECTION))
    if thin and not look:
        _refuse_coarse(cell, thin[0])
    edges = tuple(
        _edges_along(layout, axis, cell, [each for each in thin if each.axis == axis])
        for axis in range(layout.axes)
    )
    metal, block = _fill(layout, [_share(body, edges) for body in layout.blocks])
    codes = np.array([1 + ROLES.index(body.role) for body in layout.blocks] + [MOULD], dtype=np.int8)
    roles = codes[block]
    width = _widths(layout, edges, block)
    grid = Grid(layout, cell, edges, _volumes(layout, edges, width), width, metal, roles, block)
    _refuse_loose_metal(grid)
    return grid


def _fill(layout, shares):
    """Share of metal in each cell, and the number of the block that it belongs to (-1: mould).

    A cell with metal in it belongs to the metal that fills most of it, whatever else cuts it; a core takes
    the place of metal.
    """
    shape = shares[0].shape
    metal, cored = np.zeros(shape), np.zeros(shape)
    for body, share in zip(layout.blocks, shares, strict=True):
        if body.is_metal:
            metal = np.minimum(metal + share, 1.0)
        elif body.role == "core":
            cored = np.maximum(cored, share)
    metal = np.minimum(metal, 1.0 - cored)
    metal[metal < 1e-6] = 0.0
    block, most = np.full(shape, -1, dtype=np.int16), np.zeros(shape)
    for number, (body, share) in enumerate(zip(layout.blocks, shares, strict=True)):
        here = (share > 0.0) & (share >= most) & (body.is_metal == (metal > 0.0))
        block[here], most[here] = number, share[here]
    block[(most < 0.5) & (metal == 0.0)] = -1
    return metal, block


def natural_cell(layout, wanted, across=CELLS_ACROSS_A_SECTION):
    """The `wanted` cell [m], or so fine that as many lie across the thinnest section of casting or feeder.

    Parameters: `layout`, whose sections count; `across`, how many cells.

    >>> from castlab.field import parts
    >>> natural_cell(parts.eye_plate(thickness=6e-3), 4e-3, across=3)
    0.002
    """
    thinnest = min(each.high - each.low for each in _sections(layout))
    return min(wanted, thinnest / across)


def along(values, axis, axes):
    """A one-dimensional array of `values`, shaped to spread along one `axis` of `axes`.

    >>> along(np.arange(3), 0, 2).shape
    (3, 1)
    """
    return values.reshape([-1 if each == axis else 1 for each in range(axes)])


def sides(array, axis):
    """Views of an `array` without its last and without its first layer along an `axis`.

    >>> [each.tolist() for each in sides(np.array([1, 2, 4]), 0)]
    [[1, 2], [2, 4]]
    """
    before, after = [slice(None)] * array.ndim, [slice(None)] * array.ndim
    before[axis], after[axis] = slice(None, -1), slice(1, None)
    return array[tuple(before)], array[tuple(after)]


@dataclass(frozen=True)
class _Section:
    """A body from one face to the other along an axis [m], or the wall between a core and its face."""

    body: object
    axis: int
    low: float
    high: float
    cell: float = np.inf  # the largest that is fine enough


def _sections(layout):
    """All that must be cut into enough cells: metal, and the walls round a core."""
    cores = [body for body in layout.blocks if body.role == "core"]
    for body in layout.blocks:
        if body.role not in ("casting", "feeder"):
            continue
        for axis, (low, high) in enumerate(_spans(body)):
            yield _Section(body, axis, low, high)
            for core in cores:
                if all(
                    l1 < h2 and l2 < h1
                    for l1, h1, l2, h2 in zip(body.low, body.high, core.low, core.high, strict=True)
                ):
                    walls = (low, core.low[axis]), (core.high[axis], high)
                    yield from (
                        _Section(body, axis, start, end) for start, end in walls if end - start > TOUCH_M
                    )


def _thin_sections(layout, cell, across):
    """The sections that cells of that size [m] leave with fewer than `across`."""
    for each in _sections(layout):
        if (each.high - each.low) / cell < across - 1e-6:
            yield replace(each, cell=(each.high - each.low) / across)


def _spans(body):
    """From where to where a body reaches along each axis; a polygon's height is that in its middle."""
    spans = list(zip(body.low, body.high, strict=True))
    middle = line_spans(body, 0.5 * (body.low[0] + body.high[0])) if body.outline else []
    if middle:
        spans[1] = middle[0][0], middle[-1][1]
    return spans


def _refuse_coarse(cell, thin):
    # In hundredths of a mm and never rounded up: the advice must be good.
    largest = np.floor(thin.cell * 1e5 + 1e-6) / 1e5
    raise InputError(
        "cell",
        given(cell, "m"),
        f"{{}} is {{}} across and needs at least {CELLS_ACROSS_A_SECTION} cells; take {{}} or less",
        thin.body.name,
        metres(thin.high - thin.low),
        given(largest, "m"),
    )


def _edges_along(layout, axis, cell, thin):
    """Grid lines along one axis: fine where there is metal, finer in thin sections, growing in the mould."""
    metal = [(body.low[axis], body.high[axis], body.role) for body in layout.blocks if body.is_metal]
    others = [place for body in layout.blocks for place in (body.low[axis], body.high[axis])]
    finest = min([cell, *(each.cell for each in thin)])
    lines = _merge(
        [layout.low[axis], layout.high[axis]], others + _straight_edges(layout, axis), SLIVER * finest
    )
    middles = [0.5 * (low + high) for low, high in zip(lines[:-1], lines[1:], strict=True)]
    in_metal = [any(start < middle < end for start, end, _ in metal) for middle in middles]
    cells = [
        min([cell, *(each.cell for each in thin if each.low < middle < each.high)]) for middle in middles
    ]
    edges = [lines[0]]
    for number, (low, high) in enumerate(zip(lines[:-1], lines[1:], strict=True)):
        if in_metal[number]:
            gate_only = all(role == "gate" for start, end, role in metal if start < middles[number] < end)
            least = CELLS_ACROSS_A_GATE if gate_only else 1
            count = max(least, int(np.ceil((high - low) / cells[number] - 1e-6)))
            edges.extend(np.linspace(low, high, count + 1)[1:])
        else:
            before = cells[number - 1] if number > 0 else None
            after = cells[number + 1] if number < len(middles) - 1 else None
            edges.extend(_growing(low, high, cell, before, after))
    return np.array(edges)


def _merge(ends, places, gap):
    """Sorted lines, none nearer than `gap` to another; the ends stay."""
    low, high = ends
    lines = [low]
    for place in sorted(places):
        if place - lines[-1] >= gap and high - place >= gap:
            lines.append(place)
    return [*lines, high]


def _straight_edges(layout, axis):
    """Places of the edges of polygons that run square to the axis."""
    places = []
    for body in layout.blocks:
        for here, there in zip(body.outline, body.outline[1:] + body.outline[:1], strict=True):
            if abs(here[axis] - there[axis]) < 1e-12:
                places.append(here[axis])
    return places


def _growing(low, high, cell, before, after):
    """Lines after `low` up to `high` that grow away from the cells `before` and `after`, None at a flask."""
    left, right, room = [], [], high - low
    size_left, size_right = (np.inf if beside is None else SAND_FIRST * beside for beside in (before, after))
    while room > 1e-12:
        if size_left <= size_right:
            step, target = size_left, left
            size_left = min(size_left * SAND_GROWTH, SAND_LARGEST * cell)
        else:
            step, target = size_right, right
            size_right = min(size_right * SAND_GROWTH, SAND_LARGEST * cell)
        target.append(step)
        room -= step
    sizes = np.array(left + right[::-1])
    edges = low + np.cumsum(sizes * (high - low) / sizes.sum())
    edges[-1] = high
    return list(edges)


def _share(body, edges):
    """Share of each cell that lies in a block, exact for boxes."""
    spans = [_covered(edge, low, high) for edge, low, high in zip(edges, body.low, body.high, strict=True)]
    if not body.outline:
        share = spans[0]
        for span in spans[1:]:
            share = share[..., None] * span
        return share
    share = np.zeros([len(edge) - 1 for edge in edges])
    for i in np.flatnonzero(spans[0]):
        left, right = edges[0][i], edges[0][i + 1]
        for part in (np.arange(LINES_PER_CELL) + 0.5) / LINES_PER_CELL:
            for low, high in line_spans(body, left + part * (right - left)):
                share[i] += _covered(edges[1], low, high) / LINES_PER_CELL
    return share


def _covered(edge, low, high):
    """Share of each interval of an axis that lies between low and high."""
    inside = np.minimum(edge[1:], high) - np.maximum(edge[:-1], low)
    share = np.clip(inside / np.diff(edge), 0.0, 1.0)
    share[share < 1e-9] = 0.0
    share[share > 1.0 - 1e-9] = 1.0
    return share


def _widths(layout, edges, block):
    """Size of each cell across the picture: its block's depth; the mould takes its nearest block's."""
    if layout.kind == "solid":
        return np.ones(block.shape)
    if layout.kind == "round":
        centres = 0.5 * (edges[0][1:] + edges[0][:-1])
        around = np.broadcast_to(along(2.0 * np.pi * centres, 0, 2), block.shape)
        depths = np.array([body.depth or np.nan for body in layout.blocks] + [np.nan])[block]
        return np.where(np.isnan(depths), around, np.minimum(depths, around))
    depths = np.array([body.depth for body in layout.blocks] + [0.0])[block]
    steps = [float(np.median(np.diff(edge))) for edge in edges]
    nearest = ndimage.distance_transform_edt(
        block < 0, sampling=steps, return_distances=False, return_indices=True
    )
    return depths[tuple(nearest)]


def _volumes(layout, edges, width):
    volume = width
    for axis, edge in enumerate(edges):
        volume = volume * along(np.diff(edge), axis, len(edges))
    return volume


def _refuse_loose_metal(grid):
    """All metal must hang together, or some of it can never be filled."""
    names, count = ndimage.label(grid.metal > 0.0)
    if count <= 1:
        return
    home = np.bincount(names[grid.is_role("casting")]).argmax()
    loose = sorted({grid.layout.blocks[i].name for i in np.unique(grid.block[(names > 0) & (names != home)])})
    _refuse_loose(loose)


def _refuse_loose(loose):
    raise InputError(
        f"place of {', '.join(loose)}",
        "apart from the casting",
        "it hangs in the air; every feeder and gate must touch the casting or metal that does",
    )
