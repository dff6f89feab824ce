"""Charge, crucible, heat and pouring loss: the shape of each law, and what is refused, in words.

Published numbers: tests/published/test_melting.py.
"""

import json
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.materials import DATA, HOW_SEEN, Value, alloy, alloy_names, source
from castlab.rules import charge, melting, pouring
from castlab.rules.freezing import heat_to_freeze
from castlab.rules.furnace import HeatRows

each_alloy = pytest.mark.parametrize("metal", [alloy(name) for name in alloy_names()], ids=lambda m: m.name)
MASSES = st.floats(0.01, 50.0)
ZINC, BRONZE = alloy("ZA-12"), alloy("tin bronze")
POT = pouring.Vessel(0.003, 0.02, 500.0)


def heat_content(metal, temp_c, solid=None):
    """What a kilogram takes from 25 deg C on [J/kg], read off the rule's rows as the furnace reads them."""
    return HeatRows(*melting.heat_rows(metal, metal.liquidus_c + 500.0, solid)).liquid_heat(temp_c)


class TestTable:
    @each_alloy
    def test_every_alloy_has_a_composition_and_a_heat_with_source_and_range(self, metal):
        row = json.loads((DATA / "melting.json").read_text(encoding="utf-8"))[metal.name]
        (heat,) = [Value(**each) for each in row["quantities"]]
        assert heat.unit == "J/kg" and heat.seen in HOW_SEEN and source(heat.source) and heat.note
        assert heat.low <= heat.value <= heat.high
        assert sum(melting.composition(metal).values()) == pytest.approx(1.0)

    def test_no_alloy_stands_there_that_is_not_known(self):
        table = json.loads((DATA / "melting.json").read_text(encoding="utf-8"))
        assert list(table) == list(alloy_names())

    @each_alloy
    def test_lead_is_in_the_composition_where_it_is_flagged(self, metal):
        assert ("Pb" in melting.composition(metal)) == (metal.name == "85-5-5-5")


class TestHeat:
    @each_alloy
    def test_it_rises_with_temperature(self, metal):
        temps = [metal.liquidus_c * k / 50 + 20 for k in range(60)]
        heats = [heat_content(metal, temp) for temp in temps]
        assert all(low < high for low, high in zip(heats, heats[1:], strict=False))

    @each_alloy
    def test_what_went_in_comes_out_on_freezing(self, metal):
        """The rule for freezing counts the same heat from the other end, with a mean heat capacity."""
        pour = metal.pour_range_c[0]
        released = heat_content(metal, pour) - melting.solid_heat(metal).value
        assert released == pytest.approx(heat_to_freeze(metal, pour), rel=0.02)

    def test_cold_metal_has_less_than_none(self):
        assert heat_content(ZINC, 25.0) == 0.0
        assert heat_content(ZINC, 0.0) < 0.0

    def test_cold_metal_by_hand(self):
        """1000 J/kg for each kelvin from 25 deg C to the solidus, and as much below."""
        solid = 1000.0 * (BRONZE.solidus_c - 25.0)
        assert heat_content(BRONZE, 0.0, solid) == pytest.approx(-25e3)

    def test_the_mush_by_hand(self):
        """50 K three quarters solid in the mean, 450 J/kg/K, 50 K one quarter, 550; 100 kJ/kg to melt."""
        metal = replace(
            BRONZE, liquidus_c=500.0, solidus_c=400.0,
            solid_fraction=((500.0, 0.0), (450.0, 0.5), (400.0, 1.0)), pour_range_c=(550.0, 600.0),
            heat_capacity_solid=400.0, heat_capacity_liquid=600.0, latent_heat=100e3)
        temps, heats = melting.heat_rows(metal, 600.0, solid=150e3)
        assert temps == (25.0, 400.0, 450.0, 500.0, 600.0)
        assert heats == pytest.approx((0.0, 150e3, 222.5e3, 300e3, 360e3))

    def test_a_table_must_reach_the_liquid(self):
        with pytest.raises(InputError, match="highest temperature of the table"):
            melting.heat_rows(ZINC, ZINC.liquidus_c - 0.5)

    def test_an_alloy_made_by_hand_brings_its_own_heat(self):
        mine = replace(ZINC, name="my alloy")
        with pytest.raises(InputError, match="known are"):
            heat_content(mine, 500)
        assert heat_content(mine, 500, solid=212e3) == heat_content(ZINC, 500)

