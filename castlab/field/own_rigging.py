"""Gates, feeders and chills on a part of one's own, as many as wanted, each where somebody put it.

Each stands on a free face that is found from the bodies of the casting: beside a place, on a side. What each
is, and its names and values, says `castlab.field.placed`.
"""

from dataclasses import replace

from castlab.errors import InputError, require_known, require_number
from castlab.field.bodies import cylinder, ring
from castlab.field.bulk import thin_end
from castlab.field.faces import foot_of, free_face
from castlab.field.forms import rounded
from castlab.field.layout import UPS, Layout, box
from castlab.field.placed import GATE_M, NAME, ROUND, Gate, rigging_of, there
from castlab.field.rigging import (
    BLIND,
    COVER_M,
    GATE_DEPTH_M,
    GATE_LENGTH_M,
    HEAD_M,
    NECK_LENGTH_M,
    OPEN,
    SAND_M,
    SPRUE_M,
)
from castlab.field.shares import overlap
from castlab.materials import mould
from castlab.units import metres

UNEVEN = 0.4  # a face may rise beside the feeder's middle by this share of its width, and shares its room


def rigged(part, sizes):
    """A part of one's own with its gates, feeders and chills, in a flask: a Layout.

    Parameters: `part` (OwnPart); `sizes`, {name: value [m] or words}, instead of the part's own rigging or
    besides it: "feeder_1_x" and so on, as the fields of Feeder, Gate and Chill; "up", which direction of the
    drawing points up; and sizes of bodies such as "foot diameter". Without a gate there is a usual one.
    Raises InputError where something finds no face or no room.

    >>> from castlab.field.own_part import Body, OwnPart
    >>> knob = OwnPart("knob", (Body("ball", "ball", (("diameter", 0.04),)),))
    >>> fed = rigged(knob, {"feeder_1_x": 0.0, "feeder_1_y": 0.0, "feeder_1_z": 0.0})
    >>> [block.name for block in fed.blocks]
    ['ball', 'gate', 'sprue', 'feeder']
    """
    part, kinds = _sorted_out(part, dict(part.rigging) | sizes)
    casting = part.blocks
    feeders = [_feeder(casting, number, each) for number, each in kinds["feeder"].items()]
    level = _level(part, kinds["feeder"], feeders)
    feeders = [
        _up_to(level, blocks, kinds["feeder"][number])
        for number, blocks in zip(kinds["feeder"], feeders, strict=True)
    ]
    gates = kinds["gate"] or {1: usual_gate(part)}
    rest = [block for number, each in gates.items() for block in _gate(part, number, each, level)]
    rest += [block for blocks in feeders for block in blocks]
    rest += [block for number, each in kinds["chill"].items() for block in _chill(casting, number, each)]
    blocks = (*casting, *rest)
    low = tuple(min(block.low[axis] for block in blocks) - SAND_M for axis in range(3))
    right, _, front = (max(block.high[axis] for block in blocks) + SAND_M for axis in range(3))
    return Layout(blocks, low, (right, level, front), up="+y", title=part.name)


def usual_gate(part):
    """A gate into the thinnest place on the left or right of a part: a Gate.

    Parameters: `part` (OwnPart). Common practice: metal comes in where it freezes first.

    >>> from castlab.field.own_part import Body, OwnPart
    >>> usual_gate(OwnPart("knob", (Body("ball", "ball", (("diameter", 0.04),)),))).side
    'left'
    """
    face = thin_end(part)
    low, high = face.reach_along(1)
    return Gate(*face.at, side=face.side, thickness=round(min(GATE_M, high - low), 6))


def _sorted_out(part, sizes):
    """The part with its own sizes changed and turned, and what stands on it."""
    own = {f"{body.name} {size}": (body.name, size) for body in part.bodies for size, _ in body.sizes}
    for name, value in sizes.items():
        if name == "up":
            part = replace(part, up=require_known("way up", value, UPS))
        elif name in own:
            part = part.with_body(own[name][0], **{own[name][1]: require_number(name, value, "m")})
        elif not NAME.fullmatch(name):
            require_known(f"size of the {part.name}", name, [*own, "up"])
    return part, there(rigging_of(sizes))


def _named(name, number):
    return name if number == 1 else f"{name} {number}"


def _feeder(casting, number, feeder):
    """The feeder first, then its neck if it has one; open ones not yet as high as the level."""
    face = free_face(casting, feeder.side, (feeder.x, feeder.y, feeder.z))
    if feeder.side == "top":
        blocks = _feeder_on_top(casting, number, feeder, face)
    else:
        blocks = _feeder_beside(casting, number, feeder, face)
    if feeder.sleeve_thickness:
        blocks += _sleeve(number, feeder, blocks[0])
    return blocks


