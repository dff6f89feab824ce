"""A part from the front, from the right and from above, to one scale: cut through a point, or as on an X-ray
film."""

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image
from scipy.ndimage import map_coordinates

from castlab.field.bodies import moved
from castlab.field.ledger import KINDS
from castlab.field.section import whole_solid
from castlab.field.x_ray import is_seen
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
DARK = (
    2.5  # how much darker than the thickest metal a film is where there is none, as a power of e; judgement
)


@dataclass(frozen=True)
class Side:
    """A way to look: its name and what is said of the cut.

    move         where (x, y, z) comes to lie as (across, up, towards the eye)
    across, up   which axes these are, each with 1, or -1 where it runs the other way
    along        the axis that is looked along
    """

    name: str
    cut: str
    move: object
    across: tuple[int, int]
    up: tuple[int, int]
    along: int


FRONT = Side("from the front", "cut at z {}", lambda p: p, (0, 1), (1, 1), 2)
RIGHT = Side("from the right", "cut at x {}", lambda p: (-p[2], p[1], p[0]), (2, -1), (1, 1), 0)
ABOVE = Side("from above", "cut at y {}", lambda p: (p[0], -p[2], p[1]), (0, 1), (2, -1), 1)
SIDES = FRONT, RIGHT, ABOVE


@dataclass(frozen=True)
class _Drawn:
    """What the painter needs of a layout that is seen from another side."""

    blocks: tuple
    high: tuple
    up_axis: int = 1
    up_sign: int = 1


def three_views(layout, point, account=None, units=METRIC, greyed=False):
    """Three sections through a point: the picture as bytes of a PNG.

    Parameters: `layout`, or anything with `blocks`; `point` (x, y, z) [m], through which all three sections
    go; `account`, a Shrinkage of that layout, for freezing order and holes; `units` of the captions;
    `greyed`, whether it is out of date.
    """
    whole = _whole(account) if account else None

    def section(side, view, high):
        return _section(layout.blocks, side, point, whole, view, high, greyed)

    page, right, top = _page(
        layout.blocks,
        point,
        section,
        lambda side: f"{side.name}, {side.cut.format(units.length(point[side.along], 2))}",
    )
    if account:
        _scale(page, right, top)
    return png_of(_to_its_foot(page), OWN_COLOURS)


def film_views(account, shadows, point):
    """The casting as three X-ray films would show it: thick metal light, holes dark, with a red line round
    what is seen of them.

    Parameters: `account` (Shrinkage); `shadows`, what `castlab.field.x_ray` makes of it; `point` [m], marked.
    """
    own = [block for block in account.run.grid.layout.blocks if block.role == "casting"]
    page, right, top = _page(
        own,
        point,
        lambda side, view, _: _film(shadows[side.along], side, view),
        lambda side: f"film {side.name}",
    )
    _write(page, "light: much metal in the way", right, top)
    _write(page, "dark: little metal, or none", right, top + 24)
    _write(page, "red line: a hole that a film shows", right, top + 48)
    file = io.BytesIO()
    image = Image.fromarray(_to_its_foot(page)[:, :, :3])
    image.save(file, "PNG", compress_level=1)  # all greys, not those of a palette
    return file.getvalue()


