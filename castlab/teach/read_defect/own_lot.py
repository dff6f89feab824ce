"""A part of one's own as what castings are drawn from: where its feeders stand, and how wide a usual one is.

The part is cast as it was drawn; what the lot changes is the pour and the feeders, all of them alike.
"""

from dataclasses import dataclass, replace

from castlab.errors import InputError
from castlab.field.design import design
from castlab.field.outcome import FULL, outcome_of
from castlab.field.own_cures import spots_in_need
from castlab.field.own_part import OwnPart
from castlab.field.placed import rigging_of, sizes_of
from castlab.field.rigging import BLIND
from castlab.materials import alloy, mould
from castlab.plan import Batch, Job
from castlab.teach.own_part.by_rule import feeder_here
from castlab.teach.sliders.part_sliders import RIGGING, middle
from castlab.units import metres

TRIED = "ZA-12", "green sand"  # what the part is poured of to find where it wants feeding
WIDEST_M = next(slider.high for slider in RIGGING if slider.name == "feeder_width")
SAME = {"feeder_width": "width", "feeder_height": "height", "neck_width": "neck",
        "sleeve_thickness": "sleeve_thickness"}  # the lesson's name of a size, and that of a Feeder
RISES_M = 5e-3  # a part that rises so far above a feeder's foot stands higher than low feeders; judgement
NO_PLACE = "put a feeder on the part where one may stand, or turn it another way up"


@dataclass(frozen=True)
class OwnLot:
    """A part and where feeders stand on it.

    fixed   places of feeders that do not stand on the part yet, as pairs; none where it has feeders
    heavy   width of a feeder for its heaviest place, by hand rule [m]
    """

    part: OwnPart
    fixed: tuple
    heavy: float


def own_lot(part):
    """A plan; its answer is the OwnLot of a part: feeders where it has them, else at its hot spots.

    Raises InputError for a part that cannot be cast, that has no place for a feeder, or wants larger ones
    than this bench has. What it asks for first is the part without a feeder:

    >>> from castlab.field.example_parts import door_handle
    >>> (job,) = next(own_lot(door_handle())).jobs
    >>> job.args[0].part.name
    'door handle'
    """
    metal, sand = alloy(TRIED[0]), mould(TRIED[1])
    free = {f"feeder_{number}_width": 0.0 for number in feeders_of(part, ())}
    bare = design(part, metal, sand, middle(*metal.pour_range_c), **free)
    (outcome,) = yield Batch([Job(outcome_of, bare, FULL)], more=60)
    if outcome.refused:
        raise InputError("part", part.name, "it must be possible to cast it: {}", outcome.refused)
    if not outcome.spots:
        raise InputError("part", part.name, "its last metal freezes in the gate: it shows no hole to read")
    needy = spots_in_need(outcome.spots)
    if not any(spot.faces for spot in needy):
        raise InputError("place of a feeder", "no free face at the hot spots", NO_PLACE)
    feeders = [_closed_below(part, spot, feeder_here(spot)) for spot in needy if spot.faces]
    heavy = max(feeder.width for feeder in feeders)
    if heavy > WIDEST_M:
        allowed = "castings are drawn with feeders of at most {}"
        raise InputError("feeder for the part", metres(heavy), allowed, metres(WIDEST_M))
    if free:
        return OwnLot(part, (), heavy)
    places = {}
    for number, feeder in enumerate(feeders, 1):
        places |= sizes_of("feeder", number, feeder)
    sizes = tuple(f"_{name}" for name in SAME.values())
    return OwnLot(part, tuple((name, value) for name, value in places.items() if not name.endswith(sizes)),
                  heavy)


def _closed_below(part, spot, feeder):
    """The same feeder, closed on top where the part rises beside it: an open one would overflow first."""
    face = spot.face(feeder.side)
    rises = part.extent[1][1] - (face.at[1] if feeder.side == "top" else spot.place[1])
    return replace(feeder, top=BLIND) if rises > RISES_M else feeder


def feeders_of(part, fixed):
    """Numbers of the feeders of a part, those of `fixed` too."""
    return tuple(rigging_of(dict(part.rigging) | dict(fixed))["feeder"])


def own_sizes(part, fixed, values):
    """What a Design of the part takes: the lesson's sizes of a feeder, given to each of its feeders."""
    alike = {f"feeder_{number}_{name}": values[common]
             for number in feeders_of(part, fixed) for common, name in SAME.items()}
    poured = {name: values[name] for name in ("alloy", "mould", "pour_temp_c")}
    return poured | dict(fixed) | alike
