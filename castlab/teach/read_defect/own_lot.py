"""A part of one's own as what castings are drawn from: where its feeders stand, and how wide a usual one is.

The part is cast as it was drawn; what the lot changes is the pour, the feeders, each as wide as its own place
wants or somewhat narrower, and whether a chill stands at a hot spot.
"""

import math
from dataclasses import dataclass, replace

from castlab.errors import InputError
from castlab.field.design import design
from castlab.field.faces import free_face
from castlab.field.outcome import FULL, outcome_of
from castlab.field.own_cures import spots_in_need
from castlab.field.own_part import OwnPart
from castlab.field.placed import rigging_of, sizes_of
from castlab.field.rigging import BLIND
from castlab.materials import alloy, mould
from castlab.plan import Batch, Job
from castlab.teach.own_part.by_rule import chill_here, feeder_here
from castlab.teach.sliders.part_sliders import RIGGING, middle
from castlab.units import metres

TRIED = "ZA-12", "green sand"  # what the part is poured of to find where it wants feeding
WIDEST_M = next(slider.high for slider in RIGGING if slider.name == "feeder_width")
SAME = {"feeder_height": "height", "neck_width": "neck",
        "sleeve_thickness": "sleeve_thickness"}  # the lesson's name of a size, and that of a Feeder
SHARE = "share"  # of the widest feeder's width
NARROWEST_SHARE = 0.8  # so much of what its place wants, beside the others, has the narrowest; judgement
CHILLED = 1.0 / 3.0  # of the castings, where a chill finds a free face; judgement
CHILL_SIDES = "bottom", "left", "right", "front", "back"
RISES_M = 5e-3  # a part that rises so far above a feeder's foot stands higher than low feeders; judgement
NO_PLACE = "put a feeder on the part where one may stand, or turn it another way up"


@dataclass(frozen=True)
class OwnLot:
    """A part and where feeders stand on it.

    fixed    places of feeders that do not stand on the part yet, as pairs; none where it has feeders
    heavy    width of a feeder for its heaviest place, by hand rule [m]
    shares   of that, the width for the place of each feeder: pairs of number and share
    chill    a chill for the hot spot that freezes last, as pairs; none where a chill stands on the part, or
             no face is free there
    """

    part: OwnPart
    fixed: tuple
    heavy: float
    shares: tuple = ()
    chill: tuple = ()

    def drawn(self, chance):
        """What stands where on one casting: pairs of name and value, by lot (a numpy Generator)."""
        widths = {number: share * chance.uniform(NARROWEST_SHARE, 1.0) for number, share in self.shares}
        widest = max(widths.values())
        shares = ((f"feeder_{number}_{SHARE}", round(width / widest, 2)) for number, width in widths.items())
        with_chill = self.chill and chance.random() < CHILLED
        return self.fixed + tuple(shares) + (self.chill if with_chill else ())


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
    stand = rigging_of(dict(part.rigging))["feeder"] if free else dict(enumerate(feeders, 1))
    shares = tuple((number, _nearest(feeders, feeder).width / heavy) for number, feeder in stand.items())
    places = {}
    for number, feeder in () if free else stand.items():
        places |= sizes_of("feeder", number, feeder)
    sizes = tuple(f"_{name}" for name in (*SAME.values(), "width"))
    fixed = tuple((name, value) for name, value in places.items() if not name.endswith(sizes))
    return OwnLot(part, fixed, heavy, shares, _chill_for(part, needy[0]))


def _nearest(feeders, to):
    return min(feeders, key=lambda each: math.dist((each.x, each.y, each.z), (to.x, to.y, to.z)))


def _chill_for(part, spot):
    """A chill by rule against a free face of a hot spot on which no feeder can stand, as pairs."""
    if rigging_of(dict(part.rigging))["chill"]:
        return ()
    for side in CHILL_SIDES:
        if side not in {face.side for face in spot.faces} and free_face(part.blocks, side, spot.place).direct:
            return tuple(sizes_of("chill", 1, replace(chill_here(spot), side=side)).items())
    return ()


def _closed_below(part, spot, feeder):
    """The same feeder, closed on top where the part rises beside it: an open one would overflow first."""
    face = spot.face(feeder.side)
    rises = part.extent[1][1] - (face.at[1] if feeder.side == "top" else spot.place[1])
    return replace(feeder, top=BLIND) if rises > RISES_M else feeder


def feeders_of(part, fixed):
    """Numbers of the feeders of a part, those of `fixed` too."""
    return tuple(standing(part, fixed)["feeder"])


def standing(part, fixed):
    """What stands on a part, those of `fixed` too, as `rigging_of` has it."""
    return rigging_of(dict(part.rigging) | _shares_and_places(fixed)[1])


def _shares_and_places(fixed):
    """Of what is fixed, shares of widths by number of the feeder, and what a Design takes as it is."""
    shares = {int(name.split("_")[1]): value for name, value in fixed if name.endswith(SHARE)}
    return shares, {name: value for name, value in fixed if not name.endswith(SHARE)}


def own_sizes(part, fixed, values):
    """What a Design of the part takes: the lesson's sizes of a feeder, given to each of its feeders; its
    width is the widest one's."""
    shares, found = _shares_and_places(fixed)
    found |= {name: values[name] for name in ("alloy", "mould", "pour_temp_c")}
    for number in feeders_of(part, fixed):
        width = round(shares.get(number, 1.0) * values["feeder_width"], 3)
        sizes = {name: values[common] for common, name in SAME.items()} | {"width": width}
        sizes["neck"] = min(sizes["neck"], width)  # no neck is wider than its feeder
        found |= {f"feeder_{number}_{name}": size for name, size in sizes.items()}
    return found


def widths_of(part, fixed, values):
    """Width of each of its feeders [m]."""
    sizes = own_sizes(part, fixed, values)
    return tuple(sizes[f"feeder_{number}_width"] for number in feeders_of(part, fixed))
