"""What a long piece of work is: jobs in batches, asked for by a plan. Nothing but the standard library.

A *plan* is a generator that yields one `Batch` of jobs after the other and is sent the list of their answers,
in the order of the jobs; what it returns is the answer of the whole. It only decides what to compute next;
everything that takes time is a job, and may run in another process. `run_here` follows a plan on the spot.
"""

import functools
from dataclasses import dataclass

from castlab.errors import InputError


def to_the_end(work):
    """What `work`, a generator that gives way now and then such as `freezing`, returns in the end.

    >>> def counted():
    ...     yield 0.5
    ...     return "done"
    >>> to_the_end(counted())
    'done'
    """
    while True:
        try:
            next(work)
        except StopIteration as done:
            return done.value


def giving_way(steps):
    """A function out of a generator function: called it computes to the end, and as `Job` it may give way.

    >>> @giving_way
    ... def counted(most):
    ...     yield 0.5
    ...     return most
    >>> counted(3), list(Job(counted, 3).steps())
    (3, [0.5])
    """

    @functools.wraps(steps)
    def whole(*args, **options):
        return to_the_end(steps(*args, **options))

    whole.steps = steps
    return whole


@dataclass(frozen=True)
class Job:
    """One call of a function, to be made in another process: `Job(outcome_of, design, cell)`.

    The function must stand in a module that can be imported; it, its arguments and its answer travel
    between processes, so they had better be small.

    >>> Job(divmod, 7, 2)()
    (3, 1)
    """

    function: object
    args: tuple

    def __init__(self, function, *args):
        if getattr(function, "__module__", None) == "__main__":
            name = getattr(function, "__name__", repr(function))
            allowed = "it must stand in a module that can be imported, not in a notebook"
            raise InputError("function for other processes", name, allowed)
        object.__setattr__(self, "function", function)
        object.__setattr__(self, "args", args)

    def __call__(self):
        return self.function(*self.args)

    def steps(self):
        """The same where there is no other process: a generator that gives way now and then, if the function
        can, and returns the answer."""
        steps = getattr(self.function, "steps", None)
        return (yield from steps(*self.args)) if steps else self()


@dataclass(frozen=True)
class Batch:
    """Jobs that can be done in any order, and about how many `more` the plan will ask for after them; None
    where nobody can say."""

    jobs: tuple
    more: int | None = 0

    def __post_init__(self):
        object.__setattr__(self, "jobs", tuple(self.jobs))


def map_over(function, items):
    """The plan of one function over independent items; its answer is the list of theirs, in order.

    >>> run_here(map_over(abs, [-1, 2, -3]))
    [1, 2, 3]
    """
    return (yield Batch(Job(function, item) for item in items))


def side_by_side(plans):
    """One plan out of several that know nothing of each other; its answer is the list of theirs, in order.

    What they want at the same time is asked for together.

    >>> run_here(side_by_side([map_over(abs, [-1, -2]), map_over(str, [3])]))
    [[1, 2], ['3']]
    """
    plans, replies, answers = list(plans), {}, {}
    while len(answers) < len(plans):
        batches = {}
        for number in range(len(plans)):
            if number not in answers:
                try:
                    batches[number] = plans[number].send(replies.get(number))
                except StopIteration as end:
                    answers[number] = end.value
        if batches:
            jobs = [job for batch in batches.values() for job in batch.jobs]
            found = iter((yield Batch(jobs, sum(batch.more for batch in batches.values()))))
            replies = {number: [next(found) for _ in batch.jobs] for number, batch in batches.items()}
    return [answers[number] for number in range(len(plans))]


def follow(plan, answers_of):
    """Follow a plan to its end, and return its answer.

    Parameters: `plan`; `answers_of`, a function: Batch -> the answers of its jobs, in order.

    >>> follow(map_over(abs, [-1, 2]), lambda batch: ["one", "two"])
    ['one', 'two']
    """
    answers = None
    while True:
        try:
            batch = plan.send(answers)
        except StopIteration as end:
            return end.value
        answers = answers_of(batch)


def run_here(plan):
    """Follow a plan in this process, without bar or stop, and return its answer."""
    return follow(plan, lambda batch: [job() for job in batch.jobs])
