"""Feeders: the shape of each law, its limits, what it refuses.

Published numbers: tests/published.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.materials import alloy
from castlab.rules import feeding, modulus

STEEL = alloy("carbon steel")


@given(casting=st.floats(1e-3, 0.1), volume=st.floats(1e-6, 1e-2), loss=st.floats(0.01, 0.12))
def test_a_sized_feeder_is_large_enough_in_both_ways(casting, volume, loss):
    feeder = feeding.size_feeder(casting, volume, loss, height_ratio=1.5)
    assert feeder.modulus >= 1.2 * casting * (1 - 1e-9)
    assert 0.14 * feeder.volume >= loss * (feeder.volume + volume) * (1 - 1e-9)
    own = modulus.cylinder(feeder.diameter, feeder.height, joined=("base",))
    assert feeder.modulus == pytest.approx(own)
    tight = 1.2 * casting if feeder.governs == "modulus" else feeding.feeder_volume(volume, loss)
    reached = feeder.modulus if feeder.governs == "modulus" else feeder.volume
    assert reached == pytest.approx(tight)


def test_the_classic_curve_by_hand():
    """Steel: 0.10 / (2 - 1) + 0.03; aluminium: 0.10 / (2.08 - 1.08) + 0.06; from memory, as the curve is."""
    assert feeding.least_feeder_volume(2.0, "steel") == pytest.approx(0.13)
    assert feeding.least_feeder_volume(2.08, "aluminium") == pytest.approx(0.16)


@given(near=st.floats(1.2, 5.0), times=st.floats(1.01, 2.0),
       metal=st.sampled_from(list(feeding.LEAST_FEEDER)))
def test_a_feeder_that_freezes_later_may_be_smaller(near, times, metal):
    low, high = (feeding.least_feeder_volume(each, metal) for each in (near, near * times))
    assert low > high > feeding.LEAST_FEEDER[metal][1]


@pytest.mark.parametrize("ratio, metal, parameter", [
    (1.0, "steel", "freezing ratio"), (1.08, "aluminium", "freezing ratio"),
    (11.0, "brass", "freezing ratio"),
    (1.5, "zinc", "metal of the curve")])
def test_what_the_classic_curve_does_not_know(ratio, metal, parameter):
    with pytest.raises(InputError) as caught:
        feeding.least_feeder_volume(ratio, metal)
    assert caught.value.parameter == parameter


def test_a_metal_that_expands_is_governed_by_modulus():
    assert feeding.feeder_volume(1e-4, -0.02) == 0.0
    assert feeding.size_feeder(0.01, 1e-4, -0.02).governs == "modulus"


def test_a_feeder_that_gives_too_little_is_refused_with_a_sleeve():
    with pytest.raises(InputError, match="use a sleeve"):
        feeding.feeder_volume(1e-4, 0.07, 0.07)


def test_a_narrow_plate_is_neither_plate_nor_bar():
    with pytest.raises(InputError, match="use the field"):
        feeding.feeding_distance_plate(0.060, 0.150, STEEL)
    with pytest.raises(InputError):
        feeding.feeding_distance_bar(0.060, 0.150, STEEL)


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: feeding.feeder_modulus(0.0), "modulus of the casting"),
        (lambda: feeding.feeder_modulus(0.01, 0.8), "feeder factor"),
        (lambda: feeding.feeder_by_modulus(0.01, 9.0), "height over diameter"),
        (lambda: feeding.feeder_volume(-1.0, 0.05), "volume of the casting"),
        (lambda: feeding.feeder_volume(1.0, 5.0), "contraction"),
        (lambda: feeding.neck_width(0.010, thickness=0.022), "thickness of the neck"),
        (lambda: feeding.neck_width(1.0, thickness=2.0, factor=1.0), "thickness of the neck"),
        (lambda: feeding.feeding_distance_bar(0.1, 0.1, STEEL, "chill and feeder"),
         "what the feeder works towards"),
        (lambda: feeding.feeding_distance_plate(0.005, 0.1, STEEL), "thickness of the plate"),
        (lambda: feeding.feeding_distance_plate(0.025, 0.2, STEEL, "ends"),
         "what the feeder works towards"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
