"""Lesson 6 against the computed casting: tasks take the right answer, refuse likely wrong ones, say why."""

import re

import pytest
from hint_reader import WALKS, walk
from lesson_tests import at_first, prose_of
from shares import every

from castlab.field.rigging import CHILLS
from castlab.teach.lessons import cures_without_a_feeder as lesson
from castlab.units import INCH_POUND, METRIC

GATE_ALONE = {"gate_thickness": 0.024}
PAIR = {"gate_thickness": 0.020, "chill_thickness": 0.008}


@pytest.fixture(scope="module")
def started():
    bench, question = lesson.begin()
    fed, fed_question = lesson.begin_fed()
    return bench, question, fed, fed_question


@pytest.fixture
def bench(started):
    return at_first(started[0])


@pytest.fixture
def fed(started):
    return at_first(started[2])


# ---- what the field says, without the lesson's own judges


@pytest.mark.slow
def test_a_chill_alone_brings_no_metal(bench):
    """It cools the boss to less than half the time, and four fifths of the hole are left: a gate of 4 mm is
    open for long enough to bring a little more to a boss in a hurry."""
    with_it, without = bench.solve(), bench.solve(chill_thickness=0.0)
    assert with_it.middle_time("boss") < 0.5 * without.middle_time("boss")
    assert with_it.casting_paid_m3 > 0.8 * without.casting_paid_m3
    assert with_it.account.places[0].block == "boss"


@pytest.mark.slow
def test_where_a_gate_pays_a_growing_chill_first_helps_and_then_harms(fed):
    holes = [fed.solve(chill_thickness=size).casting_paid_m3 for size in (0.0, 0.004, 0.012, 0.020, 0.040)]
    assert holes[0] > holes[1] > holes[2] < holes[3] < holes[4] < holes[0]
    assert holes[2] < 0.25 * holes[0] and holes[4] > 2.0 * holes[2]
    assert fed.solve(chill_thickness=0.040).account.places[0].block == "plate"
    assert fed.solve().account.places[0].block == "boss"


def test_a_gate_thick_enough_replaces_a_feeder(fed):
    result = fed.solve(**GATE_ALONE)
    assert result.sound and "feeder" not in {block.role for block in result.setup.layout.blocks}
    assert not fed.solve().sound


# ---- questions


def test_wrong_predictions_are_answered_with_what_was_computed(started, bench):
    question = started[1]
    for wrong in ("gone", "smaller", "plate"):
        question.again()
        found = question.answer(wrong)
        assert not found.right and "You expected" in found.why and "brings no metal" in found.why
    question.again()
    assert question.answer("same").right


@pytest.mark.slow
@pytest.mark.parametrize("wanted, values", [
    ("gone", {"gate_thickness": 0.030, "boss": 0.032, "chill_thickness": 0.008}),
    ("smaller", {"gate_thickness": 0.020}),
])
def test_with_other_sliders_the_right_answer_to_the_same_question_is_another(bench, wanted, values):
    result = bench.set(**values).solve()
    key, why = lesson.judge_chill(bench, result, METRIC)
    assert (key == "gone") == result.sound
    if wanted == "smaller":
        assert key == wanted
    assert METRIC.volume(result.casting_paid_m3) in why


def test_wrong_predictions_of_the_growing_chill_are_answered(started, fed):
    question = started[3]
    for wrong in ("better", "nothing", "worse"):
        question.again()
        found = question.answer(wrong)
        assert not found.right and "in the plate" in found.why
    question.again()
    assert question.answer("turns").right


@pytest.mark.slow
def test_where_the_gate_is_solid_at_once_the_growing_chill_changes_nothing_much(fed):
    fed.set(gate_thickness=0.004)
    assert lesson.judge_growing(fed, fed.solve(), METRIC)[0] in ("nothing", "better")


@pytest.mark.slow
def test_where_there_is_no_hole_at_all_a_chill_changes_nothing(fed):
    fed.set(alloy="grey iron", gate_thickness=0.030)
    key, why = lesson.judge_growing(fed, fed.solve(), METRIC)
    assert fed.solve(chill_thickness=0.0).sound and fed.solve(chill_thickness=0.04).sound
    assert key == "nothing" and "hole is in" not in why and "too thick" not in why


# ---- tasks


def test_the_right_chill_is_accepted(fed):
    found = lesson.task_chill(fed.set(chill_thickness=0.012)).check()
    assert found.right and "0.025 cm3" in found.why.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize("values, words", every(3, [
    ({}, "Make the chill thicker"),
    ({"chill_thickness": 0.004}, "Make the chill thicker: that leaves less"),
    ({"chill_thickness": 0.008}, "too late"),
    ({"chill_thickness": 0.016}, "in the plate. The boss freezes so early"),
    ({"chill_thickness": 0.020}, "in the plate"),
    ({"chill_thickness": 0.040}, "Make the chill thinner: that leaves less"),
    ({"chill_thickness": 0.012, "gate_thickness": 0.022}, "You also moved: gate thickness"),
]))
def test_a_chill_that_is_not_the_best_is_refused_with_its_reason(fed, values, words):
    found = lesson.task_chill(fed.set(**values)).check()
    assert not found.right and words in found.why


