"""The lightest sound casting of each bench, searched for: the mark that students are shown to beat.

    python -m castlab.teach.find_best [name of a lesson ...]

writes `castlab/data/known_best.json` anew, or the part of it that belongs to these lessons; some minutes for
each bench. Only what a student may move and still compare is moved: never part, alloy or mould.
"""

import importlib
import itertools
import json
import sys

from castlab.errors import InputError
from castlab.teach.bench.bench import Bench
from castlab.teach.bench.casting import Casting
from castlab.teach.bench.hints import every_step
from castlab.teach.bench.lesson_memory import benches_by_key, compares, is_ordered
from castlab.teach.course.known_best import FILE
from castlab.teach.course.the_lessons import LESSONS, contents_of

LEVELS = {"feeder_width": 9, "feeder_height": 4, "gate_thickness": 8, "gate_width": 6}  # of other sliders 3
STARTS = 4  # settings of the grid from which it goes on downhill
ABOUT = ("The lightest sound casting that a search found on each bench of the lessons: all metal in the "
         "mould [kg], and where the sliders stand that were moved (SI). Written by castlab.teach.find_best.")


def benches_of(lesson):
    """{key: bench} of the benches of a Lesson that compare castings by their metal."""
    module = importlib.import_module(f"castlab.teach.lessons.{lesson.name}")
    found = {}
    for name in contents_of(module).predictions:
        made = getattr(module, name)()
        if all(isinstance(each, Bench) for each in made[:-1]):  # no table of lesson 10 among them
            found |= benches_by_key(name, made[:-1])
    return found, module


class Search:
    """What is sound on one bench, and with how much metal.

    module   of the lesson
    bench    its bench
    """

    def __init__(self, module, bench):
        self._module, self._bench = module, bench
        self._free = {name: control for name, control in bench.controls.items() if not is_ordered(control)}

    def lightest(self):
        """(metal [kg], {slider: value}) of the lightest sound casting found; None where none is."""
        ends = [self._downhill(start) for start in self._starts()]
        return min(filter(None, ends), key=lambda each: each[0], default=None)

    def _starts(self):
        """The lightest settings of a grid that are sound at a quick look."""
        grid = itertools.product(*(self._levels(name) for name in self._free))
        tried = ((self._poured(self._bench.glance, dict(zip(self._free, values, strict=True))), values)
                 for values in grid)
        sound = sorted((kg, values) for kg, values in tried if kg is not None)
        return [dict(zip(self._free, values, strict=True)) for _, values in sound[:STARTS]]

    def _levels(self, name):
        values, count = self._values(name), LEVELS.get(name, 3)
        if self._free[name].slider.kind == "choice" or len(values) <= count:
            return values
        return [values[round(at * (len(values) - 1) / (count - 1))] for at in range(count)]

    def _values(self, name):
        control = self._free[name]
        return control.slider.options if control.slider.kind == "choice" else every_step(control)

    def _downhill(self, values):
        """One or two sliders a step at a time, as long as it becomes lighter and stays sound."""
        now = self._poured(self._bench.solve, values)
        while True:
            near = list(self._near(values))
            lighter = sorted((kg, number) for number, each in enumerate(near)
                             if (kg := self._metal(each)) is not None and (now is None or kg < now - 1e-9))
            found = ((kg, near[number]) for kg, number in lighter
                     if self._poured(self._bench.solve, near[number]) is not None)
            better = next(found, None)
            if better is None:
                return now and (now, values)
            now, values = better

    def _near(self, values):
        """The settings one step away, and two sliders each one step away."""
        steps = [(name, value) for name in self._free for value in self._beside(name, values[name])]
        for move in steps:
            yield values | dict([move])
        for one, other in itertools.combinations(steps, 2):
            if one[0] != other[0]:
                yield values | dict([one, other])

    def _beside(self, name, value):
        near = list(self._values(name))
        if self._free[name].slider.kind == "choice":
            return [each for each in near if each != value]
        at = min(range(len(near)), key=lambda number: abs(near[number] - value))
        return [near[each] for each in (at - 1, at + 1) if 0 <= each < len(near)]

    def _metal(self, values):
        try:
            return self._bench.glance(**values).poured_kg
        except InputError:
            return None

    def _poured(self, pour, values):
        """All metal in the mould [kg] of a casting that may be compared; None for any other."""
        try:
            result = pour(**values)
        except InputError:
            return None
        return float(result.poured_kg) if compares(self._module, result) else None


def best_of(lesson):
    """{key of a bench: what is kept of it} of a Lesson."""
    benches, module = benches_of(lesson)
    kept = {}
    for key, bench in benches.items():
        found = Search(module, bench).lightest() if isinstance(bench.solve(), Casting) else None
        if found:
            metal, values = found
            moved = {name: value for name, value in values.items() if value != bench.first_values[name]}
            kept[key] = {"mass_kg": metal, "values": moved}
        print(lesson.name, key, kept.get(key, "nothing sound"), flush=True)
    return kept


def main(names):
    """Search the benches of these lessons, of all without names, and write what was found."""
    kept = json.loads(FILE.read_text(encoding="utf-8"))["lessons"] if FILE.exists() else {}
    for lesson in LESSONS:
        if not names or lesson.name in names:
            kept[lesson.name] = best_of(lesson)
            found = {"about": ABOUT, "lessons": {name: each for name, each in kept.items() if each}}
            FILE.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
