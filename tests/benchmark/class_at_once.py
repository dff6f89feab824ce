"""A class on one server: python -m tests.benchmark.class_at_once [10]

So many students have lesson 1 open, each with a kernel, and press a key on a slider at the same moment, again
and again: how long until the picture, and how much memory each kernel holds. The browsers of all of them run
on the same machine here, which a class would not do. Needs what tests/browser needs.
"""

import math
import statistics
import sys
import tempfile
from pathlib import Path

from tests.benchmark.latency import LAST_KEY, PICTURES, ROOT, WATCH, lab

LESSON = ROOT / "notebooks" / "lessons" / "01_first_casting.ipynb"
SLIDERS = "section thickness", "heavy-end size", "pouring temperature"
ROUNDS, WAIT_MS = 8, 4000


def students(count, browser, server):
    """So many open lessons, each in a page of its own, and their benches with the result shown."""
    for number in range(count):
        copy = Path(server.folder) / f"{number}.ipynb"
        copy.write_bytes(LESSON.read_bytes())
        notebook = lab.Notebook(browser, server, copy.name)
        notebook.run_all()
        notebook.press("show without predicting")
        bench = notebook.bench()
        bench.at_rest()
        yield bench
        print(f"{number + 1} of {count} are ready", end="\r", flush=True)


def together(benches, label, key):
    """All press a key on one slider: delays [ms] until each one's first picture; None where none came."""
    for bench in benches:
        bench.picture().evaluate(WATCH)
        bench.slider(label).focus()
    for bench in benches:
        bench.notebook.page.keyboard.press(key)
    benches[0].notebook.page.wait_for_timeout(WAIT_MS)
    for bench in benches:
        pressed, drawn = (bench.notebook.page.evaluate(each) for each in (LAST_KEY, PICTURES))
        yield drawn[0] - pressed if drawn else None


def megabytes_of_kernels():
    """Memory in use of each kernel on this machine [MB]; Linux."""
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        try:
            if b"ipykernel_launcher" in (process / "cmdline").read_bytes():
                kilobytes = (process / "status").read_text().split("VmRSS:")[1].split()[0]
                found.append(float(kilobytes) / 1024)
        except (OSError, IndexError):  # it has ended meanwhile
            continue
    return found


def main():
    """Print what was measured."""
    count = int(sys.argv[1]) if sys.argv[1:] else 10
    with tempfile.TemporaryDirectory() as folder, lab.running_lab(folder) as server:
        with lab.running_browser() as browser:
            benches = list(students(count, browser, server))
            at_first = megabytes_of_kernels()
            delays = [delay for number in range(ROUNDS) for label in SLIDERS
                      for delay in together(benches, label, "ArrowLeft" if number % 2 else "ArrowRight")]
            after = megabytes_of_kernels()
    came = sorted(delay for delay in delays if delay is not None)
    print(f"{count} at once: {len(delays)} keys, {len(delays) - len(came)} without a picture; "
          f"key to picture median {statistics.median(came):.0f} ms, "
          f"95 % {came[math.ceil(0.95 * len(came)) - 1]:.0f}, slowest {came[-1]:.0f}")
    print(f"kernels hold {statistics.median(at_first):.0f} MB each at first, "
          f"{statistics.median(after):.0f} after {len(SLIDERS) * ROUNDS} settings")


if __name__ == "__main__":
    main()
