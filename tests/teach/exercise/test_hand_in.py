"""A student's notebook: place and reason before the result, only allowed sliders, an answer that is saved."""

import json
import os
import re
from dataclasses import replace
from functools import cache, partial
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.field.outcome import COARSE
from castlab.teach.bad_examples.example_exercise import ANSWERS, EXERCISE
from castlab.teach.bench.bench import HIDDEN as USUAL_WORDS
from castlab.teach.bench.bench import Bench
from castlab.teach.bench.casting import solve_casting
from castlab.teach.exercise import hand_in
from castlab.teach.exercise.exercise import answer_file_name, exercise_text, read_answer
from castlab.teach.exercise.hand_in import HandIn, brief
from castlab.teach.text import markup

GOOD = ANSWERS["ida"]
SOLVE_ONCE = cache(solve_casting)


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Coarse looks, and each casting solved once for all tests: how exact it is does not matter here."""
    monkeypatch.setattr(hand_in, "Bench", partial(Bench, solve=SOLVE_ONCE, looks=(COARSE,)))


@pytest.fixture
def task():
    return HandIn(exercise_text(EXERCISE))


def do_it_all(task, **changes):
    """Do what the good answer says."""
    task.expect(GOOD.block, GOOD.reason)
    task.bench.set(**GOOD.values | changes)
    task.write(GOOD.name, GOOD.words)
    return task


# ---- before the result is seen


def test_the_result_is_hidden_and_no_button_shows_it(task):
    assert task.bench.hidden and task.bench.result is None
    assert "largest hole" in task.bench.sentence and task.bench.sentence != USUAL_WORDS
    assert task.bench._show_button.layout.display == "none"
    task.bench.set(feeder_width=0.030)
    assert task.bench._show_button.layout.display == "none" and task.bench.result is None


def test_only_the_allowed_sliders_are_on_the_bench(task):
    assert set(task.bench.controls) == set(EXERCISE.allowed)
    with pytest.raises(InputError):
        task.bench.set(boss=0.030)


def test_the_bench_shows_the_bad_casting(task):
    assert task.exercise.design(**task.bench.values) == EXERCISE.design()


def test_one_half_of_the_expectation_is_not_enough(task):
    task._place.value = "boss"
    task._button.click()
    assert task.said is None and task.bench.hidden
    assert "Choose a place and a reason" in markup.plain(task._words_said.value)


def test_both_are_recorded_together_and_then_locked(task):
    task._place.value, task._reason.value = "boss", "freezes first"
    task._button.click()
    assert task.said == ("boss", "freezes first") and not task.bench.hidden
    assert task._place.disabled and task._reason.disabled and task._button.disabled
    task._place.value = "plate"  # as a hand-made message could
    with pytest.raises(InputError, match="cannot be changed"):
        task.expect("plate", "no feeder")
    task.write(GOOD.name)
    assert (task.answer().block, task.answer().reason) == ("boss", "freezes first")


def test_the_result_is_of_the_casting_as_it_was_given(task):
    task.bench.set(feeder_width=0.040)
    task.expect("boss", "freezes first")
    assert task.bench.values["feeder_width"] == 0.020 and not task.bench.result.sound


@pytest.mark.parametrize("place, reason", [("feeder", "freezes first"), ("boss", "bad luck"), (None, None)])
def test_what_is_not_on_the_list_is_refused(task, place, reason):
    with pytest.raises(InputError):
        task.expect(place, reason)
    assert task.bench.hidden and task.said is None


def test_the_words_before_the_result_tell_nothing(task):
    truth = task.bench.solve()
    shown = brief(EXERCISE) + task.bench.sentence + markup.plain(task._words_said.value)
    assert truth.sentence(task.bench.units) not in shown
    assert not any(words in shown for words in hand_in.CAUSES.values())


# ---- the hand-in


def test_nothing_is_handed_in_before_all_is_there(task, tmp_path, capsys):
    for step, missing in ((lambda: None, "place and reason"), (lambda: task.expect("boss", "even"), "name")):
        step()
        task.hand_in(tmp_path)
        printed = capsys.readouterr().out
        assert printed.startswith("Not handed in yet.") and missing in printed.lower()
    assert list(tmp_path.iterdir()) == []


def test_the_answer_is_printed_and_saved_beside_the_notebook(task, tmp_path, capsys):
    do_it_all(task).hand_in(tmp_path)
    printed, said = capsys.readouterr().out.splitlines()
    assert said.startswith("Saved: Ida_answer.json.")
    assert read_answer(printed, EXERCISE) == GOOD
    assert read_answer((tmp_path / "Ida_answer.json").read_text(), EXERCISE) == GOOD


def test_a_better_answer_replaces_the_first(task, tmp_path, capsys):
    do_it_all(task).hand_in(tmp_path)
    task.bench.set(feeder_width=0.036)
    task.hand_in(tmp_path)
    assert capsys.readouterr().out.count("Saved: Ida_answer.json.") == 2
    assert read_answer((tmp_path / "Ida_answer.json").read_text(), EXERCISE).values["feeder_width"] == 0.036


def test_sliders_put_back_are_no_change(task):
    do_it_all(task, **{name: EXERCISE.values[name] for name in GOOD.values})
    assert task.answer().values == {}


@pytest.mark.parametrize("content", ["my shopping list", "{}", b"\xff\xfe"])
def test_a_file_that_is_no_answer_is_never_replaced(task, tmp_path, capsys, content):
    content = content if isinstance(content, bytes) else content.encode()
    (tmp_path / "Ida_answer.json").write_bytes(content)
    do_it_all(task).hand_in(tmp_path)
    printed, said = capsys.readouterr().out.splitlines()
    assert said.startswith("Not saved:") and read_answer(printed, EXERCISE) == GOOD
    assert (tmp_path / "Ida_answer.json").read_bytes() == content


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="a system without named pipes")
def test_a_pipe_where_the_answer_goes_does_not_hold_the_student_up(task, tmp_path, capsys):
    os.mkfifo(tmp_path / "Ida_answer.json")
    do_it_all(task).hand_in(tmp_path)
    assert "no answer to this" in capsys.readouterr().out


def test_where_nothing_can_be_written_it_says_not_saved(task, tmp_path, capsys):
    do_it_all(task).hand_in(tmp_path / "nowhere")
    assert capsys.readouterr().out.splitlines()[1].startswith("Not saved: No such file")


@given(st.text(max_size=200))
def test_the_answer_never_leaves_the_folder(name):
    found = answer_file_name(name)
    assert Path(found).name == found and found[0] not in "._" and found.endswith("_answer.json")
    assert not re.search(r'[\s/\\:*?"<>|]', found) and len(found.encode()) < 255


def test_the_file_is_named_after_the_student_and_one_of_another_name_is_old(task, tmp_path, capsys):
    do_it_all(task).hand_in(tmp_path)
    task.write(name="Ida Ørsted", number="17")
    task.hand_in(tmp_path)
    assert "Ida_answer.json is from before: do not hand it in." in capsys.readouterr().out
    answer = read_answer((tmp_path / "Ida_Ørsted_answer.json").read_text(encoding="utf-8"), EXERCISE)
    assert (answer.name, answer.number) == ("Ida Ørsted", "17")


def test_any_words_can_be_handed_in(task, tmp_path, capsys):
    words = 'quotes " and \\ and\nlines, =1+1, Ünïcödé, <b>, \U0001f6f6'
    do_it_all(task)
    task.write(name="  =cmd|' /C calc'!A0 ", words=words)
    task.hand_in(tmp_path)
    answer = read_answer(capsys.readouterr().out.splitlines()[0], EXERCISE)
    assert answer.name == "=cmd|' /C calc'!A0" and answer.words == " ".join(words.split())


def test_too_many_words_are_said_so(task, tmp_path, capsys):
    do_it_all(task)
    task.write(words="x" * 3000)
    task.hand_in(tmp_path)
    assert "at most 2000" in capsys.readouterr().out


# ---- other exercises


def test_another_alloy_moves_the_pouring_temperature():
    free = replace(EXERCISE, allowed=("alloy", "mould", "pour_temp_c"))
    task = HandIn(exercise_text(free))
    task.expect("boss", "freezes first")
    task.bench.set(alloy="A356")
    task.bench.set(mould="cast-iron die")
    task.write("Ann")
    read_answer(hand_in.answer_text(task.answer()), free)
    assert task.answer().values["alloy"] == "A356" and task.bench.error is None


def test_the_mould_alone_may_be_free():
    task = HandIn(exercise_text(replace(EXERCISE, allowed=("mould",))))
    task.bench.set(mould="zircon sand")
    assert task.bench.error is None and set(task.bench.controls) == {"mould"}


def test_the_brief_names_all_that_is_given():
    lines = brief(EXERCISE).splitlines()
    assert lines[0] == f"Exercise {EXERCISE.key}: The eye plate with a slim feeder"
    assert "As it is: heavy-end size 40 mm (1.57 in)" in lines
    assert "- feeder width: now 20 mm (0.787 in), from 0 mm (0 in) to 56 mm (2.2 in)" in lines
    assert "The pot holds 1.5 kg (3.3 lb) of metal in all." in lines
    assert "chill thickness" not in " ".join(line for line in lines if line.startswith("As it is"))


def test_a_text_that_is_no_exercise_is_refused():
    with pytest.raises(InputError):
        HandIn(json.dumps({"castlab": "exercise"}))
