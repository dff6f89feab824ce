"""Search the lightest sound casting of each bench with something to beat: `python -m
castlab.teach.find_known_best` writes `castlab/data/known_best.json`.

Of two sliders every pair of places is tried in the order of its metal, the lightest first, with the others at
a few places each; the first that is sound on full cells is the best that is known.
"""

import itertools
import json
from dataclasses import dataclass, field
from importlib import import_module

from castlab.errors import InputError
from castlab.field.outcome import COARSE
from castlab.teach.course.known_best import FILE, KnownBest
from castlab.teach.lessons.superheat_and_filling import comes_out_whole
from castlab.teach.melt.melt import metal_volumes

PROMISING = 3.0  # times the defects of a sound casting, on coarse cells: worth full ones
SOUND = 1e-3  # of the casting, as in castlab.field.shrinkage


@dataclass(frozen=True)
class Search:
    """Which two sliders of a bench are searched through, and at which places others stand: {name: places}."""

    lesson: str
    bench: str
    begin: str
    across: tuple[str, str]
    others: dict = field(default_factory=dict)
    number: int = 0  # of the bench among those that `begin` makes


FEEDER = "feeder_width", "feeder_height"
ON_BOSS = {"feeder_place": ["on the boss"], "sleeve_thickness": [0.0, 8e-3, 16e-3]}
SEARCHES = (
    Search("first_casting", "begin", "begin", FEEDER),
    Search("first_casting", "begin_sheave", "begin_sheave", FEEDER),
    Search("feeders", "begin", "begin", FEEDER, ON_BOSS),
    Search("feeders", "begin_cap", "begin_cap", FEEDER, {"sleeve_thickness": [0.0, 8e-3, 16e-3]}),
    Search("cures_without_a_feeder", "begin", "begin", ("gate_thickness", "chill_thickness")),
    Search("cures_without_a_feeder", "begin_fed", "begin_fed", ("gate_thickness", "chill_thickness")),
    Search("superheat_and_filling", "begin", "begin", ("feeder_width", "gate_width"),
           {"sprue_height": [0.040, 0.060, 0.080, 0.100]}),
    Search("melt_plan", "begin", "begin", FEEDER),
)


def bench_of(search):
    """The bench that a Search is about."""
    made = getattr(import_module(f"castlab.teach.lessons.{search.lesson}"), search.begin)()
    return [each for each in made if hasattr(each, "controls")][search.number]


def candidates(bench, search):
    """(mass [kg], values) of all places that can be cast, the lightest first. The pour is cold or usual."""
    places = {name: _steps(bench.controls[name]) for name in search.across} | search.others
    places["pour_temp_c"] = [*dict.fromkeys((bench.controls["pour_temp_c"].range()[0],
                                             bench.first_values["pour_temp_c"]))]
    found = []
    for values in itertools.product(*places.values()):
        changed = dict(zip(places, values, strict=True))
        try:
            setup = bench.setup(**bench.first_values | changed)
        except InputError:
            continue
        volume = sum(each for _, _, each in metal_volumes(setup.layout))
        found.append((setup.alloy.density_solid * volume, changed))
    return sorted(found, key=lambda each: each[0])


def find(search):
    """The KnownBest of a bench; None where nothing that was tried is sound."""
    bench = bench_of(search)
    whole = comes_out_whole if search.lesson == "superheat_and_filling" else lambda result: True
    for _, changed in candidates(bench, search):
        values = bench.first_values | changed
        try:
            setup = bench.setup(**values)
            if COARSE.pour(setup).defect_share > PROMISING * SOUND:
                continue
            result = bench.solve(**values)
        except InputError:
            continue
        if result.sound and whole(result):
            return KnownBest(float(result.poured_kg), {name: value for name, value in changed.items()
                                                       if value != bench.first_values[name]})
    return None


def _steps(control):
    low, _, high = control.range()
    count = round((high - low) / control.slider.step)
    return [round(low + number * control.slider.step, 9) for number in range(count + 1)]


def main():
    """Search them all and write the file."""
    rows = []
    for search in SEARCHES:
        best = find(search)
        print(search.lesson, search.bench, best)
        if best is not None:
            rows.append({"lesson": search.lesson, "bench": search.bench, "mass_kg": round(best.mass_kg, 6),
                         "values": best.values})
    FILE.write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
