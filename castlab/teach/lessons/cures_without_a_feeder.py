"""What lesson 6 is made of: its benches, its questions, its tasks, and the table of cures.

No answer is written here: each is read off the computed casting.
"""

from bisect import bisect_left
from functools import partial

from castlab.teach.bench.hints import AGAIN, moved_besides, one_move, put_back
from castlab.teach.bench.misconceptions import volume_asked
from castlab.teach.bench.questions import Checked, Question, task
from castlab.teach.bench.ready_made import bench_of
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.bench.touch import nowhere
from castlab.teach.lessons.first_casting import hole_in
from castlab.teach.lessons.heavy_sections import CHILLED_TURNS
from castlab.teach.panels.cure_table import CureTable
from castlab.teach.panels.sensitivity import HowSure
from castlab.teach.sliders.to_design import altered, design_of, sliders_for

PART = "eye plate"
CHILL_M = 20e-3  # the chill of the first question
FED = {"boss": 34e-3, "gate_place": "heavy end"}  # what stays as it is on the second bench
GATE_M = 19e-3  # a gate that feeds, but not quite long enough
THICKEST_GATE_M = 36e-3  # on the first bench, so that the gate that the table finds can be tried there
HALF = 0.6  # a hole of less than this share of what it was is put down as clearly smaller
LITTLE = 0.02  # a hole that changes by less than this share of itself is as large as before
SHOWN = 0.1  # a section with less than this share of the hole is not named
SMALL_CHILL_M = 12e-3  # what the second question compares with none and with the thickest
MAY_MOVE = ("taper", "core", "turn", "gate_thickness", "chill_thickness")
HELP = {"chill_thickness": ("chill", "thicker", "thinner"), "core": ("core", "larger", "smaller"),
        "gate_thickness": ("gate", "thicker", "thinner")}
TOO_LATE = "The boss freezes too late for this gate."
TOO_EARLY = "The boss freezes so early that metal from the gate no longer gets past it into the plate."
WHY_IT_TURNS = ("A thin chill lets the boss freeze in time, while the gate still gives. One that is too "
                "thick freezes the boss so early that it shuts the way from the gate to the plate.")
NO_TAPER = "A taper leads to the payer only if what lies between stays open: here the boss is in the way."
THIN_GATE = "So thin a gate is solid long before what it is to feed."
NO_TURN = "Another orientation moves the hole, but brings no metal."
TASK_CHILL = """Press “Start again” on the second bench. Leave the gate as it is and change only the chill:
find the thickness that leaves the smallest hole."""
TASK_GATE = """Press “Start again” on the second bench. No chill, no core, no feeder: make the casting
sound with the gate alone."""
TASK_PAIR = """Make it sound once more, without a feeder, and with less metal in the mould than the gate alone
needs. You may use gate, chill, core, taper and the orientation."""

# ---- benches and their questions


@same_in_a_kernel
def begin():
    """The eye plate with a chill and nothing that feeds it, and the question: (bench, question)."""
    choices = {
        "gone": "the hole is gone, because the boss freezes early",
        "smaller": "the hole is about half as large, because half of the heat goes into the chill",
        "plate": "the hole is as large as before, but now in the plate",
        "same": "the hole stays in the boss, and most of it is left",
    }
    names = ("boss", "core", "gate_place", "gate_thickness", "chill_thickness")
    sliders = altered(sliders_for(PART, *names, gate_place="heavy end", chill_thickness=CHILL_M),
                      gate_thickness={"high": THICKEST_GATE_M})
    bench = bench_of(sliders, lambda values: design_of(PART, values).setup(), hidden=True)
    text = ("A block of steel, 20 mm thick, is set into the sand under the boss. The gate is 4 mm thin. What "
            "becomes of the hole that this boss has without a chill?")
    return bench, Question(bench, text, choices, partial(judge_chill, bench), slips_chill, nowhere)


def judge_chill(bench, result, units):
    """The hole with the chill against the hole without."""
    without = bench.solve(chill_thickness=0.0)
    why = (f"Without the chill the casting pays {units.volume(without.casting_paid_m3)}, with it "
           f"{units.volume(result.casting_paid_m3)}. The middle of the boss is solid after "
           f"{without.plain_time(result.middle_time('boss'), units)} instead of "
           f"{without.plain_time(without.middle_time('boss'), units)}. "
           "The chill takes heat away; it brings no metal.")
    if result.sound:
        return "gone", why
    if result.casting_paid_m3 < HALF * without.casting_paid_m3:
        return "smaller", why
    why = f"{why} What is missing, nobody outside pays: the little that the gate pays more, it pays early."
    return "same" if hole_in(result) == "boss" else "plate", why


