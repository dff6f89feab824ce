"""Long work behind a bench: bar, stop, errors, newest wins, and no process left behind. Without a browser."""

import asyncio
import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time

import pytest
from jobs import die, give_a_lock, nap, nothing_portable, square

from castlab.errors import InputError, require_positive
from castlab.plan import Batch, Job, map_over, run_here, side_by_side
from castlab.teach.work.pool import Pool, Stopped
from castlab.teach.work.progress import Work

LONG = 60.0  # more than any test waits


def halving(low, high, wanted):
    """The search that a plan is for: the next batch depends on the last."""
    for left in range(8, 0, -1):
        middle = (low + high) / 2
        (found,) = yield Batch([Job(square, middle)], more=left - 1)
        low, high = (middle, high) if found < wanted else (low, middle)
    return low


@pytest.fixture
def work():
    made = Work()
    yield made
    made.stop()
    assert_no_process_left()


def assert_no_process_left():
    until(lambda: not multiprocessing.active_children(), 0.5 * LONG)  # sooner than those that nap would end


def until(true, seconds=LONG):
    last = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < last
        time.sleep(0.01)


# ---- plans


def test_a_search_decides_its_next_batch_from_the_last(work):
    work.start(halving(0.0, 8.0, wanted=9.0))
    assert work.wait(LONG) == run_here(halving(0.0, 8.0, wanted=9.0)) == pytest.approx(3.0, abs=8 / 2**8)
    assert work._bar.value == work._bar.max == 8


def test_searches_side_by_side_end_each_at_its_own_time(work):
    plans = [map_over(square, [2]), halving(0.0, 8.0, 16.0), map_over(square, [])]
    work.start(side_by_side(plans))
    fours, root, none = work.wait(LONG)
    assert fours == [4] and none == [] and root == pytest.approx(4.0, abs=8 / 2**8)


def test_answers_come_back_in_the_order_of_the_jobs(work):
    work.start(map_over(square, range(30)))
    assert work.wait(LONG) == [number**2 for number in range(30)]


def test_a_plan_without_jobs_needs_no_process(work):
    work.start(map_over(square, []))
    assert work.wait(LONG) == []
    assert "Done: 0 computed" in work.words


def test_two_processes_share_the_jobs(work):
    work.start(map_over(nap, [0.2] * 8))
    assert len(set(work.wait(LONG))) == 2 and os.getpid() not in work.wait()


def test_a_function_of_a_notebook_is_refused_in_words():
    made_here = type(square)(square.__code__, {"__name__": "__main__"}, "mine")
    with pytest.raises(InputError, match="'?mine'?.*module that can be imported"):
        Job(made_here, 3)


# ---- delivery


def test_answers_arrive_one_by_one_on_the_loop(work):
    seen, threads, waits = [], set(), []

    def take(job, answer):
        seen.append((job.args, answer))
        threads.add(threading.get_ident())

    async def watch():
        work.start(map_over(square, [1, 2, 3]), take, lambda answer: waits.append(answer))
        while work.running:
            await asyncio.sleep(0.01)

    asyncio.run(asyncio.wait_for(watch(), LONG))
    assert sorted(seen) == [((1,), 1), ((2,), 4), ((3,), 9)]
    assert threads == {threading.get_ident()} and waits == [[1, 4, 9]]


def test_without_a_loop_answers_are_delivered_by_wait(work):
    seen = []
    work.start(map_over(square, [1, 2]), lambda job, answer: seen.append(answer))
    work._run.thread.join(LONG)
    assert seen == [] and work.running
    assert work.wait(LONG) == [1, 4] and sorted(seen) == [1, 4]


def test_wait_delivers_while_a_cell_keeps_the_loop_busy(work):
    async def cell():
        work.start(map_over(square, [5]))
        return work.wait(LONG)

    assert asyncio.run(cell()) == [25]


