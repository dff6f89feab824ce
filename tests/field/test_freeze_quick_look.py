"""A quick look, while a slider moves, against the steps of an answer."""

import importlib

import pytest

from castlab import InputError, Setup, alloy, mould, parts
from castlab.field.grid import build

freeze = importlib.import_module("castlab.field.freeze")


@pytest.mark.parametrize("name", ["ZA-12", "tin bronze", "pure zinc"])
def test_long_steps_say_the_same_within_one_per_cent(name, monkeypatch):
    """Against the steps of an answer on the same cells."""
    monkeypatch.setattr(freeze, "build", lambda layout, cell, look: build(layout, cell, look=True))
    metal = alloy(name)
    setup = Setup(parts.eye_plate(), metal, mould("green sand"), metal.pour_range_c[0])
    exact, quick = (freeze.freeze(setup, 4e-3, pace) for pace in (1.0, freeze.QUICK))
    assert quick.last_time_s == pytest.approx(exact.last_time_s, rel=0.01)
    assert len(quick.times_s) < 0.5 * len(exact.times_s)
    with pytest.raises(InputError, match="pace"):
        freeze.freeze(setup, 4e-3, 0.5)


def bracket(rib):
    metal = alloy("A356")
    return Setup(parts.bracket(rib=rib), metal, mould("green sand"), metal.pour_range_c[0])


@pytest.mark.parametrize("rib", [4e-3, 6e-3, 9e-3])
def test_a_look_at_a_thin_section_agrees_with_its_answer(rib):
    setup = bracket(rib)
    answer = freeze.freeze(setup, 2e-3)
    look = freeze.freeze(setup, 6e-3, freeze.QUICK)
    assert look.last_time_s == pytest.approx(answer.last_time_s, rel=0.03)
    assert look.grid.metal.size < 0.2 * answer.grid.metal.size
