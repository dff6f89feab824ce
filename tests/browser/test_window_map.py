"""The window map as a student meets it: it fills behind a bench that still listens, stops, and is stepped
through."""

import nbformat
import pytest

CELL = """from castlab.teach.benches import eye_plate_bench
from castlab.teach.window_map import WindowMap
bench = eye_plate_bench()
window = WindowMap(bench, "feeder_width", "feeder_height")
bench"""
HEARD_MS = 500
# From the click, as the page notes it, to the words; moving the mouse there takes its own time.
START_STOPWATCH = """() => {
    const notebook = document.querySelector('.jp-Notebook');
    document.addEventListener('click', () => { window.stopPressed = performance.now(); }, true);
    const look = () => {
        window.stopHeard = performance.now();
        if (!notebook.textContent.includes('Stopped after')) requestAnimationFrame(look);
    };
    look();
}"""


@pytest.fixture
def page(opened, tmp_path):
    """A notebook with a bench and its map, run."""
    cells = [nbformat.v4.new_code_cell(CELL), nbformat.v4.new_code_cell("window")]
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    path = tmp_path / "map.ipynb"
    nbformat.write(nbformat.v4.new_notebook(cells=cells, metadata={"kernelspec": kernel}), path)
    notebook = opened(path)
    notebook.run_all()
    return notebook


def bar(notebook):
    """How far the bar is, in per cent of its length."""
    width = notebook.page.locator(".jp-Notebook .progress-bar").first.evaluate("bar => bar.style.width")
    return float(width.removesuffix("%"))


def words(notebook):
    return notebook.page.locator(".jp-Notebook").inner_text()


def test_the_bench_listens_while_the_map_fills_and_stop_is_heard(page):
    bench, window = page.bench(0), page.bench(1)
    bench.at_rest()
    blank = window.picture_hash()
    page.press("Compute the map")
    page.wait_for(lambda: bar(page), lambda now: now > 2)
    first = bar(page)
    page.wait_for(lambda: bar(page), lambda now: now > first)
    assert "to go" in words(page)
    page.wait_for_change(window.picture_hash, blank)

    before = bench.state()
    bench.keys("feeder width", *["ArrowRight"] * 3)  # a slider of the map: it goes on
    bench.when_changed(before)
    still = bar(page)
    page.wait_for(lambda: bar(page), lambda now: now > still)

    page.wait_for(lambda: words(page), lambda now: "quick answer" not in now)  # the bench has nothing to do
    page.page.evaluate(START_STOPWATCH)
    page.press("Stop")
    page.page.locator("[role=status]", has_text="Stopped after").wait_for()
    assert page.page.evaluate("() => stopHeard - stopPressed") < HEARD_MS
    stopped = bar(page)
    page.page.wait_for_timeout(1500)
    assert bar(page) == stopped and page.alerts() == []
    window.screenshot("window_map_stopped")


def test_the_bench_goes_where_the_map_sends_it(page):
    bench, window = page.bench(0), page.bench(1)
    bench.at_rest()
    before, picture = bench.state(), window.picture_hash()
    page.press("→ bench")
    bench.when_changed(before)
    page.wait_for_change(window.picture_hash, picture)
    window.keys("feeder height", *["ArrowRight"] * 3)
    window.keys("feeder width", *["ArrowRight"] * 11)
    before = bench.state()
    page.press("Set the bench to the frame")
    _, sentence = bench.when_changed(before)
    assert sentence.startswith("Sound")
    assert page.alerts() == []
    window.screenshot("window_map_jump")
