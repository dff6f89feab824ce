"""The data of the alloys against fixed points, trade ranges, measured heats and usual practice."""

from dataclasses import replace

import pytest
from cases import share_solid

from castlab.materials import alloy, alloy_names, mould
from castlab.rules import filling


@pytest.mark.parametrize(
    "name, freezing_point_c",
    [("pure aluminium", 660.323), ("pure zinc", 419.527), ("fine silver", 961.78), ("pure copper", 1084.62)],
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
        ("ZA-27", (480, 508), (376, 381)),  # trade tables 376 to 484; calculated 508 without copper, 381
        ("Zn-4Al", (386, 388.5), (380, 381.5)),  # trade tables 381 to 387; calculated 388.3 and 380.8
        ("319", (600, 617), (504, 540)),  # LM4 615/504; AlSi5Cu4 measured 617/507; data page 600/540
        ("Al-4.5Cu", (640, 649), (520, 564)),  # data page 640/530; calculated 648.5/547 (cast), 564
        ("Al-12Si", (575, 581), (565, 577)),  # LM6 579/567 and 575/565; eutectic 577
        ("silicon bronze", (971, 983), (821, 906)),  # C87300 971/821, other list 977/866; calculated 983/906
        ("85-5-5-5", (1005, 1015), (850, 858)),  # C83600 1850 and 1570 deg F
        ("sterling silver", (891, 899), (779, 802)),  # trade 893/802; eutectic 779.1 (NIST)
        ("18k yellow gold", (895, 930), (880, 900)),  # printed 895 to 930; a single figure 927
        ("grey iron", (1150, 1250), (1120, 1180)),  # foundry irons 1150 to 1250; eutectic 1145 to 1152
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


def heat_content(metal, temp_c):
    """Heat [J/kg] above an arbitrary zero, from the numbers of the data alone."""
    below = metal.heat_capacity_solid * min(temp_c, metal.liquidus_c)
    above = metal.heat_capacity_liquid * max(temp_c - metal.liquidus_c, 0.0)
    return below + above + metal.latent_heat * (1.0 - share_solid(metal, temp_c))


@pytest.mark.parametrize(
    "name, cold_c, hot_c, released",
    [
        # an Mey 1993, binary zinc-aluminium
        ("ZA-12", 379, 500, 411e3 - 209e3),
        ("ZA-27", 379, 560, 564.1e3 - 271.3e3),
        ("Zn-4Al", 379, 450, 327.4e3 - 174.5e3),
        # COST 507
        ("A356", 550, 700, 1177e3 - 577e3 + 15 * 1270),  # 577 at 565 deg C, brought to 550
        ("319", 500, 720, 1148.0e3 - 472.4e3),
        ("Al-4.5Cu", 545, 720, 1086.8e3 - 508.1e3),
        ("Al-12Si", 550, 680, 1196.6e3 - 545.8e3),
    ],
)
def test_heat_given_off_on_freezing(name, cold_c, hot_c, released):
    """Heat contents at equilibrium, calculated from public thermodynamic databases with pycalphad.

    10 %: the first database is 6 % high on the measured heat of the Zn-5Al eutectic.
    """
    metal = alloy(name)
    ours = heat_content(metal, hot_c) - heat_content(metal, cold_c)
    assert ours == pytest.approx(released, rel=0.10)


@pytest.mark.parametrize(
    "name, eutectic_share",
    [("ZA-27", 0.415), ("Zn-4Al", 0.715), ("sterling silver", 0.153), ("Al-12Si", 0.955)],
)
def test_share_of_eutectic(name, eutectic_share):
    """Scheil: an Mey 1993 (zinc), COST 507 (Al-12Si); silver from the NIST eutectic, by hand.

    Silver: liquid from 7.5 to 28.41 % copper with the ratio 8.27 / 28.41 = 0.2911, so the share left is
    (28.41 / 7.5)^(1 / (0.2911 - 1)) = 0.153.
    """
    assert 1.0 - alloy(name).arrest_fraction == pytest.approx(eutectic_share, abs=0.01)


def test_tin_bronze_freezes_long_and_pure_metals_not_at_all():
    """Freezing classes of copper alloys: long above about 110 K (foundry handbooks, from memory)."""
    assert alloy("tin bronze").freezing_range > 110
    assert alloy("silicon bronze").freezing_range > 110
    assert alloy("85-5-5-5").freezing_range > 110
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
