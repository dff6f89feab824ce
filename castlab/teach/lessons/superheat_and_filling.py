"""What lesson 7 is made of: does a thin plate fill, and what does hot metal cost?

Whether it fills is a hand rule: no flow is computed. What shrinks is computed, for a mould that is full. The
rule stands beside the time after which the computed plate has the same share of solid.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from castlab.field import parts
from castlab.field.rigging import SPRUE_M
from castlab.materials import alloy
from castlab.rules import filling, gating
from castlab.teach.bench.casting import casting_scene
from castlab.teach.bench.drawing import height_of, width_of
from castlab.teach.bench.filling import MAY_NOT_FILL, MISRUN
from castlab.teach.bench.hints import AGAIN, another_casting, better_feeder
from castlab.teach.bench.misconceptions import last_and_yet_full
from castlab.teach.bench.misrun import beyond_front, if_it_were_full
from castlab.teach.bench.questions import Checked, Question, chosen, is_near, slip_in, task
from castlab.teach.bench.ready_made import bench_of
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.bench.touch import nowhere
from castlab.teach.panels.filling_window import FillingWindow
from castlab.teach.picture.raster import Section
from castlab.teach.picture.scene import Label
from castlab.teach.sliders.part_sliders import PART, metal_sliders
from castlab.teach.sliders.slider import Slider
from castlab.teach.sliders.to_design import altered, full_at_once
from castlab.teach.sliders.to_design import setup_of as poured
from castlab.teach.text.sentence import listed
from castlab.units import significant

POUR = "pour and feeding"
GATE_THICKNESS = 3e-3  # [m]
CALM = 0.5  # [m/s] in the gate: common practice
FRICTION = 0.8  # discharge coefficient of sprue and gate: 0.7 to 0.9 for real ones (common practice)
ON_THE_SAFE_SIDE = 2.0  # the rule for how long metal runs is good to a factor of two (castlab.rules.filling)
ALL_SOLID = 0.999
FILLS, MARGINAL = "fills", "marginal"
CLOSE_ENOUGH = 0.08  # a time worked out on paper may differ by so much
THIN = 4e-3  # [m] the plate of the last task is no thicker
FREE = ("thickness", "boss", "pour_temp_c", "gate_width", "sprue_height", "feeder_width")
CHANGES = {("alloy", "pour_temp_c"): "another metal", ("mould",): "another mould",
           ("pour_temp_c",): "hotter metal", ("thickness",): "a thicker plate", ("boss",): "a smaller boss",
           ("gate_width",): "a wider gate", ("sprue_height",): "a higher sprue"}  # what can make it fill
MIXED_WORDS = "Metres and millimetres are mixed. Take all in metres; or all in mm, and 9810 mm/s² for g."
MIXED = (10.0, math.sqrt(1000.0), 100.0, 1000.0)  # how far off a time is in which mm, cm and m are mixed
TASK_PRICE = """Pour the plate at both ends of the pouring temperature. Apart from filling: what does hotter
metal do?"""
TASK_FILL = """Press “Start again”. The plate is 3 x 40 x 120 mm and the boss a cube of 32 mm; the gate is
3 mm thick and 9 mm wide, and the metal in the sprue stands 60 mm above it. Take 0.8 for friction. How many
seconds does the metal take to fill plate and boss?"""
TASK_WHY = """The rule and the computation do not agree on how long the plate stays open. What makes most of
the difference, with the sliders as they stand?"""
TASK_COLDEST = """With the other sliders as they stand: what is the lowest pouring temperature at which the
plate fills, and not just perhaps?"""
TASK_WINDOW = """Make the casting fill and be sound: with a plate of 4 mm or thinner, and poured no hotter
than the middle of the slider. The check looks at the bench as it stands now."""


# ---- the bench


def sliders():
    """Sliders of a thin eye plate, poured as cold as the alloy allows."""
    coldest, _ = alloy("ZA-12").pour_range_c
    return [
        Slider("thickness", "section thickness", "length", PART, 0.003, 0.003, 0.012, 0.0005),
        Slider("boss", "heavy-end size", "length", PART, 0.032, 0.024, 0.036, 0.002),
        *altered(metal_sliders(), pour_temp_c={"value": coldest}),
        Slider("gate_width", "gate width", "length", POUR, 0.009, 0.005, 0.040, 0.001),
        Slider("sprue_height", "sprue height", "length", POUR, 0.060, 0.040, 0.100, 0.005),
        Slider("feeder_width", "feeder width", "length", POUR, 0.0, 0.0, 0.034, 0.002),
    ]


def setup_of(values):
    """The eye plate that the sliders describe; feeder and sprue end at the top of the flask. The mould is
    full at once, as for the rule that stands beside it."""
    level, boss = values["sprue_height"], values["boss"]
    plain = parts.eye_plate(
        thickness=values["thickness"], boss=boss, boss_depth=boss, gate_thickness=GATE_THICKNESS,
        feeder_width=values["feeder_width"], feeder_height=level - boss / 2.0,
    )
    gate, sprue, half = plain.block("gate"), plain.block("sprue"), 0.5 * values["gate_width"]
    changed = {"gate": {"low": (*gate.low[:2], -half), "high": (*gate.high[:2], half)},
               "sprue": {"high": (sprue.high[0], level, sprue.high[2])}}
    blocks = tuple(replace(block, **changed.get(block.name, {})) for block in plain.blocks)
    layout = replace(plain, blocks=blocks, high=(plain.high[0], level, plain.high[2]))
    return full_at_once(poured(layout, values))


# ---- the hand rule


@dataclass(frozen=True)
class FillRule:
    """What the hand rules say about filling, from the drawing alone.

    speed [m/s] and area [m2] of the gate; volume [m3] of plate and boss; fill_time [s] they take;
    running_time [s] that metal runs in the plate; reach [m] that it runs there; thinnest [m] plate that
    stays open for the whole fill_time.
    """

    speed: float
    area: float
    volume: float
    fill_time: float
    running_time: float
    reach: float
    thinnest: float

    @property
    def spare(self):
        """How many times as long the plate stays open as filling takes."""
        return self.running_time / self.fill_time

    @property
    def verdict(self):
        """FILLS with twice the time or more, MARGINAL below, MISRUN where the plate closes too early."""
        if self.running_time < self.fill_time:
            return MISRUN
        return FILLS if self.running_time >= ON_THE_SAFE_SIDE * self.fill_time else MARGINAL


def fill_rule(setup):
    """The hand rules for a setup of this bench."""
    plate, boss, gate = (setup.layout.block(name) for name in ("plate", "boss", "gate"))
    mould = replace(setup.mould, start_temp_c=setup.mould_temp_c)
    head = setup.layout.block("sprue").high[1] - gate.middle[1]
    speed, area = gating.sprue_velocity(head, FRICTION), height_of(gate) * gate.depth
    volume = plate.volume + boss.volume
    time = gating.fill_time(volume, area, head, FRICTION)
    in_plate = speed * area / (height_of(plate) * plate.depth)
    conditions = in_plate, setup.alloy, mould, setup.pour_temp_c
    return FillRule(
        speed, area, volume, time,
        running_time=filling.running_time(height_of(plate), *conditions[1:]),
        reach=filling.fluidity_length(height_of(plate), *conditions),
        thinnest=filling.thinnest_section(in_plate * time, *conditions),
    )


def comes_out_whole(result):
    """Whether it fills by the rule: only then it can be the lightest sound casting."""
    return fill_rule(result.setup).verdict == FILLS


# ---- the rule beside the computed casting


def open_s(result):
    """When the plate, half way along, has the share of solid that stops a stream [s]; computed."""
    run = result.run
    column = int(np.argmin(abs(run.grid.centres[0] - result.setup.layout.block("plate").middle[0])))
    here = np.unravel_index(run.metal_cells, run.grid.shape)[0] == column
    solid, share = run.solid[:, here].mean(axis=1), min(filling.stopping_fraction(run.setup.alloy), ALL_SOLID)
    step = int(np.argmax(solid >= share))
    return float(np.interp(share, solid[step - 1 : step + 1], run.times_s[step - 1 : step + 1]))


def stop(layout, rule, running_time):
    """Where metal that runs for so long [s] stops: (place [m], words); None if the mould is full by then."""
    plate, boss = (layout.block(name) for name in ("plate", "boss"))
    share = rule.reach * running_time / rule.running_time / width_of(plate)
    if share < 1.0:
        return (plate.low[0] + share * width_of(plate), plate.middle[1]), "in the plate"
    level = (running_time / rule.fill_time * rule.volume - plate.volume) / boss.volume
    if level < 1.0:
        return (boss.middle[0], boss.low[1] + level * height_of(boss)), "in the boss"
    return None


def sentence(result, units):
    """First whether it fills, by the rule; then what is computed for a full mould."""
    rule = fill_rule(result.setup)
    open_for, full_after = units.time(rule.running_time), units.time(rule.fill_time)
    times = f"the plate stays open for {open_for}, and plate and boss take {full_after} to fill"
    computed = result.sentence(units)
    computed = computed[0].lower() + computed[1:]
    if rule.verdict == MISRUN:
        where = stop(result.setup.layout, rule, rule.running_time)[1]
        return (f"By the rule a misrun: {times}, so the metal stops {where}. Were the mould full, the "
                f"computation says: {computed}")
    if rule.verdict == MARGINAL:
        return (f"By the rule it is marginal: {times}, but the rule is good to a factor of two only. If "
                f"it fills, the computation says: {computed}")
    return f"By the rule it fills: {times}, less than half of that. The computation says: {computed}"


def verdict(result):
    """The worse of what the rule says of filling and what the computation says of holes."""
    by_rule = {FILLS: "sound", MARGINAL: "marginal", MISRUN: MISRUN}[fill_rule(result.setup).verdict]
    return max(by_rule, result.verdict, key=("sound", "marginal", "defective", MISRUN).index)


def numbers(result, units):
    """The rule, the computed time beside it, then the account; of a misrun nobody's share of it."""
    rule, alloy, differ = fill_rule(result.setup), result.setup.alloy, units.temperature_difference
    superheat = differ(filling.superheat(alloy, result.setup.pour_temp_c))
    usual = " to ".join(differ(each) for each in filling.superheat_window(alloy))
    share = filling.stopping_fraction(alloy)
    until = f"until {100 * share:.0f} % solid" if share < 1.0 else "until solid"
    return (
        ("superheat", f"{superheat}, usual {usual}"),
        ("by the rule, speed in the gate", speed_words(rule, units)),
        ("by the rule, plate and boss full after", units.time(rule.fill_time)),
        ("by the rule, the plate stays open for", units.time(rule.running_time)),
        ("computed, the plate stays open for", f"{units.time(open_s(result))}, {until}"),
        ("by the rule, thinnest plate that would stay open", units.length(rule.thinnest, 2)),
        *_account(rule, result, units),
    )


