"""Long work where no process can be started, as in a browser: the same words and answers, in slices."""

import asyncio
import time

import pytest
from jobs import nap, square

from castlab.field.design import design
from castlab.field.outcome import COARSE, outcome_of
from castlab.materials import alloy, mould
from castlab.plan import Job, giving_way, map_over
from castlab.teach.work import progress
from castlab.teach.work.pool import InTurn
from castlab.teach.work.progress import Work

SECONDS = 0.6  # of a job that gives way every hundredth


@giving_way
def long_nap(seconds):
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        time.sleep(0.01)
        yield
    return seconds


@pytest.fixture
def work(monkeypatch):
    monkeypatch.setattr(progress, "IN_A_BROWSER", True)
    monkeypatch.setattr(progress, "Pool", None)  # nothing may ask for a process
    monkeypatch.setattr(progress.threading, "Thread", None)
    return Work()


def on_a_loop(work, plan, meanwhile=lambda: None, **told):
    """Start a plan on a running loop and come to its end; `meanwhile` is called when there is a pause."""

    async def page():
        work.start(plan, **told)
        while work.running:
            meanwhile()
            await asyncio.sleep(0.01)

    asyncio.run(asyncio.wait_for(page(), 60.0))


def test_answers_come_one_by_one_on_the_loop_and_in_order(work):
    seen, done = [], []
    on_a_loop(work, map_over(square, [1, 2, 3]), on_done=done.append,
              on_result=lambda job, answer: seen.append((job.args, answer, work.words)))
    assert done == [[1, 4, 9]] and work.wait() == [1, 4, 9]
    assert [(args, answer) for args, answer, _ in seen] == [((1,), 1), ((2,), 4), ((3,), 9)]
    assert seen[1][2] == "1 of 3" and work.words.startswith("Done: 3 computed")


def test_the_loop_is_heard_within_a_job_that_gives_way(work):
    heard = []
    on_a_loop(work, map_over(long_nap, [SECONDS]), lambda: heard.append(work.running))
    assert len(heard) > 5  # a job that held the loop would have let it be heard twice


def test_stop_ends_within_a_job(work):
    begun = time.monotonic()
    on_a_loop(work, map_over(long_nap, [60.0] * 3), work.stop)
    assert work.words.startswith("Stopped after 0 of 3") and work.wait() is None
    assert time.monotonic() - begun < 30.0  # half of one job


def test_wait_does_the_work_where_a_cell_keeps_the_loop_busy(work):
    async def cell():
        work.start(map_over(square, [5]))
        return work.wait(60.0)

    assert asyncio.run(cell()) == [25]


def test_without_a_loop_wait_does_the_work(work):
    work.start(map_over(square, [2, 3]))
    assert work.running and work.wait(60.0) == [4, 9]
    work.start(map_over(nap, [0.1] * 3))
    with pytest.raises(TimeoutError, match="takes longer"):
        work.wait(0.05)
    assert work.running and len(work.wait(60.0)) == 3


def test_the_newest_plan_wins_and_the_old_one_is_not_heard(work):
    seen = []

    async def page():
        work.start(map_over(long_nap, [60.0]), lambda *_: seen.append("old"))
        await asyncio.sleep(0.1)
        work.start(map_over(square, [4]), lambda *_: seen.append("new"))
        while work.running:
            await asyncio.sleep(0.01)

    asyncio.run(page())
    assert seen == ["new"] and work.wait() == [16]


def test_an_error_of_a_job_is_shown_and_raised(work):
    work.start(map_over(float, ["1", "two"]))
    with pytest.raises(ValueError, match="two"):
        work.wait(60.0)
    assert "ValueError" in work.alert and not work.running


def test_a_pour_gives_way_and_says_the_same_as_at_a_stretch():
    plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    steps = list(InTurn().solve([Job(outcome_of, plain, COARSE)], progress.threading.Event()))
    assert steps.count(None) > 3 and steps[-1] == (0, outcome_of(plain, COARSE))
