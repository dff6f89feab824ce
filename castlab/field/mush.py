"""The metal cells of a casting as a net of ways between the crystals, and the suction in it.

Metal that shrinks sucks liquid through the mush. How much suction that takes is a pressure problem on the
cells: Darcy's law between neighbours, and nothing lost where liquid still moves and air can follow it. Where
it would take more than the air's weight and that of the metal above, a pore opens, and pays from then on.
That is so where feeder, gate or sprue pay for a pool. A pool that none of them pays for has its own liquid to
give: it goes down or drains, and nothing is sucked through it.

Hydrogen that the crystals leave to the liquid helps: a pore opens where suction and the pressure of the gas
together exceed that weight, and the less gas presses the more room it takes. Surface tension, which holds a
small pore shut, is left out: so pores open rather too soon.
"""

import numpy as np

from castlab.field.ledger import EQUALLY_SOLID
from castlab.field.sponge import ATMOSPHERE_PA, GRAVITY, KOZENY
from castlab.field.suction import Board, Net

LOOSEST, TIGHTEST = 0.05, 0.999  # shares of crystals beyond which mush counts as no looser and no tighter
ALIKE = 1e-3  # two cells whose crystals differ by less have one permeability


class Mush:
    """What is sucked where, step by step, while a Freeze, `run`, is followed; volumes in m3. `hydrogen` is
    what is in the melt, a `castlab.field.hydrogen.Hydrogen`, or None.

    pores       volume that could not be fed, of each metal cell: what pores pay
    paid_to     solid fraction up to which a feeder or gate paid for the pool of each metal cell
    asked_m3    what freezing asked for so far
    own_m3      what pools of the casting paid for themselves: the account says where the hole of that is
    suction     of the last step [Pa]; `most` is what there is of it, one atmosphere and the metal above the
                middle of the casting: one number, because capillarity between the crystals keeps liquid
                from sinking from one pore into a lower one
    """

    def __init__(self, run, hydrogen=None):
        self.run, self.hydrogen, self.alloy, grid = run, hydrogen, run.setup.alloy, run.grid
        cells, layout = run.metal_cells, grid.layout
        count = len(cells)
        self.volume = grid.metal_volume.ravel()[cells]
        self.outside = (grid.is_role("feeder") | grid.is_role("gate")).ravel()[cells]
        place = np.unravel_index(cells, grid.shape)[layout.up_axis]
        height = layout.up_sign * grid.centres[layout.up_axis][place]
        above = height.max() - np.average(height[~self.outside], weights=self.volume[~self.outside])
        self.most = ATMOSPHERE_PA + self.alloy.density_liquid * GRAVITY * float(above)
        self.mobile = self.alloy.mobile_limit if self.alloy.arrest_fraction > 0.0 else 1.0
        self.resists = KOZENY * self.alloy.viscosity / arm_spacing(run) ** 2
        self.board = Board(run)
        self.pores, self.suction, self.paid_to = np.zeros((3, count))
        self.solid = run.solid[0].astype(float)
        self.open, self.gassy = np.zeros((2, count), dtype=bool)  # cells with a pore, and with gas in one
        self.asked_m3 = self.own_m3 = 0.0

    def take(self, step):
        """One step between two snapshots: what freezes asks for liquid, feeders pay at once, pools without
        one pay for themselves, and all else sucks."""
        before, asked = self.solid, self._freeze_on(step)
        wet = before < 1.0
        crystals = np.minimum(0.5 * (before + self.solid), self.alloy.arrest_fraction)
        pool = self.board.names(wet)
        fed, alone = self.payers(wet, crystals, pool)
        np.copyto(self.paid_to, self.solid, where=_same_name(pool, fed))
        self.asked_m3 += float(asked.sum())
        self.own_m3 += float(asked[alone].sum())
        sucks = wet & ~fed & ~alone
        self.suction[~sucks], self.open[~sucks], self.gassy[~sucks] = 0.0, False, False
        if sucks.any():
            odd, even = self.board.odd, self.board.even
            faces = np.flatnonzero(wet[odd] & wet[even] & (sucks[odd] | sucks[even]))
            links = self.links(crystals, faces) * (self.run.times_s[step + 1] - self.run.times_s[step])
            links *= 1.0 - self.alloy.freezing_contraction  # what is left of the liquid when it is solid
            self._suck(asked, sucks, faces, links, self.run.temp_c[step + 1])
            self.own_m3 += self._drawn_from(alone, faces, links)

    def _freeze_on(self, step):
        """Take what is solid from the next snapshot; returns what that asks for [m3]."""
        before = self.solid
        self.solid = np.clip(self.run.solid[step + 1], before, 1.0)  # what melts again asks for nothing
        if step == len(self.run.times_s) - 2:  # each cell has been solid once; one may have melted again
            self.solid = np.ones(len(before))
        return self.volume * self.alloy.freezing_contraction * (self.solid - before)

    def _suck(self, asks, sucks, faces, links, temp_c):
        """Cells that suck get what they ask for from their neighbours, or from pores that open; and pores are
        filled again where more comes."""
        gas = yields, holds = self.gas(temp_c) if self.hydrogen else (None, None)
        while True:
            if self.hydrogen:
                gas = np.where(self.gassy & ~self.open, yields, 0.0), holds
            net = Net(self.board, faces, links, sucks, *gas)
            whole = asks, self.suction, self.pores, self.open
            parts = [each[net.cells] for each in whole]
            lacks = net.settle(*parts, self.most)
            for each, part in zip(whole, parts, strict=True):
                each[net.cells] = part
            if not self.hydrogen:
                break
            self.gassy |= sucks & (self.suction > holds)
            if np.array_equal(gas[0] > 0.0, self.gassy & ~self.open):
                break
        grows = (self.open | self.gassy)[net.cells]
        at = net.cells[grows]
        self.pores[at] = np.maximum(self.pores[at] + lacks[grows], 0.0)

    def _drawn_from(self, cells, faces, links):
        """What flows out of these `cells` [m3], in which there is no suction."""
        if not cells.any():
            return 0.0
        odd, even = self.board.odd[faces], self.board.even[faces]
        draws = cells[odd] * self.suction[even] + cells[even] * self.suction[odd]
        return float((links * draws).sum())

    @property
    def fed_m3(self):
        """What came from feeders and gates so far [m3]."""
        return self.asked_m3 - self.own_m3 - float(self.pores.sum())

    def gas(self, temp_c):
        """How much gas in each cell grows for each pascal more of suction [m3/Pa], and from which suction on
        there is gas in it [Pa]."""
        presses, eases = self.hydrogen.pressure(self.solid, temp_c, self.pores / self.volume)
        return self.volume / eases, self.most - presses

    def payers(self, wet, crystals, pool):
        """Where a feeder or gate pays and nothing is lost, and what pays for itself.

        As in the account: metal that moves goes down, in the casting too where it does not hang together with
        that of a feeder or gate; else the least solid cells drain, and a feeder among them pays alone. A pool
        without any of a feeder or gate pays for itself as a whole.
        """
        moving = wet & (crystals < self.mobile)
        fed = _same_name(self.board.names(moving), moving & self.outside)
        stiff = wet & ~_same_name(pool, moving)
        if stiff.any():
            fed |= self._least_solid(stiff, pool, crystals) & self.outside
        return fed, wet & ~_same_name(pool, fed) | moving & ~fed

    def _least_solid(self, these, pool, crystals):
        least = np.ones(pool.max() + 1)
        np.minimum.at(least, pool[these], crystals[these])
        return these & (crystals < least[pool] + EQUALLY_SOLID)

    def links(self, crystals, faces):
        """How much liquid passes through these `faces` for each pascal [m3/s/Pa]."""
        one, two = self.board.odd[faces], self.board.even[faces]
        tight = np.clip(crystals, max(self.mobile, LOOSEST), TIGHTEST)
        resists = 0.5 * (self.resists[one] + self.resists[two]) * resistance_between(tight, one, two)
        return self.board.wide[faces] / resists


