"""Lessons and pages for instructors in a real browser: opened, run, shown, moved by key."""

import os
import time
from pathlib import Path

import pytest
from lab import Bench

NOTEBOOKS = Path(__file__).resolve().parents[2] / "notebooks"
# Those that no other file here opens.
LESSONS = sorted((NOTEBOOKS / "lessons").glob("*.ipynb"))[1:]
PAGES = [NOTEBOOKS / "instructor" / f"{name}.ipynb" for name in ("before_the_pour", "how_far_to_trust_it")]
SETTLE_SECONDS = 10  # of a lesson, from "run all" to pictures that stand still


def benches(notebook):
    """All outputs with the picture and the sliders of a bench."""
    outputs = notebook.page.locator(".jp-OutputArea-output")
    with_picture = outputs.filter(has=notebook.page.locator(".castlab-bench img.widget-image"))
    return with_picture.filter(has=notebook.page.locator(".widget-slider .noUi-handle"))


@pytest.mark.parametrize("path", [*LESSONS, *PAGES], ids=lambda path: path.stem)
def test_it_opens_runs_shows_and_moves(path, opened, capsys):
    notebook = opened(path)
    started = time.monotonic()
    notebook.run_all()
    if path in LESSONS:
        notebook.wait_for(benches(notebook).count, bool)  # widgets come after the cells have ended
    found = [Bench(notebook, benches(notebook).nth(number)) for number in range(benches(notebook).count())]
    for bench in found:
        bench.at_rest(0.2)
    took = time.monotonic() - started
    with capsys.disabled():
        print(f"\n{path.stem}: settled in {took:.1f} s", end="")
    assert found or path not in LESSONS
    assert path not in LESSONS or took < SETTLE_SECONDS * others_at_work()
    for number, bench in enumerate(found):
        move_the_first_slider(bench, f"every_{path.stem}_{number}")
    assert notebook.alerts() == []


def others_at_work():
    """How many times slower a machine is that has more to do than it has processors; 1 or more."""
    return max(1.0, os.getloadavg()[0] / os.cpu_count())


def move_the_first_slider(bench, name):
    """Show the result where it is hidden, press a key on the first slider that is seen: all changes."""
    before = bench.state()
    button = bench.output.get_by_role("button", name="Show without predicting")
    if button.count() and button.first.is_visible():
        button.first.click()
        before = bench.when_changed(before)
    bench.screenshot(name)
    handle = bench.output.locator(".widget-slider .noUi-handle:visible").first
    if handle.count() == 0:  # lesson 10 gives its sliders only for a cause
        return
    now, most = (float(handle.get_attribute(f"aria-value{which}")) for which in ("now", "max"))
    handle.focus()
    bench.notebook.page.keyboard.press("End" if now < most else "Home")
    _, sentence = bench.when_changed(before)
    assert "cannot be cast" not in sentence
