"""The search for cures: how long it takes, and whether its answers hold on finer cells.

    python -m tests.benchmark.cures time     cures of the eye plate on two processes, against 25 s
    python -m tests.benchmark.cures map      two window maps of 15 x 15 settings, against 30 s
    python -m tests.benchmark.cures finer    each part in three alloys: does the first cure, with its margin,
                                             keep its verdict on cells half as large?
    python -m tests.benchmark.cures stop     from Stop until no process works any more, against 0.2 s
    python -m tests.benchmark.cures          all four
"""

import multiprocessing
import os
import sys
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[2])]

from castlab.field import cures  # noqa: E402
from castlab.field.design import design  # noqa: E402
from castlab.field.outcome import FINE, outcome_of  # noqa: E402
from castlab.field.parts import PARTS  # noqa: E402
from castlab.materials import alloy, mould  # noqa: E402
from castlab.teach.bench.ready_made import eye_plate_bench  # noqa: E402
from castlab.teach.panels.window_map import WindowMap  # noqa: E402
from castlab.teach.work.progress import Work  # noqa: E402

ALLOYS = ("ZA-12", "A356", "tin bronze")
WANTED_S, MAP_S, STOP_S, WANTED_SHARE = 25.0, 30.0, 0.2, 0.9


def plain(part, metal):
    low, high = alloy(metal).pour_range_c
    return design(part, alloy(metal), mould("green sand"), 0.5 * (low + high))


def followed(search):
    """(what a search returns, pours, seconds by the clock, seconds of both processes) on two processes."""
    work, count, began, before = Work(), [], time.perf_counter(), os.times()
    work.start(search, on_result=lambda *_: count.append(1))
    found, now = work.wait(), os.times()
    busy = now.children_user + now.children_system - before.children_user - before.children_system
    return found, len(count), time.perf_counter() - began, busy


def time_it():
    start = plain("eye plate", "ZA-12")
    before = outcome_of(start)
    for words, search in (("each kind alone", cures.single_cures(start, before)),
                          ("with pairs and how sure", cures.cures(start))):
        _, pours, seconds, busy = followed(search)
        print(f"cures of the eye plate, {words}: {pours} pours, {seconds:.1f} s by the clock (wanted "
              f"{WANTED_S:.0f} s), {busy:.1f} s of two processors", flush=True)


def map_it():
    bench = eye_plate_bench(feeder_width=0.034, feeder_height=0.05)
    for across, up in (("thickness", "pour_temp_c"), ("feeder_width", "feeder_height")):
        chart, began = WindowMap(bench, across, up), time.perf_counter()
        chart.compute()
        chart.wait()
        print(f"window map, {across} against {up}, {chart.count} x {chart.count}: "
              f"{time.perf_counter() - began:.1f} s by the clock (wanted {MAP_S:.0f} s)", flush=True)


def stop_it():
    work = Work()
    work.start(cures.cures(plain("eye plate", "ZA-12")))
    while len(multiprocessing.active_children()) < 2:
        time.sleep(0.01)
    began = time.perf_counter()
    work.stop()
    work.wait()
    while multiprocessing.active_children():
        time.sleep(0.001)
    print(f"Stop: {time.perf_counter() - began:.2f} s until no process works (wanted {STOP_S} s)", flush=True)


def holds(start, cure):
    """The cure with its margin on cells half as large: an Outcome."""
    return outcome_of(start.change(**dict(cure.margin or cure.changes)), FINE)


def finer():
    kept, asked = 0, 0
    for part in PARTS:
        for metal in ALLOYS:
            start = plain(part, metal)
            found, _, seconds, _ = followed(cures.cures(start))
            cure = found[0]
            if not cure.works:
                print(f"{part}, {metal}: no cure found ({seconds:.0f} s)", flush=True)
                continue
            asked += 1
            fine = holds(start, cure)
            kept += fine.sound
            share = 100.0 * fine.defect_share
            print(f"{part}, {metal}: {cure.name} {cure.setting}, sure {cure.sure} of 8: on fine cells "
                  f"{fine.verdict} ({share:.2f} %) {fine.kind} {fine.block} ({seconds:.0f} s)", flush=True)
    print(f"{kept} of {asked} keep their verdict (wanted {WANTED_SHARE:.0%})")


if __name__ == "__main__":
    chosen = sys.argv[1:] or ["time", "map", "stop", "finer"]
    if "time" in chosen:
        time_it()
    if "map" in chosen:
        map_it()
    if "stop" in chosen:
        stop_it()
    if "finer" in chosen:
        finer()
