"""What lesson 4 is made of: junctions on a bracket, and an eye plate that is lightened instead of fed.

No answer is written here: each is read off the computed casting. The circle that fits into a junction is the
hand rule beside it, and says which slip of thought leads to a wrong number.
"""

import math
from functools import partial

import numpy as np

from castlab.rules.junction import junction_circle
from castlab.teach.bench.hints import AGAIN, another_casting, one_move, put_back
from castlab.teach.bench.misconceptions import volume_asked
from castlab.teach.bench.questions import Checked, Question, is_near, slip_in, task
from castlab.teach.bench.ready_made import bench_of
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.bench.touch import nowhere
from castlab.teach.sliders.to_design import altered, design_of, full_at_once, sliders_for

TOGETHER = 0.10  # times that differ by less count as the same
CLOSE_ENOUGH = 0.042  # a circle drawn at full size is read to about half a millimetre
HOT_SPOT = 1.20  # times the plain base; what takes longer counts as a hot spot (judgement)
LEAST_FILLET_M = 3e-3  # common practice for small castings: a sharp inner corner can tear
HALF = 0.5
LEAST_BOSS_M, LEAST_PLATE_M = 32e-3, 12e-3  # what the rope and the deck need
LIGHTER = {"thickness": ("plate", "thicker", "thinner"), "boss": ("heavy end", "larger", "smaller"),
           "core": ("core", "larger", "smaller"), "chill_thickness": ("chill", "thicker", "thinner")}
AS_DRAWN, HEAVY_DOWN = "as drawn", "heavy end down"
CHILLED_TURNS = AS_DRAWN, HEAVY_DOWN  # the other way up, the plate is under the boss
UNEVEN = (
    "Base or wall has another thickness now. A thicker base only hides the hot spot in more metal: all of "
    "it freezes later. Set the section thickness and the wall thickness back, and change the rib."
)
HIGHER_UP = "A place that freezes late draws liquid from what stands above it, so a hole opens higher up."
TASK_CIRCLE = """Press “Start again”. Draw the foot of the rib at full size: base and rib are as thick as the
sliders say, the corners are sharp. How wide is the largest circle that fits in? Type its diameter, in the
length unit that the bench shows."""
TASK_RIB = """Take the hot spot out of the foot of the rib: it may take at most 1.2 times as long as the plain
base. Leave base and wall as thick as they were, and keep a fillet of 3 mm (0.12 in) or more. The check looks
at the bench as it stands now."""
TASK_LIGHTER = """No feeder. Press “Start again”, set the orientation to “as drawn” and note “unfed:
holes”. Then bring it below half of that, with or without a chill. The rope needs a heavy end of 32 mm
(1.26 in) or more, the deck a plate of 12 mm (0.47 in) or more. The check looks at the bench as it stands
now."""


# ---- the bracket


@same_in_a_kernel
def begin():
    """A bracket with walls of one thickness, and where it stays liquid longest: (bench, question)."""
    choices = {
        "same": "nowhere: walls of one thickness freeze together",
        "free": "in a free end of rib or wall, because it is farthest from the gate",
        "middle": "in the middle of rib, wall or base, away from where they meet",
        "corner": "in the corner, because two walls meet there",
        "foot": "at the foot of the rib, because three arms meet there",
    }
    names = ("thickness", "rib", "wall", "fillet", "turn")
    sliders = sliders_for("bracket", *names, thickness=10e-3, rib=10e-3, wall=10e-3)
    bench = bench_of(sliders, lambda values: full_at_once(design_of("bracket", values).setup()),
                     numbers_of=numbers, hidden=True)
    text = (
        "Base, rib and wall of the bracket are all 10 mm (0.39 in) thick. Where does it stay liquid longest? "
        "Touch the place, or choose below."
    )
    return bench, Question(bench, text, choices, judge_bracket, slips_bracket, bracket_places)


def bracket_places(setup):
    """The choices that are places, each with its name and where it lies [m]; no button hides the gate."""
    names = {"free": "free end", "middle": "middle", "corner": "corner", "foot": "foot of the rib"}
    bodies = [setup.layout.block(name) for name in ("base", "rib", "wall")]
    low, high = min(body.low[1] for body in bodies), max(body.high[1] for body in bodies)
    return {key: (names[key], [(x, min(max(y, low), high)) for x, y in spots if x > 0.0])
            for key, spots in spots_of(setup.layout).items()}


