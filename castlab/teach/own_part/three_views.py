"""Three sections through one point of a part: from the front, from the right and from above, to one scale."""

from dataclasses import dataclass

import numpy as np

from castlab.field.bodies import moved
from castlab.field.ledger import KINDS
from castlab.teach.bench.casting import DRAWN_AS
from castlab.teach.picture import raster
from castlab.teach.picture.picture import BAND_COLOURS, OWN_COLOURS, words_as_pixels
from castlab.teach.picture.png import png_of
from castlab.units import METRIC

WIDTH, HEIGHT = 940, 560  # pixels
GAP, CAPTION, LETTERS = 14, 24, 15
WORDS = 330  # wide is what explains the colours
LEAST_WIDE = 250  # so wide is a caption
ROOM = 0.06  # of mould round the bodies, as a share of their size


@dataclass(frozen=True)
class _Side:
    """A way to look: where (x, y, z) comes to lie as (across, up, towards the eye); which axes lie across and
    up, and which of them the other way round; the axis that is looked along."""

    caption: str
    move: object
    across: int
    up: int
    along: int
    flipped: bool = False


FRONT = _Side("from the front, cut at z {}", lambda p: p, 0, 1, 2)
RIGHT = _Side("from the right, cut at x {}", lambda p: (-p[2], p[1], p[0]), 2, 1, 0, True)
ABOVE = _Side("from above, cut at y {}", lambda p: (p[0], -p[2], p[1]), 0, 2, 1, True)


@dataclass(frozen=True)
class _Drawn:
    """What the painter needs of a layout that is seen from another side."""

    blocks: tuple
    high: tuple
    up_axis: int = 1
    up_sign: int = 1


def three_views(layout, point, account=None, units=METRIC, greyed=False):
    """The picture as bytes of a PNG.

    Parameters: `layout`, or anything with `blocks`; `point` (x, y, z) [m], through which all three sections
    go; `account`, a Shrinkage of that layout, for freezing order and holes; `units` of the captions;
    `greyed`, whether it is out of date.
    """
    low, high = (
        np.array(pick([getattr(block, end) for block in layout.blocks], axis=0))
        for pick, end in ((np.min, "low"), (np.max, "high"))
    )
    room = ROOM * float((high - low).max())
    low, high = low - room, high + room
    size = high - low
    step = max(
        (size[0] + size[2]) / (WIDTH - 3 * GAP),
        size[0] / (WIDTH - 3 * GAP - WORDS),
        (size[1] + size[2]) / (HEIGHT - 2 * GAP - 2 * CAPTION),
    )
    whole = _whole(account) if account else None
    page = np.full((HEIGHT, WIDTH, 4), 255, dtype=np.uint8)
    wide, tall = max(int(size[0] / step), LEAST_WIDE), int(size[1] / step)
    corners = {
        FRONT: (GAP, CAPTION),
        RIGHT: (2 * GAP + wide, CAPTION),
        ABOVE: (GAP, 2 * CAPTION + GAP + tall),
    }
    for side, (left, top) in corners.items():
        pixels = _section(layout, side, point, whole, low, high, step, greyed)
        page[top : top + pixels.shape[0], left : left + pixels.shape[1]] = pixels
        _write(page, side.caption.format(units.length(point[side.along], 2)), left, top - CAPTION)
    if account:
        _scale(page, 2 * GAP + wide, 2 * CAPTION + GAP + tall)
    return png_of(page, OWN_COLOURS)


def _section(layout, side, point, whole, low, high, step, greyed):
    """One section in pixels, with lines where the two others cut."""
    ends = np.array([side.move(tuple(each)) for each in (low, high)])
    low, high = ends.min(axis=0), ends.max(axis=0)
    view = raster.View(low[:2], high[:2], *(int((high[axis] - low[axis]) / step) for axis in (0, 1)))
    blocks = tuple(moved(block, side.move) for block in layout.blocks)
    drawn = _Drawn(blocks, (0.0, float(high[1]) + 1.0, 0.0))
    section = raster.Section(drawn, plane=point[side.along])
    if whole:
        edges, layers = whole
        at = int(
            np.clip(np.searchsorted(edges[side.along], point[side.along]) - 1, 0, len(edges[side.along]) - 2)
        )
        flat = [np.take(each, at, axis=side.along) for each in layers]
        if side.across > side.up:
            flat = [each.T for each in flat]
        x, y = edges[side.across], edges[side.up]
        if side is RIGHT:
            x, flat = -x[::-1], [each[::-1] for each in flat]
        elif side.flipped:
            y, flat = -y[::-1], [each[:, ::-1] for each in flat]
        section = raster.Section(drawn, x, y, *flat, plane=point[side.along])
    pixels, _ = raster.paint(section, view, BAND_COLOURS, greyed)
    pixels = np.array(pixels)
    across, up, _ = side.move(tuple(point))
    column, row = int((across - view.left) / step), int((view.top - up) / step)
    if 0 <= column < pixels.shape[1]:
        pixels[::6, column, :3] = pixels[1::6, column, :3] = raster.INK
    if 0 <= row < pixels.shape[0]:
        pixels[row, ::6, :3] = pixels[row, 1::6, :3] = raster.INK
    return pixels


def _whole(account):
    """Edges and (frozen share, void, kind) of a solved casting, mirrored where only a part was solved."""
    run, grid = account.run, account.run.grid
    drawn_as = np.array([DRAWN_AS.get(kind, 0) for kind in KINDS] + [0])  # the last is for kind -1
    layers = [run.freeze_time_s / run.last_time_s, account.void, drawn_as[account.kind]]
    edges = list(grid.edges)
    for axis, plane in grid.planes:
        edges[axis] = np.concatenate([2.0 * plane - edges[axis][:0:-1], edges[axis]])
        layers = [np.concatenate([np.flip(each, axis), each], axis=axis) for each in layers]
    return edges, layers


def _write(page, words, left, top):
    pixels = words_as_pixels(words, False, LETTERS)
    room = page[top : top + pixels.shape[0], left : left + pixels.shape[1]]
    room[:] = pixels[: room.shape[0], : room.shape[1]]


def _scale(page, left, top):
    """The colours of the freezing order, first to last, and what the hatches mean."""
    _write(page, "frozen first", left, top)
    for number, colour in enumerate(BAND_COLOURS):
        start = left + 96 + 14 * number
        page[top + 3 : top + 19, start : start + 14, :3] = colour
    _write(page, "last", left + 100 + 14 * len(BAND_COLOURS), top)
    _write(page, "red strokes: holes of the casting", left, top + 26)
    _write(page, "grey strokes: harmless, in feeder and gate", left, top + 50)
