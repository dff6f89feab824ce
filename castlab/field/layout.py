"""What lies where: casting, feeder, gate, chill, sleeve, core, and the mould round them."""

import math
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between, require_known, require_positive
from castlab.field.forms import Ball, Cone, Disc, Prism
from castlab.field.shares import overlap
from castlab.materials import Alloy, Mould
from castlab.units import given, phrase

METAL_ROLES = ("casting", "feeder", "gate")
ROLES = (*METAL_ROLES, "chill", "sleeve", "core")
KINDS = ("planar", "round", "solid")
AXIS_NAMES = ("x", "y", "z")
UPS = ("+x", "-x", "+y", "-y", "+z", "-z")

SMALLEST_M, LARGEST_M = 0.5e-3, 2.0  # sizes outside this are slips of the keyboard, not castings
TOUCH_M = 1e-9  # closer than this counts as touching, not overlapping
HIGHEST_SUPERHEAT_K = 500.0
COLDEST_MOULD_C = -20.0


@dataclass(frozen=True)
class Block:
    """One body in the mould: a box, or a prism whose outline is a polygon.

    `depth` [m] is the size across the picture; a block of a round layout without a depth goes all the
    way round the axis. `material` is what a chill, sleeve or core is made of (a core without one is made of
    the mould's own material). `cover` is what lies in front of and behind a metal block of a planar layout,
    `cover_thickness` [m] thick; without one it is the mould. A core may lie within metal: there is none where
    the core is. Make blocks with `box` and `polygon`.
    """

    name: str
    role: str
    low: tuple[float, ...]
    high: tuple[float, ...]
    outline: tuple[tuple[float, float], ...] = ()
    depth: float | None = None
    material: Mould | None = None
    cover: Mould | None = None
    cover_thickness: float = 0.0
    form: Prism | Cone | Ball | None = None  # of a solid that is not a straight box

    def __post_init__(self):
        require_known("role", self.role, ROLES)
        if len(self.low) == 3:
            object.__setattr__(self, "depth", self.high[2] - self.low[2])
        for axis, low, high in zip(AXIS_NAMES, self.low, self.high, strict=False):
            require_size(f"size of {self.name} along {axis}", high - low)
        if self.depth is not None:
            require_size(f"depth of {self.name}", self.depth)
        if self.outline and _area(self.outline) < SMALLEST_M**2:
            raise InputError(f"outline of {self.name}", self.outline, "it must enclose an area")
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


def box(name, role, *spans, depth=None, material=None):
    """A block with straight sides along the axes; each span is (from, to) [m], one an axis: a Block.

    Parameters: `name`, its own; `role`, one of ROLES; `depth` [m] and `material` as in Block. Raises
    InputError for a size that cannot be.

    >>> box("plate", "casting", (0.0, 0.12), (0.0, 0.012), depth=0.04).high
    (0.12, 0.012)
    """
    spans = [(coordinate(name, low), coordinate(name, high)) for low, high in spans]
    low, high = zip(*spans, strict=True)
    return Block(name, role, low, high, depth=depth, material=material)


def polygon(name, role, points, depth=None, material=None):
    """A block whose outline in the picture is a polygon, points (x, y) [m] in order: a Block.

    Parameters: `name`, its own; `role`, one of ROLES; `depth` [m] and `material` as in Block. Raises
    InputError for fewer than three points and for a size that cannot be.

    >>> polygon("wedge", "casting", [(0, 0), (0.1, 0), (0.1, 0.02)], depth=0.03).high
    (0.1, 0.02)
    """
    outline = tuple((coordinate(name, x), coordinate(name, y)) for x, y in points)
    if len(outline) < 3:
        raise InputError(f"outline of {name}", outline, "a polygon needs three points or more")
    xs, ys = zip(*outline, strict=True)
    return Block(name, role, (min(xs), min(ys)), (max(xs), max(ys)), outline, depth, material)