def spots(result):
    """When each spot worth a look was solid [s], by name."""
    base, rib = result.setup.layout.block("base"), result.setup.layout.block("rib")
    plain = 0.5 * (base.low[0] + rib.low[0])
    return {
        "plain base": latest(result.run, (plain, base.low[1]), (plain, base.high[1])),
        "middle of the rib": result.middle_time("rib"),
        "foot of the rib": latest(result.run, (rib.low[0], base.low[1]), (rib.high[0], base.high[1])),
        "corner": result.account.froze_s["corner"],
    }


def foot_ratio(result):
    """How many times as long as the plain base the foot of the rib takes."""
    times = spots(result)
    return times["foot of the rib"] / times["plain base"]


def latest(run, low, high):
    """When the last metal between these corners was solid [s]; a width of 0 takes what it cuts."""
    x, y = ((edges[1:] >= low[axis]) & (edges[:-1] <= high[axis])
            for axis, edges in enumerate(run.grid.edges[:2]))
    metal = (run.grid.metal > 0.0) & np.outer(x, y)[:, :, None]
    return float(run.freeze_time_s[metal].max())


def numbers(result, units):
    """As for every casting, with the spots in place of the middles of the bodies."""
    rest = [pair for pair in result.numbers(units) if not pair[0].startswith("middle of")]
    times = ((f"{name} frozen", result.time_words(when, units)) for name, when in spots(result).items())
    return (*times, *rest)


def judge_bracket(result, units):
    """Which spot was solid last, and why the hole need not be there."""
    words = {name: result.plain_time(when, units) for name, when in spots(result).items()}
    why = (
        f"The plain base was solid after {words['plain base']}, the corner after {words['corner']}, the foot "
        f"of the rib after {words['foot of the rib']}."
    )
    if not result.sound:
        why = f"{why} {HIGHER_UP}"
    return last_spot(result), f"{why} {result.sentence(units)}"


def slips_bracket(result, units):
    """What each wrong choice forgets."""
    times, last = spots(result), units.time(result.run.last_time_s)
    words = {name: result.plain_time(when, units) for name, when in times.items()}
    first = min(times, key=times.get)
    return {
        "same": "Equal walls do freeze together, but only where they stand alone. Where they meet, metal has "
                f"metal beside it instead of mould. The {first} was solid after {words[first]}, the last "
                f"metal of all after {last}.",
        "free": "Far from the gate is not far from the mould: a free end has it on three sides, and gives "
                f"its heat away. The last metal of all, elsewhere, took {last}.",
        "middle": "There each wall is alone, with mould on both its sides: the plain base was solid after "
                  f"{words['plain base']}, the last metal of all after {last}.",
        "corner": "Two walls do meet there, but its outer side gives heat away at two faces. It was solid "
                  f"after {words['corner']}; the last metal of all took {last}.",
        "foot": "Three arms do meet there, but what counts is how thick they are. It was solid after "
                f"{words['foot of the rib']}; the last metal of all took {last}.",
    }


def last_spot(result):
    """The key of the place nearest to where the last metal froze, or "same" when all take about as long."""
    times = spots(result).values()
    if max(times) <= (1.0 + TOGETHER) * min(times):
        return "same"
    places, last = spots_of(result.setup.layout), result.run.last_place[:2]
    return min(places, key=lambda key: min(math.dist(last, spot) for spot in places[key]))


def spots_of(layout):
    """Where each answer lies on the bracket: {choice: points (x, y) [m]}."""
    base, rib, wall, corner = (layout.block(name).middle[:2] for name in ("base", "rib", "wall", "corner"))
    far = rib[1] + (rib[1] - base[1])  # about as high as the free ends
    return {
        "foot": [(rib[0], base[1])],
        "corner": [corner],
        "middle": [rib, wall, (0.5 * base[0], base[1])],
        "free": [(rib[0], far), (wall[0], far), (0.0, base[1])],
    }


# ---- tasks on the bracket


