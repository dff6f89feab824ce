"""The bench for bad examples as an instructor meets it: search, stop, and the sliders of what was found."""

from pathlib import Path

BENCH = Path(__file__).resolve().parents[2] / "notebooks" / "instructor" / "bad_example_bench.ipynb"


def test_an_instructor_searches_and_stops(opened):
    form = opened(BENCH)
    form.run_all()
    bench = form.bench()
    assert "Nothing is computed before that" in form.words()
    form.screenshot("bad_example_form", form.page.locator(".widget-accordion, .jp-Accordion").first)

    form.press("Search")
    form.wait_for(form.words, lambda words: "Its answer appears here" in words)
    form.press("Stop")
    form.wait_for(form.words, lambda words: "Stopped after" in words)
    before = bench.picture_hash()
    bench.keys("feeder width", *["ArrowRight"] * 10)
    form.wait_for(bench.picture_hash, lambda now: now != before)
    bench.screenshot("bad_example_bench")
    form.press("inch")  # the form's own switch; the bench in it follows
    form.wait_for(form.page.locator(".widget-label", has_text="hole at least [in3]").count, bool)
    form.wait_for(bench.picture_hash, lambda now: now != before)
    form.screenshot("bad_example_in_inches", form.page.locator(".widget-accordion, .jp-Accordion").first)
    assert form.alerts() == []
