"""Feeder, sleeve, chill, gate and turn: what was asked for is where it should be, on every part."""

import math

import pytest

from castlab import InputError, Setup, alloy, freeze, mould
from castlab.field import rigging
from castlab.field.grid import build
from castlab.field.parts import PARTS, layout_of
from castlab.teach.sliders.to_design import sliders_of_part

MM = 1e-3
# which body of the heavy end has the free face, as drawn: (top, bottom, side); and which one of the thin end
HEAVY = {
    "eye plate": ("boss", "boss", "boss"),
    "step wedge": ("step 4", "step 4", "step 4"),
    "bracket": ("wall", "corner", "corner"),
    "cleat": ("horn", "base", "post"),
    "sheave": ("hub", "hub", None),
    "bollard cap": ("crown", "boss", None),
}
THIN = {
    "eye plate": "plate",
    "step wedge": "step 1",
    "bracket": "base",
    "cleat": "base",
    "sheave": "rim",
    "bollard cap": "skirt",
}
TURNS = {
    "eye plate": ("as drawn", "heavy end up", "heavy end down"),
    "step wedge": ("as drawn", "heavy end up", "heavy end down"),
    "bracket": ("as drawn", "upside down"),
    "cleat": ("as drawn", "upside down"),
    "sheave": ("as drawn",),
    "bollard cap": ("as drawn", "upside down"),
}
ALL = [(part, turn) for part in PARTS for turn in TURNS[part]]
PLANAR = [(part, turn) for part, turn in ALL if part not in ("sheave", "bollard cap")]
TOPPED = [(part, turn) for part, turn in ALL if turn != "heavy end down"]  # its heavy end has no free top
CHILLED = [(part, turn) for part, turn in ALL if turn != "heavy end up"]
# the cleat's horn and base leave no room for a feeder beside its post
SIDED = [(part, turn) for part, turn in PLANAR if part != "cleat"]


def on_top(part, turn):
    top, bottom, side = HEAVY[part]
    return {"as drawn": top, "upside down": bottom, "heavy end up": side}[turn]


def beneath(part, turn):
    top, bottom, side = HEAVY[part]
    return {"as drawn": bottom, "upside down": top, "heavy end down": side}[turn]


def side_of(body, other):
    """On which side of `other` a body lies against it: "top", "left", "front" and the like, or None."""
    shared = [
        min(h1, h2) - max(l1, l2)
        for l1, h1, l2, h2 in zip(body.low, body.high, other.low, other.high, strict=True)
    ]
    if min(shared) < -1e-9 or sum(each > 1e-6 for each in shared) < 2:  # an edge is no face
        return None
    if abs(shared[1]) < 1e-9:
        return "top" if abs(body.low[1] - other.high[1]) < 1e-9 else "bottom"
    if abs(shared[0]) < 1e-9:
        return "right" if abs(body.low[0] - other.high[0]) < 1e-9 else "left"
    if abs(shared[2]) < 1e-9:
        return "front" if abs(body.low[2] - other.high[2]) < 1e-9 else "back"
    return "inside"


def size(layout, name):
    block = layout.block(name)
    return tuple(high - low for low, high in zip(block.low, block.high, strict=True))


def names(layout, role):
    return [block.name for block in layout.blocks if block.role == role]


def casting_top(layout):
    return max(block.high[1] for block in layout.blocks if block.role == "casting")


@pytest.mark.parametrize("part, turn", TOPPED)
def test_an_open_feeder_stands_on_the_heavy_end_and_level_with_the_sprue(part, turn):
    layout = layout_of(part, feeder_width=30 * MM, feeder_height=52 * MM, turn=turn)
    feeder, foot = layout.block("feeder"), layout.block(on_top(part, turn))
    assert size(layout, "feeder") == pytest.approx((30 * MM, 52 * MM, 30 * MM))
    assert side_of(feeder, foot) == "top" and "neck" not in names(layout, "feeder")
    assert feeder.high[1] == layout.high[1] == layout.block("sprue").high[1]


@pytest.mark.parametrize("name", ["feeder_width", "feeder_height", "neck_width", "sleeve_thickness",
                                  "chill_thickness"])
