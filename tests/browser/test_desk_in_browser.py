"""An exercise as a student meets it, and the marking desk as an instructor does, in a real browser."""

import json
import shutil
from pathlib import Path

import pytest

from castlab.teach.bad_examples.example_exercise import EXERCISE, FOLDER
from castlab.teach.bad_examples.hand_out import file_names
from castlab.teach.exercise.exercise import answer_file_name, read_answer
from castlab.teach.marking.class_picture import WIDTH

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
    saved = server.folder / "Ann_answer.json"
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


def test_an_instructor_marks_a_class(opened, class_folder, server):
    desk = opened(DESK)
    desk.run_all()
    returns = desk.page.get_by_label("folder of returned work")
    returns.fill(f"{FOLDER.name}/returned")
    returns.blur()
    desk.press("Mark")
    table = desk.page.locator(".jp-OutputArea-output table")
    desk.page.wait_for_function("() => document.querySelector('.jp-OutputArea-output table th[scope=row]')",
                                timeout=1000 * MARK_SECONDS)
    desk.wait_for(desk.words, lambda said: "2 marked, 1 not" in said)
    picture = desk.page.locator("img.widget-image").first
    words = table.first.text_content()
    assert "Ida" in words and "Otto" in words and "broken.ipynb" in words and "not marked" in words
    desk.screenshot("desk", table.first)
    desk.wait_for(lambda: picture.evaluate("picture => picture.naturalWidth"), lambda width: width == WIDTH)

    desk.page.get_by_label("paper", exact=True).select_option(index=1)  # the first is the broken one
    desk.page.get_by_label("because").fill("a clear sketch")
    desk.page.get_by_label("marks by hand").fill("-1")
    desk.page.get_by_label("marks by hand").blur()
    desk.press("Record")
    desk.wait_for(desk.words, lambda said: "Recorded for 2 Ida" in said)
    desk.screenshot("desk_one_paper", desk.page.get_by_label("because"))

    desk.page.locator("span", has_text="An answer that came on paper").click()
    desk.page.get_by_label("name", exact=True).fill("Pia")
    desk.page.get_by_label("where", exact=True).select_option("boss")
    desk.page.get_by_label("why", exact=True).select_option(index=1)
    desk.screenshot("desk_paper", desk.page.get_by_label("why", exact=True))
    desk.press("Put it with the others")
    desk.wait_for(desk.words, lambda said: "3 marked, 1 not" in said)

    desk.press("Save tables and comments")
    desk.wait_for(desk.words, lambda said: "Saved into marks" in said)
    assert (server.folder / "marks" / "to_import.csv").read_text().startswith('"name","id","mark","comment"')
    desk.press("Save tables and comments")
    desk.wait_for(desk.words, lambda said: "Not saved" in said)
    assert desk.alerts() == []


def test_a_student_does_it_all_on_the_page_alone(browser, tmp_path):
    """Without a server, as on a laptop that has nothing but a browser."""
    page, errors = browser.new_page(), []
    page.on("pageerror", lambda error: errors.append(error))
    page.goto((FOLDER / file_names(EXERCISE.title)[2]).resolve().as_uri())
    page.get_by_role("button", name="Save my answer").click()
    assert page.locator("#said").text_content() == "Not saved yet. Missing: where, why, your name."
    page.get_by_label("in the boss").check()
    page.get_by_label("the feeder is frozen or stiff before it").check()
    page.get_by_label("feeder width, set it to").select_option("0.034")
    page.get_by_label("Name", exact=True).fill("Zoë O’Neil")
    page.locator("#words").fill('A "wide" feeder\nstays <b>liquid</b>.')
    with page.expect_download() as caught:
        page.get_by_role("button", name="Save my answer").click()
    assert caught.value.suggested_filename == answer_file_name("Zoë O’Neil")
    answer = read_answer(Path(caught.value.path()).read_text(encoding="utf-8"), EXERCISE)
    assert (answer.name, answer.block, answer.reason) == ("Zoë O’Neil", "boss", "freezes first")
    assert answer.values == {"feeder_width": 0.034} and answer.words == 'A "wide" feeder stays <b>liquid</b>.'
    assert read_answer(page.locator("#line").input_value(), EXERCISE) == answer and errors == []
    page.close()
