"""How soon a lesson stands as it was left, in a real browser: python -m tests.benchmark.comes_back [N ...]

Each lesson (by number, all when left out) is worked at in a process of its own, then opened in JupyterLab
and run. Measured from the press on *Continue where I was*: until the first bench, with its question and
verdict, is back; until its full answer stands there. Beside it how long one full answer of lesson 1 takes in
this process: how fast the machine is at that moment. Needs what tests/browser needs.
"""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "browser")]

import lab  # noqa: E402

from castlab.field.design import design  # noqa: E402
from castlab.field.outcome import FULL, pour  # noqa: E402
from castlab.materials import alloy, mould  # noqa: E402
from castlab.teach.course.kept_course import FILE  # noqa: E402
from castlab.teach.course.the_lessons import LESSONS  # noqa: E402

SESSION = ROOT / "tests" / "helpers" / "lesson_session.py"
NOTEBOOKS = ROOT / "notebooks" / "lessons"
WANTED_S = 2.0
BACK = "Everything stands as you left it."


def work_at(lesson, folder):
    """Leave the record of a student who has done something of everything in that lesson."""
    paths = os.pathsep.join([str(ROOT), str(SESSION.parent)])
    subprocess.run([sys.executable, SESSION, NOTEBOOKS / lesson.file, folder, "act"], check=True,
                   env=os.environ | {"PYTHONPATH": paths}, stdout=subprocess.DEVNULL)


def reference_s():
    """One full answer of lesson 1's bench [s], here and now."""
    began = time.perf_counter()
    pour(design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0), FULL)
    return time.perf_counter() - began


def come_back(notebook):
    """Seconds from the press until bench and verdict are back, and until the full answer is."""
    bench = notebook.bench()
    hidden = bench.state()
    began = time.monotonic()
    notebook.press("continue where I was")
    notebook.wait_for(notebook.words, lambda words: BACK in words)
    notebook.wait_for(bench.state, lambda now: now[0] != hidden[0] and now[1] != hidden[1])
    back, still, last = time.monotonic() - began, time.monotonic(), bench.picture_hash()
    while time.monotonic() - still < 2.0:
        now = bench.picture_hash()
        if now != last:
            last, still = now, time.monotonic()
        notebook.page.wait_for_timeout(20)
    return back, still - began


def main(numbers):
    chosen = [lesson for lesson in LESSONS if not numbers or str(lesson.number) in numbers]
    print(f"{'':<34}{'back':>7}{'full':>7}   one full answer at that time; wanted: back in {WANTED_S:g} s")
    with tempfile.TemporaryDirectory() as temporary, lab.running_lab(temporary) as server, \
            lab.running_browser() as browser:
        for lesson in chosen:
            (server.folder / FILE).unlink(missing_ok=True)
            work_at(lesson, server.folder)
            notebook = lab.Notebook(browser, server, server.add(NOTEBOOKS / lesson.file))
            notebook.run_all()
            back, full = come_back(notebook)
            notebook.close()
            once = reference_s()
            print(f"{lesson.number:>3} {lesson.title:<30}{back:>6.1f}s{full:>6.1f}s   {once:.2f} s, "
                  f"ratio {back / once:.1f}{'' if back <= WANTED_S else '  too slow'}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
