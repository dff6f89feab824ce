"""What lesson 9 is made of: fine holes between the crystals, and how to tell them from gas.

Sponge is computed. Gas is a hand rule, for aluminium only: it is said beside the account and never put into
it. Niyama's value and the arm spacing are rules that are given the computed gradient, rate and time.
"""

from dataclasses import dataclass

import numpy as np

from castlab.field import parts
from castlab.field.layout import Setup
from castlab.field.shrinkage import SOUND_BELOW
from castlab.field.sponge import gradient_and_rate
from castlab.rules import gas
from castlab.teach.bench.hints import AGAIN, another_casting, better_feeder, can_grow
from castlab.teach.bench.misconceptions import full_when_poured, heavy_end_is_spared
from castlab.teach.bench.questions import Checked, Question, chosen, is_near, slip_in, task
from castlab.teach.bench.ready_made import bench_of
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.bench.touch import nowhere
from castlab.teach.panels import lens
from castlab.teach.picture.dots import LEAST_SPONGE
from castlab.teach.sliders.part_sliders import FEEDING, METAL, PART, metal_sliders
from castlab.teach.sliders.slider import Slider
from castlab.teach.sliders.to_design import setup_of as poured
from castlab.teach.text import fed_over, markup
from castlab.units import significant

HELD_HOTTER_K = 20.0  # the melt in the furnace is so much hotter than the pour; common practice
QUARTER = 0.25  # of the thickness: how far round the middle of the plate the field is read
FED_TO_THE_END = 0.995  # solid fraction up to which liquid arrives; the rest is no matter
LONG_RANGE_K = 100.0  # from here on the course speaks of a long freezing range; judgement
LONG_PLATE = 0.150  # [m] the plate of the last task is no shorter
LARGE_FEEDER = {"feeder_width": 0.056, "feeder_height": 0.060}
CHANGED = 0.10  # a volume of sponge that changes by a smaller share has not changed
CLOSE_ENOUGH = 0.08  # a number worked out on paper may differ by so much
SEEN = ("smooth round walls", "in the heavy section that freezes last")
SIDE_BY_SIDE = "display:flex; flex-flow:row wrap; gap:8px 26px"
TASK_FEEDER = """Press “Start again”. Note the sponge in the plate, then make the feeder 56 mm wide and 60 mm
high. What happens to the sponge?"""
TASK_DIE = """Press “Start again”, then choose the cast-iron die instead of the green sand. The plate is solid
many times as fast. What happens to Niyama's value and to the sponge?"""
TASK_PORES = """Choose the alloy A356, and a melt that is as damp as you like. Read off what the melt holds
and what the solid keeps. How many per cent of the casting can the rest become, as pores?"""
TASK_SIGNS = """A casting is sawn through. It has holes with smooth, round walls, and nearly all of them lie
in the boss, which froze last. What do these two signs speak for?"""
TASK_SOUND = """Cast a sound plate of an alloy that freezes over 100 K or more (tin bronze does), at least
150 mm long. The check looks at the bench as it stands now."""


# ---- the bench


@dataclass(frozen=True)
class MeltSetup(Setup):
    """A setup, and how damp its melt was: hydrogen over it as a share of an atmosphere."""

    damp: float = 0.01

    @property
    def melt_temp_c(self):
        """How hot the melt in the furnace is [deg C]."""
        return self.pour_temp_c + HELD_HOTTER_K


def sliders():
    """Sliders of a long thin plate of tin bronze with a feeder that is large enough."""
    return [
        Slider("thickness", "section thickness", "length", PART, 0.008, 0.006, 0.020, 0.001),
        Slider("length", "plate length", "length", PART, 0.180, 0.060, 0.200, 0.010),
        *metal_sliders("tin bronze"),
        Slider("damp", "hydrogen over the melt [%]", "number", METAL, 1.0, 0.5, 10.0, 0.5),
        Slider("feeder_width", "feeder width", "length", FEEDING, 0.044, 0.0, 0.056, 0.002),
        Slider("feeder_height", "feeder height", "length", FEEDING, 0.050, 0.020, 0.080, 0.005),
    ]