def _account(rule, result, units):
    """Of a full mould who paid, of a misrun how much has come; here gate and sprue say whether it fills."""
    pairs = [pair for pair in result.numbers(units) if pair[0] != MAY_NOT_FILL]
    if rule.verdict != MISRUN:
        return pairs
    came, whole = (units.volume(each) for each in (rule.spare * rule.volume, rule.volume))
    return (("by the rule, metal that comes in", f"{came} of {whole}"), *if_it_were_full(pairs))


def speed_words(rule, units):
    """How fast the metal is in the gate, flagged where that is faster than founders let it be."""
    speed = f"{units.length(rule.speed, 2)}/s"
    if rule.speed <= CALM:
        return speed
    return f"{speed}: TOO FAST, above {units.length(CALM, 2)}/s"


def scene(setup, result, units):
    """What is computed, and how far the metal may get by the rule; of a misrun the metal that has come, and
    nothing of what was computed for a full mould."""
    plain = casting_scene(setup, result, units)
    if result is None:
        return plain
    rule, layout = fill_rule(result.setup), result.setup.layout
    if rule.verdict == MISRUN:
        place, _ = stop(layout, rule, rule.running_time)
        section = Section(layout, plane=plain.section.plane, not_reached=beyond_front(layout, place))
        return replace(plain, section=section, labels=(Label("stops here, by the rule", place, strong=True),))
    stopped = stop(layout, rule, rule.running_time / ON_THE_SAFE_SIDE)
    mark = (Label("may stop here, by the rule", stopped[0], strong=True),) if stopped else ()
    return replace(plain, labels=(*mark, *plain.labels))


