"""From a key on a slider to the new picture in a real browser: python -m tests.benchmark.latency

For lessons 1, 4, 5 and 6: one key after another, each pressed when the picture of the last has been drawn;
how long after the slider's rest the full answer follows; and a key held for five seconds, as a keyboard
repeats it: how long after its release the pictures go on to change. Needs what tests/browser needs.
"""

import math
import statistics
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "browser")]

import lab  # noqa: E402

from castlab.teach.bench.bench import REST_SECONDS  # noqa: E402

LESSONS = {
    "01_first_casting": ("section thickness", "heavy-end size", "feeder width", "pouring temperature"),
    "04_heavy_sections": ("rib thickness", "wall thickness", "section thickness", "pouring temperature"),
    "05_feeders": ("feeder width", "feeder height", "pouring temperature"),
    "06_cures_without_a_feeder": ("heavy-end size", "gate thickness", "pouring temperature"),
}
MOVES, HELD_SECONDS, REPEATS_A_SECOND = 9, 5.0, 30
TARGETS_MS = {"median": 100, "95 %": 180, "full answer": 250, "held key": 300}
# When each key went down or up and when each picture had been drawn.
WATCH = """picture => {
    window.keyTimes = []; window.pictureTimes = [];
    if (picture.watched) return;
    picture.watched = true;
    for (const kind of ['keydown', 'keyup'])
        document.addEventListener(kind, () => keyTimes.push(performance.now()), true);
    picture.addEventListener('load', () => requestAnimationFrame(() => pictureTimes.push(performance.now())));
}"""
PICTURES = "() => pictureTimes"
LAST_KEY = "() => keyTimes[keyTimes.length - 1]"


def moved(bench, label):
    """Delays [ms] of some keys from the slider's high end, and of the full answer after its rest."""
    bench.keys(label, "End")
    bench.at_rest()
    delays = bench.key_to_picture_ms(label, ["ArrowLeft"] * MOVES)
    bench.at_rest()
    page = bench.notebook.page
    bench.picture().evaluate(WATCH)
    bench.keys(label, "ArrowLeft")
    bench.at_rest()
    drawn = page.evaluate(PICTURES)
    return delays, [drawn[-1] - drawn[0] - 1e3 * REST_SECONDS] if len(drawn) > 1 else []


def held(bench, label):
    """How long [ms] after a held key's release the last picture came that is not the full answer."""
    page = bench.notebook.page
    bench.keys(label, "End")
    bench.at_rest()
    bench.picture().evaluate(WATCH)
    bench.slider(label).focus()
    for press in range(int(HELD_SECONDS * REPEATS_A_SECOND)):
        page.keyboard.down("ArrowLeft" if press % 16 < 8 else "ArrowRight")  # to and fro: no end is reached
        page.wait_for_timeout(1e3 / REPEATS_A_SECOND)
    page.keyboard.up("ArrowRight")
    page.keyboard.up("ArrowLeft")
    bench.at_rest()
    released, drawn = page.evaluate(LAST_KEY), page.evaluate(PICTURES)
    late = [time - released for time in drawn if time > released]
    return late[-2] if len(late) > 1 else 0.0, len(drawn) / HELD_SECONDS


def of_lesson(notebook, labels):
    """Rows of a lesson: delays of its keys, its full answers, and its held key."""
    bench, delays, full = notebook.bench(), [], []
    notebook.press("show without predicting")
    bench.at_rest()
    for label in labels:
        quick, rest = moved(bench, label)
        delays, full = delays + quick, full + rest
    after, rate = held(bench, labels[0])
    ninety_five = sorted(delays)[math.ceil(0.95 * len(delays)) - 1]
    return {
        "keys": len(delays), "median": statistics.median(delays), "95 %": ninety_five, "slowest": max(delays),
        "full answer": statistics.median(full), "held key": after, "pictures/s": rate,
    }


def rows():
    """(lesson, {name: value}) for each lesson, as they are done."""
    with tempfile.TemporaryDirectory() as folder, lab.running_lab(folder) as server:
        with lab.running_browser() as browser:
            for lesson, labels in LESSONS.items():
                path = ROOT / "notebooks" / "lessons" / f"{lesson}.ipynb"
                notebook = lab.Notebook(browser, server, server.add(path))
                notebook.run_all()
                yield lesson, of_lesson(notebook, labels)
                notebook.close()


if __name__ == "__main__":
    print("wanted [ms]: " + ", ".join(f"{name} {most}" for name, most in TARGETS_MS.items()))
    for lesson, found in rows():
        print(f"{lesson}: " + ", ".join(f"{name} {value:.0f}" for name, value in found.items()), flush=True)
