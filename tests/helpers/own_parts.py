"""A small part of one's own for exercises: a plate with a boss, and a place for a feeder on the boss."""

from dataclasses import replace

from castlab.field.own_part import Body, OwnPart
from castlab.field.placed import Feeder, sizes_of
from castlab.teach.exercise.exercise import Exercise
from castlab.teach.own_part.places_kept import with_places
from castlab.teach.sliders.own_sliders import sliders_of_own

PLATE = Body("plate", "box", (("length", 0.08), ("height", 0.008), ("width", 0.03)))
BOSS = Body("boss", "cylinder", (("diameter", 0.03), ("length", 0.03)), (0.03, 0.0, 0.0))
LUG = OwnPart("lug", (PLATE, BOSS))
PLACE = sizes_of("feeder", 1, Feeder(0.03, 0.0, 0.0, width=0.0))


def lug():
    """The part with a place for a feeder, and a gate, on sliders."""
    return with_places(replace(LUG, rigging=tuple(PLACE.items())))[0]


def lug_exercise(**changes):
    """An exercise about it: no feeder stands there."""
    part = lug()
    values = {slider.name: slider.value for slider in sliders_of_own(part)} | {"pour_temp_c": 475.0}
    allowed = "feeder_1_width", "feeder_1_height", "gate_1_thickness"
    return replace(Exercise("The lug", part, "ZA-12", "green sand", values, allowed, 1.5), **changes)