def test_a_size_may_be_left_out_but_is_neither_a_foil_nor_larger_than_the_flask(name):
    sizes = {"feeder_width": 40 * MM, "feeder_height": 60 * MM}
    assert rigging.Rigging(**(sizes | {name: 0.0})) and rigging.Rigging(**(sizes | {name: 20 * MM}))
    for size in (0.5 * MM, 900 * MM, -1 * MM):
        with pytest.raises(InputError, match=name.replace("_", " ")):
            rigging.Rigging(**(sizes | {name: size}))


@pytest.mark.parametrize("part", ["eye plate", "step wedge", "bracket", "cleat"])
def test_a_gate_meets_the_thin_end_in_the_middle_of_its_thickness(part):
    layout = layout_of(part)
    gate, thin = layout.block("gate"), layout.block(THIN[part])
    assert gate.low[1] + gate.high[1] == pytest.approx(thin.low[1] + thin.high[1])
    assert gate.high[0] == pytest.approx(thin.low[0])


@pytest.mark.parametrize("part, turn", TOPPED)
def test_a_blind_feeder_has_sand_over_it_and_the_sprue_stands_higher(part, turn):
    layout = layout_of(part, feeder_width=30 * MM, feeder_height=52 * MM, feeder_top="blind", turn=turn)
    top, level = layout.block("feeder").high[1], layout.high[1]
    assert level - top >= rigging.COVER_M - 1e-9 and level == layout.block("sprue").high[1]
    assert level - casting_top(layout) >= rigging.HEAD_M - 1e-9
    assert size(layout, "feeder")[1] == pytest.approx(52 * MM)


@pytest.mark.parametrize("part, turn", TOPPED)
def test_a_neck_stands_between_casting_and_feeder(part, turn):
    layout = layout_of(part, feeder_width=30 * MM, feeder_height=52 * MM, neck_width=14 * MM, turn=turn)
    feeder, neck = layout.block("feeder"), layout.block("neck")
    assert size(layout, "neck") == pytest.approx((14 * MM, rigging.NECK_LENGTH_M, 14 * MM))
    assert side_of(neck, layout.block(on_top(part, turn))) == "top" and side_of(feeder, neck) == "top"
    assert all(side_of(feeder, block) is None for block in layout.blocks if block.role == "casting")
    assert neck.low[0] + neck.high[0] == pytest.approx(feeder.low[0] + feeder.high[0])


@pytest.mark.parametrize("part, turn", SIDED)
@pytest.mark.parametrize("neck", [0.0, 12 * MM])
def test_a_feeder_at_the_side_joins_the_heavy_end_by_a_neck_away_from_the_sprue(part, turn, neck):
    layout = layout_of(
        part,
        feeder_width=34 * MM,
        feeder_height=80 * MM,
        feeder_place="at the side",
        feeder_top="blind",
        neck_width=neck,
        turn=turn,
    )
    body, feeder = layout.block("neck"), layout.block("feeder")
    sides = {side_of(body, layout.block(name)) for name in names(layout, "casting")} - {None}
    assert sides in ({"right"}, {"left"})
    assert side_of(body, layout.block(HEAVY[part][2])) in sides and side_of(feeder, body) in sides
    assert size(layout, "feeder") == pytest.approx((34 * MM, 80 * MM, 34 * MM))
    assert body.low[1] == pytest.approx(feeder.low[1])  # the neck joins it at its foot
    if neck:
        assert size(layout, "neck") == pytest.approx((rigging.NECK_LENGTH_M, 12 * MM, 12 * MM))
    sprue_side = side_of(layout.block("gate"), layout.block(THIN[part]))
    assert sprue_side not in sides


@pytest.mark.parametrize("part, turn", TOPPED)
@pytest.mark.parametrize("top", ["open", "blind"])
@pytest.mark.parametrize("sleeve", rigging.SLEEVES)
def test_a_sleeve_stands_round_the_feeder_and_over_a_blind_one(part, turn, top, sleeve):
    layout = layout_of(
        part,
        feeder_width=30 * MM,
        feeder_height=52 * MM,
        feeder_top=top,
        sleeve_thickness=8 * MM,
        sleeve=sleeve,
        turn=turn,
    )
    feeder, found = layout.block("feeder"), {}
    for name in names(layout, "sleeve"):
        block = layout.block(name)
        assert block.material == mould(sleeve)
        found[side_of(block, feeder)] = size(layout, name)
    if layout.is_round:
        sides = {"inside": (46 * MM, 52 * MM, 46 * MM)}
        assert layout.block("sleeve").form.flat.inner == feeder.form.flat.radius
    else:
        sides = dict.fromkeys(("right", "left"), (8 * MM, 52 * MM, 30 * MM))
        sides |= dict.fromkeys(("front", "back"), (46 * MM, 52 * MM, 8 * MM))
    if top == "blind":
        sides["top"] = (30 * MM, 8 * MM, 30 * MM)
    assert found.keys() == sides.keys()
    assert all(found[side] == pytest.approx(sides[side]) for side in sides)


