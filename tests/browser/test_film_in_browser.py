"""The film under a bench: it is asked for, played, and moved by keys, without a kernel."""

import re
import statistics

import lab
import pytest

CELLS = ["from castlab.teach.bench.ready_made import eye_plate_bench\n"
         "bench = eye_plate_bench(feeder_width=0.03, feeder_height=0.06)\nbench"]
SHOWN = ".castlab-film .words"
# What stands on the canvas and on the slider at each of the browser's redraws until the play ends.
PLAYED = """async () => {
    const film = document.querySelector('.castlab-film'), time = film.querySelector('input');
    const button = film.querySelector('button'), seen = [];
    button.click();
    for (let number = 0; number < 2000 && button.textContent === 'Stop'; number++) {
        seen.push([performance.now(), Number(time.value)]);
        await new Promise(requestAnimationFrame);
    }
    return seen;
}"""
# How long it takes to show each of sixty frames, asked for one after the other.
MOVED = """() => {
    const time = document.querySelector('.castlab-film input'), delays = [];
    for (let frame = 0; frame < 60; frame++) {
        const start = performance.now();
        time.value = 2 * frame;
        time.dispatchEvent(new Event('input'));
        delays.push(performance.now() - start);
    }
    return delays;
}"""
CANVAS = """() => {
    const canvas = document.querySelector('.castlab-film canvas');
    const bytes = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data;
    const counts = {};
    for (let at = 0; at < bytes.length; at += 4) {
        const colour = bytes.slice(at, at + 3).join();
        counts[colour] = (counts[colour] || 0) + 1;
    }
    return counts;
}"""
LIQUID, SOLID = "255,214,90", "70,84,110"


@pytest.fixture
def film(opened, tmp_path):
    notebook = opened(lab.notebook_of(CELLS, tmp_path / "film.ipynb"))
    notebook.run_all()
    notebook.bench().at_rest()
    notebook.press("see it freeze")
    notebook.wait_for(lambda: notebook.page.locator(SHOWN).count(), lambda count: count == 1)
    notebook.wait_for(lambda: notebook.page.locator(SHOWN).text_content(), bool)
    return notebook


def test_time_is_moved_by_keys_and_the_words_follow(film):
    time = film.page.locator(".castlab-film input")
    first, words = film.page.evaluate(CANVAS), film.page.locator(SHOWN).text_content()
    assert first.get(LIQUID, 0) > 10000 and SOLID not in first and words.startswith("0 s after the pour")
    film.screenshot("film_start", time)
    cell = film.page.evaluate("() => castlabPanel.content.activeCellIndex")
    time.focus()
    for _ in range(40):
        film.page.keyboard.press("ArrowRight")
    assert time.input_value() == "40"
    assert film.page.evaluate("() => castlabPanel.content.activeCellIndex") == cell
    middle = film.page.evaluate(CANVAS)
    assert middle.get(LIQUID, 0) < first[LIQUID] and middle != first
    assert "the gate" in film.page.locator(SHOWN).text_content()
    film.screenshot("film_middle", time)
    film.page.keyboard.press("End")
    last = film.page.evaluate(CANVAS)
    assert LIQUID not in last and last[SOLID] > 10000
    assert film.page.locator(SHOWN).text_content().endswith("All metal is solid.")
    film.screenshot("film_end", time)
    film.page.keyboard.press("Home")
    assert film.page.evaluate(CANVAS) == first
    assert film.alerts() == []


def test_it_plays_in_order_and_each_frame_is_quick(film, capsys):
    seen = film.page.evaluate(PLAYED)
    frames = [frame for _, frame in seen]
    assert frames == sorted(frames) and len(set(frames)) >= 60
    delays = sorted(film.page.evaluate(MOVED))
    with capsys.disabled():
        seconds = (seen[-1][0] - seen[0][0]) / 1000
        print(f"\nfilm: {len(set(frames))} frames in {seconds:.1f} s; moved to a frame in "
              f"{statistics.median(delays):.1f} ms, 95 % {delays[56]:.1f} ms")


def test_another_state_of_the_bench_takes_the_film_away(film):
    film.bench().keys("feeder width", "ArrowRight")
    film.wait_for(lambda: film.page.locator(".castlab-film").count(), lambda count: count == 0)
    button = film.page.get_by_role("button", name=re.compile("see it freeze", re.IGNORECASE))
    assert button.is_enabled()
