"""The course's parts: real bodies of the sizes asked for, and every size that cannot be drawn refused."""

import itertools
import math
import re

import pytest
from shares import every

from castlab import InputError, Setup, alloy, freeze, mould
from castlab.field.bodies import prism
from castlab.field.grid import build
from castlab.field.layout import Layout
from castlab.field.parts import bollard_cap, bracket, cleat, eye_plate, sheave, step_wedge

ROLES = {"plate": "casting", "boss": "casting", "gate": "gate", "sprue": "gate", "feeder": "feeder"}


def size(layout, name):
    block = layout.block(name)
    return tuple(round(high - low, 9) for low, high in zip(block.low, block.high, strict=True))


def touches(layout, first, second):
    """Whether two blocks share a stretch of an edge."""
    a, b = layout.block(first), layout.block(second)
    gaps = [min(h1, h2) - max(l1, l2) for l1, h1, l2, h2 in zip(a.low, a.high, b.low, b.high, strict=True)]
    return min(gaps) == pytest.approx(0.0, abs=1e-12) and max(gaps) > 1e-4


def meets(layout, first, second):
    """The same, or on a round part: one lies against the other's rim, to a hundredth of a millimetre."""
    gate, rim = layout.block(first), layout.block(second)
    if not layout.is_round:
        return touches(layout, first, second)
    return math.hypot(gate.low[0], gate.high[2]) == pytest.approx(rim.high[0], abs=1e-5)


def test_eye_plate_is_what_was_asked_for():
    layout = eye_plate(0.010, 0.150, 0.030, 0.050, 0.045, feeder_width=0.042, feeder_height=0.060,
                       gate_thickness=0.005)
    assert {block.name: block.role for block in layout.blocks} == ROLES
    assert size(layout, "plate") == (0.150, 0.010, 0.030)
    assert size(layout, "boss") == (0.050, 0.050, 0.045)
    assert size(layout, "feeder") == (0.042, 0.060, 0.042)
    assert size(layout, "gate")[1] == 0.005


def test_sheave_is_what_was_asked_for():
    layout = sheave(0.009, 0.140, 0.012, 0.022, 0.040, 0.034, feeder_width=0.030, feeder_height=0.050,
                    gate_thickness=0.006)
    assert layout.is_round
    assert size(layout, "web") == (0.116, 0.009, 0.116) and size(layout, "hub") == (0.040, 0.034, 0.040)
    assert size(layout, "rim") == (0.140, 0.022, 0.140) and size(layout, "feeder") == (0.030, 0.050, 0.030)
    web, rim = (layout.block(name).form.flat for name in ("web", "rim"))
    assert rim.radius - rim.inner == pytest.approx(0.012)
    assert web.radius - web.inner == pytest.approx(0.038)  # 70 less 12 less 20 mm


@pytest.mark.parametrize("make, heavy, thin", [(eye_plate, "boss", "plate"), (sheave, "hub", "rim")])
@pytest.mark.parametrize("feeder", [(0.0, 0.0), (0.04, 0.06)])
def test_everything_hangs_together_and_is_open_on_top(make, heavy, thin, feeder):
    layout = make(feeder_width=feeder[0], feeder_height=feeder[1])
    assert meets(layout, "gate", thin) and touches(layout, "gate", "sprue")
    level = layout.high[1]
    assert layout.block("sprue").high[1] == level  # the sprue is open to the air
    if feeder[0]:
        assert touches(layout, "feeder", heavy)
        assert layout.block("feeder").high[1] == level  # metal stands as high in both
    else:
        assert "feeder" not in [block.name for block in layout.blocks]
        assert all(block.high[1] < level for block in layout.blocks if block.role == "casting")


@pytest.mark.parametrize("make", [eye_plate, sheave])
def test_half_a_feeder_is_none(make):
    for width, height in ((0.04, 0.0), (0.0, 0.04)):
        assert make(feeder_width=width, feeder_height=height) == make()


def test_equal_dimensions_make_equal_layouts():
    assert eye_plate(feeder_width=0.03, feeder_height=0.04) == eye_plate(
        feeder_width=0.03, feeder_height=0.04
    )
    assert hash(sheave(hub=0.03)) == hash(sheave(hub=0.03)) and sheave(hub=0.03) != sheave()


def test_every_corner_of_the_sliders_can_be_cut_into_cells():
    """The ends of what a class would move: thin and thick, small and large, without and with a feeder."""
    for thickness, boss, width, height in itertools.product(
        (0.004, 0.020), (0.020, 0.060), (0.0, 0.01, 0.08), (0.01, 0.1)
    ):
        layout = eye_plate(thickness=thickness, boss=boss, feeder_width=width, feeder_height=height)
        assert build(layout, 4e-3).metal.any()
    for thickness, hub, width, height in itertools.product(
        (0.004, 0.020), (0.020, 0.060), (0.0, 0.01, 0.06), (0.01, 0.1)
    ):
        layout = sheave(
            thickness=thickness, rim_height=0.03, hub=hub, feeder_width=width, feeder_height=height
        )
        assert build(layout, 4e-3).metal.any()


