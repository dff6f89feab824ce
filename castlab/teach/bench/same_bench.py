"""One bench for each kernel: a cell that is run again shows the same one, and what hangs on it stays true."""

from functools import cache, wraps

from IPython import get_ipython


def same_in_a_kernel(begin):
    """What a lesson writes above a function that makes a bench: in a notebook it makes it once.

    Else the cell run again would leave the old bench on the page, while prediction, tasks and printed numbers
    go on with a new one that nobody sees. In a plain program each call makes a new one.

    >>> @same_in_a_kernel
    ... def begin():
    ...     return ["a bench"]
    >>> begin() is begin()
    False
    """
    once = cache(begin)

    @wraps(begin)
    def begin_or_go_on(*which, **named):
        return (begin if get_ipython() is None else once)(*which, **named)

    return begin_or_go_on
