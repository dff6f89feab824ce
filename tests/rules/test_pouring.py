"""What metal loses on its way: the shape of each law, and what is refused.

Published numbers: tests/published.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.materials import alloy
from castlab.rules import pouring

ZINC, BRONZE = alloy("ZA-12"), alloy("tin bronze")
POT = pouring.Vessel(0.003, 0.02, 500.0)


@given(above=st.floats(30.0, 150.0), time=st.floats(0.0, 20.0))
def test_backwards_is_the_way_back(above, time):
    start = BRONZE.liquidus_c + above
    before = pouring.held_temp_c(BRONZE, start, -time, 1.0, POT)
    assert pouring.held_temp_c(BRONZE, before, time, 1.0, POT) == pytest.approx(start, abs=1e-3)


def test_small_and_hot_melts_lose_most():
    drops = [start - pouring.held_temp_c(metal, start, 15, mass, POT)
             for metal, start, mass in ((ZINC, 500, 2.0), (ZINC, 500, 0.5), (BRONZE, 1150, 0.5))]
    assert drops == sorted(drops) and drops[0] < drops[2] / 4


def test_the_furnace_is_set_for_what_the_mould_needs():
    way = pouring.way_to_mould(BRONZE, 1100, 1.0, POT, 15, 4, 0.1)
    assert way.furnace_c == pytest.approx(1100 + way.stream + way.held)
    assert way.stream > 0 and way.held > 0


def test_metal_that_freezes_in_the_pot_is_told():
    with pytest.raises(InputError, match="would begin to freeze in the vessel after"):
        pouring.held_temp_c(BRONZE, 1010, 60, 0.5, POT)


def test_a_longer_fall_cools_more_and_none_not_at_all():
    losses = [pouring.stream_loss(BRONZE, 1150, 0.2, height) for height in (0.0, 0.05, 0.2)]
    assert losses == sorted(losses) and losses[0] == 0.0
    assert pouring.stream_loss(BRONZE, 1150, 0.4, 0.2) < losses[2]


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: pouring.Vessel(-0.1), "open area of the vessel"),
        (lambda: pouring.held_temp_c(BRONZE, 900, 5, 1.0, POT), "temperature"),
        (lambda: pouring.held_temp_c(BRONZE, 1100, 5000, 1.0, POT), "time in the open"),
        (lambda: pouring.held_temp_c(BRONZE, 1100, 5, 1.0, POT, -300.0), "temperature of the air"),
        (lambda: pouring.stream_loss(BRONZE, 1100, 0.0, 0.1), "flow of the stream"),
        (lambda: pouring.way_to_mould(BRONZE, 1100, 1.0, POT, 15, 0.0, 0.1), "time of pouring"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
