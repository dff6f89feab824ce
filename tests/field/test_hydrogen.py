"""Hydrogen in the mush: the rule's figures, which know nothing of the field, and how suction and gas help."""

import functools

import pytest

from castlab import InputError, Setup, alloy, freeze, mould, parts
from castlab.field.feeding_path import feeding_path
from castlab.field.hydrogen import CM3_PER_100G, Hydrogen, hydrogen_of
from castlab.field.mush import ATMOSPHERE_PA
from castlab.rules import gas

A356 = alloy("A356")
LITTLE, MUCH = 0.1 * CM3_PER_100G, 0.3 * CM3_PER_100G


@functools.cache
def frozen(name="A356"):
    metal, layout = alloy(name), parts.eye_plate(feeder_width=44e-3, feeder_height=66e-3)
    return freeze(Setup(layout, metal, mould("green sand"), metal.liquidus_c + 90.0), 5e-3)


@functools.cache
def followed(content=0.0):
    return feeding_path(frozen(), content)


def share(path):
    """Pores of the casting as a share of its volume with them, as the rule has it."""
    run = path.run
    here = run.grid.is_role("casting").ravel()[run.metal_cells]
    pores, metal = path.pores[here].sum(), run.grid.metal_volume.ravel()[run.metal_cells][here].sum()
    return pores / (metal + pores)


@pytest.mark.parametrize("temp_c", [670.0, 700.0, 800.0])
def test_liquid_dissolves_what_the_rule_says(temp_c):
    assert Hydrogen(A356, 0.0).dissolves(0.0, temp_c) == pytest.approx(gas.hydrogen_in_liquid(temp_c))
    assert Hydrogen(A356, 0.0).dissolves(1.0, 560.0) == pytest.approx(gas.hydrogen_in_solid(560.0))


@pytest.mark.parametrize("content", [LITTLE, MUCH])
@pytest.mark.parametrize("solid", [0.3, 0.99])
def test_gas_in_pores_and_in_the_metal_is_all_there_is(content, solid):
    """At twice the room the pressure is that at which what is dissolved and what is in the pores add up; and
    what it falls by is the slope of that."""
    melt, temp = Hydrogen(A356, content), 570.0
    for pores in (0.002, 0.004):
        pressure, falls = melt.pressure(solid, temp, pores)
        dissolved = melt.dissolves(solid, temp) * (pressure / ATMOSPHERE_PA) ** 0.5
        cold = pores / A356.density_solid * pressure / ATMOSPHERE_PA * 273.15 / (temp + 273.15)
        assert dissolved + cold == pytest.approx(content)
        more = melt.pressure(solid, temp, pores * (1 + 1e-6))[0]
        assert falls == pytest.approx((pressure - more) / (pores * 1e-6), rel=1e-4)


@pytest.mark.parametrize("content", [LITTLE, MUCH])
def test_a_casting_that_is_fed_well_has_the_pores_of_the_rule(content):
    """Under hardly any suction gas has about the pressure of the air, which is what the rule takes; the skin,
    which freezes within one step, has none."""
    assert followed().worst == 0.0
    assert share(followed(content)) == pytest.approx(gas.gas_pore_share(content, A356), rel=0.1)


def test_pores_of_gas_take_from_what_the_feeder_gives():
    dry, gassy = followed(), followed(MUCH)
    assert gassy.fed_m3 + gassy.own_m3 + gassy.pores.sum() == pytest.approx(gassy.asked_m3, rel=1e-9)
    assert gassy.asked_m3 == pytest.approx(dry.asked_m3, rel=1e-12) and gassy.fed_m3 < 0.9 * dry.fed_m3


def test_what_the_crystals_keep_opens_no_pore():
    """The solid keeps 0.02 ml in 100 g of it at the solidus."""
    kept = gas.hydrogen_in_solid(A356.solidus_c)
    assert followed(0.9 * kept).pores.sum() == 0.0 and followed(2.0 * kept).pores.sum() > 0.0


def test_only_aluminium_is_asked_about_hydrogen():
    with pytest.raises(InputError, match="hydrogen is tin bronze: its family must be aluminium"):
        feeding_path(frozen("tin bronze"), LITTLE)


@pytest.mark.parametrize("content", [-LITTLE, 2.0 * CM3_PER_100G])
def test_no_melt_holds_less_than_nothing_or_more_than_it_dissolves(content):
    """At 700 deg C 0.88 ml in 100 g: Talbot and Anyalebechi, as in the rule."""
    setup = Setup(parts.eye_plate(), A356, mould("green sand"), 700.0)
    with pytest.raises(InputError, match="0 and 0.882 ml in 100 g, which is what A356 dissolves at 700"):
        hydrogen_of(setup, content)
    assert hydrogen_of(setup, 0.0) is None
