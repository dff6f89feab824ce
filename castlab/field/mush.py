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
from scipy import ndimage, sparse

from castlab.field.grid import along, sides
from castlab.field.ledger import EQUALLY_SOLID
from castlab.field.sponge import ATMOSPHERE_PA, GRAVITY, KOZENY

LOOSEST, TIGHTEST = 0.05, 0.999  # shares of crystals beyond which mush counts as no looser and no tighter
ACCURACY = 1e-2  # share of what is asked for that may be left over
ROUND_OFF = 1e-9  # of all that flows, where nothing is asked for
MOST_ROUNDS = 3000  # how often the suction is mended to get there
MOST_LOOKS = 60  # how often in one step pores may open and be filled and so change the suction round them
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
        places = np.array(np.unravel_index(cells, grid.shape))
        height = layout.up_sign * grid.centres[layout.up_axis][places[layout.up_axis]]
        above = height.max() - np.average(height[~self.outside], weights=self.volume[~self.outside])
        self.most = ATMOSPHERE_PA + self.alloy.density_liquid * GRAVITY * float(above)
        self.mobile = self.alloy.mobile_limit if self.alloy.arrest_fraction > 0.0 else 1.0
        self.resists = KOZENY * self.alloy.viscosity / arm_spacing(run) ** 2
        places -= places.min(axis=1, keepdims=True)
        self.box = np.zeros(places.max(axis=1) + 1, dtype=bool)
        self.box_at = np.ravel_multi_index(places, self.box.shape)
        self.first, self.other, self.wide = _faces(run)
        ends = np.concatenate([self.first, self.other]), np.concatenate([self.other, self.first])
        numbers = np.tile(np.arange(len(self.first)) + 1, 2)
        self.net = sparse.csr_matrix((numbers, ends), shape=(count, count))
        self.face_of = self.net.data - 1
        self.pores, self.suction, self.paid_to = np.zeros((3, count))
        self.solid = run.solid[0].copy()
        self.open, self.gassy = np.zeros((2, count), dtype=bool)  # cells with a pore, and with gas in one
        self.asked_m3 = self.own_m3 = 0.0

    def take(self, step):
        """One step between two snapshots."""
        run, before = self.run, self.solid
        self.solid = np.clip(run.solid[step + 1], before, 1.0)  # what melts again asks for nothing
        if step == len(run.times_s) - 2:  # each cell has been solid once; one may have melted again
            self.solid = np.ones(len(before))
        asked = self.volume * self.alloy.freezing_contraction * (self.solid - before)
        wet = before < 1.0
        crystals = np.minimum(0.5 * (before + self.solid), self.alloy.arrest_fraction)
        pool = self._names(wet)
        fed, alone = self.payers(wet, crystals, pool)
        np.copyto(self.paid_to, self.solid, where=_same_name(pool, fed))
        links = self.links(wet, crystals) * (run.times_s[step + 1] - run.times_s[step])
        links *= 1.0 - self.alloy.freezing_contraction  # what is left of the liquid when it is solid
        sucks = wet & ~fed & ~alone
        self.open &= sucks
        asks, least = asked.copy(), ACCURACY * float(asked.max())
        holds, yields = self.gas(run.temp_c[step + 1]) if self.hydrogen else (np.inf, np.zeros(len(before)))
        self.gassy &= sucks
        for _ in range(MOST_LOOKS):
            free = sucks & ~self.open
            lets = np.where(self.gassy & free, yields, 0.0)
            self.suction = np.where(self.open, self.most, np.where(free, self.suction, 0.0))
            self.solve(links, asks, free, lets, holds)
            short = asks - self.comes(links)
            opens = free & (self.suction > self.most)
            fills = self.open & (self.pores + short < -least)  # so much comes that none is left
            begins = free & ~self.gassy & (self.suction > holds)
            if not (opens | fills | begins).any():
                break
            asks[fills] += self.pores[fills]
            self.pores[fills] = 0.0
            self.open = self.open & ~fills | opens
            self.gassy |= begins
        grows = self.open | self.gassy
        self.pores[grows] = np.maximum(self.pores[grows] + short[grows], 0.0)
        self.asked_m3 += float(asked.sum())
        self.own_m3 += float(short[alone].sum())

    @property
    def fed_m3(self):
        """What came from feeders and gates so far [m3]."""
        return self.asked_m3 - self.own_m3 - float(self.pores.sum())

    def gas(self, temp_c):
        """The suction from which on there is gas in each cell [Pa], and how much it grows for each pascal
        more [m3/Pa]."""
        presses, eases = self.hydrogen.pressure(self.solid, temp_c, self.pores / self.volume)
        return self.most - presses, self.volume / eases

    def comes(self, links):
        """What each cell gets from its neighbours [m3]."""
        through = links * (self.suction[self.first] - self.suction[self.other])
        count = len(self.suction)
        return np.bincount(self.first, through, count) - np.bincount(self.other, through, count)

    def payers(self, wet, crystals, pool):
        """Where a feeder or gate pays and nothing is lost, and what pays for itself.

        As in the account: metal that moves goes down, in the casting too where it does not hang together with
        that of a feeder or gate; else the least solid cells drain, and a feeder among them pays alone. A pool
        without any of a feeder or gate pays for itself as a whole.
        """
        moving = wet & (crystals < self.mobile)
        fed = _same_name(self._names(moving), moving & self.outside)
        stiff = wet & ~_same_name(pool, moving)
        fed |= self._least_solid(stiff, pool, crystals) & self.outside
        return fed, wet & ~_same_name(pool, fed) | moving & ~fed

    def _least_solid(self, these, pool, crystals):
        least = np.ones(pool.max() + 1)
        np.minimum.at(least, pool[these], crystals[these])
        return these & (crystals < least[pool] + EQUALLY_SOLID)

    def _names(self, here):
        """A number for each piece that hangs together; 0 elsewhere."""
        self.box.ravel()[self.box_at] = here
        return ndimage.label(self.box)[0].ravel()[self.box_at]

    def links(self, wet, crystals):
        """How much liquid passes between neighbours for each pascal [m3/s/Pa]."""
        tight = np.clip(crystals, max(self.mobile, LOOSEST), TIGHTEST)
        one, two = tight[self.first], tight[self.other]
        resists = 0.5 * (self.resists[self.first] + self.resists[self.other])
        both = wet[self.first] & wet[self.other]
        return np.where(both, self.wide / (resists * resistance_between(one, two)), 0.0)

    def solve(self, links, asks, here, yields, holds):
        """Suction of the cells `here` that take in what they ask for; that of the others is given. Gas in
        them `yields` so much for each pascal [m3/Pa] beyond what it `holds`.

        Conjugate gradients, begun from the suction before, as a whole made larger or smaller; products of
        matrix and vector use this thread alone.
        """
        at = np.flatnonzero(here)
        if not len(at):
            return
        self.net.data = links[self.face_of]
        rows = self.net[at]
        net = rows[:, at]
        lets = np.asarray(rows.sum(axis=1)).ravel() + yields[at]
        scale = 1.0 / np.maximum(lets, 1e-300)
        wanted = asks[at] + rows @ np.where(here, 0.0, self.suction)
        wanted += (yields * np.where(yields > 0.0, holds, 0.0))[at]
        found = self.suction[at]
        takes = lets * found - net @ found
        grown = float((found * wanted).sum()) / max(float((found * takes).sum()), 1e-300)
        found *= grown
        left = wanted - grown * takes
        way = scale * left
        gain = float((left * way).sum())
        enough = ACCURACY * float(asks[at].sum()) + ROUND_OFF * float(np.abs(wanted).sum())
        for _ in range(MOST_ROUNDS):
            if float(np.abs(left).sum()) <= enough:
                break
            pull = lets * way
            pull -= net @ way
            stride = gain / float((way * pull).sum())
            found += stride * way
            left -= stride * pull
            eased = scale * left
            last, gain = gain, float((left * eased).sum())
            way *= gain / last
            way += eased
        self.suction[at] = found


