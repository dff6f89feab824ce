"""What lesson 2 is made of: the three contractions, by hand and in the field, and who pays for which.

By hand means from the drawing and the densities. The field adds up cell by cell and says who paid. No answer
is written here: each is worked out by a rule, or read off the computed casting.
"""

import math
from dataclasses import dataclass

from castlab.field import parts
from castlab.field.outcome import pour
from castlab.materials import alloy
from castlab.rules import contraction
from castlab.teach.bench.casting import Casting
from castlab.teach.bench.questions import Checked, Question, slip_in, task
from castlab.teach.bench.ready_made import bench_of
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.bench.touch import nowhere
from castlab.teach.panels import curve
from castlab.teach.sliders.to_design import setup_of, sliders_for
from castlab.units import per_cent

FEEDER_HEIGHT_M = 0.060
LENGTH_M, STOCK_M = 0.120, 0.002  # of the finished plate, and what is cut off each of its ends
PATTERN_CLOSE_M = 0.15e-3  # a pattern is not made better than this
LEAST_M3 = 0.02e-6  # a hole smaller than this is none
SAME = 0.02  # shares that differ by less are the same: cells have a size
SAID_ELSEWHERE = ("middle of", "feed demand", "unfed: holes")
TABLE = ("A356", "ZA-12", "tin bronze", "fine silver", "grey iron")
TASK_THIN = """Move section thickness to both ends and look at the shares of the metal, 1 and 2 together.
Which plate asks for the larger share of its metal: the thin or the thick one?"""
TASK_PATTERN = """The finished plate is to be 120 mm (4.724 inch) long, cold. At both ends 2 mm (0.079 inch)
are cut off by machining. The alloy is the one on the bench. What must the pattern measure? Type the length,
in the unit that the sliders show (mm or inch)."""
TASK_LARGER = """The boss has a hole. Somebody says: "Make the whole pattern 5 % larger, then there is metal
enough." What becomes of the hole? Say what you
expect; the check then computes the larger casting."""
TASK_NOTHING = """Find an alloy and a pouring temperature at which the metal asks for nothing. The check looks
at the bench as it stands now."""


# ---- by hand


def volumes(layout):
    """Volume of each body of the eye plate from its sizes in the drawing [m3], by name."""
    return {block.name: block.volume for block in layout.blocks}


@dataclass(frozen=True)
class ByHand:
    """Contractions of some metal [m3], below 0 where it grows; `pattern`: length of pattern over casting."""

    liquid: float
    freezing: float
    pattern: float

    @property
    def asked(self):
        """What must flow in while there is liquid [m3]."""
        return self.liquid + self.freezing


def by_hand(volume, metal, pour_temp_c):
    """The three contractions of a full mould of that volume [m3].

    >>> found = by_hand(100e-6, alloy("ZA-12"), 495)
    >>> round(1e6 * found.liquid, 1), round(1e6 * found.freezing, 1), round(100 * (found.pattern - 1), 1)
    (0.9, 4.7, 1.0)
    """
    freezing = contraction.volume_to_feed(volume, metal, metal.liquidus_c)
    both = contraction.volume_to_feed(volume, metal, pour_temp_c)
    return ByHand(both - freezing, freezing, contraction.pattern_scale(metal))


def all_metal(setup):
    """By hand, for all metal in the mould."""
    return by_hand(sum(volumes(setup.layout).values()), setup.alloy, setup.pour_temp_c)


def print_table(names=TABLE):
    """Liquid contraction per 100 K, freezing contraction and pattern allowance of some alloys, by hand."""
    print(f"{'':14}{'liquid, each 100 °C':>20}{'freezing':>12}{'pattern longer by':>20}")
    for name in names:
        metal = alloy(name)
        liquid = 100.0 * contraction.liquid_contraction(metal, metal.liquidus_c + 100.0)
        found = by_hand(1.0, metal, metal.liquidus_c)
        longer = 100.0 * (found.pattern - 1.0)
        print(f"{name:14}{liquid:>18.1f} %{100.0 * found.freezing:>10.1f} %{longer:>18.1f} %")


