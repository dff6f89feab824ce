"""The account of a run moment by moment: where metal is missing so far, and who has supplied how much."""

from dataclasses import dataclass

import numpy as np

from castlab.field.ledger import KINDS, Ledger
from castlab.field.shrinkage import STEPS_AT_ONCE

SUPPLIERS = ("pour", "gate", "feeder", "casting")


@dataclass(frozen=True, eq=False)
class History:
    """What `times_s` [s], the snapshots of a run, and the same number of rows hold.

    void        share of each metal cell's metal that is missing so far, shape (n, m)
    supplied    {supplier: [m3] so far, shape (n,)}; what the casting supplies are its holes
    """

    times_s: np.ndarray
    void: np.ndarray
    supplied: dict


def history(account):
    """Follow the freezing of an `account` (Shrinkage) once more, and write down each step. Returns a History.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=472.0)
    >>> account = shrinkage(freeze(setup, cell=4e-3))
    >>> whole = sum(shares[-1] for shares in history(account).supplied.values())
    >>> bool(abs(whole - account.asked_m3) < 1e-3 * whole)
    True
    """
    run = account.run
    ledger, last = _Watched(run, account.path), len(run.times_s) - 1
    for first in range(0, last, STEPS_AT_ONCE):
        ledger.follow(first, min(first + STEPS_AT_ONCE, last))
    return History(run.times_s, ledger.void, ledger.supplied)


class _Watched(Ledger):
    """A ledger that keeps what it had written after each step."""

    def __init__(self, run, path):
        super().__init__(run, path)
        steps = len(run.times_s)
        self.void = np.zeros((steps, len(self.cells)), dtype=np.float32)
        self.supplied = {supplier: np.zeros(steps) for supplier in SUPPLIERS}
        self.supplied["pour"][0] = self.poured_kg / self.alloy.density_solid

    def take(self, step, course):
        super().take(step, course)
        self.void[step + 1] = self.empty
        missing = self.empty * self.volume
        for supplier in ("gate", "feeder"):
            self.supplied[supplier][step + 1] = missing[self.payer == KINDS.index(supplier)].sum()
        self.supplied["casting"][step + 1] = missing[self.in_casting].sum()
        self.supplied["pour"][step + 1] = self.poured_kg / self.alloy.density_solid
