"""Feeders, gates and chills go with a part that is turned another way up."""

import pytest
from own_parts import lug

from castlab.field.example_parts import EXAMPLES, door_handle
from castlab.field.layout import UPS
from castlab.field.own_rigging import rigged
from castlab.field.placed import Chill, Feeder, Gate, rigging_of, sizes_of
from castlab.field.turned_rigging import carried

FED = sizes_of("feeder", 1, Feeder(-55e-3, 0.0, 0.0)) | sizes_of("feeder", 2, Feeder(55e-3, 0.0, 0.0))


def test_feeders_over_the_bar_stand_on_the_feet_when_these_are_up():
    turned, lost = carried(door_handle(), FED, "-y")
    assert lost == []
    layout = rigged(door_handle(), turned | {"up": "-y"})
    feeders = [block for block in layout.blocks if block.role == "feeder"]
    assert [round(block.middle[0], 3) for block in feeders] == [-0.055, 0.055]
    assert min(block.low[1] for block in feeders) == pytest.approx(12e-3)  # on the upper side of the feet


def test_turned_and_turned_back_it_is_where_it_was():
    gate = sizes_of("gate", 1, Gate(-70e-3, 7e-3, 0.0, "left"))
    chill = sizes_of("chill", 1, Chill(0.0, 0.0, 0.0, "bottom"))
    part = door_handle()
    for up in UPS:
        turned, _ = carried(part, gate | chill, up)
        back, lost = carried(part.__class__(part.name, part.bodies, up), turned, part.up)
        assert lost == []
        for kind, what in (("gate", Gate), ("chill", Chill)):
            before, after = (rigging_of(sizes)[kind][1] for sizes in (gate | chill, back))
            assert (before.x, before.y, before.z) == pytest.approx((after.x, after.y, after.z)), (up, what)


def test_a_chill_keeps_its_face():
    turned, lost = carried(door_handle(), sizes_of("chill", 1, Chill(0.0, 7e-3, 0.0, "bottom")), "-y")
    assert turned["chill_1_side"] == "top" and lost == []


@pytest.mark.parametrize("up", UPS)
def test_what_was_not_lost_can_stand(up):
    part = lug()
    turned, lost = carried(part, dict(part.rigging), up)
    assert lost == []
    assert rigging_of(turned)["feeder"][1].side in ("top", "left", "right", "front", "back")


def test_what_finds_no_face_is_named():
    away = sizes_of("feeder", 1, Feeder(0.5, 0.4, 0.3)) | sizes_of("feeder", 2, Feeder(55e-3, 0.0, 0.0))
    assert carried(door_handle(), away, "-y")[1] == [("feeder", 1)]


def test_every_example_can_be_turned():
    for make in EXAMPLES.values():
        assert carried(make(), {}, "+z") == ({}, [])
