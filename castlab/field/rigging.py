"""What a mould adds to a part so that it can be poured and fed: gate, sprue, feeder, neck, sleeve, chill.

A part is drawn once, seen from the side: x to the right, y up, and as deep to the front as to the back. It
names the free faces where these may sit. It is turned first, so that in every layout gravity points down;
then each body is set on the face that was asked for.
"""

import math
from dataclasses import dataclass, fields, replace

from castlab.errors import InputError, require_between, require_known, require_number
from castlab.field.bodies import cylinder, moved, prism, ring
from castlab.field.layout import SMALLEST_M, TOUCH_M, Block, Layout, box
from castlab.materials import mould
from castlab.units import metres

HEAVY, THIN = "heavy end", "thin end"
# (x, y) of the drawing becomes (a x + b y, c x + d y) in the mould
TURNS = {
    "as drawn": (1, 0, 0, 1),
    "heavy end up": (0, -1, 1, 0),
    "heavy end down": (0, 1, -1, 0),
    "upside down": (1, 0, 0, -1),
}
NORMALS = {"top": (0, 1), "bottom": (0, -1), "left": (-1, 0), "right": (1, 0)}
ON_TOP, AT_THE_SIDE, UNDER = "on top", "at the side", "under"
OPEN, BLIND = "open", "blind"
SLEEVES = ("insulating sleeve", "exothermic sleeve")
CHILLS = ("steel chill", "copper chill", "graphite")

HEAD_M = 30e-3  # without a feeder the sprue stands so far above the casting; common practice in small flasks
SAND_M = 60e-3  # sand round the metal, more than heat reaches before a hand-sized casting is solid
SPRUE_M = 12e-3  # side of the sprue, unless the gate is thicker
GATE_LENGTH_M, GATE_DEPTH_M = 12e-3, 20e-3
NECK_LENGTH_M = 6e-3  # as short as sand between feeder and casting can be; common practice
COVER_M = 15e-3  # sand over a blind feeder
ARC_STEPS = 12  # straight pieces of the end of a gate that lies against a round casting
LEAST_FOOT_M = 2e-3  # a feeder over the mouth of a core stands so far on metal all round


@dataclass(frozen=True)
class Face:
    """A free face of the casting: of the heavy or the thin end, on which side, its middle [m], length along
    the picture and depth across it [m] (None where it goes round the axis)."""

    of: str
    side: str
    middle: tuple[float, float]
    length: float
    depth: float | None = None


@dataclass(frozen=True)
class Part:
    """A casting as drawn: its bodies, the faces where something may sit, the ways it may be turned."""

    title: str
    is_round: bool
    bodies: tuple[Block, ...]
    faces: tuple[Face, ...]
    turns: tuple[str, ...] = tuple(TURNS)[:3]


@dataclass(frozen=True)
class Rigging:
    """How a part is gated, fed and chilled. Sizes in metres; a size of 0 leaves that body out.

    feeder_width, feeder_height    side of a square feeder (diameter of a round one on a round part), height
    feeder_place, feeder_top       "on top" or "at the side"; "open" to the air or "blind" under sand
    neck_width                     0: as wide as the feeder
    sleeve_thickness, sleeve       round the feeder, made of one of SLEEVES
    chill_thickness, chill         against a whole face of the heavy end, made of one of CHILLS
    chill_place, chill_contact     "under" or "at the side"; W/m2K between metal and chill, 0: usual
    gate_place, gate_thickness     into the thin or the heavy end
    turn                           one of TURNS
    """

    feeder_width: float = 0.0
    feeder_height: float = 0.0
    feeder_place: str = ON_TOP
    feeder_top: str = OPEN
    neck_width: float = 0.0
    sleeve_thickness: float = 0.0
    sleeve: str = SLEEVES[0]
    chill_thickness: float = 0.0
    chill: str = CHILLS[0]
    chill_place: str = UNDER
    chill_contact: float = 0.0
    gate_place: str = THIN
    gate_thickness: float = 4e-3
    turn: str = "as drawn"

    def __post_init__(self):
        for parameter, value, known in (
            ("feeder place", self.feeder_place, (ON_TOP, AT_THE_SIDE)),
            ("feeder top", self.feeder_top, (OPEN, BLIND)),
            ("sleeve", self.sleeve, SLEEVES),
            ("chill", self.chill, CHILLS),
            ("chill place", self.chill_place, (UNDER, AT_THE_SIDE)),
            ("gate place", self.gate_place, (THIN, HEAVY)),
            ("orientation in the mould", self.turn, tuple(TURNS)),
        ):
            require_known(parameter, value, known)
        for name, least, most in (
            ("feeder_width", 3e-3, 200e-3),
            ("feeder_height", 3e-3, 300e-3),
            ("neck_width", 2e-3, 200e-3),
            ("sleeve_thickness", 2e-3, 50e-3),
            ("chill_thickness", 2e-3, 150e-3),
        ):
            _require_size_or_none(name.replace("_", " "), getattr(self, name), least, most)
        require_between("gate thickness", self.gate_thickness, 1e-3, 150e-3, "m")
        require_between("chill contact", self.chill_contact, 0.0, 1e5, "W/m2K")
        if self.neck_width > self.feeder_width > 0.0:
            raise InputError(
                "neck width",
                metres(self.neck_width),
                "at most the feeder's width, {}; 0 for no neck",
                metres(self.feeder_width),
            )

    @property
    def has_feeder(self):
        """Whether there is a feeder: neither of its sizes is 0."""
        return self.feeder_width > 0.0 and self.feeder_height > 0.0


