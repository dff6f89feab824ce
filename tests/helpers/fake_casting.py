"""A stand-in for the computed casting: quick, crude and wrong, to test benches and pictures alone."""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import distance_transform_edt

from castlab.field.layout import Layout, Setup, box
from castlab.field.outcome import FULL
from castlab.field.rigging import turned
from castlab.materials import alloy, alloy_names, mould
from castlab.teach.bench.bench import Bench
from castlab.teach.picture import raster
from castlab.teach.picture.scene import Label
from castlab.teach.sliders.slider import Slider


def plate(thickness=0.012, boss=0.04, feeder_width=0.0, feeder_height=0.05):
    """A plate that ends in a boss, with a gate at the thin end and a feeder on the boss."""
    middle, top = 0.05, 0.05 + thickness
    blocks = [
        box("plate", "casting", (0.03, 0.12), (middle, middle + thickness), (-0.025, 0.025)),
        box("boss", "casting", (0.12, 0.12 + boss), (top - boss, top), (-0.025, 0.025)),
        box("gate", "gate", (0.01, 0.03), (middle, middle + 0.004), (-0.01, 0.01)),
    ]
    if feeder_width > 0.0:
        centre = 0.12 + boss / 2
        blocks.append(box("feeder", "feeder", (centre - feeder_width / 2, centre + feeder_width / 2),
                          (top, top + feeder_height), (-0.02, 0.02)))
    return Layout(tuple(blocks), (-0.05, -0.05, -0.05), (0.3, 0.25, 0.05), title="eye plate")


def wheel(web=0.010):
    blocks = (
        turned("hub", "casting", (0.0, 0.02), (0.0, 0.04)),
        turned("web", "casting", (0.02, 0.05), (0.015, 0.015 + web)),
        turned("rim", "casting", (0.05, 0.065), (0.005, 0.035)),
        turned("feeder", "feeder", (0.0, 0.018), (0.04, 0.09)),
    )
    return Layout(blocks, (-0.12, -0.05, -0.12), (0.12, 0.15, 0.12), title="sheave")


def setup_of(values):
    return Setup(plate(values["thickness"], values["boss"], values["feeder_width"], values["feeder_height"]),
                 alloy(values["alloy"]), mould(values["mould"]), values["pour_temp_c"])


@dataclass(frozen=True, eq=False)
class FakeResult:
    """Has what a bench asks of a result."""

    setup: Setup
    cell: float
    section: raster.Section
    last_s: float
    defect_m3: float

    @property
    def sound(self):
        return self.defect_m3 == 0.0

    def sentence(self, units):
        if self.sound:
            return f"Sound, poured at {units.temperature(self.setup.pour_temp_c)}."
        return f"A sink of {units.volume(self.defect_m3)} on the boss."

    def numbers(self, units):
        return (("last metal solid", units.time(self.last_s)), ("defects", units.volume(self.defect_m3)))

    def labels(self, units):
        last = Label("last to freeze", self.section.last_place)
        return (last,) if self.sound else (last, Label("sink", (0.14, 0.06), strong=True))


def solve(setup, look=FULL, rough=None):
    """Freezing time from the distance to the mould; a sink unless a feeder is wider than the boss."""
    layout, cell = setup.layout, look.cell
    x = np.arange(layout.low[0], layout.high[0] + cell / 2, cell)
    y = np.arange(layout.low[1], layout.high[1] + cell / 2, cell)
    metal = np.zeros((len(x) - 1, len(y) - 1), dtype=bool)
    for block in layout.blocks:
        across = (x[:-1] + cell / 2 > block.low[0]) & (x[:-1] + cell / 2 < block.high[0])
        up = (y[:-1] + cell / 2 > block.low[1]) & (y[:-1] + cell / 2 < block.high[1])
        metal |= across[:, None] & up[None, :]
    distance = distance_transform_edt(np.pad(metal, 1))[1:-1, 1:-1] * cell
    times = np.where(metal, 1.5e6 * distance**2 + 2.0, np.nan)
    i, j = np.unravel_index(np.nanargmax(times), times.shape)
    void, kind = np.zeros(metal.shape), np.zeros(metal.shape, dtype=int)
    feeder = [block for block in layout.blocks if block.role == "feeder"]
    fed = bool(feeder) and feeder[0].high[0] - feeder[0].low[0] > 0.03
    target = feeder[0] if fed else layout.blocks[1]
    inside = metal & (x[:-1] > target.low[0])[:, None] & (x[:-1] < target.high[0])[:, None]
    inside &= (y[1:] < target.high[1])[None, :] & (y[1:] > target.high[1] - 0.012)[None, :]
    void[inside], kind[inside] = 0.9, raster.HARMLESS if fed else raster.SINK
    last, place = float(times[i, j]), (x[i] + cell / 2, y[j] + cell / 2)
    section = raster.Section(layout, x, y, times / last, void, kind, place)
    return FakeResult(setup, cell, section, last, 0.0 if fed else float(void.sum()) * cell**2 * 0.05)


def sliders():
    """The sliders of a small bench."""
    return [
        Slider("thickness", "section thickness", "length", "the part", 0.012, 0.006, 0.024, 0.001),
        Slider("boss", "heavy-end size", "length", "the part", 0.040, 0.030, 0.060, 0.002),
        Slider("alloy", "alloy", "choice", "metal and mould", "ZA-12", options=alloy_names()),
        Slider("mould", "mould", "choice", "metal and mould", "green sand",
               options=("green sand", "dry silica sand")),
        Slider("pour_temp_c", "pouring temperature", "temperature", "metal and mould", 490.0, 430.0, 540.0,
               5.0),
        Slider("feeder_width", "feeder width", "length", "feeding", 0.0, 0.0, 0.05, 0.002),
        Slider("feeder_height", "feeder height", "length", "feeding", 0.05, 0.02, 0.09, 0.005),
    ]


def pouring_follows_alloy(values):
    """The alloy's usual pouring temperatures, and the middle of them."""
    low, high = alloy(values["alloy"]).pour_range_c
    return {"pour_temp_c": (low, high, 0.5 * (low + high))}


class Counter:
    """A solver that remembers what it was asked."""

    def __init__(self):
        self.asked = []

    def __call__(self, setup, look, rough):
        self.asked.append((setup, look))
        return solve(setup, look)


def bench(solver=solve, hidden=False):
    return Bench(sliders(), setup_of, solver, {"alloy": pouring_follows_alloy}, hidden=hidden)
