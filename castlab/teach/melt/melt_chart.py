"""The chart of a melt: what the display shows and how hot the metal is, against time.

A `MeltChart` is drawn once; while its axes stay as they are, only lines, marks and words are drawn over a
stored background. So the axes change in steps.
"""

import io
import math
from dataclasses import dataclass

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator
from PIL import Image

from castlab.teach.melt.melt import Melt, MeltSetup
from castlab.teach.picture.picture import DPI, FONT_PT, HEIGHT, WIDTH
from castlab.units import METRIC

METAL, DISPLAY, WINDOW = "#0b3c6f", "#c24a00", "#5b5b5b"  # colour-blind eyes have the strokes as well
MELTING = "#e9e4d4"
LEFT, RIGHT, BOTTOM, TOP = 0.085, 0.985, 0.125, 0.93
NICE = (1.0, 2.0, 2.5, 5.0, 10.0)
MINUTE = 60.0
LENGTHS = (30, 45, 60, 90, 120, 180, 240, 360, 480, 720, 960)  # of the time axis [min]
UNKNOWN = 60.0  # minutes, before anything is computed
HEIGHT_STEP_C = 100.0
ROOM_ABOVE = 1.2  # of the hottest thing shown
LEGEND_TOP, LEGEND_LEFT = 0.36, 0.48  # of the chart's height and width
APART = 0.07  # of the height: two freezing lines nearer than this get one label


@dataclass(frozen=True, eq=False)
class MeltScene:
    """One state of the chart: setup, melt (None while it is hidden), whether it is out of date."""

    setup: MeltSetup | None
    melt: Melt | None
    greyed: bool = False


