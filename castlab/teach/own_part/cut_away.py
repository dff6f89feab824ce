"""A cut-away of a poured casting, seen from its front, right and above: the quarter towards the eye is gone.

Rays run from the eye into the solved casting, and what each meets first is drawn: skin in grey, a cut in the
colours of the order of freezing, holes in red.
"""

import io

import numpy as np
from PIL import Image
from scipy.ndimage import affine_transform, gaussian_filter

from castlab.field.ledger import KINDS
from castlab.field.section import whole_solid
from castlab.field.shrinkage import DEFECTS
from castlab.teach.picture import raster
from castlab.teach.picture.picture import BAND_COLOURS

WIDE, TALL, DEEP = 420, 300, 140  # pixels, and steps along each ray
CUBES = 80  # along the longest side
EYE = np.array((0.50, 0.45, 0.74))  # from where it is looked: x to the right, y up, z to the front
LIGHT = np.array((-0.35, 0.65, 0.68))  # across, up, towards the eye
SKIN, PAPER, DARKEST = np.array((205, 211, 217)), 255, 0.45
SOFT = 0.8  # cubes over which a skin made of cells is smoothed
SOLID = 0.3  # share of metal from which a place is drawn as metal: thin blades fill no cell
HOLLOW = 0.4  # share of its metal that a place has lost where a hole is drawn
EDGE = 3.0  # a ray that goes so many pixels deeper than its neighbour is behind an edge


def cut_away(account, point):
    """A casting without the quarter that lies to the right of a place and before it: the bytes of a PNG.

    Parameters: `account` (Shrinkage); `point` (x, y, z) [m], where the cuts meet.
    """
    low, cube, (metal, frozen, hole) = _in_cubes(account)
    edges = [np.arange(count) * cube + start for start, count in zip(low, metal.shape, strict=True)]
    metal = gaussian_filter(metal, SOFT)
    metal[np.ix_(edges[0] > point[0], np.ones(len(edges[1]), dtype=bool), edges[2] > point[2])] = 0.0
    way, first = _view(low, cube, metal.shape)
    seen = affine_transform(metal, way / cube, (first - low) / cube, (WIDE, TALL, DEEP), np.float32, order=1)
    hit, depth = _first_metal(seen)
    rows, columns = np.ogrid[:WIDE, :TALL]
    at = [first[axis] + way[axis, 0] * rows + way[axis, 1] * columns + way[axis, 2] * (depth + 0.5)
          for axis in range(3)]
    near = 1.2 * cube
    cut = hit & (((np.abs(at[0] - point[0]) < near) & (at[2] > point[2] - near))
                 | ((np.abs(at[2] - point[2]) < near) & (at[0] > point[0] - near)))
    cells = tuple(np.clip(np.rint((each - start) / cube).astype(int), 0, count - 1)
                  for each, start, count in zip(at, low, metal.shape, strict=True))
    steps = np.linalg.norm(way[:, 2]) / np.linalg.norm(way[:, 0])
    return _painted(hit, cut, np.where(hit, depth, DEEP) * steps, frozen[cells], hole[cells])


def _in_cubes(account):
    """The casting between the middles of even cubes: the first [m], their size [m]; the share of metal, when
    it froze, and holes."""
    run = account.run
    metal = run.grid.metal_volume / run.grid.volume
    holes = np.where(np.isin(account.kind, [KINDS.index(each) for each in DEFECTS]), account.void, 0.0)
    froze = np.where(metal > 0.0, run.freeze_time_s / run.last_time_s, 0.0)
    edges, shares = whole_solid(run.grid, [metal, metal * froze, metal * holes])
    others = [tuple(each for each in range(3) if each != axis) for axis in range(3)]
    used = [np.flatnonzero((shares[0] > 0.0).any(axis=each)) for each in others]
    low = np.array([edge[each[0]] for edge, each in zip(edges, used, strict=True)])
    high = np.array([edge[each[-1] + 1] for edge, each in zip(edges, used, strict=True)])
    cube = float((high - low).max()) / CUBES
    low = low - 2.0 * cube
    for axis, edge in enumerate(edges):
        places = np.arange(low[axis], high[axis] + 2.5 * cube, cube)
        middles = 0.5 * (edge[1:] + edge[:-1])
        number = np.interp(places, middles, np.arange(len(middles)))
        below = np.minimum(number.astype(int), len(middles) - 2)
        share = (number - below).reshape([-1 if each == axis else 1 for each in range(3)])
        inside = ((places > edge[0]) & (places < edge[-1])).reshape(share.shape)
        lower, upper = inside * (1.0 - share), inside * share
        shares = [lower * np.take(each, below, axis) + upper * np.take(each, below + 1, axis)
                  for each in shares]
    metal, *rest = shares
    return low, cube, (metal, *(each / np.maximum(metal, 1e-6) for each in rest))


def _view(low, cube, shape):
    """How (column, row, step) becomes a place [m]: a matrix, and the place of the first of all."""
    forward = -EYE / np.linalg.norm(EYE)
    right = np.array((-forward[2], 0.0, forward[0])) / np.hypot(forward[0], forward[2])
    frame = np.column_stack([right, -np.cross(right, forward), forward])
    size, middle = cube * np.array(shape), low + 0.5 * cube * np.array(shape)
    reach = np.abs(frame).T @ size
    step = max(reach[0] / WIDE, reach[1] / TALL)
    way = frame * np.array((step, step, reach[2] / DEEP))
    return way, middle - way @ (0.5 * np.array((WIDE, TALL, DEEP)))


def _first_metal(seen):
    """Whether each ray meets metal, and after how many steps, with a fraction."""
    whole = seen > SOLID
    hit, depth = whole.any(axis=2), whole.argmax(axis=2)
    inside, before = (np.take_along_axis(seen, each[:, :, None], axis=2)[:, :, 0]
                      for each in (depth, np.maximum(depth - 1, 0)))
    share = (inside - SOLID) / np.maximum(inside - before, 1e-3)
    return hit, depth - np.clip(share, 0.0, 1.0)


def _painted(hit, cut, depth, frozen, hole):
    """The bytes of a PNG of what each ray meets; `depth` in pixels."""
    across, down = (np.clip(each, -EDGE, EDGE) for each in np.gradient(depth))
    towards = np.stack([across, -down, np.ones(depth.shape)], axis=-1)
    light = np.clip(towards @ LIGHT / np.linalg.norm(towards, axis=-1), 0.0, 1.0)
    colour = SKIN * (DARKEST + (1.0 - DARKEST) * light)[:, :, None]
    bands = np.clip((len(BAND_COLOURS) * frozen).astype(int), 0, len(BAND_COLOURS) - 1)
    colour[cut] = BAND_COLOURS[bands[cut]]
    colour[cut & (hole > HOLLOW)] = raster.VOID_INK
    edge = np.zeros(hit.shape, dtype=bool)
    for axis in (0, 1):
        edge |= (np.abs(np.diff(depth, axis=axis, prepend=DEEP)) > EDGE) & (hit | np.roll(hit, 1, axis))
        edge |= (cut != np.roll(cut, 1, axis)) & hit
    colour[~hit] = PAPER
    colour[edge] = raster.INK
    file = io.BytesIO()
    Image.fromarray(colour.transpose(1, 0, 2).astype(np.uint8)).save(file, "PNG", compress_level=1)
    return file.getvalue()
