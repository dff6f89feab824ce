"""How a casting freezes, moment by moment, packed for a browser: of each pixel, when what happens to it.

Three moments say it all: when crystals begin, when the metal is solid, when it has become a hole. So a whole
film is one small picture of moments; whoever shows it compares them with the moment that is to be seen.
"""

import io
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from castlab.field.history import history
from castlab.field.layout import METAL_ROLES
from castlab.field.section import middle_plane, whole_section
from castlab.teach.picture import raster
from castlab.teach.picture.hollows import SEEN, hollows
from castlab.teach.picture.smooth import Blend, carried_outward
from castlab.teach.picture.timeline import marks_of, words_of

FRAMES = 121  # moments, at equal times from the pour to the last solid metal
NEVER = 255  # in place of a moment
WIDTH, TALLEST = 672, 330  # pixels
# Light, middle, dark: told apart in grey too; mush has strokes besides.
COLOURS = {"liquid": (255, 214, 90), "mush": (226, 120, 60), "strokes": (70, 16, 0), "solid": (70, 84, 110),
           "hole": (255, 255, 255), "edge": (0, 0, 0)}
BEGUN = 0.02  # solid fraction from which on metal is mush


@dataclass(frozen=True, eq=False)
class Reel:
    """A film.

    times_s     [s]   of the frames
    still             bytes of a PNG: mould, bodies, outlines; the film paints metal over it
    moments           bytes of a PNG of that size: as red, green and blue the frame from which on a pixel is
                      mush, solid, a hole; NEVER in all three where there is no metal to paint
    supplied    [m3]  by each supplier until each frame: {supplier: tuple}
    marks             (words, time [s]) of each way that closes
    words             what happens in each frame
    """

    times_s: tuple
    still: bytes
    moments: bytes
    supplied: dict
    marks: tuple
    words: tuple


def reel_of(account, section, units):
    """The film of a casting, as its bench shows it.

    Parameters: `account` (Shrinkage); `section`, the `raster.Section` of its end; `units` in which its words
    speak. Returns a Reel.
    """
    past = history(account)
    times = np.linspace(0.0, account.run.last_time_s, FRAMES)
    low, high = raster.bounds([section.layout], margin=0.04)
    tall = min(TALLEST, round(WIDTH * (high[1] - low[1]) / (high[0] - low[0])))
    view = raster.View(low, high, WIDTH, tall)
    plain = replace(section, x_edges=None, y_edges=None, frozen_share=None)
    pixels, codes = raster.paint(plain, view, np.zeros((1, 3), dtype=np.uint8))
    metal = raster.codes_of(codes, METAL_ROLES)
    painted = metal & (pixels[:, :, :3] == raster.INKS[codes]).all(axis=2)
    moments = np.full((*metal.shape, 3), NEVER, dtype=np.uint8)
    moments[painted] = _moments(account.run, past, section, view, metal, times)[painted]
    supplied = {name: tuple(np.interp(times, past.times_s, volumes).tolist())
                for name, volumes in past.supplied.items()}
    return Reel(tuple(times.tolist()), _png(pixels[:, :, :3]), _png(moments), supplied, marks_of(account),
                words_of(account, times, supplied, units))


def _png(pixels):
    file = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(pixels)).save(file, "PNG", compress_level=4)
    return file.getvalue()


def _moments(run, past, section, view, metal, times):
    """The three moments of every pixel, as frames."""
    begun_s = run.freeze_time_s.ravel()[run.metal_cells]
    if run.setup.alloy.arrest_fraction > 0.0:  # else it freezes at one temperature and is never mush
        begun_s = _reached_s(run.times_s, run.solid, BEGUN)
    opened_s = _reached_s(past.times_s, past.void, 0.5 * past.void[-1])
    begun, opened = (run.on_grid(each) for each in (begun_s, opened_s))
    plane = middle_plane(section.layout) if section.plane is None else section.plane
    begun, solid, opened = whole_section(run.grid, (begun, run.freeze_time_s, opened), plane)[2]
    known, blend = np.isfinite(section.frozen_share), Blend(section.x_edges, section.y_edges, view)
    mush, solid = (blend.spread(carried_outward(each, known)) for each in (begun, solid))
    weight = np.where(known, section.void, 0.0) ** 2  # what lacks little opens with what is round it
    hole, weights = (blend.spread(carried_outward(each, weight > SEEN**2))
                     for each in (weight * np.nan_to_num(opened), weight))
    mush, solid, hole = (_frames(each, times) for each in (mush, solid, hole / np.maximum(weights, 1e-12)))
    shown = hollows(section, view, metal, raster.HOLLOW, raster.HARMLESS, raster.SINK) > 0
    return np.stack([np.minimum(mush, solid), solid, _from_above(hole, shown, section.layout)], axis=2)


def _from_above(hole, shown, layout):
    """When each pixel that is `shown` as a hole opens: none before the one above it; NEVER elsewhere."""
    opens = np.where(shown, hole, NEVER)
    rows = opens.T if layout.up_axis == 0 else opens
    falls = layout.up_sign < 0 if layout.up_axis == 1 else layout.up_sign > 0  # rows run down, columns right
    rows = rows[::-1] if falls else rows
    for above, row in zip(rows[:-1], rows[1:], strict=True):
        np.maximum(row, above, out=row, where=(row < NEVER) & (above < NEVER))
    return opens


def _reached_s(times_s, values, level):
    """When the values (rows: times, columns: cells) first reach a level [s], between two snapshots."""
    after = np.maximum((values >= level).argmax(axis=0), 1)
    cells = np.arange(values.shape[1])
    before, here = values[after - 1, cells], values[after, cells]
    share = np.clip((level - before) / np.maximum(here - before, 1e-9), 0.0, 1.0)
    return times_s[after - 1] + share * (times_s[after] - times_s[after - 1])


def _frames(moments_s, times):
    """The first frame in which these moments [s] have passed."""
    return np.clip(np.ceil(moments_s / times[-1] * (len(times) - 1)), 0, len(times) - 1).astype(np.uint8)