@pytest.mark.parametrize("part, turn", SIDED)
@pytest.mark.parametrize("thick", [4 * MM, 16 * MM])
def test_a_sleeve_round_a_feeder_at_the_side_leaves_the_neck_free(part, turn, thick):
    layout = layout_of(
        part,
        feeder_width=34 * MM,
        feeder_height=80 * MM,
        feeder_place="at the side",
        feeder_top="blind",
        neck_width=12 * MM,
        sleeve_thickness=thick,
        turn=turn,
    )
    feeder, neck = layout.block("feeder"), layout.block("neck")
    found = {side_of(layout.block(name), feeder): layout.block(name) for name in names(layout, "sleeve")}
    assert found.keys() == {"left", "right", "front", "back", "top"}
    inner = "left" if side_of(feeder, neck) == "right" else "right"
    assert found[inner].low[1] == pytest.approx(neck.high[1])
    assert sorted(round(size(layout, found[side].name)[1], 6) for side in ("left", "right")) == [
        68 * MM,
        80 * MM,
    ]
    assert size(layout, "neck")[0] >= thick - 1e-9


@pytest.mark.parametrize("part, turn", CHILLED)
@pytest.mark.parametrize("material", rigging.CHILLS)
def test_a_chill_under_covers_the_lower_face_of_the_heavy_end(part, turn, material):
    layout = layout_of(part, chill_thickness=15 * MM, chill=material, chill_contact=800.0, turn=turn)
    chill, heavy = layout.block("chill"), layout.block(beneath(part, turn))
    assert side_of(chill, heavy) == "bottom" and size(layout, "chill")[1] == pytest.approx(15 * MM)
    assert chill.material.name == material and chill.material.interface_coefficient == 800.0
    assert chill.material.conductivity == mould(material).conductivity
    full = {
        "eye plate": 40,
        "step wedge": 36 if turn == "heavy end down" else 32,
        "bracket": 14,
        "cleat": 26,
        "sheave": 36,
        "bollard cap": 32,
    }
    assert size(layout, "chill")[0] == pytest.approx(full[part] * MM)


@pytest.mark.parametrize("part, turn", PLANAR)
def test_a_chill_at_the_side_lies_against_the_heavy_end_away_from_the_sprue(part, turn):
    layout = layout_of(part, chill_thickness=8 * MM, chill_place="at the side", turn=turn)
    chill = layout.block("chill")
    touched = {name: side_of(chill, layout.block(name)) for name in names(layout, "casting")}
    touched = {name: side for name, side in touched.items() if side in ("left", "right")}
    assert HEAVY[part][2] in touched
    assert size(layout, "chill")[0] == pytest.approx(8 * MM)
    assert side_of(layout.block("gate"), layout.block(THIN[part])) not in touched.values()
    assert chill.material == mould("steel chill")


def test_a_chill_at_the_side_of_a_filleted_post_lies_above_the_fillet():
    layout = layout_of("cleat", fillet=6 * MM, chill_thickness=8 * MM, chill_place="at the side")
    chill, post = layout.block("chill"), layout.block("post")
    assert chill.low[1] == pytest.approx(post.low[1] + 6 * MM) and chill.high[1] == pytest.approx(
        post.high[1]
    )


