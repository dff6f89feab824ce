"""What an X-ray film would show, against the balance of metal and holes."""

from dataclasses import replace

import numpy as np
import pytest

from castlab import Setup, alloy, mould, parts, pour
from castlab.field.design import design
from castlab.field.example_parts import door_handle
from castlab.field.outcome import COARSE
from castlab.field.x_ray import hollows, is_seen, shadows

ZA12, SAND = alloy("ZA-12"), mould("green sand")


@pytest.fixture(scope="module", params=["eye plate", "door handle"])
def account(request):
    """One with a plane of symmetry and one hole, one with two holes."""
    if request.param == "eye plate":
        return pour(Setup(parts.eye_plate(), ZA12, SAND, 475.0), COARSE)
    return pour(design(door_handle(), ZA12, SAND, 475.0), COARSE)


def test_looked_through_from_each_side_there_is_all_the_metal_and_every_hole(account):
    for shadow in shadows(account):
        one, two = (np.diff(edges) for axis, edges in enumerate(shadow.edges) if axis != shadow.axis)
        area = np.outer(one, two)
        assert (shadow.metal * area).sum() == pytest.approx(account.casting_m3)
        assert (shadow.holes * area).sum() == pytest.approx(account.defect_m3)
        assert (shadow.holes <= shadow.metal + 1e-12).all() and shadow.seen


def test_the_darkest_place_is_where_the_hole_is(account):
    deepest = hollows(account)[0]
    for shadow in shadows(account):
        place, holes, metal = shadow.darkest
        assert is_seen(holes, metal)
        if shadow.axis == 2:
            near = [abs(place[0]) - abs(deepest.middle[0]), place[1] - deepest.middle[1]]
            assert np.abs(near).max() < 8e-3


def test_two_deep_places_are_two_holes_though_the_face_between_them_went_down():
    """The handle is as good as symmetric, where all of it is as hot: a hole over each foot, each with half of
    what is missing."""
    full_at_once = replace(design(door_handle(), ZA12, SAND, 475.0).setup(), cools_while_filling=False)
    account = pour(full_at_once, COARSE)
    left, right = sorted(hollows(account), key=lambda each: each.middle[0])
    assert left.middle[0] == pytest.approx(-right.middle[0], abs=3e-3) and 0.04 < right.middle[0] < 0.07
    assert left.volume_m3 == pytest.approx(right.volume_m3, rel=0.1)
    assert left.volume_m3 + right.volume_m3 == pytest.approx(account.defect_m3, rel=0.02)


def test_a_sound_casting_has_none():
    fed = design(
        door_handle(),
        ZA12,
        SAND,
        475.0,
        up="-y",
        feeder_1_x=-0.055,
        feeder_1_y=0.001,
        feeder_1_z=0.0,
        feeder_2_x=0.055,
        feeder_2_y=0.001,
        feeder_2_z=0.0,
    )
    account = pour(fed, COARSE)
    assert account.verdict == "sound"
    assert sum(each.volume_m3 for each in hollows(account)) < 1e-3 * account.casting_m3
