"""Plate, bar, cylinder and ball of one modulus side by side: each computed alone, drawn in one picture.

In the picture they lie in one row of sand, but none feels another: each is far from all others.
"""

from dataclasses import dataclass, replace

import numpy as np

from castlab.field.bodies import moved
from castlab.field.freeze import freeze
from castlab.field.layout import Layout, Setup, box
from castlab.field.outcome import COARSE, FULL
from castlab.field.section import whole_section
from castlab.materials import flags
from castlab.teach.picture import raster
from castlab.teach.picture.scene import Label
from castlab.teach.trust.rule_beside_field import SHAPES, beside_words, farthest_off, hand_time, layout_of

PLACES = {"plate": (-13, -7), "bar": (-5, -1), "cylinder": (1, 5), "ball": (7, 13)}  # in moduli
DRAWN_SAND_M = 0.2  # of the drawing only: the picture shows nothing but sand round the row
CELLS = {COARSE: 3, FULL: 4}  # in a modulus
PIXELS = 12  # in a modulus, of the arrays that the picture is made of
TOGETHER = 0.03  # times that differ by less are called the same: they have two digits
ROUND = "the last liquid, in the middle, must give its heat through the metal that is solid"
REASONS = {
    "plate": "it leaves out what the metal itself does to the flow of heat",
    "bar": "the last liquid, in the middle, is farther from the corners than from the sides",
    "cylinder": ROUND,
    "ball": ROUND,
}


def row_layout(modulus):
    """The row as a drawing, for all shapes of that modulus [m]; the plate goes on to both sides.

    >>> [block.name for block in row_layout(0.010).blocks]
    ['plate', 'bar', 'cylinder', 'ball']
    """
    blocks = [_drawn(shape, modulus) for shape in SHAPES]
    across, up = 13.0 * modulus + DRAWN_SAND_M, 3.0 * modulus + DRAWN_SAND_M
    return Layout(tuple(blocks), (-across, -up, -up), (across, up, up), title="row of shapes")


def _drawn(shape, modulus):
    """One shape at its place in the row."""
    body = layout_of(shape, modulus).block(shape)
    left, right = (modulus * end for end in PLACES[shape])
    if shape == "plate":
        return box(shape, "casting", (left, right), *zip(body.low[1:], body.high[1:], strict=True))
    return moved(body, lambda place: (place[0] + 0.5 * (left + right), *place[1:]))


def modulus_of(layout):
    """The modulus of all shapes in a row [m]: that of a square bar is a quarter of its side."""
    bar = layout.block("bar")
    return 0.25 * (bar.high[1] - bar.low[1])


def freeze_row(setup, look=FULL, rough=None):
    """Freeze each shape of the row alone, as closely as the `look` says; `rough` is what a bench kept."""
    modulus = modulus_of(setup.layout)
    cell = modulus / CELLS[look]
    runs = {shape: freeze(replace(setup, layout=layout_of(shape, modulus)), cell, look.pace)
            for shape in SHAPES}
    times = {shape: run.last_time_s for shape, run in runs.items()}
    by_hand = {shape: hand_time(modulus, setup, SHAPES[shape][2]) for shape in SHAPES}
    return Row(setup, times, by_hand, _section(setup.layout, modulus, runs, times))


def _section(layout, modulus, runs, times):
    """All runs on one grid of small squares, each at its place, as shares of the longest time."""
    step, last = modulus / PIXELS, max(times.values())
    x = (np.arange(26 * PIXELS + 1) - 13 * PIXELS) * step
    y = (np.arange(6 * PIXELS + 1) - 3 * PIXELS) * step
    share = np.full((len(x) - 1, len(y) - 1), np.nan)
    for shape, run in runs.items():
        left, right = ((end + 13) * PIXELS for end in PLACES[shape])
        across = 0.5 * (x[left:right] + x[left + 1 : right + 1]) - 0.5 * modulus * sum(PLACES[shape])
        own_x, own_y, (frozen,) = whole_section(run.grid, (run.freeze_time_s / last,), 0.0)
        columns = np.clip(np.searchsorted(own_x, across) - 1, 0, len(own_x) - 2)  # the plate goes on
        rows = np.searchsorted(own_y, 0.5 * (y[1:] + y[:-1])) - 1
        share[left:right] = frozen[np.ix_(columns, rows)]
    empty = np.zeros(share.shape)
    middle = 0.5 * modulus * sum(PLACES[max(times, key=times.get)])
    return raster.Section(layout, x, y, share, empty, empty.astype(int), (middle, 0.0))


@dataclass(frozen=True, eq=False)
class Row:
    """When each shape was solid: in the field and by the hand rule [s] (None where no rule holds)."""

    setup: Setup
    times: dict
    by_hand: dict
    section: raster.Section

    @property
    def order(self):
        """The shapes in the order in which they are solid."""
        return sorted(self.times, key=self.times.get)

    @property
    def all_together(self):
        """Whether first and last are solid so nearly together that words do not tell them apart."""
        first, last = self.times[self.order[0]], self.times[self.order[-1]]
        return first > (1.0 - TOGETHER) * last

    def sentence(self, units):
        """Who is solid first and last, and where and why the rule is farthest off."""
        first, *middle, last = self.order
        size = units.length(modulus_of(self.setup.layout))
        said = {each: units.time(time, beside=self.times[last]) for each, time in self.times.items()}
        between = ", ".join(f"the {each} {said[each]}" for each in middle)
        order = (f"They are solid at nearly the same time: the {first} after {said[first]}, {between}, the "
                 f"{last} {said[last]}." if self.all_together else
                 f"The {first} is solid first, after {said[first]}, then {between}, last the {last}, "
                 f"{said[last]}.")
        return (f"All four have the modulus {size}. {order} "
                f"{farthest_off(self.by_hand, self.times, self._reason)}")

    def _reason(self, shape, off):
        if self.setup.mould.kind == "die":
            return "how well the die takes heat, and how warm it gets, counts for more than the shape"
        if off < 0.0:
            return REASONS[shape]
        return ("it keeps the surface of the metal at the solidus, but most of the heat leaves while the "
                "metal is hotter")

    def numbers(self, units):
        """Rule and field for each shape, then what the mould was and what must be said of the alloy."""
        name, last = self.setup.alloy.name, max(self.times.values())
        return (
            *((shape, beside_words(self.by_hand[shape], self.times[shape], units, last))
              for shape in self.times),
            *((f"{shape} time / plate time, field", f"{self.times[shape] / self.times['plate']:.2f}")
              for shape in self.times if shape != "plate"),
            ("mould before the pour", units.temperature(self.setup.mould_temp_c)),
            *((name, warning) for warning in flags(name)),
        )

    def labels(self, units):
        """Each shape with its time."""
        last = max(self.times.values())
        return tuple(Label(f"{block.name} {units.time(self.times[block.name], beside=last)}",
                           _near_edge(block, place % 2))
                     for place, block in enumerate(self.setup.layout.blocks))


def _near_edge(block, below):
    """A point just inside the upper or lower edge of a block; labels that take turns do not cross others."""
    share = 0.1 if below else 0.9
    return 0.5 * (block.low[0] + block.high[0]), block.low[1] + share * (block.high[1] - block.low[1])
