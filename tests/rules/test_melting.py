"""The heat of a melt: the tables, and the shape of the law.

Published numbers: tests/published.
"""

from dataclasses import replace

import pytest

from castlab.errors import InputError
from castlab.materials import Value, alloy, alloy_names, read_data, source
from castlab.rules import melting
from castlab.rules.freezing import heat_to_freeze
from castlab.rules.furnace import HeatRows

each_alloy = pytest.mark.parametrize("metal", [alloy(name) for name in alloy_names()], ids=lambda m: m.name)
ZINC, BRONZE = alloy("ZA-12"), alloy("tin bronze")


def heat_content(metal, temp_c, solid=None):
    """What a kilogram takes from 25 deg C on [J/kg], read off the rule's rows as the furnace reads them."""
    return HeatRows(*melting.heat_rows(metal, metal.liquidus_c + 500.0, solid)).liquid_heat(temp_c)


@each_alloy
def test_every_alloy_has_a_composition_and_a_heat_with_source_and_range(metal):
    row = read_data("melting")[metal.name]
    (heat,) = [Value(**each) for each in row["quantities"]]
    assert heat.seen in ("read", "computed", "memory", "judgement")
    assert heat.unit == "J/kg" and source(heat.source) and heat.note
    assert heat.low <= heat.value <= heat.high
    assert sum(melting.composition(metal).values()) == pytest.approx(1.0)


def test_no_alloy_stands_there_that_is_not_known():
    table = read_data("melting")
    assert list(table) == list(alloy_names())


@each_alloy
def test_lead_is_in_the_composition_where_it_is_flagged(metal):
    assert ("Pb" in melting.composition(metal)) == (metal.name == "85-5-5-5")


@each_alloy
def test_it_rises_with_temperature(metal):
    temps = [metal.liquidus_c * k / 50 + 20 for k in range(60)]
    heats = [heat_content(metal, temp) for temp in temps]
    assert all(low < high for low, high in zip(heats, heats[1:], strict=False))


@each_alloy
def test_what_went_in_comes_out_on_freezing(metal):
    """The rule for freezing counts the same heat from the other end, with a mean heat capacity."""
    pour = metal.pour_range_c[0]
    released = heat_content(metal, pour) - melting.solid_heat(metal).value
    assert released == pytest.approx(heat_to_freeze(metal, pour), rel=0.02)


def test_cold_metal_has_less_than_none():
    assert heat_content(ZINC, 25.0) == 0.0
    assert heat_content(ZINC, 0.0) < 0.0


def test_cold_metal_by_hand():
    """1000 J/kg for each kelvin from 25 deg C to the solidus, and as much below."""
    solid = 1000.0 * (BRONZE.solidus_c - 25.0)
    assert heat_content(BRONZE, 0.0, solid) == pytest.approx(-25e3)


def test_the_mush_by_hand():
    """50 K three quarters solid in the mean, 450 J/kg/K, 50 K one quarter, 550; 100 kJ/kg to melt."""
    metal = replace(
        BRONZE, liquidus_c=500.0, solidus_c=400.0,
        solid_fraction=((500.0, 0.0), (450.0, 0.5), (400.0, 1.0)), pour_range_c=(550.0, 600.0),
        heat_capacity_solid=400.0, heat_capacity_liquid=600.0, latent_heat=100e3)
    temps, heats = melting.heat_rows(metal, 600.0, solid=150e3)
    assert temps == (25.0, 400.0, 450.0, 500.0, 600.0)
    assert heats == pytest.approx((0.0, 150e3, 222.5e3, 300e3, 360e3))


def test_a_table_must_reach_the_liquid():
    with pytest.raises(InputError, match="highest temperature of the table"):
        melting.heat_rows(ZINC, ZINC.liquidus_c - 0.5)


def test_an_alloy_made_by_hand_brings_its_own_heat():
    mine = replace(ZINC, name="my alloy")
    with pytest.raises(InputError, match="known are"):
        heat_content(mine, 500)
    assert heat_content(mine, 500, solid=212e3) == heat_content(ZINC, 500)
