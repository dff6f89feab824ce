"""A sleeve in front of and behind the picture, which a slice only counts, against one that is drawn.

A feeder so tall that its ends do not matter: drawn from above, its square sleeve lies round it on all sides;
as a slice, the sleeve shows left and right, and in front and behind it is a cover.
"""

from dataclasses import replace

import pytest

from castlab import Setup, alloy, freeze, mould
from castlab.field.layout import Layout, box

SLEEVE, SAND_M, DEEP_M = mould("insulating sleeve"), 80e-3, 9e-3


def drawn(half, thick):
    """A quarter of the square from above; its planes of symmetry, and both ends, let no heat through."""
    out, up = half + thick, (0.0, DEEP_M)
    blocks = (
        box("feeder", "casting", (0.0, half), (0.0, half), up),
        box("beside", "sleeve", (half, out), (0.0, out), up, material=SLEEVE),
        box("behind", "sleeve", (0.0, half), (half, out), up, material=SLEEVE),
    )
    return Layout(blocks, (0.0, 0.0, 0.0), (out + SAND_M, out + SAND_M, DEEP_M))


def sliced(half, thick):
    """The right half of the same as a slice."""
    out, up = half + thick, (0.0, DEEP_M)
    feeder = box("feeder", "casting", (0.0, half), up, depth=2 * half)
    blocks = (
        replace(feeder, cover=SLEEVE, cover_thickness=thick),
        box("beside", "sleeve", (half, out), up, depth=2 * half, material=SLEEVE),
    )
    return Layout("planar", blocks, (0.0, 0.0), (out + SAND_M, DEEP_M), up="+x")


@pytest.mark.parametrize("name, half, thick", [("ZA-12", 25e-3, 8e-3), ("pure aluminium", 15e-3, 15e-3)])
def test_a_sleeve_that_is_only_counted_keeps_heat_as_long_as_one_that_is_drawn(name, half, thick):
    metal, sand = alloy(name), mould("green sand")
    round_it, counted = (
        freeze(Setup(layout(half, thick), metal, sand, metal.liquidus_c + 40.0), 3e-3).last_time_s
        for layout in (drawn, sliced))
    assert counted == pytest.approx(round_it, rel=0.05)
