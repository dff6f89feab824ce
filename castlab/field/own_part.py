"""A part of one's own: bodies that are put together or taken away, each with its sizes and its place.

x runs to the right, y up and z to the front, as the part was drawn; `up` says which of them points up in the
mould. `castlab.field.part_file` writes a part as a small file and reads it again.
"""

from dataclasses import dataclass, replace
from functools import cached_property

from castlab.errors import InputError, require_between, require_known, require_number
from castlab.field import bodies
from castlab.field.forms import rounded
from castlab.field.layout import AXIS_NAMES, SMALLEST_M, UPS, Block, box, require_size
from castlab.field.mesh import Mesh
from castlab.field.turned import Turned
from castlab.units import given, phrase

# What each shape is measured by; a box along x, y and z, the others along and across their axis.
SHAPES = {
    "box": ("length", "height", "width"),
    "cylinder": ("diameter", "length"),
    "pipe": ("diameter", "hole", "length"),
    "cone": ("diameter", "other diameter", "length"),
    "ball": ("diameter",),
    "outline": ("length",),
    "turned": (),
    "stl": (),
}
DRAWN = ("outline", "turned")  # these have corners: on the other two axes, or radius and place along the axis
ALONG_AN_AXIS = ("cylinder", "pipe", "cone", "outline", "turned")
MOST_BODIES, MOST_CORNERS, MOST_LETTERS = 60, 200, 40
FARTHEST_M = 2.0
# How the drawing is turned so that this direction of it points up: where x, y and z of the drawing go.
TURNS = {
    "+y": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "-y": ((1, 0, 0), (0, -1, 0), (0, 0, -1)),
    "+x": ((0, 1, 0), (-1, 0, 0), (0, 0, 1)),
    "-x": ((0, -1, 0), (1, 0, 0), (0, 0, 1)),
    "+z": ((1, 0, 0), (0, 0, -1), (0, 1, 0)),
    "-z": ((1, 0, 0), (0, 0, 1), (0, -1, 0)),
}


@dataclass(frozen=True)
class Body:
    """One body of a part.

    shape       a name of SHAPES
    sizes       pairs of name and size [m], as SHAPES has them
    at          (x, y, z) [m] of its middle; of what is drawn or came as a file, of the drawing's origin
    axis        "x", "y" or "z": along which it lies
    corners     of an outline (u, v) on the other two axes in their order, with its length half to each side;
                of what is turned (radius, place along the axis) [m]
    taken_away  whether it is a hollow: there is no metal where it is
    mesh        the skin of what came as a file
    file        name of that file
    """

    name: str
    shape: str
    sizes: tuple[tuple[str, float], ...] = ()
    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    axis: str = "y"
    corners: tuple[tuple[float, float], ...] = ()
    taken_away: bool = False
    mesh: Mesh | None = None
    file: str = ""

    def __post_init__(self):
        name = self.name if isinstance(self.name, str) else ""
        if not name.strip() or len(name) > MOST_LETTERS or not name.isprintable() or name != name.strip():
            raise InputError(
                "name of a body", repr(self.name)[:60], f"it must be 1 to {MOST_LETTERS} letters"
            )
        require_known(f"shape of {name}", self.shape, SHAPES)
        require_known(f"axis of {name}", self.axis, AXIS_NAMES)
        wanted = SHAPES[self.shape]
        if tuple(each for each, _ in self.sizes) != wanted:
            raise InputError(
                f"sizes of {name}",
                ", ".join(str(each) for each, _ in self.sizes) or "none",
                f"a {self.shape} has {', '.join(wanted) or 'none'}",
            )
        for each, value in self.sizes:
            if each == "other diameter":
                require_between(f"{each} of {name}", value, 0.0, FARTHEST_M, "m")
            else:
                require_size(f"{each} of {name}", value)
        for axis, value in zip(AXIS_NAMES, self.at, strict=True):
            require_between(f"place of {name} along {axis}", value, -FARTHEST_M, FARTHEST_M, "m")
        _check_corners(name, self.shape, self.corners)
        if (self.mesh is None) == (self.shape == "stl"):
            raise InputError(
                f"skin of {name}",
                "missing" if self.mesh is None else "given",
                "a body from a file has one, and no other",
            )

    @cached_property
    def block(self):
        """As a Block of a layout: the casting, or a core where it is taken away."""
        role, sizes = "core" if self.taken_away else "casting", dict(self.sizes)
        axis = AXIS_NAMES.index(self.axis)
        flat = tuple(each for other, each in enumerate(self.at) if other != axis)
        span = _ends(self.at[axis], sizes.get("length", 0.0))
        if self.shape == "box":
            return box(
                self.name,
                role,
                *(
                    _ends(middle, sizes[each])
                    for middle, each in zip(self.at, SHAPES["box"], strict=True)
                ),
            )
        if self.shape == "cylinder":
            return bodies.cylinder(self.name, role, self.axis, flat, sizes["diameter"], span)
        if self.shape == "pipe":
            return bodies.ring(self.name, role, self.axis, flat, sizes["hole"], sizes["diameter"], span)
        if self.shape == "cone":
            both = sizes["diameter"], sizes["other diameter"]
            return bodies.cone(self.name, role, self.axis, flat, both, span)
        if self.shape == "ball":
            return bodies.ball(self.name, role, self.at, sizes["diameter"])
        if self.shape == "outline":
            outline = [(flat[0] + u, flat[1] + v) for u, v in self.corners]
            return bodies.prism(self.name, role, self.axis, outline, span)
        if self.shape == "turned":
            points = tuple((radius, self.at[axis] + place) for radius, place in self.corners)
            form = Turned(axis, flat, points)
        else:
            form = self.mesh.moved(lambda point: tuple(a + b for a, b in zip(point, self.at, strict=True)))
        return Block(self.name, role, *form.extent, form=form)