# ---- the eye plate, by hand and in the field


def sentence(result, units):
    """What happened while there was liquid, then what the solid does."""
    loss = 1.0 - 1.0 / all_metal(result.setup).pattern
    return (f"{result.sentence(units)} Later the solid shrinks by {100 * loss:.1f} % of its length, the "
            f"plate by {units.length(loss * LENGTH_M, 2)}: for that the pattern pays.")


def numbers(result, units):
    """The three contractions by hand, what the field asks for, and what becomes of the hole."""
    setup = result.setup
    found, drawn = all_metal(setup), volumes(setup.layout)
    whole = sum(drawn.values())
    casting = sum(drawn[block.name] for block in setup.layout.blocks if block.role == "casting")
    own = by_hand(casting, setup.alloy, setup.pour_temp_c)
    return (
        ("1 liquid contraction", of_volume(found.liquid, whole, units)),
        ("2 freezing contraction", of_volume(found.freezing, whole, units)),
        ("1 and 2 asked for", beside(found.asked, result.account.asked_m3, units)),
        ("hole in the casting", beside(max(own.asked, 0.0), result.casting_paid_m3, units)),
        ("3 solid contraction", f"pattern longer by {100 * (found.pattern - 1):.2f} %"),
        *(pair for pair in result.numbers(units) if not pair[0].startswith(SAID_ELSEWHERE)),
    )


def of_volume(part, whole, units):
    """A contraction in words, such as "1.3 cm3, 1.0 % of the metal"; a metal may grow."""
    words = f"{units.volume(abs(part))}, {100 * abs(part) / whole:.1f} % of the metal"
    return f"grows by {words}" if part < 0.0 else words


def beside(rule, field, units):
    """Rule and field side by side, with the difference, such as "rule 7.4 cm3, field 7.4 cm3, the same"."""
    if max(rule, field) <= -LEAST_M3:
        return f"nothing; it grows by {units.volume(-rule)} by the rule, {units.volume(-field)} in the field"
    by_rule = f"rule {units.volume(rule)}"
    if abs(field) < LEAST_M3:
        return f"{by_rule}, field nothing"
    far = per_cent((rule - field) / abs(field))
    difference = "the same" if far == "0" else f"rule {far} % {'more' if rule > field else 'less'}"
    return f"{by_rule}, field {units.volume(field)}, {difference}"


def cooling_line(_, result, units):
    """Volume against temperature, from the pour until cold: the three contractions one after the other."""
    setup, cold = result.setup, 20.0
    metal, poured = setup.alloy, setup.pour_temp_c
    found, shown = by_hand(1.0, metal, poured), units.temperatures.shown
    full, solid = 1.0 - found.liquid, 1.0 - found.asked
    end = solid * found.pattern**-3
    temps, shares = zip(*metal.solid_fraction, strict=True)
    parts = {"liquid": [(poured, 1.0), (metal.liquidus_c, full)],
             "freezing": [(temp, full + share * (solid - full))
                          for temp, share in zip(temps, shares, strict=True)],
             "solid": [(metal.solidus_c, solid), (cold, end)]}
    changes = {"liquid": full - 1.0, "freezing": solid - full, "solid": end / solid - 1.0}
    lines = tuple(curve.Line(tuple((shown(temp), 100.0 * volume) for temp, volume in points),
                             f"{number} {name} {100.0 * changes[name]:+.1f} %", stroke)
                  for number, ((name, points), stroke)
                  in enumerate(zip(parts.items(), curve.STROKES, strict=False), start=1))
    low, high = (100.0 * pick(volume for points in parts.values() for _, volume in points)
                 for pick in (min, max))
    room = 0.12 * (high - low)
    said = ", ".join(f"{name} {100.0 * change:+.1f} %" for name, change in changes.items())
    return curve.drawing(curve.Curve(
        f"Volume of the metal as it cools, from the pour at {units.temperature(poured)} to "
        f"{units.temperature(cold)}: {said}. For the first two liquid must flow in, or a hole stays; for the "
        "third the pattern is made larger.",
        curve.Axis(f"temperature, falling [{units.temperatures.unit}]", shown(poured), shown(cold)),
        curve.Axis("volume, % of the full mould", low - room, high + room), (), lines))


