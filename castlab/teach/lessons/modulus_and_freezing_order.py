"""What lesson 3 is made of: sections of a sheave and plain shapes, each by hand rule and in the field.

The hand rule gets the modulus of a section from the drawing; the field knows nothing of moduli. No answer is
written here: each is worked out from the drawing, or read off the computed casting.
"""

import math
from dataclasses import replace
from functools import partial

import numpy as np

from castlab.field import parts
from castlab.materials import flags
from castlab.rules import junction, modulus
from castlab.teach.bench.casting import casting_scene
from castlab.teach.bench.hints import AGAIN, another_casting, one_move
from castlab.teach.bench.questions import Checked, Question, is_near, slip_in, task
from castlab.teach.bench.ready_made import bench_of
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.bench.touch import nowhere
from castlab.teach.panels import curve
from castlab.teach.picture.scene import Label
from castlab.teach.sliders.part_sliders import PART, metal_sliders
from castlab.teach.sliders.slider import Slider
from castlab.teach.sliders.to_design import full_at_once, setup_of
from castlab.teach.trust import row_of_shapes
from castlab.teach.trust.rule_beside_field import beside_words, farthest_off, hand_time
from castlab.units import in_time_unit

SECTIONS = {"rim": "bar", "web": "plate", "hub": "ball"}  # each with the shape that the rule takes it for
HEIGHT_M = 0.036  # of rim and hub
LARGEST_M = 0.012  # modulus at the end of the curve's axis
TOGETHER = 0.05  # times that differ by less count as the same
FAR_APART = 0.15  # as `apart` counts: a move that leaves them farther apart leads nowhere
SIZES = {"thickness": ("web", "thicker", "thinner"), "rim": ("rim", "thicker", "thinner"),
         "hub": ("hub", "larger", "smaller")}
CLOSE_ENOUGH = 0.03  # of a number worked out by hand, and of a slip that explains another
TASK_HUB = """Work out the modulus of the hub from its sizes: V / A, without the ring by which it is joined to
the web. Type the length, in the unit that the sliders show (mm or inch)."""
HUB_HINT = """Volume: pi/4 D² h. Surface: two ends of pi/4 D² each and the side pi D h, less the ring pi D w
where the web, of thickness w, is joined."""
TASK_JUNCTION = """Rim and web meet like the two bars of the letter T. The largest circle that fits into this
place has the diameter D = ((w/2)² + r²) / r. Here w is the thickness of the web (section thickness on the
bench) and r that of the rim; the rim's own circle has the diameter r. Work out D, then divide the area of the
circle in the junction by the area of the rim's own circle."""
TASK_EVEN = """Move the sliders until rim and web freeze at the same time, within 5 %. The check looks at the
bench as it stands now."""


# ---- the sheave, by hand


def size_of(block):
    """Outer and inner diameter and height of a ring of the sheave [m]."""
    flat = block.form.flat
    return 2.0 * flat.radius, 2.0 * flat.inner, block.high[1] - block.low[1]


def moduli(layout):
    """Modulus of rim, web and hub [m], the faces where they are joined left out.

    >>> {name: round(1000 * size, 1) for name, size in moduli(sheave_layout(0.010, 0.010, 0.040)).items()}
    {'rim': 4.3, 'web': 5.0, 'hub': 7.8}
    """
    _, _, thickness = size_of(layout.block("web"))
    outer, inner, height = size_of(layout.block("rim"))
    hub, _, hub_height = size_of(layout.block("hub"))
    return {
        "rim": modulus.ring(outer, inner, height, covered_area=math.pi * inner * thickness),
        "web": modulus.plate(thickness),
        "hub": modulus.cylinder(hub, hub_height, covered_area=math.pi * hub * thickness),
    }


def sheave_layout(thickness, rim, hub):
    """The sheave of this lesson, 120 mm across [m]."""
    return parts.sheave(thickness=thickness, rim=rim, rim_height=HEIGHT_M, hub=hub, hub_height=HEIGHT_M)


# ---- the sheave, rule beside field


def times_of(result):
    """When the middle of each section was solid in the field [s]."""
    return {name: result.middle_time(name) for name in SECTIONS}


def times_by_hand(setup):
    """The hand rule's times [s]; None where no rule holds."""
    return {name: hand_time(size, setup, SECTIONS[name]) for name, size in moduli(setup.layout).items()}


def order_of(result):
    """The sections in the order in which they freeze in the field."""
    return sorted(SECTIONS, key=times_of(result).get)


