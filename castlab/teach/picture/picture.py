"""The picture of a section: arrays in, Figure out, and the same drawing kept alive for a bench.

A `Picture` is drawn once; afterwards only what moves (the section, its marks and labels) is drawn over a
stored background, which is many times as fast as a new figure. So limits, colours and size stay as they are.
Words are set by the imaging library: Matplotlib takes longer for one label than for all lines and marks.
"""

import copy
import functools
import io

import numpy as np
from matplotlib import colormaps, font_manager
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.path import Path
from matplotlib.patheffects import withStroke
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage

from castlab.field.layout import METAL_ROLES
from castlab.teach.picture import dots, raster
from castlab.teach.picture.png import png_of
from castlab.units import METRIC, raised

WIDTH, HEIGHT, DPI = 800, 440, 100  # pixels on the screen
COLUMN = 124  # of these, the width of the column with gravity, colours and scale bar
MARGIN = 4
FONT_PT = 13
MARK_PT = 13  # of the mark of the last place
LABEL_PAD = 3  # pixels of white round the words of a label
MAP = "viridis"  # perceptually uniform, told apart by colour-blind eyes, and rises evenly in grey
BANDS = 10  # colours between the first metal to freeze and the last: ten per cent of the time each
BAR_LOW, BAR_HIGH = 376, 270  # rows of the colour scale's ends
ARROW = 160, 200  # rows of the gravity arrow's ends
SCALE_WORDS = (214, "frozen at"), (231, "% of the"), (248, "whole time")
AIR_ROWS = 34  # above the mould, with room for a label; more is cut off ...
MOST_CUT = 152  # ... but nothing of the column
NICE_LENGTHS = (1.0, 2.0, 5.0)
MOST_LABELS = 8
HALO = (withStroke(linewidth=3.6, foreground="white"),)  # so that a black line is seen on dark metal
STROKE = dots.SIZE  # screen pixels across a dot of sponge; a hollow that has fewer is not seen
NEAR_LETTERS = 3.0  # letters from its place to what is drawn of the void that a label points at
# What stands for a defect that has no pixels of its own: too small to be drawn, too little sponge for a dot,
# or off the section, which is dashed as hidden edges are on any drawing.
DASHES = np.exp(1j * np.pi / 6 * (np.arange(6)[:, None] * 2 + np.linspace(0.0, 1.1, 4)))
DASHED = Path(np.stack([DASHES.real, DASHES.imag], axis=-1).reshape(-1, 2),
              np.tile([Path.MOVETO, *3 * [Path.LINETO]], len(DASHES)))
SIGNS = {"hollow": ("o", 5.0, "white"), "sponge": ("o", 3.0, "none"), "off": (DASHED, 13.0, "none")}
TAKEN = 50.0  # how much worse than metal it is to lie on another label

# One fixed scale for all parts, alloys and moulds: what matters for shrinkage is the order in which places
# freeze, and a scale in seconds wide enough for all of them shows no order within one.
BAND_COLOURS = colormaps[MAP](np.linspace(0.0, 1.0, BANDS), bytes=True)[:, :3]
OWN_COLOURS = tuple(tuple(map(int, colour)) for colour in (*raster.INKS, *BAND_COLOURS))


