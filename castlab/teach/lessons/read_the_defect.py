"""What lesson 10 is made of: castings sawn through, whose cause is to be read, and the way back to the shop.

No answer is written here: cause, cure and metal are computed for each casting.
"""

import itertools

from castlab.errors import InputError
from castlab.field.diagnosis import CAUSES
from castlab.field.holes import the
from castlab.teach.bench.hints import AGAIN, another_casting, lighter_feeder
from castlab.teach.bench.questions import Checked, is_near, task
from castlab.teach.bench.same_bench import same_in_a_kernel
from castlab.teach.read_defect.hidden_castings import draw
from castlab.teach.read_defect.sawn_casting import SawnCasting
from castlab.teach.read_defect.trial_casting_form import ShopForm

FIRST = 12  # the number of the casting that the lesson begins with
CLOSE_ENOUGH = 0.08  # a ratio of two times of two digits each
METAL_OVER = 1.10  # of the metal that the known cure pours
IN_A_ROW, MOST_PIECES = 3, 3
AS_DRAWN = ("thickness", "heavy")
MUCH_LESS = 0.5  # what is left of the holes when a change that is no cure yet goes the right way
LARGER = {"feeder_width": "feeder wider", "feeder_height": "feeder higher",
          "sleeve_thickness": "sleeve thicker"}
NO_NECK = "A neck of width 0 is none: the feeder then stands on its whole foot."
TASK_TIMES = """Ask when each part was solid. Divide the time of the part with the largest hole by the time of
the feeder (of the gate, if there was no feeder): was the hole's part liquid longer than what could feed it?
Type the ratio."""
TASK_CURE = """Now cure it. Say the cause first; then the sliders appear on the bench. Make the casting sound,
and leave its section thickness and its heavy end as they are: they are what was ordered."""
TASK_LEAN = """When this casting was drawn, one cure was computed for it. Make it sound once more, with at
most ten per cent more metal than that one; Check tells how much that is. A feeder that runs empty needs
metal; one that freezes first may need only a sleeve."""
TASK_ROW = """Take other castings. Name the cause of three in a row at the first attempt, each with at most
three pieces of evidence."""


@same_in_a_kernel
def begin(number=FIRST):
    """The first casting: (what lies on the table, its bench, the question)."""
    table = SawnCasting(draw(number))
    return table, table.bench, table.question


def shop(table):
    """The form for what was weighed and timed in the shop."""
    return ShopForm(table.bench)


# ---- tasks


@task(TASK_TIMES, number="times as long")
def task_times(table, answer):
    """Read two times and compare them; what slip of reading gives another ratio."""
    holed, other, ratio = two_times(table)
    account, units = table.casting.account, table.bench.units
    when = {name: table.casting.plain_time(seconds, units) for name, seconds in account.froze_s.items()}
    if is_near(answer, ratio, CLOSE_ENOUGH):
        said = "longer" if ratio > 1.0 else "less long"
        return Checked(True, f"Times: {the(holed)} {when[holed]}, {the(other)} {when[other]}. So "
                             f"{the(holed)} was liquid {said} than what could have fed it.")
    if abs(answer * ratio - 1.0) <= CLOSE_ENOUGH:
        return Checked(False, f"Turned round: divide the time of {the(holed)} by that of {the(other)}.")
    pair = ratio_of(answer, account.froze_s, holed)
    if pair:
        return Checked(False, f"That is {the(pair[0])} over {the(pair[1])}. The largest hole is in "
                              f"{the(holed)}: compare it with {the(other)}.")
    return Checked(False, f"Ask “when was each part solid?”, and divide the time of {the(holed)} by that of "
                          f"{the(other)}.")


def ratio_of(answer, froze_s, holed):
    """Of which two bodies an answer is the ratio of times, those with the hole first; None if of no two."""
    names = sorted(froze_s, key=lambda name: name != holed)
    return next((pair for pair in itertools.permutations(names, 2)
                 if abs(answer - froze_s[pair[0]] / froze_s[pair[1]]) <= 0.5 * CLOSE_ENOUGH * answer), None)


def two_times(table):
    """The block with the largest hole, the feeder (or else the gate), and the ratio of their times."""
    account = table.casting.account
    holed = table.casting.diagnosis.hole.block
    feeders = [body.name for body in account.run.grid.layout.blocks if body.role == "feeder"]
    other = max(feeders, key=account.froze_s.get) if feeders else "gate"
    return holed, other, account.froze_s[holed] / account.froze_s[other]


