"""Lesson 4 against the computed casting: tasks take the right answer, refuse likely wrong ones, say why."""

import re

import pytest
from hint_reader import WALKS, walk
from lesson_tests import at_first, prose_of
from shares import every

from castlab.teach.lessons import heavy_sections as lesson
from castlab.units import INCH_POUND, METRIC

PYTHAGORAS_MM = 10 + 10**2 / 40  # r^2 = (a - r)^2 + (b/2)^2 for a = b = 10 mm, by hand; the diameter is 2 r


@pytest.fixture(scope="module")
def brackets():
    return lesson.begin()


@pytest.fixture
def bracket(brackets):
    return at_first(brackets[0])


@pytest.fixture(scope="module")
def eye_plates():
    return lesson.begin_boss()


@pytest.fixture
def eye_plate(eye_plates):
    return at_first(eye_plates[0])


def holes(result, block):
    return sum(place.volume_m3 for place in result.account.places if place.block == block)


# ---- the bracket


def test_with_walls_of_one_thickness_the_foot_of_the_rib_is_last():
    """The order of the circles: 12.5 mm in the T, 11.7 mm in the L, 10 mm in a plain wall."""
    bench, question = lesson.begin()
    for wrong in ("same", "free", "middle", "corner"):
        found = question.answer(wrong)
        assert not found.right and "three arms" in found.why and "You expected" in found.why
        question.again()
    found = question.answer("foot")
    spots = lesson.spots(bench.result)
    assert found.right and METRIC.time(spots["foot of the rib"]) in found.why
    assert spots["plain base"] < spots["corner"] < spots["foot of the rib"]


@pytest.mark.slow
def test_a_thin_rib_leaves_the_corner_last_and_a_thick_one_its_own_middle(bracket):
    assert lesson.last_spot(bracket.solve(rib=0.004)) == "corner"
    assert lesson.last_spot(bracket.solve(rib=0.024)) == "middle"


def test_upside_down_the_hot_spot_stays_and_the_hole_moves(bracket):
    drawn, turned = bracket.solve(), bracket.solve(turn="upside down")
    assert lesson.last_spot(turned) == lesson.last_spot(drawn) == "foot"
    assert holes(turned, "base") > holes(drawn, "base")
    base = turned.setup.layout.block("base")
    assert turned.diagnosis.hole.kind == "sink"
    assert turned.diagnosis.hole.middle[1] > base.high[1] - 3e-3


@pytest.mark.slow
def test_a_round_corner_is_more_metal(bracket):
    feet = [lesson.spots(bracket.solve(fillet=radius))["foot of the rib"]
            for radius in (0.0, 0.004, 0.008)]
    assert feet == sorted(feet) and feet[2] > feet[0]


def test_the_numbers_speak_of_the_spots(bracket):
    names = [name for name, _ in bracket.numbers]
    spots = ("plain base", "middle of the rib", "foot of the rib", "corner")
    assert names[:4] == [f"{spot} frozen" for spot in spots]
    assert not any(name.startswith("middle of the base") for name in names)


def test_the_circle_is_measured_and_slips_are_named(bracket):
    task = lesson.task_circle(bracket)
    found = task.check(PYTHAGORAS_MM)
    assert found.right and task.check(12.3).right and task.check(13.0).right  # half a millimetre off
    for ratio in ((PYTHAGORAS_MM / 10) ** 2, lesson.foot_ratio(bracket.result)):
        assert f"{ratio:.1f} times" in found.why
    slips = {6.25: "radius", 10: "anywhere in the base", 11.7: "corner", 14.1: "cross", 20: "do not add up"}
    for wrong, words in slips.items():
        found = task.check(wrong)
        assert not found.right and words in found.why, (wrong, found)
    assert "Pythagoras" in task.check(50).why and not task.check(-12.5).right


def test_the_circle_is_measured_in_the_unit_that_the_bench_shows(bracket):
    task = lesson.task_circle(bracket)
    bracket.speak(INCH_POUND)
    try:
        assert task.check(PYTHAGORAS_MM / 25.4).right and not task.check(PYTHAGORAS_MM).right
    finally:
        bracket.speak(METRIC)


@pytest.mark.parametrize("sizes, words", every(3, [
    ({"fillet": 0.003}, "make the rib thinner"),
    ({"rib": 0.006, "fillet": 0.0}, "can tear"),
    ({"rib": 0.006, "fillet": 0.008}, "make the fillet smaller"),
    ({"fillet": 0.003, "thickness": 0.016}, "back, and change the rib"),
    ({"fillet": 0.003, "wall": 0.014}, "back, and change the rib"),
]))
def test_a_rib_that_does_not_do_is_refused_with_its_reason(bracket, sizes, words):
    found = lesson.task_rib(bracket.set(**sizes)).check()
    assert not found.right and words in found.why


@pytest.mark.parametrize("rib", [0.004, 0.005, 0.006])
def test_a_rib_of_six_tenths_or_less_is_accepted(bracket, rib):
    found = lesson.task_rib(bracket.set(rib=rib, fillet=0.003)).check()
    assert found.right and f"{100 * rib / 0.010:.0f} %" in found.why and "corner" in found.why


# ---- the eye plate


