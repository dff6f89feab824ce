"""Every number has a source and a range, is of a plausible size, and agrees with the others beside it."""

import math
from dataclasses import fields, replace

import numpy as np
import pytest

from castlab.errors import InputError
from castlab.materials import (
    Alloy,
    Mould,
    alloy,
    alloy_names,
    flags,
    mould,
    mould_names,
    read_data,
    source,
    values,
)

ALLOYS, MOULDS = alloy_names(), mould_names()
HOW_SEEN = ("read", "computed", "memory", "judgement")
ROWS = [(name, value) for name in ALLOYS + MOULDS for value in values(name)]

# The bands in which metals and mould materials lie at all: they catch a slip of a factor of ten, or a unit.
BANDS = {
    "liquidus_c": ("deg C", 200, 1600), "solidus_c": ("deg C", 200, 1600),
    "latent_heat": ("J/kg", 5e4, 6e5),
    "heat_capacity_solid": ("J/kg/K", 150, 1300), "heat_capacity_liquid": ("J/kg/K", 150, 1300),
    "conductivity_solid": ("W/m/K", 20, 430), "conductivity_liquid": ("W/m/K", 20, 200),
    "density_20c": ("kg/m3", 1700, 20000), "density_solid": ("kg/m3", 1700, 20000),
    "density_liquid_published": ("kg/m3", 1500, 18000),
    "freezing_contraction": ("1", 0.02, 0.08),
    "liquid_contraction": ("1/K", 0.7e-4, 2e-4),
    "solid_expansion": ("1/K", 1e-5, 4e-5),
    "pattern_allowance": ("1", 0.005, 0.03),
    "mobile_limit": ("1", 0.1, 0.5), "passable_limit": ("1", 0.5, 1.0),
    "viscosity": ("Pa s", 5e-4, 1e-2),
    "arm_spacing_at_1_K_per_s": ("m", 5e-6, 3e-4), "arm_spacing_exponent": ("1", 0.2, 0.5),
    "emissivity": ("1", 0.02, 0.95),
    "pour_low_c": ("deg C", 300, 1700), "pour_high_c": ("deg C", 300, 1700),
    "conductivity": ("W/m/K", 0.05, 450), "conductivity_hot": ("W/m/K", 0.2, 3),
    "density": ("kg/m3", 200, 9000), "heat_capacity": ("J/kg/K", 400, 1500),
    "start_temp_c": ("deg C", 0, 700), "interface_coefficient": ("W/m2/K", 100, 20000),
    "interface_coefficient_hot": ("W/m2/K", 100, 20000),
}
# The one exception: a metal that the data flag as expanding. Textbooks print up to 2.5 % of expansion.
EXPANDS = "expands on freezing"
BAND_OF_EXPANDING = ("1", -0.03, 0.0)
HAND_MADE = {
    "name": "made by hand", "family": "test", "liquidus_c": 660.3, "solidus_c": 660.3,
    "solid_fraction": ((660.3, 0.0), (660.3, 1.0)), "latent_heat": 4e5, "heat_capacity_solid": 1200.0,
    "heat_capacity_liquid": 1200.0, "conductivity_solid": 200.0, "conductivity_liquid": 90.0,
    "density_solid": 2550.0, "freezing_contraction": 0.066, "liquid_contraction": 1.3e-4,
    "solid_expansion": 28e-6, "mobile_limit": 0.25, "passable_limit": 0.9, "viscosity": 1.3e-3,
    "arm_spacing": (4e-5, 0.33),
}


def number(name, quantity):
    return next(value for value in values(name) if value.quantity == quantity)


def test_the_names():
    """These the lessons speak of; more may be added."""
    assert {
        "pure aluminium", "A356", "ZA-12", "pure zinc", "tin bronze", "fine silver", "carbon steel",
        "ZA-27", "Zn-4Al", "319", "Al-4.5Cu", "Al-12Si", "silicon bronze", "85-5-5-5", "pure copper",
        "sterling silver", "18k yellow gold", "grey iron",
    } <= set(ALLOYS)
    assert {
        "green sand", "dry silica sand", "investment", "cast-iron die", "steel chill", "insulating sleeve",
        "oil-bonded sand", "zircon sand", "graphite", "copper chill", "exothermic sleeve",
    } <= set(MOULDS)
    assert len(set(ALLOYS + MOULDS)) == len(ALLOYS + MOULDS)


