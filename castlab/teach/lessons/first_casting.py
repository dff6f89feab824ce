"""What lesson 1 is made of: its benches, its questions, its tasks.

No answer is written here: each is read off the computed casting. The hand rule for the modulus is used to say
which slip of thought leads to a wrong number.
"""

from castlab.rules import modulus
from castlab.teach.bench.drawing import height_of
from castlab.teach.bench.hints import another_casting, better_feeder, lighter_feeder
from castlab.teach.bench.misconceptions import full_when_poured, heavy_end_is_spared, share_asked
from castlab.teach.bench.questions import Checked, Question, is_near, slip_in, task
from castlab.teach.bench.ready_made import bench_of, sheave_bench
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.sliders.to_design import FEEDER, design_of, sliders_for

NEAR_GATE = 0.15  # of the plate's length; a hole so near to the gate counts as beside it
CLOSE_ENOUGH = 0.08  # a ratio read off the bench may differ by so much: reading and rounding
SLIP_CLOSE = 0.08  # a wrong number so near to what a slip of thought gives is put down to that slip
WHO_TAKES = ("All of the metal shrinks alike. What froze early took metal from what was still liquid; what "
             "froze last had nobody to take from.")
YIELD_WANTED = 0.75  # of all metal in the mould; enough that a feeder twice too large does not pass
TASK_HOTTER = """Compare pouring at the lowest temperature of the slider with pouring at the highest. How
much volume do cooling and freezing ask for?"""
TASK_TIMES = """How many times as long as the middle of the plate does the middle of the boss take to freeze?
Work it out on paper with the equation, then read both times off the bench and type their ratio."""
READ_BOTH = ("Read “middle of the boss frozen” and “middle of the plate frozen” off the bench, and divide "
             "the first by the second.")
TURNED_ROUND = "Turned round: the boss takes longer than the plate."
TASK_FEEDER = """Make the eye plate sound with a feeder, and keep at least three quarters of all metal in the
mould as casting: the last number under the picture. The check looks at the bench as it stands now."""


# ---- benches and their questions


@same_in_a_kernel
def begin():
    """The eye plate without a feeder, and the question where it will shrink: (bench, question)."""
    choices = {
        "plate": "in the thin plate, because thin metal shrinks more",
        "gate": "beside the gate, because metal comes in there last",
        "boss": "in the boss, because it freezes last",
        "none": "nowhere: the casting is kept full to the end",
    }
    sliders = sliders_for("eye plate", "thickness", "boss", *FEEDER)
    bench = bench_of(sliders, lambda values: design_of("eye plate", values).setup(), numbers_of=numbers,
                     hidden=True)
    words = "Where will the eye plate have a hole? Touch the place, or choose below."
    return bench, Question(bench, words, choices, judge_eye_plate, slips_eye_plate, eye_plate_places)


def eye_plate_places(setup):
    """The choices that are places, each with its name and where it lies [m]."""
    plate, boss = (setup.layout.block(name) for name in ("plate", "boss"))
    beside = plate.low[0] + 0.5 * NEAR_GATE * (plate.high[0] - plate.low[0])
    return {"plate": ("plate", [plate.middle[:2]]), "gate": ("gate", [(beside, plate.middle[1])]),
            "boss": ("boss", [boss.middle[:2]])}


def numbers(result, units):
    """As for every casting, then its share of all metal."""
    return (*result.numbers(units), ("yield, casting of all metal", f"{100 * result.yield_share:.0f} %"))


def judge_eye_plate(result, units):
    """Where the largest hole is, and when plate and boss froze."""
    plate, boss = (result.plain_time(result.middle_time(name), units) for name in ("plate", "boss"))
    why = (f"{result.sentence(units)} The middle of the plate was solid after {plate}, the middle of the "
           f"boss after {boss}. Nothing passes a gate or a plate that is solid.{who_takes(result)}")
    return hole_in(result, NEAR_GATE), why


def slips_eye_plate(result, units):
    """What each wrong choice forgets."""
    gate, closed = result.setup.layout.block("gate"), result.account.froze_s["gate"]
    at_its_end = "It is in the plate, but at its end. " if hole_in(result, NEAR_GATE) == "gate" else ""
    return {
        "plate": f"{at_its_end}Thin metal cools quickly, but it does not shrink more: thin parts and thick "
                 f"ones ask for the same share, {share_asked(result)}.",
        "gate": "What comes in last is the hottest metal, but it cools quickly where it is thin: the gate, "
                f"{units.length(height_of(gate))} thick, was solid after {result.plain_time(closed, units)}.",
        "boss": heavy_end_is_spared(result, units),
        "none": full_when_poured(result, units),
    }


@same_in_a_kernel
def begin_sheave():
    """The sheave without a feeder, and the question where it will shrink: (bench, question)."""
    choices = {
        "web": "in the web, because it is the thinnest part",
        "rim": "in the rim, because it is farthest from the middle",
        "hub": "in the hub, because it freezes last",
        "none": "nowhere: the casting is kept full to the end",
    }
    bench = sheave_bench(hidden=True)
    words = "Where will the sheave have a hole? Touch the place, or choose below."
    return bench, Question(bench, words, choices, judge_sheave, slips_sheave, sheave_places)


def sheave_places(setup):
    """The choices that are places; web and rim are cut on both sides of the hub."""
    hub, web, rim = (setup.layout.block(name) for name in ("hub", "web", "rim"))
    left = {"web": 0.5 * (web.form.flat.radius + hub.form.flat.radius), "rim": -rim.middle[0]}
    both = {name: (name, [(-away, 0.0), (away, 0.0)]) for name, away in left.items()}
    return both | {"hub": ("hub", [hub.middle[:2]])}


