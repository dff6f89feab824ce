"""What lesson 5 is made of: feeders on an eye plate and on a round cap, the hand rule beside the field.

No answer is written here: each is read off the computed casting or worked out by the rule, and the rule says
which slip of thought leads to a wrong number.
"""

from dataclasses import replace
from functools import partial

import numpy as np

from castlab.field.rigging import AT_THE_SIDE, ON_TOP
from castlab.rules import feeding, modulus
from castlab.rules.contraction import volume_to_feed
from castlab.teach.bench.drawing import height_of, width_of
from castlab.teach.bench.hints import (
    another_casting,
    better_feeder,
    how_far,
    lower_steps,
    put_back,
    smallest_sound,
    sound_at,
)
from castlab.teach.bench.misconceptions import last_and_yet_full
from castlab.teach.bench.questions import Checked, Question, is_near, slip_in, task
from castlab.teach.bench.ready_made import bench_of
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.bench.touch import nowhere
from castlab.teach.lessons.first_casting import check_yield, hole_in
from castlab.teach.panels.hole_curve import HoleCurve
from castlab.teach.sliders.to_design import altered, design_of, sliders_for
from castlab.teach.text import fed_over

FEEDING = ("feeder_width", "feeder_height", "feeder_place", "feeder_top", "neck_width", "sleeve_thickness")
PLATE, BOSS, BESIDE = "on the plate", "on the boss", "beside the boss"
PLACES = {PLATE: ON_TOP, BOSS: ON_TOP, BESIDE: AT_THE_SIDE}
PLATE_M = 8e-3  # thickness of the plate in this lesson
HEIGHT_RATIO = 1.5  # height over width of the feeder that is worked out by hand
CLOSE_ENOUGH = 0.02  # of a width worked out by hand; modulus and volume give answers that differ by more
PIPE = 0.1  # of what is asked; a feeder that pays so much has a pipe that can be seen
YIELD_WANTED = 0.87  # of all metal in the mould; more than a bare feeder on the boss leaves
RULE_GIVES = 0.14  # of a bare round feeder, says the rule; see rules.feeding
TASK_RULE = """First on paper: by the rule, how wide must a bare square feeder on the boss be that is one
and a half times as high as wide? Type that width, in the length unit that the bench shows. Then set the
feeder on the boss, about that wide, and make it narrower until one step more would not be sound. Check
looks at both: press it again whenever you have moved the feeder."""
TASK_NECK = """A feeder with a wide foot is hard to cut off. Give yours a neck that is narrower than the hand
rule asks and still keeps the casting sound. The check looks at the bench as it stands now."""
TASK_METAL = """Make the eye plate sound with a yield of 87 % or more; the yield is the last number under the
picture. The check looks at the bench as it stands now."""
OWN_MODULUS = "A feeder of the boss's own modulus would be {} wide; the 1.2 is a margin on that."
LESS = """The bench asks for less still, for three reasons. The rule counts the top among the faces that
cool, and an open top loses less than sand takes; the boss keeps the foot hot; and in a metal that conducts
well, heat of the boss leaves through the plate, so it freezes sooner than by its own modulus. Close the top
(blind), and look again. Keep the margin when you pour: no sand is as dry, and no number as well known, as on
a bench."""
ABOUT_THAT = """The bench asks for that or a little more: the feeder fills last, with the coolest metal. Keep
the margin when you pour, and now choose ZA-12, and look again."""
ASK_BOTH = "Work out one width by modulus and one by volume; the larger counts."


# ---- the eye plate


@same_in_a_kernel
def begin():
    """An eye plate whose large feeder stands where there is room: (bench, question)."""
    choices = {
        "none": "nowhere in the casting: the feeder stays liquid longest, and that is what counts",
        "plate": "in the plate, under the feeder, because it is kept hot there",
        "boss": "in the boss, because the way through the plate closes too early",
    }
    sliders = altered(sliders_for("eye plate", *FEEDING, feeder_width=40e-3, feeder_height=60e-3),
                      feeder_place={"options": tuple(PLACES), "value": PLATE})  # the places of this lesson
    curve = HoleCurve(next(each for each in sliders if each.name == "feeder_width"))
    bench = bench_of(sliders, eye_plate_setup, numbers_of=partial(numbers, plate_by_hand),
                     drawing_of=curve.drawing, hidden=True)
    curve.stand_under(bench)
    text = ("There is most room on the plate, so a large feeder stands there. It stays liquid longer than "
            "all of the casting. Where will the casting have a hole? Touch the place, or choose below.")
    return bench, Question(bench, text, choices, judge_eye_plate, slips_eye_plate, eye_plate_places)


