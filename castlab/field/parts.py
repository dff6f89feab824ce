"""The course's parts: fittings for small boats, cast by an evening class in a boat shed.

A few dimensions make a layout. Every part has a gate and a sprue, because every real mould has; metal
stands as high in the sprue as in an open feeder.
"""

from castlab.errors import InputError, require_between, require_number
from castlab.field.layout import Layout, box

HEAD_M = (
    30e-3  # without a feeder the sprue stands this far above the casting; common practice in small flasks
)
SAND_M = 60e-3  # sand round the metal, more than heat reaches before a hand-sized casting is solid
SPRUE_M = 12e-3
GATE_LENGTH_M = 12e-3


def eye_plate(
    thickness=12e-3,
    length=120e-3,
    width=40e-3,
    boss=40e-3,
    boss_depth=40e-3,
    feeder_width=0.0,
    feeder_height=0.0,
    gate_thickness=4e-3,
):
    """A plate that ends in a heavy boss (its eye is drilled later), gated at the thin end; planar.

    All in metres. `boss` is the side of the boss in the picture, `boss_depth` across it. The feeder is a
    square block on top of the boss, as deep as it is wide; a feeder of width 0 or height 0 is left out.
    Returns a Layout with the blocks "plate", "boss", "gate", "sprue" and, if any, "feeder". Raises
    InputError for a boss that is not heavier than the plate is thick.

    >>> [block.name for block in eye_plate(feeder_width=0.04, feeder_height=0.05).blocks]
    ['plate', 'boss', 'gate', 'sprue', 'feeder']
    """
    thickness = require_between("section thickness", thickness, 3e-3, 60e-3, "m")
    length = require_between("plate length", length, 20e-3, 500e-3, "m")
    width = require_between("plate width", width, 6e-3, 500e-3, "m")
    boss = require_between("heavy-end size", boss, 6e-3, 150e-3, "m")
    boss_depth = require_between("boss depth", boss_depth, 6e-3, 500e-3, "m")
    gate = require_between("gate thickness", gate_thickness, 1e-3, 60e-3, "m")
    if boss < thickness:
        raise InputError(
            "heavy-end size", f"{boss * 1e3:g} mm", f"at least the section thickness, {thickness * 1e3:g} mm"
        )
    if gate > thickness:
        raise InputError(
            "gate thickness", f"{gate * 1e3:g} mm", f"at most the section thickness, {thickness * 1e3:g} mm"
        )
    feeder = _feeder_size(feeder_width, feeder_height)
    half, top = boss / 2.0, boss / 2.0
    level = top + (feeder[1] if feeder else HEAD_M)
    sprue_right = -GATE_LENGTH_M
    blocks = [
        box("plate", "casting", (0.0, length), (-thickness / 2, thickness / 2), depth=width),
        box("boss", "casting", (length, length + boss), (-half, half), depth=boss_depth),
        box("gate", "gate", (sprue_right, 0.0), (-gate / 2, gate / 2), depth=min(width, 20e-3)),
        box("sprue", "gate", (sprue_right - SPRUE_M, sprue_right), (-thickness / 2, level), depth=SPRUE_M),
    ]
    right = length + boss
    if feeder:
        middle = length + half
        span = (middle - feeder[0] / 2, middle + feeder[0] / 2)
        blocks.append(box("feeder", "feeder", span, (top, level), depth=feeder[0]))
        right = max(right, span[1])
    low = (sprue_right - SPRUE_M - SAND_M, -half - SAND_M)
    return Layout("planar", tuple(blocks), low, (right + SAND_M, level), up="+y", title="eye plate")


def sheave(
    thickness=8e-3,
    diameter=120e-3,
    rim=10e-3,
    rim_height=20e-3,
    hub=36e-3,
    hub_height=36e-3,
    feeder_width=0.0,
    feeder_height=0.0,
    gate_thickness=5e-3,
):
    """A rope wheel: hub, web and rim (the bore is drilled later), gated at the rim; round, x is the radius.

    All in metres. `thickness` is the web's, `hub` the hub's diameter, `rim` the rim's size along the
    radius, `feeder_width` the diameter of a round feeder on the hub. The gate and sprue are as deep as they
    are in the shop, not rings. Returns a Layout with the blocks "web", "hub", "rim", "gate", "sprue" and,
    if any, "feeder".

    >>> sheave().kind
    'round'
    """
    thickness = require_between("section thickness", thickness, 3e-3, 60e-3, "m")
    diameter = require_between("sheave diameter", diameter, 30e-3, 500e-3, "m")
    hub = require_between("heavy-end size", hub, 6e-3, 150e-3, "m")
    rim = require_between("rim", rim, 3e-3, 60e-3, "m")
    hub_height = require_between("hub height", hub_height, thickness, 150e-3, "m")
    rim_height = require_between("rim height", rim_height, thickness, 150e-3, "m")
    gate = require_between("gate thickness", gate_thickness, 1e-3, rim_height, "m")
    outer, hub_radius = diameter / 2.0, hub / 2.0
    if hub_radius + rim + 6e-3 > outer:
        raise InputError(
            "sheave diameter", f"{diameter * 1e3:g} mm", "hub and rim must leave a web of 6 mm or more"
        )
    feeder = _feeder_size(feeder_width, feeder_height)
    if feeder and feeder[0] / 2 > outer - rim:
        raise InputError("feeder width", f"{feeder[0] * 1e3:g} mm", "the feeder must stand inside the rim")
    top = max(hub_height, rim_height) / 2
    level = hub_height / 2 + feeder[1] if feeder else top + HEAD_M
    level = max(level, top + 5e-3)
    blocks = [
        box("web", "casting", (hub_radius, outer - rim), (-thickness / 2, thickness / 2)),
        box("hub", "casting", (0.0, hub_radius), (-hub_height / 2, hub_height / 2)),
        box("rim", "casting", (outer - rim, outer), (-rim_height / 2, rim_height / 2)),
        box("gate", "gate", (outer, outer + GATE_LENGTH_M), (-gate / 2, gate / 2), depth=20e-3),
        box(
            "sprue",
            "gate",
            (outer + GATE_LENGTH_M, outer + GATE_LENGTH_M + SPRUE_M),
            (-rim_height / 2, level),
            depth=SPRUE_M,
        ),
    ]
    if feeder:
        blocks.append(box("feeder", "feeder", (0.0, feeder[0] / 2), (hub_height / 2, level)))
    low = (0.0, -max(hub_height, rim_height) / 2 - SAND_M)
    high = (outer + GATE_LENGTH_M + SPRUE_M + SAND_M, level)
    return Layout("round", tuple(blocks), low, high, up="+y", title="sheave")


def _feeder_size(width, height):
    """(width, height) [m] of a feeder, or None where one of them is 0."""
    for parameter, value in (("feeder width", width), ("feeder height", height)):
        if require_number(parameter, value, "m") < 0.0:
            raise InputError(parameter, f"{value * 1e3:g} mm", "it must be 0 (no feeder) or more")
    if width == 0.0 or height == 0.0:
        return None
    return (
        require_between("feeder width", width, 3e-3, 200e-3, "m"),
        require_between("feeder height", height, 3e-3, 300e-3, "m"),
    )
