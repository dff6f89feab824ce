"""Hints that name what to move and which way, tried before they are given where that can be done.

`tests/helpers/hint_reader.py` follows them to the letter.
"""

import math
from bisect import bisect_left
from functools import partial

from castlab.errors import InputError
from castlab.field.rigging import BLIND, OPEN

AGAIN = "Press “Start again”"
SPONGE = f"No feeder takes sponge out. {AGAIN}, and take the metal that this task begins with."
FOOT = ("The feeder stays liquid longest, but metal must also get through its foot, where it stands on the "
        "casting")
NECK = "A neck that is solid or full of crystals lets nothing pass: make the neck wider."
FIRST_LOOKS = 5  # places of a slider that are tried at first
HOW_FAR = (("much ", 0.75), ("", 0.5), ("a little ", 0.2), ("one step ", 0.0))  # of the way to the lowest
WIDER, HIGHER = ("feeder_width", "make the feeder wider"), ("feeder_height", "make the feeder higher")
SLEEVE = "sleeve_thickness", "make the sleeve thicker"


def better_feeder(bench, result):
    """Why the feeder of an unsound `result` does not do, and what to make larger."""
    found, units = result.diagnosis, bench.units
    if found.cause == "even":
        return SPONGE
    if not result.has_feeder:
        return "There is no feeder yet: make the feeder wider."
    if found.cause == "uphill":
        return f"By the end the metal in the feeder stands no higher than the hole: {_larger(bench, HIGHER)}."
    if found.cause == "runs empty":
        return f"It gives {100 * found.feeder_gave:.0f} % of itself and is empty: {_larger(bench, WIDER)}."
    if found.cause == "freezes first":
        solid = result.plain_time(found.feeder_froze_s, units)
        late = (f"is solid after {solid}, no later than where the hole is"
                if found.feeder_froze_s <= found.hole_froze_s else
                f"must stay liquid clearly longer than where the hole is: it is solid after {solid}, and "
                "stiff with crystals before")
        return f"The feeder {late}. It needs a larger modulus: {_larger(bench, WIDER, SLEEVE)}."
    if bench.values.get("neck_width"):
        return thinner_sleeve(bench, found) or NECK
    return f"{FOOT}: {_larger(bench, WIDER, SLEEVE)}."


def thinner_sleeve(bench, found):
    """That a thinner sleeve lets the feeder nearer, where its neck is too long for that alone; tried."""
    if not found.neck_made_longer_m:
        return ""
    name = "sleeve_thickness"
    value = next((value for value in reversed(lower_steps(bench.controls[name]))
                  if sound_at(bench.glance, name, value) and sound_at(bench.solve, name, value)), None)
    if value is None:
        return ""
    near, long = bench.units.length(value), bench.units.length(found.neck_made_longer_m)
    return (f"So thick a sleeve holds the feeder off: its neck is {long} long, and the longer it is, the "
            f"sooner it closes. Make the sleeve thinner: at {near} it feeds.")


def lighter_feeder(bench):
    """Which way to make the feeder of a sound casting smaller: tried, and the casting is still sound."""
    width, height = bench.values["feeder_width"], bench.values["feeder_height"]
    wide, high = lightest_feeder(bench)
    at, still = bench.units.length, "it still feeds"
    if wide < bench.values.get("neck_width", 0.0) + 1e-6:
        return f"A feeder cannot be narrower than its neck. Set the neck width to {at(0.0)}."
    if wide > width + 1e-6:
        return ("A wider feeder can be much lower. "
                f"Make the feeder wider: at {at(wide)} it can be {at(high)} high.")
    if bench.values.get("feeder_top") == BLIND and sound_at(bench.solve, "feeder_top", OPEN):
        return f"The sand above it takes more heat than air would. Set the feeder top to {OPEN}."
    if high < height - 1e-6:
        return f"It can do with less. Make the feeder lower: at {at(high)} {still}."
    if wide < width - 1e-6:
        return f"It can do with less. Make the feeder narrower: at {at(wide)} {still}."
    if can_grow(bench, "sleeve_thickness"):
        return "With more heat kept in, a smaller feeder does: make the sleeve thicker."
    return f"From here no smaller feeder does. {AGAIN}."


