"""Questions asked before the result, and checked tasks; with a stand-in for the computation."""

import fake_casting
import pytest

from castlab.errors import InputError
from castlab.teach.bench.questions import NOT_YET, SHOWN, Checked, Question, Task
from castlab.teach.text import markup
from castlab.units import INCH_POUND, METRIC

CHOICES = {"boss": "In the heavy end", "feeder": "In the feeder"}


def judge(result, units):
    """Read off the result where the void is."""
    return ("feeder", "The feeder pays.") if result.sound else ("boss", result.sentence(units))


def slips(result, units):
    """What each wrong choice forgets."""
    return {"boss": "Heavy, but fed.", "feeder": f"{units.volume(result.defect_m3)} is not in the feeder."}


@pytest.fixture
def bench():
    return fake_casting.bench()


@pytest.fixture
def question(bench):
    return Question(bench, "Where will it shrink?", CHOICES, judge, slips)


def radio(owner):
    return owner._radio if isinstance(owner, Question) else owner._input


def test_asking_hides_the_result_and_answering_shows_it(bench, question):
    assert bench.hidden and not question.answered and question.verdict_text == NOT_YET
    question.answer("boss")
    assert not bench.hidden and question.answered and "sink" in bench.sentence


def test_a_right_prediction_and_a_wrong_one_are_both_explained(bench, question):
    right = question.answer("boss")
    assert right.right and right.why == bench.sentence
    assert question.verdict_text.startswith("You were right.")
    question.again()
    wrong = question.answer("feeder")
    assert not wrong.right
    forgets = slips(bench.result, bench.units)["feeder"]
    assert all(words in wrong.why for words in (*CHOICES.values(), f".\n{forgets}\n{bench.sentence}"))
    assert question.verdict_text.startswith("You were not right.")
    assert question.verdict_text.endswith("So far 1 of 2 right.")


def test_the_right_answer_depends_on_what_the_sliders_say(bench, question):
    bench.set(feeder_width=0.04)
    assert question.answer("feeder").right
    question.again()
    bench.set(feeder_width=0.0)
    assert not question.answer("feeder").right


def test_predictions_are_recorded_with_what_they_were_about(bench, question):
    bench.set(feeder_width=0.04)
    question.answer("In the heavy end")  # words will do as well as keys
    (recorded,) = question.record
    assert recorded.said == "boss" and not recorded.checked.right
    assert recorded.values["feeder_width"] == pytest.approx(0.04)


def test_moving_on_leaves_the_verdict_about_what_was_predicted(bench, question):
    question.answer("boss")
    verdict = question.verdict_text
    bench.set(feeder_width=0.04)
    assert question.verdict_text == verdict


def test_predicting_again_hides_the_result_again(bench, question):
    question.answer("boss")
    question.again()
    assert bench.hidden and not question.answered and question.verdict_text == NOT_YET
    assert "sink" not in bench.sentence


def test_showing_without_predicting_says_so(bench, question):
    bench._show_button.click()
    assert question.verdict_text == SHOWN and question.record == [] and not question.answered


def test_answering_by_hand(bench, question):
    question._button.click()
    assert bench.hidden and "Choose one" in question._said.value
    radio(question).value = "feeder"
    question._button.click()
    assert question.record[0].said == "feeder" and "Recorded" in question._said.value
    assert question._button.disabled


def test_an_unknown_answer_is_refused_and_the_result_stays_hidden(bench, question):
    with pytest.raises(InputError, match="boss"):
        question.answer("bos")
    assert bench.hidden and question.record == []


def test_predicting_for_what_cannot_be_cast_is_no_error_on_screen(bench, question):
    bench.controls["pour_temp_c"].widget.value = 430.0
    radio(question).value = "boss"
    question._button.click()
    assert "Change the sliders first" in question._said.value and bench.alert == ""


def sound_now(bench, _):
    result = bench.solve()
    return Checked(result.sound, result.sentence(bench.units))


