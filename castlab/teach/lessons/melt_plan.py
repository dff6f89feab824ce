"""What lesson 8 is made of: the part, the melt bench, its question and tasks, and the example measurements.

The readings and the cooling curve are made up by us for practice; nobody measured them. Answers are computed.
"""

import functools
import io

import ipywidgets as widgets
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from castlab.errors import InputError
from castlab.materials import alloy
from castlab.rules import charge, furnace, melting
from castlab.rules.cooling_curve import find_arrests
from castlab.rules.cooling_log import read_log
from castlab.rules.lining import TWO_BUILDERS
from castlab.rules.sensor import Reading, fit_sensor, tolerance
from castlab.teach.bench.questions import Checked, Question, is_near, slip_in, task
from castlab.teach.bench.ready_made import eye_plate_bench
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.melt.lining import two_builders, what_they_say
from castlab.teach.melt.melt_bench import melt_bench
from castlab.teach.melt.pour_sheet_page import PourSheet
from castlab.units import INCH_POUND, METRIC, POUND_KG, celsius, significant

FEEDER = {"feeder_width": 0.036, "feeder_height": 0.020}  # keeps the eye plate sound
PART_HIDDEN = "The plan comes first. When you have said what you expect, this casting is computed as well."
QUESTION = """The display has just reached the set point, about 40 K (70 °F) above where this metal is all
liquid. What is the metal in the pot like at that moment?"""
CLOSE_ENOUGH = 0.05  # a mass worked out by hand may differ by so much: densities and rounding
POT_KG = 3.0
TASK_POT = """Somebody offers you a small pot that is sold as a “3 kg” pot. How many kilograms of ZA-12 does
it take, with room below the brim? Use the equation of this lesson; liquid ZA-12 has about 5500 kg/m³. Then
look at the bench."""
OLD_AGED, OLD_ERROR = 0.10, 30.0
TASK_OLD = """The furnace is old: set “elements” to 10 % above new, and let the display read 30 K (54 °F)
too high. Now change pot, set point, hold and circuit until the plan can be poured: the metal that enters the
mould must be within 15 K (27 °F) of what is wanted."""
READINGS = (Reading("tin", 247.0), Reading("zinc", 447.0), Reading("aluminium", 702.0))
WANTED_C = 480.0
TASK_SENSOR = """A sensor read 247 °C (477 °F) while pure tin froze, 447 °C (837 °F) while zinc froze and
702 °C (1296 °F) while aluminium froze. Their true freezing points are 232, 419.5 and 660.3 °C (449, 787 and
1221 °F). What must be set for a true 480 °C (896 °F)? Answer in the unit of the bench."""
SENSOR_CLOSE_K = 4.0
SUSPECTS = ("Zn-4Al", "pure zinc", "ZA-12", "ZA-27")
TASK_CURVE = """A bar has lost its label; the papers of the delivery say that it is one of these four. It was
melted in a small cup, and its temperature logged while it cooled; the sensor had been checked. Which one?"""
LIGHT, HEAVY = TWO_BUILDERS
LINING_CLOSE = 0.08  # rounding of the heat by hand
TASK_LINING = """A builder's furnace has 4.4 kW and a lining of firebrick. From cold it took 2 hours to melt
2.27 kg (5 lb) of aluminium and bring it to 720 °C (1328 °F), for which a kilogram takes 1.14 MJ. How many per
cent of the electricity were in the metal at the end? (1 W is 1 J/s.)"""
LOG_ALLOY, LOG_NUMBER, LOG_NOISE_K, LOG_STEP_S = "ZA-12", 8, 1.0, 5.0
LOG_LOSS = 0.105  # W/kg/K from the cup to the room: a little less than 0.1 K/s above the liquidus


# ---- benches and the question


@same_in_a_kernel
def begin():
    """The part with its feeder, the melt bench for it, and the question: (part, bench, question)."""
    part = eye_plate_bench(**FEEDER)
    bench = melt_bench(part)
    choices = {
        "there": "as hot as the display says, ready to pour",
        "liquid": "all liquid, but colder than the display says",
        "melting": "still melting: part of it is solid",
        "solid": "still all solid",
    }
    question = Question(bench, QUESTION, choices, judge_lag, slips_lag)
    part.hide(PART_HIDDEN)
    bench.when_revealed(part.reveal)
    return part, bench, question


def judge_lag(melt, units):
    """What the metal is like when the display reaches the set point, read off the computed run."""
    if melt.run is None:
        raise InputError("set on the display", celsius(melt.setup.set_point_c),
                         "this furnace shows {} at most", celsius(melt.top_shown_c))
    at = melt.run.display_arrives
    melted = f"{100 * melt.melted_share(at):.0f} % of the heat of melting is in"
    shown, true = (units.temperature(each) for each in (melt.setup.set_point_c, melt.metal_c(at)))
    why = (f"After {units.time(at)} the display shows {shown}; the metal is at {true}, and {melted}. The "
           "sensor sits by the elements. The metal gets its heat from the wall, and while it melts it takes "
           "much heat and hardly warms.")
    return like_the_display(melt), why