@pytest.mark.parametrize("bad", [-0.01, 0.0, math.nan, math.inf, "thick", None, 1.0, 12.0])
@pytest.mark.parametrize(
    "make, field, words",
    [
        (eye_plate, "thickness", "section thickness"),
        (eye_plate, "length", "plate length"),
        (eye_plate, "width", "plate width"),
        (eye_plate, "boss", "heavy-end size"),
        (eye_plate, "boss_depth", "boss depth"),
        (eye_plate, "gate_thickness", "gate thickness"),
        (sheave, "thickness", "section thickness"),
        (sheave, "diameter", "sheave diameter"),
        (sheave, "rim", "rim"),
        (sheave, "rim_height", "rim height"),
        (sheave, "hub", "heavy-end size"),
        (sheave, "hub_height", "hub height"),
        (sheave, "gate_thickness", "gate thickness"),
        (step_wedge, "thin", "section thickness"),
        (step_wedge, "heavy", "heavy-end size"),
        (step_wedge, "step_length", "step length"),
        (step_wedge, "width", "width"),
        (bracket, "thickness", "section thickness"),
        (bracket, "length", "base length"),
        (bracket, "rib", "rib thickness"),
        (bracket, "wall", "wall thickness"),
        (bracket, "height", "height"),
        (bracket, "width", "width"),
        (cleat, "thickness", "section thickness"),
        (cleat, "length", "length"),
        (cleat, "post", "heavy-end size"),
        (cleat, "post_height", "post height"),
        (cleat, "horn", "horn thickness"),
        (cleat, "width", "width"),
        (bollard_cap, "thickness", "section thickness"),
        (bollard_cap, "diameter", "cap diameter"),
        (bollard_cap, "skirt", "skirt thickness"),
        (bollard_cap, "skirt_height", "skirt height"),
        (bollard_cap, "boss", "heavy-end size"),
        (bollard_cap, "boss_height", "boss height"),
    ],
)
def test_sizes_that_cannot_be_are_refused_by_name(make, field, words, bad):
    with pytest.raises(InputError) as raised:
        make(**{field: bad})
    assert raised.value.parameter == words


@pytest.mark.parametrize("bad", [-0.01, math.nan, math.inf, "round", None, 1.0])
@pytest.mark.parametrize(
    "make, field",
    [(eye_plate, "taper"), (eye_plate, "fillet"), (step_wedge, "fillet"), (bracket, "fillet"),
     (cleat, "fillet"), (eye_plate, "core"), (sheave, "core"), (bollard_cap, "core")],
)
def test_what_may_be_left_out_may_not_be_anything(make, field, bad):
    with pytest.raises(InputError) as raised:
        make(**{field: bad})
    assert raised.value.parameter == field


@pytest.mark.parametrize("make", [eye_plate, sheave])
@pytest.mark.parametrize("bad", [-0.01, math.nan, math.inf, "wide", None, 3.0])
def test_feeders_that_cannot_be_are_refused_by_name(make, bad):
    with pytest.raises(InputError) as raised:
        make(feeder_width=bad, feeder_height=0.05)
    assert raised.value.parameter == "feeder width"
    with pytest.raises(InputError) as raised:
        make(feeder_width=0.03, feeder_height=bad)
    assert raised.value.parameter == "feeder height"


def test_sizes_that_do_not_fit_together_are_refused():
    for make, sizes, words in (
        (eye_plate, {"thickness": 0.03, "boss": 0.02}, "heavy-end size"),
        (eye_plate, {"thickness": 0.004, "gate_thickness": 0.006}, "gate thickness"),
        (sheave, {"diameter": 0.05}, "sheave diameter"),
        (sheave, {"feeder_width": 0.12, "feeder_height": 0.05}, "feeder width"),
    ):
        with pytest.raises(InputError) as raised:
            make(**sizes)
        assert raised.value.parameter == words