def _feeder_on_top(casting, number, feeder, face):
    wide = feeder.neck or feeder.width
    x, top, z = face.at
    foot = foot_of(casting, face, (wide, wide))
    blocks = []
    if feeder.neck:
        top += NECK_LENGTH_M
        blocks = [_upright(_named("neck", number), feeder.shape, x, z, wide, (foot, top), foot < face.at[1])]
        foot = top
    name = _named("feeder", number)
    body = _upright(name, feeder.shape, x, z, feeder.width, (foot, top + feeder.height), foot < face.at[1])
    _refuse_in_casting(casting, replace_low(body, 1, top + UNEVEN * wide))
    uneven = any(overlap(body, other) for other in casting if other.role == "casting")
    return [replace(body, reaches_in=body.reaches_in or uneven), *blocks]


def _feeder_beside(casting, number, feeder, face):
    out, axis = face.sign, face.axis
    low, high = face.reach_along(1)
    across = face.reach_along(2 if axis == 0 else 0)
    neck = feeder.neck or min(feeder.width, high - low)
    if neck > high - low + 1e-9:
        allowed = "at most the face that it joins, {}"
        raise InputError("neck width", metres(neck), allowed, metres(high - low))
    deep = min(neck, _size(across))
    own = face.at[axis]
    near = own + out * max(NECK_LENGTH_M, feeder.sleeve_thickness)
    start = foot_of(casting, face, (neck, deep) if axis == 0 else (deep, neck))
    middle = min(max(face.at[1], low + neck / 2), high - neck / 2)
    foot = middle - neck / 2
    flat = face.at[2 if axis == 0 else 0]
    spans = {
        axis: sorted((start, near)),
        1: (foot, foot + neck),
        2 - axis: (flat - deep / 2, flat + deep / 2),
    }
    way = box(_named("neck", number), "feeder", *(spans[each] for each in range(3)))
    way = replace(way, reaches_in=abs(start - own) > 1e-9)
    centre = {axis: near + out * feeder.width / 2, 2 - axis: flat}
    body = _upright(
        _named("feeder", number),
        feeder.shape,
        centre[0],
        centre[2],
        feeder.width,
        (foot, foot + feeder.height),
    )
    if feeder.shape == ROUND:  # the neck runs on until it meets the whole of its side
        far = near + out * (feeder.width / 2 - (max((feeder.width / 2) ** 2 - (deep / 2) ** 2, 0.0)) ** 0.5)
        spans[axis] = sorted((start, far))
        way = replace(box(way.name, "feeder", *(spans[each] for each in range(3))), reaches_in=way.reaches_in)
    _refuse_in_casting(casting, body)
    return [body, way]


def _sleeve(number, feeder, body):
    """Round the feeder, and over it when it is blind."""
    x, _, z = body.middle
    thick, material = feeder.sleeve_thickness, mould(feeder.sleeve)
    low = body.low[1] + (feeder.neck or feeder.width if feeder.side != "top" else 0.0)  # above the neck
    outer = feeder.width + 2 * thick
    found = [
        ring(
            _named("sleeve", number),
            "sleeve",
            "y",
            (x, z),
            feeder.width,
            outer,
            (min(low, body.high[1] - 2e-3), body.high[1]),
            material,
        )
    ]
    if feeder.top == BLIND:
        span = body.high[1], body.high[1] + thick
        found.append(cylinder(_named("sleeve top", number), "sleeve", "y", (x, z), outer, span, material))
    return [replace(each, reaches_in=True) for each in found]


def _upright(name, shape, x, z, width, span, reaches_in=False):
    if shape == ROUND:
        body = cylinder(name, "feeder", "y", (x, z), width, span)
    else:
        body = box(
            name, "feeder", rounded(x - width / 2, x + width / 2), span, rounded(z - width / 2, z + width / 2)
        )
    return replace(body, reaches_in=reaches_in)


def replace_low(body, axis, low):
    """A `body` that begins at `low` [m] along an `axis`, or at its own end where that is higher: a Block.

    >>> replace_low(box("a", "feeder", (0.0, 0.1), (0.0, 0.1), (0.0, 0.1)), 1, 0.02).low
    (0.0, 0.02, 0.0)
    """
    place = tuple(max(low, own) if each == axis else own for each, own in enumerate(body.low))
    form = replace(body.form, low=place[axis]) if body.form else None
    return replace(body, low=place, form=form)