class TestCharge:
    @given(casting=MASSES, feeder=st.floats(0, 50), loss=st.floats(0, 0.3), heel=st.floats(0, 5),
           returns=st.floats(0, 100))
    def test_every_gram_is_somewhere(self, casting, feeder, loss, heel, returns):
        plan = charge.charge(casting, feeder, melt_loss=loss, heel=heel, returns=returns)
        assert plan.weigh_in == pytest.approx(plan.poured + plan.heel + plan.lost)
        assert 0 <= plan.returns <= (charge.MOST_RETURNS + 1e-12) * plan.weigh_in
        assert plan.fresh >= 0 and plan.yield_share == pytest.approx(casting / (casting + feeder))

    @each_alloy
    def test_every_family_has_a_melt_loss(self, metal):
        low, high = charge.usual_melt_loss(metal)
        assert 0 < low < high < 0.1

    @pytest.mark.parametrize(
        "options, parameter",
        [({"casting": 0.0}, "mass of the casting"), ({"casting": "a lot"}, "mass of the casting"),
         ({"casting": 1.0, "feeder": -0.1}, "mass of the feeder"),
         ({"casting": 1.0, "melt_loss": 2}, "melt loss"),
         ({"casting": 1.0, "heel": math.nan}, "mass of the heel")],
    )
    def test_what_cannot_be_is_refused_by_name(self, options, parameter):
        with pytest.raises(InputError) as caught:
            charge.charge(**options)
        assert caught.value.parameter == parameter


class TestAdditions:
    STERLING = {"Ag": 0.925, "Cu": 0.075}

    @given(share=st.floats(0.0, 1.0), total=st.floats(0.1, 20.0), bath=st.floats(0.0, 0.09))
    def test_pure_metals_make_everything_that_the_bath_leaves_room_for(self, share, total, bath):
        target = {"Cu": share, "Sn": 1.0 - share}
        recipe = charge.additions(target, total, {"Cu": {"Cu": 1.0}, "Sn": {"Sn": 1.0}}, bath, target)
        assert recipe.words == ""
        assert sum(mass for _, mass in recipe.masses) == pytest.approx(total - bath)
        assert dict(recipe.reached) == pytest.approx(target, abs=1e-6)

    def test_stock_that_cannot_make_the_alloy(self):
        words = charge.additions({"Zn": 0.88, "Al": 0.11, "Cu": 0.01}, 1.0, {"zinc": {"Zn": 1.0}}).words
        assert "Al comes to 0.0 % instead of 11.0 %: no stock brings it" in words
        assert "Cu comes to 0.0 % instead of 1.0 %: no stock brings it" in words

    def test_a_stock_that_brings_too_little(self):
        weak = charge.additions({"Cu": 0.9, "Sn": 0.1}, 1.0, {"a": {"Cu": 0.95, "Sn": 0.05}})
        assert "the stocks do not bring enough" in weak.words

    def test_what_is_in_the_bath_cannot_be_taken_out(self):
        dirty = {"Ag": 0.9, "Cu": 0.075, "Pb": 0.025}
        stocks = {"silver": {"Ag": 1}, "copper": {"Cu": 1}}
        words = charge.additions(self.STERLING, 2.0, stocks, 1.5, dirty).words
        assert "Pb comes to 1.9 % instead of 0.0 %: only purer metal instead of the bath thins it" in words

    def test_what_is_short_is_named_first(self):
        half = {"Cu": 0.5, "Sn": 0.5}
        words = charge.additions({"Cu": 0.9, "Sn": 0.1}, 1.0, {"a": half}).words
        assert words.index("Cu comes to 50.0 % instead of 90.0 %") == 0 < words.index("Sn comes to 50.0 %")

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
    def test_what_cannot_be_is_refused_by_name(self, call, parameter):
        with pytest.raises(InputError) as caught:
            call()
        assert caught.value.parameter == parameter