# (part, the size that is moved, where it just fits [mm], which way it fits, the other sizes [mm]): by hand
# from what must be left.
JUST_FITS = {
    "boss as high as plate, taper and two fillets": (
        eye_plate, "boss", 30, "more", {"thickness": 12, "taper": 8, "fillet": 5}),
    "30 mm of plate behind the fillet": (eye_plate, "length", 35, "more", {"fillet": 5}),
    "30 mm of plate behind a taper": (eye_plate, "length", 30, "more", {"taper": 5}),
    "3 mm of wall round a core": (eye_plate, "core", 40 - 2 * 3, "less", {"boss": 40}),
    "the smallest core": (eye_plate, "core", 3, "more", {}),
    "the last step as high as the first": (step_wedge, "heavy", 12, "more", {"thin": 12}),
    "a fillet as high as a step": (step_wedge, "fillet", 10, "less", {"thin": 6, "heavy": 36}),
    "a fillet as long as a step": (step_wedge, "fillet", 12, "less", {"heavy": 66, "step_length": 12}),
    "10 mm of base between rib and wall": (
        bracket, "length", 14 + 2 * (14 + 10), "more", {"rib": 14, "wall": 14}),
    "10 mm of base between fillets": (
        bracket, "length", 14 + 2 * (14 + 2 * 5 + 10), "more", {"rib": 14, "wall": 14, "fillet": 5}),
    "a fillet as high as the rib": (bracket, "fillet", 12, "less", {"height": 12}),
    "10 mm beside the post": (cleat, "length", 26 + 20, "more", {"post": 26}),
    "10 mm beside post and fillets": (cleat, "length", 26 + 2 * 6 + 20, "more", {"post": 26, "fillet": 6}),
    "2 mm of the post's side": (cleat, "fillet", 12 - 2, "less", {"post_height": 12}),
    "6 mm of web": (sheave, "diameter", 36 + 2 * (10 + 6), "more", {"hub": 36, "rim": 10}),
    "a hub as high as the web": (sheave, "hub_height", 8, "more", {"thickness": 8}),
    "a rim as high as the web": (sheave, "rim_height", 8, "more", {"thickness": 8}),
    "a core in the hub": (sheave, "core", 36 - 2 * 3, "less", {"hub": 36}),
    "6 mm between boss and skirt": (
        bollard_cap, "diameter", 32 + 2 * (8 + 6), "more", {"boss": 32, "skirt": 8}),
    "a core in the boss": (bollard_cap, "core", 32 - 2 * 3, "less", {"boss": 32}),
}


@pytest.mark.parametrize("case", JUST_FITS)
def test_what_just_fits_is_drawn_and_a_tenth_of_a_millimetre_too_much_is_not(case):
    make, name, limit, way, others = JUST_FITS[case]
    others = {other: size / 1000 for other, size in others.items()}
    out = -0.1 if way == "more" else 0.1
    assert make(**others, **{name: (limit - 0.01 * out) / 1000}).blocks
    with pytest.raises(InputError):
        make(**others, **{name: (limit + out) / 1000})


@pytest.mark.parametrize("fillet", [0.0, 4e-3])
def test_the_length_that_is_advised_is_the_shortest(fillet):
    with pytest.raises(InputError) as raised:
        bracket(length=45e-3, fillet=fillet)
    advised = float(re.search(r"([\d.]+) mm or more here", str(raised.value.allowed))[1]) / 1000
    assert bracket(length=advised + 1e-5, fillet=fillet).blocks
    with pytest.raises(InputError):
        bracket(length=advised - 5e-4, fillet=fillet)


def test_a_feeder_just_inside_the_rim_of_a_sheave():
    assert sheave(feeder_width=0.0999, feeder_height=0.05).blocks  # 120 mm less twice 10
    with pytest.raises(InputError, match="inside the rim"):
        sheave(feeder_width=0.1001, feeder_height=0.05)


# Sliders that move by a tenth of a cell: the time of the last metal follows smoothly. It goes with the
# modulus squared (Chvorinov), and no size enters the modulus with a power above one: so a size that grows by
# a share lengthens the time by at most twice that share; and 1 % for the grid, where one more cell comes in.

GRID_SHARE = 0.01


def _times(layouts, cell):
    metal, sand = alloy("ZA-12"), mould("green sand")
    return [freeze(Setup(layout, metal, sand, 472.0), cell).last_time_s for layout in layouts]


@pytest.mark.parametrize(
    "make, field, start, more, cell",
    every(5, [
        (eye_plate, "thickness", 0.012, {}, 4e-3),
        (eye_plate, "boss", 0.038, {}, 4e-3),
        (eye_plate, "feeder_width", 0.038, {"feeder_height": 0.05}, 4e-3),
        (sheave, "hub", 0.036, {}, 2.5e-3),
        (sheave, "thickness", 0.008, {}, 2.5e-3),
    ]),
)
def test_a_slider_moved_by_a_tenth_of_a_cell_moves_the_time_by_little(make, field, start, more, cell):
    sizes = [start + tenth * cell / 10.0 for tenth in range(8)]
    times = _times([make(**{field: size}, **more) for size in sizes], cell)
    for (small, before), (large, after) in itertools.pairwise(zip(sizes, times, strict=True)):
        assert -GRID_SHARE < after / before - 1.0 < 2.0 * (large / small - 1.0) + GRID_SHARE
    assert times[-1] > times[0]


def test_a_slanted_side_moved_by_a_tenth_of_a_cell_moves_the_time_by_little():
    """A wedge whose thick end grows: first its outline runs through corners of cells, then it cuts them."""
    highs = [0.090 + tenth * 0.3e-3 for tenth in range(8)]
    outlines = [[(0.06, 0.06), (0.15, 0.06), (0.15, high)] for high in highs]
    layouts = [
        Layout((prism("wedge", "casting", "z", each, (-0.02, 0.02)),), (0.0, 0.0, -0.08), (0.22, 0.18, 0.08))
        for each in outlines
    ]
    times = _times(layouts, 3e-3)
    for (low, before), (high, after) in itertools.pairwise(zip(highs, times, strict=True)):
        growth = (high - 0.06) / (low - 0.06) - 1.0
        assert -GRID_SHARE < after / before - 1.0 < 2.0 * growth + GRID_SHARE
