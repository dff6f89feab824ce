"""The picture of a section: arrays in, Figure out, and the same drawing kept alive for a bench.

A `Picture` is drawn once; afterwards only what moves (the section, its marks and labels) is drawn over a
stored background, which is many times as fast as a new figure. So limits, colours and size stay as they are.
"""

import io
from dataclasses import dataclass

import numpy as np
from matplotlib import colormaps
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from castlab.field.layout import METAL_ROLES
from castlab.teach import raster
from castlab.units import METRIC

WIDTH, HEIGHT, DPI = 800, 440, 100  # pixels on the screen
COLUMN = 124  # of these, the width of the column with gravity, colours and scale bar
MARGIN = 4
FONT_PT, CHARACTER = 13, 0.60  # a character's width as a share of the font's size, on the safe side
MAP = "viridis"  # perceptually uniform, told apart by colour-blind eyes, and rises evenly in grey
TICKS = ((5.0, "5 s"), (15.0, "15 s"), (60.0, "1 min"), (240.0, "4 min"), (900.0, "15 min"), (3600.0, "1 h"))
BANDS_BETWEEN_TICKS = 4
NICE_LENGTHS = (1.0, 2.0, 5.0)
MOST_LABELS = 8


def _band_limits():
    """Times [s] between the colours: equal steps of the logarithm between the ticks."""
    ticks = [time for time, _ in TICKS]
    parts = [np.geomspace(low, high, BANDS_BETWEEN_TICKS, endpoint=False)
             for low, high in zip(ticks, ticks[1:], strict=False)]
    return np.concatenate([*parts, ticks[-1:]])


BAND_LIMITS = _band_limits()
BAND_COLOURS = colormaps[MAP](np.linspace(0.0, 1.0, len(BAND_LIMITS) + 1), bytes=True)[:, :3]


def colour_of_time(times_s):
    """The colour of each freezing time [s], three bytes each: one fixed scale for all parts and alloys.

    The scale is logarithmic, in bands: a thin plate in a die and a heavy bronze block fit on it.

    >>> early, late = colour_of_time([1.0, 9000.0])
    >>> int(early.sum()) < int(late.sum())  # late is bright
    True
    """
    return BAND_COLOURS[np.searchsorted(BAND_LIMITS, times_s, side="right")]


@dataclass(frozen=True)
class Label:
    """Words in the picture and the place [m] that they point at. `strong` is for defects."""

    text: str
    place: tuple[float, float]
    strong: bool = False


@dataclass(frozen=True, eq=False)
class Scene:
    """One state of the picture: the section, its labels, and whether it is greyed (out of date)."""

    section: raster.Section
    labels: tuple[Label, ...] = ()
    greyed: bool = False