class Picture:
    """A figure that is drawn once and then only changed: `show(scene)`, then `png()` or `figure`.

    low, high    [m]   corners of what must be visible: of the largest layout that the sliders allow
    units              the scale bar speaks in these
    scale              pixels per screen pixel: 2 for print
    """

    def __init__(self, low, high, units=METRIC, scale=1):
        self.low, self.high = tuple(low), tuple(high)
        self.units, self._scale = units, scale
        self.figure = Figure(figsize=(WIDTH / DPI, HEIGHT / DPI), dpi=DPI * scale, facecolor="white")
        self.canvas = FigureCanvasAgg(self.figure)
        wide, tall = WIDTH - COLUMN - MARGIN, HEIGHT - 2 * MARGIN
        self.view = raster.View(low, high, wide * scale, tall * scale, scale)
        self.axes = self.figure.add_axes((MARGIN / WIDTH, MARGIN / HEIGHT, wide / WIDTH, tall / HEIGHT))
        self.axes.set_axis_off()
        self._make_moving_parts()
        self._draw_column()
        self._background = None

    def fits(self, low, high):
        """Whether it was made for just these corners [m]."""
        return np.allclose((self.low, self.high), (low, high), rtol=0.0, atol=1e-9)

    def holds(self, low, high):
        """Whether what lies between these corners [m] can be seen whole."""
        left, right, bottom, top = self.view.extent
        return left <= low[0] and bottom <= low[1] and high[0] <= right and high[1] <= top

    def _make_moving_parts(self):
        self.axes.set(xlim=self.view.extent[:2], ylim=self.view.extent[2:])
        self._lines = [self.axes.plot([], [], color="black", lw=1.2, path_effects=HALO, animated=True)[0]
                       for _ in range(MOST_LABELS)]
        (self._mark,) = self.axes.plot([], [], ls="", marker="o", ms=MARK_PT, mfc="white", mec="black",
                                       mew=1.6, animated=True)
        (self._cross,) = self.axes.plot([], [], ls="", marker="x", ms=8, mec="black", mew=2.0, animated=True)
        self._signs = {sign: self.axes.plot([], [], ls="", marker=marker, ms=size, mfc=face, mew=1.6,
                                            path_effects=HALO, animated=True)[0]
                       for sign, (marker, size, face) in SIGNS.items()}
        self._pixels, self._used, self._words = None, [], []

    def _draw_column(self):
        """Gravity, colour scale and scale bar: what stays as it is while sliders move."""
        column = self.figure.add_axes(((WIDTH - COLUMN) / WIDTH, 0.0, COLUMN / WIDTH, 1.0))
        column.set_axis_off()
        self._scale_parts = [column.text(COLUMN / 2, row, words, size=FONT_PT, va="center", ha="center")
                             for row, words in SCALE_WORDS]
        self._scale_parts.append(column.imshow(
            BAND_COLOURS[::-1, None, :], extent=(26, 52, BAR_LOW, BAR_HIGH), aspect="auto",
            interpolation="nearest"))
        for percent in range(0, 101, 20):
            row = BAR_LOW + (BAR_HIGH - BAR_LOW) * percent / 100
            self._scale_parts += column.plot([52, 58], [row, row], color="black", lw=1.2)
            self._scale_parts.append(column.text(62, row, f"{percent}", size=FONT_PT, va="center"))
        column.set_xlim(0, COLUMN)
        column.set_ylim(HEIGHT, 0)
        self._bar = column.plot([], [], color="black", lw=4, solid_capstyle="butt")[0]
        self._bar_words = column.text(COLUMN / 2, 428, "", size=FONT_PT, ha="center", va="center")
        column.text(44, sum(ARROW) / 2, "gravity", size=FONT_PT, va="center")
        self._arrow = column.annotate("", (26, ARROW[1]), (26, ARROW[0]), arrowprops={
            "arrowstyle": "-|>", "lw": 2.5, "color": "black", "mutation_scale": 22})
        self._set_scale_bar()

    def _set_scale_bar(self):
        """The longest of 1, 2, 5, 10 ... units that fits below the colours."""
        per_unit = 1.0 / (self.units.lengths.factor * self.view.metres_per_pixel * self._scale)
        longest = (COLUMN - 24) / per_unit
        power = 10.0 ** np.floor(np.log10(longest))
        length = max(nice * power for nice in NICE_LENGTHS if nice * power <= longest)
        half = 0.5 * length * per_unit
        words = self.units.length(length / self.units.lengths.factor, 2)
        lines = 1 + words.count(" (")  # in both units, one stands below the other
        self._bar.set_data([COLUMN / 2 - half, COLUMN / 2 + half], 2 * [420 - 14 * lines])
        self._bar_words.set_y(438 - 10 * lines)
        self._bar_words.set_text(words.replace(" (", "\n("))

    def speak(self, units):
        """Change the scale bar to other units."""
        self.units = units
        self._set_scale_bar()
        self._background = None

    def _point_down(self, up):
        """Turn the gravity arrow: it points against `up` of the layout."""
        high, low = ARROW
        middle = (high + low) // 2
        ends = {"+y": ((26, low), (26, high)), "-y": ((26, high), (26, low)),
                "+x": ((4, middle), (40, middle)), "-x": ((40, middle), (4, middle))}[up]
        if self._arrow.xy != ends[0]:
            self._arrow.xy = ends[0]
            self._arrow.set_position(ends[1])
            self._background = None

    def _explain_colours(self, shown):
        """Show the scale of colours, or leave it out where nothing has its colours."""
        if self._scale_parts[0].get_visible() != shown:
            for part in self._scale_parts:
                part.set_visible(shown)
            self._background = None

    def show(self, scene):
        """Set everything that moves to this scene."""
        self._point_down(scene.section.layout.up)
        self._explain_colours(not scene.section.sawn and not scene.section.not_reached)
        self._pixels, codes = raster.paint(scene.section, self.view, BAND_COLOURS, scene.greyed)
        self._cut = self._air_to_cut(codes)
        self._used, self._words = [], []
        if not scene.greyed:
            holes = raster.voids_of(codes, raster.HOLLOW)
            metal = raster.codes_of(codes, METAL_ROLES) | holes | raster.voids_of(codes, (raster.SPONGE,))
            metal |= (codes == raster.AIR) & raster.not_reached(scene.section, self.view)
            metal[: self._cut] = True
            room = LabelRoom(metal, self._letters, holes)
            room.keep_free(slice(0, self._cut), slice(None))
            self._say_where(scene.section, room)
            self._find_last(scene.section, room)
            self._write(scene, room, codes)
            self._mark_last(scene.section)
        return self

    def _air_to_cut(self, codes):
        """How many rows of pixels above the mould say nothing."""
        air = (codes[:, 0] == raster.AIR) & (codes[:, -1] == raster.AIR)
        rows = len(air) if air.all() else int(air.argmin())
        return int(np.clip(rows - AIR_ROWS * self._scale, 0, MOST_CUT * self._scale))

    def _find_last(self, section, room):
        if section.last_place is not None:
            room.keep_mark(self._pixel(*section.last_place[:2]), round(0.6 * MARK_PT * self.figure.dpi / 72))

    def _mark_last(self, section):
        if section.last_place is None:
            return
        x, y = section.last_place[:2]
        for marks in (self._mark, self._cross):
            marks.set_data([x], [y])
            self._used.append(marks)

    @property
    def _letters(self):
        """Height of the letters in pixels."""
        return round(FONT_PT * self.figure.dpi / 72)

    def _say_where(self, section, room):
        """In the lower left corner, through which plane the section goes."""
        words = words_as_pixels(where_cut(section, self.units), False, self._letters)
        rows, columns = words.shape[:2]
        row = len(self._pixels) - rows
        room.keep_free(slice(row, None), slice(0, columns))
        self._words.append((words, 0, row))

    def _write(self, scene, room, codes):
        """Put each label beside its place, where it hides neither metal nor another label."""
        aims, signs = self._aims(scene.labels[:MOST_LABELS], codes)
        self._sign(signs, room, raster.INK if scene.section.sawn else raster.VOID_INK)
        all_words = [words_as_pixels(label.text, label.strong, self._letters) for label, _ in aims]
        taken = room.take_all([(words.shape, at) for words, (_, at) in zip(all_words, aims, strict=True)])
        for line, words, (_, at), (column, row) in zip(self._lines, all_words, aims, taken, strict=False):
            line.set_data(*zip(self._metres(*at), self._metres(column, row), strict=True))
            self._used.append(line)
            self._words.append((words, column - words.shape[1] // 2, row - words.shape[0] // 2))

    def _aims(self, labels, codes):
        """Labels with the pixel that each points at, and the pixels that need a sign, by its name."""
        aims, signs = [], {name: [] for name in SIGNS}
        for label in labels:
            at, drawn = self._pixel(*label.place[:2]), None
            if label.kind is not None:
                voids = raster.voids_of(codes, (label.kind,))
                drawn = nearest(voids, at, NEAR_LETTERS * self._letters, self._scale)
                if drawn is None and not label.strong:
                    continue
            if label.off:
                signs["off"].append(at)
            elif label.kind is not None and drawn is None:
                signs["sponge" if label.kind == raster.SPONGE else "hollow"].append(at)
            aims.append((label, drawn or at))
        return aims, signs

    def _sign(self, signs, room, ink):
        """Set the signs for what has no pixels of its own, and keep their room."""
        for name, places in signs.items():
            for at in places:
                room.keep_mark(at, round(0.6 * SIGNS[name][1] * self.figure.dpi / 72))
            if places:
                mark = self._signs[name]
                mark.set_data(*zip(*(self._metres(*at) for at in places), strict=True))
                mark.set_markeredgecolor([part / 255 for part in ink])
                self._used.append(mark)

    def _pixel(self, x, y):
        step = self.view.metres_per_pixel
        return int((x - self.view.left) / step), int((self.view.top - y) / step)

    def _metres(self, column, row):
        view = self.view
        return view.left + column * view.metres_per_pixel, view.top - row * view.metres_per_pixel

    def png(self):
        """The picture as bytes of a PNG file, without the air above its mould."""
        whole = self._compose()
        return png_of(np.ascontiguousarray(whole[self._cut :]), OWN_COLOURS)

    def _compose(self):
        """All pixels of the picture, (rows, columns, 4), drawn over the stored background."""
        if self._background is None:
            self.canvas.draw()
            self._background = self.canvas.copy_from_bbox(self.figure.bbox)
        self.canvas.restore_region(self._background)
        screen = np.asarray(self.canvas.buffer_rgba())
        tall, wide = self._pixels.shape[:2]
        top = left = MARGIN * self.view.scale
        screen[top : top + tall, left : left + wide] = self._pixels
        for artist in self._used:
            artist.axes.draw_artist(artist)
        inside = screen[top : top + tall, left : left + wide]
        for words, column, row in self._words:
            room = inside[max(row, 0) : row + words.shape[0], max(column, 0) : column + words.shape[1]]
            room[:] = words[: room.shape[0], : room.shape[1]]
        return screen

    def still(self):
        """The figure with everything in it, to be saved or shown like any other."""
        page = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        page.set_axis_off()
        page.imshow(self._compose(), interpolation="nearest", aspect="auto")
        return self.figure


def where_cut(section, units):
    """Through which plane a section goes, in words: the middle of the casting, or so far off it."""
    off = section.off_middle
    if not off:
        return "section through the middle"
    return f"section {units.length(abs(off), 2)} {'in front of' if off > 0 else 'behind'} the middle"


@functools.lru_cache(maxsize=8)
def font(size, strong):
    """The letters of all pictures, `size` pixels high, bold when `strong`."""
    weight = "bold" if strong else "normal"
    path = font_manager.findfont(font_manager.FontProperties(family="DejaVu Sans", weight=weight))
    return ImageFont.truetype(path, size, layout_engine=ImageFont.Layout.BASIC)


@functools.lru_cache(maxsize=256)
def words_as_pixels(words, strong, size):
    """Black words on white, `size` pixels high, as bytes (rows, columns, 4); strong ones bold in a frame."""
    words, letters = raised(words), font(size, strong)
    above, below = letters.getmetrics()
    wide, tall = round(letters.getlength(words)) + 2 * LABEL_PAD, above + below + 2
    image = Image.new("L", (wide, tall), 255)
    draw = ImageDraw.Draw(image)
    draw.text((LABEL_PAD, 1), words, fill=0, font=letters)
    if strong:
        draw.rectangle((0, 0, wide - 1, tall - 1), outline=0)
    pixels = np.repeat(np.asarray(image)[:, :, None], 4, axis=2)
    pixels[:, :, 3] = 255
    return pixels


def nearest(holes, at, reach, scale=1):
    """The pixel (column, row) in a hole that lies nearest to the pixel `at`; None where none is within
    `reach` that is large enough to be seen. A hole is drawn where most is missing, which may be elsewhere.

    >>> holes = np.zeros((20, 20), dtype=bool)
    >>> holes[2:6, 4:8] = holes[12] = True
    >>> nearest(holes, (3, 9), 5), nearest(holes, (3, 9), 4), nearest(holes, (6, 4), 4)
    ((4, 5), None, (6, 4))
    """
    (column, row), wide = at, 2 * STROKE * scale - 1
    low = int(reach) + wide  # so that what begins within reach is seen whole
    top, left = max(row - low, 0), max(column - low, 0)
    near = holes[top : row + low + 1, left : column + low + 1]
    share = ndimage.uniform_filter(near.astype(np.float32), wide, mode="constant")
    rows, columns = np.nonzero(near & (share * wide**2 > (STROKE * scale) ** 2 - 0.5))
    away = np.hypot(rows + top - row, columns + left - column)
    if not len(away) or away.min() > reach:
        return None
    best = int(away.argmin())
    return int(columns[best]) + left, int(rows[best]) + top


class LabelRoom:
    """Where labels can go: beside what they name, off the metal if possible, never over each other."""

    REACHES = np.repeat((0.9, 1.6, 2.4, 3.4, 5.0), 24)
    ANGLES = np.tile(np.arange(24) * np.pi / 12, 5)

    def __init__(self, metal, font_pixels, holes=None):
        self._busy, self._font = metal.astype(np.float32), font_pixels
        self._holes = np.zeros_like(metal) if holes is None else holes
        self._lines, self._marks, self._trouble = [], [], 0.0

    def take_all(self, wanted):
        """Where the middles of several labels go, each wanted as for `take`; where a line hides or crosses
        something in this order, the last ones may choose first."""
        tries = []
        for order in (range(len(wanted)), range(len(wanted))[::-1]):
            room = copy.copy(self)
            room._busy, room._lines = self._busy.copy(), list(self._lines)
            places = {number: room.take(*wanted[number]) for number in order}
            tries.append((room._trouble, len(tries), room, [places[number] for number in range(len(wanted))]))
            if not room._trouble:
                break
        _, _, room, places = min(tries)
        self._busy, self._lines, self._trouble = room._busy, room._lines, room._trouble
        return places

    def keep_mark(self, at, radius):
        """No label comes over the mark round this pixel, and no line but its own."""
        self.keep_free(*(slice(max(each - radius, 0), each + radius) for each in at[::-1]))
        self._marks.append((at, radius))

    def keep_free(self, rows, columns):
        """No label comes into these pixels (two slices)."""
        self._busy[rows, columns] = TAKEN

    def take(self, size, at):
        """Where the middle of a label goes that names the pixel `at`, (column, row); takes its room.

        `size`: its rows and columns of pixels.
        """
        rows, columns = self._busy.shape
        half_w = min(size[1] // 2 + 2, columns // 2 - 3)
        half_h = size[0] // 2 + 2
        across = at[0] + np.cos(self.ANGLES) * (half_w + 1.2 * self.REACHES * self._font)
        down = at[1] - np.sin(self.ANGLES) * (half_h + 2.0 * self.REACHES * self._font)
        across = np.clip(across, half_w + 2, columns - half_w - 2).astype(int)
        down = np.clip(down, half_h + 2, rows - half_h - 2).astype(int)
        trouble = self._hides(at, across, down) + 2.0 * self._crosses(at, across, down)
        cost = self._share_busy(across, down, half_w, half_h) + 0.03 * self.REACHES + trouble
        best = int(np.argmin(cost))
        self._trouble += float(trouble[best])
        column, row = int(across[best]), int(down[best])
        above, left = max(row - half_h - 6, 0), max(column - half_w - 6, 0)
        self.keep_free(slice(above, row + half_h + 6), slice(left, column + half_w + 6))
        self._lines.append((at, (column, row)))
        return column, row

    def _hides(self, at, across, down):
        """1 for each line to a label that would run under a label or over a mark that is there, and 1 for one
        that would run into a hollow; out of one it may."""
        along = np.linspace(0.0, 0.9, 28)[:, None]
        rows = np.clip(at[1] + along * (down - at[1]), 0, self._busy.shape[0] - 1).astype(int)
        columns = np.clip(at[0] + along * (across - at[0]), 0, self._busy.shape[1] - 1).astype(int)
        holes = self._holes[rows, columns]
        rows, columns = rows[3:], columns[3:]  # near its own place it may
        taken = self._busy[rows, columns] >= TAKEN
        for mark, radius in self._marks:
            near = np.hypot(columns - mark[0], rows - mark[1]) < 1.5 * radius
            taken = taken & ~near if np.hypot(at[0] - mark[0], at[1] - mark[1]) < radius else taken | near
        return taken.any(axis=0) + 1.5 * (holes[1:] & ~holes[:-1]).any(axis=0)

    def _crosses(self, at, across, down):
        """How many lines each line to a label would cross."""
        count = np.zeros(len(across))
        ends = np.stack([across, down], axis=1)
        for here, there in self._lines:
            apart = _side(here, there, at) * _side(here, there, ends) < 0
            count += apart & (_side(at, ends, here) * _side(at, ends, there) < 0)
        return count

    def _share_busy(self, across, down, half_w, half_h):
        """Mean of the busy pixels under each of the rooms, from running sums."""
        sums = np.pad(self._busy[::4, ::4].cumsum(0).cumsum(1), ((1, 0), (1, 0)))
        top, bottom = (down - half_h) // 4, (down + half_h) // 4
        left, right = (across - half_w) // 4, (across + half_w) // 4
        total = sums[bottom, right] - sums[top, right] - sums[bottom, left] + sums[top, left]
        return total / ((bottom - top) * (right - left))


def _side(start, end, point):
    """On which side of the line from start to end points lie: above or below 0."""
    (x0, y0), (x1, y1), (x, y) = (np.asarray(each, dtype=float).T for each in (start, end, point))
    return (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)


def picture_of(scene, units=METRIC, scale=2):
    """An ordinary Figure of one scene, for a page or a print.

    Parameters: `scene`; `units` of the scale bar; `scale`, pixels per screen pixel of 1/100 inch.
    Save it with `figure.savefig(path)` at its own resolution.
    """
    low, high = raster.bounds([scene.section.layout])
    return Picture(low, high, units, scale).show(scene).still()


def png_of_scene(scene, units=METRIC):
    """That Figure as the bytes of a PNG, without its empty rim, for a page to print."""
    file = io.BytesIO()
    picture_of(scene, units).savefig(file, format="png", bbox_inches="tight", pad_inches=0.05)
    return file.getvalue()