def eye_plate_places(setup):
    """The choices that are places, each with its name and where it lies [m]."""
    plate, boss = (setup.layout.block(name) for name in ("plate", "boss"))
    return {"plate": ("plate", [plate.middle[:2]]), "boss": ("boss", [boss.middle[:2]])}


def eye_plate_setup(values):
    """The setup that the sliders describe, with the feeder where this lesson's names say."""
    place = values["feeder_place"]
    sizes = {"thickness": PLATE_M, "feeder_place": PLACES[place]}
    setup = design_of("eye plate", values | sizes).setup()
    return replace(setup, layout=on_the_plate(setup.layout)) if place == PLATE else setup


def on_the_plate(layout):
    """A layout with its feeder, neck and sleeve moved to the middle of the plate; the top stays level."""
    plate, boss = layout.block("plate"), layout.block("boss")
    along = 0.5 * (plate.low[0] + plate.high[0] - boss.low[0] - boss.high[0])
    down = boss.high[1] - plate.high[1]
    return replace(layout, blocks=tuple(
        moved(block, along, down) if block.role in ("feeder", "sleeve") else block for block in layout.blocks
    ))


def moved(block, along, down):
    """A body of the feeder, moved along the casting and with its foot lower down."""
    low = block.low[1] - (0.0 if block.name == "sleeve top" else down)
    high = block.high[1] - (down if block.name == "neck" else 0.0)
    return replace(block, low=(block.low[0] + along, low, block.low[2]),
                   high=(block.high[0] + along, high, block.high[2]))


def numbers(by_hand, result, units):
    """As for every casting, then what the rule wants, `by_hand(result, units)`, and what the feeder gave."""
    if not result.has_feeder:
        return result.numbers(units)
    gave, counted_on = 100 * result.account.feeder_emptied, 100 * RULE_GIVES
    gave = f"{gave:.0f} % of itself; the rule counts on {counted_on:.0f} %"
    share = f"{100 * result.yield_share:.0f} % of all metal is casting"
    fed = fed_over.NAME, fed_over.fed_over(result.account.path, units)
    return (*result.numbers(units), *by_hand(result, units), ("the feeder gave", gave), fed, ("yield", share))


def contraction(setup):
    """Share of its volume that the metal loses while it can be fed."""
    return volume_to_feed(1.0, setup.alloy, setup.pour_temp_c)


def boss_modulus(layout):
    """Modulus of the boss by hand, the face where the plate joins it left out [m]."""
    plate, boss = (layout.block(name) for name in ("plate", "boss"))
    joined = height_of(plate) * min(plate.depth, boss.depth)
    return modulus.box(width_of(boss), boss.depth, height_of(boss), covered_area=joined)


def wanted_modulus(result):
    """Modulus that the rule asks of the feeder [m]."""
    return feeding.feeder_modulus(boss_modulus(result.setup.layout))


def wanted_volume(result):
    """Volume that the rule asks of a bare feeder [m3]."""
    return feeding.feeder_volume(result.block_volume("casting"), contraction(result.setup), RULE_GIVES)


def feeder_modulus(layout):
    """Modulus of the bare feeder [m]; where it meets the casting or its neck it does not cool."""
    feeder = layout.block("feeder")
    size = width_of(feeder), feeder.depth, height_of(feeder)
    necks = [block.depth for block in layout.blocks if block.name == "neck"]
    return modulus.box(*size, covered_area=necks[0] ** 2) if necks else modulus.box(*size, joined="base")