def setup_of(values):
    """The eye plate and the melt that the sliders describe."""
    sizes = {name: values[name] for name in ("thickness", "length", "feeder_width", "feeder_height")}
    plain = poured(parts.eye_plate(**sizes), values)
    return MeltSetup(**vars(plain), damp=values["damp"] / 100.0)


# ---- the rules beside the computed casting


@dataclass(frozen=True)
class Mush:
    """The middle of the plate: computed, then what the rules make of it.

    gradient [K/m], rate [K/s] when it is solid to `share`; freezing_time [s] from the first crystal on; fed:
    solid fraction up to which liquid arrived; arms [m] at the computed rate. By the rules: rule_arms [m] from
    the freezing time; niyama [(K s)^0.5/m]; number, which is Ny*.
    """

    share: float
    gradient: float
    rate: float
    freezing_time: float
    fed: float
    arms: float
    rule_arms: float
    niyama: float
    number: float


def sponge_m3(result):
    """Sponge that the casting has [m3], computed."""
    return result.account.paid_m3["sponge"]


def sponge_in_cells(result):
    """The share of each metal cell that sponge takes, computed."""
    cells = result.run.metal_cells
    return result.account.void_of["sponge"].ravel()[cells] / result.run.grid.metal_volume.ravel()[cells]


def mush_of(result):
    """The middle of the plate in numbers; None for a metal that grows as a skin."""
    run, alloy = result.run, result.setup.alloy
    if alloy.liquidus_c - alloy.arrest_temp_c < gas.SHORTEST_RANGE or alloy.freezing_contraction <= 0.0:
        return None  # crystals and liquid do not stand side by side over a range of temperatures
    share = alloy.passable_limit * alloy.arrest_fraction
    gradient, rate = (at_middle(run, each) for each in gradient_and_rate(run, share))
    time, (spacing, power) = freezing_time(result), alloy.arm_spacing
    return Mush(
        share, gradient, rate, time,
        fed=1.0 - at_middle(run, sponge_in_cells(result)) / alloy.freezing_contraction,
        arms=spacing * rate**-power, rule_arms=gas.arm_spacing(alloy, time),
        niyama=gas.niyama(gradient, rate),
        number=gas.dimensionless_niyama(gradient, rate, alloy),
    )


def at_middle(run, values):
    """Mean over the metal cells round the middle of the plate; `values` has one for each metal cell."""
    plate = run.setup.layout.block("plate")
    reach = 1.001 * max(0.5 * QUARTER * (plate.high[1] - plate.low[1]), run.grid.cell)
    places = np.unravel_index(run.metal_cells, run.grid.shape)
    near = [abs(centre[place] - 0.5 * (low + high)) <= reach for centre, place, low, high
            in zip(run.grid.centres, places, plate.low, plate.high, strict=True)]
    return float(values[np.all(near, axis=0)].mean())


def freezing_time(result):
    """From the first crystal in the middle of the plate until it is solid there [s]."""
    run = result.run
    begins = run.times_s[np.argmax(run.solid > 0.0, axis=0)]
    return result.middle_time("plate") - at_middle(run, begins)


def hydrogen(setup):
    """Hydrogen that the melt holds [m3/kg], by the rule; None for other metals than aluminium."""
    if setup.alloy.family != "aluminium":
        return None
    return gas.hydrogen_in_liquid(setup.melt_temp_c, setup.damp * gas.STANDARD_PRESSURE)


def kept_by_solid(alloy):
    """Hydrogen that the metal keeps when it has just become solid [m3/kg], by the rule."""
    return gas.hydrogen_in_solid(min(alloy.solidus_c, gas.MELTING_C))


def gas_share(setup):
    """Share of the casting that gas can make into pores at most, by the rule."""
    return gas.gas_pore_share(hydrogen(setup), setup.alloy)


def gas_volume(result, units):
    """The same in words, as a volume: the share of it is what a task asks for."""
    return units.volume(gas_share(result.setup) * result.account.casting_m3)


def sentence(result, units):
    """What is computed, then gas, which is not: "sound" speaks of shrinkage where pores may be many."""
    computed = result.sentence(units)
    if hydrogen(result.setup) is None:
        return f"{computed} Gas is not computed; the rule for it is for aluminium only."
    if gas_share(result.setup) > SOUND_BELOW:
        computed = computed.replace("Sound:", "Sound as to shrinkage:", 1)
    pores = gas_volume(result, units)
    return f"{computed} Gas is not computed; by the rule it can make pores of {pores} at most."