def _refuse_in_casting(casting, body):
    for other in casting:
        if other.role == "casting" and overlap(body, other):
            raise InputError(
                f"place of the {body.name}",
                "taken",
                f"it overlaps the {other.name}; make it smaller or choose another place",
            )


def _level(part, feeders, blocks):
    """How high the metal stands in the sprues and the open feeders [m]."""
    top = part.extent[1][1]
    tops = {each.top: [] for each in feeders.values()}
    for each, own in zip(feeders.values(), blocks, strict=True):
        tops[each.top].append(
            own[0].high[1] + (COVER_M + each.sleeve_thickness if each.top == BLIND else 0.0)
        )
    if OPEN in tops:
        level = max(tops[OPEN])
        if level < top:
            allowed = (
                "an open feeder must stand higher than the casting, or it overflows before the casting is "
                "full: {} or more here"
            )
            number = max(feeders, key=lambda each: feeders[each].height if feeders[each].top == OPEN else 0.0)
            height = feeders[number].height
            raise InputError("feeder height", metres(height), allowed, metres(height + top - level))
        return max([level, *tops.get(BLIND, [])])
    return max([top + HEAD_M, *tops.get(BLIND, [])])


def _up_to(level, blocks, feeder):
    """An open feeder, and its sleeve, up to the level of the metal."""
    if feeder.top != OPEN:
        return blocks
    return [
        _higher(block, level) if block.name.startswith(("feeder", "sleeve")) else block for block in blocks
    ]


def _higher(block, level):
    high = (block.high[0], level, block.high[2])
    return replace(block, high=high, form=replace(block.form, high=level) if block.form else None)


def _gate(part, number, gate, level):
    face = free_face(part.blocks, gate.side, (gate.x, gate.y, gate.z))
    out, axis = face.sign, face.axis
    low, high = face.reach_along(1)
    flat_axis = 2 - axis
    across = face.reach_along(flat_axis)
    thick = gate.thickness
    if thick > high - low + 1e-9:
        raise InputError(
            "gate thickness", metres(thick), "at most the section that it joins, {}", metres(high - low)
        )
    deep = min(gate.width or max(GATE_DEPTH_M, thick), _size(across))
    if gate.width > deep + 1e-9:
        raise InputError("gate width", metres(gate.width), "at most the face that it joins, {}", metres(deep))
    y = min(max(face.at[1], low + thick / 2), high - thick / 2)
    flat = min(max(face.at[flat_axis], across[0] + deep / 2), across[1] - deep / 2)
    own = face.at[axis]
    start = foot_of(part.blocks, face, (thick, deep) if axis == 0 else (deep, thick))
    outermost = part.extent[1 if out > 0 else 0][axis]
    near = own + out * (GATE_LENGTH_M + max(out * (outermost - own), 0.0))
    sprue = max(SPRUE_M, thick)
    spans = {
        axis: sorted((start, near)),
        1: (y - thick / 2, y + thick / 2),
        flat_axis: (flat - deep / 2, flat + deep / 2),
    }
    way = box(_named("gate", number), "gate", *(spans[each] for each in range(3)))
    spans = {
        axis: sorted((near, near + out * sprue)),
        1: (low, level),
        flat_axis: (flat - sprue / 2, flat + sprue / 2),
    }
    return [
        replace(way, reaches_in=abs(start - own) > 1e-9),
        box(_named("sprue", number), "gate", *(spans[each] for each in range(3))),
    ]


def _chill(casting, number, chill):
    face = free_face(casting, chill.side, (chill.x, chill.y, chill.z))
    axis, out = face.axis, face.sign
    others = [each for each in range(3) if each != axis]
    widths, spans = [], {}
    for other, wanted in zip(others, (chill.width, chill.length), strict=True):
        low, high = face.reach_along(other)
        middle = face.at[other] if wanted else 0.5 * (low + high)
        widths.append(wanted or high - low)
        spans[other] = middle - widths[-1] / 2, middle + widths[-1] / 2
    start = foot_of(casting, face, widths)
    own = face.at[axis]
    spans[axis] = sorted((start, own + out * chill.thickness))
    material = mould(chill.material)
    if chill.contact:
        material = replace(material, interface_coefficient=chill.contact)
    block = box(_named("chill", number), "chill", *(spans[each] for each in range(3)), material=material)
    return [replace(block, reaches_in=abs(start - own) > 1e-9)]


def _size(span):
    return span[1] - span[0]
