"""Freezing in a die: the shape of the law, its limits, what it refuses.

Published numbers: tests/published.
"""

import pytest

from castlab.errors import InputError
from castlab.materials import alloy, alloy_names, mould
from castlab.rules import die

DIE, A356 = mould("cast-iron die"), alloy("A356")


@pytest.mark.parametrize("name", alloy_names())
def test_what_makes_a_casting_freeze_later_in_a_die(name):
    metal = alloy(name)
    low, high = metal.pour_range_c
    time = die.freezing_time_in_die(0.002, metal, DIE, low)
    assert die.freezing_time_in_die(0.002, metal, DIE, high) > time
    assert 2 < die.freezing_time_in_die(0.004, metal, DIE, low) / time < 4
    assert die.freezing_time_in_die(0.002, metal, DIE, low, shape="ball") > time


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: die.freezing_time_in_die(0.0, A356, DIE, 700), "modulus"),
        (lambda: die.freezing_time_in_die(0.003, A356, DIE, 600), "pouring temperature"),
        (lambda: die.freezing_time_in_die(0.003, A356, DIE, 700, "cone"), "shape"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