def slips_chill(result, units):
    """What each wrong choice forgets."""
    asked, own = volume_asked(result, units), units.volume(result.casting_paid_m3)
    gate, boss, plate = (result.plain_time(result.account.froze_s[name], units)
                         for name in ("gate", "boss", "plate"))
    return {
        "gone": f"To freeze early is no cure: early or late, this metal asks for {asked}, and the gate that "
                f"could bring some was solid after {gate}.",
        "smaller": "Half of the heat is not half of the volume. The chill takes heat, but the metal asks for "
                   f"{asked} all the same.",
        "plate": f"The chill cools the boss from below; its top stays liquid until {boss}, the plate until "
                 f"{plate} after the pour. As long as both are liquid, the higher one runs down.",
        "same": "It is true that a chill brings no metal. But it changes the order, and so who pays: of "
                f"{asked} asked for, {own} were left to the casting.",
    }


@same_in_a_kernel
def begin_fed():
    """A smaller boss with a thick gate that nearly feeds it, and the question: (bench, question)."""
    choices = {
        "better": "the thicker the chill, the smaller the hole",
        "turns": "the hole first becomes smaller, then larger again",
        "nothing": "nothing changes: a chill brings no metal",
        "worse": "the thicker the chill, the larger the hole",
    }
    sliders = altered(sliders_for(PART, *MAY_MOVE, gate_thickness=GATE_M), turn={"options": CHILLED_TURNS})
    bench = bench_of(sliders, lambda values: design_of(PART, values | FED).setup(), hidden=True)
    text = ("Now the boss is 34 mm, and the gate, 19 mm thick, leads straight into it: it stays liquid "
            "for long, but not quite long enough. A chill under the boss grows from 0 to 40 mm. What does "
            "the hole do?")
    judge, slips = (partial(each, bench) for each in (judge_growing, slips_growing))
    return bench, Question(bench, text, choices, judge, slips, nowhere)


def judge_growing(bench, _, units):
    """The hole without a chill, with a small one, and with the thickest on the slider."""
    thickest, results = three_chills(bench)
    none, small, large = (result.casting_paid_m3 for result in results)
    place = "" if results[-1].sound else f", and the hole is in the {hole_in(results[-1])}"
    why = (f"Without a chill the casting pays {units.volume(none)}, with one of "
           f"{units.length(SMALL_CHILL_M)} {units.volume(small)}; with one of {units.length(thickest)} it "
           f"pays {units.volume(large)}{place}.")
    alike = max(abs(each - none) for each in (small, large)) < LITTLE * none
    if alike or all(result.sound for result in results):
        return "nothing", why
    if small < (1.0 - LITTLE) * min(none, large):
        return "turns", f"{why} {WHY_IT_TURNS}"
    return ("better" if large < none else "worse"), why


def three_chills(bench):
    """The thickest chill of the slider [m], and the results without one, with a small one and with that."""
    thickest = bench.controls["chill_thickness"].range()[2]
    return thickest, [bench.solve(chill_thickness=size) for size in (0.0, SMALL_CHILL_M, thickest)]


def slips_growing(bench, _, units):
    """What each wrong choice forgets."""
    thickest, (bare, thin, thick) = three_chills(bench)
    boss, plate = (thick.middle_time(name) for name in ("boss", "plate"))
    without, with_it = (bare.plain_time(each.account.froze_s["boss"], units) for each in (bare, thin))
    gate = bare.plain_time(bare.account.froze_s["gate"], units)
    holes = bare.casting_paid_m3, thin.casting_paid_m3
    return {
        "better": "What helps a little need not help more when there is more of it. With "
                  f"{units.length(thickest)} of chill the middle of the boss is solid after "
                  f"{thick.plain_time(boss, units)}, that of the plate after "
                  f"{thick.plain_time(plate, units)}.",
        "turns": "For that a thin chill must help and a thick one do harm. Here the thin one changes the "
                 f"hole from {units.volume(holes[0])} to {units.volume(holes[1])}.",
        "nothing": "It is true that a chill brings no metal. But the gate does, until it is solid, after "
                   f"{gate}; the boss asks until {without} without a chill, until {with_it} with a thin one.",
        "worse": f"Too much can do harm, but a little makes it easier for the gate, open until {gate}: the "
                 f"boss is solid after {with_it}, without a chill after {without}.",
    }


# ---- tasks


@task(TASK_CHILL)
def task_chill(fed, _):
    """The chill that leaves least: no other step of the slider beside it, nor the small one, leaves less."""
    if moved := moved_besides(fed, "chill_thickness"):
        return Checked(False, f"Change only the chill. You also moved: {moved}. {AGAIN}.")
    units, size, control = fed.units, fed.values["chill_thickness"], fed.controls["chill_thickness"]
    result = fed.solve()
    hole = units.volume(result.casting_paid_m3)
    if size == 0.0:
        return Checked(False, f"Without a chill {hole} is missing. Make the chill thicker.")
    left = f"A chill of {units.length(size)} leaves {hole} of hole"
    low, _, high = control.range()
    others = [min(max(size + step, low), high) for step in (-control.slider.step, control.slider.step)]
    holes = {each: fed.solve(chill_thickness=each).casting_paid_m3 for each in (*others, SMALL_CHILL_M)}
    better = min(holes, key=holes.get)
    if holes[better] < result.casting_paid_m3:
        why = f"{TOO_EARLY} Make the chill thinner" if better < size else f"{TOO_LATE} Make the chill thicker"
        return Checked(False, f"{left}, {holes_in(result)}. {why}: that leaves less.")
    return Checked(True, f"{left}. Thinner: {TOO_LATE.lower()} Thicker: {TOO_EARLY.lower()}")


