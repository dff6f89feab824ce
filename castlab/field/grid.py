"""A layout cut into cells: volumes, shares of metal, materials."""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from castlab.errors import InputError, require_between
from castlab.field.cut import Cut, fill
from castlab.field.grid_lines import FULL, QUICK, lines_of
from castlab.field.layout import ROLES, TOUCH_M, Layout
from castlab.field.symmetry import planes_of

MOULD = 0  # code of the mould in `roles`; role number i of ROLES has code i + 1


@dataclass(frozen=True, eq=False)
class Grid:
    """Cells of a layout on a tensor-product grid.

    edges: one array an axis [m]; `volume` [m3], `metal` (share of the cell that is metal, 0 to 1), `roles`
    (0 mould, else 1 + place in ROLES) and `block` (number of the block, -1 mould) have the cells' shape.
    `images`: how many pieces like this one make the whole; 1, 2 or 4. `up` points against gravity.
    """

    layout: Layout
    cell: float
    edges: tuple[np.ndarray, ...]
    volume: np.ndarray
    metal: np.ndarray
    roles: np.ndarray
    block: np.ndarray
    cut: Cut | None  # how the cut cells are divided
    planes: tuple[tuple[int, float], ...]  # axis and place [m] of the planes of symmetry it begins at
    images: float
    near: float  # how near to a body mould is still cut into single cells

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



def build(layout, cell, look=False):
    """Cut a layout into cells of about `cell` [m], half or a quarter of it where it has planes of symmetry.

    Volumes and areas count the whole. Parameters: `layout`; `cell` [m]; `look`, whether for a quick one.
    Thin sections get finer cells of their own: three across, for a quick look two. Returns a Grid. Raises
    InputError for a cell outside 0.1 to 50 mm, where cells do not fit into memory, and where metal hangs in
    the air or none is left. By hand: 120 x 12 x 40 mm of plate and a boss of 40 x 40 x 40 mm are 121.6 cm3:

    >>> from castlab.field import parts
    >>> grid = build(parts.eye_plate(), 4e-3)
    >>> round(1e6 * float(grid.metal_volume[grid.is_role("casting")].sum()), 3)
    121.6
    """
    require_between("cell", cell, 0.1e-3, 50e-3, "m")
    refuse_apart(layout)
    planes = planes_of(layout)
    fineness = QUICK if look else FULL
    edges = lines_of(layout, cell, fineness, planes)
    metal, block, cut = fill(layout, edges)
    codes = np.array([1 + ROLES.index(body.role) for body in layout.blocks] + [MOULD], dtype=np.int8)
    images = 2.0 ** len(planes)
    volume = images * _volumes(edges)
    if not (metal * (codes[block] == 1)).any():
        raise InputError("core", "as large as the casting", "it leaves no metal; make it smaller")
    planes = tuple(planes.items())
    grid = Grid(layout, cell, edges, volume, metal, codes[block], block, cut, planes, images, fineness.near)
    _refuse_loose_metal(grid)
    return grid


def refuse_apart(layout):
    """Refuse bodies of metal with a gap between them, which cells coarser than the gap might not show.

    Parameters: `layout`. Raises InputError that names those which hang in the air.

    >>> from castlab.field import parts
    >>> refuse_apart(parts.eye_plate())
    """
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


def _volumes(edges):
    x, y, z = (np.diff(edge) for edge in edges)
    return x[:, None, None] * y[:, None] * z


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