# ---- the question


@same_in_a_kernel
def begin():
    """The thin plate, poured as cold as the alloy allows, and the question: (bench, question)."""
    choices = {
        "full": "plate and boss are full, and the boss has the smallest hole of all temperatures",
        "sound": "plate and boss are full, and there is no hole at all",
        MISRUN: "the metal stops before plate and boss are full",
        "late": "plate and boss are full, but they take longer to freeze than with hot metal",
    }
    window = FillingWindow(lambda values: fill_rule(setup_of(values)), ON_THE_SAFE_SIDE)
    bench = bench_of(sliders(), setup_of, scene_of=scene, sentence_of=sentence, numbers_of=numbers,
                     verdict_of=verdict, drawing_of=window.drawing, hidden=True)
    text = ("Lesson 1 said that hot metal asks for more volume. So the plate is poured as cold as the alloy "
            "allows. What will happen?")
    return bench, Question(bench, text, choices, judge_cold, slips_cold, nowhere)


def judge_cold(result, units):
    """Does it fill by the rule, and is it sound by the computation?"""
    why = (f"{sentence(result, units)} No flow is computed: that the metal stops is a hand rule.")
    if fill_rule(result.setup).verdict == MISRUN:
        return MISRUN, why
    return "sound" if result.sound else "full", why


