"""Sliders, picture and sentence of a bench are seen together on every screen; nothing wide stays empty."""

import lab
import pytest

CELLS = ["from castlab.teach.bench.ready_made import bench_for, eye_plate_bench\n"
         "bench = {}\nbench"]
FEW = "eye_plate_bench(feeder_width=0.03, feeder_height=0.06)"
MANY = "bench_for('eye plate')"
LAPTOP = 1366, 650  # a screen of 1366 x 768 less what a browser keeps for itself
ZOOMED = 911, 433  # the same at 150 %
# Edges of the boxes, left, top, right, bottom, after what is named has been scrolled to.
BOXES = """([there, block]) => {
    document.querySelector(there).scrollIntoView({block});
    const box = where => {
        const found = document.querySelector(where).getBoundingClientRect();
        return [found.left, found.top, found.right, found.bottom];
    };
    return {
        window: box('.jp-WindowedPanel-outer'), bench: box('.castlab-areas'),
        sliders: box('.castlab-sliders'),
        picture: box('.castlab-area-picture img'), sentence: box('.castlab-sentence [role=status]'),
        said: box('.castlab-area-said'), buttons: box('.castlab-area-buttons'),
        below: box('.castlab-area-below'),
    };
}"""


@pytest.fixture
def page(opened, tmp_path):
    def shown(bench, width, height):
        notebook = opened(lab.notebook_of([CELLS[0].format(bench)], tmp_path / "screen.ipynb"))
        notebook.page.set_viewport_size({"width": width, "height": height})
        notebook.run_all()
        notebook.bench().at_rest()
        return notebook
    return shown


def boxes(notebook, there=".castlab-areas", block="start"):
    notebook.page.evaluate(BOXES, [there, block])
    notebook.page.wait_for_timeout(300)  # what stays in view has come to its place
    return notebook.page.evaluate(BOXES, [there, block])


def together(seen, *names):
    """Whether all of these lie in the window, from top to bottom."""
    _, top, _, bottom = seen["window"]
    return all(top - 1 <= seen[name][1] and seen[name][3] <= bottom + 1 for name in names)


def test_on_a_laptop_picture_and_sentence_stand_beside_the_sliders(page):
    notebook = page(FEW, *LAPTOP)
    seen = boxes(notebook)
    assert together(seen, "sliders", "picture", "sentence"), seen
    assert seen["sliders"][2] <= seen["picture"][0] and seen["picture"][3] <= seen["sentence"][1]
    notebook.screenshot("bench_on_a_laptop", notebook.page.locator(".castlab-areas"))


def test_beside_a_long_column_of_sliders_the_picture_stays_in_view(page):
    notebook = page(MANY, *LAPTOP)
    seen = boxes(notebook, ".castlab-sliders", "center")
    assert seen["sliders"][1] < seen["window"][1] - 100  # its first sliders are gone
    assert together(seen, "picture", "sentence"), seen
    notebook.screenshot("bench_with_many_sliders", notebook.page.locator(".castlab-sliders"))
    seen = boxes(notebook, ".castlab-sliders", "end")
    assert seen["sliders"][3] <= seen["window"][3] + 1 and together(seen, "picture", "sentence"), seen
    notebook.screenshot("bench_at_its_last_slider", notebook.page.locator(".castlab-sliders"))


def test_the_picture_never_lies_over_the_numbers(page):
    notebook = page(FEW, *LAPTOP)
    seen = boxes(notebook, ".castlab-area-below", "start")
    assert seen["buttons"][3] <= seen["below"][1] + 1, seen


def test_on_a_small_screen_nothing_is_scrolled_between_slider_and_picture(page):
    seen = boxes(page(FEW, 1024, 768))
    assert together(seen, "sliders", "picture", "sentence"), seen
    assert seen["sliders"][3] <= seen["picture"][1]


def test_on_a_small_screen_the_picture_stays_above_a_long_column_of_sliders(page):
    notebook = page(MANY, 1024, 768)
    for block in ("start", "center", "end"):
        seen = boxes(notebook, ".castlab-sliders", block)
        assert together(seen, "picture"), (block, seen)
        notebook.screenshot(f"bench_narrow_{block}", notebook.page.locator(".castlab-sliders"))
    seen = boxes(notebook, ".castlab-area-below", "start")
    assert seen["said"][1] >= seen["sliders"][3] - 1, seen


@pytest.mark.parametrize("bench", [FEW, MANY])
def test_at_150_per_cent_on_a_laptop_the_picture_stays_above_the_slider_that_is_moved(page, bench):
    notebook = page(bench, *ZOOMED)
    for block in ("start", "center", "end"):
        seen = boxes(notebook, ".castlab-sliders", block)
        assert together(seen, "picture"), (block, seen)
        assert seen["window"][3] - seen["picture"][3] > 110, (block, seen)  # three sliders and their labels
    assert seen["bench"][2] <= seen["window"][2], seen  # nothing is cut at the side
    notebook.screenshot("bench_at_150_per_cent", notebook.page.locator(".castlab-sliders"))


def test_on_a_wide_screen_the_words_stand_beside_the_picture_and_reach_its_edge(page):
    seen = boxes(page(FEW, 1920, 1000))
    assert together(seen, "sliders", "picture", "sentence", "said", "buttons"), seen
    assert seen["sliders"][2] <= seen["picture"][0] < seen["picture"][2] <= seen["sentence"][0]
    assert seen["said"][2] >= seen["bench"][2] - 20


TASK = ("from castlab.teach.bench.checked import Checked\n"
        "from castlab.teach.bench.questions import Task\n"
        "task = Task(bench, 'Make it sound.', lambda bench, _: Checked(bench.result.sound, bench.sentence))\n"
        "task")


def test_a_task_and_its_bench_are_seen_together(opened, tmp_path):
    cells = [CELLS[0].format("eye_plate_bench()"), TASK]
    notebook = opened(lab.notebook_of(cells, tmp_path / "task.ipynb"))
    notebook.page.set_viewport_size({"width": LAPTOP[0], "height": LAPTOP[1]})
    notebook.run_all()
    notebook.press("bring the bench here")
    here = notebook.page.locator(".castlab-main").nth(1)
    here.wait_for()
    put_back = notebook.page.get_by_role("button", name="Put the bench back")
    outputs = notebook.page.locator(".jp-OutputArea-output").filter(has=put_back)
    bench = lab.Bench(notebook, outputs.first)
    before = bench.picture_hash()
    bench.keys("feeder width", "End")
    notebook.wait_for_change(bench.picture_hash, before)
    check = notebook.page.get_by_role("button", name="Check", exact=True)
    check.click()
    check.evaluate("button => button.scrollIntoView({block: 'start'})")
    picture = bench.picture().bounding_box()
    assert check.bounding_box()["y"] < picture["y"] < picture["y"] + picture["height"] < LAPTOP[1]
    notebook.screenshot("task_with_its_bench", check)
    notebook.press("put the bench back")
    notebook.wait_for(lambda: notebook.page.locator(".castlab-main").count(), lambda count: count == 1)
    assert notebook.alerts() == []