@pytest.mark.parametrize("name, value", ROWS, ids=lambda each: getattr(each, "quantity", each))
def test_every_number_has_a_source_a_range_and_a_plausible_size(name, value):
    assert len(source(value.source)) > 10
    assert value.seen in HOW_SEEN
    assert value.low <= value.value <= value.high
    unit, low, high = BANDS[value.quantity]
    if value.quantity == "freezing_contraction" and EXPANDS in flags(name):
        unit, low, high = BAND_OF_EXPANDING
    assert value.unit == unit
    assert low <= value.value <= high


@pytest.mark.parametrize("name", ALLOYS)
def test_a_metal_that_expands_is_flagged_and_says_so_and_no_other_is(name):
    """Liquid denser than solid is a slip of the pen, unless the data say that it is meant."""
    metal = alloy(name)
    assert (metal.freezing_contraction < 0) == (metal.density_liquid > metal.density_solid)
    assert (metal.freezing_contraction < 0) == (EXPANDS in flags(name)) == ("EXPANDS" in metal.notes)


def test_lead_is_flagged():
    assert [name for name in ALLOYS if "contains lead" in flags(name)] == ["85-5-5-5"]
    assert "CONTAINS LEAD" in alloy("85-5-5-5").notes


@pytest.mark.parametrize("name", ALLOYS + MOULDS)
def test_no_quantity_stands_twice(name):
    quantities = [value.quantity for value in values(name)]
    assert len(quantities) == len(set(quantities))


def test_every_source_is_used_and_none_is_missing():
    listed = read_data("sources")
    tables = read_data("alloys")
    used = {value.source for _, value in ROWS}
    assert used | {entry["solid_fraction"]["source"] for entry in tables.values()} == set(listed)


@pytest.mark.parametrize("name", ALLOYS)
def test_a_table_of_solid_fraction_says_where_it_is_from(name):
    table = read_data("alloys")[name]["solid_fraction"]
    assert source(table["source"]) and table["seen"] in HOW_SEEN and table["note"]


@pytest.mark.parametrize("name, value", ROWS, ids=lambda each: getattr(each, "quantity", each))
def test_what_is_from_memory_says_so(name, value):
    if "From memory" in source(value.source):
        assert value.seen in ("memory", "judgement")
    if value.source == "judgement":
        assert value.seen in ("judgement", "memory")
        assert value.note or value.quantity.endswith("limit")  # the limits are judgement by their nature


@pytest.mark.parametrize("name", ALLOYS)
def test_temperatures_are_in_order(name):
    metal = alloy(name)
    assert metal.solidus_c <= metal.liquidus_c < metal.pour_range_c[0] < metal.pour_range_c[1]
    temps, shares = np.array(metal.solid_fraction).T
    assert np.all(np.diff(temps) <= 0) and np.all(np.diff(shares) >= 0)
    assert metal.is_pure == (metal.freezing_range == 0)


@pytest.mark.parametrize("name", ALLOYS)
def test_density_at_the_solidus_follows_from_expansion(name):
    metal = alloy(name)
    grown = (1 + metal.solid_expansion * (metal.solidus_c - 20)) ** 3
    assert metal.density_solid == pytest.approx(number(name, "density_20c").value / grown, rel=5e-4)


@pytest.mark.parametrize("name", ALLOYS)
def test_the_liquid_is_as_dense_as_published(name):
    """Solid density and freezing contraction, of other sources, must give the published liquid density.

    1 % is what the uncertainties leave (density of liquid metals 0.7 %, expansion of the solid a few tenths).
    """
    published = number(name, "density_liquid_published").value
    assert alloy(name).density_liquid == pytest.approx(published, rel=0.01)


