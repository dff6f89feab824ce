"""Somebody who follows hints to the letter: what Check says becomes one move of a slider that it names.

Whoever is told "make the feeder wider" goes half-way from where it stands to the end, or to the narrowest of
which it was once said that it is too wide; told "much", three quarters of the way; "a little", a fifth.
"""

import re

import pytest
from random_states import MOST_DRAWS, dice_of, stand_anywhere

from castlab.field.outcome import COARSE, FULL
from castlab.units import METRIC

MOST_MOVES = 6
WALKS = [pytest.param(seed, FULL if seed % 10 == 4 else COARSE, marks=pytest.mark.slow)  # full ones cost more
         for seed in range(20)]  # "seed, look" of a test
WAYS = {"wider": ("width", 1), "narrower": ("width", -1), "higher": ("height", 1), "lower": ("height", -1),
        "thicker": ("thickness", 1), "thinner": ("thickness", -1), "larger": ("size", 1),
        "smaller": ("size", -1), "longer": ("length", 1), "shorter": ("length", -1), "hotter": ("heat", 1),
        "colder": ("heat", -1), "damper": ("damp", 1)}
SLIDERS = {  # what a hint speaks of: which sliders it may be, one of them on each bench
    ("feeder", "width"): ("feeder_width",), ("feeder", "height"): ("feeder_height",),
    ("neck", "width"): ("neck_width",), ("sleeve", "thickness"): ("sleeve_thickness",),
    ("gate", "thickness"): ("gate_thickness",), ("gate", "width"): ("gate_width",),
    ("sprue", "height"): ("sprue_height",), ("chill", "thickness"): ("chill_thickness",),
    ("core", "size"): ("core",), ("heavy end", "size"): ("boss", "heavy"), ("hub", "size"): ("hub",),
    ("rim", "thickness"): ("rim",), ("web", "thickness"): ("thickness",), ("rib", "thickness"): ("rib",),
    ("plate", "thickness"): ("thickness",), ("plate", "length"): ("length",), ("fillet", "size"): ("fillet",),
    ("taper", "size"): ("taper",), ("metal", "heat"): ("pour_temp_c",), ("melt", "damp"): ("damp",),
    ("hold", "length"): ("hold",), ("way to the mould", "length"): ("carry",), ("crucible", "size"): ("pot",),
}
NOUNS = "|".join(sorted({noun for noun, _ in SLIDERS}, key=len, reverse=True))
MAKE = rf"[Mm]ake the ({NOUNS}) (much |a little |one step )?({'|'.join(WAYS)})(?:: at ([\d.]+) mm)?"
POUR = r"[Pp]our (much )?(colder|hotter)"
SET = r"[Ss]et the (.+?) (back|to ([^,.;]+))[,.;]"
AGAIN = "Press “Start again”"


