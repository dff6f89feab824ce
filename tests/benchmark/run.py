"""Accuracy against time, as a table: python -m tests.benchmark.run (all: with the browser, cures, libraries)

Times are medians of processor time on this machine (imports: of the clock); they drift by a third from day to
day, more while other work runs, and stand beside their targets as information. The tests hold the accuracy.
The reference problem and its 355.85 s are explained in tests/field/test_freeze.py. `all` goes on with the
other benchmarks that have something to do with speed, one after the other; what is not installed is left out.
"""

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers")]

import cases  # noqa: E402

from castlab import Setup, alloy, freeze, mould, parts, shrinkage  # noqa: E402
from castlab.field.outcome import COARSE, FULL  # noqa: E402
from castlab.rules.furnace import SMALL_FURNACE, heat_up  # noqa: E402
from castlab.teach.bench.casting import solve_casting  # noqa: E402
from castlab.teach.bench.ready_made import eye_plate_bench, sheave_bench  # noqa: E402
from castlab.teach.picture.reel import reel_of  # noqa: E402
from castlab.teach.read_defect import hidden_castings  # noqa: E402
from castlab.units import METRIC  # noqa: E402

LAST_SOLID_S = 355.85
OTHERS = ("latency",), ("cures", "time"), ("cures", "map"), ("libraries",)
CUBE_CELL_M = 0.385e-3  # cuts the eighth of a cube of 40 mm and its sand into about 96 x 96 x 96 cells
# Heat content of ZA-12 from 25 deg C, computed from a public thermodynamic database (COST 507): deg C, J/kg.
ZA12 = (25, 300, 379, 382, 400, 420, 431.5, 450, 500), (
    0, 170e3, 213.5e3, 269e3, 307e3, 352e3, 376e3, 386e3, 413e3)
DRAWN = 2, 4, 5, 8, 12, 26  # numbers of castings of lesson 10


def median_ms(work, repeats):
    """Median processor time of some calls [ms], after one that fills the caches."""
    work()
    taken = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return 1e3 * statistics.median(taken)


def import_ms(statement, repeats=5):
    """Median time of an import in a fresh Python [ms], the start of Python itself left out."""
    code = f"import time; start = time.perf_counter(); {statement}; print(time.perf_counter() - start)"
    runs = [
        subprocess.check_output([sys.executable, "-c", code], cwd=ROOT, text=True) for _ in range(repeats)
    ]
    return 1e3 * statistics.median(float(run) for run in runs)


def reference(cell):
    """The reference problem, a few cells deep, so that heat flows in two directions only."""
    layout = cases.bar_and_block(cell)
    return Setup(layout, cases.REFERENCE_METAL, cases.REFERENCE_SAND, cases.REFERENCE_POUR_C)


def rows():
    """(what, measured, target) as text, one at a time as they are done."""
    for cell, limit in ((4e-3, ""), (2e-3, "within 1.5 %"), (1e-3, "within 0.6 %")):
        run = freeze(reference(cell), cell=cell)
        off = 100.0 * (run.last_time_s / LAST_SOLID_S - 1.0)
        yield f"reference, {cell * 1e3:g} mm: last solid", f"{run.last_time_s:.1f} s ({off:+.2f} %)", limit
        yield f"reference, {cell * 1e3:g} mm: energy", f"{run.energy_error:.0e}", "1e-10"
    for cell, repeats, limit in ((2e-3, 9, "120 ms"), (1e-3, 3, "")):
        taken = median_ms(lambda cell=cell: freeze(reference(cell), cell=cell), repeats)
        yield f"reference, {cell * 1e3:g} mm: solve", f"{taken:.0f} ms", limit
    yield from of_a_bench("eye plate", eye_plate_bench(feeder_width=0.04, feeder_height=0.05))
    yield from of_a_bench("sheave", sheave_bench())
    plate = Setup(
        parts.eye_plate(feeder_width=0.04, feeder_height=0.05), alloy("ZA-12"), mould("green sand"), 472.0
    )
    run = freeze(plate, cell=2e-3)
    yield "eye plate, 2 mm: solve", f"{median_ms(lambda: freeze(plate, cell=2e-3), 9):.0f} ms", ""
    yield "eye plate, 2 mm: account", f"{median_ms(lambda: shrinkage(run), 9):.0f} ms", "40 ms"
    taken = median_ms(lambda: heat_up(SMALL_FURNACE, 472.0, 1.1, *ZA12), 9)
    yield "furnace: one run", f"{taken:.0f} ms", "20 ms"
    yield "casting of lesson 10: drawn", f"{1e-3 * median_of_draws_ms():.1f} s", "3 s"
    yield (
        "import castlab, freeze and shrinkage",
        f"{import_ms('from castlab import freeze, shrinkage'):.0f} ms",
        "500 ms",
    )
    only = "import castlab.materials; from castlab.rules import contraction, filling, freezing, modulus"
    yield "import materials and rules", f"{import_ms(only):.0f} ms", "200 ms"


def median_of_draws_ms():
    """Median processor time of a draw [ms], each of another casting."""
    return statistics.median(median_ms(lambda number=number: hidden_castings._drawn.__wrapped__(number), 1)
                             for number in DRAWN)


def of_a_bench(name, bench):
    """What a slider waits for: a quick look, the answer, and the picture of it."""
    setup = bench.setup()
    for words, look in (("quick look", COARSE), ("answer", FULL)):
        yield f"{name}: {words}", f"{median_ms(lambda look=look: solve_casting(setup, look), 9):.0f} ms", ""
    picture, scene = bench._picture, bench._scene
    yield f"{name}: picture redrawn", f"{median_ms(lambda: picture.show(scene).png(), 15):.0f} ms", "15 ms"
    result = bench.result
    filmed = median_ms(lambda: reel_of(result.account, result.section, METRIC), 5)
    yield f"{name}: film made", f"{filmed:.0f} ms", "1500 ms"


def cube():
    """A cube in three dimensions, solved once."""
    values = cases.REFERENCE_METAL, cases.REFERENCE_SAND, cases.REFERENCE_POUR_C
    start = time.process_time()
    run = freeze(Setup(cases.eighth_of_block(40e-3, 40e-3, 40e-3), *values), cell=CUBE_CELL_M)
    return " x ".join(str(count) for count in run.grid.shape), time.process_time() - start


if __name__ == "__main__":
    print(f"{'what':40s} {'measured':>24s}   target")
    for what, measured, target in rows():
        print(f"{what:40s} {measured:>24s}   {target}", flush=True)
    if sys.argv[1:] == ["all"]:
        shape, seconds = cube()
        print(f"{'cube in three dimensions, ' + shape:40s} {f'{seconds:.1f} s':>24s}", flush=True)
        for other in OTHERS:
            print(f"--- {' '.join(other)}", flush=True)
            subprocess.run([sys.executable, "-m", f"tests.benchmark.{other[0]}", *other[1:]], cwd=ROOT)
