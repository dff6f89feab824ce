"""The kinds of cure for a part of one's own: at its hot spots, on the free faces that were found there."""

from dataclasses import replace

from castlab.field.faces import BESIDE
from castlab.field.holes import the
from castlab.field.layout import UPS
from castlab.field.own_rigging import usual_gate
from castlab.field.placed import GATE_M, Chill, Feeder, Gate, rigging_of, sizes_of, there

STEP_M, LEAST_FEEDER_M, LEAST_CHILL_M = 2e-3, 10e-3, 4e-3
LEAST_HEIGHT_M, LARGEST_FEEDER_M = 20e-3, 80e-3
HIGH, LOW = 1.5, 0.6  # height of a feeder over its width: usual, and squat; common practice
SLEEVE_M = 8e-3  # a common wall of a small insulating sleeve; common practice
MOST_BALLS, MOST_CHILL_BALLS = 3.0, 1.2  # a feeder or chill is at most so many times the ball at its spot
WORTH = 0.05  # a spot that lacks less than this share of all holes needs no feeder of its own
MOST_AT_ONCE = 4
ENDS = {
    "+x": "its right end",
    "-x": "its left end",
    "+y": "its top",
    "-y": "its bottom",
    "+z": "its front",
    "-z": "its back",
}  # of the drawing


def spots_in_need(spots):
    """Those of some `spots` that lack metal, the last to freeze first; the last one where none does.

    Of many small holes only those that are worth a feeder; what is worth one is judgement.

    >>> spots_in_need(())
    ()
    """
    lacking = sum(spot.lacks_m3 for spot in spots)
    needy = tuple(spot for spot in spots if spot.lacks_m3 > WORTH * lacking)
    return (needy or tuple(spots[:1]))[:MOST_AT_ONCE]


def kinds_for_own(design, spots):
    """All kinds of cure for a design of an own part: triples of key, name and settings.

    Parameters: `design`, whose part is an OwnPart; `spots`, its HotSpots. Without spots there are those kinds
    only that need none.

    >>> from castlab.field.design import design
    >>> from castlab.field.example_parts import door_handle
    >>> from castlab.materials import alloy, mould
    >>> plain = design(door_handle(), alloy("ZA-12"), mould("green sand"), 475.0)
    >>> next(kinds_for_own(plain, ()))[0]
    'thicker gate into the thin end'
    """
    places = rigging_of(dict(design.part.rigging) | design.values)
    set_up = there(places)
    needy = spots_in_need(spots)
    if set_up["feeder"]:
        yield "larger feeders", _larger(set_up["feeder"]), _grown(set_up["feeder"])
    free = [number for number in places["feeder"] if number not in set_up["feeder"]]
    if free:
        yield "feeder in its place", f"feeder {' and '.join(map(str, free))}, of one size", _set_in(free)
    yield from _new_feeders(max(places["feeder"], default=0) + 1, needy)
    if not set_up["chill"]:
        yield from _chills(max(places["chill"], default=0) + 1, needy)
    yield from _gates(design, set_up, needy)
    if not any(set_up.values()):
        for up in UPS:
            if up != design.values.get("up", design.part.up):
                yield f"{up} up", f"cast with {ENDS[up]} up", ((f"{ENDS[up]} up", (("up", up),)),)


def _set_in(numbers):
    """Feeders where a place is kept for them, all of one size."""
    return tuple(
        (
            width,
            tuple(
                pair
                for number in numbers
                for pair in (
                    (f"feeder_{number}_width", width),
                    (f"feeder_{number}_height", round(max(HIGH * width, LEAST_HEIGHT_M), 3)),
                )
            ),
        )
        for width in _range(LEAST_FEEDER_M, LARGEST_FEEDER_M)
    )


def _new_feeders(number, needy):
    free = [spot for spot in needy if spot.face("top")]
    if free and len(free) == len(needy):
        tops = ["top"] * len(free)
        name = f"{'feeder' if len(free) == 1 else 'feeders'} on top of {_places(free)}"
        yield "feeder on top", name, _feeders(free, tops, number, HIGH)
        yield "squat feeder on top", f"squat {name}", _feeders(free, tops, number, LOW)
        sleeved = {"sleeve_thickness": SLEEVE_M}
        yield "sleeved feeder", f"{name}, in a sleeve", _feeders(free, tops, number, HIGH, **sleeved)
        if len(free) > 1:
            yield (
                "one feeder",
                f"feeder on top of {_places(free[:1])} alone",
                _feeders(free[:1], tops, number, HIGH),
            )
    sides = [_side(spot) for spot in needy]
    if needy and all(sides):
        name = f"{'feeder' if len(needy) == 1 else 'feeders'} beside {_places(needy)}"
        yield "feeder at the side", name, _feeders(needy, sides, number, HIGH)


