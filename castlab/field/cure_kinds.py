"""The kinds of cure: what may be changed about a design, and each change's settings from the least on."""

import inspect
from dataclasses import dataclass, replace

from castlab.errors import InputError
from castlab.field import rigging
from castlab.field.own_cures import kinds_for_own
from castlab.field.own_part import OwnPart
from castlab.field.parts import PARTS, ROUND_PARTS
from castlab.field.placed import rigging_of, sizes_of
from castlab.field.rigging import Rigging

STEP_M, STEP_K = 2e-3, 5.0  # a cure is found to within one step
HEIGHT_STEP_M, LEAST_HEIGHT_M = 5e-3, 20e-3
SLEEVE_M = 8e-3  # a common wall of a small insulating sleeve; common practice
HIGH, LOW = 1.5, 0.6  # height of a feeder over its width: usual, and squat; common practice
LARGEST_FEEDER_M, LARGEST_CHILL_M = 80e-3, 40e-3
GATE_IN_THIN, GATE_IN_HEAVY = "thicker gate into the thin end", "gate into the heavy end"
# What each costs besides metal; common practice.
SAWN_OFF = "to be sawn off, and its stub ground flush"
REMARKS = {
    "feeder on top": SAWN_OFF,
    "squat feeder on top": f"{SAWN_OFF}: a wide one",
    "sleeved feeder": f"{SAWN_OFF}; a sleeve is used up each time",
    "feeder at the side": "its neck is to be sawn off",
    GATE_IN_THIN: "a thick gate to saw off",
    GATE_IN_HEAVY: "a thick gate to saw off",
    "chill under": "a chill must be dry and clean, or metal spits and blows",
    "chill at the side": "a chill must be dry and clean, or metal spits and blows",
    "core": "a core to make and to set; the part gets a hole",
    "larger feeders": SAWN_OFF,
    "feeder in its place": SAWN_OFF,
    "one feeder": SAWN_OFF,
    "cooler pour": "thin sections may not fill, which is not computed here",
}
SHAPE_REMARK = "the part is no longer as it was drawn"
TURN_REMARK = "the mould is made another way round"

# What may change on the part itself, by name: (words, towards, limit [m]), from the least change on.
SHAPES = {
    "eye plate": {
        "core": ("core in the boss", +1, 24e-3),
        "boss": ("smaller boss", -1, 12e-3),
        "thickness": ("thicker plate", +1, 30e-3),
        "taper": ("plate that grows towards the boss", +1, 24e-3),
    },
    "step wedge": {
        "heavy": ("thinner last step", -1, 8e-3),
        "thin": ("thicker first step", +1, 30e-3),
    },
    "bracket": {
        "rib": ("thinner rib", -1, 4e-3),
        "wall": ("thinner wall", -1, 4e-3),
        "thickness": ("thicker base", +1, 24e-3),
    },
    "cleat": {
        "post": ("thinner post", -1, 8e-3),
        "thickness": ("thicker base", +1, 24e-3),
        "horn": ("thinner horn", -1, 4e-3),
    },
    "sheave": {
        "core": ("core in the hub", +1, 24e-3),
        "hub": ("smaller hub", -1, 14e-3),
        "thickness": ("thicker web", +1, 24e-3),
    },
    "bollard cap": {
        "core": ("core in the boss", +1, 22e-3),
        "boss": ("smaller boss", -1, 10e-3),
        "thickness": ("thicker crown", +1, 24e-3),
    },
}


@dataclass(frozen=True)
class KindOfCure:
    """One kind of cure: its settings, pairs of (words or value, changes of the design), from the least on."""

    key: str
    name: str
    settings: tuple[tuple[str | float | tuple, tuple[tuple[str, float | str], ...]], ...]
    remark: str = ""


def kind_of_cure(design, key, spots=()):
    """One of the `kinds_of_cure` of a `design`, by its `key`; `spots`, hot spots of an own part.

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    >>> kind_of_cure(plain, "core").name
    'core in the boss'
    """
    return next(each for each in kinds_of_cure(design, spots) if each.key == key)


def kinds_of_cure(design, spots=()):
    """All for a `design`, each with its settings from the least change on: a tuple of KindOfCure.

    `spots`: of an own part its HotSpots, beside which feeders and chills may stand.

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    >>> [each.key for each in kinds_of_cure(plain)][:3]
    ['feeder on top', 'squat feeder on top', 'sleeved feeder']
    """
    if isinstance(design.part, OwnPart):
        found = [*(KindOfCure(*each) for each in kinds_for_own(design, spots)), _cooler(design)]
        found = (each for each in found if each.settings)
        return tuple(replace(each, remark=REMARKS.get(each.key, TURN_REMARK)) for each in found)
    own = usual_sizes(design.part) | design.values
    round_part = design.part in ROUND_PARTS
    found = [
        *_feeders(round_part),
        *_gates(own, round_part),
        *_chills(own, round_part),
        *_shapes(design.part, own),
        _cooler(design),
        *_turns(design, own),
    ]
    return tuple(replace(each, remark=_remark(design.part, each.key)) for each in found if each.settings)


