"""What solids cost and how right they are: python -m tests.benchmark.solids [large]

One line for each course part: cells, freezing, account, memory, for a quick look and for the answer; then
blocks, ball and plate against values without cells. `large` adds a million cells. Times are processor time
of this machine, the least of three.
"""

import math
import resource
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers"), str(ROOT / "tests" / "field")]

import cases  # noqa: E402
import test_freeze  # noqa: E402
from test_conduct import BLOCKS  # noqa: E402

from castlab import Setup, alloy, freeze, mould, shrinkage  # noqa: E402
from castlab.field.bodies import ball, prism  # noqa: E402
from castlab.field.grid_lines import FULL, QUICK, cell_for  # noqa: E402
from castlab.field.layout import Layout, box  # noqa: E402
from castlab.field.parts import PARTS, layout_of  # noqa: E402

PACE = {FULL: 1.0, QUICK: 3.0}
LARGE_CELL_M = 0.94e-3  # cuts a fed eye plate into about a million cells


def timed(setup, cell, pace, repeats=3):
    """(run, account, least processor time of each [s])."""
    froze, paid = [], []
    for _ in range(repeats):
        start = time.process_time()
        run = freeze(setup, cell, pace)
        middle = time.process_time()
        account = shrinkage(run, at_rest=pace == 1.0)
        froze.append(middle - start)
        paid.append(time.process_time() - middle)
    return run, account, min(froze), min(paid)


def line(what, setup, cell, pace, repeats=3):
    """One row of the table."""
    run, account, froze, paid = timed(setup, cell, pace, repeats)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    print(
        f"{what:34s} {cell * 1e3:5.2f} mm {run.grid.metal.size:8d} cells {1e3 * froze:8.0f} ms "
        f"{1e3 * paid:6.0f} ms {memory:5.0f} MB  {run.last_time_s:6.1f} s  {account.verdict:9s} "
        f"{100 * account.defect_share:.2f} %  energy {run.energy_error:.0e}",
        flush=True,
    )


def fed(part):
    """A course part with a feeder, in ZA-12 and green sand."""
    layout = layout_of(part, feeder_width=0.034, feeder_height=0.06)
    return Setup(layout, alloy("ZA-12"), mould("green sand"), 475.0)


def accuracy(layout, without_cells_s, what):
    """The same body in a quick look and on finer and finer cells, in per cent of its value without cells."""
    setup = Setup(layout, cases.REFERENCE_METAL, cases.REFERENCE_SAND, cases.REFERENCE_POUR_C)
    off = [
        f"{cell * 1e3:g} mm {100 * (freeze(setup, cell, pace).last_time_s / without_cells_s - 1):+.2f} %"
        for cell, pace in ((6e-3, 3.0), (4e-3, 1.0), (3e-3, 1.0), (2e-3, 1.0))
    ]
    print(f"{what:34s} {without_cells_s:.2f} s: {', '.join(off)}", flush=True)


def main():
    """Print all."""
    for part in PARTS:
        for look in (QUICK, FULL):
            setup = fed(part)
            line(
                f"{part}, {'answer' if look is FULL else 'quick look'}",
                setup,
                cell_for(setup.layout, look),
                PACE[look],
            )
    for depth, seconds in BLOCKS.items():
        body = box("block", "casting", (-0.02, 0.02), (-0.02, 0.02), (-depth / 2, depth / 2))
        flask = (-0.08, -0.08, -0.06 - depth / 2), (0.08, 0.08, 0.06 + depth / 2)
        accuracy(Layout((body,), *flask), seconds, f"block 40 x 40 x {depth * 1e3:g} mm")
    body = ball("ball", "casting", (0.0, 0.0, 0.0), 0.05)
    accuracy(
        Layout((body,), (-0.085,) * 3, (0.085,) * 3),
        test_freeze._on_a_ray(2, 0.025),
        "ball of 50 mm",
    )
    plates = []
    for degrees in (0, 45):
        cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        corners = [
            (x * cos - y * sin, x * sin + y * cos)
            for x, y in ((-0.05, -0.007), (0.05, -0.007), (0.05, 0.007), (-0.05, 0.007))
        ]
        plates.append(
            Layout(
                (prism("plate", "casting", "z", corners, (-6e-3, 6e-3)),),
                (-0.12, -0.12, -6e-3),
                (0.12, 0.12, 6e-3),
            )
        )
    setup = Setup(plates[0], cases.REFERENCE_METAL, cases.REFERENCE_SAND, cases.REFERENCE_POUR_C)
    accuracy(plates[1], freeze(setup, 1e-3).last_time_s, "plate of 14 mm, turned by 45 deg")
    if "large" in sys.argv:
        line("eye plate, a million cells", fed("eye plate"), LARGE_CELL_M, 1.0, repeats=1)


if __name__ == "__main__":
    main()
