"""The kept page to touch, opened from a file: sliders, words, picture, film, three widths, no request."""

import json
import os
import re
import statistics
from pathlib import Path

import pytest

PAGE = Path(__file__).resolve().parents[2] / "figures" / "01_first_casting.html"
SIZES = {390: 844, 1366: 768, 1920: 1080}
SEEN = "#picture"
STATES = re.compile(r'(?<=id="states">)(.*?)(?=</script>)')
# From a key to the first frame after the new picture can be drawn, for each of these moves [ms].
STEPS = """async () => {
    const inputs = [...document.querySelectorAll('.sliders input')];
    const picture = document.getElementById('picture');
    const delays = [];
    for (let move = 0; move < 60; move++) {
        const input = inputs[move % 3];
        const start = performance.now();
        input.value = (Number(input.value) + 1) % (Number(input.max) + 1);
        input.dispatchEvent(new Event('input'));
        await picture.decode();
        delays.push(performance.now() - start);
        await new Promise(requestAnimationFrame);
    }
    return delays;
}"""
FOCUSED = "() => document.activeElement.closest('label').textContent"
LOADED = "() => performance.getEntriesByType('navigation')[0].loadEventEnd"


@pytest.fixture
def opened_page(browser):
    """A function: width -> the page in a window of that width; its requests and errors are noted."""
    pages = []

    def open_page(width, address=PAGE.as_uri()):
        page = browser.new_page()
        pages.append(page)
        page.requested, page.errors = [], []
        page.on("request", lambda request: page.requested.append(request.url))
        page.on("pageerror", lambda error: page.errors.append(str(error)))
        page.on("console", lambda message: page.errors.append(message.text))
        page.set_viewport_size({"width": width, "height": SIZES[width]})
        page.goto(address)
        return page

    yield open_page
    for page in pages:
        asked = [url for url in page.requested if not url.startswith(("data:", "file:"))]
        assert (asked, page.errors) == ([], [])
        assert len([url for url in page.requested if url.startswith("file:")]) == 1
        page.close()


def state(page):
    return (page.locator("#said").text_content(), page.locator(SEEN).get_attribute("src"),
            page.locator("#below").text_content())


def shot(page, name, whole=False):
    folder = os.environ.get("CASTLAB_SHOTS")
    if folder:
        page.screenshot(path=f"{folder}/{name}.png", full_page=whole)


@pytest.mark.parametrize("width", SIZES)
def test_it_fits_and_sliders_move_by_key_and_by_mouse(opened_page, width):
    page = opened_page(width)
    before = state(page)
    assert re.match(r"A sink of .* on top of the boss", before[0])
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    shot(page, f"touch_{width}")
    feeder = page.get_by_role("slider", name="feeder width")
    feeder.focus()
    page.keyboard.press("End")
    by_key = state(page)
    assert by_key[0].startswith("Sound: ") and all(a != b for a, b in zip(before, by_key, strict=True))
    assert feeder.get_attribute("aria-valuetext") == "48 mm"
    assert page.locator(SEEN).get_attribute("alt") == by_key[0]
    shot(page, f"touch_{width}_fed")
    box = feeder.bounding_box()
    page.mouse.move(box["x"] + box["width"] - 8, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + 3, box["y"] + box["height"] / 2, steps=8)
    page.mouse.up()
    assert state(page) == before
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")


def test_sliders_can_be_reached_and_read_without_a_mouse(opened_page):
    page = opened_page(1366)
    for name in ("section thickness", "heavy-end size", "feeder width"):
        page.keyboard.press("Tab")
        assert page.evaluate(FOCUSED).strip().startswith(name)
        assert page.get_by_role("slider", name=name).get_attribute("aria-valuetext").endswith(" mm")
    assert page.locator("#said").get_attribute("aria-live") == "polite"


def test_the_film_of_a_state_is_shown_and_goes_when_a_slider_moves(opened_page):
    page = opened_page(1366)
    page.locator("#see").click()
    time = page.locator("#film input")
    time.wait_for()
    words = page.locator("#film .words")
    assert words.text_content().startswith("0 s after the pour")
    time.focus()
    page.keyboard.press("End")
    assert words.text_content().endswith("All metal is solid.")
    shot(page, "touch_film", whole=True)
    page.get_by_role("slider", name="heavy-end size").focus()
    page.keyboard.press("ArrowRight")
    assert page.locator("#film *").count() == 0


def test_what_cannot_be_cast_says_why_over_a_grey_picture(opened_page, tmp_path):
    before, data, after = STATES.split(PAGE.read_text(encoding="utf-8"), maxsplit=1)
    data = json.loads(data)
    refused = {"said": "This cannot be cast. The feeder is wider than what it stands on.", "below": ""}
    states = [{**state, **refused, "png": None, "film": None} for state in data["states"]]
    firsts = [slider["first"] for slider in data["sliders"]]
    begun = data["at"][sum(first * states for first, states in zip(firsts, (20, 5, 1), strict=True))]
    states[begun] = data["states"][begun]
    file = tmp_path / "refused.html"
    file.write_text(before + json.dumps({**data, "states": states}) + after, encoding="utf-8")
    page = opened_page(1366, file.as_uri())
    assert not page.locator(SEEN).get_attribute("class") and page.locator("#see").is_enabled()
    page.get_by_role("slider", name="feeder width").focus()
    page.keyboard.press("ArrowRight")
    assert page.locator("#said").text_content() == refused["said"]
    assert page.locator(SEEN).get_attribute("class") == "greyed" and page.locator("#see").is_disabled()
    shot(page, "touch_refused")
    page.keyboard.press("Home")
    assert not page.locator(SEEN).get_attribute("class") and page.locator("#see").is_enabled()


def test_without_javascript_the_first_state_is_there(browser):
    context = browser.browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(PAGE.as_uri())
    assert "need JavaScript" in page.locator("noscript").inner_text()
    assert page.locator("noscript img").get_attribute("alt").startswith("A sink of ")
    context.close()


def test_it_opens_and_steps_quickly(opened_page, capsys):
    page = opened_page(1366)
    page.wait_for_function("() => performance.getEntriesByType('navigation')[0].loadEventEnd > 0")
    loaded, delays = page.evaluate(LOADED), sorted(page.evaluate(STEPS))
    with capsys.disabled():
        print(f"\npage to touch: loaded in {loaded:.0f} ms; a step in {statistics.median(delays):.1f} ms, "
              f"95 % {delays[56]:.1f} ms")
