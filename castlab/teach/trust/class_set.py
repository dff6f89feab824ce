"""Twenty plain castings for a class, from a published laboratory sheet: five shapes at four volumes.

Sizes, moduli, the hand rule's time, and the field's. Other processes import this module, so it loads no
widgets and no drawing library.
"""

import math
from dataclasses import dataclass
from functools import cache

from castlab.field import bodies
from castlab.field.freeze import freeze
from castlab.field.layout import Layout, Setup, box
from castlab.materials import alloy, mould, read_data
from castlab.rules import modulus
from castlab.rules.freezing import freezing_time_in_sand

CELLS_A_MODULUS, SAND_M = 4, 0.12
# The hand rule's nearest shape: what bends its surface.
RULE_SHAPES = {"sphere": "ball", "cylinder": "bar", "cube": "square bar", "square plate": "plate",
               "long plate": "plate"}


@dataclass(frozen=True)
class PlainCasting:
    """One of the twenty: its shape, the volume that the sheet means it to have [m3], and its sizes [m].

    sizes   diameter of a sphere; diameter and height of a cylinder; else length, width, thickness
    """

    shape: str
    meant: float
    sizes: tuple[float, ...]

    @property
    def name(self):
        """Such as "cube of 300 cm3"."""
        return f"{self.shape} of {1e6 * self.meant:.0f} cm3"

    @property
    def modulus(self):
        """Volume over surface [m], all of it cooling.

        >>> cube = PlainCasting("cube", 1e-3, (0.1, 0.1, 0.1))
        >>> round(cube.modulus, 4), round(cube.volume, 6)  # by hand: a sixth of the side
        (0.0167, 0.001)
        """
        if self.shape == "sphere":
            return modulus.ball(*self.sizes)
        return modulus.cylinder(*self.sizes) if self.shape == "cylinder" else modulus.box(*self.sizes)

    @property
    def volume(self):
        """Volume of the sizes [m3]."""
        if self.shape == "sphere":
            return math.pi / 6.0 * self.sizes[0] ** 3
        if self.shape == "cylinder":
            return math.pi / 4.0 * self.sizes[0] ** 2 * self.sizes[1]
        return math.prod(self.sizes)

    def layout(self):
        """Alone in sand on all sides."""
        if self.shape == "sphere":
            body = bodies.ball("body", "casting", (0.0, 0.0, 0.0), *self.sizes)
        elif self.shape == "cylinder":
            half = 0.5 * self.sizes[1]
            body = bodies.cylinder("body", "casting", "y", (0.0, 0.0), self.sizes[0], (-half, half))
        else:
            length, width, thick = ((-0.5 * size, 0.5 * size) for size in self.sizes)
            body = box("body", "casting", length, thick, width)
        low, high = ([each + sign * SAND_M for each in ends]
                     for ends, sign in ((body.low, -1.0), (body.high, 1.0)))
        return Layout((body,), tuple(low), tuple(high), title=self.name)


@cache
def class_set():
    """All twenty, in the order of the sheet."""
    return tuple(PlainCasting(row["shape"], 1e-6 * row["volume_cm3"],
                              tuple(1e-2 * size for size in row["sizes_cm"]))
                 for row in read_data("class_set")["bodies"])


def setup_of(casting, metal, sand):
    """The pour of a plain casting, in the middle of the alloy's usual range; `metal`, `sand` by name."""
    return Setup(casting.layout(), alloy(metal), mould(sand), 0.5 * sum(alloy(metal).pour_range_c))


def by_rule(casting, setup):
    """When the hand rule has it solid [s]."""
    return freezing_time_in_sand(casting.modulus, setup.alloy, setup.mould, setup.pour_temp_c,
                                 RULE_SHAPES[casting.shape])


def by_field(pour):
    """When its last metal is solid in the field [s]; `pour` is a PlainCasting and its Setup."""
    casting, setup = pour
    return freeze(setup, casting.modulus / CELLS_A_MODULUS).last_time_s
