"""From a layout and arrays on its cells to pixels: what colour each point of the section has.

Each pixel mixes the values of the cells round it, so that lines of equal time run smoothly. The outlines come
from the layout itself, so that they are as sharp as the screen. All is painted by numbers of colours, one
byte a pixel; the palette comes last.
"""

import copy
from dataclasses import dataclass

import numpy as np

from castlab.field.layout import METAL_ROLES, ROLES, Layout
from castlab.field.section import middle_plane, outlines
from castlab.teach.picture.dots import LEAST_SPONGE, dots, place_of_dots
from castlab.teach.picture.hollows import hollows
from castlab.teach.picture.smooth import Blend, carried_outward

MOULD = 0  # the code of a pixel where no block lies; a block's code is 1 + its role's place in ROLES
AIR = len(ROLES) + 1  # ... of one above the flask
CODE = {role: number for number, role in enumerate(ROLES, start=1)}
HARMLESS, SINK, CAVITY, SPONGE, PIPE = 1, 2, 3, 4, 5  # kinds of void, as drawn; AIR + kind: their code
HOLLOW = HARMLESS, SINK, CAVITY, PIPE
RIM = 2  # screen pixels of ink round a hollow

INK = (38, 38, 38)
PAPER = (255, 255, 255)
MOULD_COLOUR = (233, 229, 222)
# Before anything is computed: metal in three greys of one cool tone, other bodies in warm ones.
ROLE_COLOUR = {"casting": (124, 143, 163), "feeder": (170, 184, 198), "gate": (203, 213, 222),
               "chill": (162, 145, 126), "sleeve": (222, 205, 170), "core": (210, 198, 184)}
# Vermilion: away from every colour of the time scale, also for colour-blind eyes. No ink stands out from both
# the dark and the bright end of that scale, so every stroke has a white halo and is seen against that.
VOID_INK = (200, 60, 0)
HARMLESS_INK = (110, 110, 110)
# Numbers of colours: those of the bodies are their codes; then the inks; then the bands of freezing time.
INKS = np.array([MOULD_COLOUR] + [ROLE_COLOUR[role] for role in ROLES] + [PAPER, INK, VOID_INK, HARMLESS_INK],
                dtype=np.uint8)
WHITE, BLACK, RED, GREY, FIRST_BAND = range(AIR, AIR + 5)


@dataclass(frozen=True, eq=False)
class Section:
    """What a picture is made of: plain data, and None where nothing has been computed yet.

    x_edges, y_edges   [m]   edges of the cells
    frozen_share             one value a cell, (x, y): when it froze, as a share of the time until all metal
                             is solid; NaN outside metal
    void                     share of the cell's metal that is missing in the end, 0 to 1
    void_kind                0 or one of HARMLESS, SINK, CAVITY, SPONGE, PIPE
    last_place         [m]   (x, y, z) of the last metal to freeze, wherever the section lies
    plane              [m]   where the section lies along z; None: in the middle of the casting
    metal                    share of the cell that metal takes; None: all of each cell with a void
    sawn                     as the saw leaves it: plain metal and its holes, without order of freezing
    not_reached              outline [m], corners (x, y): where in the mould metal has not come; none: nowhere
    """

    layout: Layout
    x_edges: np.ndarray | None = None
    y_edges: np.ndarray | None = None
    frozen_share: np.ndarray | None = None
    void: np.ndarray | None = None
    void_kind: np.ndarray | None = None
    last_place: tuple[float, ...] | None = None
    plane: float | None = None
    metal: np.ndarray | None = None
    sawn: bool = False
    not_reached: tuple = ()

    @property
    def off_middle(self):
        """How far the section lies in front of the middle of the casting [m]."""
        return 0.0 if self.plane is None else self.plane - middle_plane(self.layout)

    @property
    def computed(self):
        """Whether there is anything but the drawing."""
        return self.frozen_share is not None


class View:
    """The piece of the section that is drawn, in whole pixels, and where each pixel lies [m].

    Equal scale both ways; what is left over of the box shows more mould. `scale` is the pixels per screen
    pixel: lines and hatches grow with it.
    """

    def __init__(self, low, high, width, height, scale=1):
        self.scale = scale
        self.metres_per_pixel = step = max((high[0] - low[0]) / width, (high[1] - low[1]) / height)
        self.left = 0.5 * (low[0] + high[0] - width * step)
        self.top = 0.5 * (low[1] + high[1] + height * step)
        self.extent = self.left, self.left + width * step, self.top - height * step, self.top
        self.x = self.left + step * (np.arange(width) + 0.5)
        self.y = self.top - step * (np.arange(height) + 0.5)  # rows run downwards
        self._across, self._down = np.arange(width) // scale, np.arange(height) // scale

    def part(self, rows, columns):
        """The same view of some rows and columns only (slices)."""
        part = copy.copy(self)
        part.x, part.y = self.x[columns], self.y[rows]
        part._across, part._down = self._across[columns], self._down[rows]
        return part

    def strokes(self):
        """Numbers of the columns (across) and rows (down) in screen pixels, of which hatches are made."""
        return self._across[None, :], self._down[:, None]