def slips_cold(result, units):
    """What each wrong choice forgets."""
    setup, own = result.setup, units.volume(result.casting_paid_m3)
    rule = fill_rule(setup)
    over = units.temperature_difference(filling.superheat(setup.alloy, setup.pour_temp_c))
    thinnest, times = units.length(rule.thinnest, 2), rule.running_time / rule.fill_time
    luck = "" if rule.verdict == FILLS else " The rule is good to a factor of two, so you may be right."
    if rule.verdict == MISRUN:
        full = (f"To ask for little is no use to metal that does not arrive: poured {over} above its "
                f"liquidus, it needs by the rule a plate of {thinnest} or more.")
        missing = "" if result.sound else f"; and were the mould full, the casting would have to pay {own}"
        sound = f"Before a casting can be sound it must be whole{missing}."
    else:
        full = f"Small is not none. {last_and_yet_full(result, units)}"
        sound = f"Cold metal asks for less volume, but it asks: the casting had to pay {own} itself."
    return {
        "full": full,
        "sound": sound,
        MISRUN: "Cold metal in a thin plate does speak for that. But by the rule the plate stays open "
                f"{significant(times)} times as long as filling takes.{luck}",
        "late": "Slow to run is not slow to freeze. Colder metal has less heat to lose: this one has "
                f"{over} to lose before it begins to freeze.",
    }


# ---- tasks


@task(TASK_PRICE, choices={
    "late": "it asks for more volume, and the boss stays liquid longer",
    "soon": "it asks for more volume, but the boss is solid sooner: hot metal loses heat faster",
    "less": "it asks for less volume, because thin liquid feeds better",
    "same": "nothing else: the superheat is gone before freezing begins",
})
def task_price(bench, answer):
    """What hotter metal costs: both ends of the pouring slider, computed."""
    low, _, high = bench.controls["pour_temp_c"].range()
    cold, hot = bench.solve(pour_temp_c=low), bench.solve(pour_temp_c=high)
    more = (hot.account.asked_m3 - cold.account.asked_m3) / abs(cold.account.asked_m3)
    late = hot.middle_time("boss") / cold.middle_time("boss")
    right = "less" if more < -0.02 else "same" if more < 0.02 else "late" if late > 1.0 else "soon"
    slips = {
        "soon": "Hot metal loses heat faster at first, but it has more to lose, and the mould grows warm.",
        "less": "How thin a liquid is says how far it runs, not how much it shrinks.",
        "same": "The superheat leaves into the mould and warms it, and meanwhile the liquid shrinks.",
    }
    units = bench.units
    temps = [units.temperature(each.setup.pour_temp_c) for each in (cold, hot)]
    asks = [units.volume(each.account.asked_m3) for each in (cold, hot)]
    sinks = [units.volume(each.account.paid_m3["sink"], 3) for each in (cold, hot)]  # they differ by little
    gates = [units.volume(each.account.paid_m3["gate"]) for each in (cold, hot)]
    times = [hot.plain_time(each.middle_time("boss"), units) for each in (cold, hot)]
    why = (f"From {temps[0]} to {temps[1]} the feed demand goes from {asks[0]} to {asks[1]}, the "
           f"sink from {sinks[0]} to {sinks[1]}, what the gate pays from {gates[0]} to {gates[1]}, and the "
           f"middle of the boss is solid after {times[1]} instead of {times[0]}.")
    return chosen(answer, right, slips, why)


