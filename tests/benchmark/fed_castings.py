"""Verdicts on cells of several sizes: python -m tests.benchmark.fed_castings [6 4 2]   (sizes in mm)

Eleven fed castings (four parts, feeders too small to large enough) in seven alloys. The first size is a quick
look, the second the answer, the third about half the answer's cells. Prints one line a casting, then how many
verdicts differ between neighbours, and which are called sound where the finest cells say defective.
"""

import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from castlab import Setup, alloy, freeze, mould, shrinkage  # noqa: E402
from castlab.field.freeze import QUICK  # noqa: E402
from castlab.field.parts import layout_of  # noqa: E402

CASTINGS = (
    ("eye plate", 0.024),
    ("eye plate", 0.030),
    ("eye plate", 0.036),
    ("step wedge", 0.020),
    ("step wedge", 0.028),
    ("step wedge", 0.036),
    ("cleat", 0.020),
    ("cleat", 0.028),
    ("cleat", 0.036),
    ("bracket", 0.016),
    ("bracket", 0.024),
)
ALLOYS = "ZA-12", "A356", "Al-12Si", "pure aluminium", "tin bronze", "silicon bronze", "carbon steel"


def setup_of(part, feeder, name):
    """One fed casting, poured in the middle of its alloy's range."""
    metal = alloy(name)
    low, high = metal.pour_range_c
    layout = layout_of(part, feeder_width=feeder, feeder_height=0.06)
    return Setup(layout, metal, mould("dry silica sand"), 0.5 * (low + high))


def verdicts(sizes_mm):
    """(casting, verdicts, defects [%], seconds) for each casting, one at a time as they are done."""
    for part, feeder in CASTINGS:
        for name in ALLOYS:
            setup, found = setup_of(part, feeder, name), []
            for number, size in enumerate(sizes_mm):
                start = time.process_time()
                run = freeze(setup, size * 1e-3, QUICK if number == 0 else 1.0)
                account = shrinkage(run, at_rest=number > 0)
                found.append((account.verdict, 100.0 * account.defect_share, time.process_time() - start))
            yield f"{part}, feeder {feeder * 1e3:g} mm, {name}", found


def main():
    """Print the table and its sums."""
    sizes = [float(each) for each in sys.argv[1:]] or [6.0, 4.0, 2.0]
    rows = []
    for casting, found in verdicts(sizes):
        rows.append((casting, found))
        cells = "   ".join(
            f"{verdict:9s} {share:5.2f} % {seconds:5.2f} s" for verdict, share, seconds in found
        )
        print(f"{casting:40s} {cells}", flush=True)
    for number in range(len(sizes) - 1):
        differ = [casting for casting, found in rows if found[number][0] != found[number + 1][0]]
        print(f"{sizes[number]:g} against {sizes[number + 1]:g} mm: {len(differ)} of {len(rows)} differ")
    wrong = [
        casting
        for casting, found in rows
        for verdict, *_ in found[:-1]
        if verdict == "sound" and found[-1][0] == "defective"
    ]
    print(f"called sound, defective on the finest cells: {wrong or 'none'}")


if __name__ == "__main__":
    main()
