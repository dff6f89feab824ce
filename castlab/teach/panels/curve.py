"""A rule as a curve: axes, areas, lines and dots as HTML that any browser draws, with its words below.

All numbers are those that the reader sees, in the reader's units. What differs has other strokes or another
shape, so that it is told apart in grey and without colours.

>>> line = Line(((0.0, 0.0), (10.0, 4.0)), "the rule")
>>> axes = Axis("size [mm]", 0.0, 10.0), Axis("time [s]", 0.0, 5.0)
>>> drawn = drawing(Curve("Twice as thick.", *axes, lines=(line,)))
>>> "the rule" in drawn and "Twice as thick." in drawn
True
"""

import html
import zlib
from dataclasses import dataclass

import numpy as np
from matplotlib.ticker import MaxNLocator

from castlab.teach.text import markup
from castlab.units import raised

WIDE, TALL = 560, 300  # pixels on the screen
LEFT, RIGHT, ABOVE, BELOW = 52, 16, 14, 44  # of these, round the axes
LETTER = 7.3  # mean width of a letter, to know how long words are
ROW = 15  # from one line of words to the next
TICKS = MaxNLocator(6, steps=(1, 2, 2.5, 5, 10))
INK = "#1a1a1a"
STROKES = ("", "8 5", "2 4", "12 4 2 4")  # of lines: whole, broken, dotted, both
SHAPES = {  # round the middle
    "circle": '<circle r="6"/>', "square": '<path d="M-5.5 -5.5 H5.5 V5.5 H-5.5 Z"/>',
    "triangle": '<path d="M0 -7 L7 6 L-7 6 Z"/>', "diamond": '<path d="M0 -8 L8 0 L0 8 L-8 0 Z"/>',
}
FILLS = {"plain": "#ffffff", "light": "#ececec", "hatched": None}  # of areas


@dataclass(frozen=True)
class Axis:
    """What an axis says, and the numbers at its ends; the first may be the larger one."""

    words: str
    first: float
    last: float


@dataclass(frozen=True)
class Line:
    """Points (across, up) in a row, the words at its end, and one of the STROKES."""

    points: tuple
    words: str = ""
    stroke: str = ""


@dataclass(frozen=True)
class Dot:
    """A mark with its words beside it: one of SHAPES, black or empty; `strong` where the bench stands."""

    across: float
    up: float
    words: str = ""
    shape: str = "circle"
    filled: bool = True
    strong: bool = False


@dataclass(frozen=True)
class Area:
    """A region by its corners, one of FILLS, and its words with the place (across, up) of their middle."""

    points: tuple
    fill: str = "plain"
    words: str = ""
    place: tuple = ()


@dataclass(frozen=True)
class Curve:
    """What is drawn, and `words` that say it to who cannot see it."""

    words: str
    across: Axis
    up: Axis
    areas: tuple = ()
    lines: tuple = ()
    dots: tuple = ()


def drawing(curve):
    """A curve as HTML: the drawing, and its words below."""
    place = _Place(curve)
    parts = [*(_area(area, place) for area in curve.areas), _axes(curve, place),
             *(_line(line, place) for line in curve.lines), *_dots(curve.dots, place),
             *_line_words(curve, place)]
    inside = "".join(parts)
    name = f"castlab-hatch-{zlib.crc32(inside.encode()):x}"
    hatch = (f'<pattern id="{name}" width="9" height="9" patternUnits="userSpaceOnUse" '
             f'patternTransform="rotate(45)"><path d="M0 0 V9" stroke="#8a8a8a" stroke-width="3"/></pattern>')
    frame = (f'<svg viewBox="0 0 {WIDE} {TALL}" style="width:100%; max-width:{WIDE}px; height:auto; '
             f'display:block" font-size="13" fill="{INK}" aria-hidden="true"><defs>{hatch}</defs>'
             f'{inside.replace("HATCH", name)}</svg>')
    return f'<div>{frame}{markup.paragraph(curve.words)}</div>'


class _Place:
    """From the numbers of the axes to pixels."""

    def __init__(self, curve):
        self._across, self._up = curve.across, curve.up

    def x(self, value):
        share = (value - self._across.first) / (self._across.last - self._across.first)
        return LEFT + (WIDE - LEFT - RIGHT) * share

    def y(self, value):
        share = (value - self._up.first) / (self._up.last - self._up.first)
        return TALL - BELOW - (TALL - ABOVE - BELOW) * share

    def path(self, points):
        inside = [(self.x(across), np.clip(self.y(up), ABOVE, TALL - BELOW)) for across, up in points]
        return "M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in inside)