def plate_by_hand(result, units):
    """Pairs of name and words: the feeder beside what the rule wants of it."""
    sizes = feeder_modulus(result.setup.layout), wanted_modulus(result)
    has, wanted = (units.length(each, 2) for each in sizes)
    holds, enough = (units.volume(each) for each in (result.block_volume("feeder"), wanted_volume(result)))
    return (
        ("by hand, modulus of the feeder without sleeve", f"{has}; wanted {wanted}"),
        ("by hand, volume of the feeder without sleeve", f"{holds}; wanted {enough}"),
    )


def judge_eye_plate(result, units):
    """Where the largest hole is, and when plate, boss and feeder froze."""
    names = [block.name for block in result.setup.layout.blocks if block.role in ("casting", "feeder")]
    when = ", ".join(f"{name} {result.plain_time(result.account.froze_s[name], units)}" for name in names)
    why = (f"{result.sentence(units)} Wholly solid after: {when}. A feeder must stay liquid "
           "longest, and the way from it to the last place must stay open too. So it goes to the heavy end.")
    return hole_in(result), why


def slips_eye_plate(result, units):
    """What each wrong choice forgets."""
    if not result.has_feeder:
        return dict.fromkeys(("none", "plate", "boss"), "Now no feeder stands on the bench.")
    gave, until = units.volume(result.account.paid_m3["feeder"]), way_open_until(result)
    if until is None:
        way = "the metal must also get in, through neck or foot"
        stays = "The feeder stands at the boss now, and has no thin plate to feed through"
        hot = f"The feeder stands at the boss now, not on the plate; it gave {gave}"
    else:
        until = f"until {result.plain_time(until, units)} after the pour"
        way = f"somewhere between feeder and boss the plate was open only {until}"
        stays = f"The way through the plate was open {until}"
        hot = f"It is kept hot there, but what pays for it stands right above: the feeder gave {gave}"
    longest = result.middle_time("feeder") > result.middle_time("boss")
    return {
        "none": f"To stay liquid longest is only half of it: {way}."
                f"{'' if longest else ' And here the feeder did not even stay liquid longest.'}",
        "plate": f"{hot}.",
        "boss": f"{stays}. {last_and_yet_full(result, units) if result.sound else ''}".strip(),
    }


def way_open_until(result):
    """When the plate between feeder and boss was solid right across [s]; None where no plate lies between."""
    layout, grid = result.setup.layout, result.run.grid
    left, right = layout.block("feeder").high[0], layout.block("boss").low[0]
    across = (grid.edges[0][:-1] >= left) & (grid.edges[0][1:] <= right)
    plate = grid.block == layout.blocks.index(layout.block("plate"))
    times = np.where(plate & (grid.metal > 0.0), result.run.freeze_time_s, 0.0)[across]
    return float(times.max(axis=(1, 2)).min()) if across.any() else None


# ---- tasks on the eye plate


@task(TASK_RULE, number="width by the rule")
def task_rule(bench, answer):
    """The width by the rule, then the narrowest feeder that the bench finds sound, and why the two differ."""
    rule = rule_widths(bench.solve())
    units, wide = bench.units, max(rule)
    given = units.lengths.si(answer)
    if not is_near(given, wide, CLOSE_ENOUGH):
        return Checked(False, rule_slip(given, bench.solve(), rule, units))
    said = f"By the rule {units.length(wide, 2)}: {which_governs(rule, units)}."
    not_yet = narrowest(bench)
    if not_yet:
        return Checked(False, f"The width is right. {said} Now the bench: {not_yet}")
    found, own = bench.values["feeder_width"], own_modulus(rule)
    why = f"{OWN_MODULUS.format(units.length(own, 2))} {LESS if found < own else ABOUT_THAT}"
    return Checked(True, f"{said} The bench is sound from {units.length(found)} on. {' '.join(why.split())}")


def rule_widths(result):
    """Width of a square feeder of the height ratio above: by modulus and by volume [m]."""
    # it has the modulus of the round feeder that fits into it
    by_modulus = feeding.feeder_by_modulus(wanted_modulus(result), HEIGHT_RATIO, on_casting=True)
    return by_modulus, (wanted_volume(result) / HEIGHT_RATIO) ** (1.0 / 3.0)


def own_modulus(rule):
    """Width of a feeder with the modulus of the boss, without the margin of the rule [m]."""
    return rule[0] / 1.2