def _page(blocks, point, pixels_of, caption_of):
    """The three views on one page, lines where the others cut; and where there is room for words."""
    low, high = (
        np.array(pick([getattr(block, end) for block in blocks], axis=0))
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
    page = np.full((HEIGHT, WIDTH, 4), 255, dtype=np.uint8)
    right, below = 2 * GAP + max(int(size[0] / step), LEAST_WIDE), 2 * CAPTION + GAP + int(size[1] / step)
    corners = (GAP, CAPTION), (right, CAPTION), (GAP, below)
    for side, (left, top) in zip(SIDES, corners, strict=True):
        ends = np.array([side.move(tuple(each)) for each in (low, high)])
        least, most = ends.min(axis=0), ends.max(axis=0)
        view = raster.View(least[:2], most[:2], *(int((most[axis] - least[axis]) / step) for axis in (0, 1)))
        pixels = np.array(pixels_of(side, view, float(most[1])))
        _mark(pixels, view, side, point, step)
        page[top : top + pixels.shape[0], left : left + pixels.shape[1]] = pixels
        _write(page, caption_of(side), left, top - CAPTION)
    return page, right, below


def _to_its_foot(page):
    """The page down to the last row on which there is anything."""
    rows = np.flatnonzero((page[:, :, :3] < 255).any(axis=(1, 2)))
    return page[: rows[-1] + 1 + GAP]


def _mark(pixels, view, side, point, step):
    """Dotted lines through the point."""
    across, up, _ = side.move(tuple(point))
    column, row = int((across - view.left) / step), int((view.top - up) / step)
    if 0 <= column < pixels.shape[1]:
        pixels[::6, column, :3] = pixels[1::6, column, :3] = raster.INK
    if 0 <= row < pixels.shape[0]:
        pixels[row, ::6, :3] = pixels[row, 1::6, :3] = raster.INK


def _section(blocks, side, point, whole, view, high, greyed):
    """One section in pixels."""
    drawn = _Drawn(tuple(moved(block, side.move) for block in blocks), (0.0, high + 1.0, 0.0))
    section = raster.Section(drawn, plane=point[side.along])
    if whole:
        edges, layers = whole
        at = _cells(edges[side.along], point[side.along])
        x, y, flat = _turned(edges, side, [np.take(each, at, axis=side.along) for each in layers])
        section = raster.Section(drawn, x, y, *flat, plane=point[side.along])
    return raster.paint(section, view, BAND_COLOURS, greyed)[0]


def _turned(edges, side, flat):
    """Edges across and up, and arrays on the two axes that are seen, as this side sees them."""
    (across, one), (up, other) = side.across, side.up
    if across > up:
        flat = [each.T for each in flat]
    x, y = edges[across], edges[up]
    if one < 0:
        x, flat = -x[::-1], [each[::-1] for each in flat]
    if other < 0:
        y, flat = -y[::-1], [each[:, ::-1] for each in flat]
    return x, y, flat


def _film(shadow, side, view):
    """One film in pixels, exposed for the thickest metal in its way."""
    x, y, sums = _turned(shadow.edges, side, [shadow.metal, shadow.holes])
    rows, columns = (
        np.interp(at, 0.5 * (edges[1:] + edges[:-1]), np.arange(len(edges) - 1))
        for edges, at in ((y, view.y), (x, view.x))
    )
    places = np.meshgrid(columns, rows)
    metal, holes = (map_coordinates(each, places, order=1) for each in sums)
    left = np.maximum(metal - holes, 0.0) / metal.max()
    light = (255.0 * left).astype(np.uint8)
    pixels = np.repeat(light[:, :, None], 4, axis=2)
    seen = is_seen(holes, metal)
    inner = np.logical_and.reduce([np.roll(seen, by, axis) for by in (-2, 2) for axis in (0, 1)])
    pixels[seen & ~inner, :3] = raster.VOID_INK
    return pixels


def _cells(edges, places):
    """Numbers of the cells in which places [m] lie, the nearest for those outside."""
    return np.clip(np.searchsorted(edges, places) - 1, 0, len(edges) - 2)


def _whole(account):
    """Edges and (frozen share, void, kind) of a solved casting."""
    run = account.run
    drawn_as = np.array([DRAWN_AS.get(kind, 0) for kind in KINDS] + [0])  # the last is for kind -1
    return whole_solid(run.grid, [run.freeze_time_s / run.last_time_s, account.void, drawn_as[account.kind]])


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
    _write(page, "red dots: sponge", left, top + 50)
    _write(page, "grey strokes: harmless, in feeder and gate", left, top + 74)
