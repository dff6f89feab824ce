"""What cannot be rigged or cast is explained in words that a caster understands."""

import itertools
import re

import pytest

from castlab import InputError, mould
from castlab.field import parts
from castlab.field.grid import build
from castlab.field.layout import Layout
from castlab.field.parts import PARTS, layout_of
from castlab.field.rigging import slab
from castlab.teach.sliders.to_design import design_of, sliders_for

MM = 1e-3

# Every refusal that a slider at its end can meet, as read; a new one must be read by somebody too.
REFUSALS = (
    r"gate thickness is [\d.]+ mm: at most the section that it joins, [\d.]+ mm",
    r"feeder height is [\d.]+ mm: an open feeder must stand higher than the casting, or it overflows "
    r"before the casting is full: [\d.]+ mm or more here",
    r"feeder height is [\d.]+ mm: the feeder is lower than the metal that it has to feed. Metal does not run "
    r"uphill: the air's weight lifts it only while air can enter the feeder and not the casting. "
    r"Make it [\d.]+ mm or more",
    r"neck width is [\d.]+ mm: at most the feeder's width, [\d.]+ mm; 0 for no neck",
    r"(neck|feeder) width is [\d.]+ mm: it stands on the core and finds no way to the metal; make it "
    r"[\d.]+ mm or more, or the core smaller",
    r"(chill|feeder) place is (under|on top): this way up the heavy end of the [a-z ]+ is free only at: "
    r"[a-z, ]+; choose another place or turn the part",
    r"place of the [a-z ]+ is taken: it overlaps the [a-z ]+, and bodies may only touch; make one of them "
    r"smaller or choose another place",
)
FIRST = {
    "plain": {},
    "feeder": {"feeder_width": 0.03, "feeder_height": 0.05},
    "blind": {"feeder_width": 0.03, "feeder_height": 0.05, "feeder_top": "blind"},
    "side": {"feeder_width": 0.03, "feeder_height": 0.05, "feeder_place": "at the side"},
    "heavy gate": {"gate_place": "heavy end"},
    "chill": {"chill_thickness": 0.012},
    "side chill": {"chill_thickness": 0.012, "chill_place": "at the side"},
}


@pytest.mark.parametrize("part", PARTS)
def test_sliders_at_their_ends_give_a_setup_or_a_refusal_that_has_been_read(part):
    sliders = sliders_for(part)
    start = {slider.name: slider.value for slider in sliders}
    turns = next((slider.options for slider in sliders if slider.name == "turn"), ("as drawn",))
    drawn = refused = 0
    for first, turn, slider in itertools.product(FIRST.values(), turns, sliders):
        if slider.name in ("alloy", "mould", "turn"):
            continue
        more = {name: value for name, value in (first | {"turn": turn}).items() if name in start}
        for end in slider.options or (slider.low, slider.high):
            try:
                setup = design_of(part, start | more | {slider.name: end}).setup()
            except InputError as error:
                assert any(re.fullmatch(words, str(error)) for words in REFUSALS), str(error)
                refused += 1
            else:
                assert setup.layout.title == part
                drawn += 1
    assert drawn > refused