def holes_in(result):
    """Which sections have a hole worth a name, the largest first."""
    holes = {}
    for place in result.account.places:
        holes[place.block] = holes.get(place.block, 0.0) + place.volume_m3
    names = sorted(holes, key=holes.get, reverse=True)
    shown = [name for name in names if holes[name] > SHOWN * sum(holes.values())]
    return " and ".join(f"in the {name}" for name in shown)


@task(TASK_GATE)
def task_gate(fed, _):
    """A gate that replaces a feeder: sound by the gate alone."""
    if moved := moved_besides(fed, "gate_thickness"):
        return Checked(False, f"By the gate alone. You also moved: {moved}. {AGAIN}.")
    result, units = fed.solve(), fed.units
    if not result.sound:
        why = why_not_by_gate(result, units)
        return Checked(False, f"{result.sentence(units)} {why} Make the gate thicker.")
    share = 100 * result.yield_share
    return Checked(True, f"{result.sentence(units)} But only {share:.0f} % of the metal in the mould is "
                         "casting: such a gate is a feeder by another name.")


def why_not_by_gate(result, units):
    """The times of gate and boss in words."""
    gate, boss = (result.account.froze_s[name] for name in ("gate", "boss"))
    early, late = (result.plain_time(each, units) for each in (gate, boss))
    if gate < boss and early != late:
        return f"The gate is solid after {early}, the boss only after {late}."
    return ("The gate is not liquid clearly longer than the boss: it is stiff with crystals before it is "
            "solid.")


@task(TASK_PAIR)
def task_pair(fed, _):
    """Two cures together: sound, and with less metal than the gate alone needs."""
    if moved := moved_besides(fed, *MAY_MOVE):
        return Checked(False, f"The metal, the mould and the pour stay as they are. You also moved: {moved}. "
                              f"{AGAIN}.")
    result, units = fed.solve(), fed.units
    if not result.sound:
        return Checked(False, f"{result.sentence(units)} {pair_hint(fed, result)}")
    size, needed = thinnest_alone(fed)
    words = (f"{units.mass(result.poured_kg)} of metal in the mould; a gate alone must be "
             f"{units.length(size)} and needs {units.mass(needed)}")
    if result.poured_kg > needed - 1e-6:
        return Checked(False, f"Sound, but with {words}. A chill or a core can help a thinner gate. "
                              f"{next_step(fed)}")
    return Checked(True, f"{result.sentence(units)} It takes {words}.")


def thinnest_alone(fed):
    """The thinnest gate that does without help [m], and the metal in the mould with it [kg]."""
    control = fed.controls["gate_thickness"]
    step, (_, _, thickest) = control.slider.step, control.range()
    sizes = [thickest - step * n for n in reversed(range(round((thickest - GATE_M) / step) + 1))]

    def alone(size):
        return fed.solve(**fed.first_values | {"gate_thickness": round(size, 9)})

    found = sizes[bisect_left(sizes, True, key=lambda size: alone(size).sound)]
    return found, alone(found).poured_kg


def pair_hint(fed, result):
    """What to try next, from where the hole is."""
    values = fed.values
    thin = ("gate_thickness",) if values["gate_thickness"] < GATE_M - 1e-6 else ()
    if back := put_back(fed, "taper", "turn", *thin):
        return f"{NO_TAPER if values['taper'] else THIN_GATE if thin else NO_TURN} {back}"
    if values["chill_thickness"] == 0.0 and values["core"] == 0.0:
        why = "Help the gate: something must make the boss freeze earlier."
    elif hole_in(result) == "plate":
        why = TOO_EARLY
    else:
        why = TOO_LATE
    return f"{why} {next_step(fed)}"


def next_step(fed):
    """The move of chill, core or gate that leaves least to mend, tried before it is named."""
    _, needed = thinnest_alone(fed)

    def missing(result):
        too_much = max(result.poured_kg / needed - 0.999, 0.0)
        hole = 0.0 if result.sound else result.casting_paid_m3 / result.account.asked_m3
        return 10.0 * too_much + hole  # a per cent of metal weighs as much as a tenth of the demand

    found = one_move(fed, HELP, missing)
    if not found:
        return f"No one slider brings it nearer from here. {AGAIN}."
    move, other = found
    sound = f"it is sound with {fed.units.mass(other.poured_kg)} in the mould"
    left = sound if other.sound else f"about {fed.units.volume(other.casting_paid_m3)} is missing"
    return f"{move[0].upper()}{move[1:]} {left}."


# ---- every cure with its price


def all_cures(bench):
    """The table of cures, and how sure the verdict is, for the first bench: (table, sure)."""
    return CureTable(bench, PART), HowSure(bench, PART)
