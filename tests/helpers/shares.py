"""Which of many cases belong to every run; the others are marked slow, and `.ci/run` runs those too."""

import pytest


def mostly_slow(cases, quick):
    """The cases as parameters, those marked slow that are not in `quick`; each is a value or a tuple of them.

    >>> [bool(each.marks) for each in mostly_slow(["ball", "plate"], quick=["plate"])]
    [True, False]
    """
    cases = list(cases)
    unknown = [each for each in quick if each not in cases]
    assert quick and not unknown, f"not among the cases: {unknown}"
    return [_param(each, () if each in quick else pytest.mark.slow) for each in cases]


def every(count, cases):
    """Every so many of the cases in each run, the first of them too."""
    cases = list(cases)
    return mostly_slow(cases, cases[::count])


def _param(case, marks):
    return pytest.param(*(case if isinstance(case, tuple) else (case,)), marks=marks)
