"""Feeder, chill and gate by hand rule, against the same sums done by hand."""

import pytest

from castlab import InputError, alloy, mould
from castlab.field.faces import Face
from castlab.field.hot_spots import HotSpot
from castlab.rules.freezing import freezing_time_in_sand
from castlab.teach.own_part.by_rule import chill_here, feeder_here, gate_here, modulus_by_time

ZA12, SAND = alloy("ZA-12"), mould("green sand")
TOP = Face("top", (0.0, 0.02, 0.0), ((-0.02, 0.02), (-0.02, 0.02)))
LEFT = Face("left", (-0.03, 0.0, 0.0), ((-0.02, 0.02), (-0.02, 0.02)))
RIGHT = Face("right", (0.02, 0.0, 0.0), ((-0.02, 0.02), (-0.02, 0.02)))


def _spot(*faces):
    return HotSpot((0.0, 0.0, 0.0), "boss", 120.0, 0.04, 0.007, 1e-6, faces)


def test_modulus_by_time_is_the_rule_turned_round():
    time = freezing_time_in_sand(0.006, ZA12, SAND, 475.0)
    assert modulus_by_time(time, ZA12, SAND, 475.0) == pytest.approx(0.006)
    assert modulus_by_time(100.0, ZA12, mould("cast-iron die"), 475.0) is None


def test_a_feeder_has_a_modulus_a_fifth_larger():
    """On the casting: D = M (4 q + 1) / q with M = 1.2 x 7 mm and q = 1.5 is 39.2 mm; beside it 44.8 mm."""
    on_top, beside = feeder_here(_spot(TOP, LEFT)), feeder_here(_spot(LEFT))
    assert (on_top.side, on_top.width) == ("top", pytest.approx(0.040))
    assert (beside.side, beside.width) == ("left", pytest.approx(0.045))
    assert on_top.height == pytest.approx(1.5 * on_top.width)


def test_the_nearest_side_is_taken_and_where_there_is_none_it_says_so():
    assert feeder_here(_spot(LEFT, RIGHT)).side == gate_here(_spot(TOP, LEFT, RIGHT)).side == "right"
    with pytest.raises(InputError, match="no free face is near it"):
        feeder_here(_spot())
    with pytest.raises(InputError, match="no free face is near it"):
        gate_here(_spot(TOP))


def test_a_chill_lies_under_it_as_wide_as_the_ball():
    chill = chill_here(_spot(TOP))
    assert (chill.side, chill.width, chill.length) == ("bottom", 0.04, 0.04)
    assert chill.thickness == pytest.approx(0.024)