class Picture:
    """A figure that is drawn once and then only changed: `show(scene)`, then `png()` or `figure`.

    low, high    [m]   corners of what must be visible, from the largest layout that can come
    units              the scale bar speaks in these
    scale              pixels per screen pixel: 2 for print
    """

    def __init__(self, low, high, units=METRIC, scale=1):
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

    def _make_moving_parts(self):
        size = FONT_PT
        self.axes.set(xlim=self.view.extent[:2], ylim=self.view.extent[2:])
        places = range(MOST_LABELS)
        self._lines = [self.axes.plot([], [], color="black", lw=1.2, animated=True)[0] for _ in places]
        self._texts = [self.axes.text(0, 0, "", size=size, ha="center", va="center", animated=True)
                       for _ in places]
        (self._mark,) = self.axes.plot([], [], ls="", marker="o", ms=13, mfc="white", mec="black", mew=1.6,
                                       animated=True)
        (self._cross,) = self.axes.plot([], [], ls="", marker="x", ms=8, mec="black", mew=2.0, animated=True)
        self._pixels, self._used = None, []

    def _draw_column(self):
        """Gravity, colour scale and scale bar: what stays as it is while sliders move."""
        column = self.figure.add_axes(((WIDTH - COLUMN) / WIDTH, 0.0, COLUMN / WIDTH, 1.0))
        column.set_axis_off()
        column.set_xlim(0, COLUMN)
        column.set_ylim(HEIGHT, 0)
        self._column = column
        column.text(12, 96, "frozen after", size=FONT_PT, va="center")
        bands = BAND_COLOURS[::-1, None, :]
        column.imshow(bands, extent=(14, 40, 372, 112), aspect="auto", interpolation="nearest")
        inner = len(BAND_COLOURS)
        for number, (_, words) in enumerate(TICKS):
            row = 372 - (372 - 112) * (1 + number * BANDS_BETWEEN_TICKS) / inner
            column.plot([40, 46], [row, row], color="black", lw=1.2)
            column.text(50, row, words, size=FONT_PT, va="center")
        column.set_xlim(0, COLUMN)
        column.set_ylim(HEIGHT, 0)
        self._bar = column.plot([], [], color="black", lw=4, solid_capstyle="butt")[0]
        self._bar_words = column.text(COLUMN / 2, 428, "", size=FONT_PT, ha="center", va="center")
        self._down_words = column.text(44, 40, "gravity", size=FONT_PT, va="center")
        self._arrow = column.annotate("", (26, 70), (26, 12), arrowprops={
            "arrowstyle": "-|>", "lw": 2.5, "color": "black", "mutation_scale": 22})
        self._set_scale_bar()

    def _set_scale_bar(self):
        """The longest of 1, 2, 5, 10 ... units that fits below the colours."""
        per_unit = 1.0 / (self.units.lengths.factor * self.view.metres_per_pixel * self._scale)
        longest = (COLUMN - 24) / per_unit
        power = 10.0 ** np.floor(np.log10(longest))
        length = max(nice * power for nice in NICE_LENGTHS if nice * power <= longest)
        half = 0.5 * length * per_unit
        self._bar.set_data([COLUMN / 2 - half, COLUMN / 2 + half], [406, 406])
        self._bar_words.set_text(f"{length:g} {self.units.lengths.unit}")

    def speak(self, units):
        """Change the scale bar to other units."""
        self.units = units
        self._set_scale_bar()
        self._background = None

    def _point_down(self, up):
        """Turn the gravity arrow: it points against `up` of the layout."""
        ends = {"+y": ((26, 70), (26, 12)), "-y": ((26, 12), (26, 70)),
                "+x": ((4, 40), (40, 40)), "-x": ((40, 40), (4, 40))}[up]
        if self._arrow.xy != ends[0]:
            self._arrow.xy = ends[0]
            self._arrow.set_position(ends[1])
            self._background = None

    def show(self, scene):
        """Set everything that moves to this scene."""
        self._point_down(scene.section.layout.up)
        self._pixels, codes = raster.paint(scene.section, self.view, colour_of_time, scene.greyed)
        self._used = []
        if not scene.greyed:
            self._mark_last(scene.section)
            self._write(scene, codes)
        return self

    def _mark_last(self, section):
        if section.last_place is None:
            return
        x, y = section.last_place[:2]
        xs, ys = ([x, -x], [y, y]) if section.layout.kind == "round" else ([x], [y])
        for marks in (self._mark, self._cross):
            marks.set_data(xs, ys)
            self._used.append(marks)

    def _write(self, scene, codes):
        """Put each label beside its place, where it hides neither metal nor another label."""
        room = LabelRoom(raster.codes_of(codes, METAL_ROLES), FONT_PT * self.figure.dpi / 72)
        labels = scene.labels[:MOST_LABELS]
        for label, line, text in zip(labels, self._lines, self._texts, strict=False):
            at = self._pixel(*label.place)
            centre = room.take(label.text, at)
            text.set_text(label.text)
            text.set_position(self._metres(*centre))
            text.set_fontweight("bold" if label.strong else "normal")
            edge = "black" if label.strong else "none"
            text.set_bbox({"facecolor": "white", "edgecolor": edge, "pad": 2.0})
            line.set_data(*zip(self._metres(*at), self._metres(*centre), strict=True))
        self._used += self._lines[: len(labels)] + self._texts[: len(labels)]

    def _pixel(self, x, y):
        step = self.view.metres_per_pixel
        return int((x - self.view.left) / step), int((self.view.top - y) / step)

    def _metres(self, column, row):
        view = self.view
        return view.left + column * view.metres_per_pixel, view.top - row * view.metres_per_pixel

    def png(self):
        """The picture as bytes of a PNG file, drawn over the stored background."""
        if self._background is None:
            self.canvas.draw()
            self._background = self.canvas.copy_from_bbox(self.figure.bbox)
        self.canvas.restore_region(self._background)
        screen = np.asarray(self.canvas.buffer_rgba())
        tall, wide = self._pixels.shape[:2]
        top = left = MARGIN * self.view.scale
        screen[top : top + tall, left : left + wide, :3] = self._pixels
        for artist in self._used:
            artist.axes.draw_artist(artist)
        file = io.BytesIO()
        Image.fromarray(np.ascontiguousarray(screen[:, :, :3])).save(file, "PNG", compress_level=1)
        return file.getvalue()

    def still(self):
        """The figure with everything in it, to be saved or shown like any other."""
        self.axes.imshow(self._pixels, extent=self.view.extent, interpolation="nearest", aspect="auto")
        for artist in (self._mark, self._cross, *self._lines, *self._texts):
            artist.set_animated(False)
            artist.set_visible(artist in self._used)
        return self.figure