def lightest_feeder(bench):
    """(width, height) of the feeder with least metal among those no higher than now that still feed.

    For each of a few heights quick looks find the narrowest by halves; a full one confirms the lightest.
    """
    widths, heights = every_step(bench.controls["feeder_width"]), lower_steps(bench.controls["feeder_height"])
    now = bench.values["feeder_height"]
    found = []
    for high in (*heights[::max(len(heights) // 3, 1)], now):
        first = bisect_left(widths, True, key=partial(sound_at, bench.glance, "feeder_width",
                                                      feeder_height=high))
        found += [(bench.glance(feeder_width=wide, feeder_height=high).poured_kg, wide, high)
                  for wide in widths[first:first + 2]]
    confirmed = ((wide, high) for _, wide, high in sorted(found)
                 if sound_at(bench.solve, "feeder_width", wide, feeder_height=high))
    return next(confirmed, (bench.values["feeder_width"], now))


def smallest_sound(bench, name):
    """The lowest value of a slider with which the casting is still sound; None where not even one step is.

    Quick looks find it by halves, full ones confirm it.
    """
    if name not in bench.controls:
        return None
    steps = lower_steps(bench.controls[name])
    first = bisect_left(steps, True, key=lambda value: sound_at(bench.glance, name, value))
    return next((value for value in steps[first:] if sound_at(bench.solve, name, value)), None)


def every_step(control):
    """Where a slider can stand, the lowest first."""
    low, _, high = control.range()
    step = control.slider.step
    return [round(low + step * number, 9) for number in range(math.floor((high - low) / step + 0.01) + 1)]


def lower_steps(control):
    """Where it can stand below where it stands now, the lowest first."""
    return [value for value in every_step(control) if value < control.value - 1e-6]


def sound_at(pour, name, value, **others):
    """Whether the casting that `pour` gives is sound with this value; what cannot be cast is not."""
    try:
        return pour(**{name: value}, **others).sound
    except InputError:
        return False


def how_far(control, value):
    """How far down a slider goes to reach `value` or stay above it, in a word to stand before "narrower"."""
    low, _, _ = control.range()
    return next(word for word, share in HOW_FAR
                if control.value - max(share * (control.value - low), control.slider.step) >= value - 1e-6)


def one_move(bench, ways, missing, least=()):
    """The move of one slider that comes nearest to what is asked, tried with quick looks: a few places of
    each slider, then nearer and nearer to the best one.

    ways      {name of a slider: (what it moves, word for more, word for less)}
    missing   function: result -> number, the smaller the nearer
    least     {name of a slider: lowest value that may be proposed}
    Returns (words "make the ...: at 12 mm", result there), or None where no move comes nearer.
    """
    def look(name, value):
        try:
            result = bench.glance(**{name: value})
        except InputError:
            return math.inf, None
        return missing(result), result

    places = {name: stops(bench.controls[name], dict(least).get(name, -math.inf)) for name in ways}
    found = {name: {at: look(name, places[name][at]) for at in spread(len(places[name]))} for name in ways}
    found = {name: seen for name, seen in found.items() if seen}
    if not found:
        return None
    name = min(found, key=lambda each: min(far for far, _ in found[each].values()))
    seen, steps = found[name], places[name]
    while between := gaps(seen):
        seen |= {at: look(name, steps[at]) for at in between}
    best = min(seen, key=lambda at: seen[at][0])
    nearest, result = seen[best]
    if nearest >= missing(bench.glance()):
        return None
    noun, more, less = ways[name]
    word = more if steps[best] > bench.values[name] else less
    return f"make the {noun} {word}: at {bench.units.length(steps[best])}", result


def spread(count):
    """A few of so many places: both ends, and some evenly between.

    >>> spread(17), spread(2), spread(0)
    ([0, 4, 8, 12, 16], [0, 1], [])
    """
    few = min(count, FIRST_LOOKS)
    return sorted({round(at * (count - 1) / max(few - 1, 1)) for at in range(few)})


def gaps(seen):
    """Half-way between the best of the places that were `seen`, {place: (how far, ...)}, and those beside it.

    >>> gaps({0: (3.0,), 4: (1.0,), 8: (2.0,)}), gaps({0: (3.0,), 1: (1.0,), 2: (2.0,)})
    ([2, 6], [])
    """
    places, best = sorted(seen), min(seen, key=lambda at: seen[at][0])
    at = places.index(best)
    return [(one + best) // 2 for one in places[max(at - 1, 0):at + 2] if abs(one - best) > 1]


def stops(control, least=-math.inf):
    """Where a slider can stand other than now, from `least` on."""
    return [value for value in every_step(control)
            if value >= least - 1e-6 and abs(value - control.value) > 1e-6]


def moved_besides(bench, *names):
    """Labels of the sliders, other than these, that have been moved from where they stood at first."""
    moved = [control.slider.label for other, control in bench.controls.items()
             if other not in names and control.value != bench.first_values[other]]
    return ", ".join(moved)


def put_back(bench, *names):
    """To set those of these sliders back that have been moved; "" where none has."""
    moved = [bench.controls[name].slider.label for name in names
             if bench.values[name] != bench.first_values[name]]
    return f"Set the {' and the '.join(moved)} back." if moved else ""


def another_casting(bench, *names):
    """Where more than these sliders was moved, what the task asks for may be out of reach: back to it."""
    moved = moved_besides(bench, *names)
    return f"You also moved: {moved}. {AGAIN}, and go on from the casting that was ordered." if moved else ""


def can_grow(bench, name):
    """Whether there is such a slider, and room above where it stands."""
    control = bench.controls.get(name)
    return control is not None and control.value < control.range()[2] - 0.5 * control.slider.step


def _larger(bench, *ways):
    """The first of these ways for which there is room, else of all of them; else back to the start."""
    fits = [words for name, words in (*ways, WIDER, HIGHER, SLEEVE) if can_grow(bench, name)]
    return next(iter(fits), f"it cannot be made larger here. {AGAIN}")
