"""The course's parts: fittings for small boats, cast by an evening class in a boat shed.

A few dimensions make a part; `rigging` adds gate, sprue, feeder, sleeve and chill. Every function here takes
the part's own sizes [m] and, by name, whatever a `Rigging` takes, and returns a Layout.
"""

import math

from castlab.errors import InputError, require_between, require_known, require_number
from castlab.field.bodies import prism
from castlab.field.own_part import OwnPart
from castlab.field.own_rigging import rigged
from castlab.field.rigging import HEAVY, RIGGING_NAMES, THIN, Face, Part, Rigging, rig, slab, turned
from castlab.units import given, metres, phrase

NEAR_END_M = 10e-3  # a gate into the side of a thin section sits so far from its end
ARC_STEPS = 4  # straight pieces of a fillet
LEAST_FACE_M = 2e-3
LEAST_CORE_M = 3e-3
LEAST_WALL_M = 3e-3  # thinnest wall that is left round a core; common practice in sand
# How small and how large the sizes of a part may be [m]: as far as a boat shed casts, and with room to spare.
SECTION, HEAVY_END, WIDTH, HEIGHT = (3e-3, 60e-3), (6e-3, 150e-3), (6e-3, 500e-3), (10e-3, 200e-3)
FILLET = 0.0, 20e-3


def eye_plate(
    thickness=12e-3,
    length=120e-3,
    width=40e-3,
    boss=40e-3,
    boss_depth=40e-3,
    taper=0.0,
    fillet=0.0,
    core=0.0,
    **rigging,
):
    """A plate that ends in a heavy boss (its eye is drilled later, or cored).

    thickness, length, width [m]  of the plate, 3 to 60, 20 to 500 and (across the picture) 6 to 500 mm
    boss, boss_depth [m]          sides of the boss in the picture, 6 to 150 mm, and across it, 6 to 500 mm
    taper [m]                     by which it grows from 20 mm behind its thin end to the boss, 0 to 60 mm
    fillet [m]                    radius between them, 0 to 30 mm
    core [m]                      side of a square core through the boss; 0 for none
    rigging                       what a `Rigging` takes, by name

    Returns a Layout with the blocks "plate", "boss", "gate", "sprue" and what `rigging` adds. Raises
    InputError outside the ranges and for a boss that is not heavier than the plate is thick.

    >>> [block.name for block in eye_plate(feeder_width=0.04, feeder_height=0.05).blocks]
    ['plate', 'boss', 'gate', 'sprue', 'feeder']
    """
    how = _rigging(rigging)
    thickness = _size("section thickness", thickness, SECTION)
    length = _size("plate length", length, (20e-3, 500e-3))
    width = _size("plate width", width, WIDTH)
    boss = _size("heavy-end size", boss, HEAVY_END)
    boss_depth = _size("boss depth", boss_depth, WIDTH)
    taper = _size("taper", taper, (0.0, 60e-3))
    fillet = _size("fillet", fillet, (0.0, 30e-3))
    _require_at_least("heavy-end size", boss, thickness + taper + 2 * fillet, "the section that joins it")
    if taper or fillet:
        beside = phrase("the fillet and {} of plate", given(3 * NEAR_END_M, "m"))
        _require_at_least("plate length", length, fillet + 3 * NEAR_END_M, beside)
    half, end = boss / 2, length + boss
    bodies = [
        _tapered_plate(thickness, length, taper, fillet, width),
        slab("boss", "casting", (length, end), (-half, half), boss_depth),
    ]
    core = _require_core(core, boss)
    if core:
        middle = length + half
        bodies.append(
            slab("core", "core", (middle - core / 2, middle + core / 2), (-core / 2, core / 2), boss_depth)
        )
    faces = (
        *_thin_faces(0.0, 0.0, thickness, width),
        Face(HEAVY, "top", (length + half, half), boss, boss_depth),
        Face(HEAVY, "bottom", (length + half, -half), boss, boss_depth),
        Face(HEAVY, "right", (end, 0.0), boss, boss_depth),
    )
    return rig(Part("eye plate", False, tuple(bodies), faces), how)