class TestCrucible:
    def test_hot_metal_needs_more_room(self):
        assert charge.crucible_holds(2e-4, BRONZE, 1200) < charge.crucible_holds(2e-4, BRONZE, 1010)

    @given(share=st.floats(0.05, 1.0))
    def test_half_goes_in_cold_and_the_rest_in_small_pieces(self, share):
        order = charge.fill_order(2.0 * share, 2.0)
        assert order.first + order.rest == pytest.approx(2.0 * share)
        assert order.first == pytest.approx(order.rest)
        assert order.rest / order.pieces <= charge.PIECE_SHARE * 2.0 * share * (1 + 1e-9)

    @pytest.mark.parametrize("moulds, melts", [(1, 1), (2, 1), (3, 2), (4, 2)])
    def test_each_mould_is_filled_from_one_melt(self, moulds, melts):
        assert charge.melts_needed(moulds, 0.5, 1.1) == melts

    def test_a_pot_that_holds_three_moulds_exactly_fills_three(self):
        assert 0.3 / 0.1 < 3.0  # as binary numbers divide
        assert charge.melts_needed(3, 0.1, 0.3) == 1

    @pytest.mark.parametrize("moulds", [0, -1, 1.5, True, "three"])
    def test_moulds_come_whole(self, moulds):
        with pytest.raises(InputError):
            charge.melts_needed(moulds, 0.5, 1.1)

    def test_a_charge_larger_than_the_pot(self):
        with pytest.raises(InputError, match="one mould cannot be filled from two melts"):
            charge.melts_needed(1, 1.2, 1.1)

    def test_a_bore_of_twice_the_clearance_takes_nothing_and_a_millimetre_more_takes_that(self):
        with pytest.raises(InputError, match="bore"):
            charge.widest_ingot(6e-3, ZINC)
        assert 0.9e-3 < charge.widest_ingot(7e-3, ZINC) < 1e-3

    @each_alloy
    def test_the_widest_ingot_leaves_the_clearance_when_it_has_grown(self, metal):
        """By hand: 3 mm all round, and the solid's mean expansion from 20 deg C to the solidus."""
        grown = charge.widest_ingot(0.06, metal) * (1.0 + metal.solid_expansion * (metal.solidus_c - 20.0))
        assert 0.06 - grown == pytest.approx(2 * 3e-3)

    def test_a_crucible_with_another_rating(self):
        assert charge.rated_volume(3.0, 2700.0) > 5 * charge.rated_volume(3.0)


class TestPouring:
    @given(above=st.floats(30.0, 150.0), time=st.floats(0.0, 20.0))
    def test_backwards_is_the_way_back(self, above, time):
        start = BRONZE.liquidus_c + above
        before = pouring.held_temp_c(BRONZE, start, -time, 1.0, POT)
        assert pouring.held_temp_c(BRONZE, before, time, 1.0, POT) == pytest.approx(start, abs=1e-3)

    def test_small_and_hot_melts_lose_most(self):
        drops = [start - pouring.held_temp_c(metal, start, 15, mass, POT)
                 for metal, start, mass in ((ZINC, 500, 2.0), (ZINC, 500, 0.5), (BRONZE, 1150, 0.5))]
        assert drops == sorted(drops) and drops[0] < drops[2] / 4

    def test_the_furnace_is_set_for_what_the_mould_needs(self):
        way = pouring.way_to_mould(BRONZE, 1100, 1.0, POT, 15, 4, 0.1)
        assert way.furnace_c == pytest.approx(1100 + way.stream + way.held)
        assert way.stream > 0 and way.held > 0

    def test_metal_that_freezes_in_the_pot_is_told(self):
        with pytest.raises(InputError, match="would begin to freeze in the vessel after"):
            pouring.held_temp_c(BRONZE, 1010, 60, 0.5, POT)

    def test_a_longer_fall_cools_more_and_none_not_at_all(self):
        losses = [pouring.stream_loss(BRONZE, 1150, 0.2, height) for height in (0.0, 0.05, 0.2)]
        assert losses == sorted(losses) and losses[0] == 0.0
        assert pouring.stream_loss(BRONZE, 1150, 0.4, 0.2) < losses[2]

    @pytest.mark.parametrize(
        "call, parameter",
        [
            (lambda: pouring.Vessel(-0.1), "open area of the vessel"),
            (lambda: pouring.held_temp_c(BRONZE, 900, 5, 1.0, POT), "temperature"),
            (lambda: pouring.held_temp_c(BRONZE, 1100, 5000, 1.0, POT), "time in the open"),
            (lambda: pouring.held_temp_c(BRONZE, 1100, 5, 1.0, POT, -300.0), "temperature of the air"),
            (lambda: pouring.stream_loss(BRONZE, 1100, 0.0, 0.1), "flow of the stream"),
            (lambda: pouring.way_to_mould(BRONZE, 1100, 1.0, POT, 15, 0.0, 0.1), "time of pouring"),
        ],
    )
    def test_what_cannot_be_is_refused_by_name(self, call, parameter):
        with pytest.raises(InputError) as caught:
            call()
        assert caught.value.parameter == parameter
