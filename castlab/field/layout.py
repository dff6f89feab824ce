"""What lies where: casting, feeder, gate, chill, sleeve, core, and the mould round them."""

import math
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between, require_known, require_positive
from castlab.field.forms import Ball, Cone, Disc, Prism
from castlab.field.mesh import Mesh
from castlab.field.shares import overlap
from castlab.field.turned import Turned
from castlab.materials import Alloy, Mould
from castlab.units import given, phrase

METAL_ROLES = ("casting", "feeder", "gate")
ROLES = (*METAL_ROLES, "chill", "sleeve", "core")
AXIS_NAMES = ("x", "y", "z")
UPS = ("+x", "-x", "+y", "-y", "+z", "-z")

SMALLEST_M, LARGEST_M = 0.5e-3, 2.0  # sizes outside this are slips of the keyboard, not castings
TOUCH_M = 1e-9  # closer than this counts as touching, not overlapping
HIGHEST_SUPERHEAT_K = 500.0
COLDEST_MOULD_C = -20.0


@dataclass(frozen=True)
class Block:
    """One body in the mould: a straight box, or what its `form` says.

    `low` and `high` are its corners [m]. `material` is what a chill, sleeve or core is made of (a core
    without one is made of the mould's own material). A core may lie within metal: there is none where the
    core is. Make blocks with `box` and with `castlab.field.bodies`.
    """

    name: str
    role: str
    low: tuple[float, ...]
    high: tuple[float, ...]
    material: Mould | None = None
    form: Prism | Cone | Ball | Turned | Mesh | None = None  # of what is not a straight box
    reaches_in: bool = False  # whether the casting may take some of its room, as on a round face

    def __post_init__(self):
        require_known("role", self.role, ROLES)
        for axis, low, high in zip(AXIS_NAMES, self.low, self.high, strict=True):
            require_size(f"size of {self.name} along {axis}", high - low)
        if self.role in ("chill", "sleeve") and self.material is None:
            raise InputError(f"material of {self.name}", None, f"a {self.role} must name what it is made of")
        if self.role in METAL_ROLES and self.material is not None:
            raise InputError(
                f"material of {self.name}", self.material.name, "metal takes the alloy of the setup"
            )

    @property
    def is_metal(self):
        """Whether the alloy of the setup fills it: casting, feeder, gate and the like."""
        return self.role in METAL_ROLES

    @property
    def depth(self):
        """Size across the picture [m]."""
        return self.high[2] - self.low[2]

    @property
    def middle(self):
        """Its middle [m]; of a ring, the middle of its wall on the left."""
        middle = tuple(0.5 * (low + high) for low, high in zip(self.low, self.high, strict=True))
        flat = isinstance(self.form, Prism) and self.form.flat
        if not (isinstance(flat, Disc) and flat.inner):
            return middle
        across = 1 if self.form.axis == 0 else 0
        wall = 0.5 * (flat.radius + flat.inner)
        return tuple(each - wall if axis == across else each for axis, each in enumerate(middle))

    @property
    def volume(self):
        """Volume of a solid body [m3]."""
        return (
            self.form.volume
            if self.form
            else math.prod(high - low for low, high in zip(self.low, self.high, strict=True))
        )


def box(name, role, x, y, z, material=None):
    """A block with straight sides along the axes; `x`, `y` and `z` are (from, to) [m]: a Block.

    Parameters: `name`, its own; `role`, one of ROLES; `material` as in Block. Raises InputError for a size
    that cannot be.

    >>> box("plate", "casting", (0.0, 0.12), (0.0, 0.012), (0.0, 0.04)).high
    (0.12, 0.012, 0.04)
    """
    spans = [(coordinate(name, low), coordinate(name, high)) for low, high in (x, y, z)]
    low, high = zip(*spans, strict=True)
    return Block(name, role, low, high, material)