def judge_sheave(result, units):
    """Where the largest hole is, and when web, rim and hub froze."""
    web, rim, hub = (result.plain_time(result.middle_time(name), units)
                     for name in ("web", "rim", "hub"))
    why = (f"{result.sentence(units)} The middle of the web was solid after {web}, of the rim after {rim} "
           f"and of the hub after {hub}.{who_takes(result)}")
    return hole_in(result), why


def slips_sheave(result, units):
    """What each wrong choice forgets."""
    rim, hub = (result.middle_time(name) for name in ("rim", "hub"))
    sooner = f", {result.plain_time(hub - rim, units)} before that of the hub" if rim < hub else ""
    return {
        "web": "How thin a part is decides when it freezes, not how much it shrinks: all parts ask for the "
               f"same share, {share_asked(result)}.",
        "rim": "How far out a part lies does not count. When it freezes does, and who can give to it then: "
               f"the middle of the rim was solid after {result.plain_time(rim, units)}{sooner}.",
        "hub": heavy_end_is_spared(result, units),
        "none": full_when_poured(result, units),
    }


def who_takes(result):
    """Why the hole is at the end of the line; nothing where there is none."""
    return "" if result.sound else f" {WHO_TAKES}"


def hole_in(result, near_gate=0.0):
    """The name of the block with the largest hole, or "none".

    A hole in the plate within the share `near_gate` of its length from the gate counts as beside the gate.
    """
    hole = result.diagnosis.hole
    if hole is None:
        return "none"
    block = result.setup.layout.block(hole.block)
    reach = block.low[0] + near_gate * (block.high[0] - block.low[0])
    return "gate" if hole.block == "plate" and hole.middle[0] < reach else hole.block


# ---- tasks


@task(TASK_HOTTER, choices={
    "more": "hotter metal asks for more",
    "same": "it makes no difference",
    "less": "hotter metal asks for less",
})
def task_hotter(bench, answer):
    """Does hotter metal ask for more? Both ends of the pouring slider, computed."""
    low, _, high = bench.controls["pour_temp_c"].range()
    cold, hot = (bench.solve(pour_temp_c=temp).account.asked_m3 for temp in (low, high))
    right = "same" if abs(hot - cold) < 0.02 * cold else "more" if hot > cold else "less"
    units = bench.units
    why = (f"Poured at {units.temperature(low)} the metal asks for {units.volume(cold)}, at "
           f"{units.temperature(high)} for {units.volume(hot)}: liquid metal shrinks too, while it cools to "
           "where it begins to freeze. Hotter is not always better.")
    return Checked(answer == right, why)


@task(TASK_TIMES, number="times as long")
def task_times(bench, answer):
    """The equation against the bench: how many times as long the boss takes as the plate."""
    result = bench.solve()
    layout, computed = result.setup.layout, result.middle_time("boss") / result.middle_time("plate")
    ratio, whole_face = modulus_ratio(layout), modulus_ratio(layout, whole_face=True)
    if is_near(answer, computed, CLOSE_ENOUGH):
        return Checked(True, f"The bench says {computed:.1f} times. The equation alone says {ratio**2:.1f} "
                             "times: it takes each body as if it were alone, but here heat flows from the "
                             "boss into the plate.")
    sizes = height_of(layout.block("boss")) / height_of(layout.block("plate"))
    slips = (
        (ratio, "That is the ratio of the moduli. The time goes with the square of the modulus."),
        (ratio**2, "That is what the equation says. Now read both times off the bench and type the ratio."),
        (whole_face**2, "You left out a whole face of the boss. Leave out only where the plate joins it; the "
         "rest of that face cools. Then read both times off the bench."),
        (sizes, "That is the ratio of the thicknesses. Count volume over cooling surface, then square it."),
        (sizes**2, "That would hold for two wide plates. The boss cools at its sides too: use V / A."),
        (1.0 / ratio**2, TURNED_ROUND),
        (1.0 / computed, TURNED_ROUND),
    )
    return Checked(False, slip_in(answer, slips, SLIP_CLOSE) or READ_BOTH)

def modulus_ratio(layout, whole_face=False):
    """Modulus of the boss over that of the plate by hand; the joint does not cool, or that whole face."""
    plate, boss = layout.block("plate"), layout.block("boss")
    side = height_of(boss)
    joined = (side if whole_face else height_of(plate)) * min(plate.depth, boss.depth)
    of_boss = modulus.box(side, boss.depth, side, covered_area=joined)
    return of_boss / modulus.bar(plate.depth, height_of(plate))


@task(TASK_FEEDER)
def task_feeder(bench, _):
    """A feeder that works and is not too large: sound, and enough of the metal in the casting."""
    result, units = bench.solve(), bench.units
    other = another_casting(bench, *FEEDER, "pour_temp_c")
    if not result.sound or not result.has_feeder:
        return Checked(False, f"{result.sentence(units)} {other or better_feeder(bench, result)}")
    return check_yield(bench, result, YIELD_WANTED, other)


def check_yield(bench, result, wanted, other=""):
    """Whether enough of all metal in a sound casting's mould, the share `wanted`, is casting.

    `other`: what `another_casting` says of the bench.
    """
    share = f"{100 * result.yield_share:.0f} % of the metal in the mould is casting"
    if round(result.yield_share, 2) < wanted:
        return Checked(False, f"Sound, but only {share}. {other or lighter_feeder(bench)}")
    return Checked(True, f"{result.sentence(bench.units)} {share}.")