def scene(setup, result, units):
    """Each section with its time, and the picture without holes: here only the order counts."""
    plain = casting_scene(setup, result, units)
    if result is None:
        return plain
    section, times = plain.section, times_of(result)
    words = {name: result.plain_time(times[name], units) for name in SECTIONS}
    labels = tuple(Label(f"{name} {words[name]}", section.layout.block(name).middle) for name in SECTIONS)
    return replace(plain, section=replace(section, void=np.zeros_like(section.void)), labels=labels)


def sentence(result, units):
    """Order in the field, order of the moduli, and where and why the rule is farthest off."""
    times, order = times_of(result), order_of(result)
    field = in_order(order, times, [result.plain_time(times[name], units) for name in order])
    by_modulus = [name for name, _, _ in modulus.freezing_order(moduli(result.setup.layout))]
    same = "The moduli give the same order." if by_modulus == order else (
        f"The moduli alone say: {', '.join(by_modulus)}.")
    off = farthest_off(times_by_hand(result.setup), times, partial(_reason, result.setup, order))
    return f"{field} {same} {off}"


def in_order(order, times, said):
    """The order of the sections in words; rim and web that the question calls together are not told apart."""
    first, second, last = zip(order, said, strict=True)
    ends = f"last the {last[0]}, {last[1]}."
    if last[0] == "hub" and are_together(times):
        return (f"The middles of {first[0]} and {second[0]} are solid at nearly the same time, after "
                f"{first[1]} and {second[1]}, {ends}")
    return (f"The middle of the {first[0]} is solid first, after {first[1]}, then the {second[0]}, "
            f"{second[1]}, {ends}")


def are_together(times):
    """Whether rim and web are solid so nearly together that they count as even."""
    return abs(times["rim"] - times["web"]) <= TOGETHER * max(times["rim"], times["web"])


def _reason(setup, order, name, off):
    """The rule takes a section as if it were alone; what flows in or out makes the difference."""
    if setup.mould.kind == "die":
        return "the gap between metal and die counts for more than the modulus, and the die warms"
    if off < 0.0 and name != order[-1]:
        return f"it takes the {name} as if it were alone, but heat flows into it from what is hotter"
    if off > 0.0 and name != order[0]:
        return f"it takes the {name} as if it were alone, but heat flows out of it into what is colder"
    return "it counts the surface, but not how the heat spreads in the mould at corners and round edges"


def numbers(result, units):
    """For each section its modulus, then rule and field."""
    setup, times = result.setup, times_of(result)
    sizes, by_hand, name = moduli(setup.layout), times_by_hand(setup), setup.alloy.name
    return (
        *((f"{each}, modulus {units.length(sizes[each], 2)}",
           beside_words(by_hand[each], times[each], units, result.run.last_time_s)) for each in SECTIONS),
        ("mould before the pour", units.temperature(setup.mould_temp_c)),
        *((name, warning) for warning in flags(name)),
    )


# ---- the rule as a curve


def time_curve(setup, largest, dots, last, units):
    """Time against modulus: the rule's lines for a plate and a ball, and the field's times beside them.

    largest   [m] modulus at the end of the axis
    dots      (name, modulus [m], time [s], one of the SHAPES of a dot)
    last      time [s] in whose unit all are said, as in the picture and the numbers
    """
    sizes = np.linspace(0.0, largest, 13)[1:]
    by_rule = {shape: [hand_time(size, setup, shape) for size in sizes] for shape in ("plate", "ball")}
    by_rule = {shape: times for shape, times in by_rule.items() if None not in times}
    latest = 1.1 * max([*(time for *_, time, _ in dots), *(times[-1] for times in by_rule.values())])
    second, unit = in_time_unit(1.0, beside=last)
    shown = units.lengths.shown
    lines = tuple(curve.Line(((0.0, 0.0), *((shown(size), second * time)
                                            for size, time in zip(sizes, times, strict=True))),
                             f"rule, {shape}", stroke)
                  for (shape, times), stroke in zip(by_rule.items(), curve.STROKES, strict=False))
    marks = tuple(curve.Dot(shown(size), second * time, f"{name} {units.time(time, beside=last)}", shape)
                  for name, size, time, shape in dots)
    said = ", ".join(f"the {name} of modulus {units.length(size, 2)} after {units.time(time, beside=last)}"
                     for name, size, time, _ in dots)
    rule = ("The lines are the rule: twice the modulus, about four times the time." if lines else
            "No hand rule is known to hold here.")
    return curve.drawing(curve.Curve(
        f"Time until solid against modulus. {rule} Dots are the field: {said}.",
        curve.Axis(f"modulus [{units.lengths.unit}]", 0.0, float(shown(largest))),
        curve.Axis(f"solid after [{unit}]", 0.0, second * latest), (), lines, marks))