@pytest.mark.parametrize("part, turn", ALL)
@pytest.mark.parametrize("end", ["thin end", "heavy end"])
def test_the_gate_enters_the_end_that_was_asked_for(part, turn, end):
    if end == "heavy end" and part in ("sheave", "bollard cap"):
        with pytest.raises(InputError, match="gate place is heavy end.*free only at"):
            layout_of(part, gate_place=end, turn=turn)
        return
    layout = layout_of(part, gate_place=end, gate_thickness=5 * MM, turn=turn)
    gate, sprue = layout.block("gate"), layout.block("sprue")
    joined = layout.block(THIN[part] if end == "thin end" else HEAVY[part][2])
    side = side_of(sprue, gate)
    assert side in ("left", "right")
    assert side_of(gate, joined) == ("inside" if layout.is_round else side)  # boxes round a rim
    assert size(layout, "gate")[1] == pytest.approx(5 * MM)
    assert sprue.high[1] == layout.high[1] >= casting_top(layout) + rigging.HEAD_M - 1e-9
    for block in layout.blocks:  # the sprue rises past whatever juts out
        assert block.role != "casting" or side_of(sprue, block) is None


@pytest.mark.parametrize("part", ["eye plate", "step wedge"])
@pytest.mark.parametrize("turn", ["heavy end up", "heavy end down"])
def test_a_gate_into_the_side_of_a_thin_end_stays_within_20_mm_of_it(part, turn):
    """Its middle is 10 mm from the end, so one of 20 mm just reaches it."""
    layout = layout_of(part, turn=turn, gate_thickness=20 * MM)
    gate, thin = layout.block("gate"), layout.block(THIN[part])
    end = "low" if turn == "heavy end up" else "high"
    assert getattr(gate, end)[1] == pytest.approx(getattr(thin, end)[1], abs=1e-9)
    assert side_of(gate, thin) in ("left", "right")
    with pytest.raises(InputError, match="at most the section that it joins, 20 mm"):
        layout_of(part, turn=turn, gate_thickness=21 * MM)


@pytest.mark.parametrize("part", ["eye plate", "step wedge"])
def test_what_lies_beside_the_heavy_end_lies_in_the_middle_of_its_height(part):
    layout = layout_of(part, gate_place="thin end", chill_thickness=8 * MM, chill_place="at the side")
    chill, heavy = layout.block("chill"), layout.block(HEAVY[part][2])
    assert (chill.low[1], chill.high[1]) == pytest.approx((heavy.low[1], heavy.high[1]))
    assert chill.low[0] == pytest.approx(heavy.high[0])


@pytest.mark.parametrize("foot", ["feeder width", "neck width"])
def test_over_the_mouth_of_a_core_a_feeder_stands_2_mm_on_metal_all_round(foot):
    """A core of 16 mm: 20 mm will do, 19 mm will not, and the refusal names the foot and says 20 mm."""
    def hub(across):
        sizes = {"feeder_width": across} if foot == "feeder width" else {
            "feeder_width": 30 * MM, "neck_width": across}
        return layout_of("sheave", core=16 * MM, feeder_height=40 * MM, **sizes)
    assert hub(20 * MM).block("feeder")
    with pytest.raises(InputError, match=f"{foot} is 19 mm: .*20 mm or more"):
        hub(19 * MM)


def test_a_thick_gate_has_a_sprue_as_thick():
    layout = layout_of("eye plate", gate_place="heavy end", gate_thickness=30 * MM)
    assert size(layout, "gate")[1] == pytest.approx(30 * MM) and layout.block("gate").depth == pytest.approx(
        30 * MM
    )
    assert size(layout, "sprue")[0] == pytest.approx(30 * MM)


@pytest.mark.parametrize("part, turn", ALL)
def test_turned_bodies_keep_their_volumes(part, turn):
    names = {slider.name for slider in sliders_of_part(part)}
    more = {"fillet": 3 * MM} if "fillet" in names else {"core": 8 * MM}
    drawn, turned = (layout_of(part, turn=each, **more) for each in ("as drawn", turn))
    for block in drawn.blocks:
        if block.role in ("casting", "core"):
            same = turned.block(block.name)
            assert same.volume == pytest.approx(block.volume)
    assert metal(turned, 2 * MM) == pytest.approx(metal(drawn, 2 * MM), rel=2e-3)


def metal(layout, cell):
    """Volume of the casting on the grid [m3]."""
    grid = build(layout, cell)
    return float(grid.metal_volume[grid.is_role("casting")].sum())


