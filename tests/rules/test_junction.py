"""Junctions: the shape of the law, its limits, what it refuses.

Published numbers: tests/published.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.rules import junction

SIZES = st.floats(1e-3, 1.0)


@given(kind=st.sampled_from(junction.KINDS), a=SIZES, b=SIZES, share=st.floats(0, 2))
def test_a_junction_is_never_thinner_than_its_walls(kind, a, b, share):
    plain = junction.junction_circle(kind, a, b)
    rounded = junction.junction_circle(kind, a, b, share * min(a, b))
    assert max(a, b) * (1 - 1e-9) <= plain <= rounded * (1 + 1e-9)


@given(a=SIZES, b=SIZES)
def test_corner_and_cross_do_not_care_which_wall_is_named_first(a, b):
    for kind in ("L", "X"):
        circle = junction.junction_circle(kind, a, b)
        assert circle == pytest.approx(junction.junction_circle(kind, b, a))


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: junction.junction_circle("Y", 0.01, 0.01), "kind of junction"),
        (lambda: junction.junction_circle("T", 0.01, 0.01, -0.001), "fillet"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