def step_wedge(thin=6e-3, heavy=36e-3, step_length=32e-3, width=50e-3, fillet=0.0, **rigging):
    """Four steps of growing thickness on one level base, from `thin` to `heavy`; a test piece.

    thin, heavy [m]         thickness of the first and the last step, 3 to 60 and 6 to 150 mm
    step_length, width [m]  of each step, 10 to 150 mm, and of all across the picture, 6 to 500 mm
    fillet [m]              radius between the steps, 0 to 20 mm
    rigging                 what a `Rigging` takes, by name

    Returns a Layout with the blocks "step 1" (thin) to "step 4" (heavy), gate, sprue and what `rigging` adds.
    Raises InputError outside the ranges, and where the last step is thinner than the first.

    >>> [block.name for block in step_wedge().blocks][:4]
    ['step 1', 'step 2', 'step 3', 'step 4']
    """
    how = _rigging(rigging)
    thin = _size("section thickness", thin, SECTION)
    heavy = _size("heavy-end size", heavy, HEAVY_END)
    step = _size("step length", step_length, (10e-3, 150e-3))
    width = _size("width", width, WIDTH)
    fillet = _size("fillet", fillet, FILLET)
    _require_at_least("heavy-end size", heavy, thin, "the section thickness")
    rise = (heavy - thin) / 3
    most = min(rise, step)
    if fillet > most:
        allowed = "at most the rise of one step and its length, {}"
        raise InputError("fillet", metres(fillet), allowed, metres(most))
    bodies = []
    for number in range(4):
        left, high = number * step, thin + number * rise
        outline = [(left, 0.0), (left + step, 0.0), (left + step, high)]
        if fillet and number < 3:  # the foot of the next step stands on this one
            outline = [*outline[:2], *_arc(left + step, high, -1, 1, fillet)[::-1]]
        bodies.append(
            _outlined(f"step {number + 1}", [*outline, (left, high)], width)
            if fillet
            else slab(f"step {number + 1}", "casting", (left, left + step), (0.0, high), width)
        )
    faces = (
        *_thin_faces(0.0, thin / 2, thin, width),
        Face(HEAVY, "top", (3.5 * step, heavy), step, width),
        Face(HEAVY, "bottom", (3.5 * step, 0.0), step, width),
        Face(HEAVY, "right", (4 * step, heavy / 2), heavy, width),
    )
    return rig(Part("step wedge", False, tuple(bodies), faces), how)


def bracket(
    thickness=10e-3, length=120e-3, rib=14e-3, wall=14e-3, height=50e-3, width=40e-3, fillet=0.0, **rigging
):
    """A base with a rib on its middle (a T junction) and a wall at its end (an L junction).

    thickness, length, width [m]  of the base, 3 to 60, 40 to 500 and (across the picture) 6 to 500 mm
    rib, wall [m]                 their thicknesses, 3 to 60 mm
    height [m]                    how far they stand above the base, 10 to 200 mm
    fillet [m]                    radius in the inner corners, 0 to 20 mm
    rigging                       what a `Rigging` takes, by name

    Returns a Layout with the blocks "base", "rib", "wall", "corner", gate, sprue and what `rigging` adds.
    Raises InputError outside the ranges, and where rib and wall do not fit on the base.

    >>> [block.name for block in bracket().blocks][:3]
    ['base', 'rib', 'wall']
    """
    how = _rigging(rigging)
    thickness = _size("section thickness", thickness, SECTION)
    length = _size("base length", length, (40e-3, 500e-3))
    rib = _size("rib thickness", rib, SECTION)
    wall = _size("wall thickness", wall, SECTION)
    height = _size("height", height, HEIGHT)
    width = _size("width", width, WIDTH)
    fillet = _size("fillet", fillet, FILLET)
    if fillet > height:
        raise InputError("fillet", metres(fillet), "at most the height of rib and wall, {}", metres(height))
    room = 0.5 * (length - rib) - wall
    if room < 2 * fillet + 10e-3:
        raise InputError(
            "base length",
            metres(length),
            "rib, wall and fillets must leave {} of base between them; {} or more here",
            given(10e-3, "m"),
            metres(length + 2 * (2 * fillet + 10e-3 - room)),
        )
    top, middle, left = thickness + height, length / 2, length - wall
    bodies = (
        slab("base", "casting", (0.0, left), (0.0, thickness), width),
        _upright("rib", middle - rib / 2, middle + rib / 2, thickness, top, (fillet, fillet), width),
        _upright("wall", left, length, thickness, top, (fillet, 0.0), width),
        slab("corner", "casting", (left, length), (0.0, thickness), width),
    )
    faces = (
        *_thin_faces(0.0, thickness / 2, thickness, width),
        Face(HEAVY, "top", (length - wall / 2, top), wall, width),
        Face(HEAVY, "bottom", (length - wall / 2, 0.0), wall, width),
        Face(HEAVY, "right", (length, thickness), 2 * thickness, width),
    )
    return rig(Part("bracket", False, bodies, faces, ("as drawn", "upside down")), how)


