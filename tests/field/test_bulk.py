"""How thick a part is where, by its shape: balls and sections by hand, heavy places, the thin end."""

import pytest

from castlab.field.bulk import bulk_of, heavy_places, thin_end
from castlab.field.example_parts import EXAMPLES, door_handle
from castlab.field.own_part import TURNS, Body, OwnPart

PLATE = Body("plate", "box", (("length", 0.1), ("height", 0.012), ("width", 0.04)))
BOSS = Body("boss", "box", (("length", 0.04), ("height", 0.04), ("width", 0.04)), (0.07, 0.0, 0.0))


def test_depth_and_section_of_a_plate_with_a_boss():
    bulk = bulk_of(OwnPart("part", (PLATE, BOSS)))
    assert bulk.depth.max() == pytest.approx(0.02, abs=bulk.cube)
    middle = tuple(int(round((0.0 - low) / bulk.cube - 0.5)) for low in bulk.low)
    assert bulk.section[middle] == pytest.approx(0.012, abs=bulk.cube)


def test_a_hollow_is_no_metal():
    hole = Body("hole", "cylinder", (("diameter", 0.03), ("length", 0.05)), (0.07, 0.0, 0.0), taken_away=True)
    solid, hollow = bulk_of(OwnPart("a", (PLATE, BOSS))), bulk_of(OwnPart("b", (PLATE, BOSS, hole)))
    taken = (solid.metal.sum() - hollow.metal.sum()) * solid.cube**3
    assert taken == pytest.approx(3.1416 * 0.015**2 * 0.04, rel=0.05)


@pytest.mark.parametrize("up", TURNS)
def test_heavy_place_and_thin_end_are_found_whichever_way_up(up):
    part = OwnPart("part", (PLATE, BOSS), up)
    (place,) = heavy_places(part)
    boss = part.blocks[1]
    assert place == pytest.approx(boss.middle, abs=3e-3)
    face = thin_end(part)
    plate = part.blocks[0]
    assert face.side in ("left", "right")
    assert all(
        low - 1e-9 <= at <= high + 1e-9 for low, at, high in zip(plate.low, face.at, plate.high, strict=True)
    )


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_has_a_heavy_place_within_it(name):
    part = EXAMPLES[name]()
    places = heavy_places(part)
    low, high = part.extent
    assert places and all(
        a < each < b for place in places for a, each, b in zip(low, place, high, strict=True)
    )


def test_the_handle_is_thin_at_its_bar():
    assert thin_end(door_handle()).at[0] == pytest.approx(-0.07, abs=1e-3)


def test_a_plate_that_is_thinner_than_its_cubes_has_a_thin_end_and_a_heavy_place():
    """1.9 m by 3 mm: its cubes are 40 mm, of which the plate fills less than a tenth."""
    plate = OwnPart("plate", (Body("plate", "box", (("length", 1.9), ("height", 3e-3), ("width", 1.9))),))
    assert bulk_of(plate).metal.all() and len(heavy_places(plate)) >= 1
    assert thin_end(plate).side in ("left", "right")