def which_governs(rule, units):
    """Both widths in words, and that the larger one counts."""
    by_modulus, by_volume = (units.length(each, 2) for each in rule)
    governs = "modulus" if rule[0] >= rule[1] else "volume"
    return f"by modulus {by_modulus}, by volume {by_volume}, and the larger counts; here {governs} governs"


def rule_slip(given, result, rule, units):
    """Which slip of thought gives this wrong width, in words."""
    boss = width_of(result.setup.layout.block("boss"))
    wanted = wanted_modulus(result)
    all_cool = feeding.feeder_by_modulus(wanted, HEIGHT_RATIO)
    cube = feeding.feeder_by_modulus(wanted, on_casting=True)
    holds = units.volume(wanted_volume(result))
    slips = (
        (rule[1], f"That feeder holds the {holds} that the rule asks. Is its modulus large enough too?"),
        (rule[0], f"That is by modulus. It must hold {holds} too; work out that width as well."),
        (all_cool, "You let all six faces cool. The foot stands on hot metal and does not count."),
        (own_modulus(rule), "That feeder has the modulus of the boss. The rule asks for 1.2 times as much."),
        (cube, "That is for a feeder as high as wide. A higher one may be narrower."),
        (1.2 * boss, "That is 1.2 times the width of the boss. The 1.2 is for the modulus: work out V / A."),
        (boss, "That is the width of the boss. Size the feeder by its modulus and by its volume."),
        (wanted, "That is the modulus of the feeder. Its width is several times as large."),
    )
    return slip_in(given, slips, CLOSE_ENOUGH) or ASK_BOTH


def narrowest(bench):
    """What is still to do until the bench stands at its narrowest sound bare feeder on the boss; or ""."""
    values = bench.values
    if values["feeder_place"] != BOSS or values["neck_width"] or values["sleeve_thickness"]:
        if other := another_casting(bench, *FEEDING):
            return other
        return f"set the feeder {BOSS}, about as wide as your rule says, without neck and sleeve."
    result = bench.solve()
    if not result.sound:
        return f"it is not sound. {result.sentence(bench.units)} {what_to_change(bench, result)}"
    least, width = smallest_sound(bench, "feeder_width"), bench.controls["feeder_width"]
    if least is None:
        return ""
    between = (value for value in lower_steps(width) if value > least)
    if not all(sound_at(bench.solve, "feeder_width", value) for value in between):
        return ("it is sound, but so would be a narrower one, though not each of them: by a hair, boss or "
                f"feeder pays last. Make the feeder narrower: at {bench.units.length(least)} it is sound.")
    return ("it is sound, but so would be a narrower one. Make the feeder "
            f"{how_far(width, least)}narrower.")


@task(TASK_NECK)
def task_neck(bench, _):
    """A neck that can be cut off: sound, and narrower than by hand."""
    result, units, neck = bench.solve(), bench.units, bench.values["neck_width"]
    if result.has_feeder and not neck:
        return Checked(False, "There is no neck yet: make the neck wider.")
    if not result.sound or not result.has_feeder:
        return Checked(False, f"{result.sentence(units)} {what_to_change(bench, result)}")
    rule = feeding.neck_width(boss_modulus(result.setup.layout))
    if neck >= rule:
        return Checked(False, f"Sound, but by hand the neck is {units.length(rule)}. Make the neck narrower.")
    why = (f"{result.sentence(units)} By hand the neck is {units.length(rule)}: a bar of 1.1 times "
           f"the modulus of the boss. Yours is {units.length(neck)}; its ends keep so short a neck hot.")
    return Checked(True, why)


@task(TASK_METAL)
def task_metal(bench, _):
    """The smallest metal that does it: sound, and enough of all metal in the casting."""
    result, units = bench.solve(), bench.units
    if not result.sound or not result.has_feeder:
        return Checked(False, f"{result.sentence(units)} {what_to_change(bench, result)}")
    if round(result.yield_share, 2) < YIELD_WANTED and not bench.values["sleeve_thickness"]:
        return Checked(False, f"Sound, but only {100 * result.yield_share:.0f} % of the metal in the mould "
                              "is casting. A bare feeder will not do it alone. What keeps its heat? Make "
                              "the sleeve thicker.")
    other = another_casting(bench, *FEEDING) or not_on_the_boss(bench) or has_a_neck(bench)
    return check_yield(bench, result, YIELD_WANTED, other)


