"""The table of cures as a student meets it: the bar moves, stop is heard, the table comes, one is tried."""

import pytest
from lab import WATCH_STOP, notebook_of

CELLS = (
    """import castlab.field.cures as cures
kinds, wanted = cures.kinds_of_cure, ("squat feeder on top", "cooler pour", "heavy end up")
cures.kinds_of_cure = lambda *of: [each for each in kinds(*of) if each.key in wanted]""",  # a short search
    """from castlab.teach.bench.ready_made import eye_plate_bench
from castlab.teach.panels.cure_table import CureTable
from castlab.teach.panels.sensitivity import HowSure
bench = eye_plate_bench()
table, sure = CureTable(bench, "eye plate"), HowSure(bench, "eye plate")
bench""",
    "table",
    "sure",
)
HEARD_MS = 500


@pytest.fixture
def page(opened, tmp_path):
    """A notebook with a bench, its table of cures, and how sure the verdict is."""
    path = notebook_of(CELLS, tmp_path / "cures.ipynb")
    notebook = opened(path)
    notebook.run_all()
    return notebook


def test_the_search_moves_its_bar_stops_and_fills_the_table(page):
    bench = page.bench(0)
    bench.at_rest()
    page.press("Find the cures")
    page.wait_for(page.bar_percent, lambda now: now > 2)
    page.page.evaluate(WATCH_STOP)
    page.press("Stop")
    page.page.locator("[role=status]", has_text="Stopped after").wait_for()
    assert page.page.evaluate("() => stopHeard - stopPressed") < HEARD_MS

    page.press("Find the cures")
    row = page.page.locator(".jp-Notebook tr", has_text="squat feeder on top")
    page.wait_for(row.count, lambda now: now == 1)
    assert "sound" in row.text_content() and "of 8" in row.text_content()
    assert page.page.locator(".jp-Notebook tr", has_text="cast heavy end up").count() == 1
    page.screenshot("cures_table", row.first)

    before = bench.state()
    page.press("Try it")
    _, sentence = bench.when_changed(before)
    assert sentence.startswith("Sound")
    bench.screenshot("cures_tried")

    page.press("How sure?")
    page.page.locator("[role=status]", has_text="of 8").wait_for()
    page.screenshot("cures_how_sure", page.page.locator("[role=status]", has_text="of 8").first)
    assert page.alerts() == []