@same_in_a_kernel
def begin():
    """The eye plate, and the question which contraction makes its hole: (bench, question)."""
    choices = {
        "liquid": "that of the liquid alone, because it was poured hot",
        "freezing": "that of freezing alone, because it is the largest",
        "both": "those of the liquid and of freezing",
        "all": "all three: liquid, freezing and solid",
        "solid": "that of the solid alone, because it goes on for hundreds of degrees",
    }
    sliders = sliders_for("eye plate", "thickness", "boss", "feeder_width")
    bench = bench_of(sliders, eye_plate_setup, sentence_of=sentence, numbers_of=numbers,
                     drawing_of=cooling_line, hidden=True)
    words = "Metal is missing in this casting. Which contraction asked for it?"
    return bench, Question(bench, words, choices, judge_contractions, slips_contractions, nowhere)


def eye_plate_setup(values, scale=1.0):
    """The eye plate that the sliders describe; `scale` for one that is larger all over."""
    layout = parts.eye_plate(
        thickness=scale * values["thickness"], length=scale * LENGTH_M, width=scale * 0.040,
        boss=scale * values["boss"], boss_depth=scale * 0.040, gate_thickness=scale * 0.004,
        feeder_width=scale * values["feeder_width"], feeder_height=scale * FEEDER_HEIGHT_M)
    return setup_of(layout, values)


def judge_contractions(result, units):
    """The contractions whose sum is nearest to what the field asks for."""
    found = all_metal(result.setup)
    solid = sum(volumes(result.setup.layout).values()) * (1.0 - found.pattern**-3)
    sums = {"liquid": found.liquid, "freezing": found.freezing, "both": found.asked,
            "all": found.asked + solid, "solid": solid}
    asked = result.account.asked_m3
    key = min(sums, key=lambda name: abs(sums[name] - asked))
    why = (f"The field asks for {units.volume(asked)}. By hand the liquid asks for "
           f"{units.volume(found.liquid)}, freezing for {units.volume(found.freezing)}; the solid loses "
           f"{units.volume(solid)}, but when all is solid nothing can flow any more, so it makes no hole: "
           "the whole casting becomes smaller.")
    return key, why


def slips_contractions(result, units):
    """What each wrong choice forgets."""
    found = all_metal(result.setup)
    grows = found.freezing < 0.0
    liquid, freezing = units.volume(found.liquid), units.volume(abs(found.freezing))
    begins = units.temperature(result.setup.alloy.solidus_c)
    return {
        "liquid": "The heat of the pour is what you can choose, so one thinks of it first. But it explains "
                  f"only {liquid}; freezing {'gives back' if grows else 'asks for another'} {freezing}.",
        "freezing": f"This metal grows by {freezing} as it freezes; it is the liquid that shrinks." if grows
                    else f"Freezing asks for {freezing}. But before the first crystal the liquid had already "
                         f"lost another {liquid}.",
        "both": f"Together they make {units.volume(found.asked)} by hand, and another answer comes nearer to "
                "the field.",
        "all": "All three happen, but the third has another payer: a pattern that is "
               f"{100 * (found.pattern - 1):.1f} % longer. A hole takes only what had to flow in.",
        "solid": f"It does go on for long, from {begins} down. But a hole opens only while there is liquid, "
                 f"here until {units.time(result.run.last_time_s)} after the pour.",
    }


# ---- tasks


@task(TASK_THIN, choices={
    "thin": "the thin one asks for more",
    "same": "both ask for the same",
    "thick": "the thick one asks for more",
})
def task_thin(bench, answer):
    """Do thin parts shrink more? Both ends of the thickness slider, computed."""
    low, _, high = bench.controls["thickness"].range()
    thin, thick = (bench.solve(thickness=size) for size in (low, high))
    share = [each.account.asked_m3 / each.metal_m3 for each in (thin, thick)]
    same = math.isclose(*share, rel_tol=SAME, abs_tol=1e-3)
    right = "same" if same else "thin" if share[0] > share[1] else "thick"
    units = bench.units
    why = (f"With {units.length(low)} the metal asks for {100 * share[0]:.1f} % of its volume, with "
           f"{units.length(high)} for {100 * share[1]:.1f} %. A thin part shrinks no more than a thick one. "
           "It only freezes sooner, is filled up by its neighbours, and leaves the hole to them.")
    return Checked(answer == right, why)


