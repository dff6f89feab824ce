"""States of a bench, drawn by a number: each slider somewhere on its steps, until the casting can be cast."""

import random

from castlab.errors import InputError

MOST_DRAWS = 200


def stand_anywhere(bench, dice, names=None, shown=True):
    """Move these sliders (all of them when left out) until they stand for something that can be cast, and
    show it; without `shown` nothing is computed or drawn."""
    for _ in range(MOST_DRAWS):
        values = drawn(bench, names or list(bench.controls), dice)
        try:
            bench._move(values)
            bench.setup()
            if shown:
                bench.settle()
        except InputError:
            continue
        if bench.error is None or not shown:
            return bench
    raise AssertionError("nothing was found that can be cast")


def drawn(bench, names, dice):
    """A place on its steps for each of these sliders; those that others follow first."""
    values = {}
    for name in sorted(names, key=lambda name: name not in bench._follows):
        control = bench.controls[name]
        if control.slider.kind == "choice":
            values[name] = dice.choice(control.slider.options)
            bench._move({name: values[name]})
        else:
            low, _, high = control.range()
            values[name] = control._on_step(low + dice.random() * (high - low))
    return values


def dice_of(*number):
    """The dice that belong to a number, or to several."""
    return random.Random(repr(number))
