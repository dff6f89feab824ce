"""An exercise as a student meets it, and the marking desk as an instructor does, in a real browser."""

import json
import shutil

import pytest

from castlab.teach.bad_examples.example_exercise import EXERCISE, FOLDER
from castlab.teach.bad_examples.hand_out import file_names
from castlab.teach.exercise.exercise import read_answer

STUDENT = FOLDER / file_names(EXERCISE.title)[1]
DESK = FOLDER.parent / "marking_desk.ipynb"
MARK_SECONDS = 240


def test_a_student_says_why_before_seeing_it_and_hands_in(opened, server):
    task = opened(STUDENT)
    task.run_all()
    bench = task.bench()
    hidden = bench.state()
    assert "result is hidden" in hidden[1]
    assert task.page.get_by_role("button", name="Show without predicting").count() == 0
    task.screenshot("exercise_hidden", task.page.locator(".widget-radio-box").first)

    task.press("this is what I expect")  # nothing is chosen yet
    task.wait_for(task.words, lambda words: "Choose a place and a reason" in words)
    place = task.choose(1)
    task.press("this is what I expect")  # the reason is missing still
    assert bench.state() == hidden
    task.choose(1, question=1)
    task.press("this is what I expect")
    task.wait_for(task.words, lambda words: f"Recorded: {place}" in words)
    shown = bench.when_changed(hidden)
    assert task.page.locator(".widget-radio-box input:disabled").count() == 8
    bench.screenshot("exercise_shown")

    bench.keys("feeder width", *["ArrowRight"] * 8)
    bench.when_changed(shown)
    task.page.get_by_label("Your name").fill("Ann")
    task.page.get_by_label("Your name").blur()
    task.page.evaluate("""() => {
        castlabPanel.content.activeCellIndex = castlabPanel.content.widgets.length - 1;
        jupyterapp.commands.execute('notebook:run-cell');
    }""")
    saved = server.folder / f"{STUDENT.stem}.json"
    task.wait_for(saved.exists, bool)
    answer = read_answer(task.wait_for(saved.read_text, bool), EXERCISE)
    assert (answer.name, answer.block, answer.values) == ("Ann", "boss", {"feeder_width": 0.036})
    last = task.page.locator(".jp-Notebook .jp-Cell").last
    task.wait_for(last.text_content, lambda words: "Saved" in words)
    assert task.alerts() == []


@pytest.fixture
def class_folder(server):
    """The example beside the desk's notebook, with a broken file among what came back."""
    target = server.folder / FOLDER.name
    shutil.copytree(FOLDER, target, dirs_exist_ok=True)
    (target / "returned" / "broken.ipynb").write_text(json.dumps({"cells": 5}))


def test_an_instructor_marks_a_class(opened, class_folder):
    desk = opened(DESK)
    desk.run_all()
    returns = desk.page.get_by_label("folder of returns")
    returns.fill(f"{FOLDER.name}/returned")
    returns.blur()
    desk.press("Mark")
    table = desk.page.locator(".jp-OutputArea-output table")
    desk.page.wait_for_function("() => document.querySelector('.jp-OutputArea-output table th[scope=row]')",
                                timeout=1000 * MARK_SECONDS)
    desk.wait_for(desk.words, lambda said: "2 marked, 1 not" in said)
    words = table.first.text_content()
    assert "Ida" in words and "Otto" in words and "broken.ipynb" in words and "not marked" in words
    desk.screenshot("desk", table.first)
    desk.press("Save the table")
    desk.wait_for(desk.words, lambda said: "Saved: marks.csv" in said)
    desk.press("Save the table")
    desk.wait_for(desk.words, lambda said: "Not saved" in said)
    assert desk.alerts() == []
