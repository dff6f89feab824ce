"""The picture of a window map: one tile for each pair of values, told apart by letters, hatch and colour.

Axes and legend are drawn once and kept; tiles are pasted over them, which is quick enough to follow a slider.
"""

import io
from dataclasses import dataclass

import numpy as np
from matplotlib import font_manager
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image, ImageDraw, ImageFont

from castlab.teach.panels.map_verdict import KINDS
from castlab.teach.picture import raster

WIDTH, HEIGHT, DPI = 800, 500, 100  # pixels on the screen
LEFT, TOP, ROOM_WIDE, ROOM_TALL = 92, 12, 510, 405  # where the tiles lie
LEGEND_LEFT, LEGEND_STEP = 622, 40
LEGEND_TILE = (34, 28)
FONT_PT = 13
MOST_TICKS = 8
DARK, LIGHT = (20, 20, 20), (255, 255, 255)
FADED = 0.35  # how much of a picture's colours is left when it is out of date
NOT_YET = "not computed"


@dataclass(frozen=True)
class Look:
    """How a kind looks: two letters, their ink, the tile's colour, its hatch and the hatch's ink."""

    letters: str
    colour: tuple[int, int, int]
    ink: tuple[int, int, int] = DARK
    hatch: object = None
    strokes: tuple[int, int, int] = DARK


def _hatch_of(number):
    return raster.HATCHES[number][1]


def _sparse(across, down):
    return (across % 8 == 3) & (down % 8 == 3)


def _level(across, down):
    return (down % 6 < 1) & (across >= 0)


# The greys run from misrun to sound; hatches are those of the section's picture.
LOOKS = {
    "sound": Look("ok", (206, 238, 224)),
    "marginal": Look("ma", (240, 208, 90), hatch=_sparse),
    "sink": Look("si", (235, 158, 30), hatch=_hatch_of(raster.SINK), strokes=(95, 50, 0)),
    "cavity": Look("ca", (0, 90, 160), LIGHT, _hatch_of(raster.CAVITY), (190, 220, 245)),
    "sponge": Look("sp", (205, 125, 170), hatch=_hatch_of(raster.SPONGE), strokes=(55, 8, 36)),
    "pipe": Look("pi", (95, 180, 225), hatch=_hatch_of(raster.PIPE), strokes=(12, 62, 98)),
    "misrun": Look("mi", (70, 70, 70), LIGHT),
    "cannot be cast": Look("no", LIGHT, (90, 90, 90), _level, (118, 118, 118)),
    NOT_YET: Look("", (250, 250, 250)),
}


@dataclass(frozen=True)
class Axis:
    """One side of the map: its words with the unit, and the words of each of its values."""

    label: str
    ticks: tuple[str, ...]


@dataclass(frozen=True)
class MapScene:
    """One state of the map.

    kinds    {(column, row): kind}; what is missing has not been computed; rows count upwards
    checked  spots that were computed again on fine cells
    here     (column, row), fractions allowed, where the bench stands; None off the map
    look     (column, row) of the frame
    faded    whether it belongs to other settings than the bench's
    """

    kinds: dict
    checked: frozenset = frozenset()
    here: tuple[float, float] | None = None
    look: tuple[int, int] | None = None
    faded: bool = False