def cleat(
    thickness=10e-3,
    length=110e-3,
    post=26e-3,
    post_height=24e-3,
    horn=14e-3,
    width=34e-3,
    fillet=0.0,
    **rigging,
):
    """A cleat to tie a rope to: a base, a heavy post on its middle, and a horn bar across the top.

    thickness, length, width [m]  of the base, 3 to 60, 40 to 500 and (across the picture) 6 to 500 mm
    post, post_height [m]         the post's width in the picture and its height, 6 to 150 mm
    horn [m]                      thickness of the bar on it, 3 to 60 mm
    fillet [m]                    radius in the inner corners, 0 to 20 mm
    rigging                       what a `Rigging` takes, by name

    Returns a Layout with the blocks "base", "post", "horn", gate, sprue and what `rigging` adds. Raises
    InputError outside the ranges, and for a base that is too short for its post.

    >>> [block.name for block in cleat().blocks][:3]
    ['base', 'post', 'horn']
    """
    how = _rigging(rigging)
    thickness = _size("section thickness", thickness, SECTION)
    length = _size("length", length, (40e-3, 500e-3))
    post = _size("heavy-end size", post, HEAVY_END)
    post_height = _size("post height", post_height, HEAVY_END)
    horn = _size("horn thickness", horn, SECTION)
    width = _size("width", width, WIDTH)
    fillet = _size("fillet", fillet, FILLET)
    if fillet + LEAST_FACE_M > post_height:
        most = metres(post_height - LEAST_FACE_M)
        allowed = "at most {}, which leaves {} of the post's side level"
        raise InputError("fillet", metres(fillet), allowed, most, given(LEAST_FACE_M, "m"))
    beside = phrase("post, fillets and {} on each side", given(10e-3, "m"))
    _require_at_least("length", length, post + 2 * fillet + 20e-3, beside)
    middle, foot, top = length / 2, thickness, thickness + post_height
    flat = post_height - fillet  # of the post's side, where a chill may sit
    bodies = (
        slab("base", "casting", (0.0, length), (0.0, foot), width),
        _upright("post", middle - post / 2, middle + post / 2, foot, top, (fillet, fillet), width),
        slab("horn", "casting", (0.0, length), (top, top + horn), width * 0.6),
    )
    faces = (
        *_thin_faces(0.0, thickness / 2, thickness, width),
        Face(HEAVY, "top", (middle, top + horn), post, width * 0.6),
        Face(HEAVY, "bottom", (middle, 0.0), post, width),
        Face(HEAVY, "right", (middle + post / 2, top - flat / 2), flat, width),
    )
    return rig(Part("cleat", False, bodies, faces, ("as drawn", "upside down")), how)


