"""The hand rule and the computed field, written apart, must say the same of plain shapes in green sand.

Both bands were set from outside before anything was computed: rule and field within 15 %; at equal modulus a
long bar freezes in 0.59 to 0.77 and a ball in 0.51 to 0.75 of a plate's time. What misses a band is marked
as a miss (strictly: should it pass one day, this file says so), and the tests below show why it misses.
"""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.integrate import quad
from shares import mostly_slow

from castlab.errors import InputError
from castlab.field import shapes
from castlab.field.freeze import freeze
from castlab.field.layout import Setup
from castlab.materials import alloy, mould
from castlab.rules import freezing, modulus
from castlab.teach import figures
from castlab.teach.trust import rule_beside_field as beside

SAND = mould("green sand")
TOUCHING = replace(SAND, interface_coefficient=math.inf)  # with a contact small castings are slower
WITHIN = 0.15
BANDS = {"bar": (0.59, 0.77), "cylinder": (0.59, 0.77), "ball": (0.51, 0.75)}
OF_ALLOYS = mostly_slow(beside.ALLOYS, quick=["ZA-12"])
CONTACT_MISSES = "a contact makes shapes of one modulus more alike; see the test of it"
SILVER_MISSES = "heat does not go far into the sand before silver is solid; see the tests of silver"


@cache
def of_alloy(name):
    return {row.shape: row for row in beside.pairs((name,))}


def pairs():
    return {(name, shape): row for name in beside.ALLOYS for shape, row in of_alloy(name).items()}


@pytest.mark.parametrize("name", OF_ALLOYS)
@pytest.mark.parametrize("shape", beside.SHAPES)
def test_rule_and_field_agree(name, shape):
    assert abs(of_alloy(name)[shape].rule_over_field - 1.0) <= WITHIN


@pytest.mark.parametrize("name", OF_ALLOYS)
@pytest.mark.parametrize("shape", BANDS)
def test_bar_and_ball_against_a_plate_of_the_same_modulus(name, shape, request):
    if name == "fine silver":
        request.applymarker(pytest.mark.xfail(reason=SILVER_MISSES, strict=True))
    if (name, shape) in (("ZA-12", "bar"), ("Al-12Si", "bar")):
        request.applymarker(pytest.mark.xfail(reason=CONTACT_MISSES, strict=True))
    low, high = BANDS[shape]
    assert low <= beside.ratios_to_plate(of_alloy(name).values())[name, shape][1] <= high


def test_it_is_the_contact_that_takes_a_bar_past_its_band():
    metal = alloy("ZA-12")
    pour = 0.5 * sum(metal.pour_range_c)
    bar, plate = (beside.by_field(shape, 0.010, metal, TOUCHING, pour) for shape in ("bar", "plate"))
    assert BANDS["bar"][0] <= bar / plate <= BANDS["bar"][1]


@pytest.mark.parametrize("shape, of_size", [
    ("plate", modulus.plate), ("bar", lambda side: modulus.bar(side, side)), ("cylinder", modulus.rod),
    ("ball", modulus.ball)])
def test_all_four_have_the_modulus_that_they_are_said_to_have(shape, of_size):
    layout = beside.layout_of(shape, 0.010)
    block = layout.block(shape)
    assert of_size(block.high[1] - block.low[1]) == pytest.approx(0.010)
    assert len(layout.blocks) == 1  # no gate


@pytest.mark.parametrize("draw, sands", [
    (shapes.plate, 5), (shapes.bar, 5), (shapes.rod, 5), (shapes.ball, 5)])
def test_sand_lies_on_all_sides_where_heat_flows_and_as_far_as_is_said(draw, sands):
    """Five sizes of the shape at least; beside a plate without end there is none."""
    layout = draw(0.040)
    body = layout.blocks[0]
    assert body.high[1] - body.low[1] == pytest.approx(0.040, rel=1e-12)
    assert (body.low[1], layout.low[1]) == (-body.high[1], -layout.high[1])
    assert layout.high[1] - body.high[1] == pytest.approx(sands * 0.040)
    right = layout.high[0] - body.high[0]
    assert right == pytest.approx(0.0 if draw is shapes.plate else sands * 0.040)
    front = layout.high[2] - body.high[2]
    assert front == pytest.approx(sands * 0.040 if draw is shapes.ball else 0.0)
    assert layout.low == tuple(-each for each in layout.high)


@pytest.mark.parametrize("draw", [shapes.plate, shapes.bar, shapes.rod, shapes.ball])
def test_plain_shapes_are_drawn_from_4_to_150_mm(draw):
    for size in (4e-3, 150e-3):
        assert draw(size).blocks
    for size in (3.9e-3, 151e-3):
        with pytest.raises(InputError, match="4 mm and 150 mm"):
            draw(size)


