"""A check that looks at many castings gives way between its looks: words say how many, and Stop ends it.

A check is a plain function and knows nothing of this. It is begun again and again; what it looked at before
is kept by its bench, so each time it comes one look further, until it has its answer.
"""

from castlab.errors import InputError
from castlab.plan import Batch, Job, giving_way
from castlab.teach.bench.cache import NotKept
from castlab.teach.work.progress import Work, running_loop


class PatientCheck:
    """Checks on a `bench`, one at a time; `widget` is the row with words and Stop, hidden without work."""

    def __init__(self, bench):
        self._bench, self._work, self._values = bench, Work(here=True), None
        self.widget = self._work.widget
        bench.when_moved(self._follow)

    def start(self, check, on_done):
        """Begin `check()` and call `on_done(answer)` with what it returns: now, where all that it looks at is
        known, else when it has looked. Of an InputError the answer is the error. Without a loop it waits."""
        self.stop()
        self._values = self._bench.values
        try:
            answer = answer_of(self._bench, check)
        except NotKept:
            self._work.start(looking_on(self._bench, check),
                             on_done=lambda answer: self._end(answer, on_done))
            if running_loop() is None:
                self._work.wait()
        else:
            on_done(answer)

    def stop(self):
        """Check no further."""
        self._work.stop()

    def _end(self, answer, on_done):
        on_done(answer)
        self._work.put_away()

    def _follow(self):
        """A check is of the bench as it stood, not of one whose sliders move on meanwhile."""
        if self._work.running and self._bench.values != self._values:
            self._work.stop()


def answer_of(bench, check):
    """What a check of this bench returns, or the InputError that it raises, without a look at anything new.

    Raises NotKept where it needs one.
    """
    try:
        with bench.taking_no_look():
            return check()
    except InputError as error:
        return error


def looking_on(bench, check):
    """The plan of a check (see `castlab.plan`): one look after the other, nobody knows how many."""
    taken = set()
    while True:
        try:
            return answer_of(bench, check)
        except NotKept as missing:
            key = missing.key
        if key in taken:  # more looks than are kept: then all of it at a stretch
            return check()
        taken.add(key)
        (result,) = yield Batch([Job(giving_way(bench.looking), *key)], more=None)
        bench.keep(*key, result)
