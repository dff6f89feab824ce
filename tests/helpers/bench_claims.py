"""What a bench says of one state: sentence, numbers, picture, verdict, mark and hint against each other.

Claims are read out of the words, as a person reads them, and held against the account.
"""

import re
from types import SimpleNamespace

import pytest
from hint_reader import AGAIN

from castlab.field.grid_lines import QUICK
from castlab.field.outcome import COARSE, Look, pour
from castlab.teach.bench.casting import Casting, solving_casting
from castlab.teach.bench.filling import MISRUN
from castlab.teach.bench.lesson_memory import as_ordered
from castlab.units import METRIC

STATES, QUICK_STATES = 300, 1  # of a lesson; those of a lesson with two benches are shared out
ROUGH = Look("rough", 1.6 * QUICK.cell, COARSE.pace)  # coarser still: what is said must agree on any cells
SECONDS = {"s": 1.0, "min": 60.0, "h": 3600.0}
DIGITS = 0.06  # of two digits


def looked_at_roughly(bench):
    """A bench that computes no closer than roughly, and whose picture is not fitted to every move."""
    if len(bench._looks) > 1:
        bench._looks = (COARSE, COARSE)
    if bench._solve is solving_casting:
        bench._solve = lambda setup, *_: Casting(pour(setup, ROUGH))
    bench._fit_picture = lambda: None
    return bench


# ---- words


def volumes(words):
    return [float(each) for each in re.findall(r"([\d.]+) cm3", words)]


def times(words):
    return [float(number) * SECONDS[unit] for number, unit in re.findall(r"([\d.]+) (s|min|h)\b", words)]


def first_volume(words):
    return 0.0 if words == "nothing" else volumes(words)[0]


def rounded_off(words):
    """How far all volumes in words, each printed to two digits, may together be off [cm3]."""
    numbers = re.findall(r"([\d.]+) cm3", " ".join(words))
    return sum(0.5 * 10.0 ** (-len(each.partition(".")[2])) for each in numbers)


def alike(one, other):
    return one == pytest.approx(other, rel=DIGITS, abs=1e-3)


def told(bench):
    """What the bench would say and show of the present state."""
    result = bench.solve()
    return SimpleNamespace(
        result=result, sentence=bench._sentence_of(result, METRIC), values=bench.values,
        numbers=dict(bench._numbers_of(result, METRIC)),
        labels=bench._scene_of(bench.setup(), result, METRIC).labels)


def all_said(here):
    return f"{here.values}\n{here.sentence}\n{here.numbers}"


def said_so(here):
    """Whether the sentence calls it sound."""
    return re.search(r"\b[Ss]ound( as to shrinkage)?: ", here.sentence) is not None


# ---- what must be so


def a_casting_is_told_of_in_one_way(bench, question, task=None):
    """All claims about the casting that stands on a bench now; returns what was told."""
    here = told(bench)
    result, numbers = here.result, here.numbers
    try:
        if bench._verdict_of(result) == MISRUN:
            nobody_pays_for_what_never_came(bench, here)
            return here
        holes_are_the_same_everywhere(here, result, numbers)
        who_paid_adds_up(numbers)
        nothing_freezes_after_the_last_metal(here, result, numbers)
        the_question_agrees(question, result)
        if task:
            the_hint_agrees(task, here, result)
        if as_ordered(bench) and result.sound:
            assert alike(float(numbers["metal in the mould"].split()[0]),
                         (1e3 if " g" in numbers["metal in the mould"] else 1.0) * result.poured_kg)
    except AssertionError as error:
        raise AssertionError(all_said(here)) from error
    return here


def holes_are_the_same_everywhere(here, result, numbers):
    """Sentence, numbers, picture and account tell of one casting."""
    own = volumes(numbers["hole in the casting"])[-1:] if "hole in the casting" in numbers else (
        [first_volume(numbers["unfed: holes"])])
    assert said_so(here) == result.sound == (not any(label.strong for label in result.labels(METRIC)))
    if not result.sound and own:
        named = re.split(r": (?:it|the|after|there)\b", here.sentence)[0]
        holes = [float(each) for each in re.findall(
            r"(?:of|sponge in [a-z ]+, fine holes of) ([\d.]+) cm3(?! of feed)", named)]
        off = rounded_off(f"{each:.2g} cm3" for each in (*holes[:2], own[0]))
        assert sum(holes[:2]) <= own[0] + off + 0.01 or "by the rule" in here.sentence
        assert alike(own[0], 1e6 * result.casting_paid_m3)


def who_paid_adds_up(numbers):
    supplied, back = (sum(first_volume(words) for name, words in numbers.items() if name.startswith(rows))
                      for rows in (("supplied by", "unfed", "lost as"), ("pushed back",)))
    demand = numbers.get("feed demand", "")
    if volumes(demand) and "-" not in demand:
        off = rounded_off(numbers.values()) + 0.02  # "nothing" is a little as well
        assert supplied - back == pytest.approx(volumes(demand)[0], abs=off)


def nobody_pays_for_what_never_came(bench, here):
    """Of a misrun the metal that has come is said, and no payer; what is computed, of a full mould."""
    bench.settle()
    assert not bench.bars and "not full" in bench._mark.value and bench.film_place.button.disabled
    assert "Were the mould full, the computation says: " in here.sentence
    words = " ".join(f"{name} {words}" for name, words in here.numbers.items())
    assert not re.search(r"supplied|unfed|metal in the mould", words), words
    came, whole = volumes(here.numbers["by the rule, metal that comes in"])
    assert came <= whole
    assert not any(label.text.startswith(("last", "sink", "pipe")) for label in here.labels)


def nothing_freezes_after_the_last_metal(here, result, numbers):
    last = times(numbers["last metal solid"])[0]
    for name, words in numbers.items():
        if name.endswith("frozen"):
            assert times(words)[0] <= (1.0 + DIGITS) * last, name
    label = next(label.text for label in result.labels(METRIC) if label.text.startswith("last to freeze"))
    assert alike(times(label)[0], last)
    for block in re.findall(r"of the (\w+)[^:]*: it freezes last, ", here.sentence):
        assert result.account.froze_s[block] == max(result.account.froze_s.values())


def the_question_agrees(question, result):
    """What the question calls right is what the sentence says, and the verdict repeats the sentence."""
    key, _ = question._judge(result, METRIC)
    assert key in question._choices
    if key in ("none", "sound"):
        assert result.sound
    if result.sound:
        assert key not in ("boss", "hub", "rim", "web", "gate", "plate", "sponge", "casting", "feet", "one")


def the_hint_agrees(task, here, result):
    """Praise only for what is sound; a hint for a hole only where there is one, and true of the feeder."""
    found = task.check()
    if found.right:
        assert result.sound and said_so(here)
        return
    if "Sound, but" in found.why:
        assert result.sound
    if "There is no feeder yet" in found.why:
        assert not result.has_feeder
    diagnosis = result.diagnosis
    if "no later than where the hole is" in found.why:
        assert diagnosis.feeder_froze_s <= diagnosis.hole_froze_s
    if "stays liquid longest, but" in found.why:
        assert diagnosis.hole is None or diagnosis.feeder_froze_s > diagnosis.hole_froze_s
    if "and is empty" in found.why:
        assert "runs empty" in here.sentence
    if "No feeder takes sponge out" in found.why:
        assert "sponge" in here.sentence
    named = re.search(r"[Mm]ake the |[Ss]et the |[Pp]our (colder|hotter)", found.why) or AGAIN in found.why
    assert named, found.why