class MeltChart:
    """Displayed and true temperature against time: `show(scene)`, then `png()`.

    units   temperatures are in these         scale   pixels per screen pixel: 2 for print
    """

    def __init__(self, units=METRIC, scale=1):
        self.units, self._frame, self._background = units, None, None
        self.figure = Figure(figsize=(WIDTH / DPI, HEIGHT / DPI), dpi=DPI * scale, facecolor="white")
        self.canvas = FigureCanvasAgg(self.figure)
        self.axes = self.figure.add_axes((LEFT, BOTTOM, RIGHT - LEFT, TOP - BOTTOM))
        self.axes.spines[["top", "right"]].set_visible(False)
        self.axes.tick_params(labelsize=FONT_PT)
        self.axes.xaxis.set_major_locator(MaxNLocator(8, steps=NICE))
        self.axes.yaxis.set_major_locator(MaxNLocator(6, steps=NICE))
        self.axes.set_xlabel("minutes after switching on", size=FONT_PT)
        self._unit_words = self.figure.text(0.01, 0.965, "", size=FONT_PT, va="center")
        self._make_moving_parts()

    def _make_moving_parts(self):
        axes, words = self.axes, {"size": FONT_PT, "va": "center"}
        self._melting = axes.add_patch(Rectangle((0, 0), 0, 1, color=MELTING, lw=0))
        self._melting_words = axes.text(0, 0, "metal melts", ha="center", **words)
        self._freezing = [axes.plot([], [], color="black", lw=1.0, ls=(0, (1, 3)))[0] for _ in range(2)]
        self._freezing_words = [axes.text(0, 0, "", ha="right", **words) for _ in range(2)]
        (self._set,) = axes.plot([], [], color=DISPLAY, lw=1.0, ls=(0, (1, 2)))
        self._set_words = axes.text(0, 0, "", **words)
        (self._window,) = axes.plot([], [], color=WINDOW, lw=15, solid_capstyle="butt", alpha=0.5,
                                    label="the usual pouring range asks for")
        (self._display,) = axes.plot([], [], color=DISPLAY, lw=2.2, ls=(0, (5, 2)), label="the display shows")
        (self._metal,) = axes.plot([], [], color=METAL, lw=3.2, label="the metal is at")
        (self._ready,) = axes.plot([], [], ls="", marker="o", ms=9, mfc="white", mec=METAL, mew=2.5)
        self._ready_words = axes.text(0, 0, "", ha="right", weight="bold", **words)
        self._other_words = axes.text(0.5, 0.5, "", transform=axes.transAxes, ha="center", **words)
        self._legend = axes.legend(loc="lower right", fontsize=FONT_PT, framealpha=0.9, borderaxespad=0.3,
                                   reverse=True)
        veil = Rectangle((0, 0), 1, 1, transform=axes.transAxes, color="white", alpha=0.7)
        self._veil = axes.add_patch(veil)
        self._moving = [self._melting, self._melting_words, *self._freezing, *self._freezing_words,
                        self._set, self._set_words, self._window, self._display, self._metal, self._ready,
                        self._ready_words, self._legend, self._other_words, self._veil]
        for artist in self._moving:
            artist.set_animated(True)

    def speak(self, units):
        """Show temperatures in other units from the next scene on."""
        self.units = units

    def show(self, scene):
        """Set everything to this scene."""
        setup = scene.setup or scene.melt.setup
        melt = scene.melt if scene.melt and scene.melt.run else None
        self._set_frame(setup, melt)
        self._show_freezing(setup.alloy)
        self._show_curves(melt)
        self._show_melting(melt)
        self._show_ready(melt if melt and melt.ready is not None else None)
        self._show_set_point(setup.set_point_c)
        state = "the result is hidden" if scene.melt is None else "the furnace does not get there"
        self._other_words.set_text("" if melt else state)
        self._veil.set_visible(scene.greyed)
        return self

    def png(self):
        """The chart as the bytes of a PNG."""
        if self._background is None:
            self.canvas.draw()
            self._background = self.canvas.copy_from_bbox(self.figure.bbox)
        self.canvas.restore_region(self._background)
        for artist in self._moving:
            self.axes.draw_artist(artist)
        file = io.BytesIO()
        pixels = np.asarray(self.canvas.buffer_rgba())[:, :, :3]
        Image.fromarray(np.ascontiguousarray(pixels)).save(file, "PNG", compress_level=1)
        return file.getvalue()

    def _shown(self, temp_c):
        return self.units.temperatures.shown(temp_c)

    def _set_frame(self, setup, melt):
        """Axes long and high enough, in steps; they change seldom, and with them the background."""
        hottest = max(setup.set_point_c, setup.alloy.pour_range_c[1])
        if melt:
            hottest = max(hottest, float(melt.run.display_c.max()) + setup.sensor_error)
        minutes = melt.run.time[-1] / MINUTE if melt else UNKNOWN
        minutes = next((each for each in LENGTHS if each >= minutes), LENGTHS[-1])
        high_c = HEIGHT_STEP_C * math.ceil(ROOM_ABOVE * hottest / HEIGHT_STEP_C)
        frame = minutes, high_c, self.units.name
        if frame == self._frame:
            return
        self._frame, self._minutes, self._high, self._background = frame, minutes, self._shown(high_c), None
        self.axes.set(xlim=(0, minutes), ylim=(0, self._high))
        self._unit_words.set_text(f"temperature, {self.units.temperatures.unit}")

    def _show_set_point(self, temp_c):
        at = self._shown(temp_c)
        self._set.set_data([0, self._minutes], [at, at])
        self._set_words.set_text(f"set: {self.units.temperature(temp_c)}")
        self._set_words.set_position((0.01 * self._minutes, at + 0.035 * self._high))

    def _show_freezing(self, alloy):
        """Lines where the metal begins and ends to melt, with their words at the right."""
        low, high = self._shown(alloy.solidus_c), self._shown(alloy.liquidus_c)
        below, above = (self.units.temperature(each) for each in (alloy.solidus_c, alloy.liquidus_c))
        words = f"solid below {below}", f"liquid above {above}"
        if high - low < APART * self._high:
            words = f"melts at {above}" if alloy.is_pure else f"melts from {below} to {above}", ""
        lines = zip(self._freezing, self._freezing_words, (low, high), words, strict=True)
        for line, text, at, said in lines:
            line.set_data([0, self._minutes], [at, at])
            right = 0.99 if at > LEGEND_TOP * self._high else LEGEND_LEFT  # words keep clear of the legend
            text.set_position((right * self._minutes, at - 0.03 * self._high))
            text.set_text(said)

    def _show_curves(self, melt):
        if melt is None:
            self._metal.set_data([], [])
            self._display.set_data([], [])
            return
        minutes = melt.run.time / MINUTE
        self._metal.set_data(minutes, self._shown(melt.run.metal_c))
        self._display.set_data(minutes, self._shown(melt.run.display_c + melt.setup.sensor_error))

    def _show_melting(self, melt):
        begun = melt.melting_from if melt else None
        self._melting.set_visible(begun is not None)
        self._melting_words.set_visible(begun is not None)
        if begun is not None:
            start, end = begun / MINUTE, (melt.all_liquid or float(melt.run.time[-1])) / MINUTE
            self._melting.set_bounds(start, 0, end - start, self._high)
            self._melting_words.set_position((0.5 * (start + end), 0.97 * self._high))

    def _show_ready(self, melt):
        for artist in (self._ready, self._ready_words, self._window):
            artist.set_visible(melt is not None)
        if melt is None:
            return
        at, temp_c = melt.ready / MINUTE, melt.metal_c(melt.ready)
        self._ready.set_data([at], [self._shown(temp_c)])
        self._window.set_data([at, at], self._shown(np.array(window_in_furnace(melt))))
        self._ready_words.set_text(f"ready: {self.units.time(melt.ready)}, {self.units.temperature(temp_c)}")
        self._ready_words.set_position((at - 0.02 * self._minutes, self._shown(temp_c) + 0.08 * self._high))


def window_in_furnace(melt):
    """Between which temperatures metal must leave the furnace to enter the mould as is usual: (low, high)."""
    return tuple(melt.way(mould_c).furnace_c for mould_c in melt.alloy.pour_range_c)