def test_turned_over_the_plate_feeds_the_heavy_end_and_has_the_hole():
    """Liquid runs down; conservation: nothing from outside pays, and the metal asks for the same."""
    bench, question = lesson.begin_boss()
    for wrong in ("none", "smaller", "boss"):
        found = question.answer(wrong)
        assert not found.right and "higher one runs down" in found.why
        question.again()
    assert question.answer("plate").right
    turned, drawn = bench.result, bench.solve(turn=lesson.AS_DRAWN)
    assert turned.account.asked_m3 == pytest.approx(drawn.account.asked_m3, rel=0.02)
    assert turned.casting_paid_m3 == pytest.approx(drawn.casting_paid_m3, rel=0.05)
    assert holes(turned, "plate") > 0.95 * turned.casting_paid_m3
    assert holes(drawn, "boss") > 0.95 * drawn.casting_paid_m3
    bench.set(turn=lesson.AS_DRAWN)
    question.again()
    assert question.answer("boss").right


@pytest.mark.slow
@pytest.mark.parametrize("chill", [0.02, 0.04])
def test_a_chill_alone_leaves_the_hole_about_as_large(eye_plate, chill):
    chilled, bare = (eye_plate.solve(chill_thickness=size) for size in (chill, 0.0))
    assert chilled.middle_time("boss") < 0.5 * bare.middle_time("boss")
    assert chilled.account.asked_m3 == pytest.approx(bare.account.asked_m3, rel=0.02)
    assert chilled.casting_paid_m3 > (1.0 - lesson.TOGETHER) * bare.casting_paid_m3


@pytest.mark.slow
@pytest.mark.parametrize("chill", [0.0, 0.02])
def test_heavy_end_down_with_taper_the_boss_is_sound_and_the_plate_has_the_hole(eye_plate, chill):
    most = eye_plate.controls["taper"].range()[2]
    result = eye_plate.solve(turn="heavy end down", taper=most, chill_thickness=chill)
    assert holes(result, "boss") < 0.02 * result.casting_paid_m3 < holes(result, "plate")
    assert result.casting_paid_m3 > eye_plate.solve(chill_thickness=chill).casting_paid_m3


@pytest.mark.parametrize("sizes, words", every(3, [
    ({"chill_thickness": 0.02}, "brings no metal"),
    ({"turn": "heavy end down"}, "moves the hole"),
    ({"taper": 0.01}, "added metal"),
    ({"core": 0.024}, "round the core"),
    ({}, "heavy end"),
    ({"boss": 0.030, "core": 0.020}, "32 mm or more"),
    ({"thickness": 0.008, "core": 0.024}, "12 mm or more"),
]))
@pytest.mark.slow
def test_what_does_not_halve_the_hole_is_refused_with_its_reason(eye_plate, sizes, words):
    found = lesson.task_lighter(eye_plate.set(**{"turn": "as drawn"} | sizes)).check()
    assert not found.right and words in found.why


@pytest.mark.slow
@pytest.mark.parametrize("sizes", [
    {"boss": 0.032, "core": 0.024}, {"boss": 0.036, "core": 0.024, "chill_thickness": 0.020},
])
def test_a_cored_and_smaller_heavy_end_is_accepted(eye_plate, sizes):
    found = lesson.task_lighter(eye_plate.set(**{"turn": "as drawn"} | sizes)).check()
    assert found.right and "What is left" in found.why
    result, first = eye_plate.result, eye_plate.solve(**eye_plate.first_values | {"turn": "as drawn"})
    assert result.casting_paid_m3 < 0.5 * first.casting_paid_m3


def test_numbers_in_the_prose_are_true(bracket, eye_plate):
    words, answers = prose_of(lesson, "lessons"), prose_of(lesson, "answers")
    said = float(re.search(r"All three are (\d+) mm", words)[1])
    assert all(bracket.values[name] == pytest.approx(said / 1e3) for name in ("thickness", "rib", "wall"))
    assert f"= {PYTHAGORAS_MM:g}$ mm" in answers and f"{(PYTHAGORAS_MM / 10) ** 2:.2f} times" in answers
    assert f"the bench {lesson.foot_ratio(bracket.solve()):.1f} times" in answers
    assert f"{lesson.HOT_SPOT:g} times" in lesson.TASK_RIB
    for length, text in ((lesson.LEAST_FILLET_M, lesson.TASK_RIB),
                         (lesson.LEAST_BOSS_M, lesson.TASK_LIGHTER),
                         (lesson.LEAST_PLATE_M, lesson.TASK_LIGHTER)):
        assert METRIC.length(length) in text and INCH_POUND.length(length, 2 if length < 0.02 else 3) in text
    assert lesson.foot_ratio(bracket.solve(rib=0.004)) < 1.0 and "even helps" in words


@pytest.mark.parametrize("seed, look", WALKS)
def test_hints_lead_to_a_rib_without_a_hot_spot(bracket, seed, look):
    walk(lesson.task_rib(bracket), seed, look, ("thickness", "rib", "wall", "fillet"))


@pytest.mark.parametrize("seed, look", WALKS)
def test_hints_lead_to_half_the_hole(eye_plate, seed, look):
    walk(lesson.task_lighter(eye_plate), seed, look, ("boss", "taper", "core", "turn", "chill_thickness"))