def verdict(result):
    """What the computation says of holes; none where it says sound and gas may be much."""
    gassy = hydrogen(result.setup) is not None and gas_share(result.setup) > SOUND_BELOW
    return None if result.sound and gassy else result.verdict


def numbers(result, units):
    """The middle of the plate, the gas, then the account."""
    return (*_mush_numbers(result, units), *_gas_numbers(result, units),
            (fed_over.NAME, fed_over.fed_over(result.account.path, units)),
            ("sponge, computed", result.volume_words(sponge_m3(result), units)), *result.numbers(units))


def _mush_numbers(result, units):
    mush, alloy = mush_of(result), result.setup.alloy
    if mush is None:
        return (("in the plate", f"{alloy.name} {skin_or_growth(alloy)}: no sponge"),)
    steel = ((("by Niyama's threshold for steel", gas.judge_niyama(mush.niyama, alloy)),)
             if "steel" in alloy.name else ())
    gradient = f"{gradient_words(mush.gradient, units)} at {100 * mush.share:.0f} % solid"
    by_time = f"{units.length(mush.rule_arms, 2)}, from {units.time(mush.freezing_time)} of freezing"
    return (
        ("computed gradient in the middle of the plate", gradient),
        ("computed cooling rate there", rate_words(mush.rate, units)),
        ("by the rule, Niyama's value", niyama_words(mush.niyama)),
        *steel,
        ("by the rule, Ny*", significant(mush.number)),
        ("computed, liquid arrives there until", fed_words(mush)),
        ("by the rule, arm spacing", by_time),
        ("arm spacing at the computed rate", units.length(mush.arms, 2)),
    )


def _gas_numbers(result, units):
    setup = result.setup
    if hydrogen(setup) is None:
        return (("gas", "no figures for this metal"),)
    melt = f"{gas_words(hydrogen(setup))} at {units.temperature(setup.melt_temp_c)}"
    return (
        ("by the rule, the melt holds", melt),
        ("by the rule, the solid keeps", gas_words(kept_by_solid(setup.alloy))),
        ("by the rule, gas pores at most", gas_volume(result, units)),
    )


def skin_or_growth(alloy):
    """Why there is no mush, in words after the alloy's name."""
    return "freezes as a skin, without mush" if alloy.freezing_contraction > 0.0 else "grows as it freezes"


def fed_words(mush):
    """Until when liquid arrives, such as "88 % solid"."""
    return "all is solid" if mush.fed > FED_TO_THE_END else f"{100 * mush.fed:.0f} % solid"


def gradient_words(gradient, units):
    """Such as "0.31 K/mm"."""
    differences, lengths = units.differences, units.lengths
    return f"{significant(gradient * differences.factor / lengths.factor)} {differences.unit}/{lengths.unit}"


def rate_words(rate, units):
    """Such as "1.0 K/s"."""
    return f"{significant(rate * units.differences.factor)} {units.differences.unit}/s"


def niyama_words(niyama):
    """Such as "0.31 (K s)^½/mm", whatever the reader's units.

    It is a figure to hold against a threshold, and thresholds are printed in kelvin and mm or cm everywhere:
    in (°F s)^½/in it would be 34 times as large, and could be held against nothing.
    """
    return f"{significant(1e-3 * niyama)} (K s)^½/mm"


def gas_words(content):
    """Hydrogen as the trade says it, in all units: millilitres (at 0 degrees, one atmosphere) in 100 g."""
    return f"{significant(content / gas.CM3_PER_100G)} ml in 100 g"


# ---- as a lens shows it


