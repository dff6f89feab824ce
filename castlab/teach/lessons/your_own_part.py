"""What lesson 11 is made of: the door handle on a bench, and the desk for a fitting that was measured.

No answer is written here: each is read off the computed casting, or off the drawing.
"""

import math
from functools import cache

from IPython import get_ipython

from castlab.errors import InputError
from castlab.field.design import design
from castlab.field.example_parts import door_handle
from castlab.field.hot_spots import hot_spots
from castlab.field.placed import Feeder, sizes_of
from castlab.field.x_ray import hollows
from castlab.materials import alloy
from castlab.teach.bench.misconceptions import LEAST_M3, full_when_poured, last_and_yet_full
from castlab.teach.bench.questions import Checked, Question, is_near, slip_in, task
from castlab.teach.bench.ready_made import bench_of
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.bench.touch import nowhere
from castlab.teach.lessons.first_casting import who_takes
from castlab.teach.melt.melt import metal_volumes
from castlab.teach.own_part.by_rule import SLENDER, feeder_here, modulus_by_time
from castlab.teach.own_part.in_words import place_words
from castlab.teach.own_part.own_part_desk import EMPTY, OwnPartDesk
from castlab.teach.panels.sensitivity import SURE_FROM, in_words
from castlab.teach.sliders.part_sliders import FEEDING, PART, metal_sliders
from castlab.teach.sliders.slider import Slider
from castlab.teach.sliders.to_design import mould_for, mould_temp_of
from castlab.teach.text.reader_units import sentence_of

FEET_M = 55e-3  # left and right of the middle
FOOT_M = 30e-3  # as it was measured
NONE, MIDDLE = "none", "one at the middle of the bar"
ONE, BOTH_FEET = "one at the left foot", "one at each foot"
FEEDERS = {NONE: (), MIDDLE: (0.0,), ONE: (-FEET_M,), BOTH_FEET: (-FEET_M, FEET_M)}
AS_DRAWN, FEET_UP = "as drawn", "feet up"
TURNS = {AS_DRAWN: "+y", FEET_UP: "-y"}
END_M = 35e-3  # from here on a hole lies over a foot and not in the middle of the bar
AS_LARGE = 0.1  # of the largest; a smaller hole does not count when it is asked where they are
WIDER_M = 4e-3  # than the rule asks; more is wasted
CLOSE_VOLUME, CLOSE_MODULUS, SLIP_CLOSE = 0.05, 0.25, 0.05
WANTED_SURE = SURE_FROM
NOT_BUILT = "On the desk still lies the body with which it began: build your own part in the table first."
NOT_POURED = "It is not computed as it stands now: press “Pour” on the desk, and wait for the sentence."
WHY_MARGIN = ("The bench takes its data for true and its sand for dry: it is content with a feeder that "
              "freezes just after the foot. The rule keeps a fifth on the modulus for what nobody knows, and "
              "the ball by which it measures the place does not see all the faces that cool. Both err to the "
              "safe side: a first pour takes the rule.")
TASK_SCAR = """Where a feeder is cut off, a scar is left. The top of the bar is the grip, which a hand holds
and everybody sees. Make the handle sound without a feeder on the grip, and give the feeders the diameter that
the rule asks for, or up to 4 mm (0.16 in) more. Leave the feet as they were measured."""
TASK_MEASURE = """How much metal is your part? Work its volume out by hand from your sketch, in the units
that the desk speaks: cm³ or in³."""
TASK_MODULUS = """Which place of your part freezes last, and what is its modulus, V / A, by hand? Write it
down before you press “Pour”. Type it in the units that the desk speaks: mm or in."""
TASK_FEED = """Make your part sound. Take “Feeder here” at a hot spot, or any other cure, and pour again."""
TASK_DEFEND = """Press “How sure?” for the part as you would pour it. Then defend your cure before the class:
where, why there, what it costs, and what could still go wrong. The check says whether the data let you."""


# ---- the handle: bench and question