def like_the_display(melt):
    """What the metal is like then: "solid", "melting", "liquid", or "there", as hot as the display says."""
    at = melt.run.display_arrives
    stage = melt.stage(at)
    if stage in ("solid", "melting"):
        return stage
    behind = melt.setup.set_point_c - melt.metal_c(at)  # a display may have an error as well
    return "liquid" if behind > furnace.ARRIVED_K else "there"


def slips_lag(melt, units):
    """What each wrong choice forgets."""
    at, stage = melt.run.display_arrives, like_the_display(melt)
    behind = units.temperature_difference(max(melt.setup.set_point_c - melt.metal_c(at), 0.0))
    to_come = significant(100.0 * (1.0 - melt.melted_share(at)))
    begins = units.temperature(melt.alloy.solidus_c)
    begun, done = (each and units.time(each) for each in (melt.melting_from, melt.all_liquid))
    return {
        "there": "A display shows how hot it is where its sensor sits, beside the elements. The metal was "
                 f"{behind} colder.",
        "liquid": "On the way up the metal is behind, but here it had caught up." if stage == "there" else
                  f"That comes next: first all of it must melt, and {to_come} % of the heat for that was "
                  "still to come.",
        "melting": f"It does melt on the way, but only from {begins} on: it was not yet so hot."
                   if stage == "solid" else f"It was, but not for so long: all was liquid after {done}.",
        "solid": "Metal lags behind the display, but it does not wait for it: it began to melt after "
                 f"{begun}.",
    }


# ---- tasks


@task(TASK_POT, number="kilograms of ZA-12")
def task_pot(bench, answer):
    """What the rated mass of a pot means for another metal."""
    metal = alloy("ZA-12")
    volume = charge.rated_volume(POT_KG)
    right = charge.crucible_holds(volume, metal, 470.0)
    if is_near(answer, right, CLOSE_ENOUGH):
        brim = bench.units.volume(volume)
        return Checked(True, f"The pot has {brim} to the brim and takes {right:.2f} kg of ZA-12, not 3 kg: "
                             "its rating seems to mean gold. Measure your own pot, cold, with water, and dry "
                             "it well.")
    slips = (
        (POT_KG, "3 kg of which metal? The rating seems to mean an alloy of gold, 15 500 kg/m³."),
        (right / charge.SAFE_FILL, "That fills it to the brim. It is lifted and tilted: leave a fifth free."),
        (POT_KG * charge.SAFE_FILL, "That is four fifths of the rating, but still of the other metal."),
        (1e3 * right, "That is in grams."),
        (right / POUND_KG, "That is in pounds; give kilograms."),
    )
    return Checked(False, slip_in(answer, slips, CLOSE_ENOUGH) or
                   "Volume first: rated mass over 15 500 kg/m³. Then times the density of ZA-12, times 0.8.")


@task(TASK_OLD)
def task_old(bench, _):
    """A plan that can be poured from an old furnace with a wrong display."""
    melt, units = bench.solve(), bench.units
    if abs(melt.setup.aged - 1.0 - OLD_AGED) > 1e-6 or melt.setup.sensor_error != OLD_ERROR:
        return Checked(False, "First make it old: elements 10 % above new, display "
                              f"{units.temperature_difference(OLD_ERROR)} too high.")
    return Checked(melt.can_be_poured, melt.sentence(units))


@task(TASK_SENSOR, number="set, °C or °F as on the bench")
def task_sensor(bench, answer):
    """A set point from readings at freezing points: the straight line through the errors."""
    fit, units = fit_sensor(READINGS), bench.units
    right, low, _ = fit.set_point(WANTED_C)
    answer = units.temperatures.si(answer)
    if abs(answer - right) <= SENSOR_CLOSE_K:
        differ = units.temperature_difference
        errors = ", ".join(f"{each.error * units.differences.factor:.0f}" for each in READINGS)
        return Checked(True, f"The errors are {errors} {units.differences.unit}: they grow with temperature. "
                             f"On the line it is {differ(fit.error(WANTED_C))} at "
                             f"{units.temperature(WANTED_C)}; so set {units.temperature(right)}, and the "
                             f"truth lies within {differ(right - low)} of that, 19 times in 20. A new sensor "
                             f"may be off by {differ(tolerance(WANTED_C))} there: replace this one.")
    slips = (
        (2.0 * WANTED_C - right, "The other way: the display reads too high, so it must be set higher."),
        (WANTED_C, "That would be right for a display without an error."),
    )
    return Checked(False, slip_in(answer, slips, within=SENSOR_CLOSE_K) or
                   "Take reading less truth for each metal, draw them over temperature, and read the line at "
                   f"{units.temperature(WANTED_C)}. Add that to what you want.")