@pytest.mark.parametrize("name", ALLOYS)
def test_contraction_from_published_densities_lies_in_the_stated_range(name):
    beta = number(name, "freezing_contraction")
    liquid, solid = number(name, "density_liquid_published"), number(name, "density_solid")
    lowest, highest = 1 - liquid.high / solid.low, 1 - liquid.low / solid.high
    assert lowest <= beta.high and beta.low <= highest


@pytest.mark.parametrize("name", ALLOYS)
def test_density_falls_above_the_liquidus_and_is_kept_below(name):
    metal = alloy(name)
    assert metal.density_liquid == pytest.approx(metal.density_solid * (1 - metal.freezing_contraction))
    assert metal.liquid_density(metal.liquidus_c - 50) == metal.density_liquid
    lost = 1 - metal.liquid_density(metal.liquidus_c + 100) / metal.density_liquid
    assert lost == pytest.approx(100 * metal.liquid_contraction)
    temps = np.array([metal.liquidus_c, metal.liquidus_c + 10, metal.liquidus_c + 20])
    assert np.all(np.diff(metal.liquid_density(temps)) < 0)


@pytest.mark.parametrize("name", ALLOYS)
def test_solid_fraction_goes_from_all_liquid_to_all_solid(name):
    metal = alloy(name)
    temps, shares = np.transpose(metal.solid_fraction)
    assert (temps[0], shares[0]) == (metal.liquidus_c, 0.0)
    assert (temps[-1], shares[-1]) == (metal.solidus_c, 1.0)
    assert np.all(np.diff(temps) <= 0.0) and np.all(np.diff(shares) >= 0.0)


def test_arrests():
    """ZA-12: two thirds by mass freeze at the eutectic (an Mey 1993: 68.5 %); A356: half (COST 507: 51 %)."""
    assert alloy("ZA-12").arrest_fraction == pytest.approx(1 - 0.685, abs=0.01)
    assert alloy("ZA-12").arrest_temp_c == pytest.approx(380.8, abs=0.5)
    assert alloy("A356").arrest_fraction == pytest.approx(0.49, abs=0.02)
    assert alloy("A356").arrest_temp_c == 574.0
    for name in ("pure aluminium", "pure zinc", "fine silver"):
        assert alloy(name).arrest_fraction == 0.0
        assert alloy(name).arrest_temp_c == alloy(name).liquidus_c
    for name in ("tin bronze", "carbon steel"):
        assert alloy(name).arrest_fraction == 1.0
        assert alloy(name).arrest_temp_c == alloy(name).solidus_c


@pytest.mark.parametrize("name", MOULDS)
def test_moulds(name):
    material = mould(name)
    expected = math.sqrt(material.conductivity * material.density * material.heat_capacity)
    assert material.heat_diffusivity == pytest.approx(expected)
    assert math.isinf(material.interface_coefficient) == (material.kind == "sleeve")


def test_the_order_of_moulds_by_how_strongly_they_draw_heat():
    """Sleeve, plaster, dry sand, green sand, metal: the order of every handbook; common practice."""
    order = ["insulating sleeve", "investment", "dry silica sand", "green sand", "steel chill"]
    drawn = [mould(name).heat_diffusivity for name in order]
    assert drawn == sorted(drawn)
    assert mould("dry silica sand").heat_diffusivity < mould("dry silica sand", hot=True).heat_diffusivity


def test_loaded_once():
    assert alloy("ZA-12") is alloy("ZA-12")
    assert mould("green sand") is mould("green sand", hot=False)
    assert hash(alloy("ZA-12")) == hash(replace(alloy("ZA-12")))


def test_made_by_hand():
    metal = Alloy(**HAND_MADE)
    assert metal.is_pure and metal.arrest_fraction == 0.0
    assert metal.pour_range_c[0] > metal.liquidus_c
    assert Alloy(**HAND_MADE | {"solid_fraction": [[660.3, 0], [660.3, 1]]}) == metal
    assert Alloy(**HAND_MADE | {"freezing_contraction": -0.02}).density_liquid > metal.density_solid
    assert math.isinf(Mould("bank sand", "sand", 0.6, 1500.0, 1100.0, 20.0).interface_coefficient)


