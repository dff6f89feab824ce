"""A part of one body is asked about by its thirds, and marked so."""

import pytest
from own_parts import lug_exercise

from castlab.errors import InputError
from castlab.field.holes import Hole, Place
from castlab.field.layout import Layout, box
from castlab.field.own_part import Body, OwnPart
from castlab.teach.bad_examples.student_notebook import paper_of
from castlab.teach.exercise.exercise import (
    Answer,
    Exercise,
    answer_text,
    exercise_text,
    read_answer,
    read_exercise,
)
from castlab.teach.exercise.hand_in import HandIn, asked_where
from castlab.teach.exercise.places import thirds_of
from castlab.teach.marking.mark_table import _place
from castlab.teach.marking.model_answer import truth_of
from castlab.teach.own_part.places_kept import with_places
from castlab.teach.sliders.own_sliders import sliders_of_own

WEDGE = ((0.0, 0.0), (0.12, 0.0), (0.12, 0.05), (0.08, 0.05), (0.04, 0.01), (0.0, 0.01))


def exercise_of(name, corners, up="+y"):
    part = OwnPart(name, (Body(name, "outline", (("length", 0.04),), axis="z", corners=corners),), up=up)
    part = with_places(part)[0]
    values = {slider.name: slider.value for slider in sliders_of_own(part)} | {"pour_temp_c": 475.0}
    return Exercise(name, part, "ZA-12", "green sand", values, ("gate_1_thickness",), 5.0)


@pytest.fixture(scope="module")
def wedge():
    return exercise_of("wedge", WEDGE)


def answered(exercise, place):
    return Answer(exercise.key, "Ann", place, "no feeder", {})


def test_a_wedge_shrinks_in_its_thick_third_and_only_that_is_right(wedge):
    assert wedge.places == ("left third", "middle third", "right third")
    truth = truth_of(wedge)
    assert next(iter(truth.blocks)) == "right third"
    shares = {place: _place(answered(wedge, place), truth)[0] for place in wedge.places}
    assert shares == {"left third": 0.0, "middle third": 0.0, "right third": 1.0}
    assert "right third, not in the left third" in _place(answered(wedge, "left third"), truth)[1]


BAR = Layout((box("bar", "casting", (-0.06, 0.06), (0.0, 0.02), (-0.01, 0.01)),), (-0.1, -0.1, -0.1),
             (0.1, 0.1, 0.1))


def hole(*places):
    """Holes of 1 cm3 each at these places along x."""
    pieces = tuple(Place("sink", 1e-6, (x, 0.02, 0.0), "bar", 60.0) for x in places)
    return Hole("sink", "bar", len(pieces) * 1e-6, pieces[0].centre, 60.0, pieces)


@pytest.mark.parametrize("places, shares", [
    ((-0.05,), {"left third": 0.5, "right third": 0.5}),  # it is solved by halves: each end has such a hole
    ((0.0,), {"middle third": 1.0}),
    ((0.0, -0.05, 0.0), {"middle third": 2 / 3, "left third": 1 / 6, "right third": 1 / 6}),
    ((-0.021,), {"left third": 0.5, "middle third": 1.0, "right third": 0.5}),  # near the border of two
])
def test_each_hole_lies_in_its_third_and_a_symmetric_part_has_it_at_both_ends(places, shares):
    found = thirds_of((hole(*places),), BAR)
    assert found.pop("bar") == 1.0 and found == pytest.approx(shares)


def test_a_part_that_stands_upright_is_asked_about_by_height(wedge):
    upright = exercise_of("wedge", WEDGE, up="+x")
    assert upright.places == ("lowest third", "middle third", "top third")
    assert "of its height as it lies in the mould" in asked_where(upright)


def test_notebook_and_paper_ask_for_thirds_and_say_what_they_are(wedge):
    task = HandIn(exercise_text(wedge))
    assert [value for _, value in task._place.options] == list(wedge.places)
    paper = paper_of(wedge, b"")
    for words in ("in the left third", "in which third of its length"):
        assert words in paper and (words in task.expectation.children[1].value
                                   or words in dict(task._place.options))
    read = read_answer(answer_text(answered(wedge, "left third")), read_exercise(exercise_text(wedge)))
    assert read.block == "left third"


def test_an_answer_of_before_that_names_the_only_body_is_still_read_and_right(wedge):
    read = read_answer(answer_text(answered(wedge, "wedge")), wedge)
    assert _place(read, truth_of(wedge))[0] == 1.0
    with pytest.raises(InputError, match="left third"):
        read_answer(answer_text(answered(wedge, "boss")), wedge)


def test_of_several_bodies_the_names_are_asked_for():
    lug = lug_exercise()
    assert lug.places == ("plate", "boss") and asked_where(lug) == "Where will the largest hole be?"