@same_in_a_kernel
def begin():
    """The door handle without a feeder, and the question where it will shrink: (bench, question)."""
    choices = {
        "middle": "in the middle of the bar, farthest from both ends",
        "one": "over one foot only: the metal that comes through the gate keeps the other full",
        "feet": "over both feet, a hole each: there the most metal meets",
        "none": "nowhere: the bar is thin enough to stay full",
    }
    own = [
        Slider("foot", "foot diameter", "length", PART, FOOT_M, 16e-3, 40e-3, 2e-3),
        Slider("turn", "orientation in the mould", "choice", PART, AS_DRAWN, options=tuple(TURNS)),
    ]
    feeding = [
        Slider("feeders", "feeders", "choice", FEEDING, NONE, options=tuple(FEEDERS)),
        Slider("feeder_width", "feeder diameter", "length", FEEDING, 24e-3, 14e-3, 44e-3, 1e-3),
    ]
    bench = bench_of([*own, *metal_sliders(), *feeding], handle_of, numbers_of=numbers, hidden=True)
    words = "Where will the door handle have holes? The gate is at its left foot."
    return bench, Question(bench, words, choices, judge, slips, nowhere)


def handle_of(values):
    """The Setup of the handle as the sliders say; a feeder is one and a half times as high as wide."""
    up, wide = TURNS[values["turn"]], values["feeder_width"]
    inside = 1e-3 if up == "+y" else -1e-3  # a place within bar and foot, from which the upper face is found
    sizes = {"up": up} | {f"{side} foot diameter": values["foot"] for side in ("left", "right")}
    for number, x in enumerate(FEEDERS[values["feeders"]], 1):
        sizes |= sizes_of("feeder", number, Feeder(x, inside, 0.0, "top", wide, SLENDER * wide))
    poured = values["pour_temp_c"], mould_temp_of(values)
    return design(door_handle(), alloy(values["alloy"]), mould_for(values), *poured, **sizes).setup()


def numbers(result, units):
    """As for every casting, then its share of all metal."""
    return (*result.numbers(units), ("casting, of all metal", f"{100 * result.yield_share:.0f} %"))


def judge(result, units):
    """Where its holes are, and what froze when."""
    if result.sound:
        return "none", result.sentence(units)
    found = hollows(result.account)
    large = [each for each in found if each.volume_m3 >= AS_LARGE * found[0].volume_m3]
    ends = {math.copysign(1.0, each.middle[0]) for each in large if abs(each.middle[0]) > END_M}
    key = "feet" if len(ends) == 2 else "one" if abs(found[0].middle[0]) > END_M else "middle"
    places = "; ".join(f"{units.volume(each.volume_m3)} {where(each.middle[0], units)}" for each in large)
    return key, f"{result.sentence(units)} Missing are {places}.{who_takes(result)}"


def where(x, units):
    """A place of the handle [m along the bar, from its middle] in words.

    >>> from castlab.units import METRIC
    >>> where(-0.049, METRIC)
    'at the left foot, 49 mm from the middle of the bar'
    """
    end = f"at the {'left' if x < 0.0 else 'right'} foot" if abs(x) > END_M else "between the feet"
    return f"{end}, {units.length(abs(x), 2)} from the middle of the bar"


def slips(result, units):
    """What each wrong choice forgets."""
    bar, foot = (result.plain_time(result.middle_time(name), units) for name in ("bar", "right foot"))
    closed = result.plain_time(result.account.froze_s["gate"], units)
    given = result.account.paid_m3["feeder"]
    if result.diagnosis.hole is None:
        feet = last_and_yet_full(result, units)
    elif given > LEAST_M3:
        feet = (f"Over the feet the most metal meets. But feeders gave {units.volume(given)}, and the hole "
                "is where that metal did not arrive.")
    else:
        feet = "Over the feet the most metal meets, but look what lies above them, and what is solid last."
    return {
        "middle": "Far from the ends does not mean last: the bar cools on all its sides. Its middle was "
                  f"solid after {bar}, the middle of a foot after {foot}.",
        "one": f"A gate gives only as long as it is liquid. This one was solid after {closed}.",
        "feet": feet,
        "none": full_when_poured(result, units),
    }