RIGGING_NAMES = tuple(each.name for each in fields(Rigging))


def slab(name, role, x, y, depth, material=None):
    """A straight body, as deep to the front as to the back: a Block.

    Parameters: `name`, `role`, `material` as in Block; `x` and `y`, (from, to) [m]; `depth` [m].

    >>> slab("plate", "casting", (0.0, 0.12), (0.0, 0.012), 0.04).low
    (0.0, 0.0, -0.02)
    """
    return box(name, role, x, y, (-depth / 2, depth / 2), material=material)


def turned(name, role, radii, y, material=None):
    """A round body about the y axis: a Block.

    Parameters: `name`, `role`, `material` as in Block; `radii`, inner and outer [m]; `y`, (from, to) [m].

    >>> turned("hub", "casting", (0.0, 0.02), (0.0, 0.03)).high
    (0.02, 0.03, 0.02)
    """
    inner, outer = radii
    if inner:
        return ring(name, role, "y", (0.0, 0.0), 2 * inner, 2 * outer, y, material)
    return cylinder(name, role, "y", (0.0, 0.0), 2 * outer, y, material)


def rig(part, rigging):
    """A part with its gate, sprue, feeder, sleeve and chill, in a flask: a Layout.

    Parameters: `part` (Part); `rigging` (Rigging). Raises InputError where a body finds no free face, or
    would stand where another already is.

    >>> from castlab.field import parts
    >>> layout = parts.eye_plate(chill_thickness=10e-3)
    >>> [block.name for block in layout.blocks if block.role == "chill"]
    ['chill']
    """
    part = _turned(part, rigging.turn)
    top = max(body.high[1] for body in part.bodies)
    feeder = _feeder(part, rigging, top)
    level = _level(rigging, feeder, top)
    sleeve = _sleeve(part, rigging, feeder) if feeder and rigging.sleeve_thickness else []
    blocks = [*part.bodies, *_gate(part, rigging, level), *feeder, *sleeve, *_chill(part, rigging)]
    return Layout(tuple(blocks), *_flask(blocks, level), up="+y", title=part.title)


def _turned(part, turn):
    if turn not in part.turns:
        allowed = f"the {part.title} is cast {' or '.join(part.turns)}"
        raise InputError("orientation in the mould", turn, allowed)
    if turn == "as drawn":
        return part
    a, b, c, d = TURNS[turn]

    def flat_move(point):
        x, y = point
        return a * x + b * y, c * x + d * y

    bodies = tuple(moved(body, lambda point: (*flat_move(point[:2]), point[2])) for body in part.bodies)
    sides = {normal: side for side, normal in NORMALS.items()}
    faces = tuple(
        replace(face, side=sides[flat_move(NORMALS[face.side])], middle=flat_move(face.middle))
        for face in part.faces
    )
    return replace(part, bodies=bodies, faces=faces)


def _face(part, of, sides, parameter, value, away_from=None):
    """The first free face of that end on one of these sides, on the side `away_from` only if need be."""
    fitting = [face for face in part.faces if face.of == of and face.side in sides]
    if fitting:
        return next((face for face in fitting if face.side != away_from), fitting[0])
    free = sorted({face.side for face in part.faces if face.of == of})
    raise InputError(
        parameter,
        value,
        f"this way up the {of} of the {part.title} is free only at: "
        f"{', '.join(free)}; choose another place or turn the part",
    )


