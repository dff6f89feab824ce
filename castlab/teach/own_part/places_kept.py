"""A part of one's own made ready for an exercise: a gate, and places where a feeder and a chill may stand."""

from dataclasses import replace

from castlab.field.bulk import heavy_places
from castlab.field.own_rigging import usual_gate
from castlab.field.placed import Chill, Feeder, rigging_of, sizes_of
from castlab.teach.sliders.own_sliders import on_sliders

KEPT = ("No feeder stands on it: a place for one, and for a chill, is kept at its thickest place, and their "
        "sizes begin at 0. For other places put feeders on it at its own desk, and save it there.")
ONE_BODY = "It is one body: students are asked in which third of it the largest hole lies."
PLACE_DECIMALS = 4


def with_places(part):
    """A part (OwnPart) ready for an exercise, and what is to be said of it, in words.

    What stands on it stays. Without a feeder, places are kept for one and for a chill at its thickest place.
    """
    standing, rigging, words = rigging_of(dict(part.rigging)), dict(part.rigging), []
    if not standing["gate"]:
        rigging |= sizes_of("gate", 1, usual_gate(part))
    if not standing["feeder"]:
        place = tuple(round(each, PLACE_DECIMALS) + 0.0 for each in heavy_places(part)[0])
        rigging |= sizes_of("feeder", 1, Feeder(*place, width=0.0))
        if not standing["chill"]:
            rigging |= sizes_of("chill", 1, Chill(*place, thickness=0.0))
        words.append(KEPT)
    if sum(block.is_metal for block in part.blocks) == 1:
        words.append(ONE_BODY)
    return on_sliders(replace(part, rigging=tuple(rigging.items()))), " ".join(words)

