"""What a lining costs: balances, limits and refusals. Two timed melts are among the published trials."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.rules import lining
from castlab.rules.furnace import SMALL_FURNACE

LIGHT, HEAVY = lining.TWO_BUILDERS


@given(power=st.floats(500.0, 5000.0), share=st.floats(0.02, 0.9), temp_c=st.floats(300.0, 1200.0))
def test_heat_is_in_the_metal_or_in_the_lining(power, share, temp_c):
    metal = 1e6
    time = metal / power / share
    found = lining.lining_heat_capacity(power, time, metal, temp_c)
    assert found * (temp_c - 25.0) + metal == pytest.approx(power * time)


@pytest.mark.parametrize("arguments, parameter", [
    ((0.0, 1000.0, 1e6, 700.0), "power of the furnace"), ((1000.0, 0.0, 1e6, 700.0), "time of the melt"),
    ((1000.0, 1000.0, 1e6, 700.0), "time of the melt"), ((2000.0, 1000.0, 0.0, 700.0), "heat in the metal"),
    ((2000.0, 1000.0, 1e6, 25.0), "temperature at the end"),
    ((2000.0, 1000.0, 1e6, 700.0, 60.0), "temperature of the room")])
def test_what_cannot_be_is_refused_by_name(arguments, parameter):
    with pytest.raises(InputError) as caught:
        lining.lining_heat_capacity(*arguments)
    assert caught.value.parameter == parameter


def test_the_heat_of_a_kilogram_of_aluminium():
    """Textbooks (from memory): about 0.32 kWh to melt a kilogram of aluminium and bring it to 720 deg C."""
    assert LIGHT.metal_heat / 3.6e6 == pytest.approx(0.32, rel=0.04)
    assert LIGHT.share_in_metal == pytest.approx(LIGHT.metal_heat / (LIGHT.power * LIGHT.time))


@pytest.mark.parametrize("melt", lining.TWO_BUILDERS, ids=lambda melt: melt.name)
def test_a_melt_computed_takes_longer_than_its_balance(melt):
    """The balance counts loss as lining, and has wall and metal equally hot; the run does not."""
    assert melt.computed_time(SMALL_FURNACE) > melt.time
