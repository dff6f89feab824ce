"""Whoever chose inches reads inches: every task, hint, praise, verdict, sentence and label of every lesson.

Each text is made twice of the same state, in metric and in inches. No metric unit may be left in the second,
nor more digits than a person reads; and apart from its quantities it is the same text, with the same
quantities in the same places.
"""

import re

import pytest
from let_go import let_benches_go
from opened import run
from random_states import dice_of, stand_anywhere
from shares import every, mostly_slow
from test_notebooks import LESSONS

from castlab.errors import InputError
from castlab.field.outcome import COARSE
from castlab.teach.bench.bench import Bench
from castlab.teach.bench.questions import Question, Task
from castlab.teach.text.reader_units import sentence_of
from castlab.units import INCH_M, INCH_POUND, METRIC, POUND_KG

STATES, QUICK = 20, 2
TYPED = (0.5, 1.0, 2.5, 12.5, 40.0, 400.0)
NUMBER = r"(?<![\w.])-?\d+(?:\.\d+)?"
UNITS = {"mm": (1.0, "in"), "cm3": (1.0, "in3"), "g": (1e-3, "lb"), "kg": (1.0, "lb"), "°C": (1.0, "°F"),
         "K": (1.0, "°F"), "W/m²K": (1.0, "Btu/h ft² °F"), "m/s": (1.0, "ft/s"), "mm/s": (1.0, "in/s"),
         "K/mm": (1.0, "°F/in"), "K/s": (1.0, "°F/s")}
TO_METRIC = {"in": 1e3 * INCH_M, "in3": 1e6 * INCH_M**3, "in/s": 1e3 * INCH_M, "lb": POUND_KG,
             "Btu/h ft² °F": 5.678263, "ft/s": 0.3048, "°F/in": 1.0 / 1.8 / (1e3 * INCH_M), "°F/s": 1.0 / 1.8}
# The name of a crucible, a formula, and the trade's measure of gas in a melt.
AS_SOLD = re.compile(r"rated \d+ kg|2 g h|ml in 100 g")
METRIC_UNIT = re.compile(rf"({NUMBER}) ?(mm/s|mm|cm3|cm|kg|g|°C|K/mm|K/s|K|W/m²K|m/s)(?![\w/])")
INCH_UNIT = re.compile(rf"({NUMBER}) ?(in/s|in3|in|lb|°F/in|°F/s|°F|Btu/h ft² °F|ft/s)(?![\w/])")
RANGE = re.compile(rf"({NUMBER}) (to|and|or) ({NUMBER}) (mm|cm3|kg|g|°C|K|in3|in|lb|°F)")
MOST_FIGURES = {"°F": 4}  # a melting furnace


@pytest.fixture(scope="module")
def opened(request):
    yield run(request.param)
    let_benches_go()


def texts_of(opened, units):
    """Name and text of all that the lesson says now, in these units: tasks are checked, questions judged."""
    for bench in opened.all(Bench):
        bench.speak(units)
    for name, words in said(opened, units):
        yield name, AS_SOLD.sub("it", words)


def said(opened, units):
    """The same before names and formulas are taken out."""
    for number, bench in enumerate(opened.all(Bench)):
        yield f"bench {number}", bench.sentence
        yield f"bench {number} numbers", "\n".join(f"{name}: {words}" for name, words in bench.numbers)
        labels = bench._scene_of(bench.setup(), bench.result, units) if bench.error is None else None
        yield f"bench {number} labels", "\n".join(each.text for each in getattr(labels, "labels", ()))
    for number, question in enumerate(opened.all(Question)):
        yield from verdicts(f"question {number}", question, units)
    for number, task in enumerate(opened.all(Task)):
        if "kilograms" in task._number:  # what is asked for in kilograms, of everybody
            continue
        for answer in task._choices or (TYPED if task._number else (None,)):
            yield f"task {number} {answer if task._choices else ''}", checked(task, answer, units)


