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
    bench = lesson.bench()
    hidden = bench.state()
    bench.screenshot("01_hidden")
    lesson.press("show without predicting")
    shown = bench.when_changed(hidden)
    bench.screenshot("01_shown")

    bench.keys("section thickness", *["ArrowRight"] * 5)
    bench.when_changed(shown)
    bench.screenshot("01_thicker")

    # From one end on, so that each move asks for a part that was not computed before.
    bench.keys("section thickness", "Home")
    bench.at_rest()
    delays = bench.key_to_picture_ms("section thickness", ["ArrowRight"] * MOVES)
    with capsys.disabled():
        print(f"\nkey to new picture, {MOVES} moves: median {statistics.median(delays):.0f} ms, "
              f"slowest {max(delays):.0f} ms")
    assert len(delays) == MOVES
    assert lesson.alerts() == []


def test_a_student_predicts_first_and_the_round_part_has_a_bench_of_its_own(lesson):
    bench = lesson.bench()
    hidden = bench.state()
    assert "result is hidden" in hidden[1]
    lesson.press("this is what I expect")  # nothing is chosen yet
    lesson.wait_for(lesson.words, lambda words: "Choose one" in words)
    assert bench.state() == hidden

    expected = lesson.choose(1)
    lesson.press("this is what I expect")
    lesson.wait_for(lesson.words, lambda words: f"You expect: {expected}" in words)
    _, sentence = bench.when_changed(hidden)
    assert "result is hidden" not in sentence
    bench.screenshot("01_predicted")

    eye_plate, sheave = bench.state(), lesson.bench(1)
    hidden = sheave.state()
    lesson.press("show without predicting")  # the eye plate has no such button any more
    shown = sheave.when_changed(hidden)
    sheave.keys("heavy-end size", *["ArrowLeft"] * 3)
    sheave.when_changed(shown)
    sheave.screenshot("01_sheave")
    assert bench.state() == eye_plate
    assert lesson.alerts() == []
