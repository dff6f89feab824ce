"""Lesson 10 as a student meets it: another casting is looked for with a bar, which a press on Stop ends."""

from pathlib import Path

import pytest
from lab import WATCH_STOP

LESSON = Path(__file__).resolve().parents[2] / "notebooks" / "lessons" / "10_read_the_defect.ipynb"
HEARD_MS = 500
FIRST = "Casting number 12:"


@pytest.fixture
def page(opened):
    notebook = opened(LESSON)
    notebook.run_all()
    return notebook


def test_a_stop_leaves_the_former_casting_and_another_one_takes_its_place(page):
    picture = page.page.locator("img.widget-image").first
    assert FIRST in page.words()
    page.press("another casting")
    page.page.locator(".jp-Notebook .progress-bar").first.wait_for(state="attached")
    page.page.evaluate(WATCH_STOP)
    page.press("Stop")
    page.page.locator("[role=status]", has_text="Stopped after").wait_for()
    assert page.page.evaluate("() => stopHeard - stopPressed") < HEARD_MS
    assert FIRST in page.words()
    page.screenshot("sawn_stopped", picture)

    page.press("another casting")
    words = page.wait_for(page.words, lambda now: FIRST not in now)
    assert "Casting number" in words and "this one stays" not in words
    page.screenshot("sawn_another", picture)
    assert page.alerts() == []