@task(TASK_CIRCLE, number="diameter of the circle")
def task_circle(bench, answer):
    """The circle that fits into the foot of the rib, what it says about time, and what the bench says."""
    values, units = bench.values, bench.units
    base, rib = values["thickness"], values["rib"]
    circle = junction_circle("T", base, rib, values["fillet"])
    given = units.lengths.si(answer)
    if is_near(given, circle, CLOSE_ENOUGH):
        ratio = foot_ratio(bench.solve())
        return Checked(True, f"{units.length(circle)}, against a base of {units.length(base)}. By the "
                             f"square, the foot should take {(circle / base) ** 2:.1f} times as long as the "
                             f"base; the bench says {ratio:.1f} times.")
    slips = (
        (junction_circle("T", base, rib) / 2, "That is the radius. The diameter is asked for."),
        (base, "That circle fits anywhere in the base. At the foot of the rib a larger one finds room."),
        (junction_circle("L", base, rib), "That is the circle of the corner. At the foot, three arms meet."),
        (junction_circle("X", base, rib), "That would be a cross, with arms on four sides. Here are three."),
        (base + rib, "Thicknesses do not add up: that circle would stick out of the base."),
    )
    return Checked(False, slip_in(given, slips, CLOSE_ENOUGH) or
                   "It touches the lower face of the base and both inner corners. Draw it at twice the size, "
                   "or use Pythagoras: ((rib / 2)² + base²) / base, as in lesson 3.")


@task(TASK_RIB)
def task_rib(bench, _):
    """A rib that makes no hot spot: base and wall as at first, a fillet, and a foot that is solid in time."""
    values, units, first = bench.values, bench.units, bench.first_values
    if any(values[name] != first[name] for name in ("thickness", "wall")):
        return Checked(False, UNEVEN)
    if values["fillet"] < LEAST_FILLET_M:
        return Checked(False, f"The fillet is {units.length(values['fillet'])}. A sharp inner corner can "
                              "tear while the metal is weak. Make the fillet larger: "
                              f"at {units.length(LEAST_FILLET_M)} it is safe enough.")
    result = bench.solve()
    foot, plain = (result.plain_time(spots(result)[name], units)
                   for name in ("foot of the rib", "plain base"))
    said = f"The foot is solid after {foot}, the plain base after {plain}: {foot_ratio(result):.2f} times."
    if round(foot_ratio(result), 2) > HOT_SPOT:
        other = another_casting(bench, "thickness", "rib", "wall", "fillet")
        return Checked(False, f"{said} {other or too_much_at_the_foot(bench)}")
    share = 100 * values["rib"] / values["thickness"]
    return Checked(True, f"{said} The rib is {share:.0f} % as thick as the base. {what_is_left(result)}")


def too_much_at_the_foot(bench):
    """Whether the rib or the fillet is to blame."""
    if foot_ratio(bench.solve(fillet=LEAST_FILLET_M)) <= HOT_SPOT:
        return ("The rib is thin enough, but a fillet is metal too, and this one is large: make the fillet "
                f"smaller: at {bench.units.length(LEAST_FILLET_M)} the foot is solid in time.")
    if bench.values["rib"] > bench.controls["rib"].range()[0]:
        return "The rib still brings too much metal to its foot: make the rib thinner."
    return f"In this metal and mould no rib is thin enough. {AGAIN}."


def what_is_left(result):
    """Where the hot spot has gone."""
    if last_spot(result) == "corner":
        return (
            "Now the corner is solid last, and the wall above it has the hole: there is always a last place."
        )
    return "Something is still solid last, and has the hole: there is always a last place."


# ---- the eye plate without a feeder


@same_in_a_kernel
def begin_boss():
    """An eye plate without a feeder, turned so that its boss hangs down, and where its hole is then: (bench,
    question)."""
    choices = {
        "none": "nowhere: the plate now stands above the heavy end and feeds it",
        "smaller": "in the heavy end, but clearly smaller: the plate feeds a part of it",
        "boss": "in the heavy end, as large as before: it freezes last, and nobody feeds it",
        "plate": "in the plate: it feeds the heavy end, and nobody feeds the plate",
    }
    names = ("thickness", "boss", "taper", "core", "turn", "chill_thickness")
    sliders = altered(sliders_for("eye plate", *names, turn=HEAVY_DOWN), turn={"options": CHILLED_TURNS})
    bench = bench_of(sliders, lambda values: full_at_once(design_of("eye plate", values).setup()),
                     hidden=True)
    text = (
        "As drawn, the top of the heavy end stands as high as that of the plate, and there is a hole in the "
        "heavy end. Now the mould is turned over: the heavy end hangs down, below the plate. There is no "
        "feeder, and all else is as before. Where is the hole?"
    )
    return bench, Question(bench, text, choices, partial(judge_turned, bench), partial(slips_turned, bench),
                           nowhere)