def bounds(layouts, margin=0.06):
    """Lower and upper corner [m] of all blocks of all layouts, and a margin of mould round them."""
    blocks = [block for layout in layouts for block in layout.blocks]
    low = np.min([block.low[:2] for block in blocks], axis=0)
    high = np.max([block.high[:2] for block in blocks], axis=0)
    room = margin * float(max(high - low))
    return tuple(low - room), tuple(high + room)


def role_codes(layout, view, plane=None):
    """The code of the body at every pixel, (rows, columns); MOULD where there is none, AIR above the flask.

    `plane` [m]: where the section lies along z; None: in the middle of the casting.
    """
    plane = middle_plane(layout) if plane is None else plane
    codes = np.full((len(view.y), len(view.x)), MOULD, dtype=np.uint8)
    codes[np.broadcast_to(_above(layout, view), codes.shape)] = AIR
    for block in layout.blocks:
        left, right = np.searchsorted(view.x, (block.low[0], block.high[0]))
        top, foot = np.searchsorted(-view.y, (-block.high[1], -block.low[1]))
        drawn = outlines(block, plane)
        if left < right and drawn:
            x, y = view.x[left:right], view.y[top:foot]
            inside = np.logical_xor.reduce([_inside(each, x, y) for each in drawn])
            codes[top:foot, left:right][inside] = CODE[block.role]
    return codes


def _inside(outline, x, y):
    """Which pixels lie within a polygon: below an odd number of its edges; y falls from row to row."""
    crossed = np.zeros((len(y) + 1, len(x)), dtype=np.uint8)
    for (x0, y0), (x1, y1) in zip(outline, (*outline[1:], outline[0]), strict=True):
        columns = np.flatnonzero((x >= min(x0, x1)) & (x < max(x0, x1)))
        if len(columns):
            height = y0 + (y1 - y0) * (x[columns] - x0) / (x1 - x0)
            crossed[np.searchsorted(-y, -height, side="right"), columns] ^= 1
    return np.bitwise_xor.accumulate(crossed[:-1], axis=0).astype(bool)


def _above(layout, view):
    """Whether pixels lie higher than the flask: one column of rows, or one row of columns."""
    place = view.x[None, :] if layout.up_axis == 0 else view.y[:, None]
    end = (layout.high if layout.up_sign > 0 else layout.low)[layout.up_axis]
    return layout.up_sign * (place - end) > 0.0


def paint(section, view, bands, greyed=False):
    """The whole picture of a section: bytes (rows, columns, 4), and the codes of the bodies drawn, AIR + its
    kind where a hollow or a dot of sponge is.

    `bands`: colours for equal shares of the freezing time, (n, 3); `greyed` fades a picture that is out of
    date. The fourth byte of a pixel is 255: four bytes are moved as quickly as one.
    """
    codes = role_codes(section.layout, view, section.plane)
    pixels, palette = codes.copy(), np.concatenate([INKS, bands])
    rows, columns = window = _window((codes != MOULD) & (codes != AIR), room=4)
    if section.not_reached:
        empty = codes_of(codes, METAL_ROLES) & not_reached(section, view)
        codes[empty] = pixels[empty] = AIR
    _paint_blocks(pixels[window], codes[window], section, view.part(rows, columns), len(bands))
    top = np.nonzero(_edges(_above(section.layout, view)))[1 - section.layout.up_axis]
    pixels[(slice(None), top) if section.layout.up_axis == 0 else top] = BLACK
    if greyed:
        grey = palette.mean(axis=1, keepdims=True)
        palette = (0.35 * grey + 0.65 * np.array(MOULD_COLOUR)).astype(np.uint8)
    opaque = np.insert(palette, 3, 255, axis=1).astype(np.uint8).view(np.uint32)[:, 0]
    return opaque.take(pixels)[:, :, None].view(np.uint8), codes


def not_reached(section, view):
    """Which pixels lie where metal has not come, in the mould's hollow or beside it; False where it came."""
    return _inside(section.not_reached, view.x, view.y) if section.not_reached else np.bool_(False)


def band_of(shares, count):
    """Which of so many equal bands a share of the freezing time lies in; the last one has both its ends."""
    return np.clip((np.asarray(shares) * count).astype(np.uint8), 0, count - 1)


def _window(mask, room=0):
    """Rows and columns (two slices) that hold all of a mask, with some room round it."""
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    if not len(rows):
        return slice(0, 0), slice(0, 0)
    return (slice(max(rows[0] - room, 0), rows[-1] + room + 1),
            slice(max(columns[0] - room, 0), columns[-1] + room + 1))


def _paint_blocks(pixels, codes, section, view, bands):
    metal = codes_of(codes, METAL_ROLES)
    if section.computed:
        if not section.sawn:
            _paint_times(pixels, section, view, metal, bands)
        sponge = _paint_sponge(pixels, section, view, metal)
        window, kinds = _paint_hollows(pixels, section, view, metal)
    _paint_bodies(pixels, codes, view)
    _paint_outlines(pixels, codes, metal, view.scale)
    if section.computed:
        codes[sponge & (pixels == (BLACK if section.sawn else RED))] = AIR + SPONGE
        np.copyto(codes[window], AIR + kinds, where=kinds > 0)



