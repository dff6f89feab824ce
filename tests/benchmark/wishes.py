"""Ten wishes for bad castings of different kinds: which are met, in what time, and what a finer grid says.

    nice -n 5 .venv/bin/python tests/benchmark/wishes.py            # all
    nice -n 5 .venv/bin/python tests/benchmark/wishes.py 3 7        # some of them

Time by the clock and of the processors (both processes together): only the second means something on a busy
machine; on two quiet cores the first is about half of it.
"""

import resource
import sys
import time

from castlab.field.outcome import FINE, outcome_of
from castlab.field.sure import across_bands
from castlab.teach.bad_examples.search import find, has_it
from castlab.teach.bad_examples.search_report import found_words
from castlab.teach.bad_examples.wanted_defect import ROBUST_K, WantedDefect, broken
from castlab.teach.work.progress import Work
from castlab.units import METRIC

CM3 = 1e-6
FEEDER = ("feeder_width", "feeder_height", "sleeve_thickness")
STEEL = {"hottest_pour_c": 1650.0, "least_section_m": 8e-3}

WISHES = (
    WantedDefect("eye plate", "ZA-12", "green sand", "sink", "boss", 4 * CM3),
    WantedDefect("eye plate", "tin bronze", "cast-iron die", "sponge", "plate", 0.3 * CM3,
         turn=("thickness", "boss", "length", "pour_temp_c", "mould_temp_c", "gate_thickness", *FEEDER)),
    WantedDefect("sheave", "pure aluminium", "green sand", "pipe_into_casting", "hub", 2 * CM3),
    WantedDefect("sheave", "ZA-12", "green sand", "sink", "hub", share=0.03,
         turn=("hub", "rim", "thickness", "pour_temp_c")),
    WantedDefect("bracket", "A356", "green sand", "cavity", "rib", 2 * CM3),
    WantedDefect("cleat", "tin bronze", "green sand", "sink", "horn", 3 * CM3,
         turn=("thickness", "post", "horn", "gate_thickness", "pour_temp_c", *FEEDER)),
    WantedDefect("bollard cap", "Al-12Si", "dry silica sand", "cavity", "boss", 1.5 * CM3),
    WantedDefect("eye plate", "carbon steel", "dry silica sand", "cavity", "boss", 3 * CM3, **STEEL),
    WantedDefect("step wedge", "silicon bronze", "oil-bonded sand", "sink", "step 4", 2 * CM3),
    WantedDefect("eye plate", "ZA-27", "green sand", "sink", "plate", 2 * CM3, most_metal_kg=1.5),
)


def main(numbers):
    met = 0
    for number in numbers:
        wish = WISHES[number - 1]
        found, clock_s, busy_s = searched(wish)
        met += found.met
        held = held_finer(wish, found) if found.met else "-"
        print(f"{number:2} {wish.part}, {wish.alloy}, {wish.mould}: {wish.kind} in the {wish.block} | "
              f"{'met' if found.met else 'NOT met'} | {clock_s:.0f} s by the clock, {busy_s:.0f} s of "
              f"processors, {found.price:.0f} coarse pours | on a grid twice as fine: {held}")
        print("   ", found_words(wish, found, METRIC), flush=True)
    print(f"{met} of {len(numbers)} met")


def searched(wish):
    """What `find` gives, and the time it took by the clock and of all processors [s]."""
    began, before, work = time.monotonic(), _processors_s(), Work()
    work.start(find(wish))
    found = work.wait()
    return found, time.monotonic() - began, _processors_s() - before


def held_finer(wish, found):
    """Of how many of nine pours (as meant, and the eight) the hole is there on a grid twice as fine."""
    assert not broken(wish, found.values)
    design = wish.design(found.values)
    every = [design, *across_bands(design, ROBUST_K)]
    held = [has_it(wish, outcome_of(each, FINE)) for each in every]
    return f"{sum(held)} of {len(held)}"


def _processors_s():
    ours, theirs = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return ours.ru_utime + ours.ru_stime + theirs.ru_utime + theirs.ru_stime


if __name__ == "__main__":
    main([int(each) for each in sys.argv[1:]] or list(range(1, len(WISHES) + 1)))
