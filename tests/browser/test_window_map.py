"""The window map as a student meets it: it fills behind a bench that still listens, stops, and is stepped
through."""

from lab import WATCH_STOP, notebook_of

CELL = """from castlab.teach.bench.ready_made import eye_plate_bench
from castlab.teach.panels.window_map import WindowMap
bench = eye_plate_bench()
window = WindowMap(bench, "feeder_width", "feeder_height")
bench"""
HEARD_MS = 500


def words(notebook):
    return notebook.page.locator(".jp-Notebook").inner_text()


def test_the_map_fills_behind_a_bench_that_listens_and_goes_where_it_is_sent(opened, tmp_path):
    page = opened(notebook_of([CELL, "window"], tmp_path / "map.ipynb"))
    page.run_all()
    bench, window = page.bench(0), page.bench(1)
    bench.at_rest()
    listens_while_the_map_fills_and_hears_stop(page, bench, window)
    goes_where_the_map_sends_it(page, bench, window)
    assert page.alerts() == []


def listens_while_the_map_fills_and_hears_stop(page, bench, window):
    blank = window.picture_hash()
    page.press("Compute the map")
    page.wait_for(page.bar_percent, lambda now: now > 2)
    first = page.bar_percent()
    page.wait_for(page.bar_percent, lambda now: now > first)
    assert "to go" in words(page)
    page.wait_for_change(window.picture_hash, blank)

    before = bench.state()
    bench.keys("feeder width", *["ArrowRight"] * 3)  # a slider of the map: it goes on
    bench.when_changed(before)
    still = page.bar_percent()
    page.wait_for(page.bar_percent, lambda now: now > still)

    page.wait_for(lambda: words(page), lambda now: "quick answer" not in now)  # the bench has nothing to do
    page.page.evaluate(WATCH_STOP)
    page.press("Stop")
    page.page.locator("[role=status]", has_text="Stopped after").wait_for()
    assert page.page.evaluate("() => stopHeard - stopPressed") < HEARD_MS
    stopped = page.bar_percent()
    page.page.wait_for_timeout(1500)
    assert page.bar_percent() == stopped and page.alerts() == []
    window.screenshot("window_map_stopped")


def goes_where_the_map_sends_it(page, bench, window):
    before, picture = bench.state(), window.picture_hash()
    page.press("→ bench")
    bench.when_changed(before)
    page.wait_for_change(window.picture_hash, picture)
    window.keys("feeder height", *["ArrowRight"] * 3)
    window.keys("feeder width", *["ArrowRight"] * 11)
    window.at_rest()  # a slider that moves fast sends its last place late, even after a button's press
    page.press("Set the bench to the frame")
    page.wait_for(bench.sentence, lambda now: now.startswith("Sound"))
    window.screenshot("window_map_jump")