def sheave(
    thickness=8e-3,
    diameter=120e-3,
    rim=10e-3,
    rim_height=20e-3,
    hub=36e-3,
    hub_height=36e-3,
    core=0.0,
    **rigging,
):
    """A rope wheel: hub, web and rim (the bore is drilled later, or cored), gated at the rim.

    thickness [m]        of the web, 3 to 60 mm
    diameter [m]         of the whole, 30 to 500 mm
    rim, rim_height [m]  size along the radius, 3 to 60 mm, and along the axis, the web's thickness to 150 mm
    hub, hub_height [m]  diameter, 6 to 150 mm, and size along the axis, the web's thickness to 150 mm
    core [m]             diameter of a core through the hub; 0 for none
    rigging              what a `Rigging` takes, by name

    In the picture x is the radius. A feeder is round and stands on the hub. The gate and sprue are as deep as
    they are in the shop, not rings. Returns a Layout with the blocks "web", "hub", "rim", "gate", "sprue" and
    what `rigging` adds. Raises InputError outside the ranges, and where hub and rim leave no web.

    >>> sheave().is_round
    True
    """
    how = _rigging({"gate_thickness": 5e-3} | rigging)
    thickness = _size("section thickness", thickness, SECTION)
    diameter = _size("sheave diameter", diameter, (30e-3, 500e-3))
    hub = _size("heavy-end size", hub, HEAVY_END)
    rim = _size("rim", rim, SECTION)
    hub_height = _size("hub height", hub_height, (thickness, 150e-3))
    rim_height = _size("rim height", rim_height, (thickness, 150e-3))
    outer, hub_radius = diameter / 2.0, hub / 2.0
    if hub_radius + rim + 6e-3 > outer:
        allowed = "hub and rim must leave a web of {} or more"
        raise InputError("sheave diameter", metres(diameter), allowed, given(6e-3, "m"))
    if how.has_feeder and how.feeder_width / 2 > outer - rim:
        raise InputError("feeder width", metres(how.feeder_width), "the feeder must stand inside the rim")
    bodies = [
        turned("web", "casting", (hub_radius, outer - rim), (-thickness / 2, thickness / 2)),
        turned("hub", "casting", (0.0, hub_radius), (-hub_height / 2, hub_height / 2)),
        turned("rim", "casting", (outer - rim, outer), (-rim_height / 2, rim_height / 2)),
    ]
    core = _require_core(core, hub)
    if core:
        bodies.append(turned("core", "core", (0.0, core / 2), (-hub_height / 2, hub_height / 2)))
    faces = (
        Face(THIN, "right", (outer, 0.0), rim_height),
        Face(HEAVY, "top", (0.0, hub_height / 2), hub),
        Face(HEAVY, "bottom", (0.0, -hub_height / 2), hub),
    )
    return rig(Part("sheave", True, tuple(bodies), faces, ("as drawn",)), how)


def bollard_cap(
    thickness=8e-3,
    diameter=110e-3,
    skirt=8e-3,
    skirt_height=34e-3,
    boss=32e-3,
    boss_height=30e-3,
    core=0.0,
    **rigging,
):
    """The cap of a mooring post: a round crown with a skirt, and a boss under its middle for a bolt.

    thickness [m]            of the crown, 3 to 60 mm
    diameter [m]             of the whole, 40 to 500 mm
    skirt, skirt_height [m]  wall of the skirt, 3 to 60 mm, and how far it hangs down, 10 to 200 mm
    boss, boss_height [m]    diameter and height of the boss, 6 to 150 mm
    core [m]                 diameter of a core that bores the boss; 0 for none
    rigging                  what a `Rigging` takes, by name

    In the picture x is the radius. Upside down, the boss stands on top. Returns a Layout with the blocks
    "crown", "boss", "skirt", gate, sprue and what `rigging` adds. Raises InputError outside the ranges, and
    where boss and skirt leave no crown.

    >>> [block.name for block in bollard_cap().blocks][:3]
    ['crown', 'boss', 'skirt']
    """
    how = _rigging(rigging)
    thickness = _size("section thickness", thickness, SECTION)
    diameter = _size("cap diameter", diameter, (40e-3, 500e-3))
    skirt = _size("skirt thickness", skirt, SECTION)
    skirt_height = _size("skirt height", skirt_height, HEIGHT)
    boss = _size("heavy-end size", boss, HEAVY_END)
    boss_height = _size("boss height", boss_height, HEAVY_END)
    outer, radius = diameter / 2, boss / 2
    if radius + skirt + 6e-3 > outer:
        allowed = "boss and skirt must leave {} or more between them"
        raise InputError("cap diameter", metres(diameter), allowed, given(6e-3, "m"))
    bodies = [
        turned("crown", "casting", (0.0, outer), (0.0, thickness)),
        turned("boss", "casting", (0.0, radius), (-boss_height, 0.0)),
        turned("skirt", "casting", (outer - skirt, outer), (-skirt_height, 0.0)),
    ]
    core = _require_core(core, boss)
    if core:
        bodies.append(turned("core", "core", (0.0, core / 2), (-boss_height, 0.0)))
    faces = (
        Face(THIN, "right", (outer, NEAR_END_M - skirt_height), min(2 * NEAR_END_M, skirt_height)),
        Face(HEAVY, "top", (0.0, thickness), boss),
        Face(HEAVY, "bottom", (0.0, -boss_height), boss),
    )
    return rig(Part("bollard cap", True, tuple(bodies), faces, ("as drawn", "upside down")), how)


PARTS = {
    "eye plate": eye_plate,
    "step wedge": step_wedge,
    "bracket": bracket,
    "cleat": cleat,
    "sheave": sheave,
    "bollard cap": bollard_cap,
}
ROUND_PARTS = ("sheave", "bollard cap")


