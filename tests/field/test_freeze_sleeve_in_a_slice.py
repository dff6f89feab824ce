"""A sleeve in front of and behind the picture, which a slice only counts, against one that is drawn.

A feeder so tall that its ends do not matter: drawn from above, its square sleeve lies round it on all sides;
as a slice, the sleeve shows left and right, and in front and behind it is a cover.
"""

import functools
from dataclasses import replace

import pytest

from castlab import Setup, alloy, freeze, mould
from castlab.field import rigging
from castlab.field.layout import Block, Layout, box

MM = 1e-3
SLEEVE, SAND_M, DEEP_M = mould("insulating sleeve"), 80e-3, 9e-3


def drawn(half, thick):
    """A quarter of the square from above; its planes of symmetry, and both ends, let no heat through."""
    out, up = half + thick, (0.0, DEEP_M)
    blocks = (
        box("feeder", "casting", (0.0, half), (0.0, half), up),
        box("beside", "sleeve", (half, out), (0.0, out), up, material=SLEEVE),
        box("behind", "sleeve", (0.0, half), (half, out), up, material=SLEEVE),
    )
    return Layout("solid", blocks, (0.0, 0.0, 0.0), (out + SAND_M, out + SAND_M, DEEP_M))


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


# One feeder of 40 x 40 x 60 mm in sand, with a sleeve round its four sides: as a slice whose sleeve in front
# and behind is a cover, and as a quarter in three dimensions. A slice of such a stubby block without a sleeve
# is within 8 % of 3-D. With a sleeve twice that is reasonable, and 25 % for one nearly half as thick as the
# feeder is wide: its corners, which the slice has not, then hold a third of its heat. The slice is slower.
COVER_BANDS = {
    (rigging.SLEEVES[0], 8 * MM): 0.15,
    (rigging.SLEEVES[1], 12 * MM): 0.15,
    (rigging.SLEEVES[0], 16 * MM): 0.25,
}


def sleeved_slice(material, thick):
    half, high, sand = 20 * MM, 60 * MM, 60 * MM
    body = Block(
        "feeder",
        "casting",
        (0.0, sand),
        (half, sand + high),
        depth=2 * half,
        cover=material,
        cover_thickness=thick if material else 0.0,
    )
    blocks = [body]
    if material:
        blocks.append(
            box(
                "sleeve",
                "sleeve",
                (half, half + thick),
                (sand, sand + high),
                depth=2 * half,
                material=material,
            )
        )
    return Layout("planar", tuple(blocks), (0.0, 0.0), (half + thick + sand, high + 2 * sand))


def sleeved_block(material, thick):
    half, high, sand, wide = 20 * MM, 60 * MM, 60 * MM, 20 * MM + thick
    upright = (sand, sand + high)
    blocks = [box("feeder", "casting", (0.0, half), upright, (0.0, half))]
    if material:
        blocks += [
            box("sleeve", "sleeve", (half, wide), upright, (0.0, half), material=material),
            box("front", "sleeve", (0.0, half), upright, (half, wide), material=material),
            box("corner", "sleeve", (half, wide), upright, (half, wide), material=material),
        ]
    return Layout("solid", tuple(blocks), (0.0, 0.0, 0.0), (wide + sand, high + 2 * sand, wide + sand))


@functools.cache
def sleeved_time(make, name, thick, cell=4 * MM):
    layout = make(mould(name) if name else None, thick)
    setup = Setup(layout, alloy("ZA-12"), mould("green sand"), 475.0)
    return freeze(setup, cell).last_time_s


LATE = pytest.mark.xfail(strict=True, reason="18 % late, which the block's cells hid; it goes with the slice")


@pytest.mark.parametrize(
    "name, thick", [pytest.param(*each, marks=[LATE] * (each[1] == 8 * MM)) for each in COVER_BANDS]
)
def test_a_sleeve_in_front_and_behind_agrees_with_three_dimensions(name, thick):
    flat, real = sleeved_time(sleeved_slice, name, thick, 2 * MM), sleeved_time(sleeved_block, name, thick)
    assert flat == pytest.approx(real, rel=COVER_BANDS[name, thick])
    assert real > 1.2 * sleeved_time(sleeved_block, None, thick)  # a sleeve worth its name
