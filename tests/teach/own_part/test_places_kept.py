"""A part of one's own made ready for an exercise: what stands on it stays, a place for a feeder is kept."""

import math
from dataclasses import replace

from own_parts import LUG

from castlab.field.example_parts import EXAMPLES, figure
from castlab.field.placed import Feeder, rigging_of, sizes_of, there
from castlab.teach.own_part.places_kept import with_places


def test_a_bare_part_gets_a_gate_and_places_of_no_size_at_its_thickest_place():
    part, words = with_places(LUG)
    standing = rigging_of(dict(part.rigging))
    assert {kind: list(numbers) for kind, numbers in there(standing).items()} == {
        "feeder": [], "gate": [1], "chill": []}
    place = standing["feeder"][1]
    assert math.hypot(place.x - 0.03, place.z) < 3e-3  # in the boss
    assert "begin at 0" in words and "one body" not in words


def test_what_stands_there_stays():
    own = sizes_of("feeder", 2, Feeder(-0.03, 0.0, 0.0, width=0.02))
    part, words = with_places(replace(LUG, rigging=tuple(own.items())))
    assert dict(part.rigging).items() >= own.items() and words == ""
    assert list(rigging_of(dict(part.rigging))["feeder"]) == [2]


def test_a_part_of_one_body_says_that_thirds_of_it_are_asked_for():
    assert "in which third" in with_places(figure())[1]


def test_every_example_can_be_made_ready_twice():
    for make in EXAMPLES.values():
        part, _ = with_places(make())
        assert with_places(part)[0] == part