def test_a_task_on_the_sliders_looks_at_them_now(bench):
    task = Task(bench, "Make it sound.", sound_now)
    assert not task.check().right and not task.done and task.feedback.startswith("Not yet. A sink")
    bench.set(feeder_width=0.04)
    assert task.check().right and task.done and task.feedback.startswith("Right. Sound")
    bench.set(feeder_width=0.0)
    assert not task.check().right and task.done  # what was done stays done


def within_a_tenth(bench, answer):
    return Checked(abs(answer - 4.0) <= 0.4, "thickness counts twice")


def test_a_number_may_be_typed_with_point_or_comma(bench):
    task = Task(bench, "How many times?", within_a_tenth, number="times as long")
    for typed, right in (("4", True), ("3,9", True), (" 4.2 ", True), ("2", False)):
        task._input.value = typed
        task._pressed()
        assert task.feedback.startswith("Right" if right else "Not yet"), typed


@pytest.mark.parametrize("typed", ["four", "nan", "1e999", "3 mm"])
def test_what_is_not_a_number_is_said_under_the_task(bench, typed):
    task = Task(bench, "How many times?", within_a_tenth, number="times as long")
    task._input.value = typed
    task._pressed()
    assert "number" in task.feedback and not task.done and bench.alert == ""


def test_nothing_given_is_asked_for(bench):
    for given in ({"number": "times"}, {"choices": CHOICES}):
        task = Task(bench, "?", sound_now, **given)
        task._pressed()
        assert task.feedback == "Give an answer first."


def test_a_choice_is_checked_by_key_or_words_and_others_are_refused(bench):
    task = Task(bench, "Where?", lambda bench, key: Checked(key == "boss", "it is last"), choices=CHOICES)
    assert task.check("boss").right and task.check("In the heavy end").right
    assert not task.check("feeder").right
    with pytest.raises(InputError):
        task.check("rim")


def test_a_task_takes_one_kind_of_answer(bench):
    with pytest.raises(InputError):
        Task(bench, "?", sound_now, choices=CHOICES, number="times")


def test_an_error_in_a_check_is_shown_on_the_bench(bench):
    def broken(bench, answer):
        raise ZeroDivisionError("the check broke")

    task = Task(bench, "?", broken)
    with pytest.raises(ZeroDivisionError):
        task.check()
    button = task.widget.children[1].children[0]
    button.click()
    assert "the check broke" in bench.alert


def test_the_bench_comes_to_the_task_and_goes_back(bench):
    """A task stands far below its bench: pressed once, both are seen together."""
    task = Task(bench, "?", sound_now)
    *_, bring = task.widget.children[1].children
    bring.click()
    assert task.widget.children[-1] is bench.widget and bring.description == "Put the bench back"
    bring.click()
    assert bench.widget not in task.widget.children and bring.description == "Bring the bench here"


def test_each_line_of_a_verdict_is_a_paragraph():
    assert markup.status("one\ntwo < 3").count("<div") == 2 and markup.status("one").count("<div") == 1
    assert markup.plain(markup.status("one\ntwo < 3")) == "one two < 3"


def test_a_verdict_is_said_again_in_other_units_while_the_bench_stands_where_it_was(bench, question):
    question.answer("feeder")
    assert " cm3" in question.verdict_text and " in3" not in question.verdict_text
    bench.speak(INCH_POUND)
    assert " in3" in question.verdict_text and " cm3" not in question.verdict_text
    assert question.record == [question._current] and not question.record[0].checked.right
    words = question.verdict_text
    bench.set(feeder_width=0.04)
    bench.speak(METRIC)
    assert question.verdict_text == words  # of another casting than the one that was asked about


def test_what_a_task_found_is_said_again_in_other_units_unless_a_number_was_typed(bench):
    def length_of(bench, answer):
        return Checked(answer != "feeder", f"it is {bench.units.length(0.0254)}")

    moved, typed = Task(bench, "Make it.", length_of), Task(bench, "How long?", length_of, number="length")
    chosen = Task(bench, "Where?", length_of, choices=CHOICES)
    moved.check(), typed.check(25.4), chosen.check("feeder")
    bench.speak(INCH_POUND)
    assert (moved.feedback, typed.feedback) == ("Right. it is 1 in", "Right. it is 25.4 mm")
    assert chosen.feedback == "Not yet. it is 1 in" and not chosen.done
