"""The account: where the metal that is missing after freezing comes from.

As metal cools and freezes it asks for volume. Cells between which liquid can pass form pools; a pool pays
for its cells, first from where the metal still moves as a slurry (the level falls), then from between the
crystals (liquid drains). What feeder, gate and sprue pay is harmless; what the casting pays is a defect.
Every kilogram is followed, so that asked and paid agree to round-off.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from castlab.field.feeding_path import FeedingPath, following
from castlab.field.holes import CAVITY_SOUND_M3, DEFECTS, LEAST_PIECE, holes_of, pieces_of
from castlab.field.ledger import Ledger
from castlab.plan import to_the_end

SOUND_BELOW, MARGINAL_BELOW = 1e-3, 5e-3  # defects as a share of the casting's volume; judgement
STEPS_AT_ONCE = 16  # what does not depend on who pays is computed for so many together: quick and small


@dataclass(frozen=True, eq=False)
class Shrinkage:
    """The account of one run.

    asked_m3            liquid and freezing contraction of all metal, V (1 - rho at pouring / rho when solid)
    paid_m3             who paid it, by the names in KINDS
    void, kind          on the cells: share that ended empty, its main kind by number in KINDS (-1 none)
    drained_m3          of the casting's holes, what was drawn from between crystals
    beside_feeder_m3    of the same, what was drawn while liquid could still come from a feeder
    past_feeder_m3      of that, what was drawn while enough of the feeder still moved: it lay lower, or no
                        air came in there
    path                FeedingPath, by which pores open where suction could not feed; None in a quick look
    """

    run: object
    asked_m3: float
    paid_m3: dict
    casting_m3: float
    void: np.ndarray
    kind: np.ndarray
    void_of: dict = field(repr=False)
    drained_m3: float
    beside_feeder_m3: float
    past_feeder_m3: float
    path: FeedingPath | None = None

    @property
    def defect_m3(self):
        """Volume of all holes that the casting pays for [m3]."""
        return sum(self.paid_m3[kind] for kind in DEFECTS)

    @property
    def defect_share(self):
        """Defects as a share of the casting's volume."""
        return self.defect_m3 / self.casting_m3

    @property
    def verdict(self):
        """ "sound" below 0.1 % of the casting in defects, without a closed cavity of 0.05 cm3 or of 2 % of
        its section, and without sponge of 0.2 % of its section; "marginal" below five times as much of each;
        else "defective"."""
        if self.harm < 1.0:
            return "sound"
        return "marginal" if self.harm < MARGINAL_BELOW / SOUND_BELOW else "defective"

    @cached_property
    def harm(self):
        """How far it is from sound: the largest of its defects, each as a share of what is still sound. What
        a quick look guesses of sponge is too rough to be judged section by section."""
        judged = (place.harm for place in self.places if self.path or place.kind != "sponge")
        return max([self.defect_share / SOUND_BELOW, *judged])

    @cached_property
    def places(self):
        """The connected pieces that the holes are made of, largest first."""
        least = LEAST_PIECE * max(self.defect_m3, SOUND_BELOW * self.casting_m3)
        least = min(least, 0.5 * CAVITY_SOUND_M3)  # of a large casting
        return pieces_of(self.run, self.void_of, least)

    @cached_property
    def holes(self):
        """The holes, one `Hole` for each kind and block, the largest sum first."""
        return holes_of(self.places)

    @cached_property
    def froze_s(self):
        """When each block was wholly solid [s], by name."""
        run, found = self.run, {}
        for number, body in enumerate(run.grid.layout.blocks):
            times = run.freeze_time_s[(run.grid.block == number) & (run.grid.metal > 0.0)]
            if times.size:
                found[body.name] = float(times.max())
        return found

    @property
    def casting_froze_s(self):
        """When all of the casting was solid [s]."""
        return float(np.nanmax(self.run.freeze_time_s[self.run.grid.is_role("casting")]))

    @property
    def gate_closed_s(self):
        """When the first block between sprue and casting was solid [s]; None without a gate."""
        gates = [body.name for body in self.run.grid.layout.blocks if body.role == "gate"]
        return min((self.froze_s[name] for name in gates), default=None)

    @property
    def feeder_emptied(self):
        """Share of the feeder's volume that it has given away."""
        volume = float(self.run.grid.metal_volume[self.run.grid.is_role("feeder")].sum())
        return self.paid_m3["feeder"] / volume if volume else 0.0


def shrinkage(run, at_rest=True):
    """Follow the missing metal of a Freeze through to the holes it leaves.

    asked = paid:  V (1 - rho(T_pour) / rho_solid) = feeder + gate + pour + sink + cavity + sponge + pipe +
    dimensional

    Parameters: `run` (Freeze); `at_rest`, whether the suction along the way through the mush is solved, which
    takes some tenths of a second. Returns a Shrinkage, volumes in m3. Source: mass conservation; the order of
    payment is that of Campbell's feeding mechanisms (liquid, mass, interdendritic feeding), from memory;
    limits are judgement, named above.

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=472.0)
    >>> account = shrinkage(freeze(setup, cell=4e-3))
    >>> abs(account.asked_m3 - sum(account.paid_m3.values())) < 1e-9 * account.asked_m3
    True
    """
    return to_the_end(accounting(run, at_rest))


def accounting(run, at_rest=True):
    """The same as `shrinkage`, giving way every few steps: a generator that returns the Shrinkage.

    Parameters: `run` and `at_rest` as for `shrinkage`.

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=472.0)
    >>> any(accounting(freeze(setup, cell=8e-3)))  # it yields nothing but the time to do other things
    False
    """
    path = (yield from following(run)) if at_rest else None
    ledger = Ledger(run, path)
    for first in range(0, len(run.times_s) - 1, STEPS_AT_ONCE):
        yield
        ledger.follow(first, min(first + STEPS_AT_ONCE, len(run.times_s) - 1))
    yield
    return Shrinkage(run, **ledger.close(), path=path)