class LabelRoom:
    """Where labels can go: beside what they name, off the metal if possible, never over each other."""

    REACHES = np.repeat((0.9, 1.6, 2.4, 3.4, 5.0), 24)
    ANGLES = np.tile(np.arange(24) * np.pi / 12, 5)

    def __init__(self, metal, font_pixels):
        self._busy, self._font = metal.astype(np.float32), font_pixels

    def take(self, words, at):
        """Where the middle of a label goes that names the pixel `at`, (column, row); takes its room."""
        rows, columns = self._busy.shape
        half_w = min(int(0.5 * CHARACTER * self._font * len(words)) + 8, columns // 2 - 3)
        half_h = int(0.8 * self._font)
        across = at[0] + np.cos(self.ANGLES) * (half_w + 1.2 * self.REACHES * self._font)
        down = at[1] - np.sin(self.ANGLES) * (half_h + 2.0 * self.REACHES * self._font)
        across = np.clip(across, half_w + 2, columns - half_w - 2).astype(int)
        down = np.clip(down, half_h + 2, rows - half_h - 2).astype(int)
        cost = self._share_busy(across, down, half_w, half_h) + 0.03 * self.REACHES
        best = int(np.argmin(cost))
        column, row = int(across[best]), int(down[best])
        above, left = max(row - half_h - 6, 0), max(column - half_w - 6, 0)
        self._busy[above : row + half_h + 6, left : column + half_w + 6] = 50.0
        return column, row

    def _share_busy(self, across, down, half_w, half_h):
        """Mean of the busy pixels under each of the rooms, from running sums."""
        sums = np.pad(self._busy[::4, ::4].cumsum(0).cumsum(1), ((1, 0), (1, 0)))
        top, bottom = (down - half_h) // 4, (down + half_h) // 4
        left, right = (across - half_w) // 4, (across + half_w) // 4
        total = sums[bottom, right] - sums[top, right] - sums[bottom, left] + sums[top, left]
        return total / ((bottom - top) * (right - left))


def picture_of(scene, units=METRIC, scale=2):
    """An ordinary Figure of one scene, for a page or a print.

    Parameters: `scene`; `units` of the scale bar; `scale`, pixels per screen pixel of 1/100 inch.
    Save it with `figure.savefig(path)` at its own resolution.
    """
    low, high = raster.bounds([scene.section.layout])
    return Picture(low, high, units, scale).show(scene).still()
