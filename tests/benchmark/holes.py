"""What the holes depend on, and how they are drawn: python -m tests.benchmark.holes [cells drawn limits]

cells    sink and cavity of six small parts in four alloys on cells of 2 and of 1 mm
drawn    200 random castings: hollows thinner than a cell, labels away from what they name, area drawn
limits   the verdicts of 30 random and 33 fed castings with each limit of judgement 20 % lower and higher
"""

import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), *(str(ROOT / "tests" / each) for each in ("helpers", "whole", ""))]

from benchmark.fed_castings import CASTINGS, setup_of  # noqa: E402
from random_castings import drawn  # noqa: E402
from scipy import ndimage  # noqa: E402
from test_random_castings import drawn_and_there  # noqa: E402

from castlab import InputError, Setup, alloy, freeze, mould, shrinkage  # noqa: E402
from castlab.field import ledger  # noqa: E402
from castlab.field.holes import SEEN_FROM  # noqa: E402
from castlab.field.layout import METAL_ROLES  # noqa: E402
from castlab.field.outcome import COARSE, pour  # noqa: E402
from castlab.field.parts import layout_of  # noqa: E402
from castlab.teach.bench.casting import Casting, cell_at  # noqa: E402
from castlab.teach.picture import raster  # noqa: E402
from castlab.teach.picture.hollows import hollows  # noqa: E402
from castlab.teach.sliders.to_design import design_of  # noqa: E402
from castlab.units import METRIC  # noqa: E402

MM = 1e-3
SMALL_MM = {  # about 0.6 of the course's sizes, so that 1 mm cells fit into memory
    "eye plate": dict(thickness=8, length=50, width=24, boss=24, boss_depth=24),
    "step wedge": dict(thin=6, heavy=24, step_length=20, width=24),
    "bracket": dict(thickness=8, length=64, rib=10, wall=10, height=24, width=24),
    "cleat": dict(thickness=8, length=60, post=20, post_height=16, horn=10, width=24),
    "sheave": dict(thickness=8, diameter=70, rim=10, rim_height=14, hub=24, hub_height=24),
    "bollard cap": dict(thickness=8, diameter=70, skirt=8, skirt_height=20, boss=24, boss_height=20),
}
CELL_ALLOYS, CELLS_MM = ("ZA-12", "A356", "pure aluminium", "tin bronze"), (2.0, 1.0)
KINDS, WORTH = ("sink", "cavity", "pipe_into_casting"), 0.05  # of all holes; less is not compared
RANDOM, VIEW = 200, (672, 432)
FED_ALLOYS = "ZA-12", "A356", "tin bronze"
LIMITED, MOVED, IN_LEDGER = 30, (0.8, 1.2), ("SKIN_HOLDS_M", "EQUALLY_SOLID")
WIDEST = 1.0  # a hollow is thinner than a cell where no circle so many cells wide goes into it


def cells_table():
    moved = []
    for part, sizes in SMALL_MM.items():
        layout = layout_of(part, **{name: value * MM for name, value in sizes.items()})
        for name in CELL_ALLOYS:
            setup = Setup(layout, alloy(name), mould("green sand"), sum(alloy(name).pour_range_c) / 2)
            coarse, fine = (shrinkage(freeze(setup, cell * MM)) for cell in CELLS_MM)
            words = []
            for kind in KINDS:
                first, second = coarse.paid_m3[kind], fine.paid_m3[kind]
                if max(first, second) > WORTH * fine.defect_m3:
                    by = abs(first - second) / max(first, second)
                    words.append(f"{kind} {1e6 * first:.3f} {1e6 * second:.3f} ({100 * by:.0f} %)")
                    moved.append(by)
            all_holes = 100 * (coarse.defect_m3 / fine.defect_m3 - 1)
            print(f"  {part:12s} {name:15s} {'  '.join(words)}  all holes {all_holes:+.1f} %", flush=True)
    print(f"  {sum(each > 0.1 for each in moved)} of {len(moved)} volumes move by more than a tenth; median "
          f"{100 * np.median(moved):.0f} %")


