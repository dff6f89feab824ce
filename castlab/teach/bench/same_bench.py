"""One bench for each kernel: a cell that is run again shows the same one, and what hangs on it stays true."""

from functools import cache, wraps

from IPython import get_ipython

from castlab.teach.bench.bench import Bench
from castlab.teach.bench.lesson_memory import memory_of
from castlab.teach.bench.questions import Question
from castlab.teach.course.the_lessons import asks_for_a_prediction


def same_in_a_kernel(begin):
    """What a lesson writes above a function that makes a bench and its question: in a notebook it makes them
    once, and the lesson remembers what is done with them.

    Else the cell run again would leave the old bench on the page, while prediction, tasks and printed numbers
    go on with a new one that nobody sees. In a plain program each call makes a new one.

    >>> @same_in_a_kernel
    ... def begin():
    ...     return ["a bench"]
    >>> begin() is begin()
    False
    """
    @cache
    def once(*which, **named):
        made = begin(*which, **named)
        memory = memory_of(begin.__module__)
        if memory:
            memory.add_beginning(begin.__name__, *_sorted(made))
        return made

    @wraps(begin)
    def begin_or_go_on(*which, **named):
        if get_ipython() is None:
            return begin(*which, **named)
        made, memory = once(*which, **named), memory_of(begin.__module__)
        if memory:
            memory.show_last_time(begin.__name__)
        return made

    return asks_for_a_prediction(begin_or_go_on)


def _sorted(made):
    """Of what a lesson made: its benches, the question about them, and the table of lesson 10, or None."""
    benches = [each for each in made if isinstance(each, Bench)]
    (question,) = (each for each in made if isinstance(each, Question))
    others = [each for each in made if each is not question and each not in benches]
    return benches, question, next(iter(others), None)