def faces(_, result, units):
    """Two faces side by side as HTML: gas, as much as the rule allows at most, and the densest sponge."""
    setup, alloy, mush = result.setup, result.setup.alloy, mush_of(result)
    sponge = float(sponge_in_cells(result).max())
    if hydrogen(setup) is None:
        by_gas = lens.face((), "Gas: no figures for this metal.")
    else:
        most = gas_volume(result, units)
        by_gas = lens.face(lens.pores(max(gas_share(setup), 0.0)),
                           f"Gas, at most {most} by the rule: round, smooth, bright walls.")
    if mush is None or sponge < LEAST_SPONGE:
        by_shrinkage = lens.face((), "Shrinkage: no sponge.")
    else:
        by_shrinkage = lens.face(
            lens.crannies(sponge, mush.arms),
            f"Shrinkage, where the sponge is densest, {significant(100.0 * sponge)} % of the face: branched "
            f"and dull, between arms {units.length(mush.arms, 2)} apart.")
    note = markup.paragraph(f"Drawn, not photographed: a polished cut of {alloy.name}, "
                            f"{units.length(lens.ACROSS_M, 2)} across. Holes take as much of the face as "
                            "rule and field say; where they lie is drawn by lot.")
    return f'<div style="{SIDE_BY_SIDE}">{by_gas}{by_shrinkage}</div>{note}'


# ---- the question


@same_in_a_kernel
def begin():
    """The long plate of tin bronze with a large feeder, and what is wrong with it: (bench, question)."""
    choices = {
        "none": "nothing: the feeder stays liquid longest, so the casting is sound",
        "boss": "a hole in the boss: bronze shrinks more, and the feeder is too small for it",
        "sponge": "fine holes in the plate, between the crystals",
        "gate": "a hole beside the gate, far from the feeder",
    }
    bench = bench_of(sliders(), setup_of, sentence_of=sentence, numbers_of=numbers, verdict_of=verdict,
                     drawing_of=faces, hidden=True)
    text = ("In ZA-12 this plate is sound: its feeder freezes last and holds enough. Now the same mould is "
            "filled with tin bronze, which freezes over 170 K. What will be wrong with it?")
    return bench, Question(bench, text, choices, judge_bronze, slips_bronze, nowhere)


def judge_bronze(result, units):
    """Sound, sponge in the plate, or a hole; and the feeder's part in it."""
    why, froze = sentence(result, units), result.account.froze_s
    if "feeder" in froze:
        why = f"{why} The feeder has paid {units.volume(result.account.paid_m3['feeder'])}."
    hole = result.diagnosis.hole
    if hole is None:
        return "none", why
    if hole.kind == "sponge":
        lasted = "It was liquid long enough, but the" if froze.get("feeder", 0.0) > froze["plate"] else "The"
        return "sponge", f"{why} {lasted} way between the crystals was too long."
    return ("gate" if hole.block == "plate" else "boss"), why


def slips_bronze(result, units):
    """What each wrong choice forgets."""
    hole, alloy = result.diagnosis.hole, result.setup.alloy
    over = units.temperature_difference(alloy.freezing_range)
    given = f"The feeder gave {100 * result.account.feeder_emptied:.0f} % of itself and kept the rest"
    given = given if "feeder" in result.account.froze_s else "Now there is no feeder"
    fine = hole is not None and hole.kind == "sponge"
    return {
        "none": "A feeder needs a way as well. This metal freezes over "
                f"{over}, and its own crystals stand in the way long before all is solid." if fine else
                full_when_poured(result, units),
        "boss": f"{given}. The holes are fine ones between crystals, not one large one." if fine
                else heavy_end_is_spared(result, units),
        "sponge": f"A long freezing range does make it. {why_no_sponge(result, units)}",
        "gate": "Far from the feeder is a good thought, for liquid travels badly between crystals. But so it "
                "leaves fine holes along the way, and not one hole at its end." if fine else
                "Far from the feeder is a good thought, but near the gate the metal is thin and soon solid: "
                f"the gate after {result.plain_time(result.account.froze_s['gate'], units)}.",
    }


def why_no_sponge(result, units):
    """Why the largest hole is no sponge."""
    alloy, mush = result.setup.alloy, mush_of(result)
    if mush is None:
        return f"But {alloy.name} {skin_or_growth(alloy)}: there are no ways between crystals."
    over = units.temperature_difference(alloy.freezing_range)
    more = "" if result.sound else "; the largest hole is another one"
    return f"This metal freezes over {over}, but liquid arrives in the plate until {fed_words(mush)}{more}."


# ---- tasks


