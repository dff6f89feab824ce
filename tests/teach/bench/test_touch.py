"""The part of a question: drawn as it stands on the bench, and touched where an answer lies."""

import pytest
from let_go import let_benches_go

from castlab.field.outcome import COARSE
from castlab.teach.bench.touch import drawing_of, outlines_of
from castlab.teach.lessons import feeders, first_casting, heavy_sections, three_shrinkages

BEGINNINGS = [first_casting.begin, first_casting.begin_sheave, heavy_sections.begin, feeders.begin]


@pytest.fixture(scope="module")
def asked():
    """The questions with places, on benches that compute no closer than a quick look."""
    made = []
    for begin in BEGINNINGS:
        bench, question = begin()
        bench._looks = (COARSE, COARSE)
        made.append(question)
    yield made
    let_benches_go()


def area(outline):
    """By the corners, in order."""
    pairs = zip(outline, outline[1:] + outline[:1], strict=True)
    return abs(sum(x * y1 - x1 * y for (x, y), (x1, y1) in pairs)) / 2.0


def test_the_outlines_of_a_plate_are_its_drawing():
    _, question = first_casting.begin()
    layout = question.bench.setup().layout
    sizes = {body.name: sum(map(area, outlines_of(body))) for body in layout.blocks}
    assert sizes["boss"] == pytest.approx(0.040**2) and sizes["plate"] == pytest.approx(0.012 * 0.120)


def test_a_ring_is_cut_on_both_sides(asked):
    layout = asked[1].bench.setup().layout
    left, right = outlines_of(layout.block("rim"))
    assert max(x for x, _ in left) < 0.0 < min(x for x, _ in right)
    assert area(left) == pytest.approx(0.010 * 0.020)


@pytest.mark.parametrize("number", range(len(BEGINNINGS)))
def test_every_place_lies_in_the_metal_that_is_drawn(asked, number):
    """And each choice that names a body lies in that body."""
    question = asked[number]
    setup = question.bench.setup()
    for key, (name, spots) in question._places(setup).items():
        assert key in question._choices and name
        for x, y in spots:
            inside = [body.name for body in setup.layout.blocks for outline in outlines_of(body)
                      if min(a for a, _ in outline) <= x <= max(a for a, _ in outline)
                      and min(b for _, b in outline) <= y <= max(b for _, b in outline)]
            assert inside and (key not in {body.name for body in setup.layout.blocks} or key in inside
                               or key == "gate"), (key, inside)


@pytest.mark.parametrize("number", range(len(BEGINNINGS)))
def test_touching_chooses_and_choosing_marks(asked, number):
    question = asked[number]
    question.again()
    first, second = list(question._places(question.bench.setup()))[:2]
    question.part.chosen = first
    assert question._radio.value == first
    question._radio.value = second
    assert question.part.chosen == second and question.part.asking
    question.answer(second)
    assert not question.part.asking
    question.again()
    assert question.part.asking and question.part.chosen == "" and question._radio.value is None


def test_the_part_is_drawn_as_it_stands_until_it_is_predicted(asked):
    question = asked[0]
    question.again()
    bench = question.bench.start_again() or question.bench
    before = question.part.drawing
    bench.set(boss=0.050)
    larger = question.part.drawing
    assert larger != before
    question.answer("boss")
    bench.set(boss=0.030)
    assert question.part.drawing == larger
    bench.start_again()


def test_a_question_that_is_about_no_place_shows_its_part_with_names():
    _, question = three_shrinkages.begin()
    drawn = question.part.drawing
    assert not drawn["places"] and "Touch" not in drawn["title"]
    assert {"plate", "boss"} <= {each["name"] for each in drawn["names"]}
    for each in drawn["names"]:
        assert 0 < each["x"] < drawn["wide"] and 0 < each["y"] < drawn["tall"]


def test_what_is_said_of_a_place_is_the_answer_in_words(asked):
    question = asked[0]
    setup = question.bench.setup()
    drawn = drawing_of(setup, question._places(setup), question._choices)
    assert {each["words"] for each in drawn["places"]} < set(question._choices.values())
    assert all(0 < each["x"] < drawn["wide"] and 0 < each["y"] < drawn["tall"] for each in drawn["places"])
    assert sum(each["first"] for each in drawn["places"]) == len({each["key"] for each in drawn["places"]})
