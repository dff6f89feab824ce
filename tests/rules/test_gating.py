"""Gating: what the rules refuse.

Published numbers: tests/published.
"""

import pytest

from castlab.errors import InputError
from castlab.rules import gating


def test_a_heavy_cope_needs_no_weight():
    assert gating.weight_on_cope(100.0, 50.0) == 0.0


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: gating.sprue_velocity(0.0), "height of the sprue"),
        (lambda: gating.sprue_velocity(0.2, loss=1.2), "loss"),
        (lambda: gating.fill_time(1e-4, 0.0, 0.2), "area of the choke"),
        (lambda: gating.fill_time_from_below(1e-4, 0.3, 1e-4, 0.2), "rise"),
        (lambda: gating.cope_lift(0.01, 0.1, 2400, 0.1), "cavity in the cope"),
        (lambda: gating.weight_on_cope(100.0, 1.0, surge=0.5), "surge"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
