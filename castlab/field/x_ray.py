"""What an X-ray film would show of a casting: metal and holes, each summed along a way to look through it."""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from castlab.field.holes import DEFECTS, LEAST_PIECE, middle_of_holes
from castlab.field.section import images_of, whole_solid

DEEP = 0.3  # of the most that is missing from a cell, for each kind
SEEN_SHARE = 0.02  # of the thickness: a film shows what takes so much of it; common practice


@dataclass(frozen=True, eq=False)
class Shadow:
    """A casting as it is looked through along one axis.

    axis     number of the axis that is looked along
    edges    of the cells along x, y and z [m]
    metal    thickness of the casting, holes included [m], one value for each pair of cells on the other axes
    holes    how much of that is missing [m]
    """

    axis: int
    edges: tuple[np.ndarray, ...]
    metal: np.ndarray
    holes: np.ndarray

    @property
    def seen(self):
        """Whether a film shows any hole."""
        return bool(is_seen(self.holes, self.metal).any())

    @property
    def darkest(self):
        """Where most is missing: its place on the other two axes [m], the holes and the metal there [m]."""
        at = np.unravel_index(self.holes.argmax(), self.holes.shape)
        others = [each for each in range(3) if each != self.axis]
        place = tuple(
            float(0.5 * (self.edges[axis][number] + self.edges[axis][number + 1]))
            for axis, number in zip(others, at, strict=True)
        )
        return place, float(self.holes[at]), float(self.metal[at])


@dataclass(frozen=True)
class Hollow:
    """A place where metal is missing: kind, block, volume [m3], middle [m].

    images   how many alike there are, mirrored, which share that volume
    """

    kind: str
    block: str
    volume_m3: float
    middle: tuple[float, float, float]
    images: int = 1


def is_seen(holes, metal):
    """Where a film shows a hole: `holes` and `metal` [m] in the way of the rays, numbers or arrays.

    >>> is_seen(0.5e-3, 0.020), is_seen(0.5e-3, 0.030)
    (True, False)
    """
    return (holes > SEEN_SHARE * metal) & (metal > 1e-9)


def hollows(account):
    """The places where metal is missing from an `account` (Shrinkage), the largest first: a tuple of Hollows.

    A hole that runs from one deep place to another, along a face that has only gone down, counts as two. How
    deep parts them is judgement.

    >>> from castlab import Setup, alloy, mould, parts
    >>> from castlab.field.outcome import COARSE, pour
    >>> plain = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), 475.0)
    >>> hollows(pour(plain, COARSE))[0].block
    'boss'
    """
    grid, found = account.run.grid, []
    for kind in DEFECTS:
        holes = account.void_of[kind]
        share = holes / grid.volume
        names, count = ndimage.label(share > DEEP * share.max(), structure=np.ones((3, 3, 3)))
        if not count:
            continue
        nearest = ndimage.distance_transform_edt(names == 0, return_distances=False, return_indices=True)
        volumes = np.bincount(names[tuple(nearest)].ravel(), weights=holes.ravel(), minlength=count + 1)
        for number in range(1, count + 1):
            core = np.where(names == number, holes, 0.0)
            blocks = np.bincount(np.maximum(grid.block, 0).ravel(), weights=core.ravel())
            middle = middle_of_holes(grid, core)
            found.append(
                Hollow(
                    kind,
                    grid.layout.blocks[int(blocks.argmax())].name,
                    float(volumes[number]),
                    middle,
                    len(images_of(grid, middle)),
                )
            )
    least = LEAST_PIECE * sum(each.volume_m3 for each in found)
    return tuple(sorted((each for each in found if each.volume_m3 > least), key=lambda each: -each.volume_m3))


def shadows(account):
    """An `account` (Shrinkage) looked through along x, y and z, its feeders and gates cut off: three Shadows.

    >>> from castlab import Setup, alloy, mould, parts
    >>> from castlab.field.outcome import COARSE, pour
    >>> plain = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), 475.0)
    >>> _, _, along_z = shadows(pour(plain, COARSE))
    >>> round(float(along_z.metal.max()), 3), along_z.seen
    (0.04, True)
    """
    grid = account.run.grid
    own = grid.is_role("casting")
    metal = np.where(own, grid.metal, 0.0)
    holes = np.where(own, sum(account.void_of[kind] for kind in DEFECTS) / grid.volume, 0.0)
    edges, (metal, holes) = whole_solid(grid, (metal, holes))
    sizes = [np.diff(edge) for edge in edges]
    return tuple(
        Shadow(
            axis, tuple(edges), *(np.tensordot(each, sizes[axis], ((axis,), (0,))) for each in (metal, holes))
        )
        for axis in range(3)
    )
