"""Lesson 1 as a student meets it: JupyterLab in a real browser, sliders moved by key."""

import statistics
from pathlib import Path

import pytest

LESSONS = Path(__file__).resolve().parents[2] / "notebooks" / "lessons"
FIRST = LESSONS / "01_first_casting.ipynb"
MOVES = 15


@pytest.fixture
def lesson(opened):
    """Lesson 1, opened and run from top to bottom."""
    notebook = opened(FIRST)
    notebook.run_all()
    return notebook


def test_a_key_on_a_slider_changes_picture_and_sentence(lesson, capsys):
    question, hidden = lesson.sentence(), lesson.picture_hash()
    lesson.screenshot("01_before_predicting")
    lesson.press("show without predicting")
    lesson.wait_for_change(lesson.picture_hash, hidden)
    sentence = lesson.wait_for_change(lesson.sentence, question)
    lesson.wait_until_still()
    picture = lesson.picture_hash()
    lesson.screenshot("01_shown")

    lesson.slider("section thickness").focus()
    for _ in range(5):
        lesson.page.keyboard.press("ArrowRight")
    lesson.wait_for_change(lesson.picture_hash, picture)
    lesson.wait_for_change(lesson.sentence, sentence)
    lesson.wait_until_still()
    lesson.screenshot("01_thicker")
    assert lesson.alerts() == []

    # From one end on, so that each move asks for a part that was not computed before.
    lesson.page.keyboard.press("Home")
    lesson.wait_until_still()
    delays = lesson.key_to_picture_ms("section thickness", ["ArrowRight"] * MOVES)
    with capsys.disabled():
        print(f"\nkey to new picture, {MOVES} moves: median {statistics.median(delays):.0f} ms, "
              f"slowest {max(delays):.0f} ms")
    assert len(delays) == MOVES
    assert lesson.alerts() == []


def test_a_student_predicts_first(lesson):
    hidden = lesson.picture_hash()
    words = lesson.sentence()
    assert "hidden" in words
    lesson.press("this is what I expect")  # nothing chosen yet: asked to choose, and the result stays hidden
    words = lesson.wait_for_change(lesson.sentence, words)
    assert "Choose" in words and "hidden" in words and lesson.picture_hash() == hidden

    expected = lesson.choose(1)
    lesson.press("this is what I expect")
    lesson.wait_for_change(lesson.picture_hash, hidden)
    lesson.wait_until_still()
    lesson.screenshot("01_predicted")
    assert f"You expect: {expected}" in lesson.sentence() and "hidden" not in lesson.sentence()
    assert lesson.alerts() == []
