"""Charge, additions, crucible: the shape of each law, and what is refused, in words.

Published numbers: tests/published.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.materials import alloy, alloy_names
from castlab.rules import charge

each_alloy = pytest.mark.parametrize("metal", [alloy(name) for name in alloy_names()], ids=lambda m: m.name)
MASSES = st.floats(0.01, 50.0)
ZINC, BRONZE = alloy("ZA-12"), alloy("tin bronze")


@given(casting=MASSES, feeder=st.floats(0, 50), loss=st.floats(0, 0.3), heel=st.floats(0, 5))
def test_every_gram_is_somewhere(casting, feeder, loss, heel):
    plan = charge.charge(casting, feeder, melt_loss=loss, heel=heel)
    assert plan.weigh_in == pytest.approx(plan.poured + plan.heel + plan.lost)
    assert plan.poured == pytest.approx(casting + feeder) and plan.lost == pytest.approx(loss * plan.weigh_in)


@each_alloy
def test_every_family_has_a_melt_loss(metal):
    low, high = charge.usual_melt_loss(metal)
    assert 0 < low < high < 0.1


@pytest.mark.parametrize(
    "options, parameter",
    [({"casting": 0.0}, "mass of the casting"), ({"casting": "a lot"}, "mass of the casting"),
     ({"casting": 1.0, "feeder": -0.1}, "mass of the feeder"),
     ({"casting": 1.0, "melt_loss": 2}, "melt loss"),
     ({"casting": 1.0, "heel": math.nan}, "mass of the heel")],
)
def test_what_cannot_be_charged_is_refused_by_name(options, parameter):
    with pytest.raises(InputError) as caught:
        charge.charge(**options)
    assert caught.value.parameter == parameter


STERLING = {"Ag": 0.925, "Cu": 0.075}


@given(share=st.floats(0.0, 1.0), total=st.floats(0.1, 20.0), bath=st.floats(0.0, 0.09))
def test_pure_metals_make_everything_that_the_bath_leaves_room_for(share, total, bath):
    target = {"Cu": share, "Sn": 1.0 - share}
    recipe = charge.additions(target, total, {"Cu": {"Cu": 1.0}, "Sn": {"Sn": 1.0}}, bath, target)
    assert recipe.words == ""
    assert sum(mass for _, mass in recipe.masses) == pytest.approx(total - bath)
    content = share * bath + dict(recipe.masses)["Cu"]
    assert content == pytest.approx(share * total, abs=1e-6 * total)


def test_stock_that_cannot_make_the_alloy():
    words = charge.additions({"Zn": 0.88, "Al": 0.11, "Cu": 0.01}, 1.0, {"zinc": {"Zn": 1.0}}).words
    assert "Al comes to 0.0 % instead of 11.0 %: no stock brings it" in words
    assert "Cu comes to 0.0 % instead of 1.0 %: no stock brings it" in words


def test_a_stock_that_brings_too_little():
    weak = charge.additions({"Cu": 0.9, "Sn": 0.1}, 1.0, {"a": {"Cu": 0.95, "Sn": 0.05}})
    assert "the stocks do not bring enough" in weak.words


def test_what_is_in_the_bath_cannot_be_taken_out():
    dirty = {"Ag": 0.9, "Cu": 0.075, "Pb": 0.025}
    stocks = {"silver": {"Ag": 1}, "copper": {"Cu": 1}}
    words = charge.additions(STERLING, 2.0, stocks, 1.5, dirty).words
    assert "Pb comes to 1.9 % instead of 0.0 %: only purer metal instead of the bath thins it" in words


def test_what_is_short_is_named_first():
    half = {"Cu": 0.5, "Sn": 0.5}
    words = charge.additions({"Cu": 0.9, "Sn": 0.1}, 1.0, {"a": half}).words
    assert words.index("Cu comes to 50.0 % instead of 90.0 %") == 0 < words.index("Sn comes to 50.0 %")


def test_hot_metal_needs_more_room():
    assert charge.crucible_holds(2e-4, BRONZE, 1200) < charge.crucible_holds(2e-4, BRONZE, 1010)


@given(share=st.floats(0.05, 1.0))
def test_half_goes_in_cold_and_the_rest_in_small_pieces(share):
    order = charge.fill_order(2.0 * share, 2.0)
    assert order.first + order.rest == pytest.approx(2.0 * share)
    assert order.first == pytest.approx(order.rest)
    assert order.rest / order.pieces <= charge.PIECE_SHARE * 2.0 * share * (1 + 1e-9)


def test_a_charge_larger_than_the_pot():
    with pytest.raises(InputError, match="one mould cannot be filled from two melts"):
        charge.fill_order(1.2, 1.1)


def test_a_bore_of_twice_the_clearance_takes_nothing_and_a_millimetre_more_takes_that():
    with pytest.raises(InputError, match="bore"):
        charge.widest_ingot(6e-3, ZINC)
    assert 0.9e-3 < charge.widest_ingot(7e-3, ZINC) < 1e-3


@each_alloy
def test_the_widest_ingot_leaves_the_clearance_when_it_has_grown(metal):
    """By hand: 3 mm all round, and the solid's mean expansion from 20 deg C to the solidus."""
    grown = charge.widest_ingot(0.06, metal) * (1.0 + metal.solid_expansion * (metal.solidus_c - 20.0))
    assert 0.06 - grown == pytest.approx(2 * 3e-3)


def test_a_crucible_with_another_rating():
    assert charge.rated_volume(3.0, 2700.0) > 5 * charge.rated_volume(3.0)


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: charge.additions(["Ag"], 1.0, {"a": {"Ag": 1}}), "composition of the alloy wanted"),
        (lambda: charge.additions({"Ag": 0.9}, 1.0, {"a": {"Ag": 1}}), "composition of the alloy wanted"),
        (lambda: charge.additions({"Ag": 1}, 1.0, {}), "stocks"),
        (lambda: charge.additions({"Ag": 1}, 1.0, {"a": {"Ag": 1}}, 1.0, {"Ag": 1}), "total mass"),
        (lambda: charge.additions({"Ag": 1}, 2.0, {"a": {"Ag": 1}}, 1.0), "composition of the bath"),
        (lambda: charge.additions({"Ag": 1}, 1.0, {"a": {"Ag": 92.5}}), "Ag in the stock 'a'"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
