"""Keys in a widget are the widget's: Home and End know the range of now, and letters do nothing."""

from pathlib import Path

import pytest
from lab import notebook_of

from castlab.materials import alloy

LESSON = Path(__file__).parents[2] / "notebooks" / "lessons" / "01_first_casting.ipynb"
CELLS = ("from castlab.teach.bench.ready_made import eye_plate_bench\nbench = eye_plate_bench()\nbench",)
POUR, SECTION = "pouring temperature", "section thickness"


@pytest.fixture
def page(opened, tmp_path):
    notebook = opened(notebook_of(CELLS, tmp_path / "keys.ipynb"))
    notebook.run_all()
    return notebook


def stands_at(bench, label, key):
    """Press a key on a slider; where it then stands, when the bench has come to rest."""
    bench.keys(label, key)
    bench.at_rest()
    return float(bench.slider(label).get_attribute("aria-valuenow"))


def test_home_and_end_know_the_alloy_and_the_units_chosen_last(page):
    bench = page.bench(0)
    bench.at_rest()
    bench.output.locator("select").first.select_option("tin bronze")
    bench.at_rest()
    low, high = alloy("tin bronze").pour_range_c
    for key, end in (("End", high), ("ArrowLeft", high - 5), ("Home", low), ("End", high)):
        assert stands_at(bench, POUR, key) == pytest.approx(end), key
    page.press("inch")
    bench.at_rest()
    ends = (bench.slider(SECTION).get_attribute(name) for name in ("aria-valuemin", "aria-valuemax"))
    lowest, highest = (float(end) for end in ends)
    assert highest < 2.0  # inch
    assert stands_at(bench, SECTION, "Home") == lowest < stands_at(bench, SECTION, "End") == highest
    bench.screenshot("slider_keys")
    assert page.alerts() == []


def test_no_key_pressed_in_a_question_or_a_slider_reaches_the_notebook(opened):
    notebook = opened(LESSON)
    notebook.run_all()
    page = notebook.page
    place, answer = page.locator("button[data-key=gate]").first, page.locator("input[type=radio]").first
    for focused in (place, answer, page.locator(".castlab-bench [role=slider]").first):
        focused.focus()
        for letter in "xbmd":
            page.keyboard.press(letter)
        assert focused.evaluate("each => each === document.activeElement")  # a new cell would take the focus
    place.focus()
    page.keyboard.press("Enter")
    chosen = page.locator("input[type=radio]:checked")
    chosen.wait_for(state="attached")
    assert "beside the gate" in chosen.evaluate("each => each.closest('label').textContent")