@dataclass(frozen=True)
class Layout:
    """All blocks, the flask they lie in, and which way is up.

    x runs to the right, y up and z to the front in the picture. `low` and `high` are the corners of the flask
    [m]. Metal that reaches the flask's upper face is open to the air there.
    """

    blocks: tuple[Block, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    up: str = "+y"
    title: str = "casting"

    def __post_init__(self):
        require_known("up", self.up, UPS)
        if not any(block.role == "casting" for block in self.blocks):
            raise InputError(
                "blocks", [block.name for block in self.blocks], "one of them must be the casting"
            )
        names = [block.name for block in self.blocks]
        if len(set(names)) < len(names):
            raise InputError("names of the blocks", names, "each block needs a name of its own")
        for block in self.blocks:
            self._check_block(block)
        for i, first in enumerate(self.blocks):
            for second in self.blocks[i + 1 :]:
                if first.role != second.role and not _may_share(first, second) and overlap(first, second):
                    raise InputError(
                        f"place of the {second.name}",
                        "taken",
                        f"it overlaps the {first.name}, and bodies may only touch; make one of them "
                        "smaller or choose another place",
                    )

    def _check_block(self, block):
        for axis in range(3):
            inside = (
                self.low[axis] - TOUCH_M <= block.low[axis] and block.high[axis] <= self.high[axis] + TOUCH_M
            )
            if not inside:
                raise InputError(
                    f"place of {block.name} along {AXIS_NAMES[axis]}",
                    phrase("{} to {}", given(block.low[axis], "m"), given(block.high[axis], "m")),
                    "it must lie inside the flask, {} to {}",
                    given(self.low[axis], "m"),
                    given(self.high[axis], "m"),
                )

    @property
    def up_axis(self):
        """Number of the axis that points up or down."""
        return AXIS_NAMES.index(self.up[1])

    @property
    def is_round(self):
        """Whether the casting of a solid is round about one upright line."""
        own = [block.form for block in self.blocks if block.role == "casting"]
        middles = {form.flat.middle if isinstance(form, Prism) and isinstance(form.flat, Disc) else None
                   for form in own}
        return len(middles) == 1 and None not in middles and all(form.axis == self.up_axis for form in own)

    @property
    def up_sign(self):
        """1 where that axis points up, -1 where it points down."""
        return 1 if self.up[0] == "+" else -1

    def block(self, name):
        """The block of that name."""
        require_known("block", name, [block.name for block in self.blocks])
        return next(block for block in self.blocks if block.name == name)


@dataclass(frozen=True)
class Setup:
    """One pour: a layout, an alloy, a mould and the temperatures. Equal setups give equal results.

    pour_temp_c [deg C] from the liquidus up to 500 K above it; mould_temp_c [deg C] below the solidus
    (default: the mould's usual temperature); pour_time_s [s], how long the mould takes to fill;
    air_temp_c [deg C]; cools_while_filling, whether metal arrives cooler the farther it has run from the
    sprue, if there is one: else the mould is full at once, of metal at the pouring temperature, and the ladle
    keeps it full for so long.
    """

    layout: Layout
    alloy: Alloy
    mould: Mould
    pour_temp_c: float
    mould_temp_c: float | None = None
    pour_time_s: float = 3.0
    air_temp_c: float = 25.0
    cools_while_filling: bool = True

    def __post_init__(self):
        liquidus = self.alloy.liquidus_c
        try:
            require_between(
                "pouring temperature", self.pour_temp_c, liquidus, liquidus + HIGHEST_SUPERHEAT_K, "deg C"
            )
        except InputError as error:
            hint = error.allowed, self.alloy.name, given(liquidus, "deg C")
            raise InputError(error.parameter, error.value, "{}; {} begins to freeze at {}", *hint) from None
        if self.mould_temp_c is None:
            object.__setattr__(self, "mould_temp_c", self.mould.start_temp_c)
        hottest = self.alloy.solidus_c - 1.0
        mould_c = require_between("mould temperature", self.mould_temp_c, COLDEST_MOULD_C, 3000.0, "deg C")
        if mould_c > hottest:
            raise InputError(
                "mould temperature",
                given(self.mould_temp_c, "deg C"),
                "it must be {} or less; {} is solid only below {}",
                given(hottest, "deg C"),
                self.alloy.name,
                given(self.alloy.solidus_c, "deg C"),
            )
        require_between("pouring time", self.pour_time_s, 0.0, 600.0, "s")
        require_between("air temperature", self.air_temp_c, -40.0, 60.0, "deg C")


def _may_share(first, second):
    """Whether one of two blocks is the casting, and the other makes it hollow or gives way to it."""
    other = second if first.role == "casting" else first
    return "casting" in (first.role, second.role) and (other.role == "core" or other.reaches_in)


def coordinate(name, value):
    """The `value` [m] of a coordinate of the body called `name`, as a float. Refuses what is not finite.

    >>> coordinate("plate", 0)
    0.0
    """
    if not isinstance(value, (int, float, np.floating, np.integer)) or not math.isfinite(value):
        raise InputError(f"coordinate of {name}", repr(value), "it must be a finite number in metres")
    return float(value)


def require_size(parameter, value):
    """A size, `value` [m], that a body may have, called `parameter`. Raises InputError outside 0.5 mm to 2 m.

    >>> require_size("width", 0.04)
    0.04
    """
    require_positive(parameter, value, "m")
    return require_between(parameter, value, SMALLEST_M, LARGEST_M, "m")
