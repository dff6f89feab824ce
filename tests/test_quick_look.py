"""A quick look, while a slider moves, against the steps of an answer."""

import importlib

import pytest

from castlab import InputError, Setup, alloy, mould, parts

freeze = importlib.import_module("castlab.field.freeze")


@pytest.mark.parametrize("name", ["ZA-12", "tin bronze", "pure zinc"])
def test_a_quick_look_says_the_same_within_one_per_cent(name):
    """Against the steps of an answer, which the grid-free times above hold to."""
    metal = alloy(name)
    setup = Setup(parts.eye_plate(), metal, mould("green sand"), metal.pour_range_c[0])
    exact, quick = (freeze.freeze(setup, 4e-3, pace) for pace in (1.0, freeze.QUICK))
    assert quick.last_time_s == pytest.approx(exact.last_time_s, rel=0.01)
    assert len(quick.times_s) < 0.5 * len(exact.times_s)
    with pytest.raises(InputError, match="pace"):
        freeze.freeze(setup, 4e-3, 0.5)