def test_a_loop_that_has_been_closed_loses_nothing(work):
    async def page():
        work.start(map_over(nap, [0.3]))

    asyncio.run(page())
    assert len(work.wait(LONG)) == 1


def test_the_words_say_how_far_it_is_and_how_long_it_takes(work):
    heard = []
    work.start(map_over(nap, [0.1] * 12), lambda job, answer: heard.append(work.words))
    assert work.words == "starting" and work.widget.layout.display == ""
    work.wait(LONG)
    assert heard[1] == "1 of 12" and "5 of 12, about " in heard[5] and heard[5].endswith(" s to go")
    assert work.words.startswith("Done: 12 computed, in ") and 'role="status"' in work._words.value


def test_what_a_plan_once_told_holds_and_the_bar_is_full_at_the_end(work):
    def search():
        yield Batch([Job(square, 1)], more=9)
        yield Batch([Job(square, 2), Job(square, 3)])

    heard = []
    work.start(search(), lambda job, answer: heard.append(work.words))
    work.wait(LONG)
    assert heard[1:] == ["1 of 10", "2 of 10"] and work._bar.value == work._bar.max == 3


def test_wait_gives_up_in_time_and_the_work_goes_on(work):
    work.start(map_over(nap, [0.6]))
    with pytest.raises(TimeoutError, match="takes longer"):
        work.wait(0.05)
    assert work.running and len(work.wait(LONG)) == 1


def test_before_any_work_there_is_nothing_to_wait_for(work):
    assert work.wait() is None and not work.running and work.widget.layout.display == "none"


# ---- stop and newest wins


def test_stop_is_heard_at_once_and_leaves_no_process(work):
    work.start(map_over(nap, [LONG] * 4))
    until(multiprocessing.active_children)
    processes = {process.pid for process in multiprocessing.active_children()}
    work._button.click()
    assert work.wait(LONG) is None
    assert not [pid for pid in processes if alive(pid)]
    assert work.words.startswith("Stopped after 0 of 4") and work._button.disabled and work.alert == ""


def test_what_arrived_before_a_stop_stays(work):
    seen = []
    work.start(map_over(nap, [0.01, LONG, LONG]), lambda job, answer: seen.append(answer))
    until(lambda: not work._deliveries.empty())
    work.stop()
    work.wait(LONG)
    assert len(seen) == 1 and work.words.startswith("Stopped after 1 of 3")


def test_the_newest_plan_wins_and_the_old_one_is_not_heard(work):
    seen, done = [], []
    work.start(map_over(nap, [0.01] * 2 + [LONG]), lambda *_: seen.append("old"), done.append)
    until(lambda: not work._deliveries.empty())
    work.start(map_over(square, [4]), lambda *_: seen.append("new"), done.append)
    assert work.wait(LONG) == [16]
    assert seen == ["new"] and done == [[16]] and work._bar.max == 1


def test_many_starts_never_have_more_than_two_processes(work):
    most = 0
    for _ in range(5):
        work.start(map_over(nap, [LONG] * 3))
        for _ in range(10):
            most = max(most, len(multiprocessing.active_children()))
            time.sleep(0.01)
    assert most <= 2


def test_stop_between_two_batches_ends_the_plan(work):
    def endless():
        while True:
            yield Batch([Job(square, 2)])

    work.start(endless(), lambda job, answer: work.stop())
    assert work.wait(LONG) is None and "Stopped" in work.words


# ---- errors


def test_an_error_in_a_process_is_shown_and_raised(work):
    work.start(map_over(float, ["1", "two"]))
    with pytest.raises(ValueError, match="two") as caught:
        work.wait(LONG)
    assert "in another process" in caught.value.__notes__[0]
    assert "ValueError" in work.alert and 'role="alert"' in work._alert.value and not work.running


def test_an_input_error_keeps_its_parts_on_the_way(work):
    work.start(iter_jobs(Job(require_positive, "feeder width", -2.0, "mm")))
    with pytest.raises(InputError) as caught:
        work.wait(LONG)
    assert caught.value.parameter == "feeder width"