@pytest.mark.parametrize("shape", mostly_slow(beside.SHAPES, quick=["plate"]))
def test_neither_cells_nor_the_end_of_the_sand_nor_the_size_make_the_answer(shape, monkeypatch):
    """Coarser cells move a time by less than 2 %, sand twice as far by less than 0.5 %.

    In perfect contact times go with the modulus squared.
    """
    metal = alloy("ZA-12")
    pour = 0.5 * sum(metal.pour_range_c)
    time, coarse = (beside.by_field(shape, 0.010, metal, SAND, pour, cells) for cells in (10, 7))
    assert coarse == pytest.approx(time, rel=0.02)
    monkeypatch.setattr(shapes, "SAND_SIZES", 10.0)
    assert beside.by_field(shape, 0.010, metal, SAND, pour, 7) == pytest.approx(coarse, rel=0.005)
    monkeypatch.undo()
    time, small = (beside.by_field(shape, size, metal, TOUCHING, pour) for size in (0.010, 0.005))
    assert 4.0 * small == pytest.approx(time, rel=0.02)


# ---- the corners of a square bar


def corner(angle):
    """What one corner of the mould adds to the heat it takes up, per k T t: less than 0 outside a bar.

    M. van den Berg and S. Srisatkunarajah, Probability Theory and Related Fields 86 (1990) 41, from memory;
    held by the product of two plane walls, which gives 4/pi for a right angle (Carslaw and Jaeger).
    """
    def part(x):
        return 4.0 * math.sinh((math.pi - angle) * x) / (math.sinh(math.pi * x) * math.cosh(angle * x))
    return quad(part, 1e-9, 20.0)[0]


def test_the_corner_of_two_plane_walls():
    """Inside a right angle, exact: (1 - erf erf) integrated, less the two walls alone, is -4/pi t k T."""
    assert corner(0.5 * math.pi) == pytest.approx(4.0 / math.pi, rel=1e-6)


def test_the_rule_counts_the_four_corners_of_a_square_bar():
    """What the rule adds for roundness, k T t / (2 r), is what four corners add, on an outline of 16 M."""
    turns, radius_in_moduli = freezing.SHAPES["square bar"]
    four = -4.0 * corner(1.5 * math.pi) / 16.0
    assert turns / (2.0 * radius_in_moduli) == pytest.approx(four, rel=2e-3)


# ---- why silver misses


@pytest.mark.slow
def test_in_silver_the_rule_too_says_that_shape_matters_little():
    """The rule's own bar of silver lies above the band, where those of the others lie inside it."""
    by_rule = {key: both[0] for key, both in beside.ratios_to_plate(pairs().values()).items()}
    low, high = BANDS["bar"]
    assert by_rule["fine silver", "bar"] > high
    assert all(low <= by_rule[name, "bar"] <= high for name in beside.ALLOYS if name != "fine silver")


@pytest.mark.slow
def test_silver_is_solid_before_heat_has_gone_far_into_the_sand():
    """Depth sqrt(a t) that heat has reached when a plate is solid: what curvature can add goes with it."""
    spread = SAND.conductivity / (SAND.density * SAND.heat_capacity)
    depth = {name: math.sqrt(spread * pairs()[name, "plate"].field_s) for name in beside.ALLOYS}
    assert depth["fine silver"] < 0.5 * min(depth[name] for name in beside.ALLOYS if name != "fine silver")


@pytest.mark.slow
@pytest.mark.parametrize("shape", ["cylinder", "ball"])
def test_the_last_twentieth_of_silver_takes_its_time(shape):
    """A pure metal freezes at a front, and heat from the last of it must pass the shell that is solid.

    In perfect contact, as the bands have it, nine tenths of the miss are made by the last 5 % of the metal;
    were there no heat in the shell to lose (a twentieth of it, here), the last of it would come sooner.
    """
    metal, (_, high) = alloy("fine silver"), BANDS[shape]
    missed = [mostly_solid(shape, metal, share) / mostly_solid("plate", metal, share) - high
              for share in (0.95, 0.999)]
    assert missed[1] > 0.0 and missed[0] < 0.1 * missed[1]
    light = replace(metal, heat_capacity_solid=metal.heat_capacity_solid / 20.0)
    pour = 0.5 * sum(metal.pour_range_c)
    last = {each: beside.by_field(shape, 0.010, each, TOUCHING, pour) for each in (metal, light)}
    assert last[light] < 0.98 * last[metal]


def mostly_solid(shape, metal, share):
    """When this share of the metal is solid in the field [s]."""
    setup = Setup(beside.layout_of(shape, 0.010), metal, TOUCHING, 0.5 * sum(metal.pour_range_c))
    run = freeze(setup, 1e-3)
    times = run.freeze_time_s.ravel()[run.metal_cells]
    volume = run.grid.metal_volume.ravel()[run.metal_cells]
    order = np.argsort(times)
    solid = np.cumsum(volume[order]) / volume.sum()
    return float(times[order][np.searchsorted(solid, share)])


@pytest.mark.slow
def test_the_figure_shows_these_bands_and_counts_the_misses():
    assert (figures.BANDS, figures.WITHIN) == (BANDS, WITHIN)
    near = sum(abs(row.rule_over_field - 1.0) <= WITHIN for row in pairs().values())
    figure, sentence = figures.draw_rule_beside_field(tuple(pairs().values()))
    assert near == len(pairs()) and sentence.startswith("20 of 20 ")
    assert len(figure.axes) == 2