def resistance_between(crystals, one, two):
    """Mean of f^2 / (1 - f)^3 along the ways between the cells with the numbers `one` and `two`, on which the
    share of `crystals` f goes evenly from that of the one to that of the other.

    A mean of both ends would let a thin layer of mush at a chilled face hold back more than a thick one.

    >>> even = np.linspace(0.5, 0.9, 4001)
    >>> mean = np.mean(even**2 / (1.0 - even) ** 3)
    >>> bool(abs(resistance_between(np.array([0.5, 0.9]), [0], [1])[0] / mean - 1.0) < 1e-3)
    True
    """
    summed, differ = _summed(crystals), crystals[two] - crystals[one]
    middle = 0.5 * (crystals[one] + crystals[two])
    alike = np.abs(differ) < ALIKE
    at_middle = middle**2 / (1.0 - middle) ** 3
    return np.where(alike, at_middle, (summed[two] - summed[one]) / np.where(alike, 1.0, differ))


def _summed(crystals):
    """Integral of f^2 / (1 - f)^3."""
    liquid = 1.0 - crystals
    return 0.5 / liquid**2 - 2.0 / liquid - np.log(liquid)


def _same_name(names, these):
    """Cells whose name one of `these` bears; none of name 0."""
    has = np.zeros(names.max() + 1, dtype=bool)
    has[names[these]] = True
    has[0] = False
    return has[names]


def arm_spacing(run):
    """Arm spacing [m] of each metal cell of a Freeze, `run`, from how fast it cools through the mush.

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("tin bronze"), mould("green sand"), pour_temp_c=1150.0)
    >>> bool((arm_spacing(freeze(setup, cell=8e-3)) > 5e-6).all())
    True
    """
    alloy, solid, cells = run.setup.alloy, run.solid, np.arange(len(run.metal_cells))
    begin = np.maximum(np.argmax(solid >= 0.05, axis=0), 1) - 1
    end = np.maximum(np.argmax(solid >= 0.9 * alloy.arrest_fraction, axis=0), begin + 1)
    cooled = run.temp_c[begin, cells] - run.temp_c[end, cells]
    rate = np.maximum(cooled / (run.times_s[end] - run.times_s[begin]), 1e-4)
    scale, power = alloy.arm_spacing
    return scale * rate**-power