class HintReader:
    """Follows hints on a `bench`; `answers`: {words of a hint: what to do with the bench} of one lesson."""

    def __init__(self, bench, answers=None):
        self.bench, self.answers, self._told = bench, answers or {}, {}

    def follow(self, words):
        """Make the move that a hint asks for; fails where it names none, or one that is none."""
        before = self.bench.values
        found = [(words.index(part), lambda act=act: act(self.bench)) for part, act in self.answers.items()
                 if part in words]
        found += [(each.start(), lambda each=each: self._make(*each.groups()))
                  for each in re.finditer(MAKE, words)]
        found += [(each.start(), lambda each=each: self._make("metal", *each.groups(), None))
                  for each in re.finditer(POUR, words)]
        found += [(each.start(), lambda each=each: self._set(*each.groups()))
                  for each in re.finditer(SET, words) if self._named(each[1])]
        if AGAIN in words:
            found.append((words.index(AGAIN), self._start_again))
        assert found, f"no move is named: {words}"
        min(found, key=lambda each: each[0])[1]()
        assert self.bench.values != before, f"nothing to move: {words}"

    def _start_again(self):
        self._told = {}
        self.bench.start_again()

    def _make(self, noun, much, way, millimetres):
        kind, sign = WAYS[way]
        (name,) = (each for each in SLIDERS[noun, kind] if each in self.bench.controls)
        if millimetres:
            self.bench.set(**{name: float(millimetres) / 1e3})
            return
        control = self.bench.controls[name]
        if control.slider.kind == "choice":
            options = list(control.slider.options)
            self.bench.set(**{name: options[options.index(control.value) + sign]})
            return
        self._step(name, control, sign, {"much ": 0.75, "a little ": 0.2, "one step ": 0.0}.get(much, 0.5))

    def _step(self, name, control, sign, share):
        (low, _, high), now, step = control.range(), control.value, control.slider.step
        told = self._told.setdefault(name, {})
        told[sign] = now
        end = told.get(-sign)
        if end is None or (end - now) * sign < 1.5 * step:  # all between is known: then past it
            end = high if sign > 0 else low
        target = now + share * (end - now)
        if abs(target - now) < step:
            target = now + sign * step
        self.bench.set(**{name: control._on_step(target)})

    def _named(self, label):
        labels = [label, *label.split(" and the ")]
        return [name for name, control in self.bench.controls.items() if control.slider.label in labels]

    def _set(self, label, _, words):
        names = self._named(label)
        if words is None:
            self.bench.set(**{name: self.bench.first_values[name] for name in names})
            return
        (name,) = names
        control = self.bench.controls[name]
        if control.slider.kind == "choice":
            self.bench.set(**{name: words})
        else:
            number = float(re.match(r"-?[\d.]+", words)[0])
            self.bench.set(**{name: control._scale.si(number)})


def walk(task, seed, look, free, answers=None, answer=lambda bench: None):
    """Follow the hints of a task from a wrong state until it is right; all that was said, praise at the end.

    task      the Task, on its bench            seed     of the state from which to start
    look      how closely the bench computes
    free      sliders that the task is about: they stand anywhere. The others do so for odd seeds only
    answers   see HintReader                    answer   function: bench -> what is typed or chosen
    """
    bench = task.bench
    if len(bench._looks) > 1:  # a melt is computed in one way
        bench._looks = (COARSE, look)
    bench.reveal()
    bench.speak(METRIC)
    bench.start_again()
    reader, said = HintReader(bench, answers), []
    found = wrong_state(task, dice_of(seed), free, bool(seed % 2), answer)
    for _ in range(MOST_MOVES):
        if found.right:
            break
        where = {name: value for name, value in bench.values.items() if value != bench.first_values[name]}
        said.append(f"{where}: {found.why}")
        reader.follow(found.why)
        found = task.check(answer(bench))
    assert found.right, "\n".join([*said, f"at the end {bench.values}: {found.why}"])
    return [*said, found.why]


def walk_choices(task, seed, look):
    """Choose one answer after the other, on a bench that stands anywhere, and start again where a hint says
    so, until one is right; what was said."""
    bench, dice = task.bench, dice_of(seed)
    bench._looks = (COARSE, look)
    bench.reveal()
    stand_anywhere(bench, dice)
    answers, said = sorted(task._choices, key=lambda _: dice.random()), []
    left = list(answers)
    for _ in range(MOST_MOVES):
        found = task.check(left.pop())
        said.append(found.why)
        if found.right:
            return said
        if AGAIN in found.why:
            bench.start_again()
            left = list(answers)
    raise AssertionError("\n".join(said))


def wrong_state(task, dice, free, all_sliders, answer):
    """Draw states until one is wrong; what Check says of it."""
    bench = task.bench
    for _ in range(MOST_DRAWS):
        stand_anywhere(bench, dice, [name for name in bench.controls if all_sliders or name in free])
        if not (found := task.check(answer(bench))).right:
            return found
    raise AssertionError("no wrong state was found")
