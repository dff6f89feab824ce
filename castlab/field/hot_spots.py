"""Hot spots: the places of a casting that freeze after all that surrounds them, the last of them first."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from castlab.errors import InputError
from castlab.field.faces import BESIDE, Face, free_face
from castlab.field.grid import sides
from castlab.field.holes import DEFECTS
from castlab.field.peaks import peaks_of
from castlab.field.section import images_of

STANDS_OUT = 0.04  # a place counts that froze later than the way to a later one, by this share; judgement
MOST_SPOTS = 12
ON_PLANE = 0.25  # nearer to a plane of symmetry than so many balls it and its image are one; judgement
SOON, WITHOUT = (
    0.3,
    1e-3,
)  # solid before this share of the last time, and lacking less than this of the casting
BESIDE_BALLS = 1.5  # a face farther away than so many balls lies beside something else; judgement
LOOKS = 1000  # directions in which it is seen whether metal goes on round a ball
# The share of a ball twice as large whose skin lies in metal, and the ball's diameter over the modulus, of a
# block, a long bar and a wide plate: 6, 4 and 2 by V / A. The shares by geometry: of a square bar 0.178, of a
# round one 0.134.
AROUND = np.array([(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1)])
SHARES, RATIOS = (0.0, 0.155, 0.5), (6.0, 4.0, 2.0)


@dataclass(frozen=True)
class HotSpot:
    """A place that freezes after its surroundings.

    place [m], block    where, and in which body
    froze_s [s]         when it was solid
    ball_m [m]          diameter of the largest ball that fits into the casting there
    modulus_m [m]       volume over cooled surface there, by that ball and by how much metal is round it
    lacks_m3 [m3]       what the casting paid there: holes on the way to this place; 0 before an account
    faces               free faces above and beside it that metal leads straight to: Faces, the upper first
    """

    place: tuple[float, float, float]
    block: str
    froze_s: float
    ball_m: float
    modulus_m: float
    lacks_m3: float
    faces: tuple[Face, ...]

    def face(self, side):
        """Its free face on a side, or None.

        >>> HotSpot((0.0, 0.0, 0.0), "ball", 60.0, 0.03, 0.005, 0.0, ()).face("top") is None
        True
        """
        return next((each for each in self.faces if each.side == side), None)


def hot_spots(run, account=None):
    """Every place of the casting that freezes after its surroundings, the last first: a tuple of HotSpots.

    A place counts if between it and any later one there is metal that freezes clearly before it. What a
    feeder or gate that is liquid longer lies beside is no hot spot. Parameters: `run` (Freeze); `account`,
    its Shrinkage, for what each place lacks. The modulus is by geometry, what counts is judgement.

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> (spot,) = hot_spots(freeze(setup))
    >>> spot.block, round(spot.ball_m, 3), spot.face("top").at[1]
    ('boss', 0.04, 0.02)
    """
    grid = run.grid
    peaks, basin = peaks_of(run.freeze_time_s.ravel(), run.metal_cells, grid.shape, STANDS_OUT)
    own = grid.is_role("casting").ravel()
    lacks = _lacks(account, run, basin, len(peaks))
    skin, blocks = _skin(grid), grid.layout.blocks
    found = []
    for number, cell in enumerate(peaks):
        if own[cell]:
            place, ball = _place(grid, skin, np.unravel_index(cell, grid.shape))
            modulus = ball / np.interp(_metal_round(grid, place, ball), SHARES, RATIOS)
            for image in images_of(grid, place):
                block = blocks[grid.block.ravel()[cell]].name
                share = lacks[number] / len(images_of(grid, place))
                found.append(
                    HotSpot(
                        image,
                        block,
                        float(run.freeze_time_s.ravel()[cell]),
                        ball,
                        float(modulus),
                        share,
                        _faces(blocks, image, ball),
                    )
                )
    last = max((spot.froze_s for spot in found), default=0.0)
    casting = float(grid.metal_volume[grid.is_role("casting")].sum())
    found = [spot for spot in found if spot.froze_s > SOON * last or spot.lacks_m3 > WITHOUT * casting]
    return tuple(sorted(found, key=lambda spot: (-round(spot.froze_s, 3), spot.place))[:MOST_SPOTS])


def _lacks(account, run, basin, count):
    """Holes that the casting paid for, by the peak that their cells lead up to [m3]."""
    if account is None:
        return np.zeros(count)
    holes = sum(account.void_of[kind] for kind in DEFECTS).ravel()
    own = (basin >= 0) & (holes > 0.0)
    return np.bincount(basin[own], weights=holes[own], minlength=count)


def _place(grid, skin, cell):
    """The middle of a cell, and its ball; what lies near a plane of symmetry lies on it [m]."""
    place = [float(centre[number]) for centre, number in zip(grid.centres, cell, strict=True)]
    ball = _ball(grid, skin, place)
    for axis, plane in grid.planes:
        if abs(place[axis] - plane) < ON_PLANE * ball:
            place[axis] = plane
    return tuple(place), ball


def _skin(grid):
    """Points on the skin of all metal, mirrored beyond the planes of symmetry, to measure distances to."""
    points = []
    for axis in range(3):
        before, after = sides(grid.metal, axis)
        faces = np.nonzero((before > 0.5) != (after > 0.5))
        one, two, edge, middle = before[faces], after[faces], grid.edges[axis], grid.centres[axis]
        share = np.abs(one - 0.5) / np.abs(one - two)  # of the way between the two middles
        whole = np.abs(one - two) == 1.0
        here = faces[axis]
        at = np.where(whole, edge[here + 1], middle[here] + share * (middle[here + 1] - middle[here]))
        sizes = [np.where(whole, np.diff(grid.edges[other])[faces[other]], 0.0) for other in range(3)]
        for quarters in ((a, b) for a in (-0.25, 0.25) for b in (-0.25, 0.25)):  # four points a flat face
            flat = [grid.centres[other][faces[other]] for other in range(3)]
            flat[axis] = at
            for other, quarter in zip([each for each in range(3) if each != axis], quarters, strict=True):
                flat[other] = flat[other] + quarter * sizes[other]
            points.append(np.column_stack(flat))
    points = np.concatenate(points)
    for axis, plane in grid.planes:
        mirrored = points.copy()
        mirrored[:, axis] = 2.0 * plane - mirrored[:, axis]
        points = np.concatenate([points, mirrored])
    return cKDTree(points)


def _ball(grid, skin, place):
    """Diameter of the largest ball within the metal that holds a place [m]."""
    metal = np.nonzero(grid.metal > 0.5)
    middles = np.column_stack([centre[each] for centre, each in zip(grid.centres, metal, strict=True)])
    best, radius = np.array(place), float(skin.query(place)[0])
    near = middles[np.linalg.norm(middles - place, axis=1) < 2.0 * radius + grid.cell]
    for step in (0.0, 0.5, 0.25, 0.125):  # from the middles of cells, then closer
        tried = near if step == 0.0 else best + step * grid.cell * AROUND
        reach = skin.query(tried)[0] if len(tried) else np.zeros(0)
        reach[reach < np.linalg.norm(tried - place, axis=1)] = 0.0
        if len(tried) and reach.max() > radius:
            best, radius = tried[reach.argmax()], float(reach.max())
    return 2.0 * radius


def _metal_round(grid, place, ball):
    """The share of the skin of a ball twice as large as the one that fits in, which lies in metal."""
    number = np.arange(LOOKS) + 0.5
    height, angle = 1.0 - 2.0 * number / LOOKS, np.pi * (1.0 + 5.0**0.5) * number  # evenly spread
    flat = np.sqrt(1.0 - height**2)
    points = np.array(place) + ball * np.column_stack([flat * np.cos(angle), height, flat * np.sin(angle)])
    for axis, plane in grid.planes:
        points[:, axis] = plane + np.abs(points[:, axis] - plane)
    cells, inside = [], np.ones(LOOKS, dtype=bool)
    for axis, edge in enumerate(grid.edges):
        inside &= (points[:, axis] > edge[0]) & (points[:, axis] < edge[-1])
        cells.append(np.clip(np.searchsorted(edge, points[:, axis]) - 1, 0, len(edge) - 2))
    return float(np.mean(inside & (grid.metal[tuple(cells)] > 0.5)))


def _faces(blocks, place, ball):
    found = []
    for side in ("top", *BESIDE):
        try:
            face = free_face(blocks, side, place)
        except InputError:  # a spot in a cell that is only in part metal
            continue
        if face.direct and abs(face.at[face.axis] - place[face.axis]) < BESIDE_BALLS * ball:
            found.append(face)
    return tuple(found)
