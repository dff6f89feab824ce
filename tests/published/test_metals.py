"""The data of the alloys against fixed points, trade ranges, measured heats and usual practice."""

from dataclasses import replace

import pytest

from castlab.materials import alloy, alloy_names, mould
from castlab.rules import filling


@pytest.mark.parametrize(
    "name, freezing_point_c",
    [("pure aluminium", 660.323), ("pure zinc", 419.527), ("fine silver", 961.78)],
)
def test_fixed_points(name, freezing_point_c):
    """ITS-90, defining fixed points: Preston-Thomas, Metrologia 27 (1990) 3-10."""
    assert alloy(name).liquidus_c == alloy(name).solidus_c == freezing_point_c


@pytest.mark.parametrize(
    "name, liquidus, solidus",
    [
        ("ZA-12", (430, 435), (377, 381)),  # trade tables 377 to 432; calculated 430.8 to 434.2 and 380.8
        ("A356", (610, 616), (550, 570)),  # LM25 615/550; other tables 613/557; calculated 615.4/557
        ("tin bronze", (999, 1010), (798, 854)),  # C90700 999/831, C90500 1000/854; peritectic 798
        ("carbon steel", (1510, 1525), (1450, 1490)),  # about 0.2 % carbon, from memory
    ],
)
def test_freezing_ranges(name, liquidus, solidus):
    metal = alloy(name)
    assert liquidus[0] <= metal.liquidus_c <= liquidus[1]
    assert solidus[0] <= metal.solidus_c <= solidus[1]


def test_zinc_aluminium_eutectic_heat():
    """Two thirds of ZA-12 are Zn-5Al eutectic, whose heat of fusion is 113.4 kJ/kg measured by calorimeter.

    Engin and others, Int. J. Miner. Metall. Mater. 18 (2011); 112.6 in another study (Zn-5Al-0.2Bi, Trans.
    Nonferrous Met. Soc. China 26 (2016) 2320). The primary third is rich in aluminium (at most 35 % by mass,
    397 kJ/kg) and gives more.
    """
    eutectic_share = 1 - alloy("ZA-12").arrest_fraction
    lowest = 113.4e3  # no phase of the alloy melts with less
    highest = eutectic_share * 113.4e3 + (1 - eutectic_share) * (0.35 * 397e3 + 0.65 * 112e3)
    assert lowest <= alloy("ZA-12").latent_heat <= highest


def test_tin_bronze_freezes_long_and_pure_metals_not_at_all():
    """Freezing classes of copper alloys: long above about 110 K (foundry handbooks, from memory)."""
    assert alloy("tin bronze").freezing_range > 110
    assert 50 < alloy("ZA-12").freezing_range < 110
    assert 50 < alloy("A356").freezing_range < 110
    assert alloy("fine silver").freezing_range == 0


@pytest.mark.parametrize("name", alloy_names())
def test_the_usual_superheat_lies_in_the_usual_window(name):
    """50 to 100 K above the liquidus is the general rule (common practice)."""
    low, high = filling.superheat_window(alloy(name))
    assert low <= 100 and high >= 50


def test_fluidity_worked_by_hand():
    """Flemings' equation with round numbers, arithmetic by hand (not a published result).

    L = rho a V (k H + c dT) / (2 h (T_m - T_0))
      = 2370 * 0.0025 * 0.5 * (0.5 * 397000 + 1180 * 50) / (2 * 1500 * 635) = 0.4004 m
    """
    metal = replace(
        alloy("pure aluminium"), density_solid=2370, freezing_contraction=0.0, heat_capacity_liquid=1180,
    )
    wall = replace(mould("cast-iron die"), interface_coefficient=1500, start_temp_c=metal.liquidus_c - 635)
    length = filling.fluidity_length(0.0025, 0.5, metal, wall, metal.liquidus_c + 50, stops_at=0.5)
    assert length == pytest.approx(0.4004, abs=5e-5)
