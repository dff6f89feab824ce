"""Long work behind a bench: it shows how far it is, can be stopped, and never holds up a slider.

Work follows a plan (`castlab.plan`) and has its jobs done in other processes (`castlab.teach.work.pool`). A
plain list of independent jobs is the plan `map_over`; a search decides on its next batch from the last:

    def thickest_sound(thin, thick):
        '''Narrow the range six times. Two points at once keep both processes busy.'''
        for left in range(6, 0, -1):
            low, high = thin + (thick - thin) / 3, thick - (thick - thin) / 3
            outcomes = yield Batch([Job(outcome_of, part(low)), Job(outcome_of, part(high))], 2 * (left - 1))
            ...
        return thin

    work = Work()
    display(work.widget)                          # bar, words, Stop
    work.start(thickest_sound(0.006, 0.024), on_done=show)
    work.wait()                                   # only in tests and number cells

A plan can be tried without any process: `run_here(plan)`. Where there are none, as in a browser, the kernel
does the jobs itself, in slices between which it hears sliders and Stop.
"""

import asyncio
import queue
import threading
import time
from contextlib import closing

import ipywidgets as widgets

from castlab.teach.text import markup
from castlab.teach.work.alone import LOCK
from castlab.teach.work.pool import IN_A_BROWSER, InTurn, Pool, Stopped
from castlab.units import METRIC

SLICE_SECONDS = 0.03  # so long the kernel computes at a stretch where it does the jobs itself
PAUSE_SECONDS = 0.003  # ... and then so long it listens
FIRST_GUESS = 3  # answers needed before the time to go is guessed
ROW_STYLE = "font-size:15px; line-height:1.45; min-width:320px; padding-left:8px"


