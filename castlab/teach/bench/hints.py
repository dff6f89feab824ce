"""Hints that name what to move and which way, tried before they are given where that can be done.

`tests/helpers/hint_reader.py` follows them to the letter.
"""

from castlab.errors import InputError

AGAIN = "Press “Start again”"
SPONGE = f"No feeder takes sponge out. {AGAIN}, and take the metal that this task begins with."
FOOT = ("The feeder stays liquid longest, but metal must also get through its foot, where it stands on the "
        "casting")
NECK = "A neck that is solid or full of crystals lets nothing pass: make the neck wider."
HOW_FAR = (("much ", 0.75), ("", 0.5), ("a little ", 0.2))  # of the way to the lowest that a slider can be
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
        return NECK
    return f"{FOOT}: {_larger(bench, WIDER, SLEEVE)}."


def lighter_feeder(bench):
    """Which way to make the feeder of a sound casting smaller: tried, and the casting is still sound."""
    ways = [_smaller(bench, name, word) for name, word in (("feeder_height", "lower"),
                                                           ("feeder_width", "narrower"))]
    _, words = min(filter(None, ways), default=(0.0, ""))
    if words:
        return f"It can do with less: make the feeder {words}."
    if can_grow(bench, "sleeve_thickness"):
        return "With more heat kept in, a smaller feeder does: make the sleeve thicker."
    return "So narrow, it must be high. A wider one can be much lower: make the feeder wider."


def moved_besides(bench, *names):
    """Labels of the sliders, other than these, that have been moved from where they stood at first."""
    moved = [control.slider.label for other, control in bench.controls.items()
             if other not in names and control.value != bench.first_values[other]]
    return ", ".join(moved)


def another_casting(bench, *names):
    """Where more than these sliders was moved, what the task asks for may be out of reach: back to it."""
    moved = moved_besides(bench, *names)
    return f"You also moved: {moved}. {AGAIN}, and go on from the casting that was ordered." if moved else ""


def can_grow(bench, name):
    """Whether there is such a slider, and room above where it stands."""
    control = bench.controls.get(name)
    return control is not None and control.value < control.range()[2] - 0.5 * control.slider.step


def _smaller(bench, name, word):
    """(metal [kg], words): how far a slider can go down with the casting still sound; None where nowhere."""
    for much, share in HOW_FAR if name in bench.controls else ():
        value = _towards_lowest(bench.controls[name], share)
        try:
            result = bench.solve(**{name: value})
        except InputError:
            continue
        if value < bench.values[name] and result.sound:
            return result.poured_kg, f"{much}{word}"
    return None


def _towards_lowest(control, share):
    """So much of the way to the lowest value, and one step at least."""
    low, step = control.range()[0], control.slider.step
    return max(round(control.value - step * max(round(share * (control.value - low) / step), 1), 9), low)


def _larger(bench, *ways):
    """The first of these ways for which there is room, else of all of them; else back to the start."""
    fits = [words for name, words in (*ways, WIDER, HIGHER, SLEEVE) if can_grow(bench, name)]
    return next(iter(fits), f"it cannot be made larger here. {AGAIN}")