@task(TASK_FILL, number="seconds")
def task_fill(bench, answer):
    """The time to fill, on paper, against the rule for the drawing on the bench."""
    setup, units = bench.setup(), bench.units
    rule = fill_rule(setup)
    if is_near(answer, rule.fill_time, CLOSE_ENOUGH):
        times = rule.running_time / rule.fill_time
        return Checked(True, f"The gate passes {units.volume(rule.speed * rule.area)} a second. The plate "
                             f"stays open for {units.time(rule.running_time)}, {times:.1f} times as long as "
                             "filling takes.")
    time, (plate, boss) = rule.fill_time, (setup.layout.block(name).volume for name in ("plate", "boss"))
    slips = (
        (time * FRICTION, "That is without friction: the real speed is 0.8 times the speed of a free fall."),
        (time * math.sqrt(2.0), "The 2 is missing in the root of 2 g h."),
        (time * rule.speed / FRICTION, "The speed is the root of 2 g h, not 2 g h."),
        (time * plate / rule.volume, "That fills the plate only. The boss is filled through the plate."),
        (time * boss / rule.volume, "That fills the boss only; the plate takes metal too."),
        (time * rule.area / SPRUE_M**2, "You took the area of the sprue. The narrowest place counts."),
        (rule.running_time, "That is how long the plate stays open, not how long filling takes."),
        (1.0 / time, "Turned round: time is volume over flow."),
    )
    slips += tuple((time * factor, MIXED_WORDS) for factor in MIXED)
    return Checked(False, slip_in(answer, slips, CLOSE_ENOUGH) or
                   "Work out the speed, then speed times area of the gate, then volume over that.")


@task(TASK_WHY, choices={
    "heat": "the rule leaves out that metal also becomes colder while its crystals grow",
    "boss": "the boss keeps the computed plate warm, and the rule knows no boss",
    "flow": "the computed metal flows, and brings new heat along",
    "sand": "the rule takes another mould than the computation",
})
def task_why(bench, answer):
    """Why the computed plate stays open longer than the rule says: with the heat, and without the boss."""
    result, units = bench.solve(), bench.units
    rule, computed = fill_rule(result.setup).running_time, open_s(result)
    small = open_s(bench.solve(boss=bench.controls["boss"].range()[0]))
    by_heat, by_boss = running_time_with_range(result.setup) - rule, computed - small
    says = f"The rule says {units.time(rule)}, the computation {units.time(computed)}. "
    if by_heat < 0.5 * abs(computed - rule) or by_heat <= by_boss:
        return Checked(False, f"{says}With these sliders none of the answers makes most of the difference. "
                              f"{AGAIN}, and look once more.")
    with_heat = ("While crystals grow the metal cools on, and that heat must leave too: with it the "
                 f"rule says {units.time(rule + by_heat)}. ")
    slips = {
        "boss": f"With the smallest boss the computation still says {units.time(small)}.",
        "flow": "No flow is computed: the mould is full at once, for the rule and for the computation.",
        "sand": "Both take the same mould from the same table.",
    }
    rest = ("Most of what is left: the computed cells are a third of a thin plate, which makes times of "
            "about a second up to a fifth too long.")
    return Checked(answer == "heat", says + slips.get(answer, with_heat + rest))


def running_time_with_range(setup):
    """Running time by the rule [s], with the heat counted too that leaves while the crystals grow."""
    alloy = setup.alloy
    temps, shares = zip(*alloy.solid_fraction, strict=True)
    share = filling.stopping_fraction(alloy)
    cools = alloy.liquidus_c - float(np.interp(share, shares, temps))
    counted = (share * alloy.latent_heat
               + alloy.heat_capacity_liquid * filling.superheat(alloy, setup.pour_temp_c))
    more = 1.0 + alloy.heat_capacity_liquid * cools / counted
    around = replace(setup.mould, start_temp_c=setup.mould_temp_c)
    thick = more * height_of(setup.layout.block("plate"))  # as much more metal holds as much more heat
    return filling.running_time(thick, alloy, around, setup.pour_temp_c)


@task(TASK_COLDEST, number="pouring temperature")
def task_coldest(bench, answer):
    """The cold end of the window: the lowest step of the slider at which the rule says that it fills."""
    units, control = bench.units, bench.controls["pour_temp_c"]
    low, _, high = control.range()
    step, temp = control.slider.step, units.temperatures.si(answer)
    steps = np.arange(low, high + 0.5 * step, step)
    filled = [each for each in steps if rule_at(bench, each).verdict == FILLS]
    between = f"The slider goes from {units.temperature(low)} to {units.temperature(high)}."
    if not filled:
        return Checked(False, f"At no temperature of the slider does it fill. {between} {AGAIN}.")
    if not low - step <= temp <= high + step:
        return Checked(False, f"Nobody pours this alloy at {units.temperature(temp)}. {between}")
    if temp < filled[0] - 0.6 * step:
        return Checked(False, f"At {units.temperature(temp)} {words_at(bench, max(temp, low))}")
    if temp > filled[0] + 1.1 * step:
        more, asks = (bench.solve(pour_temp_c=each).account.asked_m3 for each in (min(temp, high), filled[0]))
        return Checked(False, f"It fills there, but a colder pour fills too. So hot, the metal asks for "
                              f"{units.volume(more)}; at the lowest that fills, for {units.volume(asks)}.")
    return Checked(True, f"From {units.temperature(filled[0])} on the plate stays open for twice the time "
                         "that filling takes. Hotter buys nothing more, and asks for more volume.")