def _side_face(part, rigging, parameter):
    """The heavy end's free face at the side: away from gate and sprue, if it can be."""
    sides = ["right", "left"]
    return _face(part, HEAVY, sides, parameter, AT_THE_SIDE, away_from=_gate_face(part, rigging).side)


def _feeder(part, rigging, casting_top):
    """The feeder first, then its neck if it has one."""
    if not rigging.has_feeder:
        return []
    width, height, neck = rigging.feeder_width, rigging.feeder_height, rigging.neck_width
    if rigging.feeder_place == ON_TOP:
        face = _face(part, HEAVY, ["top"], "feeder place", ON_TOP)
        middle, foot = face.middle
        blocks = []
        if neck:
            blocks = [_upright(part, "neck", "feeder", middle, neck, foot, foot + NECK_LENGTH_M, neck)]
            foot += NECK_LENGTH_M
        blocks.insert(0, _upright(part, "feeder", "feeder", middle, width, foot, foot + height, width))
        if part.is_round:
            _refuse_on_core(part, blocks[-1], "neck width" if neck else "feeder width")
    else:
        blocks = _side_feeder(part, rigging)
    top = blocks[0].high[1]
    if rigging.feeder_top == OPEN and top < casting_top:
        raise InputError(
            "feeder height",
            metres(height),
            "an open feeder must stand higher than the casting, or it overflows before the casting is full: "
            "{} or more here",
            metres(height + casting_top - top),
        )
    highest_fed = max(body.high[1] for body in part.bodies if _holds(body, blocks[-1]))
    if top < highest_fed:
        raise InputError(
            "feeder height",
            metres(height),
            "the feeder is lower than the metal that it has to feed. Metal does not run uphill: the air's "
            "weight lifts it only while air can enter the feeder and not the casting. Make it {} or more",
            metres(height + highest_fed - top),
        )
    return blocks


def _refuse_on_core(part, foot, parameter):
    """A foot that stands on the mouth of a core must reach metal all round it."""
    for core in part.bodies:
        on_it = core.role == "core" and abs(core.high[1] - foot.low[1]) < TOUCH_M
        if on_it and foot.high[0] < core.high[0] + LEAST_FOOT_M:
            raise InputError(
                parameter,
                metres(2 * foot.high[0]),
                "it stands on the core and finds no way to the metal; make it {} or more, or the core "
                "smaller",
                metres(2 * (core.high[0] + LEAST_FOOT_M)),
            )


def _holds(body, foot):
    """Whether a body of the casting touches the foot of the feeder."""
    pairs = zip(body.low, body.high, foot.low, foot.high, strict=True)
    return all(min(h1, h2) - max(l1, l2) > -1e-9 for l1, h1, l2, h2 in pairs)


def _side_feeder(part, rigging):
    if part.is_round:
        raise InputError(
            "feeder place", AT_THE_SIDE, f"on a round part it stands on top; the {part.title} is one"
        )
    face = _side_face(part, rigging, "feeder place")
    (x, y), out = face.middle, NORMALS[face.side][0]
    neck = rigging.neck_width or min(rigging.feeder_width, face.length)
    if neck > face.length:
        allowed = "at most the face that it joins, {}"
        raise InputError("neck width", metres(neck), allowed, metres(face.length))
    near = x + out * max(NECK_LENGTH_M, rigging.sleeve_thickness)  # a sleeve must have room there
    far = near + out * rigging.feeder_width
    low = y - neck / 2
    return [
        slab(
            "feeder",
            "feeder",
            sorted((near, far)),
            (low, low + rigging.feeder_height),
            rigging.feeder_width,
        ),
        slab("neck", "feeder", sorted((x, near)), (low, low + neck), min(neck, face.depth)),
    ]


def _upright(part, name, role, middle, width, low, high, depth, material=None):
    """A body that stands round a vertical line; on a round part it is round."""
    if part.is_round:
        return turned(name, role, (0.0, width / 2), (low, high), material)
    return slab(name, role, (middle - width / 2, middle + width / 2), (low, high), depth, material)


def _level(rigging, feeder, casting_top):
    """How high the metal stands in the sprue, and in an open feeder [m]."""
    if feeder and rigging.feeder_top == OPEN:
        return feeder[0].high[1]
    covered = feeder[0].high[1] + COVER_M + rigging.sleeve_thickness if feeder else casting_top
    return max(casting_top + HEAD_M, covered)


def _gate_face(part, rigging):
    return _face(part, rigging.gate_place, ["left", "right"], "gate place", rigging.gate_place)