def judge_turned(bench, result, units):
    """Where the largest hole is, beside what the casting pays as drawn."""
    drawn = bench.solve(turn=AS_DRAWN)
    now, before = result.casting_paid_m3, drawn.casting_paid_m3
    boss, plate = (result.plain_time(result.account.froze_s[name], units) for name in ("boss", "plate"))
    why = (
        f"As drawn the casting pays {units.volume(before)}, as it stands now {units.volume(now)}. The boss "
        f"was liquid until {boss}, the plate until {plate}: as long as both are, the higher one runs down. "
        "Orientation decides where the hole is. Only metal from outside can fill it, or less metal that asks."
    )
    if result.sound:
        return "none", why
    if result.diagnosis.hole.block != "boss":
        return "plate", why
    return ("smaller" if now < (1.0 - TOGETHER) * before else "boss"), why


def slips_turned(bench, result, units):
    """What each wrong choice forgets."""
    now, before = (units.volume(each.casting_paid_m3) for each in (result, bench.solve(turn=AS_DRAWN)))
    asked, froze = volume_asked(result, units), result.account.froze_s
    first = min("boss", "plate", key=froze.get)
    return {
        "none": "What the plate gives, the plate then lacks: it has no metal to spare. Boss, plate and gate "
                f"ask for {asked}, however the mould lies.",
        "smaller": f"What the plate gives is no new metal. As drawn {before} are missing, now {now}.",
        "boss": f"Last to freeze is not always where the hole is: the {first} was solid first, and until "
                "then whichever stood higher could run down into the other.",
        "plate": "The plate can feed only what lies below it, and only while it is liquid: until "
                 f"{result.plain_time(froze['plate'], units)} after the pour.",
    }


@task(TASK_LIGHTER)
def task_lighter(bench, _):
    """Half the hole, without a feeder: boss and plate stay as large as needed."""
    values, units = bench.values, bench.units
    for name, least in (("boss", LEAST_BOSS_M), ("thickness", LEAST_PLATE_M)):
        if values[name] < least - 1e-6:
            larger = "heavy end larger" if name == "boss" else "plate thicker"
            return Checked(False, f"The {bench.controls[name].slider.label} is {units.length(values[name])}; "
                                  f"make the {larger}: {units.length(least)} or more.")
    poured = {name: values[name] for name in ("alloy", "mould", "pour_temp_c")}
    first = bench.solve(**bench.first_values | poured | {"turn": AS_DRAWN})
    if first.sound:
        return Checked(False, f"This metal leaves no hole to lessen. {first.sentence(units)} {AGAIN}.")
    result = bench.solve()
    share = result.casting_paid_m3 / first.casting_paid_m3
    said = (f"The casting pays {units.volume(result.casting_paid_m3)}, {100 * share:.0f} % of the "
            f"{units.volume(first.casting_paid_m3)} at first.")
    if share >= HALF:
        other = another_casting(bench, "taper", "turn", *LIGHTER)
        return Checked(False, f"{said} {other or what_does_little(bench)}")
    return Checked(True, f"{said} Metal that is not there asks for nothing. What is left: "
                         f"{result.sentence(units)}")


def what_does_little(bench):
    """Which of the moves made does not lessen the hole, and what does."""
    values = bench.values
    if values["taper"]:
        why = "You have added metal, and all metal asks for volume. A taper helps only where a feeder stands."
    elif values["turn"] != AS_DRAWN:
        why = "Another orientation moves the hole to another place, but the metal asks for as much as before."
    elif values["core"]:
        why = "There is still much metal round the core."
    elif values["chill_thickness"]:
        why = "The chill takes heat, but brings no metal, and nothing outside pays."
    else:
        why = "Take metal out of the heavy end, from outside and from inside: it is what freezes last."
    return f"{why} {what_takes_metal_away(bench)}"


def what_takes_metal_away(bench):
    """The next move towards a smaller hole, tried before it is named."""
    if back := put_back(bench, "taper"):
        return back
    if bench.values["turn"] != AS_DRAWN:
        return f"Set the {bench.controls['turn'].slider.label} to {AS_DRAWN}."
    found = one_move(bench, LIGHTER, lambda result: result.casting_paid_m3,
                     {"thickness": LEAST_PLATE_M, "boss": LEAST_BOSS_M})
    if not found:
        return f"{AGAIN}."
    move, result = found
    return f"{move[0].upper()}{move[1:]} the casting pays about {bench.units.volume(result.casting_paid_m3)}."