BAD = {
    "chill in the casting": (
        lambda: hand_made(
            slab("chill", "chill", (0.08, 0.1), (0.06, 0.07), 0.04, mould("steel chill"))
        ),
        "place of the chill is taken",
        "overlaps the plate",
    ),
    "feeder in the casting": (
        lambda: hand_made(slab("feeder", "feeder", (0.08, 0.1), (0.065, 0.12), 0.04)),
        "place of the feeder is taken",
        "overlaps the plate",
    ),
    "no path from feeder to casting": (
        lambda: build(hand_made(slab("feeder", "feeder", (0.08, 0.1), (0.09, 0.14), 0.04)), 4 * MM),
        "place of feeder is apart from the casting",
        "hangs in the air",
        "must touch the casting",
    ),
    "feeder lower than what it feeds": (
        lambda: parts.eye_plate(
            feeder_width=0.03, feeder_height=0.02, feeder_place="at the side", feeder_top="blind"
        ),
        "feeder height is 20 mm",
        "does not run uphill",
        "air's weight",
        "Make it 35 mm or more",
    ),
    "open feeder lower than the casting": (
        lambda: parts.eye_plate(
            feeder_width=0.04, feeder_height=0.06, feeder_place="at the side", turn="heavy end down"
        ),
        "feeder height is 60 mm",
        "overflows",
    ),
    "gate thicker than its section": (
        lambda: parts.eye_plate(gate_thickness=0.02),
        "gate thickness is 20 mm",
        "12 mm",
    ),
    "core too large": (
        lambda: parts.eye_plate(core=0.036),
        "core is 36 mm",
        "3 mm to 34 mm",
        "walls of 3 mm",
    ),
    "core in a heavy end too small for any": (
        lambda: parts.bollard_cap(boss=8 * MM, core=3 * MM),
        "core is 3 mm",
        "too small for a core",
    ),
    "core as words": (lambda: parts.sheave(core="large"), "core is 'large'", "a number"),
    "feeder on the mouth of a core": (
        lambda: parts.sheave(core=16 * MM, feeder_width=16 * MM, feeder_height=0.04),
        "feeder width is 16 mm",
        "stands on the core",
        "20 mm or more",
    ),
    "neck on the mouth of a core": (
        lambda: parts.bollard_cap(
            core=8 * MM, turn="upside down", feeder_width=24 * MM, feeder_height=0.06, neck_width=8 * MM
        ),
        "neck width is 8 mm",
        "stands on the core",
        "12 mm or more",
    ),
    "core less than nothing": (lambda: parts.sheave(core=-0.01), "core is -10 mm", "0 (none)"),
    "neck wider than the feeder": (
        lambda: parts.cleat(feeder_width=0.02, feeder_height=0.05, neck_width=0.03),
        "neck width is 30 mm",
        "20 mm",
    ),
    "side neck larger than its face": (
        lambda: parts.bracket(
            feeder_width=0.05, feeder_height=0.09, feeder_place="at the side", neck_width=0.03
        ),
        "neck width is 30 mm",
        "the face that it joins, 20 mm",
    ),
    "sleeve of unknown stuff": (
        lambda: parts.eye_plate(sleeve="insulating sleev"),
        "sleeve is",
        "did you mean 'insulating sleeve'?",
    ),
    "unknown chill": (lambda: parts.eye_plate(chill="steel"), "chill is 'steel'", "'steel chill'"),
    "unknown place": (lambda: parts.eye_plate(feeder_place="beside"), "feeder place", "'on top'"),
    "unknown size": (lambda: layout_of("cleat", feeder_with=0.03), "did you mean 'feeder_width'?"),
    "unknown size, by function": (lambda: parts.cleat(chil="graphite"), "name of a size", "'chill'"),
    "unknown part": (lambda: layout_of("cleet"), "did you mean 'cleat'?"),
    "unknown turn": (lambda: parts.eye_plate(turn="sideways"), "orientation in the mould is 'sideways'",
                     "'heavy end up'"),
    "wrong turn": (
        lambda: parts.sheave(turn="heavy end up"),
        "orientation in the mould is heavy end up",
        "the sheave is cast as drawn",
    ),
    "turn of another part": (
        lambda: parts.bracket(turn="heavy end down"),
        "the bracket is cast as drawn or upside down",
    ),
    "feeder at the side of a round part": (
        lambda: parts.sheave(feeder_width=0.03, feeder_height=0.05, feeder_place="at the side"),
        "on a round part it stands on top",
    ),
    "chill at the side of a round part": (
        lambda: parts.bollard_cap(chill_thickness=0.01, chill_place="at the side"),
        "chill place",
        "free only at",
    ),
    "chill less than nothing": (
        lambda: parts.eye_plate(chill_thickness=-0.01),
        "chill thickness is -10 mm",
        "0 (no",
    ),
    "paper-thin chill": (lambda: parts.eye_plate(chill_thickness=0.001), "chill thickness", "between 2 mm"),
    "fillet longer than the plate": (
        lambda: parts.eye_plate(length=0.03, boss=0.08, fillet=0.02),
        "plate length is 30 mm",
        "50 mm",
    ),
    "fillet higher than the post": (
        lambda: parts.cleat(post_height=6 * MM, fillet=6 * MM),
        "fillet is 6 mm",
        "at most 4 mm",
    ),
    "fillet higher than the wall": (
        lambda: parts.bracket(length=0.2, height=0.01, fillet=0.015),
        "fillet is 15 mm",
        "10 mm",
    ),
    "fillet higher than a step": (lambda: parts.step_wedge(fillet=0.015), "fillet is 15 mm", "10 mm"),
}


def hand_made(body):
    """A plate with a gate, made without the help of `rigging`, and one body more."""
    plate = slab("plate", "casting", (0.06, 0.14), (0.06, 0.072), 0.04)
    gate = slab("gate", "gate", (0.04, 0.06), (0.06, 0.066), 0.02)
    return Layout((plate, gate, body), (0.0, 0.0, -0.08), (0.2, 0.2, 0.08))


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_is_explained(name):
    make, *words = BAD[name]
    with pytest.raises(InputError) as raised:
        make()
    for each in words:
        assert each in str(raised.value), str(raised.value)