def sheave_curve(_, result, units):
    """Web, rim and hub, each at its modulus."""
    sizes, times = moduli(result.setup.layout), times_of(result)
    dots = [(name, sizes[name], times[name], shape)
            for name, shape in zip(SECTIONS, curve.SHAPES, strict=False)]
    return time_curve(result.setup, max(LARGEST_M, *sizes.values()), dots, result.run.last_time_s, units)


def shapes_curve(_, result, units):
    """The four shapes, all at one modulus."""
    size = row_of_shapes.modulus_of(result.setup.layout)
    dots = [(name, size, time, shape)
            for (name, time), shape in zip(result.times.items(), curve.SHAPES, strict=True)]
    return time_curve(result.setup, max(LARGEST_M, size), dots, max(result.times.values()), units)


# ---- benches and their questions


@same_in_a_kernel
def begin():
    """The sheave, and the question in which order it freezes: (bench, question)."""
    choices = {
        "together": "web and rim together, because they are equally thick; then the hub",
        "web first": "first the web, because it cools at two wide faces; then the rim, then the hub",
        "rim first": "first the rim, then the web, then the hub",
        "hub early": "first the hub, because it is farthest from the hot metal of the sprue",
    }
    sliders = [
        Slider("thickness", "section thickness", "length", PART, 0.010, 0.006, 0.020, 0.001),
        Slider("rim", "rim", "length", PART, 0.010, 0.006, 0.020, 0.001),
        Slider("hub", "hub diameter", "length", PART, 0.040, 0.026, 0.060, 0.002),
        *metal_sliders(),
    ]
    def setup(values):
        layout = sheave_layout(values["thickness"], values["rim"], values["hub"])
        return full_at_once(setup_of(layout, values))  # as for the rule beside it

    bench = bench_of(sliders, setup, scene_of=scene, sentence_of=sentence, numbers_of=numbers,
                     verdict_of=lambda result: None, drawing_of=sheave_curve, hidden=True)
    words = "In which order does the sheave freeze?"
    return bench, Question(bench, words, choices, judge_sheave, slips_sheave, nowhere)


def judge_sheave(result, units):
    """The order in the field, and the moduli that explain it."""
    times, order = times_of(result), order_of(result)
    if order[-1] != "hub":
        key = "hub early"
    elif are_together(times):
        key = "together"
    else:
        key = f"{order[0]} first"
    sizes = ", ".join(f"{name} {units.length(size, 2)}" for name, size in moduli(result.setup.layout).items())
    why = (f"{sentence(result, units)} The moduli: {sizes}. What counts is volume over cooling surface, not "
           "thickness.")
    return key, why


def slips_sheave(result, units):
    """What each wrong choice forgets."""
    web, rim = (units.length(each) for each in web_and_rim(result.setup.layout))
    size = {name: units.length(each, 2) for name, each in moduli(result.setup.layout).items()}
    thick = f"Web and rim are both {web}" if web == rim else f"The web is {web} and the rim {rim}"
    return {
        "together": f"{thick} thick, but it counts as well how many faces cool: the modulus of the web is "
                    f"{size['web']}, that of the rim {size['rim']}.",
        "web first": f"The web gives its heat away at two wide faces, {what_else_cools(result, size)}.",
        "rim first": f"The rim lies outside, with mould nearly all round it, but it is {rim} thick: its "
                     f"modulus is {size['rim']}, that of the web {size['web']}.",
        "hub early": "Metal that has run far is a little cooler, but what counts is how much of it there is "
                     f"for its surface: the modulus of the hub is {size['hub']}, that of the web "
                     f"{size['web']}.",
    }


def what_else_cools(result, size):
    """What the web's two wide faces leave out; `size` is each modulus in words."""
    sizes = moduli(result.setup.layout)
    if sizes["rim"] < sizes["web"]:
        return f"but the rim does so on nearly all sides: its modulus is {size['rim']}, not {size['web']}"
    last = order_of(result)[-1]
    if last == "hub":
        return "but it lies between rim and hub, and heat flows into it from the hub"
    return f"but that alone says nothing of the others: the {last} was solid last"


