"""Browsers that keep nothing, that are old or short of memory, and a page closed in the middle of writing."""

import json
import re

import pytest
import site_lab

from castlab.teach.course.kept_course import IN_THE_BROWSER_ALONE

LESSON = "lessons/01_first_casting.ipynb"
REFUSED = "{ get() { throw new DOMException('Access is denied', 'SecurityError'); } }"
NO_STORAGE = "".join(f"Object.defineProperty(window, '{name}', {REFUSED});"
                     for name in ("indexedDB", "localStorage"))
NO_WORKERS = f"Object.defineProperty(Navigator.prototype, 'serviceWorker', {REFUSED});"
SHORT = "Object.defineProperty(Navigator.prototype, 'deviceMemory', { get() { return 1; } });"
OLD = "delete window.WebAssembly;"
MANY = 400
WRITES = f"""
from dataclasses import replace
from castlab.teach.bench.lesson_memory import the_course
for number in range({MANY}):
    more = {{"looks " + number * "." : number}}  # the file has another length each time
    the_course().keep_lesson("first_casting", lambda lesson: replace(lesson, fewest=lesson.fewest | more))
    if number == 5:
        print("begun")
"""
READ = """
import json
from castlab.teach.bench.lesson_memory import the_course
print(json.dumps([the_course().notes, sorted(the_course().record.lesson("first_casting").fewest.values())]))
"""
START = """code => {
    window.heard = '';
    const future = castlabPanel.sessionContext.session.kernel.requestExecute({code});
    future.onIOPub = ({content}) => { window.heard += content.text || content.evalue || ''; };
}"""


@pytest.fixture
def window(browser):
    """A function: what a browser lacks, as a script -> a window of its own."""
    contexts = []

    def open_window(script):
        contexts.append(browser.browser.new_context())
        contexts[-1].add_init_script(script)
        return contexts[-1]

    yield open_window
    for context in contexts:
        context.close()


def first_page(context, address):
    page = context.new_page()
    page.goto(f"{address}/")
    return page


@pytest.mark.parametrize("script, said", [
    (NO_STORAGE, "lets the course keep nothing: all that you do is gone"),
    (NO_WORKERS, "Nothing that you do is kept in this window"),
    (SHORT, "This device has little memory"), (OLD, "This browser is too old")])
def test_what_a_browser_lacks_is_said_before_the_course_opens(window, address, script, said):
    page = first_page(window(script), address)
    alert = page.get_by_role("alert").locator("p")
    alert.wait_for()
    assert said in alert.inner_text() and alert.count() == 1
    assert page.get_by_role("link", name="Open the course").get_attribute("href").startswith("lab/")


def test_a_browser_that_lacks_nothing_opens_the_course_at_once(window, address):
    page = first_page(window(""), address)
    page.wait_for_url(re.compile("lab/index.html"))


def test_without_any_storage_the_lesson_goes_on(window, address):
    notebook = site_lab.SiteNotebook(window(NO_STORAGE), address, LESSON)
    works(notebook)


def test_without_a_way_to_the_files_the_lesson_says_so_and_goes_on(window, address):
    notebook = site_lab.SiteNotebook(window(NO_WORKERS), address, LESSON)
    works(notebook)
    assert IN_THE_BROWSER_ALONE in notebook.page.locator(".jp-Notebook").inner_text()


def works(notebook):
    """A prediction is taken, and a slider moves picture and sentence."""
    notebook.run_all()
    notebook.choose(1)
    notebook.press("This is what I expect")
    bench = notebook.bench_with_sliders()
    before = bench.at_rest()
    bench.keys("feeder width", "End")
    assert bench.when_changed(before)[1].startswith("Sound: ")
    assert notebook.alerts() == [] and notebook.outside == []


def test_a_page_closed_while_it_writes_leaves_what_was_kept_whole(window, address):
    context = window("")
    notebook = site_lab.SiteNotebook(context, address, LESSON)
    notebook.page.evaluate(START, WRITES)
    notebook.page.wait_for_function("() => window.heard")
    assert notebook.page.evaluate("() => window.heard").strip() == "begun"
    notebook.page.close()
    again = site_lab.SiteNotebook(context, address, LESSON)
    again.run_all()
    notes, kept = json.loads(again.run_code(READ))
    assert notes == [] and again.alerts() == []
    assert kept == list(range(len(kept))) and 5 < len(kept) < MANY