def range_of(name, units):
    """In words, where a metal begins and ends to freeze."""
    metal = alloy(name)
    if metal.is_pure:
        return f"freezes at {units.temperature(metal.liquidus_c)}"
    begins = units.temperatures.shown(metal.liquidus_c)
    return f"freezes from {begins:.0f} to {units.temperature(metal.solidus_c)}"


@task(TASK_CURVE, choices={
    name: f"{name}: {range_of(name, METRIC)} ({range_of(name, INCH_POUND).split(' ', 1)[1]})"
    for name in SUSPECTS
})
def task_curve(bench, answer):
    """Which metal froze there? The one whose liquidus is nearest to the one found."""
    found, units = example_arrests(), bench.units
    nearest = min(SUSPECTS, key=lambda name: abs(alloy(name).liquidus_c - found.liquidus.temp_c))
    begins, ends = (units.temperature(each.temp_c) for each in (found.liquidus, found.last))
    seen = (f"Freezing begins at {begins} and ends in a standstill at {ends}; {answer} "
            f"{range_of(answer, units)}.")
    return Checked(answer == nearest, seen)


@task(TASK_LINING, number="per cent")
def task_lining(bench, answer):
    """Where the heat of a melt from cold goes, by a balance."""
    right = 100.0 * HEAVY.share_in_metal
    if is_near(answer, right, LINING_CLOSE):
        return Checked(True, f"{HEAVY.metal_heat / 1e6:.1f} of {HEAVY.power * HEAVY.time / 1e6:.1f} MJ. The "
                             "rest is in the lining, and lost through it; with light blocks "
                             f"{100.0 * LIGHT.share_in_metal:.0f} % were in the metal. "
                             f"{what_they_say()} Heavy brick pays only for whoever melts all day.")
    slips = (
        (100.0 - right, "That is what the lining and the room got."),
        (100.0 / HEAVY.mass * HEAVY.share_in_metal, "That is one kilogram; there were 2.27."),
        (60.0 * right, "The 2 hours are 7200 seconds, not 120."),
        (right / 100.0, "That is the share; times 100."),
    )
    return Checked(False, slip_in(answer, slips, LINING_CLOSE) or
                   "Electricity first: power times time, in joules. Then what the metal took, over that.")


def under_the_builders(task):
    """Two builders' melts side by side, and the task about them."""
    return widgets.VBox([two_builders(), task.widget])


# ---- the example curve


@functools.cache
def example_log():
    """A made-up cooling curve as CSV text: a cup of metal that loses heat to the room.

    dh/dt = - loss (T - T_room), T from the heat content; noise of 1 K; every 5 s.
    """
    temps, heats = melting.heat_rows(alloy(LOG_ALLOY), 520.0)
    rows = furnace.HeatRows(temps, heats)
    noise = np.random.default_rng(LOG_NUMBER)
    lines = ["# made up for practice, not measured", "time_s,temp_c"]
    time, heat = 0.0, rows.liquid_heat(500.0)
    while (temp := rows.temp_c(heat)) > 300.0:
        lines.append(f"{time:.0f},{temp + noise.normal(0.0, LOG_NOISE_K):.1f}")
        for _ in range(int(LOG_STEP_S)):
            heat -= LOG_LOSS * (rows.temp_c(heat) - melting.ROOM_C)
        time += LOG_STEP_S
    return "\n".join(lines)


@functools.cache
def example_arrests():
    """What the example curve shows."""
    log = read_log(example_log())
    return find_arrests(log.time, log.temp_c)


def curve_words(text=None, units=METRIC):
    """What a cooling curve shows, in words; `text` is a CSV file's contents, or the example if left out."""
    if text is None:
        return example_arrests().words(units)
    log = read_log(text)
    found = find_arrests(log.time, log.temp_c).words(units)
    return " ".join((*(f"Note: {note}." for note in log.notes), found))


def under_the_curve(task):
    """The example curve, and the task to read it, in the units of the task's bench."""
    picture = widgets.Image(format="png", layout={"width": "700px", "max_width": "100%", "height": "auto"})

    def speak():
        picture.value = curve_png(task.bench.units)

    speak()
    task.bench.when_moved(speak)
    return widgets.VBox([picture, task.widget])


@functools.cache
def curve_png(units=METRIC):
    """The example curve as the bytes of a PNG."""
    log = read_log(example_log())
    figure = Figure(figsize=(7.0, 3.2), dpi=100, layout="constrained")
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_subplot()
    axes.plot(log.time / 60.0, units.temperatures.shown(log.temp_c), ".", ms=2.5, color="#0b3c6f")
    axes.set_xlabel("minutes", size=13)
    unit = units.temperatures.unit
    axes.set_title(f"temperature, {unit} (made up for practice, not measured)", size=13, loc="left")
    axes.tick_params(labelsize=12)
    axes.grid(alpha=0.4)
    file = io.BytesIO()
    canvas.print_png(file)
    return file.getvalue()


def pour_sheet(part, bench, folder="."):
    """The one-page pour sheet for these two benches; *Save it* writes it into the folder."""
    return PourSheet(part, bench, folder)