class Work:
    """A row with bar, words and stop button, and the work that it speaks of. The newest plan wins.

    Answers arrive one by one on the kernel's own loop; without a running loop, or while a cell keeps it
    busy, when `wait` is called. `widget` is the row, hidden until there is work.

    here   whether the jobs are done in this process, as in a browser: for short ones, or such as keep to it
    rest   its processes wait so long for the next plan [s]: where one short plan often follows the other
    """

    def __init__(self, here=False, rest=0.0):
        self._here = IN_A_BROWSER or here
        self._pool = InTurn() if self._here else Pool(rest=rest)
        self._run, self._deliveries = None, queue.SimpleQueue()
        self._bar = widgets.IntProgress(layout={"width": "260px"})
        self._words, self._alert = widgets.HTML(), widgets.HTML()
        whole = {"width": "auto", "flex": "0 0 auto"}  # never cut off
        self._button = widgets.Button(description="Stop", disabled=True, layout=whole)
        self._button.on_click(lambda _: self.stop())
        row = widgets.HBox([self._button, self._bar, self._words], layout={"align_items": "center"})
        self.widget = widgets.VBox([row, self._alert], layout={"display": "none"})

    @property
    def running(self):
        """Whether work is going on."""
        return self._run is not None and not self._run.over

    @property
    def words(self):
        """How far it is, as plain text."""
        return markup.plain(self._words.value)

    @property
    def alert(self):
        """What went wrong, as plain text; empty when nothing did."""
        return markup.plain(self._alert.value)

    def start(self, plan, on_result=None, on_done=None):
        """Follow a plan from now on, and no longer the one before.

        plan       a generator that yields `Batch`es; it is used up
        on_result  function: (job, answer), called for each answer as it comes
        on_done    function: (answer of the plan), called at the end; not when stopped
        """
        before, run = self._run, _Run(plan, on_result, on_done)
        if before is not None:
            before.stop.set()
        with LOCK:
            self._run = run
            self._show(run)
            self._alert.value = ""
        if self._here:
            run.steps = self._following(run, self._pool)
            self._go_on_later(run)
        else:
            run.thread = threading.Thread(target=self._supervise, args=(run, before), daemon=True)
            run.thread.start()

    def stop(self):
        """End the work and its processes within half a second. What has arrived stays."""
        if self._run is not None:
            self._run.stop.set()
        self._pool.end_rest()

    def put_away(self):
        """Hide the row until there is work again."""
        self.widget.layout.display = "none"

    def wait(self, timeout=None):
        """Deliver answers here until the work is over; return the plan's answer, None if it was stopped.

        timeout [s]. Raises what the work raised, and TimeoutError if it takes longer (the work goes on).
        An interrupt of the cell stops the work.
        """
        last = None if timeout is None else time.monotonic() + timeout
        try:
            while self.running:
                self._deliver()
                if last is not None and time.monotonic() > last and self.running:
                    raise TimeoutError(f"the work takes longer than {timeout:g} s; it says: {self.words}")
                if self._run.thread is None:
                    next(self._run.steps, None)
                else:
                    time.sleep(0.01)
        except KeyboardInterrupt:
            self.stop()
            raise
        if self._run is None:
            return None
        if self._run.error is not None:
            raise self._run.error
        return self._run.answer

    # ---- in the thread: it touches no widget, it only posts

    def _supervise(self, run, before):
        if before is not None:
            before.thread.join()  # never more than two processes
        for _ in self._following(run, self._pool):
            pass

    def _following(self, run, pool):
        """Follow the plan to its end, giving way whenever something has come: a generator."""
        answer = error = answers = None
        try:
            with closing(pool):
                while True:
                    try:
                        batch = run.plan.send(answers)
                    except StopIteration as end:
                        answer = end.value
                        break
                    answers = yield from self._answers(run, pool, batch)
        except Exception as problem:
            error = problem
        self._post(run, lambda: self._finish(run, answer, error))

    def _answers(self, run, pool, batch):
        """The answers of a batch, in the order of its jobs; each is delivered as it comes: a generator."""
        run.expect(batch)
        answers = {}
        for found in pool.solve(batch.jobs, run.stop):
            if found is not None:
                number, answer = found
                answers[number] = answer
                self._post(run, lambda job=batch.jobs[number], answer=answer: self._take(run, job, answer))
            yield
        return [answers[number] for number in range(len(batch.jobs))]

    def _go_on_later(self, run):
        """A slice of the work after a pause; without a loop `wait` does it all."""
        if run.loop is not None:
            run.loop.call_later(PAUSE_SECONDS, lambda: self._go_on(run))

    def _go_on(self, run):
        until = time.perf_counter() + SLICE_SECONDS
        for _ in run.steps:
            if time.perf_counter() > until:
                self._go_on_later(run)
                return

    def _post(self, run, action):
        """To be done on the kernel's loop, in this order."""
        self._deliveries.put((run, action))
        if run.loop is not None:
            try:
                run.loop.call_soon_threadsafe(self._deliver)
            except RuntimeError:  # that loop is closed; `wait` still delivers
                run.loop = None

    # ---- on the kernel's loop, or in `wait`

    def _deliver(self):
        """Do what was posted, in order, alone; what an older plan still posts is dropped."""
        with LOCK:
            while not self._deliveries.empty():
                run, action = self._deliveries.get()
                if run is self._run and not run.over:
                    self._guarded(run, action)

    def _guarded(self, run, action):
        """An error in a listener ends the work, is shown, and is raised for tests to see."""
        try:
            action()
        except Exception as error:
            self._fail(run, error)
            raise

    def _take(self, run, job, answer):
        run.done += 1
        if run.on_result is not None:
            run.on_result(job, answer)
        self._show(run)

    def _finish(self, run, answer, error):
        if isinstance(error, Stopped):
            self._end(run, f"Stopped after {run.done}{f' of {run.total}' if run.told else ''}")
        elif error is not None:
            self._fail(run, error)
        else:
            run.answer = answer
            if run.on_done is not None:
                run.on_done(answer)
            self._bar.max = self._bar.value = max(run.done, 1)  # a plan may ask for less than it had told
            self._end(run, f"Done: {run.done} computed")

    def _fail(self, run, error):
        run.stop.set()
        run.error = error
        self._alert.value = markup.alert(f"{type(error).__name__}: {error}")
        self._end(run, f"It broke off after {run.done} of {run.total}")

    def _end(self, run, words):
        run.over = True
        self._button.disabled = True
        took = _seconds(time.monotonic() - run.began)
        self._words.value = markup.status(f"{words}, in {took}.", ROW_STYLE)

    def _show(self, run):
        """How far it is. Not a live region: a screen reader would never stop talking."""
        self.widget.layout.display = ""
        self._button.disabled = False
        self._bar.max, self._bar.value = max(run.total, 1), run.done
        self._bar.layout.display = "" if run.told else "none"
        self._words.value = f'<div style="{ROW_STYLE}">{markup.safe(run.words())}</div>'


class _Run:
    """One plan on its way."""

    def __init__(self, plan, on_result, on_done):
        self.plan, self.on_result, self.on_done = plan, on_result, on_done
        self.stop, self.began = threading.Event(), time.monotonic()
        self.thread = self.steps = None  # the one or the other
        self.asked = self.total = self.done = 0
        self.told = True  # whether the plan can say how much there is to do
        self.answer = self.error = None
        self.over = False
        self.loop = running_loop()

    def expect(self, batch):
        """How many answers there will be: what the plan once told holds until it asks for more."""
        self.asked += len(batch.jobs)
        self.told = batch.more is not None
        self.total = max(self.total, self.asked + (batch.more or 0))

    def words(self):
        """Such as "34 of 225, about 12 s to go"."""
        if self.total == 0:
            return "starting"
        if not self.told:
            return f"trying it out: {self.done} computed so far"
        words = f"{self.done} of {self.total}"
        if self.done < FIRST_GUESS or self.done == self.total:
            return words
        to_go = (time.monotonic() - self.began) / self.done * (self.total - self.done)
        return f"{words}, about {_seconds(to_go)} to go"


def running_loop():
    """The loop on which this kernel hears its widgets; None in a plain program."""
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None


def _seconds(seconds):
    """A guess of time, in whole seconds."""
    seconds = max(seconds, 1.0)
    return METRIC.time(seconds, digits=1 if seconds < 10.0 else 2)