def _axes(curve, place):
    floor, parts = TALL - BELOW, []
    for value in _ticks(curve.across):
        x = place.x(value)
        parts.append(f'<path d="M{x:.1f} {floor} v5" stroke="{INK}"/>')
        parts.append(_words(x, floor + 18, f"{value:g}", "middle"))
    for value in _ticks(curve.up):
        y = place.y(value)
        parts.append(f'<path d="M{LEFT} {y:.1f} h-5" stroke="{INK}"/>')
        parts.append(_words(LEFT - 8, y + 4, f"{value:g}", "end"))
    middle = LEFT + 0.5 * (WIDE - LEFT - RIGHT)
    parts.append(f'<path d="M{LEFT} {ABOVE} V{floor} H{WIDE - RIGHT}" stroke="{INK}" fill="none"/>')
    parts.append(_words(middle, TALL - 6, curve.across.words, "middle"))
    turned = f'transform="rotate(-90 13 {0.5 * (ABOVE + floor):.0f})"'
    parts.append(_words(13, 0.5 * (ABOVE + floor), curve.up.words, "middle", turned))
    return "".join(parts)


def _ticks(axis):
    low, high = sorted((axis.first, axis.last))
    slack = 1e-9 * (high - low)
    return [value for value in TICKS.tick_values(low, high) if low - slack <= value <= high + slack]


def _area(area, place):
    fill = FILLS[area.fill] or "url(#HATCH)"
    return f'<path d="{place.path(area.points)} Z" fill="{fill}" stroke="none"/>'


def _line(line, place):
    dashes = f' stroke-dasharray="{line.stroke}"' if line.stroke else ""
    return f'<path d="{place.path(line.points)}" fill="none" stroke="{INK}" stroke-width="2.2"{dashes}/>'


def _dots(dots, place):
    """Marks, and their words beside them: to the left where there is no room to the right, in rows apart."""
    at = [(place.x(dot.across), np.clip(place.y(dot.up), ABOVE, TALL - BELOW)) for dot in dots]
    rows = iter(_rows_apart([y + 4 for dot, (_, y) in zip(dots, at, strict=True) if dot.words]))
    parts = []
    for dot, (x, y) in zip(dots, at, strict=True):
        fill = INK if dot.filled else "#fff"
        parts.append(f'<g transform="translate({x:.1f} {y:.1f})" fill="{fill}" stroke="{INK}" '
                     f'stroke-width="1.8">{SHAPES[dot.shape]}{_ring() if dot.strong else ""}</g>')
        if dot.words:
            left = x + 14 + LETTER * len(dot.words) > WIDE
            x, anchor = (x - 14, "end") if left else (x + 14, "start")
            parts.append(_words(x, next(rows), dot.words, anchor))
    return parts


def _ring():
    return '<circle r="11" fill="none" stroke-width="2.2"/>'


def _rows_apart(wanted):
    """Rows of words near those that are wanted, in the same order from top to bottom, none over another."""
    order, rows = np.argsort(wanted, kind="stable"), np.array(wanted, dtype=float)
    for before, after in zip(order, order[1:], strict=False):
        rows[after] = max(rows[after], rows[before] + ROW)
    lowest = TALL - BELOW - 3
    for after, before in zip([None, *order[::-1]], order[::-1], strict=False):
        rows[before] = min(rows[before], lowest if after is None else rows[after] - ROW)
    return rows


def _line_words(curve, place):
    """Words of areas in their middles, and those of lines."""
    parts = []
    for area in curve.areas:
        if area.words:
            x, half = place.x(area.place[0]), 0.5 * LETTER * len(area.words) + 4
            x = np.clip(x, LEFT + half, WIDE - RIGHT - half)
            parts.append(_words(x, place.y(area.place[1]) + 4, area.words, "middle"))
    return parts + [_end_words(line, place) for line in curve.lines if line.words]


def _end_words(line, place):
    """Words of a line: left of the end of a rising one, right of the middle of a falling one."""
    inside = [(place.x(across), place.y(up)) for across, up in line.points]
    inside = [at for at in inside if ABOVE <= at[1] <= TALL - BELOW] or inside[-1:]
    (x0, y0), (x, y) = inside[0], inside[-1]
    if y <= y0:
        room = x - LETTER * len(line.words) > LEFT
        return _words(x - 6 if room else x + 4, y - 6, line.words, "end" if room else "start")
    return _words(0.5 * (x0 + x) + 10, 0.5 * (y0 + y) - 6, line.words, "start")


def _words(x, y, words, anchor, more=""):
    """Words within a white edge, so that they are read over lines and hatches."""
    return (f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" stroke="#fff" stroke-width="4" '
            f'paint-order="stroke" {more}>{raised(html.escape(words))}</text>')