def _feeders(spots, sides, number, slender, **more):
    largest, settings = MOST_BALLS * spots[0].ball_m, []
    for width in _range(LEAST_FEEDER_M, max(largest, 2 * LEAST_FEEDER_M)):
        changes = {}
        for at, (spot, side) in enumerate(zip(spots, sides, strict=False)):
            own = round(max(width * spot.ball_m / spots[0].ball_m, 0.5 * LEAST_FEEDER_M), 4)
            height = round(max(slender * own, LEAST_HEIGHT_M), 4)
            feeder = Feeder(*_rounded(spot.place), side, own, height, **more)
            changes |= sizes_of("feeder", number + at, feeder)
        settings.append((width, tuple(changes.items())))
    return tuple(settings)


def _larger(feeders):
    return "larger feeder" if len(feeders) == 1 else "larger feeders"


def _grown(feeders):
    """The feeders that are there, wider and higher step by step."""
    first, settings = next(iter(feeders.values())), []
    for width in _range(first.width + STEP_M, 2.0 * first.width):
        changes = {}
        for number, feeder in feeders.items():
            share = width / first.width
            changes[f"feeder_{number}_width"] = round(feeder.width * share, 4)
            changes[f"feeder_{number}_height"] = round(feeder.height * share, 4)
        settings.append((width, tuple(changes.items())))
    return tuple(settings)


def _chills(first, needy):
    if not needy:
        return
    for key, sides in (
        ("chill under", ["bottom"] * len(needy)),
        ("chill at the side", [_side(each) for each in needy]),
    ):
        if all(sides):
            settings = []
            for thick in _range(LEAST_CHILL_M, max(MOST_CHILL_BALLS * needy[0].ball_m, 2 * LEAST_CHILL_M)):
                changes = {}
                for number, (spot, side) in enumerate(zip(needy, sides, strict=True), first):
                    wide = round(spot.ball_m, 4)
                    chill = Chill(*_rounded(spot.place), side, thick, wide, wide)
                    changes |= sizes_of("chill", number, chill)
                settings.append((thick, tuple(changes.items())))
            where = "under" if key == "chill under" else "beside"
            yield (
                key,
                f"steel {'chill' if len(needy) == 1 else 'chills'} {where} {_places(needy)}",
                tuple(settings),
            )


def _gates(design, set_up, needy):
    if len(set_up["gate"]) > 1:
        return
    part = replace(design.part, up=design.values.get("up", design.part.up))
    gate = set_up["gate"].get(1) or usual_gate(part)
    yield (
        "thicker gate into the thin end",
        "thicker gate",
        tuple(
            (thick, tuple(sizes_of("gate", 1, replace(gate, thickness=thick)).items()))
            for thick in _range(gate.thickness + STEP_M, 30e-3)
        ),
    )
    side = _side(needy[0]) if needy else None
    if side:
        place = _rounded(needy[0].place)
        yield (
            "gate into the heavy end",
            f"gate into {_places(needy[:1])}",
            tuple(
                (thick, tuple(sizes_of("gate", 1, Gate(*place, side, thick)).items()))
                for thick in _range(GATE_M, max(needy[0].ball_m, 2 * GATE_M))
            ),
        )


def _side(spot):
    """The side of a spot with a free face nearest to it; None where there is none."""
    beside = [face for face in spot.faces if face.side in BESIDE]
    if not beside:
        return None
    return min(
        beside,
        key=lambda face: (
            round(abs(face.at[face.axis] - spot.place[face.axis]), 3),
            ("right", "left", "front", "back").index(face.side),
        ),
    ).side


def _places(spots):
    names = list(dict.fromkeys(the(spot.block) for spot in spots))
    if len(spots) > len(names):
        return f"{len(spots)} places of {' and '.join(names)}"
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def _rounded(place):
    return tuple(round(each, 4) + 0.0 for each in place)


def _range(low, high):
    """Sizes [m] from low to high in steps."""
    count = int((high - low) / STEP_M + 1e-9)
    return [round(low + STEP_M * step, 6) for step in range(count + 1)]
