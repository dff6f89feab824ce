"""Contraction on freezing, of the liquid and of the solid, against published densities and tables."""

import pytest

from castlab.materials import alloy
from castlab.rules import contraction

FOOT_IN = 12.0


@pytest.mark.parametrize(
    "name, low, high",
    [
        ("pure aluminium", 6.5, 7.2),  # 6.6 measured, Magnusson and Arnberg 2001; Campbell 7.0 to 7.14
        ("A356", 4.4, 6.6),  # between Al-11.6Si and aluminium, Magnusson and Arnberg 2001
        ("pure zinc", 3.9, 6.5),  # Campbell 4.1; Kalpakjian 6.5 (both from memory): sources disagree
        ("ZA-12", 4.0, 6.5),  # zinc alloys in textbooks, from memory
        ("tin bronze", 4.5, 6.0),  # Groover: bronze 5.5 (from memory)
        ("fine silver", 4.5, 5.3),  # textbooks, from memory; 5.2 from densities
        ("carbon steel", 2.5, 3.5),  # Kalpakjian 2.5 to 3; Campbell, iron, 3.16 (from memory)
    ],
)
def test_freezing_contraction_lies_where_textbooks_have_it(name, low, high):
    metal = alloy(name)
    lost = 100 * contraction.volume_to_feed(1.0, metal, metal.liquidus_c)
    assert low <= lost <= high


@pytest.mark.parametrize(
    "name, density, slope",
    [
        ("pure aluminium", 2377, 0.311),
        ("pure zinc", 6570, 1.1),
        ("fine silver", 9320, 0.90),
        ("carbon steel", 7035, 0.926),
        ("tin bronze", 7997, 0.819),
    ],
)
def test_liquid_contraction_per_100_kelvin(name, density, slope):
    """CRC Handbook, density of molten elements at the freezing point [kg/m3] and its fall [kg/m3/K].

    Steel is held against iron and bronze against copper. Agreement to 3 % of the value.
    """
    metal = alloy(name)
    lost = contraction.liquid_contraction(metal, metal.liquidus_c + 100)
    assert lost == pytest.approx(100 * slope / density, rel=0.03)


@pytest.mark.parametrize(
    "name, low, high",
    [
        ("A356", 1.25, 1.30),  # tables for aluminium alloys, per cent
        ("pure aluminium", 1.25, 100 * 7 / 32 / FOOT_IN),  # Dooley 1919: 7/32 inch a foot
        ("tin bronze", 100 * 5 / 32 / FOOT_IN, 1.60),  # Dooley 1919: 5/32 inch a foot; data pages 1.6 %
        ("ZA-12", 1.0, 1.3),  # gravity-cast zinc-aluminium alloys
        ("pure zinc", 1.0, 2.6),  # Dooley 1919: 7/32 inch a foot; Groover 2.6 % (from memory)
        ("carbon steel", 100 * 3 / 16 / FOOT_IN, 2.1),  # Dooley 1919: 3/16 inch a foot; others 2 to 2.1 %
    ],
)
def test_free_contraction_is_near_the_pattern_makers_tables(name, low, high):
    """The rule is for a casting free to contract; tables hold moulds that resist. 0.4 % of length either way.

    (Measured allowances of one metal differ by as much between shapes and moulds; common practice.)
    """
    allowance = 100 * (contraction.pattern_scale(alloy(name)) - 1)
    assert low - 0.4 <= allowance <= high + 0.4