@same_in_a_kernel
def begin_shapes():
    """Four shapes of one modulus, and the question which is solid first: (bench, question)."""
    choices = {
        "together": "all at the same time, because the modulus is the same",
        "plate": "the plate, because it is the thinnest",
        "bar": "the bar, because its corners cool it",
        "cylinder": "the cylinder, because it has no corners that keep heat",
        "ball": "the ball, because its heat spreads to all sides",
    }
    sliders = [Slider("modulus", "modulus of all four", "length", PART, 0.010, 0.005, 0.012, 0.001),
               *metal_sliders()]
    bench = bench_of(sliders, lambda values: setup_of(row_of_shapes.row_layout(values["modulus"]), values),
                     solve=row_of_shapes.freeze_row, drawing_of=shapes_curve, hidden=True)
    words = "A plate, a square bar, a cylinder and a ball have one modulus. Which is solid first?"
    return bench, Question(bench, words, choices, judge_shapes, slips_shapes)


def judge_shapes(result, units):
    """The first in the field, or that all came together."""
    why = (f"{result.sentence(units)} The modulus counts the surface; a round surface has more mould in "
           "front of it than a flat one, the more so the rounder it is.")
    return "together" if result.all_together else result.order[0], why


def slips_shapes(result, units):
    """What each wrong choice forgets."""
    size = row_of_shapes.modulus_of(result.setup.layout)
    deep, thin, bar, ball = (units.length(times * size) for times in (3, 2, 4, 6))
    first, last = result.order[0], result.order[-1]
    times = result.times[last] / result.times[first]
    return {
        "together": "The modulus is the right first thought, but it counts all surface as equal, flat or "
                    f"round, near a corner or far. The {last} took {times:.2f} times as long as the {first}.",
        "plate": f"The plate is the thinnest, {thin} against {ball} for the ball. But equal modulus means "
                 "that each piece of surface has as much metal to cool, in the plate as in the others.",
        "bar": "Its corners do cool first, but the last liquid is in the middle, and the bar is "
               f"{bar} thick: the corners are far away.",
        "cylinder": "Corners keep no heat: they have mould on two sides and cool first. So it is no help to "
                    "have none.",
        "ball": f"Its heat does go to all sides, but its middle lies deepest of all, {deep} below the "
                "surface.",
    }


# ---- tasks


@task(TASK_HUB, number="modulus of the hub")
def task_hub(bench, answer):
    """A modulus with a joined face left out."""
    layout, units = bench.solve().setup.layout, bench.units
    right, (hub, _, height) = moduli(layout)["hub"], size_of(layout.block("hub"))
    given, bare = units.lengths.si(answer), modulus.cylinder(hub, height)
    if is_near(given, right, CLOSE_ENOUGH):
        return Checked(True, f"{units.length(right, 2)}. With the joined face counted it would be "
                             f"{units.length(bare, 2)}: metal that touches hot metal does not cool there.")
    _, _, thickness = size_of(layout.block("web"))
    side_only = math.pi * hub * (height - thickness)
    slips = (
        (bare, "You counted all the surface. Where the web is joined, the hub does not cool."),
        (modulus.rod(hub), "That is D / 4, a long bar. The hub is short: its two ends cool it too."),
        (modulus.modulus(math.pi / 4 * hub**2 * height, side_only), "You left out the two ends of the hub."),
        (modulus.cylinder(hub, height, joined="side"), "You left out the whole side. Only the ring is joined "
         "where the web is; the rest of the side cools."),
        (hub / 2.0, "That is half the diameter. The modulus is volume over cooling surface."),
        (height / 2.0, "That is half the height. The modulus is volume over cooling surface."),
        (right / 10, "The right figures, ten times too small: look at the unit of the sliders."),
        (right * 10, "The right figures, ten times too large: look at the unit of the sliders."),
    )
    return Checked(False, slip_in(given, slips, CLOSE_ENOUGH) or HUB_HINT)


@task(TASK_JUNCTION, number="times as large")
def task_junction(bench, answer):
    """The circle in a junction of the drawing, and what the field says of the time that it foretells."""
    result, units = bench.solve(), bench.units
    web, rim = web_and_rim(result.setup.layout)
    circle = junction.junction_circle("T", rim, web)
    right = (circle / rim) ** 2  # of the areas
    if not is_near(answer, right, CLOSE_ENOUGH):
        return Checked(False, junction_slip(answer, web, rim, right, units.lengths.shown(circle)) or
                       "First D from the formula, then (D / r)².")
    times = junction_and_arm(result)
    meeting, arm = (result.plain_time(each, units) for each in times)
    return Checked(True, f"{right:.2f} times the area, so the circles expect the junction to take "
                         f"{right:.2f} times as long as the rim elsewhere. In the field the junction is "
                         f"solid after {meeting}, the rim half-way to its edge after {arm}: "
                         f"{times[0] / times[1]:.2f} times. The circle takes the junction as "
                         "if it were alone, but heat flows into it from the web and out along the rim.")