def iter_jobs(*jobs):
    return (yield Batch(jobs))


def test_an_error_in_the_plan_is_shown_and_raised(work):
    def broken():
        yield Batch([Job(square, 2)])
        raise ZeroDivisionError("in the plan")

    work.start(broken())
    with pytest.raises(ZeroDivisionError):
        work.wait(LONG)
    assert "in the plan" in work.alert


def test_an_error_of_a_listener_ends_the_work(work):
    def listener(job, answer):
        raise KeyError("listener")

    work.start(map_over(nap, [0.01, LONG]), listener)
    with pytest.raises(KeyError):
        work.wait(LONG)
    assert "listener" in work.alert and not work.running


@pytest.mark.parametrize("function, words", [
    (die, "ended by itself"), (nothing_portable, "Unportable"), (give_a_lock, "pickle"),
])
def test_what_cannot_come_back_is_an_error_and_not_silence(work, function, words):
    work.start(iter_jobs(Job(function)))
    with pytest.raises((RuntimeError, TypeError), match=words):
        work.wait(LONG)


def test_after_an_error_new_work_clears_the_alert(work):
    work.start(map_over(float, ["x"]))
    with pytest.raises(ValueError):
        work.wait(LONG)
    work.start(map_over(float, ["1"]))
    assert work.wait(LONG) == [1.0] and work.alert == ""


def test_a_pool_told_to_stop_stops():
    stop, pool = threading.Event(), Pool()
    stop.set()
    with pytest.raises(Stopped):
        list(pool.solve([Job(nap, LONG)], stop))
    pool.close()
    assert_no_process_left()


# ---- processes that rest


@pytest.fixture
def rested():
    made = Work(rest=LONG)
    yield made
    made.stop()
    assert_no_process_left()


def _pids():
    return {process.pid for process in multiprocessing.active_children()}


def test_processes_that_rest_do_the_next_work_too(rested):
    rested.start(map_over(square, [1, 2]))
    assert rested.wait(LONG) == [1, 4]
    before = _pids()
    assert len(before) == 2
    rested.start(map_over(square, [3, 4]))
    assert rested.wait(LONG) == [9, 16] and _pids() == before


def test_they_rest_no_longer_than_they_may():
    work = Work(rest=0.2)
    work.start(map_over(square, [1, 2]))
    assert work.wait(LONG) == [1, 4]
    assert_no_process_left()
    work.start(map_over(square, [3]))
    assert work.wait(LONG) == [9]
    assert_no_process_left()


def test_one_that_ended_while_it_rested_is_replaced(rested):
    rested.start(map_over(square, [1, 2]))
    rested.wait(LONG)
    before = _pids()
    for process in multiprocessing.active_children():
        process.kill()
        process.join()
    rested.start(map_over(square, [3]))
    assert rested.wait(LONG) == [9] and not _pids() & before


def test_what_was_stopped_or_failed_does_not_rest(rested):
    for plan, ends in ((map_over(nap, [LONG]), rested.stop), (map_over(float, ["x"]), lambda: None)):
        rested.start(plan)
        ends()
        try:
            rested.wait(LONG)
        except ValueError:
            pass
        assert_no_process_left()


# ---- other programs, and the end of the kernel

GUARDLESS = """
from castlab.plan import map_over
from castlab.teach.work.progress import Work
import os
with open("started", "a") as file:
    file.write("x")
work = Work()
work.start(map_over(abs, [-1]))
print(work.wait(60))
"""
GUARDED = GUARDLESS.replace("work = Work()", "if __name__ == '__main__':\n    work = Work()").replace(
    "\nwork.start", "\n    work.start").replace("\nprint", "\n    print")
KERNEL = """
import os, sys, time
from castlab.plan import map_over
from castlab.teach.work.progress import Work
import multiprocessing
work = Work()
work.start(map_over(time.sleep, [50, 50]))
while len(multiprocessing.active_children()) < 2:
    time.sleep(0.01)
time.sleep(1.0)
print(*(process.pid for process in multiprocessing.active_children()), flush=True)
{end}
"""