def codes_of(codes, roles):
    """True at the pixels whose body has one of these roles."""
    return _among(codes, [CODE[role] for role in roles])


def voids_of(codes, kinds):
    """True at the pixels where a void of one of these kinds is drawn."""
    return _among(codes, [AIR + kind for kind in kinds])


def _among(codes, numbers):
    wanted = np.zeros(AIR + PIPE + 1, dtype=bool)
    wanted[numbers] = True
    return wanted.take(codes)


def _paint_times(pixels, section, view, metal, bands):
    blend = Blend(section.x_edges, section.y_edges, view)
    known = np.isfinite(section.frozen_share)
    share = blend.spread(carried_outward(section.frozen_share, known))
    np.copyto(pixels, FIRST_BAND + band_of(share, bands), where=metal)


def _paint_hollows(pixels, section, view, metal):
    """Each hollow white within a rim of ink, in it the hatch of its kind, round it a white halo; on a sawn
    face as dark as a hole is. Returns the window (two slices) that holds all of them, and their kinds there.
    """
    kinds = hollows(section, view, metal, HOLLOW, HARMLESS, SINK)
    window = _window(kinds > 0, room=view.scale)
    kinds, part = kinds[window], pixels[window]
    here = kinds > 0
    part[here | (metal[window] & _halo(here, view.scale))] = WHITE
    if section.sawn:
        part[here] = BLACK
        return window, kinds
    marks, strokes = here & ~_shrunk(here, RIM * view.scale), view.part(*window).strokes()
    for number in np.unique(kinds[here]):
        ink, hatch = HATCHES[int(number)]
        part[(kinds == number) & (marks | hatch(*strokes))] = ink
    return window, kinds


def _paint_sponge(pixels, section, view, metal):
    """Dots of ink in white halos. Returns which pixels are dots."""
    sponge = np.where(section.void_kind == SPONGE, section.void, 0.0)
    if sponge.max(initial=0.0) <= LEAST_SPONGE:
        return np.zeros(metal.shape, dtype=bool)
    marks = dots(section, view, metal, sponge)
    pixels[metal & _halo(marks, view.scale)] = WHITE
    pixels[marks] = BLACK if section.sawn else RED
    return marks


# The ink and the strokes of each hatch, of the columns (across) and rows (down) that `View.strokes` counts.
HATCHES = {
    SINK: (RED, lambda across, down: (across + down) % 10 < 3),
    CAVITY: (RED, lambda across, down: ((across + down) % 12 < 2) | ((across - down) % 12 < 2)),
    SPONGE: (RED, place_of_dots),
    PIPE: (RED, lambda across, down: (across % 8 < 3) & (down >= 0)),
    HARMLESS: (GREY, lambda across, down: (down % 8 < 1) & (across >= 0)),
}
# Chills, sleeves and cores carry a hatch of their own, so that they can be told apart without colour.
BODY_HATCHES = {
    "chill": lambda across, down: (across - down) % 8 < 2,
    "sleeve": lambda across, down: (across % 10 < 2) & (down % 10 < 5),
    "core": lambda across, down: (across + down) % 14 < 1,
}


def _paint_bodies(pixels, codes, view):
    for role, strokes in BODY_HATCHES.items():
        here = codes == CODE[role]
        if here.any():
            pixels[here & strokes(*view.strokes())] = BLACK


def _paint_outlines(pixels, codes, metal, scale):
    """Thick where metal meets something else; thin, with a halo, where it meets metal of another body."""
    thin, thick = _edges(codes), _edges(metal.astype(np.uint8))
    joint = thin & metal & ~thick
    for _ in range(scale - 1):
        thin, thick, joint = _grow(thin), _grow(thick), _grow(joint)
    pixels[metal & _halo(joint, scale)] = WHITE
    pixels[thin | _grow(thick)] = BLACK


def _edges(codes):
    """Pixels that differ from their neighbour to the left or above."""
    found = np.zeros(codes.shape, dtype=bool)
    found[:, 1:] = codes[:, 1:] != codes[:, :-1]
    found[1:, :] |= codes[1:, :] != codes[:-1, :]
    return found


def _grow(mask):
    grown = mask.copy()
    grown[:, :-1] |= mask[:, 1:]
    grown[:-1, :] |= mask[1:, :]
    return grown


def _shrunk(mask, by):
    """A region without its outermost pixels, so many deep."""
    for _ in range(by):
        mask = mask & ~_rim(mask)
    return mask


def _halo(marks, wide):
    """The pixels round the marks, so many wide."""
    rest = ~marks
    for _ in range(wide):
        rest &= ~_rim(rest)
    return ~(rest | marks)


def _rim(mask):
    """The pixels of a region that touch what is not the region."""
    core = mask.copy()
    core[1:, :] &= mask[:-1, :]
    core[:-1, :] &= mask[1:, :]
    core[:, 1:] &= mask[:, :-1]
    core[:, :-1] &= mask[:, 1:]
    return mask & ~core