def resistance_between(one, two):
    """Mean of f^2 / (1 - f)^3 along a way on which the share of crystals f goes evenly from `one` to `two`.

    A mean of both ends would let a thin layer of mush at a chilled face hold back more than a thick one.

    >>> even = np.linspace(0.5, 0.9, 4001)
    >>> mean = np.mean(even**2 / (1.0 - even) ** 3)
    >>> bool(abs(resistance_between(np.array([0.5]), np.array([0.9]))[0] / mean - 1.0) < 1e-3)
    True
    """
    middle, differ = 0.5 * (one + two), two - one
    alike = np.abs(differ) < ALIKE
    at_middle = middle**2 / (1.0 - middle) ** 3
    return np.where(alike, at_middle, (_summed(two) - _summed(one)) / np.where(alike, 1.0, differ))


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


def _faces(run):
    """Neighbours that are both metal: numbers of the two, and area over distance of their common face [m]."""
    grid = run.grid
    number = run.on_grid(np.arange(len(run.metal_cells)), -1)
    found = []
    for axis, centres in enumerate(grid.centres):
        one, two = sides(number, axis)
        both = (one >= 0) & (two >= 0)
        area = sides(grid.volume / grid.sizes[axis], axis)[0] * np.minimum(*sides(grid.metal, axis))
        wide = area / along(np.diff(centres), axis, number.ndim)
        found.append((one[both], two[both], wide[both]))
    return tuple(np.concatenate(each) for each in zip(*found, strict=True))


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