@dataclass(frozen=True)
class OwnPart:
    """A part of one's own: a name, its bodies, and which direction of the drawing points `up` in the mould.

    What is taken away is taken from all that is put together. `rigging` is what stands on it wherever it
    goes: pairs of name and value, as `castlab.field.own_rigging` takes them. Equal parts give equal results.

    >>> foot = Body("foot", "cylinder", (("diameter", 0.03), ("length", 0.012)))
    >>> hole = Body("hole", "cylinder", (("diameter", 0.005), ("length", 0.012)), taken_away=True)
    >>> [block.role for block in OwnPart("foot", (foot, hole)).blocks]
    ['casting', 'core']
    """

    name: str
    bodies: tuple[Body, ...]
    up: str = "+y"
    rigging: tuple[tuple[str, float | str], ...] = ()

    def __post_init__(self):
        if not isinstance(self.name, str) or not 0 < len(self.name.strip()) <= MOST_LETTERS:
            raise InputError(
                "name of the part", repr(self.name)[:60], f"it must be 1 to {MOST_LETTERS} letters"
            )
        require_known("way up", self.up, UPS)
        if not 0 < len(self.bodies) <= MOST_BODIES:
            raise InputError("bodies", len(self.bodies), f"a part has 1 to {MOST_BODIES} of them")
        names = [body.name for body in self.bodies]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise InputError("name of a body", f"{twice[0]}, twice", "each body needs a name of its own")
        if all(body.taken_away for body in self.bodies):
            raise InputError("bodies", "all taken away", "one of them must be metal")
        low, high = self.extent
        for axis, (start, end) in zip(AXIS_NAMES, zip(low, high, strict=True), strict=True):
            require_between(f"size of the part along {axis}", end - start, SMALLEST_M, FARTHEST_M, "m")

    @cached_property
    def blocks(self):
        """The bodies as they lie in the mould, y up: a tuple of Blocks."""
        rows = TURNS[self.up]

        def move(point):
            return tuple(sum(point[axis] * rows[axis][to] for axis in range(3)) for to in range(3))

        own = tuple(body.block for body in self.bodies)
        return own if self.up == "+y" else tuple(bodies.moved(block, move) for block in own)

    @property
    def extent(self):
        """Lowest and highest corner of its metal, as it lies in the mould [m]."""
        own = [block for block in self.blocks if block.is_metal]
        return tuple(
            tuple(pick(getattr(block, end)[axis] for block in own) for axis in range(3))
            for pick, end in ((min, "low"), (max, "high"))
        )

    def with_body(self, name, **changes):
        """The same with sizes of one body, or other things about it, changed.

        >>> ball = OwnPart("knob", (Body("ball", "ball", (("diameter", 0.03),)),))
        >>> ball.with_body("ball", diameter=0.04).bodies[0].sizes
        (('diameter', 0.04),)
        """
        require_known("body", name, [body.name for body in self.bodies])
        return replace(
            self, bodies=tuple(_changed(body, changes) if body.name == name else body for body in self.bodies)
        )


def _ends(middle, size):
    """From where to where [m], to the nanometre, so that bodies that touch have one face."""
    return rounded(middle - 0.5 * size, middle + 0.5 * size)


def _changed(body, changes):
    named = SHAPES[body.shape]
    sizes = tuple((each, changes.get(each, value)) for each, value in body.sizes)
    return replace(body, sizes=sizes, **{key: each for key, each in changes.items() if key not in named})


def _check_corners(name, shape, corners):
    if shape not in DRAWN:
        if corners:
            raise InputError(f"corners of {name}", len(corners), f"a {shape} has none")
        return
    if not 3 <= len(corners) <= MOST_CORNERS:
        raise InputError(f"corners of {name}", len(corners), f"there must be 3 to {MOST_CORNERS}")
    for corner in corners:
        for value in corner:
            require_between(f"corner of {name}", value, -FARTHEST_M, FARTHEST_M, "m")
    if shape == "turned" and min(radius for radius, _ in corners) < 0.0:
        raise InputError(
            f"corner of {name}",
            phrase("radius {}", given(min(r for r, _ in corners), "m")),
            "a radius must be 0 or more",
        )
    doubled = sum(u * w - t * v for (u, v), (t, w) in zip(corners, (*corners[1:], corners[0]), strict=True))
    if abs(doubled) < 2.0 * SMALLEST_M**2:
        raise InputError(f"corners of {name}", "in one line", "they must enclose an area")
    if _crosses_itself(corners):
        raise InputError(f"corners of {name}", "crossing", "go round the outline without crossing a side")


def _crosses_itself(corners):
    """Whether two sides that are no neighbours run through each other."""
    sides = list(zip(corners, (*corners[1:], corners[0]), strict=True))

    def turn(a, b, c):
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    return any(
        turn(a, b, c) * turn(a, b, d) < 0.0 and turn(c, d, a) * turn(c, d, b) < 0.0
        for number, (a, b) in enumerate(sides)
        for c, d in sides[number + 2 :]
    )


def size_of(part, body, size):
    """A size [m] of a part.

    Parameters: `part` (OwnPart); `body` and `size`, their names. Raises InputError for an unknown name.

    >>> ball = OwnPart("knob", (Body("ball", "ball", (("diameter", 0.03),)),))
    >>> size_of(ball, "ball", "diameter")
    0.03
    """
    own = {each.name: dict(each.sizes) for each in part.bodies}
    require_known("body", body, own)
    require_known(f"size of {body}", size, own[body])
    return require_number(f"{size} of {body}", own[body][size], "m")