@pytest.mark.parametrize(
    "field, bad",
    [
        ("solidus_c", 700.0),
        ("liquidus_c", math.nan),
        ("liquidus_c", "hot"),
        ("solid_fraction", ((660.3, 0.0), (660.3, 0.9))),
        ("solid_fraction", ((650.0, 0.0), (660.3, 1.0))),
        ("solid_fraction", ((660.3, 0.0),)),
        ("solid_fraction", ((660.3, 0.0), (660.3, 0.0), (660.3, 1.0))),
        ("solid_fraction", ((660.3, 0.0), (660.3, 0.6), (660.3, 0.5), (660.3, 1.0))),
        ("solid_fraction", ((660.3, 0.0), (661.0, 0.5), (660.3, 1.0))),
        ("solid_fraction", ((660.3, 0.0), (660.3, math.nan), (660.3, 1.0))),
        ("solid_fraction", (0.0, 1.0)),
        ("solid_fraction", None),
        ("latent_heat", 0.0),
        ("heat_capacity_solid", -1.0),
        ("heat_capacity_liquid", math.inf),
        ("conductivity_solid", 0.0),
        ("conductivity_liquid", None),
        ("density_solid", -2550.0),
        ("freezing_contraction", 6.6),
        ("liquid_contraction", -1e-4),
        ("solid_expansion", 28.0),
        ("mobile_limit", 1.2),
        ("passable_limit", -0.1),
        ("viscosity", 0.0),
        ("arm_spacing", (40.0, 0.33)),
        ("arm_spacing", (4e-5,)),
        ("arm_spacing", 4e-5),
        ("arm_spacing", (4e-5, 3.0)),
        ("emissivity", 1.5),
        ("pour_range_c", (600.0, 700.0)),
        ("pour_range_c", (750.0, 700.0)),
        ("pour_range_c", (700.0, math.inf)),
        ("pour_range_c", 700.0),
    ],
)
def test_an_impossible_alloy_is_refused_by_name(field, bad):
    with pytest.raises(InputError) as caught:
        Alloy(**HAND_MADE | {field: bad})
    assert field in str(caught.value) and "made by hand" in str(caught.value)


@pytest.mark.parametrize(
    "field, bad",
    [
        ("kind", "wood"), ("conductivity", 0.0), ("density", -1.0), ("heat_capacity", math.nan),
        ("start_temp_c", -300.0), ("interface_coefficient", 0.0), ("interface_coefficient", math.nan),
    ],
)
def test_an_impossible_mould_is_refused_by_name(field, bad):
    good = {"name": "test sand", "kind": "sand", "conductivity": 0.6, "density": 1500.0,
            "heat_capacity": 1100.0, "start_temp_c": 20.0}
    with pytest.raises(InputError) as caught:
        Mould(**good | {field: bad})
    assert field in str(caught.value) and "test sand" in str(caught.value)


@pytest.mark.parametrize(
    "look_up, wrong, meant",
    [(alloy, "ZA12", "ZA-12"), (alloy, "tin bronse", "tin bronze"), (mould, "greensand", "green sand"),
     (values, "steel chil", "steel chill"), (source, "its 90", "its-90")],
)
def test_an_unknown_name_is_refused_and_the_nearest_suggested(look_up, wrong, meant):
    with pytest.raises(InputError, match=f"did you mean '{meant}'"):
        look_up(wrong)


@pytest.mark.parametrize("name", ["dry silica sand", "insulating sleeve"])
def test_next_to_steel_radiation_adds_to_what_a_material_conducts(name):
    assert mould(name, hot=True).conductivity > mould(name).conductivity
    assert mould(name, hot=True).interface_coefficient >= mould(name).interface_coefficient


def test_only_a_material_with_a_hot_value_can_be_hot():
    with pytest.raises(InputError, match="dry silica sand, insulating sleeve only"):
        mould("green sand", hot=True)


def test_every_field_of_an_alloy_is_in_the_data():
    taken = {"name", "family", "solid_fraction", "notes"}
    split = {"arm_spacing": "arm_spacing_exponent", "pour_range_c": "pour_low_c"}
    for name in ALLOYS:
        listed = {value.quantity for value in values(name)}
        assert {split.get(each.name, each.name) for each in fields(Alloy)} - taken <= listed
