"""Wherever the sliders stand, sentence, numbers, picture, verdict, mark and hint say one thing.

Lessons 3, 10 and 11 show other things: their claims stand beside their own tests.
"""

import re

import pytest
from bench_claims import (
    QUICK_STATES,
    STATES,
    a_casting_is_told_of_in_one_way,
    alike,
    looked_at_roughly,
    times,
)
from let_go import let_benches_go
from random_states import dice_of, stand_anywhere
from shares import mostly_slow

from castlab.teach.lessons import (
    cures_without_a_feeder,
    feeders,
    first_casting,
    heavy_sections,
    melt_plan,
    sponge_and_gas,
    superheat_and_filling,
    three_shrinkages,
)
from castlab.units import METRIC

BEGINNINGS = {  # what makes a bench, and the tasks that ask for a sound casting on it
    "lesson 1, eye plate": (first_casting.begin, first_casting.task_feeder),
    "lesson 1, sheave": (first_casting.begin_sheave, None),
    "lesson 2": (three_shrinkages.begin, None),
    "lesson 4, bracket": (heavy_sections.begin, None),
    "lesson 4, boss": (heavy_sections.begin_boss, None),
    "lesson 5, eye plate": (feeders.begin, feeders.task_metal),
    "lesson 5, cap": (feeders.begin_cap, None),
    "lesson 6, chill": (cures_without_a_feeder.begin, None),
    "lesson 6, gate": (cures_without_a_feeder.begin_fed, cures_without_a_feeder.task_pair),
    "lesson 7": (superheat_and_filling.begin, superheat_and_filling.task_window),
    "lesson 9": (sponge_and_gas.begin, sponge_and_gas.task_sound),
}
CASES = [(name, QUICK_STATES) for name in BEGINNINGS], [
    (name, STATES // (2 if ", " in name else 1)) for name in BEGINNINGS]


@pytest.fixture(scope="module")
def benches():
    made = {}
    yield made
    let_benches_go()


def rough(benches, name, begin):
    """A bench that is made once, with its question."""
    if name not in benches:
        *others, question = begin()
        for bench in others:
            looked_at_roughly(bench)
        question.bench.reveal()
        benches[name] = question.bench, question
    return benches[name]


@pytest.mark.parametrize("name, states", mostly_slow([*CASES[0], *CASES[1]], quick=CASES[0][::4]))
def test_a_casting_is_told_of_in_one_way(benches, name, states):
    begin, task = BEGINNINGS[name]
    bench, question = rough(benches, name, begin)
    task, sound = task and task(bench), 0
    for number in range(states):
        stand_anywhere(bench, dice_of(name, states, number), shown=False)
        sound += a_casting_is_told_of_in_one_way(bench, question, task).result.sound
    print(name, states, "states,", sound, "sound")


@pytest.mark.parametrize("states", mostly_slow([STATES, QUICK_STATES], quick=[QUICK_STATES]))
def test_a_melt_is_told_of_in_one_way(benches, states):
    """Lesson 8: the sentence, the numbers and what Check says of one plan."""
    bench, _ = rough(benches, "lesson 8", melt_plan.begin)
    for number in range(states):
        stand_anywhere(bench, dice_of("melt", number), shown=False)
        melt = bench.solve()
        numbers, sentence = dict(melt.numbers(METRIC)), melt.sentence(METRIC)
        ready = re.search(r"Ready ([\d.]+ \w+) after switching on", sentence)
        assert melt.can_be_poured == sentence.startswith("Ready"), (bench.values, sentence)
        if ready:
            assert alike(times(ready[1])[0], times(numbers["ready"])[0]), (bench.values, sentence)
        enters = re.search(r"enters the mould at ([\d.]+) °C", sentence)
        if enters:
            assert enters[1] == numbers["metal into the mould"].split()[0]
            wanted = float(numbers["wanted in the mould"].split()[0])
            off = float(enters[1]) - wanted
            if abs(off) > 15.5:
                assert sentence.startswith(("Colder" if off < 0.0 else "Hotter", "Too")), sentence
        advised = re.search(r"Set ([\d.]+) °C", sentence)
        if advised:
            assert numbers["recommended set point"].startswith(advised[1])