def _gate(part, rigging, level):
    face = _gate_face(part, rigging)
    thick = rigging.gate_thickness
    if thick > face.length + 1e-9:
        raise InputError(
            "gate thickness", metres(thick), "at most the section that it joins, {}", metres(face.length)
        )
    (x, y), out = face.middle, NORMALS[face.side][0]
    wide = max(GATE_DEPTH_M, thick)
    deep = wide if face.depth is None else min(face.depth, wide)
    sprue, near = max(SPRUE_M, thick), x + out * _gate_length(part, face)
    span = y - thick / 2, y + thick / 2
    return [
        _against_a_rim(x, near, span, deep)
        if part.is_round
        else slab("gate", "gate", sorted((x, near)), span, deep),
        slab("sprue", "gate", sorted((near, near + out * sprue)), (y - face.length / 2, level), sprue),
    ]


def _against_a_rim(radius, far, span, deep):
    """A gate whose end lies against a round casting of that radius [m] about the y axis."""
    half = math.asin(0.5 * deep / radius)
    angles = [half * (2 * step / ARC_STEPS - 1) for step in range(ARC_STEPS + 1)]
    rim = [(radius * math.cos(angle), radius * math.sin(angle)) for angle in angles]
    return prism("gate", "gate", "y", [*rim, (far, deep / 2), (far, -deep / 2)], span)


def _gate_length(part, face):
    """Long enough that the sprue can rise past whatever of the casting juts out above the gate."""
    out = NORMALS[face.side][0]
    outermost = max(out * (body.high[0] if out > 0 else body.low[0]) for body in part.bodies)
    return GATE_LENGTH_M + max(outermost - out * face.middle[0], 0.0)


def _sleeve(part, rigging, feeder):
    """Round the feeder but where its neck enters, and over it when it is blind."""
    thick, material = rigging.sleeve_thickness, mould(rigging.sleeve)
    (left, low, back), (right, high, front) = feeder[0].low, feeder[0].high
    over = (left, right), (high, high + thick)
    if part.is_round:
        sleeve = [turned("sleeve", "sleeve", (right, right + thick), (low, high), material)]
        if rigging.feeder_top == BLIND:
            sleeve.append(turned("sleeve top", "sleeve", (0.0, right), over[1], material))
        return sleeve
    spans = {
        "sleeve": ((right, right + thick), (low, high)),
        "sleeve left": ((left - thick, left), (low, high)),
    }
    if rigging.feeder_place == AT_THE_SIDE:
        neck = feeder[1]
        name = "sleeve left" if neck.high[0] <= left + TOUCH_M else "sleeve"
        spans[name] = (spans[name][0], (neck.high[1], high))
    if rigging.feeder_top == BLIND:
        spans["sleeve top"] = over
    sleeve = [
        slab(name, "sleeve", across, up, front - back, material)
        for name, (across, up) in spans.items()
        if up[1] - up[0] > SMALLEST_M
    ]
    wide = left - thick, right + thick
    return [
        *sleeve,
        box("sleeve front", "sleeve", wide, (low, high), (front, front + thick), material=material),
        box("sleeve back", "sleeve", wide, (low, high), (back - thick, back), material=material),
    ]


def _chill(part, rigging):
    thick = rigging.chill_thickness
    if not thick:
        return []
    if rigging.chill_place == UNDER:
        face = _face(part, HEAVY, ["bottom"], "chill place", UNDER)
    else:
        face = _side_face(part, rigging, "chill place")
    material = mould(rigging.chill)
    if rigging.chill_contact:
        material = replace(material, interface_coefficient=rigging.chill_contact)
    (x, y), half = face.middle, face.length / 2
    if face.side == "bottom":
        return [_upright(part, "chill", "chill", x, face.length, y - thick, y, face.depth, material)]
    across = sorted((x, x + NORMALS[face.side][0] * thick))
    return [slab("chill", "chill", across, (y - half, y + half), face.depth, material)]


def _flask(blocks, level):
    """Corners of the flask [m]: sand round everything, open at the level of the metal."""
    left, low, back = (min(block.low[axis] for block in blocks) - SAND_M for axis in range(3))
    right, _, front = (max(block.high[axis] for block in blocks) + SAND_M for axis in range(3))
    return (left, low, back), (right, level, front)


def _require_size_or_none(parameter, value, least, most):
    """A size [m] within its range, or 0 for a body that is left out."""
    if require_number(parameter, value, "m") < 0.0:
        raise InputError(parameter, metres(value), f"it must be 0 (no {parameter.split()[0]}) or more")
    if value > 0.0:
        require_between(parameter, value, least, most, "m")
