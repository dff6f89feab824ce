"""States of lesson benches, drawn by lot, and what each says: run here and in the browser's Python alike."""

import json
import random

from castlab.teach.lessons import cures_without_a_feeder, feeders, first_casting, sponge_and_gas

BEGINNINGS = {"1": first_casting.begin, "1 sheave": first_casting.begin_sheave, "5": feeders.begin,
              "5 cap": feeders.begin_cap, "6": cures_without_a_feeder.begin, "9": sponge_and_gas.begin}


def states(count, seed=21):
    """So many of [bench, values, sentence, numbers], each bench in turn."""
    chance, benches = random.Random(seed), {name: begin()[0] for name, begin in BEGINNINGS.items()}
    for bench in benches.values():
        bench.reveal()
    for number in range(count):
        name = list(benches)[number % len(benches)]
        values = {each: drawn(control, chance) for each, control in benches[name].controls.items()}
        try:
            benches[name].set(**values)
        except ValueError as error:  # the pouring range of another alloy
            yield name, values, str(error), ()
        else:
            yield name, values, benches[name].sentence, benches[name].numbers


def drawn(control, chance):
    """Where a slider or menu may stand."""
    slider = control.slider
    if slider.kind == "choice":
        return chance.choice(slider.options)
    low, _, high = control.range()
    return min(high, low + slider.step * chance.randrange(int((high - low) / slider.step + 1.5)))


def told(count):
    """The states as one line of JSON."""
    return json.dumps(list(states(count)))
