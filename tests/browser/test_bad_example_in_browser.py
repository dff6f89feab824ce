"""The bench for bad examples as an instructor meets it: search, stop, and the sliders of what was found.

A part of one's own goes the whole way: brought by the instructor, cured by a student."""

from pathlib import Path

from own_parts import lug, lug_exercise

from castlab.field.part_file import write_part
from castlab.teach.bad_examples.hand_out import texts_for_student

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
    form.wait_for(form.page.locator(".widget-label", has_text="hole at least [in³]").count, bool)
    form.wait_for(bench.picture_hash, lambda now: now != before)
    form.screenshot("bad_example_in_inches", form.page.locator(".widget-accordion, .jp-Accordion").first)
    assert form.alerts() == []


def test_a_part_of_ones_own_is_brought_and_a_student_cures_it(opened, tmp_path):
    part, notebook = tmp_path / "lug.part.json", tmp_path / "lug_student.ipynb"
    part.write_text(write_part(lug()), encoding="utf-8")
    notebook.write_text(texts_for_student(lug_exercise())[1], encoding="utf-8")
    form = opened(BENCH)
    form.run_all()
    with form.page.expect_file_chooser() as chosen:
        form.press("Bring a file")
    chosen.value.set_files(part)
    form.wait_for(form.words, lambda words: "lug.part.json is on the bench" in words)
    form.screenshot("bad_example_own_part", form.bench().picture())

    student = opened(notebook)
    student.run_all()
    assert student.choose(1, 0) == "in the boss" and student.choose(0, 1)
    student.press("This is what I expect")
    bench = student.bench()
    student.wait_for(bench.sentence, lambda words: "boss" in words)
    bench.keys("feeder 1 width", *["ArrowRight"] * 24)
    student.wait_for(bench.sentence, lambda words: words.startswith("Sound"))
    student.screenshot("student_own_part", student.page.locator("img[src^='data:image/png']").last)
    assert form.alerts() == student.alerts() == []