def web_and_rim(layout):
    """Thicknesses of web and rim [m]."""
    outer, inner, _ = size_of(layout.block("rim"))
    return size_of(layout.block("web"))[2], 0.5 * (outer - inner)


def junction_and_arm(result):
    """When the middle of the junction's circle, and the rim half-way to its edge, were solid [s]."""
    web, rim = web_and_rim(result.setup.layout)
    block = result.setup.layout.block("rim")
    circle = junction.junction_circle("T", rim, web)
    half_way = 0.5 * (0.5 * web + block.high[1])
    return (result.run.freeze_time_s[cell_at(result, block.low[0] + 0.5 * circle, 0.0, 0.0)],
            result.run.freeze_time_s[cell_at(result, block.middle[0], half_way, 0.0)])


def cell_at(result, *place):
    """The cell whose middle is nearest to a place [m]."""
    return tuple(int(np.argmin(abs(centre - at)))
                 for centre, at in zip(result.run.grid.centres, place, strict=True))


def junction_slip(answer, web, rim, right, circle):
    """Which slip gives this ratio in place of the `right` one; `circle` as the bench shows lengths."""
    diagonal, by_formula = math.hypot(web, rim) / rim, (web / 2.0 / rim) ** 2 + 1.0
    slips = (
        (math.sqrt(right), "That is the ratio of the diameters. Areas go with the square, and so do times."),
        (right**2, "You squared twice: the area goes with D², and that is already the ratio of the times."),
        (1.0 / right, "Turned round: the circle in the junction is the larger one."),
        (circle, "That is D itself. Divide it by r, and square what you get."),
        (1.0, "That is the rim's own circle. In the junction there is room for a larger one."),
        ((rim + web) / rim, "You added the two thicknesses. Draw it: a circle so large does not fit in."),
        (diagonal**2, "That is a circle on the diagonal, for walls that cross. Here the outer face is flat."),
        (diagonal, "That is the diagonal, for walls that cross. Here the outer face is flat."),
        (by_formula**2, "The formula ends at w = 2 r. In a thicker web the circle is as wide as the web."),
    )
    return slip_in(answer, slips, CLOSE_ENOUGH)


@task(TASK_EVEN)
def task_even(bench, _):
    """Two sections that freeze together."""
    result, units = bench.solve(), bench.units
    times = times_of(result)
    rim, web = times["rim"], times["web"]
    rim_words, web_words = (result.plain_time(each, units) for each in (rim, web))
    both = f"The rim is solid after {rim_words}, the web after {web_words}"
    sizes = moduli(result.setup.layout)
    of_both = f"their moduli are {units.length(sizes['rim'], 2)} and {units.length(sizes['web'], 2)}"
    if are_together(times):
        return Checked(True, f"{both}; {of_both}. They need not be equal: heat flows from hub to web and "
                             f"from web to rim. The {order_of(result)[-1]} still freezes last: even sections "
                             "do not do away with a last place.")
    kept_hot = ("The rim has the larger modulus and is early all the same: hub and rim keep the web between "
                "them hot. " if rim < web and sizes["rim"] >= sizes["web"] else "")
    return Checked(False, f"{both}; {of_both}. {kept_hot}{which_way(bench)}")


def which_way(bench):
    """A hint that is tried before it is given: the slider that brings rim and web nearest, and how far."""
    if other := another_casting(bench, *SIZES):
        return other
    found = one_move(bench, SIZES, lambda result: apart(times_of(result)))
    if not found or apart(times_of(found[1])) > FAR_APART:
        return f"No one slider brings them near each other from here. {AGAIN}, and go on from there."
    move, result = found
    rim, web = (result.plain_time(times_of(result)[name], bench.units) for name in ("rim", "web"))
    return f"{move[0].upper()}{move[1:]} the rim is solid after about {rim}, the web after {web}."


def apart(times):
    """How far apart the times of rim and web are, as a share: 0 when they are the same."""
    return abs(math.log(times["rim"] / times["web"]))