@task(TASK_FEEDER, choices={
    "gone": "it goes away: more metal is there to feed",
    "half": "it becomes clearly less, because the feeder stays liquid longer",
    "same": "it stays as it is",
    "more": "it becomes clearly more, because the large feeder asks for metal too",
})
def task_feeder(bench, answer):
    """Does a larger feeder take sponge out?"""
    small, large = (bench.solve(**bench.first_values | changes) for changes in ({}, LARGE_FEEDER))
    before, after, units = sponge_m3(small), sponge_m3(large), bench.units
    right = ("gone" if large.sound else "more" if after > (1 + CHANGED) * before else
             "half" if after < (1 - CHANGED) * before else "same")
    slips = {
        "gone": "Metal was there before; it does not arrive.",
        "half": "The feeder was liquid to the end before; that is not what is missing.",
        "more": "A feeder feeds itself as long as its top is open.",
    }
    why = (f"The sponge is {units.volume(before)} with the first feeder and {units.volume(after)} with the "
           "large one. The pressure of the air is used up on the long way between the crystals.")
    return chosen(answer, right, slips, why)


@task(TASK_DIE, choices={
    "out": "Niyama's value rises, and the sponge goes away",
    "still": "Niyama's value rises, but the sponge stays",
    "falls": "Niyama's value falls, because the metal cools faster, and the sponge grows with that",
    "same": "nothing changes: only the alloy matters",
})
def task_die(bench, answer):
    """Faster is not steeper: sand and die, computed for the plate as it stands at first."""
    sand, die = (bench.solve(**bench.first_values | {"mould": each})
                 for each in ("green sand", "cast-iron die"))
    ratio = mush_of(die).niyama / mush_of(sand).niyama
    stays = sponge_m3(die) > 0.5 * sponge_m3(sand)
    right = "same" if abs(ratio - 1.0) < CHANGED else "falls" if ratio < 1.0 else "still" if stays else "out"
    slips = {
        "out": "Niyama's value does not know how narrow the ways between the crystals are.",
        "falls": "The cooling rate stands below, under its root; the gradient stands above, and rises too.",
        "same": "The mould draws the heat, so it makes gradient, rate and crystals.",
    }
    return chosen(answer, right, slips, side_by_side(sand, die, bench.units))


def side_by_side(sand, die, units):
    """Two moulds in numbers."""
    mush = in_sand, in_die = mush_of(sand), mush_of(die)
    faster, steeper = (significant(getattr(in_die, each) / getattr(in_sand, each))
                       for each in ("rate", "gradient"))
    values = [niyama_words(each.niyama) for each in mush]
    numbers = [significant(each.number) for each in mush]
    sponge = [units.volume(sponge_m3(each)) for each in (sand, die)]
    return (f"In the die the middle of the plate cools {faster} times as fast, under a gradient {steeper} "
            f"times as steep. Niyama's value goes from {values[0]} to {values[1]}, the sponge from "
            f"{sponge[0]} to {sponge[1]}. The crystals are finer, and so are the ways between them: Ny* "
            f"counts that at one place, {numbers[0]} and {numbers[1]}; the whole way costs suction. Liquid "
            f"arrives in the middle until {100 * in_die.fed:.0f} % solid, not {100 * in_sand.fed:.0f} %.")


