"""Lessons and pages for instructors in a real browser: opened, run, shown, moved by key."""

import time
from pathlib import Path

import pytest
from lab import Bench

NOTEBOOKS = Path(__file__).resolve().parents[2] / "notebooks"
# Those that no other file here opens; lessons 2, 3 and 9 are built of the same benches as lesson 1.
LESSONS = ("04", "05", "07", "08", "10")
PAGES = [*(next((NOTEBOOKS / "lessons").glob(f"{number}_*.ipynb")) for number in LESSONS),
         *(NOTEBOOKS / "instructor" / f"{name}.ipynb" for name in ("before_the_pour", "how_far_to_trust_it"))]
MOVED = "ArrowRight"


def benches(notebook):
    """All outputs with a picture and a slider."""
    outputs = notebook.page.locator(".jp-OutputArea-output")
    with_picture = outputs.filter(has=notebook.page.locator("img.widget-image"))
    return with_picture.filter(has=notebook.page.locator(".widget-slider .noUi-handle"))


@pytest.mark.parametrize("path", PAGES, ids=[path.stem for path in PAGES])
def test_it_opens_runs_shows_and_moves(path, opened, capsys):
    notebook = opened(path)
    started = time.monotonic()
    notebook.run_all()
    took = time.monotonic() - started
    with capsys.disabled():
        print(f"\n{path.stem}: run in {took:.1f} s", end="")
    notebook.page.wait_for_timeout(500)
    assert notebook.alerts() == []
    for number in range(benches(notebook).count()):
        move_the_first_slider(notebook, number, f"{path.stem}_{number}")
    assert notebook.alerts() == []


def move_the_first_slider(notebook, number, name):
    """Show the result where it is hidden, press a key on the first slider that is seen, see a new picture."""
    output = benches(notebook).nth(number)
    button = output.get_by_role("button", name="Show without predicting")
    if button.count() and button.first.is_visible():
        button.first.click()
        notebook.page.wait_for_timeout(1500)
    bench = Bench(notebook, output)
    before = bench.at_rest()
    bench.screenshot(f"every_{name}")
    handles = output.locator(".widget-slider .noUi-handle:visible")
    if handles.count() == 0:  # lesson 10 gives its sliders only for a cause
        return
    handles.first.focus()
    notebook.page.keyboard.press(MOVED)
    if bench.at_rest()[0] == before[0]:  # it stood at its upper end
        notebook.page.keyboard.press("ArrowLeft")
        notebook.wait_for_change(bench.picture_hash, before[0])
    assert bench.sentence()