def test_a_gate_that_feeds_alone_is_accepted_and_its_price_told(fed):
    result = fed.set(**GATE_ALONE).solve()
    found = lesson.task_gate(fed).check()
    assert found.right and f"{100 * result.yield_share:.0f} % of the metal" in found.why


@pytest.mark.parametrize("values, words", every(3, [
    ({}, "Make the gate thicker"),
    ({"gate_thickness": 0.022}, "the boss only after"),
    ({"gate_thickness": 0.023}, "not liquid clearly longer than the boss"),
    (PAIR, "You also moved: chill thickness"),
    ({"gate_thickness": 0.024, "core": 0.012}, "You also moved: core"),
]))
def test_a_gate_that_does_not_do_or_has_help_is_refused(fed, values, words):
    found = lesson.task_gate(fed.set(**values)).check()
    assert not found.right and words in found.why


def test_two_together_with_less_metal_are_accepted(fed):
    found = lesson.task_pair(fed.set(**PAIR)).check()
    assert found.right and "a gate alone must be 24 mm" in found.why.replace("\N{NO-BREAK SPACE}", " ")
    alone = fed.solve(**GATE_ALONE, chill_thickness=0.0)
    assert fed.solve().poured_kg < alone.poured_kg


def test_the_gate_alone_that_the_third_task_compares_with_is_the_thinnest_that_is_sound(fed):
    size, needed = lesson.thinnest_alone(fed)
    assert size == pytest.approx(GATE_ALONE["gate_thickness"])
    assert fed.solve(**GATE_ALONE).sound and fed.solve(**GATE_ALONE).poured_kg == needed
    assert not fed.solve(gate_thickness=0.023).sound


@pytest.mark.parametrize("values, words", every(3, [
    ({}, "Help the gate"),
    (GATE_ALONE, "Sound, but with"),
    ({"gate_thickness": 0.020, "chill_thickness": 0.020}, "Make the chill thinner"),
    ({"gate_thickness": 0.004, "core": 0.024}, "Set the gate thickness back"),
    ({"gate_thickness": 0.019, "chill_thickness": 0.008}, "too late for this gate"),
    (PAIR | {"alloy": "A356"}, "You also moved: alloy"),
]))
@pytest.mark.slow
def test_two_that_do_not_do_are_refused_with_a_hint(fed, values, words):
    found = lesson.task_pair(fed.set(**values)).check()
    assert not found.right and words in found.why


def test_tasks_speak_inches(fed):
    fed.speak(INCH_POUND)
    for task in (lesson.task_chill, lesson.task_gate, lesson.task_pair):
        words = task(fed.set(**PAIR)).check().why
        assert "cm3" not in words and " mm" not in words
    fed.speak(METRIC)


# ---- prose


def test_numbers_in_the_prose_are_true(bench):
    text = prose_of(lesson, "lessons")
    assert "20 mm thick" in text and lesson.CHILL_M == pytest.approx(0.020) == bench.values["chill_thickness"]
    assert "block of steel" in text and CHILLS[0] == "steel chill"
    third = bench.solve().middle_time("boss") / bench.solve(chill_thickness=0.0).middle_time("boss")
    assert "freezes in a third of the time" in text and third == pytest.approx(1 / 3, abs=0.08)
    bench.set(chill_thickness=0.0, core=0.024)
    assert bench.solve().casting_paid_m3 < bench.solve(core=0.0).casting_paid_m3


def test_the_cautions_stand_in_the_lesson():
    text = prose_of(lesson, "lessons")
    for words in ("must be dry", "turns to steam", "face, eyes, hands and feet", "never work alone",
                  "Local codes", "makers' instructions", "qualified practice", "load-bearing or safety part"):
        assert words in text


def test_every_trade_word_is_explained():
    text = prose_of(lesson, "lessons")
    words = ("chill", "core", "gate into the heavy end", "Taper", "padding", "Another orientation",
             "cooler pour")
    for word in words:
        assert re.search(rf"\*\*{word}\*\*", text), word


@pytest.mark.parametrize("seed, look", WALKS)
@pytest.mark.parametrize("task, free", every(3, [
    (lesson.task_chill, ("chill_thickness",)), (lesson.task_gate, ("gate_thickness",)),
    (lesson.task_pair, lesson.MAY_MOVE)]))
def test_hints_lead_to_a_cure(fed, task, free, seed, look):
    walk(task(fed), seed, look, free)