@task(TASK_PORES, number="per cent")
def task_pores(bench, answer):
    """From dissolved gas to pores, on paper, for the melt on the bench."""
    result = bench.solve()
    alloy, holds = result.setup.alloy, hydrogen(result.setup)
    if holds is None:
        return Checked(False, f"{alloy.name} is no aluminium alloy, and the rule has figures for aluminium "
                              "only. Set the alloy to A356.")
    if gas_share(result.setup) <= 0.0:
        return Checked(False, "The solid keeps all that this melt holds. Make the melt damper.")
    right = 100.0 * gas_share(result.setup)
    heat = (alloy.solidus_c + gas.ICE_POINT) / gas.ICE_POINT  # gas is so many times as large as at 0 degrees
    too_much = 100.0 * alloy.density_solid * holds * heat
    if is_near(answer, right, CLOSE_ENOUGH) and abs(answer - right) < abs(answer - too_much):
        sponge = 100.0 * sponge_m3(result) / result.account.casting_m3
        beside = f"{significant(sponge)} % of sponge" if sponge > 0.0 else "no sponge"
        return Checked(True, f"At most {significant(right)} %; part of the gas escapes or stays. Computed is "
                             f"{beside}: that is another cause, and gas is never put into it.")
    rest = 100.0 * alloy.density_solid * (holds - kept_by_solid(alloy))
    slips = (
        (too_much, "The solid keeps a part: take that off first."),
        (rest, "That is the gas at 0 degrees. It fills its pore where the metal is just solid, and hot gas "
               "is larger: times kelvin over 273."),
        (rest * alloy.solidus_c / gas.ICE_POINT, "Heat in kelvin, not in degrees Celsius: add 273."),
        (rest * heat / alloy.density_solid * 1e3, "The content is for 100 g. Times the density makes it "
                                                  "a share of the volume."),
        (rest * heat / 100.0, "That is a share. Times 100 makes it per cent."),
        (rest * heat * 100.0, "The content is for 100 g, not for 1 g: a hundred times less."),
    )
    return Checked(False, slip_in(answer, slips, 0.5 * CLOSE_ENOUGH) or
                   "Take what the solid does not keep, times density, then let the gas grow with the heat.")


@task(TASK_SIGNS, choices={
    "gas": "gas alone",
    "shrinkage": "shrinkage alone",
    "both": "both together",
    "neither": "neither: a hole has no signs",
})
def task_signs(_, answer):
    """Gas, shrinkage, or both? What each sign speaks for, by the rule."""
    right = gas.tell_gas_from_shrinkage(SEEN)
    each = " ".join(f"“{sign[0].upper()}{sign[1:]}” speaks for {gas.tell_gas_from_shrinkage(sign)}."
                    for sign in SEEN)
    missed = [sign for sign in SEEN if gas.tell_gas_from_shrinkage(sign) != answer]
    if answer == right:
        return Checked(True, f"{each} That is common: gas opens its pores where liquid is drawn thin. Looks "
                             "are no proof. A sample frozen under low pressure tells the gas; the same "
                             "casting with better feeding tells the shrinkage.")
    why = f"You left out one sign: {missed[0]}. " if answer in ("gas", "shrinkage") else ""
    return Checked(False, f"{why}{each}")


@task(TASK_SOUND)
def task_sound(bench, _):
    """A sound plate of an alloy that freezes over a long range; the first thing that is amiss is named."""
    result, units = bench.solve(), bench.units
    alloy, length = result.setup.alloy, bench.values["length"]
    if alloy.freezing_range < LONG_RANGE_K:
        span = units.temperature_difference(alloy.freezing_range)
        return Checked(False, f"Another metal is a cure, but not here: {alloy.name} freezes over {span}. "
                              f"{AGAIN}.")
    if length < LONG_PLATE - 1e-9:
        return Checked(False, f"A shorter plate is easier to feed, but {units.length(length)} is less than "
                              f"the {units.length(LONG_PLATE)} that were asked for. Make the plate longer.")
    if result.sound:
        return Checked(True, f"{sentence(result, units)} Liquid arrives in the middle of the plate until it "
                             f"is {100 * mush_of(result).fed:.0f} % solid.")
    other = another_casting(bench, *(name for name in bench.controls if name not in ("alloy", "mould")))
    return Checked(False, f"{result.sentence(units)} {other or hint(bench, result)}")


def hint(bench, result):
    """What to change: the feeder for a hole, the way for sponge."""
    if not result.has_feeder:
        return "There is no feeder: that is another fault than sponge. Make the feeder wider."
    if result.diagnosis.hole is None or result.diagnosis.hole.kind != "sponge":
        return better_feeder(bench, result)
    arrives = (f"In the middle of the plate liquid arrives until {100 * mush_of(result).fed:.0f} % solid. "
               "The way must be wider, or shorter; a larger feeder changes neither.")
    thicker, shorter = can_grow(bench, "thickness"), bench.values["length"] > LONG_PLATE + 1e-9
    do = "Make the plate thicker" if thicker else "Make the plate shorter" if shorter else AGAIN
    return f"{arrives} {do}."