def rule_at(bench, temp_c):
    """What the rule says with the sliders as they stand, at another pouring temperature."""
    return fill_rule(bench.setup(pour_temp_c=float(temp_c)))


def words_at(bench, temp_c):
    """Why it does not fill at that temperature."""
    rule, units = rule_at(bench, temp_c), bench.units
    times = f"{units.time(rule.running_time)} against {units.time(rule.fill_time)}"
    if rule.verdict == MISRUN:
        return f"the rule says misrun: the plate is open for a shorter time than filling takes, {times}."
    return f"it is marginal: open longer than filling takes, but not twice as long, {times}."


@task(TASK_WINDOW)
def task_window(bench, _):
    """Thin, not hot, full and sound: the first condition that is not met is named."""
    result, units, values = bench.solve(), bench.units, bench.values
    rule, (_, usual, _) = fill_rule(result.setup), bench.controls["pour_temp_c"].range()
    if not (result.sound and comes_out_whole(result)) and (other := another_casting(bench, *FREE)):
        return Checked(False, f"{sentence(result, units)} {other}")
    if values["thickness"] > THIN + 1e-9:
        return Checked(False, f"A plate of {units.length(values['thickness'])} is not the thin plate that "
                              f"was asked for, {units.length(THIN)} at most: make the plate thinner.")
    if values["pour_temp_c"] > usual:
        return Checked(False, f"Too hot: {units.temperature(usual)} at most. Pour colder. The plate also "
                              "fills when more metal comes in a second: look at the gate and the sprue.")
    if rule.verdict != FILLS:
        open_for, full_after = units.time(rule.running_time), units.time(rule.fill_time)
        return Checked(False, f"By the rule: {rule.verdict}. The plate is open for {open_for} and filling "
                              f"takes {full_after}; it should be twice that. {what_fills(bench)}")
    if not result.sound:
        return Checked(False, f"It fills. {result.sentence(units)} {better_feeder(bench, result)}")
    torn = "metal tears its skin and carries oxide and air in (common practice)"
    flag = f" Speed in the gate {speed_words(rule, units)} {torn}." if rule.speed > CALM else ""
    return Checked(True, f"{sentence(result, units)} {what_did_it(bench)}{flag}")


def what_fills(bench):
    """What makes it fill, moved as far as the task allows; tried before it is said."""
    far = {"gate_width": "make the gate wider", "sprue_height": "make the sprue higher",
           "thickness": "make the plate thicker", "pour_temp_c": "pour hotter"}
    most = {name: bench.controls[name].range()[2] for name in far}
    most |= {"thickness": THIN, "pour_temp_c": bench.controls["pour_temp_c"].range()[1]}
    moved = {}
    for name, words in far.items():
        if bench.values[name] < most[name] - 1e-9:
            moved[name] = most[name]
            if fill_rule(bench.setup(**moved)).verdict == FILLS:
                first = far[next(iter(moved))]
                return f"What passes more metal in a second, or keeps it liquid longer? {first.capitalize()}."
    return f"In this metal and mould no plate so thin fills. {AGAIN}."


def what_did_it(bench):
    """Which changes since the start made it fill: each is put back alone, and the rule asked again."""
    now, first = bench.values, bench.first_values
    changed = [(names, words) for names, words in CHANGES.items() if now[names[0]] != first[names[0]]]
    if now["alloy"] != first["alloy"]:  # its pouring temperature is not the other's: they go back together
        changed = [each for each in changed if each[0] != ("pour_temp_c",)]
    without = {words: fill_rule(bench.setup(**{name: first[name] for name in names}))
               for names, words in changed}
    if needed := [words for words, rule in without.items() if rule.verdict != FILLS]:
        verdicts = " or ".join(dict.fromkeys(without[words].verdict for words in needed))
        any_one = "any one of these" if needed[1:] else "this"
        return f"What made it fill: {listed(needed)}. Without {any_one} the rule says {verdicts}."
    margin = fill_rule(bench.setup()).spare
    helped = [words for words, rule in without.items() if rule.spare < margin]
    return f"What made it fill: {listed(helped)}. Any one of these can go back, and it still fills."