def _remark(part, key):
    if key in REMARKS:
        return REMARKS[key]
    return SHAPE_REMARK if key in SHAPES[part] else TURN_REMARK


def _feeders(round_part):
    on_top = {"feeder_place": rigging.ON_TOP, "feeder_top": rigging.OPEN, "sleeve_thickness": 0.0}
    yield KindOfCure("feeder on top", "feeder on top", _feeder_sizes(HIGH, on_top))
    yield KindOfCure("squat feeder on top", "squat feeder on top", _feeder_sizes(LOW, on_top))
    sleeved = on_top | {"sleeve_thickness": SLEEVE_M, "sleeve": rigging.SLEEVES[0]}
    yield KindOfCure("sleeved feeder", "feeder in an insulating sleeve", _feeder_sizes(HIGH, sleeved))
    if not round_part:
        beside = on_top | {"feeder_place": rigging.AT_THE_SIDE}
        yield KindOfCure("feeder at the side", "feeder at the side", _feeder_sizes(HIGH, beside))


def _feeder_sizes(slender, rest):
    """Feeders of growing width, in steps of height as well."""
    settings = []
    for width in _range(10e-3, LARGEST_FEEDER_M):
        height = max(HEIGHT_STEP_M * round(slender * width / HEIGHT_STEP_M), LEAST_HEIGHT_M)
        sizes = {"feeder_width": width, "feeder_height": round(height, 6), "neck_width": 0.0, **rest}
        settings.append((width, tuple(sizes.items())))
    return tuple(settings)


def _gates(own, round_part):
    thick = _range(own["gate_thickness"] + STEP_M, 40e-3)
    yield KindOfCure(
        GATE_IN_THIN,
        GATE_IN_THIN,
        tuple((size, (("gate_place", rigging.THIN), ("gate_thickness", size))) for size in thick),
    )
    if not round_part:
        heavy = (("gate_place", rigging.HEAVY),)
        yield KindOfCure(
            GATE_IN_HEAVY,
            GATE_IN_HEAVY,
            tuple((size, (*heavy, ("gate_thickness", size))) for size in _range(4e-3, 60e-3)),
        )


def _chills(own, round_part):
    for place in (rigging.UNDER,) if round_part else (rigging.UNDER, rigging.AT_THE_SIDE):
        settings = (
            (size, (("chill_place", place), ("chill_thickness", size)))
            for size in _range(4e-3, LARGEST_CHILL_M)
        )
        yield KindOfCure(f"chill {place}", f"{own['chill']} {place}", tuple(settings))


def _shapes(part, own):
    for name, (words, towards, limit) in SHAPES[part].items():
        first = own[name] + towards * STEP_M
        sizes = _range(first, limit) if towards > 0 else [-size for size in _range(-first, -limit)]
        if name == "core" and own[name] == 0.0:
            sizes = _range(4e-3, limit)
        yield KindOfCure(name, words, tuple((size, ((name, size),)) for size in sizes))


def _cooler(design):
    low, usual = design.alloy.pour_range_c[0], design.pour_temp_c
    count = int((usual - low) / STEP_K + 1e-9)
    temps = [usual - STEP_K * step for step in range(1, count + 1)]
    return KindOfCure("cooler pour", "cooler pour", tuple((temp, (("pour_temp_c", temp),)) for temp in temps))


def _turns(design, own):
    for turn in rigging.TURNS:
        if turn != own["turn"] and _can_lie(design, turn):
            yield KindOfCure(turn, f"cast {turn}", ((turn, (("turn", turn),)),))


def _can_lie(design, turn):
    """Whether the bare part is ever cast that way up."""
    try:
        parts_alone = {
            name: value for name, value in design.values.items() if name not in rigging.RIGGING_NAMES
        }
        replace(design, sizes=tuple(parts_alone.items())).change(turn=turn).setup()
    except InputError:
        return False
    return True


def usual_sizes(part):
    """What the sizes of a part and its rigging are when nothing is said: a dict; `part`, a name or an
    OwnPart.

    >>> usual_sizes("eye plate")["boss"], usual_sizes("eye plate")["feeder_width"]
    (0.04, 0.0)
    """
    if isinstance(part, OwnPart):
        own = {f"{body.name} {size}": value for body in part.bodies for size, value in body.sizes}
        for kind, numbers in rigging_of(dict(part.rigging)).items():
            for number, what in numbers.items():
                own |= sizes_of(kind, number, what, usual=True)
        return own | {"up": part.up}
    own = {
        name: each.default
        for name, each in inspect.signature(PARTS[part]).parameters.items()
        if each.default is not inspect.Parameter.empty
    }
    return own | {name: getattr(Rigging(), name) for name in rigging.RIGGING_NAMES}


def _range(low, high):
    """Sizes [m] from low to high in steps."""
    count = int((high - low) / STEP_M + 1e-9)
    return [round(low + STEP_M * step, 6) for step in range(count + 1)]