@task(TASK_CURE)
def task_cure(table, _):
    """A cure that works, on the part as it was ordered."""
    return check_cure(table)


def check_cure(table):
    """Said, as ordered, and sound; else what is left and why."""
    bench, units, hidden = table.bench, table.bench.units, table.hidden
    if bench.hidden:
        return Checked(False, "First say the cause, above.")
    changed = [name for name in AS_DRAWN if bench.values[name] != hidden.values[name]]
    if changed:
        labels = " and the ".join(bench.controls[name].slider.label for name in changed)
        return Checked(False, f"The part was not ordered so. Set the {labels} back.")
    result = bench.solve()
    if result.sound:
        return Checked(True, f"{result.sentence(units)} It takes {units.mass(result.poured_kg)} of metal.")
    if bench.values == hidden.values:
        return Checked(False, f"Nothing is changed yet. It fails because {CAUSES[hidden.cause]}. "
                              f"{what_does(table)}")
    before, left = (each.account.defect_m3 for each in (table.casting, result))
    return Checked(False, f"{result.sentence(units)} At first there were holes of {units.volume(before)}, "
                          f"now of {units.volume(left)}. {what_next(table, left / before)}")


def what_next(table, left):
    """Further in the same direction where a small share of the holes is left, else back to the cause."""
    if left >= MUCH_LESS:
        return (f"At first it failed because {CAUSES[table.hidden.cause]}: does your change do anything "
                f"about that? {what_does(table)}")
    narrow = table.hidden.cause == "way closes" and table.bench.values["neck_width"] > 0.0
    return " ".join(filter(None, ("That is the right direction; go further.", NO_NECK if narrow else "",
                                  what_does(table))))


def what_does(table):
    """What the cure for this cause still lacks: it was computed when the casting was drawn."""
    bench, cure = table.bench, table.cure
    if other := moved_too_far(table):
        return other
    for name, value in cure.items():
        now, label = bench.values[name], bench.controls[name].slider.label
        if name in LARGER and now < value:
            return f"For one thing, make the {LARGER[name]}."
        if name not in LARGER and now != value and name != "pour_temp_c":
            value = bench.units.length(value) if name == "neck_width" else value
            return f"For one thing, set the {label} to {value}."
    return f"Something else that you moved is in the way. {AGAIN}, and change one thing."


def moved_too_far(table):
    """What was moved that is no part of the feeding; "" where nothing was."""
    return another_casting(table.bench, *table.cure, *LARGER, "neck_width", "pour_temp_c")


@task(TASK_LEAN)
def task_lean(table, _):
    """A cure that works and wastes nothing: not much more metal than the known one."""
    found = check_cure(table)
    if not found.right:
        return found
    if other := moved_too_far(table):
        return Checked(False, "It is sound, but its metal can be compared only on the casting that was "
                              f"ordered. {other}")
    units = table.bench.units
    known_cure = table.hidden.values | table.cure
    used, known = (table.bench.solve(**values).poured_kg for values in ({}, known_cure))
    words = f"The casting is sound with {units.mass(used)} of metal; the known cure pours {units.mass(known)}"
    if used > METAL_OVER * known:
        return Checked(False, f"{words}. Yours is more than ten per cent over it. "
                              f"{lighter_feeder(table.bench)}")
    return Checked(True, f"{words}.")


@task(TASK_ROW)
def task_row(table, _):
    """Three castings read in a row: the last three readings."""
    last = table.readings[-IN_A_ROW:]
    if len(last) < IN_A_ROW:
        return Checked(False, f"You have read {len(last)} so far. Take another casting and say its cause.")
    wrong = [each.number for each in last if not each.right]
    if wrong:
        return Checked(False, f"Number {wrong[-1]} was wrong. Three right ones in a row are asked for, so "
                              "go on.")
    many = [each for each in last if each.asked > MOST_PIECES]
    if many:
        return Checked(False, f"All three were right, but for number {many[-1].number} you asked for "
                              f"{many[-1].asked} pieces of evidence. The scrap and the times say most.")
    pieces = ", ".join(f"number {each.number} with {each.asked}" for each in last)
    return Checked(True, f"Three in a row: {pieces} pieces of evidence.")


def another_cause(cause):
    """Some cause that is not this one: for trying out wrong answers."""
    if cause not in CAUSES:
        raise InputError("cause", cause, f"it must be one of {', '.join(CAUSES)}")
    return next(each for each in CAUSES if each != cause)
