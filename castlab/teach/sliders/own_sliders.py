"""The sliders of a part of one's own: sizes of its bodies, and of what stands on it."""

import math
from dataclasses import replace

from castlab.field.bulk import bulk_of
from castlab.field.layout import UPS
from castlab.field.placed import NAME, rigging_of, sizes_of
from castlab.field.rigging import BLIND, CHILLS, OPEN, SLEEVES
from castlab.teach.sliders.part_sliders import FEEDING, MORE, PART
from castlab.teach.sliders.slider import Slider, on_step

STEP_M, SMALL_STEP_M, SMALL_M = 1e-3, 0.5e-3, 8e-3  # sizes below the last go in small steps
LEAST_GATE_M = 2e-3  # but for a part that is thinner where its gate joins
SHARE = 0.4  # by which a size of a body goes up and down
MOST_SHOWN = 9  # sizes of bodies; more are folded away
MOST_BALLS, LEAST_M = 3.0, 24e-3  # a feeder is at most so many times the largest ball in the part
UP = "direction of the drawing that points up"
SIDES = {
    "feeder": ("top", "left", "right", "front", "back"),
    "gate": ("left", "right", "front", "back"),
    "chill": ("bottom", "top", "left", "right", "front", "back"),
}
CHOICES = {"top": (OPEN, BLIND), "sleeve": SLEEVES, "material": CHILLS}
OFTEN = ("width", "height", "thickness")  # not folded away


def sliders_of_own(part):
    """All sliders of a `part` (OwnPart) but those of metal and mould.

    A feeder, gate or chill has sliders where the part's rigging has one, be it of no size.

    >>> from castlab.field.own_part import Body, OwnPart
    >>> place = tuple((f"feeder_1_{name}", 0.0) for name in ("x", "y", "z", "width"))
    >>> knob = OwnPart("knob", (Body("ball", "ball", (("diameter", 0.03),)),), rigging=place)
    >>> [slider.label for slider in sliders_of_own(knob)][:4]
    ['ball diameter', 'direction of the drawing that points up', 'feeder 1 width', 'feeder 1 height']
    """
    sizes = [(f"{body.name} {size}", value) for body in part.bodies for size, value in body.sizes if value]
    group = PART if len(sizes) <= MOST_SHOWN else MORE
    found = [*(_size(name, value, group) for name, value in sizes)]
    found.append(Slider("up", UP, "choice", PART, part.up, options=tuple(UPS)))
    for kind, numbers in rigging_of(dict(part.rigging)).items():
        for number, what in numbers.items():
            values = sizes_of(kind, number, what, usual=True)
            found += filter(None, (_standing(part, name, value) for name, value in values.items()))
    return tuple(sorted(found, key=lambda slider: slider.group == MORE))


def on_sliders(part):
    """The same part, what stands on it moved to where sliders can stand: a millimetre or less."""
    known = {slider.name: slider for slider in sliders_of_own(part)}
    rigging = tuple((name, known[name].value if name in known else value) for name, value in part.rigging)
    return replace(part, rigging=rigging)


def _size(name, value, group):
    """From 40 % less to 40 % more, in steps that meet the size as it was drawn."""
    step = STEP_M if value >= SMALL_M else SMALL_STEP_M
    count = max(int(SHARE * value / step), 1)
    ends = (round(value + way * count * step, 9) for way in (-1, 1))
    return Slider(name, name, "length", group, value, *ends, step)


def _standing(part, name, value):
    """A slider of a feeder, gate or chill; None for what has none."""
    kind, _, what = NAME.fullmatch(name).groups()
    label, group = name.replace("_", " "), FEEDING if what in OFTEN else MORE
    options = SIDES[kind] if what == "side" else CHOICES.get(what)
    if options:
        return Slider(name, label, "choice", group, value, options=options)
    span = None if isinstance(value, str) else _span(part, kind, what, value)
    if span is None:
        return None
    slider = Slider(name, label, "length", group, span[0], *span)
    return replace(slider, value=on_step(slider, value))


def _span(part, kind, what, value):
    """From where to where a slider goes that stands at a value, and its step [m]; None for what has none."""
    ball = 2.0 * float(bulk_of(replace(part, rigging=())).depth.max())
    largest = max(STEP_M * math.ceil(MOST_BALLS * ball / STEP_M), LEAST_M)
    third = 2.0 * STEP_M * math.ceil(0.5 * largest / MOST_BALLS / STEP_M)
    if what in "xyz":
        low, high = (end["xyz".index(what)] for end in part.extent)
        return STEP_M * math.floor(low / STEP_M), STEP_M * math.ceil(high / STEP_M), SMALL_STEP_M
    return {
        ("feeder", "width"): (0.0, largest, STEP_M),
        ("feeder", "height"): (20e-3, 2.0 * largest, STEP_M),
        ("feeder", "neck"): (0.0, largest, 2.0 * STEP_M),
        ("feeder", "sleeve_thickness"): (0.0, 16e-3, 4.0 * STEP_M),
        ("gate", "thickness"): (min(LEAST_GATE_M, value), third, SMALL_STEP_M),
        ("chill", "thickness"): (0.0, third, 2.0 * STEP_M),
    }.get((kind, what))