def not_on_the_boss(bench):
    """Why a feeder that stands elsewhere cannot be as small; "" for one on the boss."""
    if bench.values["feeder_place"] == BOSS:
        return ""
    return f"Here it needs metal for the way as well. Set the feeder place to {BOSS}."


def has_a_neck(bench):
    """Why a feeder with a neck takes more metal; "" for one without."""
    back = put_back(bench, "neck_width")
    return f"A neck is metal too, and holds the feeder off the warm boss. {back}" if back else ""


def what_to_change(bench, result):
    """A hint: the place of the feeder, else what it lacks."""
    if other := another_casting(bench, *FEEDING):
        return other
    if result.has_feeder and bench.values["feeder_place"] == PLATE:
        return f"The way through the plate closes too early. Set the feeder place to {BOSS}."
    return better_feeder(bench, result)


# ---- a round feeder on the cap


@same_in_a_kernel
def begin_cap():
    """The cap of a mooring post with a good round feeder, and what a pipe means: (bench, question)."""
    choices = {
        "none": "nowhere: a good feeder leaves no hole at all",
        "feeder": "in the feeder, where it does no harm",
        "scrap": "in the feeder, so this casting is scrap",
        "casting": "in the casting under the feeder",
    }
    names = ("thickness", "boss", "turn", "feeder_width", "feeder_height", "sleeve_thickness")
    sliders = sliders_for("bollard cap", *names, feeder_width=40e-3, feeder_height=40e-3)
    bench = bench_of(sliders, lambda values: design_of("bollard cap", values).setup(),
                     numbers_of=partial(numbers, cap_by_hand), hidden=True)
    text = ("The cap of a mooring post: a round top, the crown, with an edge that hangs down, the skirt, "
            "and a boss under its middle. A large round feeder stands on it. Where will there be a hole "
            "when all is solid?")
    return bench, Question(bench, text, choices, judge_cap, slips_cap, nowhere)


def cap_by_hand(result, units):
    """The round feeder that the rule asks, and which of its two demands governs."""
    boss = result.setup.layout.block("boss")
    section = modulus.cylinder(width_of(boss), height_of(boss), joined="top")  # the face on the crown
    wanted = feeding.size_feeder(section, result.block_volume("casting"), contraction(result.setup))
    words = f"{units.length(wanted.diameter, 2)} wide and high; {wanted.governs} governs"
    return (("by hand, round feeder without sleeve", words),)


def judge_cap(result, units):
    """Where the hole is: in the casting, in the feeder as a harmless pipe, or nowhere."""
    key = "casting"
    if result.sound:
        asked = max(result.account.asked_m3, 0.0)  # a metal that grows asks for none
        key = "feeder" if result.account.paid_m3["feeder"] > PIPE * asked else "none"
    why = (f"{result.sentence(units)} What a feeder gives, it loses: its hollow, the pipe, is the "
           "volume that the casting asked for. The feeder is cut off and melted again, pipe and all. One "
           "without a pipe has given nothing.")
    return key, why


def slips_cap(result, units):
    """What each wrong choice forgets."""
    gave, own = (units.volume(each) for each in (result.account.paid_m3["feeder"], result.casting_paid_m3))
    if not result.has_feeder:
        return dict.fromkeys(("none", "feeder", "scrap", "casting"), "Now no feeder stands on the bench.")
    return {
        "none": f"A feeder cannot give and stay full: this one gave {gave}, and so much of it is hollow now.",
        "feeder": f"This one gave {gave}, too little for a hollow that can be seen." if result.sound else
                  f"What is hollow in the feeder does no harm. But the casting had to pay as well, {own}.",
        "scrap": "A hole in the feeder is no hole in the casting: what the feeder gave, "
                 f"{gave}, is not missing below it." if result.sound else
                 f"It is scrap, but not for what is hollow in the feeder: the casting itself paid {own}.",
        "casting": f"It does stay hot under the feeder. {last_and_yet_full(result, units)}",
    }
