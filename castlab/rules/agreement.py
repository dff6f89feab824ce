"""A small fit of what was measured: most likely values, how sure they are, and which entry does not agree.

Each entry has a stated error. An entry that lies further from what all others say than its error allows is
named, left out, and never thrown away: a person decides whether it was a slip of the pen.
"""

import math
from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_positive

COVER = 4.0  # standard deviations in a band: it holds the truth in all but about one of 10 000 fits
SUSPECT = 4.5  # standard deviations from what the others say: one entry in 100 000 errs so far by chance
LOOKED_AT = 4  # of the entries, those that lie furthest off
LEAST_FREE = 1e-6  # an entry's share that others check; with less nothing can be said about it


@dataclass(frozen=True, eq=False)
class Fit:
    """Fitted values and what they leave over.

    values, bands   most likely, and how far the truth may be off either way (`COVER` standard deviations)
    misfits         of each entry, in standard deviations of what it should leave over; 0 where no other
                    entry says anything about it
    """

    values: np.ndarray
    bands: np.ndarray
    misfits: np.ndarray

    @property
    def agrees(self):
        """Whether no entry lies further off than errors reach."""
        return bool((np.abs(self.misfits) <= SUSPECT).all())


@dataclass(frozen=True, eq=False)
class Judged:
    """A fit after one look at its entries.

    fit     of all entries, or of the others where exactly one is wrong; its misfits are those of the
            entries kept
    wrong   numbers of the entries without any one of which the others agree: none; one, which is left out;
            or several, of which one is wrong and nothing says which, so that all are kept
    """

    fit: Fit
    wrong: tuple[int, ...] = ()

    @property
    def left_out(self):
        """Number of the one wrong entry; None where there is none, or nobody can say which."""
        return self.wrong[0] if len(self.wrong) == 1 else None


def fit_linear(rows, measured, errors, usual=(), spread=()):
    """Least squares, each entry weighed by its error: a `Fit` of measured = rows @ values.

    values  least sum of ((measured - rows values) / errors)^2 + ((values - usual) / spread)^2
    misfit  left over / (error sqrt(1 - leverage))

    rows            one row for each entry, one column for each value
    measured        of each entry          errors   its standard deviation, greater than 0
    usual, spread   what is known of each value beforehand, and its standard deviation; empty: nothing

    Where the entries scatter more than their errors, the bands grow with the scatter. Raises InputError for
    too few entries and for an error that is not greater than 0. Source: linear regression with weights, any
    textbook of statistics. By hand: 10.5 and 11.5, each known to 1, have the mean 11, known to 1/sqrt(2):

    >>> fit = fit_linear([[1.0], [1.0]], [10.5, 11.5], [1.0, 1.0])
    >>> round(float(fit.values[0]), 6), round(float(fit.bands[0]) / COVER, 3), fit.agrees
    (11.0, 0.707, True)
    """
    rows, measured = np.asarray(rows, dtype=float), np.asarray(measured, dtype=float)
    errors = np.array([require_positive("error of an entry", each) for each in errors])
    wide = len(spread)
    matrix = np.vstack([rows / errors[:, None], np.diag(1.0 / np.asarray(spread))]) if wide else (
        rows / errors[:, None])
    aim = np.concatenate([measured / errors, np.divide(usual, spread)]) if wide else measured / errors
    if np.linalg.matrix_rank(matrix) < matrix.shape[1]:
        allowed = f"{matrix.shape[1]} different ones or more are needed"
        raise InputError("entries", f"{len(measured)}", allowed)
    basis, corner = np.linalg.qr(matrix)
    values = np.linalg.solve(corner, basis.T @ aim)
    left, free = (aim - matrix @ values)[:len(measured)], 1.0 - (basis**2).sum(axis=1)[:len(measured)]
    misfits = np.where(free > LEAST_FREE, left / np.sqrt(np.maximum(free, LEAST_FREE)), 0.0)
    inverse = np.linalg.inv(corner)
    scatter = max(1.0, math.sqrt(left @ left / free.sum())) if free.sum() > LEAST_FREE else 1.0
    return Fit(values, COVER * scatter * np.sqrt((inverse**2).sum(axis=1)), misfits)


def judged(fit_of, count):
    """A fit, and which of its entries is wrong: a `Judged`.

    fit_of   function: list of numbers of entries -> their `Fit`; InputError where they are too few
    count    number of entries, 1 or more

    An entry is wrong where the fit of all does not agree and the fit without it does. Raises what `fit_of`
    raises for all entries. Source: residuals when one entry is left out, any textbook of regression. By hand:
    of 10, 10, 10 and 30, each known to 1, the last is wrong; of 10 and 30 one is, and nothing says which:

    >>> def mean_of(entries):
    ...     return lambda kept: fit_linear(
    ...         [[1.0]] * len(kept), [entries[at] for at in kept], [1.0] * len(kept))
    >>> judged(mean_of([10.0, 10.0, 10.0, 30.0]), 4).left_out
    3
    >>> judged(mean_of([10.0, 30.0]), 2).wrong
    (0, 1)
    """
    everything = list(range(count))
    fit = fit_of(everything)
    if fit.agrees:
        return Judged(fit)
    furthest = sorted(everything, key=lambda at: -abs(fit.misfits[at]))[:LOOKED_AT]
    others = {at: _fit_without(fit_of, everything, at) for at in furthest}
    wrong = tuple(sorted(at for at, other in others.items() if other is not None and other.agrees))
    return Judged(others[wrong[0]] if len(wrong) == 1 else fit, wrong)


def _fit_without(fit_of, entries, at):
    """The fit of all entries but one; None where they are too few."""
    try:
        return fit_of([each for each in entries if each != at])
    except InputError:
        return None
