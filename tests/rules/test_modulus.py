"""Modulus: the shape of each law, its limits, what it refuses.

Published numbers: tests/published.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.rules import modulus

SIZES = st.floats(1e-3, 1.0)


@given(a=SIZES, b=SIZES, c=SIZES)
def test_a_box_cools_through_all_its_faces(a, b, c):
    assert 1 / modulus.box(a, b, c) == pytest.approx(2 / a + 2 / b + 2 / c)


@given(a=SIZES, b=SIZES, scale=st.floats(0.1, 10))
def test_the_modulus_grows_with_the_size(a, b, scale):
    assert modulus.box(scale * a, scale * b, scale * b) == pytest.approx(scale * modulus.box(a, b, b))
    assert modulus.cylinder(scale * a, scale * b) == pytest.approx(scale * modulus.cylinder(a, b))


@given(a=SIZES, b=SIZES, c=SIZES)
def test_a_box_without_its_ends_is_a_bar_and_without_its_edges_a_plate(a, b, c):
    assert modulus.box(a, b, c, joined=("left", "right")) == pytest.approx(modulus.bar(b, c))
    edges = ("left", "right", "front", "back")
    assert modulus.box(a, b, c, joined=edges) == pytest.approx(modulus.plate(c))


@given(diameter=SIZES, height=SIZES)
def test_a_cylinder_without_its_ends_is_a_rod_and_without_its_side_a_plate(diameter, height):
    ends = modulus.cylinder(diameter, height, joined=("base", "top"))
    assert ends == pytest.approx(modulus.rod(diameter))
    side = modulus.cylinder(diameter, height, joined=("side",))
    assert side == pytest.approx(modulus.plate(height))


@given(inner=SIZES, wall=SIZES, height=SIZES)
def test_a_ring_is_a_bent_bar(inner, wall, height):
    ring = modulus.ring(inner + 2 * wall, inner, height)
    assert ring == pytest.approx(modulus.bar(wall, height))
    no_ends = modulus.ring(inner + 2 * wall, inner, height, joined=("base", "top"))
    assert no_ends == pytest.approx(modulus.plate(wall))


@given(a=SIZES, b=SIZES, c=SIZES)
def test_a_joined_face_and_a_covered_area_of_its_size_are_the_same(a, b, c):
    assert modulus.box(a, b, c, joined="base") == pytest.approx(modulus.box(a, b, c, covered_area=a * b))
    assert modulus.box(a, b, c, joined="base") > modulus.box(a, b, c)


@pytest.mark.parametrize("bad", [0.0, -0.01, math.nan, math.inf, None])
@pytest.mark.parametrize("shape", [modulus.plate, modulus.rod, modulus.ball])
def test_a_size_must_be_positive(shape, bad):
    with pytest.raises(InputError):
        shape(bad)


@given(a=SIZES, b=SIZES)
def test_joined_faces_of_bar_and_plate(a, b):
    rib = modulus.box(1.0, a, b, joined=("left", "right"), covered_area=1.0 * b)
    assert modulus.bar(a, b, covered_width=b) == pytest.approx(rib)
    assert modulus.plate(a, cooled_faces=1) == pytest.approx(2 * modulus.plate(a))


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: modulus.box(-1.0, 1.0, 1.0), "length"),
        (lambda: modulus.box(1.0, 0.0, 1.0), "width"),
        (lambda: modulus.cylinder(1.0, math.nan), "height"),
        (lambda: modulus.ring(1.0, 1.0, 1.0), "inner diameter"),
        (lambda: modulus.bar(0.1, -0.1), "thickness"),
        (lambda: modulus.modulus(1.0, 0.0), "cooling area"),
        (lambda: modulus.box(1.0, 1.0, 1.0, joined=("botom",)), "joined face"),
        (lambda: modulus.cylinder(1.0, 1.0, joined=("base", "top", "side")), "joined faces"),
        (lambda: modulus.box(1.0, 1.0, 1.0, covered_area=-0.1), "covered area"),
        (lambda: modulus.box(1.0, 1.0, 1.0, covered_area=6.0), "joined faces"),
        (lambda: modulus.box(1.0, 1.0, 1.0, joined="base", covered_area=5.5), "joined faces"),
        (lambda: modulus.plate(0.01, cooled_faces=0), "cooled faces"),
        (lambda: modulus.bar(0.01, 0.01, covered_width=0.04), "covered width"),
        (lambda: modulus.freezing_order({}), "sections"),
        (lambda: modulus.freezing_order({"arm": 0.0}), "modulus of arm"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