def program(folder, text):
    path = folder / "program.py"
    path.write_text(text)
    return subprocess.run([sys.executable, path], cwd=folder, capture_output=True, text=True, timeout=LONG,
                          env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)})


def test_a_program_that_guards_its_start_may_use_it(tmp_path):
    assert program(tmp_path, GUARDED).stdout.strip() == "[1]"


def test_a_program_without_guard_ends_with_a_reason_and_starts_few_processes(tmp_path):
    done = program(tmp_path, GUARDLESS)
    assert done.returncode != 0 and "__main__" in done.stderr
    assert len((tmp_path / "started").read_text()) <= 3  # itself, and one or two that refused


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="asks for processes in the way of POSIX")
@pytest.mark.parametrize("end", ["sys.exit()", "os.kill(os.getpid(), 9)"])
def test_the_processes_end_with_the_kernel(end):
    done = subprocess.run([sys.executable, "-c", KERNEL.format(end=end)], stdout=subprocess.PIPE, text=True,
                          timeout=LONG, env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)})
    processes = [int(pid) for pid in done.stdout.split()]
    assert len(processes) == 2
    until(lambda: not any(alive(pid) for pid in processes), seconds=5.0)


CELLS = (
    "from castlab.plan import map_over\nfrom castlab.teach.work.progress import Work\n"
    "import multiprocessing, time\nwork = Work()",
    "heard = []; work.start(map_over(abs, [-1, -2]), lambda *_: heard.append(1))",
    "import asyncio\nwhile work.running: await asyncio.sleep(0.05)",
    "print(sorted(heard), work.wait(0.0))",
    "work.start(map_over(time.sleep, [50, 50])); await asyncio.sleep(1.0)",
    "print(*(process.pid for process in multiprocessing.active_children()))",
)


@pytest.fixture
def kernel():
    from jupyter_client.manager import start_new_kernel

    manager, client = start_new_kernel(env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)})
    yield manager, client
    client.stop_channels()
    manager.shutdown_kernel(now=True)


def printed(client, cell):
    """What a cell of a notebook prints."""
    words = []
    client.execute_interactive(cell, timeout=LONG, output_hook=lambda message: words.append(
        message["content"].get("text", "") + "".join(message["content"].get("traceback", ""))))
    return "".join(words).strip()


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="asks for processes in the way of POSIX")
def test_in_a_real_kernel_answers_come_by_themselves_and_its_end_ends_all(kernel):
    manager, client = kernel
    out = [printed(client, cell) for cell in CELLS]
    assert out[3] == "[1, 1] [1, 2]"
    processes = [int(pid) for pid in out[5].split()]
    assert len(processes) == 2 and all(alive(pid) for pid in processes)
    os.kill(manager.provisioner.pid, signal.SIGKILL)  # it alone: nobody tells its processes
    until(lambda: not any(alive(pid) for pid in processes), seconds=5.0)


def alive(pid):
    """Whether a process still does anything; one that waits to be buried does not."""
    try:
        os.kill(pid, 0)
        with open(f"/proc/{pid}/stat") as file:
            return file.read().rpartition(")")[2].split()[0] != "Z"
    except (OSError, ProcessLookupError):
        return False


@pytest.mark.skipif(sys.platform == "win32", reason="interrupts in the way of POSIX")
def test_an_interrupt_of_the_cell_stops_the_work(work):
    work.start(map_over(nap, [LONG] * 2))
    until(multiprocessing.active_children)
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # as in a kernel, whoever runs the test
    try:
        threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT)).start()
        with pytest.raises(KeyboardInterrupt):
            work.wait(LONG)
    finally:
        signal.signal(signal.SIGINT, before)
    work.wait(LONG)
    assert "Stopped" in work.words
