
"""The weight on the cope: by hand, by strips, and where the sheet says it."""

import itertools
import re

import numpy as np
import pytest

from castlab.field import parts
from castlab.field.design import design
from castlab.field.layout import METAL_ROLES
from castlab.field.section import upright_spans
from castlab.materials import alloy, mould
from castlab.teach.melt import pour_sheet
from castlab.teach.melt.cope_weight import CUP_M, weight_needed

ZINC, SAND = alloy("ZA-12"), mould("green sand")
SURGE = 1.5  # an old shop manual reckons 105 lb and says 150


def setup_of(part, around=SAND, **sizes):
    return design(part, ZINC, around, 475.0, **sizes).setup()


def lifted_by_strips(layout):
    """Volume between upper faces and the metal in the cup [m3]: upright strips, the highest metal first."""
    level, step, lifted = layout.high[1] + CUP_M, 1e-3, 0.0
    metal = [block for block in layout.blocks if block.role in METAL_ROLES]
    for x, z in itertools.product(*(np.arange(layout.low[axis] + step / 2, layout.high[axis], step)
                                    for axis in (0, 2))):
        tops = [spans[-1][1] for block in metal if (spans := upright_spans(block, x, z))]
        lifted += step**2 * (level - max(tops)) if tops else 0.0
    return lifted


def test_an_eye_plate_by_hand():
    """Level 50 mm above the middle line, cup 25 mm: plate 120 x 40 under 69 mm, boss 40 x 40 under 55, gate
    12 x 20 under 73, sprue 12 x 12 under 25: 331.2 + 88 + 17.5 + 3.6 = 440.3 cm3, and half as much more.
    """
    by_hand = 440.3e-6 * ZINC.liquid_density(475.0) * SURGE
    assert weight_needed(setup_of("eye plate")) == pytest.approx(by_hand, rel=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("part", parts.PARTS)
@pytest.mark.parametrize("feeder", [{}, {"feeder_width": 0.04, "feeder_height": 0.06}])
def test_no_part_gets_less_than_its_upper_faces_ask_for(part, feeder):
    """More only where sand lies under an overhang, as under the horns of a cleat."""
    setup = setup_of(part, **feeder)
    faces = lifted_by_strips(setup.layout) * ZINC.liquid_density(475.0) * SURGE
    assert 0.999 * faces <= weight_needed(setup) <= 1.25 * faces


def test_a_core_within_metal_lifts_as_well():
    """By hand: a core of 16 x 16 x 40 mm, crosswise in the boss, displaces 10.24 cm3."""
    plain, cored = (weight_needed(setup_of("eye plate", turn="as drawn", core=core)) for core in (0.0, 0.016))
    assert cored - plain == pytest.approx(10.24e-6 * ZINC.liquid_density(475.0) * SURGE, rel=0.01)


def test_a_higher_sprue_lifts_harder_and_lighter_metal_less():
    tall = weight_needed(setup_of("eye plate", feeder_width=0.03, feeder_height=0.12))
    assert tall > weight_needed(setup_of("eye plate", feeder_width=0.03, feeder_height=0.04))
    light = design("eye plate", alloy("A356"), SAND, 700.0).setup()
    assert weight_needed(light) < 0.5 * weight_needed(setup_of("eye plate"))


def test_the_sheet_says_it_in_both_units_and_says_to_clamp():
    ((name, words),) = pour_sheet._kept_shut(setup_of("eye plate"))
    kilograms, pounds = map(float, re.match(r"([\d.]+) kg \(([\d.]+) lb\)", words).groups())
    assert name == "weight on the cope, at least" and "clamp it" in words
    assert kilograms == pytest.approx(weight_needed(setup_of("eye plate")), rel=0.01)
    assert pounds == pytest.approx(kilograms / 0.45359237, rel=0.01)


def test_a_die_is_clamped_and_a_flask_of_investment_has_no_cope():
    assert "clamp" in pour_sheet._kept_shut(setup_of("eye plate", mould("cast-iron die")))[0][1]
    assert pour_sheet._kept_shut(setup_of("eye plate", mould("investment"))) == ()