@task(TASK_PATTERN, number="length of the pattern")
def task_pattern(bench, answer):
    """The length of a pattern, with contraction and machining."""
    metal, units = bench.solve().setup.alloy, bench.units
    scale, rough = contraction.pattern_scale(metal), LENGTH_M + 2.0 * STOCK_M
    right, given = contraction.pattern_size(LENGTH_M, scale, machining=STOCK_M), units.lengths.si(answer)
    if abs(given - right) <= PATTERN_CLOSE_M:
        return Checked(True, f"{units.length(rough, 4)} times {scale:.4f} is {units.length(right, 4)}. A "
                             "hard mould, or sand inside the casting, holds it back; where you have measured "
                             "a casting of your own, use that.")
    slips = (
        (LENGTH_M * scale, "You left out the machining: what is cut off must be cast first."),
        (rough, "You left out the contraction: the casting comes out smaller than the pattern."),
        (rough / scale, "The wrong way: the pattern must be longer than the casting, not shorter."),
        ((LENGTH_M + STOCK_M) * scale, "Both ends are machined, not one."),
        (rough * (1.0 + 3.0 * (scale - 1.0)), "That is the contraction in volume. A length takes a third."),
        (rough * (1.0 + metal.freezing_contraction), "That is the freezing contraction. It makes the hole, "
         "and a feeder pays for it. The pattern pays for the solid."),
        (LENGTH_M, "That is the finished plate. Add what is cut off, then the contraction."),
    )
    return Checked(False, slip_in(given, slips, within=PATTERN_CLOSE_M) or
                   "First add what is cut off at both ends, then make it longer by the solid contraction.")


@task(TASK_LARGER, choices={
    "gone": "it goes away, the larger pattern pays for it",
    "smaller": "it becomes smaller",
    "larger": "it grows with the casting",
})
def task_larger(bench, answer):
    """Does the pattern-maker's allowance pay for the hole? The same casting, computed 5 % larger all over."""
    units, now = bench.units, bench.solve()
    if now.sound:
        return Checked(False, "The casting on the bench has no hole. Press “Start again” first.")
    larger = Casting(pour(eye_plate_setup(bench.values, scale=1.05)))
    before, after = now.casting_paid_m3, larger.casting_paid_m3
    right = "gone" if larger.sound else "larger" if after > before else "smaller"
    why = (f"As it is, the hole has {units.volume(before)}; 5 % larger all over, {units.volume(after)}. A "
           "larger mould takes more metal, and more metal loses more. The pattern pays for the contraction "
           "of the solid; for the hole only liquid that flows in can pay.")
    return Checked(answer == right, why)


@task(TASK_NOTHING)
def task_nothing(bench, _):
    """A metal that asks for nothing."""
    result, units = bench.solve(), bench.units
    asked, found = result.account.asked_m3, all_metal(result.setup)
    if asked <= 0.0:
        return Checked(True, f"Freezing gives back {units.volume(-found.freezing)}, more than the liquid "
                       f"loses, {units.volume(found.liquid)}. Real moulds give way to metal that grows, and "
                       "a hole may come all the same: the walls of this model are stiff.")
    if found.freezing < 0.0:
        return Checked(False, "This metal grows as it freezes, but the liquid first loses "
                       f"{units.volume(found.liquid)}, so {units.volume(asked)} are missing. Pour colder.")
    return Checked(False, f"{result.setup.alloy.name} asks for {units.volume(asked)}, and for "
                   f"{units.volume(found.freezing)} of it however cold it is poured, because it shrinks as "
                   "it freezes. Look for a metal that grows: the table above shows which.")
