"""Two processes beside the kernel that do the computing, so that the kernel can listen.

Threads do not help here: numpy's short loops keep each other waiting. The processes are started fresh (not
copied from the kernel), which works the same way on Linux, macOS and Windows. They know nothing of widgets.

A ready-made pool was tried (loky 3.7.0, 2026): it stops as fast, but its processes live on when the kernel is
killed, and a kernel that ends waits for all jobs first.

A browser's Python can start neither process nor thread: there the kernel does the jobs itself, `InTurn`.
"""

import contextlib
import os
import pickle
import signal
import sys
import threading
import traceback

try:
    import multiprocessing
    from multiprocessing import connection
except ImportError:  # some Pythons of a browser lack it
    multiprocessing = connection = None

IN_A_BROWSER = sys.platform == "emscripten"
WORKERS = 2
POLITE = 5  # so many steps below the kernel: what a slider asks for goes first
LISTEN_SECONDS = 0.05  # how often somebody looks whether to stop
DIED = ("A process that computes ended by itself; perhaps the memory was full. In a program of your own, "
        'everything that starts work must stand below the line: if __name__ == "__main__":')


class Stopped(Exception):
    """Somebody asked to stop."""


class Pool:
    """So many processes; they start with the first jobs and are gone after `close`.

    rest   after `close` they wait so long for the next jobs [s], where none was left half way: to start them
           takes half a second of both processors
    """

    def __init__(self, workers=WORKERS, rest=0.0):
        self._most, self._workers, self._rest = workers, {}, rest
        self._lock, self._timer, self._done = threading.Lock(), None, True

    def solve(self, jobs, stop):
        """Yield (number of the job, answer) as the answers come. Raises `Stopped` once the event is set,
        and what a job raised; after either, or if it is left half way, close the pool."""
        self._wake()
        waiting, at_work = list(enumerate(jobs))[::-1], {}
        while not stop.is_set():
            while waiting and len(at_work) < self._most:
                number, job = waiting.pop()
                idle = self._workers.keys() - at_work.keys()
                line = idle.pop() if idle else self._start()
                at_work[line] = number
                _send(line, job)
            if not at_work:
                self._done = True
                return
            for line in connection.wait(list(at_work), LISTEN_SECONDS):
                yield at_work.pop(line), _receive(line)
        raise Stopped

    def close(self):
        """End the processes now, whatever they are doing; or in a while, where they may rest."""
        with self._lock:
            if self._rest and self._done and self._workers:
                self._timer = threading.Timer(self._rest, self._rested_enough)
                self._timer.daemon = True
                self._timer.start()
            else:
                self._end()

    def end_rest(self):
        """End them now, if they rest."""
        with self._lock:
            if self._timer is not None:
                self._timer.cancel()
                self._timer = None
                self._end()

    def _wake(self):
        """Nobody ends them from now on; one that ended by itself while it rested is left out."""
        with self._lock:
            if self._timer is not None:
                self._timer.cancel()
            self._timer, self._done = None, False
            self._end(lambda process: not process.is_alive())

    def _rested_enough(self):
        with self._lock:
            if self._timer is threading.current_thread():  # else somebody has woken them
                self._end()

    def _end(self, which=lambda process: True):
        ended = {line: process for line, process in self._workers.items() if which(process)}
        for process in ended.values():
            process.kill()
        for line, process in ended.items():
            process.join()
            process.close()
            line.close()
            del self._workers[line]

    def _start(self):
        """Start one more process; returns the line to it."""
        fresh = multiprocessing.get_context("spawn")
        line, far_end = fresh.Pipe()
        process = fresh.Process(target=serve, args=(far_end,), daemon=True, name="castlab worker")
        process.start()
        far_end.close()
        self._workers[line] = process
        return line


class InTurn:
    """No process but this one: one job after the other, giving way in between and within those that can."""

    def solve(self, jobs, stop):
        """As that of a `Pool`; it also yields None where nothing has come, to give way."""
        for number, job in enumerate(jobs):
            work = job.steps()
            while not stop.is_set():
                try:
                    next(work)
                except StopIteration as end:
                    yield number, end.value
                    break
                yield None
        if stop.is_set():
            raise Stopped

    def close(self):
        """Nothing to end."""

    def end_rest(self):
        """Nothing to end."""


def _send(line, job):
    try:
        line.send(job)
    except ConnectionError:
        raise RuntimeError(DIED) from None


def _receive(line):
    """An answer, or the error that came instead, with a note of where it arose."""
    try:
        answer, error, where = line.recv()
    except (EOFError, ConnectionError):
        raise RuntimeError(DIED) from None
    if error is None:
        return answer
    error.add_note(f"in another process:\n{where}")
    raise error


def serve(line):
    """What a process does: answer one job after the other until the kernel is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # "interrupt" is meant for the kernel, which stops us
    if hasattr(os, "nice"):
        os.nice(POLITE)
    threading.Thread(target=_end_with_kernel, daemon=True).start()
    with contextlib.suppress(EOFError, ConnectionError):  # the kernel has hung up
        while True:
            line.send_bytes(_answered(line.recv_bytes()))


def _answered(packed):
    """Answer, error and where it arose, packed for the way back."""
    try:
        return pickle.dumps((pickle.loads(packed)(), None, ""))
    except Exception as error:
        return pickle.dumps((None, _portable(error), traceback.format_exc()))


def _portable(error):
    """The error itself if it survives the way, else its words."""
    try:
        return pickle.loads(pickle.dumps(error))
    except Exception:
        return RuntimeError(f"{type(error).__name__}: {error}")


def _end_with_kernel():
    """A kernel that is killed cannot say good-bye; its processes must not go on without it."""
    multiprocessing.parent_process().join()
    os._exit(1)