def drawn_table():
    count = Counter()
    for number in range(RANDOM):
        part, values, _ = drawn(number)
        try:
            casting = Casting(pour(design_of(part, values), COARSE))
        except InputError:
            count["refused"] += 1
            continue
        count["castings"] += 1
        for area, wanted in drawn_and_there(casting):
            count["areas"] += 1
            if abs(area / wanted - 1) > 0.05:
                count["area off by more than 5 %"] += 1
                print(f"  {number}: area {area / wanted:.3f} of what is there", flush=True)
        for words, cells in thin_hollows(casting):
            count["thinner than a cell"] += 1
            print(f"  {number}: {words} hollow {cells:.1f} cells wide", flush=True)
        for label in casting.labels(METRIC):
            if label.strong or label.text.startswith("pipe"):
                count["labels"] += 1
                if not beside_a_hole(casting, label.place):
                    count["label in sound metal"] += 1
                    print(f"  {number}: {label.text} in sound metal", flush=True)
    print(f"  {dict(count)}")


def thin_hollows(casting):
    """(kind, cells) of drawn hollows that are larger than four cells and yet into which no circle of WIDEST
    cells goes."""
    section, found = casting.section, []
    view = raster.View(*raster.bounds([casting.setup.layout]), *VIEW)
    metal = raster.codes_of(raster.role_codes(section.layout, view, section.plane), METAL_ROLES)
    seen = hollows(section, view, metal, raster.HOLLOW)
    for kind in np.unique(seen[seen > 0]):
        names, many = ndimage.label(seen == kind)
        for name in range(1, many + 1):
            here = names == name
            deep = ndimage.distance_transform_edt(np.pad(here, 1))[1:-1, 1:-1]
            row, column = np.unravel_index(deep.argmax(), deep.shape)
            side = side_of_cell(section, view.x[column], view.y[row])
            across = 2.0 * deep.max() * view.metres_per_pixel / side
            if here.sum() * view.metres_per_pixel**2 > 4 * side**2 and across < WIDEST:
                found.append((int(kind), across))
    return found


def side_of_cell(section, x, y):
    """The shorter side [m] of the cell of a section at a place [m]."""
    pairs = (section.x_edges, x), (section.y_edges, y)
    return min(np.diff(edges)[np.clip(np.searchsorted(edges, at) - 1, 0, len(edges) - 2)]
               for edges, at in pairs)


def beside_a_hole(casting, place):
    """Whether metal is missing in the cell of a place [m] or in one next to it."""
    at = cell_at(casting.run.grid, place)
    near = tuple(slice(max(each - 1, 0), each + 2) for each in at)
    return bool((casting.account.void[near] > SEEN_FROM).any())


def limits_table():
    fed = ((f"{part}, feeder {1e3 * feeder:g} mm, {name}", setup_of(part, feeder, name))
           for part, feeder in CASTINGS for name in FED_ALLOYS)
    for what, setups in (("random", random_setups()), ("fed", fed)):
        print(f"  {what}")
        limits_of(setups)


def random_setups():
    """(number, setup) of LIMITED random castings of metals that shrink."""
    taken, number = 0, 0
    while taken < LIMITED:
        part, values, _ = drawn(number)
        number += 1
        try:
            setup = design_of(part, values).setup()
            COARSE.freeze(setup)
        except InputError:
            continue
        if setup.alloy.freezing_contraction > 0.0:
            taken += 1
            yield number - 1, setup


def limits_of(setups):
    count, changed = Counter(), {}
    for casting, setup in setups:
        run = COARSE.freeze(setup)
        plain = shrinkage(run).verdict
        count[plain] += 1
        for what in ("mobile_limit", "passable_limit", *IN_LEDGER):
            for factor in MOVED:
                verdict = moved_verdict(run, what, factor)
                changed.setdefault((what, factor), []).append((casting, plain, verdict))
    print(f"  verdicts as they are: {dict(count)}")
    for (what, factor), found in changed.items():
        other = [f"{n}: {a} to {b}" for n, a, b in found if a != b]
        print(f"  {what} x {factor}: {len(other)} of {len(found)} differ  {'; '.join(other)}", flush=True)


def moved_verdict(run, what, factor):
    """The verdict of a run with one limit of judgement moved."""
    if what in IN_LEDGER:
        kept = getattr(ledger, what)
        setattr(ledger, what, factor * kept)
        try:
            return shrinkage(run).verdict
        finally:
            setattr(ledger, what, kept)
    metal = run.setup.alloy
    metal = replace(metal, **{what: min(factor * getattr(metal, what), 1.0)})
    return shrinkage(replace(run, setup=replace(run.setup, alloy=metal))).verdict


TABLES = {"cells": cells_table, "drawn": drawn_table, "limits": limits_table}

if __name__ == "__main__":
    for wanted in sys.argv[1:] or TABLES:
        print(wanted)
        TABLES[wanted]()