def verdicts(name, question, units):
    try:
        result = question.bench.solve()
        key, why = question._judge(result, units)
    except InputError:
        return
    yield name, why
    for choice, words in question._slips(result, units).items():
        if choice != key:
            yield f"{name} {choice}", words


def checked(task, answer, units):
    try:
        return task._check(task.bench, answer).why
    except InputError as error:
        return sentence_of(error, units)


def spread(words):
    """Words whose ranges say their unit twice: "450 to 540 °C" as "450 °C to 540 °C"."""
    return RANGE.sub(r"\1 \4 \2 \3 \4", words)


def quantities(words, pattern):
    return [(float(number), unit, number) for number, unit in pattern.findall(spread(words))]


def skeleton(words, pattern):
    return pattern.sub("#", spread(words))


def too_many(number, unit):
    """Whether a number has more figures than anybody reads off a rule, a scale or a display."""
    figures = number.lstrip("-0.").replace(".", "")
    return len(figures.rstrip("0") if "." not in number else figures) > MOST_FIGURES.get(unit, 3)


def alike(metric, inch):
    """Whether two quantities, each rounded to its digits, may be one."""
    (one, unit, text), (other, inch_unit, inch_text) = metric, inch
    scale, wanted = UNITS[unit]
    if inch_unit != wanted:
        return False
    off, inch_off = rounding(text), rounding(inch_text)
    if unit == "°C":
        return abs(one - (other - 32.0) / 1.8) <= off + inch_off / 1.8 + 1e-9
    factor = 1.0 / 1.8 if unit == "K" else TO_METRIC[inch_unit]
    return abs(one * scale - other * factor) <= off * scale + inch_off * factor + 1e-9


def rounding(number):
    """By how much a printed number may be off: of 4200 to two figures, 50."""
    if "." in number:
        return 0.5 * 10.0 ** -len(number.partition(".")[2]) * 1.1
    closing = len(number) - len(number.rstrip("0"))
    return 0.5 * 10.0 ** closing * 1.1


def faults(name, metric, inch, typed):
    """What is wrong with a text in inches, beside the same one in metric."""
    found = [f"metric is left: {unit[0]} {unit[1]}" for unit in METRIC_UNIT.findall(inch)]
    found += [f"digits: {number} {unit}" for _, unit, number in quantities(inch, INCH_UNIT)
              if too_many(number, unit)]
    if not typed:
        if skeleton(metric, METRIC_UNIT) != skeleton(inch, INCH_UNIT):
            found.append("another text")
        else:
            both = zip(quantities(metric, METRIC_UNIT), quantities(inch, INCH_UNIT), strict=True)
            found += [f"{one[2]} {one[1]} is not {two[2]} {two[1]}" for one, two in both
                      if not alike(one, two)]
    return [f"{name}: {each}\n  {metric}\n  {inch}" for each in found]


def both_ways(opened):
    """Faults of the lesson as it stands now."""
    tasks = opened.all(Task)
    typed = {f"task {number} " for number, task in enumerate(tasks) if task._number}
    metric, inch = (list(texts_of(opened, units)) for units in (METRIC, INCH_POUND))
    assert [name for name, _ in metric] == [name for name, _ in inch]
    return [fault for (name, one), (_, two) in zip(metric, inch, strict=True)
            for fault in faults(name, one, two, name in typed)]


def ids(path):
    return path.stem


@pytest.mark.parametrize("opened", every(8, LESSONS), indirect=True, ids=ids)
@pytest.mark.parametrize("states", mostly_slow([QUICK, STATES], quick=[QUICK]))
def test_everything_follows_into_inches(opened, states):
    benches = opened.all(Bench)
    for bench in benches:
        bench.hidden = False
        if len(bench._looks) > 1:
            bench._looks = (COARSE, COARSE)
    found = []
    for seed in range(states):
        for bench in benches:
            if seed:
                bench.speak(METRIC)
                stand_anywhere(bench, dice_of(seed, "inches"))
            else:
                bench.start_again()
        found += both_ways(opened)
    assert found == [], f"{len(found)}\n" + "\n".join(dict.fromkeys(found[:60]))
