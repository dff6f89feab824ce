"""What a shop's own pours say of the predictions: by how much times and holes come out larger or smaller."""

from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between
from castlab.rules.agreement import Judged, fit_linear, judged

FEWEST = 3  # pours before a correction is spoken of
# How far one pour may differ from a right prediction (standard deviations, judgement): a share of it, and the
# least that is seen at all, a minute by the clock and a fifth of a cm3 of sand or wax.
TIME_ERROR, HOLE_ERROR = (0.08, 60.0), (0.20, 0.2e-6)


@dataclass(frozen=True, eq=False)
class Bias:
    """How much larger a thing is measured than predicted: ratio, and how far that may be off either way.

    left_over   of each pour, measured less ratio times predicted, in the unit of both
    judged      which pour does not agree with the others: `castlab.rules.agreement.Judged`
    """

    ratio: float
    band: float
    left_over: tuple[float, ...]
    judged: Judged

    @property
    def few(self):
        """Whether these are too few pours to correct anything by."""
        return len(self.left_over) - len(self.judged.wrong) < FEWEST

    @property
    def corrects(self):
        """Whether the predictions are surely off: enough pours, and 1 outside the band."""
        return not self.few and abs(self.ratio - 1.0) > self.band


def bias_of(predicted, measured, error):
    """By what ratio measured = ratio predicted: a `Bias`, by least squares through the origin.

    predicted, measured   of the same pours, 0 or more, in one unit; some predicted above 0
    error                 (share, least): a pour errs by sqrt((share predicted)^2 + least^2), standard
                          deviation; TIME_ERROR or HOLE_ERROR

    Raises InputError for a number outside its range, or where nothing above 0 was predicted. Source: linear
    regression, any textbook of statistics. By hand: 10, 20 and 30 min became 12, 24 and 36 min:

    >>> late = bias_of([600.0, 1200.0, 1800.0], [720.0, 1440.0, 2160.0], TIME_ERROR)
    >>> round(late.ratio, 3), late.corrects, late.judged.wrong
    (1.2, False, ())
    """
    share, least = error
    both = [[require_between(name, each, 0.0, 1e9) for each in values]
            for name, values in (("predicted value", predicted), ("measured value", measured))]
    if not any(both[0]) or len(both[0]) != len(both[1]):
        raise InputError("pours", f"{len(both[0])}",
                         "there must be one with a prediction above 0, and a measured value for each")
    predicted, measured = (np.array(each) for each in both)
    errors = np.hypot(share * predicted, least)

    def fit_of(kept):
        return fit_linear(predicted[kept, None], measured[kept], errors[kept])

    result = judged(fit_of, len(measured))
    ratio = float(result.fit.values[0])
    return Bias(ratio, float(result.fit.bands[0]), tuple(map(float, measured - ratio * predicted)), result)