@dataclass(frozen=True)
class Layout:
    """All blocks, the flask they lie in, and which way is up.

    kind: "planar" (a slice across the picture, each block with its own depth), "round" (x is the radius, y
    the height) or "solid" (three axes). `low` and `high` are the corners of the flask [m]. Metal that reaches
    the flask's upper face is open to the air there.
    """

    kind: str
    blocks: tuple[Block, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    up: str = "+y"
    title: str = "casting"

    def __post_init__(self):
        require_known("kind", self.kind, KINDS)
        require_known("up", self.up, [up for up in UPS if AXIS_NAMES.index(up[1]) < self.axes])
        if self.kind == "round" and (self.up[1] != "y" or self.low[0] < 0.0):
            raise InputError(
                "round layout",
                phrase("up {}, axis at {}", self.up, given(self.low[0], "m")),
                "up is +y or -y, radius from 0",
            )
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
                if first.role != second.role and not _cored(first, second) and _overlap(first, second):
                    raise InputError(
                        f"place of the {second.name}",
                        "taken",
                        f"it overlaps the {first.name}, and bodies may only touch; make one of them "
                        "smaller or choose another place",
                    )

    def _check_block(self, block):
        if len(block.low) != self.axes:
            raise InputError(f"axes of {block.name}", len(block.low), f"a {self.kind} layout has {self.axes}")
        if self.kind == "planar" and block.depth is None:
            raise InputError(f"depth of {block.name}", None, "each block of a planar layout needs a depth")
        if self.kind == "solid" and block.outline:
            raise InputError(
                f"shape of {block.name}", "polygon", "a solid has three axes; take `bodies.prism`"
            )
        for axis in range(self.axes):
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
    def axes(self):
        """How many axes its blocks have: 2 or 3."""
        return 3 if self.kind == "solid" else 2

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
    (default: the mould's usual temperature); pour_time_s [s], how long the ladle keeps the sprue full;
    air_temp_c [deg C].
    """

    layout: Layout
    alloy: Alloy
    mould: Mould
    pour_temp_c: float
    mould_temp_c: float | None = None
    pour_time_s: float = 3.0
    air_temp_c: float = 25.0

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


def line_spans(block, x):
    """Where the vertical line at x [m] runs through a block: a list of (from, to) [m] in y.

    >>> line_spans(polygon("wedge", "casting", [(0, 0), (0.1, 0), (0.1, 0.02)], depth=0.03), 0.05)
    [(0.0, 0.01)]
    """
    if not block.low[0] < x < block.high[0]:
        return []
    if not block.outline:
        return [(block.low[1], block.high[1])]
    heights = []
    for (x0, y0), (x1, y1) in zip(block.outline, block.outline[1:] + block.outline[:1], strict=True):
        if (x0 <= x) != (x1 <= x):
            heights.append(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    heights.sort()
    return list(zip(heights[::2], heights[1::2], strict=True))


def _cored(first, second):
    """Whether one of two blocks is a core and the other the casting that it makes hollow."""
    return {first.role, second.role} == {"core", "casting"}


def _overlap(first, second):
    """Whether two blocks share more than a face."""
    if len(first.low) == 3:
        return overlap(first, second)
    pairs = zip(first.low, first.high, second.low, second.high, strict=True)
    if any(min(h1, h2) - max(l1, l2) <= TOUCH_M for l1, h1, l2, h2 in pairs):
        return False
    if not (first.outline or second.outline):
        return True
    left, right = max(first.low[0], second.low[0]), min(first.high[0], second.high[0])
    for x in left + (right - left) * (np.arange(97) + 0.5) / 97:
        for low1, high1 in line_spans(first, x):
            for low2, high2 in line_spans(second, x):
                if min(high1, high2) - max(low1, low2) > 1e-6:
                    return True
    return False


def _area(points):
    xs, ys = np.array(points).T
    return 0.5 * abs(float(np.dot(xs, np.roll(ys, -1)) - np.dot(ys, np.roll(xs, -1))))


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