# A fillet is drawn with four straight pieces: by geometry r^2 (1 - 4/2 sin(90/4 deg)) of area, a tenth more
# than the round one's r^2 (1 - pi/4).
FILLET = 1.0 - 2.0 * math.sin(math.pi / 8)
R = 6 * MM
SHAPED = {
    "eye plate, fillets": ("eye plate", {"fillet": R}, 2 * FILLET * R**2 * 40 * MM),
    "eye plate, taper": ("eye plate", {"taper": 12 * MM}, 0.5 * 100 * MM * 12 * MM * 40 * MM),
    "eye plate, core": ("eye plate", {"core": 16 * MM}, -((16 * MM) ** 2) * 40 * MM),
    "step wedge, fillets": ("step wedge", {"fillet": R}, 3 * FILLET * R**2 * 50 * MM),
    "bracket, fillets": ("bracket", {"fillet": R}, 3 * FILLET * R**2 * 40 * MM),
    "cleat, fillets": ("cleat", {"fillet": R}, 2 * FILLET * R**2 * 34 * MM),
    "sheave, core": ("sheave", {"core": 16 * MM}, -math.pi * (8 * MM) ** 2 * 36 * MM),
    "bollard cap, core": ("bollard cap", {"core": 9 * MM}, -math.pi * (4.5 * MM) ** 2 * 30 * MM),
}


@pytest.mark.parametrize("name", SHAPED)
def test_fillet_taper_and_core_change_the_metal_by_what_geometry_says(name):
    part, shape, expected = SHAPED[name]
    change = metal(layout_of(part, **shape), 2 * MM) - metal(layout_of(part), 2 * MM)
    assert change == pytest.approx(expected, rel=0.003)


def test_the_pieces_of_a_fillet_are_near_the_round_one():
    assert FILLET == pytest.approx(1.0 - math.pi / 4.0, rel=0.1)


RIGGED = {
    "sleeve and cover": (
        "eye plate",
        {"feeder_width": 0.04, "feeder_height": 0.05, "sleeve_thickness": 8 * MM},
    ),
    "blind, side, sleeve": (
        "step wedge",
        {
            "feeder_width": 0.04,
            "feeder_height": 0.06,
            "feeder_top": "blind",
            "feeder_place": "at the side",
            "sleeve_thickness": 8 * MM,
        },
    ),
    "core and chill": ("sheave", {"core": 16 * MM, "chill_thickness": 15 * MM, "chill": "copper chill"}),
    "core, chill, feeder": (
        "eye plate",
        {
            "core": 14 * MM,
            "chill_thickness": 12 * MM,
            "chill_place": "at the side",
            "feeder_width": 0.03,
            "feeder_height": 0.05,
            "neck_width": 0.016,
        },
    ),
    "fillet and exothermic": (
        "bracket",
        {
            "fillet": R,
            "feeder_width": 0.026,
            "feeder_height": 0.04,
            "sleeve_thickness": 6 * MM,
            "sleeve": rigging.SLEEVES[1],
        },
    ),
    "thick gate": ("cleat", {"gate_place": "heavy end", "gate_thickness": 0.02, "fillet": 3 * MM}),
    "cored cap": (
        "bollard cap",
        {"core": 8 * MM, "turn": "upside down", "feeder_width": 0.03, "feeder_height": 0.04},
    ),
}


@pytest.mark.parametrize("name", RIGGED)
def test_the_heat_balance_closes_with_whatever_is_in_the_mould(name):
    part, how = RIGGED[name]
    layout = layout_of(part, **how)
    setup = Setup(layout, alloy("ZA-12"), mould("green sand"), 475.0)
    assert freeze(setup, 4 * MM).energy_error < 1e-10


@pytest.mark.parametrize("turn", ["heavy end up", "heavy end down"])
def test_a_tapered_plate_is_straight_where_the_gate_enters_its_side(turn):
    layout = layout_of("eye plate", taper=16 * MM, gate_thickness=12 * MM, turn=turn)
    gate = layout.block("gate")
    straight = [y for x, y in layout.block("plate").form.flat.points if abs(abs(x) - 6 * MM) < 1e-9]
    assert min(map(abs, (gate.low[0], gate.high[0]))) == pytest.approx(6 * MM)
    assert min(straight) <= gate.low[1] and gate.high[1] <= max(straight)
