"""Contraction: the shape of each law, its limits, what it refuses.

Published numbers: tests/published.
"""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.materials import alloy, alloy_names, values
from castlab.rules import contraction

SUPERHEATS = st.floats(0.0, 150.0)
ALLOYS = [alloy(name) for name in alloy_names()]
each_alloy = pytest.mark.parametrize("metal", ALLOYS, ids=lambda metal: metal.name)


@each_alloy
@given(above=SUPERHEATS, volume=st.floats(1e-7, 1.0))
def test_liquid_and_freezing_contraction_make_up_what_must_be_fed(metal, above, volume):
    pour = metal.liquidus_c + above
    kept = (1 - contraction.liquid_contraction(metal, pour)) * (1 - metal.freezing_contraction)
    assert contraction.volume_to_feed(volume, metal, pour) == pytest.approx(volume * (1 - kept))


@each_alloy
def test_hotter_metal_asks_for_more_feed(metal):
    low, high = metal.pour_range_c
    assert contraction.volume_to_feed(1.0, metal, high) > contraction.volume_to_feed(1.0, metal, low)


@each_alloy
def test_mass_is_kept(metal):
    """The mass poured into a cavity, frozen, fills the cavity less what was to be fed."""
    pour = metal.pour_range_c[1]
    poured = 2e-4 * metal.liquid_density(pour)
    left = 2e-4 - contraction.volume_to_feed(2e-4, metal, pour)
    assert left * metal.density_solid == pytest.approx(poured)


def test_metal_that_expands_needs_no_feeding():
    iron = replace(alloy("carbon steel"), freezing_contraction=-0.02)
    assert contraction.volume_to_feed(1.0, iron, iron.liquidus_c) == pytest.approx(-0.02)


@each_alloy
def test_the_pattern_is_larger_by_the_contraction_that_the_densities_show(metal):
    cold = next(value.value for value in values(metal.name) if value.quantity == "density_20c")
    cubed = contraction.pattern_scale(metal) ** 3
    assert cubed == pytest.approx(cold / metal.density_solid, rel=5e-4)


def test_a_casting_measured_hot_has_contracted_less():
    metal = alloy("A356")
    assert contraction.pattern_scale(metal, metal.solidus_c) == 1.0
    assert 1 < contraction.pattern_scale(metal, 300) < contraction.pattern_scale(metal, 20)


@pytest.mark.parametrize("faces, millimetres", [(0, 80 * 1.03), (1, 83 * 1.03), (2, 86 * 1.03)])
def test_stock_is_added_for_each_machined_face(faces, millimetres):
    size = contraction.pattern_size(0.080, 1.03, machining=0.003, machined_faces=faces)
    assert 1000 * size == pytest.approx(millimetres)


@pytest.mark.parametrize("growth", [0.0, 0.012, 0.05])
def test_what_the_outside_wins_is_missing_inside(growth):
    """The metal's mass is poured into V; solid, it fills V (1 + growth) but for the hole."""
    iron, volume, pour = alloy("grey iron"), 2e-3, 1380.0
    solid = volume * iron.liquid_density(pour) / iron.density_solid
    hole = contraction.hole_where_mould_yields(volume, iron, pour, growth)
    assert hole == pytest.approx(volume * (1.0 + growth) - solid, rel=1e-9)


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: contraction.volume_to_feed(-1.0, alloy("ZA-12"), 472), "volume"),
        (lambda: contraction.volume_to_feed(1.0, alloy("ZA-12"), 400), "pouring temperature"),
        (lambda: contraction.liquid_contraction(alloy("ZA-12"), math.nan), "pouring temperature"),
        (lambda: contraction.hole_where_mould_yields(1.0, alloy("ZA-12"), 472, -0.01),
         "growth of the casting"),
        (lambda: contraction.pattern_scale(alloy("ZA-12"), 500), "temperature of measuring"),
        (lambda: contraction.pattern_size(0.1, 1.5), "pattern scale"),
        (lambda: contraction.pattern_size(0.1, 1.01, machined_faces=3), "machined faces"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
