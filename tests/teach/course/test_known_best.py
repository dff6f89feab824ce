"""The marks to beat are what the bench itself computes, and a student can reach them."""

import importlib

import fake_casting
import pytest
from let_go import let_benches_go
from shares import mostly_slow

from castlab.materials import read_data
from castlab.teach.bench.lesson_memory import as_ordered, benches_by_key, compares
from castlab.teach.course.known_best import KnownBest, known_best, to_beat
from castlab.teach.course.record import Best
from castlab.teach.course.the_lessons import LESSONS, contents_of, lesson_of
from castlab.units import INCH_POUND, METRIC

KEPT = [(lesson, key) for lesson, benches in read_data("known_best")["lessons"].items() for key in benches]


def module_of(lesson):
    return importlib.import_module(f"castlab.teach.lessons.{lesson}")


@pytest.mark.slow
@pytest.mark.parametrize("lesson, key", mostly_slow(KEPT, quick=KEPT[:1]))
def test_the_kept_settings_are_sound_and_no_heavier_than_said(lesson, key):
    module, name = module_of(lesson), key.partition(" ")[0]
    *benches, _ = getattr(module, name)()
    bench, known = benches_by_key(name, benches)[key], known_best(lesson, key)
    bench.set(**known.values)
    bench.reveal()
    assert compares(module, bench.result) and as_ordered(bench)
    assert bench.result.poured_kg <= known.mass_kg * (1.0 + 1e-9)
    let_benches_go()


def test_every_mark_belongs_to_a_question_of_its_lesson():
    for lesson, key in KEPT:
        module = module_of(lesson_of(lesson).name)
        assert key.partition(" ")[0] in contents_of(module).predictions, (lesson, key)


@pytest.mark.slow
def test_each_of_the_first_nine_lessons_has_something_to_beat():
    """A mark, or else a task on the sliders: of that the fewest looks are kept."""
    for lesson in LESSONS[:9]:
        module = module_of(lesson.name)
        marks = [key for known, key in KEPT if known == lesson.name]
        looks = [name for name in contents_of(module).tasks
                 if getattr(module, name)(fake_casting.bench()).on_the_sliders]
        assert marks or looks, lesson.name


@pytest.mark.parametrize("own, known, words", [
    (None, None, ""),
    (None, 0.851, "To beat: a sound casting, 851 g of metal in all."),
    (0.877, None, "To beat, your lightest sound casting so far: 877 g of metal in all."),
    (0.877, 0.851, "To beat, your lightest sound casting so far: 877 g of metal in all. "
                   "The lightest known here: 851 g."),
    (0.8512, 0.851, "To beat, your lightest sound casting so far: 851 g of metal in all. "
                    "None lighter is known here."),
    (0.82, 0.851, "To beat, your lightest sound casting so far: 820 g of metal in all. "
                  "That is lighter than any known here before: 851 g."),
])
def test_the_mark_is_said_beside_the_own_best(own, known, words):
    said = to_beat(own and Best(own, {}, "", ""), known and KnownBest(known, {}), METRIC)
    assert said == words


def test_it_is_said_in_the_units_of_the_bench():
    said = to_beat(None, KnownBest(0.4536, {}), INCH_POUND)
    assert said == "To beat: a sound casting, 1.00 lb of metal in all."