# ---- the desk for the part that was measured


def desk():
    """The desk, with the table for the part; in a notebook the same one when the cell is run again."""
    return OwnPartDesk() if get_ipython() is None else _same_desk()


@cache
def _same_desk():
    return OwnPartDesk()


def built_on(desk):
    """The part in the table. Raises InputError while there is none of one's own, or it cannot be drawn."""
    if desk.part == EMPTY:
        raise InputError("your own part", "not built yet", NOT_BUILT)
    return desk.design().part


# ---- tasks


@task(TASK_SCAR)
def task_scar(bench, _):
    """No scar on the grip, sound, and as large as the rule asks."""
    values, units = bench.values, bench.units
    if values["foot"] != FOOT_M:
        return Checked(False, f"The feet were measured: {units.length(FOOT_M)}. Set them back.")
    if values["feeders"] == NONE:
        return Checked(False, "There is no feeder yet. How many heavy places are there to feed?")
    if values["turn"] == AS_DRAWN:
        return Checked(False, "So the feeders stand on the grip. Which way up do they stand where nobody "
                              "looks?")
    result, wanted = bench.solve(), rule_width(bench)
    wide = values["feeder_width"]
    rule = f"The rule asks for {units.length(wanted, 2)}, yours are {units.length(wide, 2)} wide"
    if not result.sound:
        hint = ("Each place that freezes after all round it needs a feeder of its own."
                if values["feeders"] != BOTH_FEET else "Make the feeders wider.")
        return Checked(False, f"{result.sentence(units)} {hint}")
    if wide < wanted - 1e-9:
        return Checked(False, f"Sound on the bench. {rule}. {WHY_MARGIN} Make them wider.")
    if wide > wanted + WIDER_M + 1e-9:
        return Checked(False, f"Sound, but {rule[0].lower()}{rule[1:]}: metal that you melt for nothing. "
                              "Make them narrower.")
    return Checked(True, f"{result.sentence(units)} {rule}. {WHY_MARGIN} So "
                         f"{100 * result.yield_share:.0f} % of the metal is casting.")


def rule_width(bench):
    """Diameter [m] that the rule asks of a feeder at the hot spot of the bare handle as it lies."""
    bare = bench.solve(feeders=NONE)
    return feeder_here(hot_spots(bare.run)[0]).width


@task(TASK_MEASURE, number="volume by hand")
def task_measure(desk, answer):
    """The volume by hand against that of the drawing; what slip of counting gives another."""
    try:
        part, layout = built_on(desk), desk.design().setup().layout
    except InputError as error:
        return Checked(False, _refusal(error, desk.units))
    units = desk.units
    metal = sum(volume for _, role, volume in metal_volumes(layout) if role == "casting")
    given = units.volumes.si(answer)
    if is_near(given, metal, CLOSE_VOLUME):
        mass = units.mass(alloy(desk.values["alloy"]).density_solid * metal)
        return Checked(True, f"The drawing has {units.volume(metal, 3)}: {mass} of {desk.values['alloy']}. "
                             "It agrees with your sketch: no slip of the keyboard.")
    words = slip_in(given, volume_slips(part, metal, units), SLIP_CLOSE)
    return Checked(False, words or f"The drawing has {units.volume(metal, 3)}. One of the two is wrong: "
                                   "compare body by body, hollows and places where bodies overlap last.")


def volume_slips(part, metal, units):
    """Pairs of a wrong volume [m3] and the slip that leads to it."""
    added = sum(block.volume for block in part.blocks if block.is_metal)
    hollow = sum(block.volume for block in part.blocks if not block.is_metal)
    box = math.prod(high - low for low, high in zip(*part.extent, strict=True))
    round_ones = ("cylinder", "pipe", "cone")
    fourfold = sum((3 if body.shape in round_ones else 7 if body.shape == "ball" else 0) * block.volume
                   for body, block in zip(part.bodies, part.blocks, strict=True) if block.is_metal)
    found = [(added, "You added all bodies. Where they overlap, the metal counts once, and what is hollow is "
                     "none.")]
    if hollow:
        found += [(added + hollow, "You added what is hollow: it is taken away."),
                  (metal - hollow, "You took away what is hollow twice.")]
    if fourfold:
        found.append((metal + fourfold, "You took a diameter for a radius."))
    found += [(box, "That is the box round the part."),
              (1000.0 * metal, "That is in another unit: 1 cm³ is 1000 mm³."),
              (metal / 1000.0, "That is in another unit: a litre is 1000 cm³.")]
    return [(wrong, words) for wrong, words in found if not is_near(wrong, metal, 2.0 * CLOSE_VOLUME)]


