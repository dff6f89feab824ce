"""A check that looks at many castings gives way, can be stopped, and finds what it finds at once."""

import asyncio
import time

import pytest
from lesson_tests import at_first

from castlab.errors import InputError
from castlab.field.outcome import COARSE
from castlab.teach.bench.patient_check import looking_on
from castlab.teach.bench.questions import Checked, Task
from castlab.teach.lessons import first_casting as lesson

WASTEFUL = {"feeder_width": 0.056, "feeder_height": 0.08}  # its hint tries many smaller feeders
WIDTHS = [0.02 + 0.004 * number for number in range(8)]


@pytest.fixture(scope="module")
def made():
    return lesson.begin()[0]


@pytest.fixture
def bench(made):
    at_first(made).forget()
    made._looks = (COARSE, COARSE)
    return made


def pressed(task, meanwhile=lambda beats: None):
    """Press Check on a running loop, until it has its answer or is stopped; how often the loop was heard."""

    async def page():
        task._pressed()
        beats = 0
        while task._patient._work.running:
            meanwhile(beats)
            beats += 1
            await asyncio.sleep(0.001)
        return beats

    return asyncio.run(asyncio.wait_for(page(), 120.0))


def sound_widths(bench, _):
    """How many of these widths are sound: eight looks."""
    return Checked(True, f"{sum(bench.solve(feeder_width=width).sound for width in WIDTHS)} are sound.")


@pytest.mark.slow
def test_a_hint_that_is_tried_gives_way_and_is_the_same(bench):
    bench.set(**WASTEFUL)
    task = lesson.task_feeder(bench)
    beats = pressed(task)
    patient = task.feedback
    assert beats > 10 and "but only" in patient and task._patient.widget.layout.display == "none"
    bench.forget()
    assert str(task.check()) == patient


def test_words_say_how_many_looks_there_were(bench):
    said = []
    task = Task(bench, "Count.", sound_widths)
    pressed(task, lambda beats: said.append(task._patient._work.words))
    assert any(words.startswith("trying it out: 3 computed so far") for words in said)
    assert task.done and task.feedback == str(sound_widths(bench, None))


def test_what_is_known_is_answered_at_once_and_without_a_row(bench):
    sound_widths(bench, None)
    task = Task(bench, "Count.", sound_widths)
    assert pressed(task) == 0 and task.done and task._patient.widget.layout.display == "none"


@pytest.mark.parametrize("ends", [lambda task: task._patient._work._button.click(),
                                  lambda task: task.bench.set(boss=0.046),
                                  lambda task: task.forget()])
def test_stop_a_move_and_start_anew_end_a_check(bench, ends):
    task = Task(bench, "Count.", sound_widths)
    began = time.monotonic()
    pressed(task, lambda beats: ends(task) if beats == 3 else None)
    assert time.monotonic() - began < 60.0
    assert not task.done and task.feedback == "" and "Stopped after" in task._patient._work.words
    pressed(task)
    assert task.done and task.feedback == str(sound_widths(bench, None))


def test_what_a_later_look_refuses_is_said_under_the_task(bench):
    def check(bench, _):
        bench.solve(feeder_width=WIDTHS[1])
        raise InputError("feeder", "none", "there must be one")

    task = Task(bench, "Count.", check)
    pressed(task)
    assert "there must be one" in task.feedback and not task.done


@pytest.mark.slow
def test_a_check_with_more_looks_than_are_kept_ends_all_the_same(bench):
    bench._cache.limit_bytes = 1
    task = Task(bench, "Count.", sound_widths)
    pressed(task)
    assert task.feedback == str(sound_widths(bench, None))


def test_it_looks_at_each_casting_once(bench):
    asked = [batch.jobs[0].args for batch in followed(looking_on(bench, lambda: sound_widths(bench, None)))]
    assert len(asked) == len(set(asked)) == len(WIDTHS)


def followed(plan):
    """The batches of a plan, each job done here."""
    answers = None
    while True:
        try:
            batch = plan.send(answers)
        except StopIteration:
            return
        yield batch
        answers = [job() for job in batch.jobs]
