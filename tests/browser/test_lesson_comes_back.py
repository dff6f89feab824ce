"""A lesson is closed and its kernel ended, as overnight; opened again it says what was done, and goes on."""

import json
import time
import urllib.request
from pathlib import Path

import lab
import pytest

LESSONS = Path(__file__).resolve().parents[2] / "notebooks" / "lessons"
NOT_READY = """() => [...document.querySelectorAll('.jp-OutputArea-output')].filter(
    each => each.textContent.includes('model not found') && each.offsetParent).length"""
LEFT = """() => [...document.querySelectorAll('.castlab-last-time')].filter(
    each => each.offsetParent).map(each => each.innerText).join(' ')"""


def end_all_kernels(server):
    with urllib.request.urlopen(server.address("api/kernels")) as reply:
        kernels = json.load(reply)
    for kernel in kernels:
        address = server.address(f"api/kernels/{kernel['id']}")
        urllib.request.urlopen(urllib.request.Request(address, method="DELETE")).close()


@pytest.fixture
def folder(server):
    """The folder of the server, with nothing remembered in it before and after."""
    def forget():
        for path in server.folder.glob("my_course*.json"):
            path.unlink()
    forget()
    yield server.folder
    forget()


def test_a_lesson_from_yesterday_says_what_was_done_and_comes_back(server, browser, folder, capsys):
    name = server.add(LESSONS / "01_first_casting.ipynb")
    lesson = lab.Notebook(browser, server, name)
    lesson.run_all()
    assert lesson.page.evaluate(LEFT) == ""  # hidden while the lesson runs
    bench = lesson.bench()
    hidden = bench.state()
    expected = lesson.choose(1)
    lesson.press("this is what I expect")
    shown = bench.when_changed(hidden)
    bench.keys("section thickness", *["ArrowRight"] * 3)
    bench.when_changed(shown)
    bench.at_rest()
    left, thick = bench.sentence(), bench.slider("section thickness").get_attribute("aria-valuenow")
    verdict = next(words for words in lesson.words().splitlines() if words.startswith("You were"))
    lesson.page.keyboard.press("Control+s")
    lesson.wait_for(lambda: (folder / name).read_text(encoding="utf-8"), lambda text: "You expected" in text)
    end_all_kernels(server)
    lesson.page.close()

    lesson = lab.Notebook(browser, server, name)
    lesson.wait_for(lambda: lesson.page.evaluate(LEFT), lambda words: f"You expected: {expected}" in words)
    lesson.wait_for(lambda: lesson.page.evaluate(NOT_READY), lambda count: count == 0)
    words = lesson.page.evaluate(LEFT)
    assert "choose Run and then Run All Cells" in words and "kernel" not in words.lower()
    lesson.screenshot("comes_back_not_run", lesson.page.locator(".castlab-last-time"))
    lesson.run_all()
    assert lesson.page.evaluate(LEFT) == "" and "You worked here today" in lesson.words()
    bench = lesson.bench()
    hidden = bench.state()
    lesson.screenshot("comes_back_welcome", lesson.page.get_by_role("button", name="Continue where I was"))
    pressed = time.monotonic()
    lesson.press("continue where I was")
    lesson.wait_for(lesson.words, lambda words: "Everything stands as you left it." in words)
    lesson.wait_for(bench.state, lambda now: now[0] != hidden[0] and now[1] != hidden[1])
    back = time.monotonic() - pressed
    lesson.wait_for(bench.sentence, lambda words: words == left)
    with capsys.disabled():
        print(f"\npressed Continue: bench, picture and verdict after {back:.1f} s, the full answer after "
              f"{time.monotonic() - pressed:.1f} s")
    bench.at_rest()
    assert bench.sentence() == left
    assert bench.slider("section thickness").get_attribute("aria-valuenow") == thick
    assert verdict in lesson.words() and lesson.alerts() == []
    lesson.screenshot("comes_back_continued", bench.output)
    lesson.close()


def test_the_start_page_leads_to_the_lessons(opened, server, folder):
    server.add(LESSONS / "01_first_casting.ipynb")
    page = opened(LESSONS / "00_start_here.ipynb")
    page.run_all()
    page.page.get_by_role("link", name="lesson 1, The first casting").click()
    page.page.get_by_role("heading", name="1. The first casting").wait_for()
    page.screenshot("start_here_link", page.page.locator(".jp-Notebook").last)
    assert page.alerts() == []