def layout_of(part, **sizes):
    """The layout of a `part`, with its own sizes and what a Rigging takes: one by its name, or an OwnPart.

    Raises InputError for an unknown part or size, and for what the part's own function refuses.

    >>> layout_of("cleat", post=0.03).title
    'cleat'
    """
    if isinstance(part, OwnPart):
        return rigged(part, sizes)
    require_known("part", part, PARTS)
    make = PARTS[part]
    known = [*make.__code__.co_varnames[: make.__code__.co_argcount], *RIGGING_NAMES]
    for name in sizes:
        require_known(f"size of the {part}", name, known)
    return make(**sizes)


def name_of_part(part):
    """What a `part` is called: one by its name, or an OwnPart.

    >>> name_of_part("cleat")
    'cleat'
    """
    return part.name if isinstance(part, OwnPart) else part


def require_part(part):
    """Return `part` unchanged, an OwnPart or a name of PARTS. Raises InputError for anything else.

    >>> require_part("cleat")
    'cleat'
    """
    return part if isinstance(part, OwnPart) else require_known("part", part, PARTS)


def _thin_faces(x, y, thickness, depth):
    """Where a gate may enter the thin end at (x, y), whichever way the part is turned."""
    return (
        Face(THIN, "left", (x, y), thickness, depth),
        Face(THIN, "top", (x + NEAR_END_M, y + thickness / 2), 2 * NEAR_END_M, depth),
        Face(THIN, "bottom", (x + NEAR_END_M, y - thickness / 2), 2 * NEAR_END_M, depth),
    )


def _tapered_plate(thickness, length, taper, fillet, depth):
    """The plate of the eye plate: level where a gate may sit, then growing by `taper`; round at the boss."""
    half, far = thickness / 2, (thickness + taper) / 2
    if not taper and not fillet:
        return slab("plate", "casting", (0.0, length), (-half, half), depth)
    upper = _arc(length, far, -1, 1, fillet) if fillet else [(length, far)]
    if taper:
        upper.insert(0, (2 * NEAR_END_M, half))
    lower = [(x, -y) for x, y in reversed(upper)]
    return _outlined("plate", [(0.0, half), *upper, *lower, (0.0, -half)], depth)


def _upright(name, left, right, low, high, fillets, depth):
    """A wall that stands on metal, with a fillet at the left and the right of its foot."""
    if not any(fillets):
        return slab(name, "casting", (left, right), (low, high), depth)
    left_foot = _arc(left, low, -1, 1, fillets[0]) if fillets[0] else [(left, low)]
    right_foot = _arc(right, low, 1, 1, fillets[1])[::-1] if fillets[1] else [(right, low)]
    return _outlined(name, [*left_foot, (left, high), (right, high), *right_foot], depth)


def _outlined(name, points, depth):
    """A body of the casting with that outline in the picture, points (x, y) [m]."""
    return prism(name, "casting", "z", points, (-depth / 2, depth / 2))


def _arc(x, y, across, up, radius):
    """Points of a fillet in the corner (x, y): from the foot, `radius` away along x, to the wall."""
    middle_x, middle_y = x + across * radius, y + up * radius
    angles = [0.5 * math.pi * step / ARC_STEPS for step in range(ARC_STEPS + 1)]
    return [
        (middle_x - across * radius * math.sin(angle), middle_y - up * radius * math.cos(angle))
        for angle in angles
    ]


def _size(parameter, value, within):
    """A size [m] of a part that is checked."""
    return require_between(parameter, value, *within, "m")


def _require_core(core, boss):
    core, most = require_number("core", core, "m"), boss - 2 * LEAST_WALL_M
    if core and not LEAST_CORE_M <= core <= most:
        smallest, wall = given(LEAST_CORE_M, "m"), given(LEAST_WALL_M, "m")
        if most < LEAST_CORE_M:
            allowed = "0 (none): the heavy end is too small for a core of {} and walls of {}"
            raise InputError("core", metres(core), allowed, smallest, wall)
        allowed = "0 (none), or {} to {}, which leaves walls of {}"
        raise InputError("core", metres(core), allowed, smallest, metres(most), wall)
    return core


def _require_at_least(parameter, value, least, what):
    if value < least - 1e-9:
        raise InputError(parameter, metres(value), "at least {}, {}", what, metres(least))


def _rigging(named):
    for name in named:
        require_known("name of a size", name, RIGGING_NAMES)
    return Rigging(**named)
