"""Lessons on the site, without a network: sliders by mouse and keys; what is said is what is said here."""

import json
from pathlib import Path

import pytest
from states import states

from castlab.teach.lessons import feeders, first_casting, read_the_defect
from castlab.units import raised

HERE = Path(__file__).parent
LESSONS = {"01_first_casting": first_casting.begin, "05_feeders": feeders.begin,
           "10_read_the_defect": read_the_defect.begin}
ASK = "import json\nprint(json.dumps([bench.values, bench.numbers, bench.sentence]))"


def same_here(notebook, here, bench):
    """Where the page's bench stands; what it says there, on the screen and printed, is what one here says."""
    bench.at_rest()
    values, numbers, sentence = json.loads(notebook.run_code(ASK))
    here.set(**values)
    assert sentence == here.sentence
    notebook.wait_for(lambda: " ".join(bench.sentence().split()), lambda words: words == raised(sentence))
    assert [tuple(pair) for pair in numbers] == list(here.numbers) and numbers
    return values


@pytest.mark.parametrize("name", LESSONS)
def test_a_lesson_runs_and_its_sliders_move_by_keys_and_mouse(opened, name):
    notebook, here = opened(f"lessons/{name}.ipynb"), LESSONS[name]()[-2]
    here.reveal()
    notebook.run_all()
    bench = notebook.bench_with_sliders()
    show = bench.output.get_by_role("button", name="Show without predicting")
    show.click() if show.is_visible() else notebook.run_code("bench.reveal()")  # not before a cause is said
    seen = [same_here(notebook, here, bench)]
    handle = bench.output.locator(".noUi-handle").first
    for key in ("ArrowRight", "ArrowRight", "ArrowLeft", "ArrowUp"):
        handle.focus()
        notebook.page.keyboard.press(key)
        seen.append(same_here(notebook, here, bench))
    box = handle.bounding_box()
    notebook.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    notebook.page.mouse.down()
    notebook.page.mouse.move(box["x"] - 40, box["y"] + 5, steps=5)
    notebook.page.mouse.up()
    seen.append(same_here(notebook, here, bench))
    assert all(before != after for before, after in zip(seen, seen[1:], strict=False))
    bench.screenshot(f"site_{name}")
    assert notebook.alerts() == [] and notebook.outside == []
    assert notebook.page.locator("[data-mime-type='application/vnd.jupyter.stderr']").count() == 0


def test_what_a_student_did_is_there_when_the_lesson_is_opened_again(opened):
    name = "lessons/01_first_casting.ipynb"
    notebook = opened(name)
    notebook.run_all()
    notebook.choose(1)
    notebook.press("This is what I expect")
    notebook.wait_for(lambda: notebook.run_code("print(question.answered)"), lambda said: "True" in said)
    verdict = notebook.run_code("print(question.verdict_text)")
    again = opened(name)
    again.run_all()
    again.press("Continue where I was")
    again.wait_for(lambda: again.run_code("print(question.verdict_text)"), lambda said: said == verdict)
    assert again.outside == []


LONG_WORK = """
import asyncio
from castlab.field.design import design
from castlab.field.outcome import outcome_of
from castlab.materials import alloy, mould
from castlab.plan import map_over
from castlab.teach.work.progress import Work
work, heard = Work(), 0
zinc, sand = alloy("ZA-12"), mould("green sand")
work.start(map_over(outcome_of, [design("eye plate", zinc, sand, 470.0 + more) for more in range(12)]))
while work.running:
    await asyncio.sleep(0.01)
    heard += 1
    if work._run.done == 4:
        work.stop()
print(work.words, heard, sep="|")
"""


def test_long_work_gives_way_and_stops(opened):
    words, heard = opened("lessons/01_first_casting.ipynb").run_code(LONG_WORK).split("|")
    assert words.startswith("Stopped after 4 of 12") and int(heard) > 20  # a few times within each casting


@pytest.mark.parametrize("count", [12, pytest.param(100, marks=pytest.mark.slow)])
def test_states_say_and_print_the_same_in_the_browser_and_here(opened, count):
    notebook = opened("lessons/01_first_casting.ipynb")
    program = (HERE / "states.py").read_text(encoding="utf-8") + f"\nprint(told({count}))"
    there = json.loads(notebook.run_code(program).splitlines()[-1])  # a library may say something first
    here = json.loads(json.dumps(list(states(count))))
    different = [pair for pair in zip(there, here, strict=True) if pair[0] != pair[1]]
    assert different == [] and len(here) == count


LARGE = """
from castlab import Setup, alloy, freeze, mould, parts
plain = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
run = freeze(plain, cell=1.7e-3, pace=3.0)
told = f"{run.last_time_s:.2f} s in {len(run.metal_cells)} cells"
"""


def test_a_casting_of_many_cells_freezes_as_it_does_here(opened):
    here = {}
    exec(LARGE, here)
    assert len(here["run"].metal_cells) > 10_000  # with its mould more parts than 32 bits can number in pairs
    notebook = opened("lessons/01_first_casting.ipynb")
    assert notebook.run_code(f"{LARGE}\nprint(told)").strip() == here["told"]