class MapPicture:
    """Axes and legend drawn once: `png(scene)` pastes the tiles and marks of a scene.

    across, up   the `Axis` of each side      called   what the map is of, such as "bench"
    """

    def __init__(self, across, up, called="bench"):
        self.columns, self.rows = len(across.ticks), len(up.ticks)
        self.tile = ROOM_WIDE // self.columns, ROOM_TALL // self.rows
        self._tiles = {kind: tile_of(kind, *self.tile) for kind in LOOKS}
        self._base = self._drawn(across, up, called)
        self._tiled_for, self._tiled = None, None

    def png(self, scene):
        """The picture as bytes of a PNG file."""
        what = scene.kinds, scene.checked, scene.faded
        if what != self._tiled_for:
            self._tiled_for, self._tiled = what, self._with_tiles(scene)
        image = self._tiled.copy()
        self._mark(ImageDraw.Draw(image), scene)
        file = io.BytesIO()
        image.save(file, "PNG", compress_level=1)
        return file.getvalue()

    def _with_tiles(self, scene):
        pixels = self._base.copy()
        for column in range(self.columns):
            for row in range(self.rows):
                left, top = self._corner(column, row)
                tile = self._tiles[scene.kinds.get((column, row), NOT_YET)]
                pixels[top : top + self.tile[1], left : left + self.tile[0]] = tile
        if scene.faded:
            pixels = (255 - FADED * (255 - pixels.astype(float))).astype(np.uint8)
        image = Image.fromarray(pixels)
        draw, (wide, tall) = ImageDraw.Draw(image), self.tile
        for spot in scene.checked:
            left, top = self._corner(*spot)
            _dot(draw, left + wide - 9, top + tall - 9)
        return image

    def _corner(self, column, row):
        """Left and upper pixel of a tile."""
        return LEFT + column * self.tile[0], TOP + (self.rows - 1 - row) * self.tile[1]

    def _mark(self, draw, scene):
        wide, tall = self.tile
        if scene.look is not None:
            left, top = self._corner(*scene.look)
            box = (left, top, left + wide - 1, top + tall - 1)
            draw.rectangle(box, outline=LIGHT, width=5)
            draw.rectangle(box, outline=DARK, width=3)
        if scene.here is not None:
            left, top = self._corner(*scene.here)
            _ring(draw, left + wide / 2, top + tall / 2)

    def _drawn(self, across, up, called):
        figure = Figure(figsize=(WIDTH / DPI, HEIGHT / DPI), dpi=DPI, facecolor="white")
        canvas = FigureCanvasAgg(figure)
        wide, tall = self.tile[0] * self.columns, self.tile[1] * self.rows
        axes = figure.add_axes((LEFT / WIDTH, 1 - (TOP + tall) / HEIGHT, wide / WIDTH, tall / HEIGHT))
        axes.set(xlim=(-0.5, self.columns - 0.5), ylim=(-0.5, self.rows - 0.5))
        for ticks, name in ((across.ticks, "x"), (up.ticks, "y")):
            places = range(0, len(ticks), -(-len(ticks) // MOST_TICKS))
            getattr(axes, f"set_{name}ticks")(list(places), [ticks[place] for place in places], size=FONT_PT)
        axes.set_xlabel(across.label, size=FONT_PT + 2)
        axes.set_ylabel(up.label, size=FONT_PT + 2)
        for row, words in enumerate([*KINDS, "checked on fine cells", f"the {called} now"]):
            height = 1 - (TOP + row * LEGEND_STEP + LEGEND_TILE[1] / 2) / HEIGHT
            figure.text((LEGEND_LEFT + LEGEND_TILE[0] + 10) / WIDTH, height, _broken(words),
                        size=FONT_PT - 1, va="center", linespacing=0.95)
        canvas.draw()
        return self._with_legend(np.asarray(canvas.buffer_rgba())[:, :, :3].copy())

    @staticmethod
    def _with_legend(pixels):
        wide, tall = LEGEND_TILE
        for row, kind in enumerate(KINDS):
            top = TOP + row * LEGEND_STEP
            pixels[top : top + tall, LEGEND_LEFT : LEGEND_LEFT + wide] = tile_of(kind, wide, tall)
        image = Image.fromarray(pixels)
        draw, middle = ImageDraw.Draw(image), LEGEND_LEFT + wide / 2
        _dot(draw, middle - 4, TOP + len(KINDS) * LEGEND_STEP + tall / 2 - 4)
        _ring(draw, middle, TOP + (len(KINDS) + 1) * LEGEND_STEP + tall / 2)
        return np.array(image)


def tile_of(kind, wide, tall):
    """The pixels of one tile, (rows, columns, 3)."""
    look = LOOKS[kind]
    pixels = np.empty((tall, wide, 3), dtype=np.uint8)
    pixels[:] = look.colour
    if look.hatch is not None:
        across, down = np.arange(wide)[None, :], np.arange(tall)[:, None]
        pixels[np.broadcast_to(look.hatch(across, down), pixels.shape[:2])] = look.strokes
    image = Image.fromarray(pixels)
    draw = ImageDraw.Draw(image)
    font = _font(min(17, int(0.52 * wide), tall - 8))
    draw.text((wide / 2, tall / 2), look.letters, fill=look.ink, font=font, anchor="mm", stroke_width=4,
              stroke_fill=look.colour)
    draw.rectangle((0, 0, wide - 1, tall - 1), outline=(190, 190, 190) if kind == NOT_YET else LIGHT)
    return np.array(image)


def _font(pixels):
    path = font_manager.findfont(font_manager.FontProperties(family="DejaVu Sans", weight="bold"))
    return ImageFont.truetype(path, max(pixels, 6))


def _dot(draw, left, top):
    draw.ellipse((left - 1, top - 1, left + 7, top + 7), fill=LIGHT)
    draw.ellipse((left, top, left + 6, top + 6), fill=DARK)


def _ring(draw, x, y):
    for radius, ink, width in ((18, DARK, 6), (17, LIGHT, 4)):
        draw.ellipse((x - radius, y - radius, x + radius, y + radius), outline=ink, width=width)


def _broken(words):
    """The longest words of the legend on two lines."""
    return words.replace(" on ", "\non ")