@task(TASK_MODULUS, number="modulus by hand")
def task_modulus(desk, answer):
    """The modulus by hand against that of the hot spot."""
    refused = _not_ready(desk)
    if refused:
        return refused
    units, casting = desk.units, desk.solve()
    spots = hot_spots(casting.run, casting.account)
    if not spots:
        return Checked(False, "Here the last metal to freeze is not in the casting: take the feeders away "
                              "and pour again.")
    spot, given = spots[0], units.lengths.si(answer)
    setup = casting.setup
    by_time = modulus_by_time(spot.froze_s, setup.alloy, setup.mould, setup.pour_temp_c)
    both = f"{units.length(spot.modulus_m, 2)} by the ball that fits in"
    both += f", {units.length(by_time, 2)} by its time" if by_time else ""
    last = f"Last is {spot.block} at {place_words(spot.place, units)}: {both}"
    if any(is_near(given, each, CLOSE_MODULUS) for each in (spot.modulus_m, by_time) if each):
        return Checked(True, f"{last}. Yours is {units.length(given, 2)}. Where the three differ, the place "
                             "is not a plain body: heat comes or goes through its neighbours.")
    found = ((spot.ball_m, "That is how thick the place is. Volume over cooling surface is much less."),
             (0.5 * spot.ball_m, "That would hold for a wide plate, which cools on two faces only."),
             (spot.ball_m / 6.0, "That would hold for a cube or ball alone. Leave out the faces that do not "
                                 "cool, where bodies join."))
    slip = slip_in(given, [each for each in found if not is_near(each[0], spot.modulus_m, CLOSE_MODULUS)],
                   2.0 * SLIP_CLOSE)
    return Checked(False, f"{slip} {last}.".strip())


@task(TASK_FEED)
def task_feed(desk, _):
    """Sound, by whatever cure."""
    refused = _not_ready(desk)
    if refused:
        return refused
    casting, units = desk.solve(), desk.units
    if casting.sound:
        return Checked(True, f"{casting.sentence(units)} {_metal_words(casting, units)}")
    return Checked(False, f"{casting.sentence(units)} Look at the first hot spot that lacks metal: what "
                          "could feed it, and how does the metal get there?")


@task(TASK_DEFEND)
def task_defend(desk, _):
    """Sound as poured, and nearly sure of it."""
    refused = _not_ready(desk)
    if refused:
        return refused
    casting, units = desk.solve(), desk.units
    if not casting.sound:
        return Checked(False, f"{casting.sentence(units)} First make it sound.")
    if not desk.outcomes:
        return Checked(False, "Press “How sure?” on the desk, and wait for its answer.")
    words = in_words(desk.outcomes, units)
    if sum(each.sound for each in desk.outcomes) < WANTED_SURE:
        return Checked(False, f"{words} Your cure is too near the edge to defend: give it more margin.")
    return Checked(True, f"{words} {_metal_words(casting, units)} Now say it aloud, in one minute.")


def _metal_words(casting, units):
    return (f"It takes {units.mass(casting.poured_kg)} of metal, of which {100 * casting.yield_share:.0f} % "
            "is casting.")


def _not_ready(desk):
    """A Checked that says what is missing before a casting can be judged; None where nothing is."""
    try:
        built_on(desk)
    except InputError as error:
        return Checked(False, _refusal(error, desk.units))
    return None if desk.result else Checked(False, NOT_POURED)


def _refusal(error, units):
    return NOT_BUILT if error.allowed == NOT_BUILT else sentence_of(error, units)
