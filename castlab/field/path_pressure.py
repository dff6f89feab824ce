"""How far liquid still gets between the crystals, from the pressure along the whole way to it.

Metal that shrinks sucks liquid through the mush. How much suction that takes is a pressure problem on the
cells: Darcy's law between neighbours, and nothing lost where liquid still moves and air can follow it.
Where it would take more than the air's weight and that of the metal above, nothing comes any more.
"""

import math

import numpy as np
from scipy import ndimage, sparse

from castlab.field.freeze import to_the_end
from castlab.field.grid import along, sides
from castlab.field.ledger import EQUALLY_SOLID
from castlab.field.sponge import ATMOSPHERE_PA, GRAVITY, KOZENY, NOT_SHOWN_BELOW, SHORT_RANGE_K

FEEDS_TO = 0.97  # solid fraction beyond which what is lacking is too little to be shown
TIGHTEST = 0.995  # share of crystals from which on mush counts as no tighter: its resistance stays a number
ACCURACY, MOST_ROUNDS = 0.01, 1000  # of the suction, and how often it is mended to get there
RISES = 3.0  # from one step to the next suction grows less than so many times; seen, with a margin
STEPS_TO_GIVE_WAY = 8


def fed_along_the_path(run):
    """Solid fraction up to which each metal cell is fed; 1 where it is fed to the end.

    div (K / mu grad p) = -beta / (1 - beta) df/dt,  K = l2^2 (1 - f)^3 / (180 f^2)

    A cell is fed until its suction p reaches one atmosphere and the metal above it. p is zero where liquid
    moves as far as to a feeder or gate; in a pool without one, where liquid moves; else where it is least
    solid. K is Carman and Kozeny's, with the crystals that form before any arrest for f, and for l2 the arm
    spacing at the cell's own rate of cooling. Takes a Freeze, `run`, returns shape (m,). Source: Darcy's law; K as in K. D.
    Carlson, C. Beckermann, Metall. Mater. Trans. A 40 (2009) 163, from memory. Nothing in it is fitted.

    A metal without a mush is fed to the end:

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("pure zinc"), mould("green sand"), pour_temp_c=460.0)
    >>> float(fed_along_the_path(freeze(setup, cell=4e-3)).min())
    1.0
    """
    return to_the_end(going_along_the_path(run))


def going_along_the_path(run):
    """The same, giving way every few steps: a generator that returns the solid fractions; `run` is a Freeze.

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("tin bronze"), mould("green sand"), pour_temp_c=1150.0)
    >>> any(going_along_the_path(freeze(setup, cell=8e-3)))  # it yields nothing but the time to do other things
    False
    """
    alloy = run.setup.alloy
    mush = Mush(run)
    if alloy.liquidus_c - alloy.arrest_temp_c < SHORT_RANGE_K or alloy.freezing_contraction <= 0.0:
        return mush.fed
    step, last = 0, len(run.times_s) - 1
    while step < last:
        worst = mush.take(step)
        if 0.0 < worst < 1.0:  # where there is far to go, not every step is looked at
            step += int(math.log(1.0 / worst) / math.log(RISES))
        step += 1
        if step % STEPS_TO_GIVE_WAY == 0:
            yield
    return np.where((1.0 - mush.fed) * alloy.freezing_contraction < NOT_SHOWN_BELOW, 1.0, mush.fed)


class Mush:
    """The metal cells of a Freeze, `run`, as a net of ways through the mush.

    `fed` is the solid fraction up to which each cell was fed so far, `suction` [Pa] that of the last step.
    """

    def __init__(self, run):
        self.run, self.alloy, grid = run, run.setup.alloy, run.grid
        cells, layout = run.metal_cells, grid.layout
        count = len(cells)
        self.volume = grid.metal_volume.ravel()[cells]
        self.outside = np.isin(grid.roles.ravel()[cells], (2, 3))  # feeder and gate
        places = np.array(np.unravel_index(cells, grid.shape))
        height = layout.up_sign * grid.centres[layout.up_axis][places[layout.up_axis]]
        self.most = ATMOSPHERE_PA + self.alloy.density_liquid * GRAVITY * (height.max() - height)
        self.mobile = self.alloy.mobile_limit if self.alloy.arrest_fraction > 0.0 else 1.0
        self.arm_squared = _arm_spacing(run) ** 2
        places -= places.min(axis=1, keepdims=True)
        self.box = np.zeros(places.max(axis=1) + 1, dtype=bool)
        self.box_at = np.ravel_multi_index(places, self.box.shape)
        self.first, self.other, self.wide = _faces(run)
        ends = np.concatenate([self.first, self.other]), np.concatenate([self.other, self.first])
        faces = np.tile(np.arange(len(self.first)) + 1, 2)
        self.net = sparse.csr_matrix((faces, ends), shape=(count, count))
        self.face_of = self.net.data - 1
        self.fed, self.stopped = np.ones(count), np.zeros(count, dtype=bool)
        self.suction, self.solid = np.zeros(count), run.solid[0]

    def take(self, step):
        """One step between two snapshots; returns the largest suction over what there is."""
        run, alloy = self.run, self.alloy
        solid, later = run.solid[step], run.solid[step + 1]
        crystals = np.minimum(solid, alloy.arrest_fraction)
        fed = (solid < FEEDS_TO) & ~self.stopped
        pulls = fed & ~self.payers(fed, crystals)
        if not pulls.any():
            return 0.0
        missing = alloy.freezing_contraction / (1.0 - alloy.freezing_contraction)
        pace = np.maximum(later - solid, 0.0) / (run.times_s[step + 1] - run.times_s[step])
        crystals = np.clip(crystals, self.mobile, TIGHTEST)
        passes = self.arm_squared * (1.0 - crystals) ** 3 / (KOZENY * crystals**2) / alloy.viscosity * fed
        one, two = passes[self.first], passes[self.other]
        links = self.wide * 2.0 * one * two / np.maximum(one + two, 1e-300)
        before, self.suction = self.suction, self.solve(links, self.volume * missing * pace, pulls)
        dry = self.suction > self.most
        self.fed[dry] = self.when_it_was_reached(before[dry], dry, solid[dry])
        self.stopped |= dry
        self.solid = solid
        return float((self.suction / self.most).max())

    def when_it_was_reached(self, before, dry, solid):
        """Solid fraction at which suction was all there is; its logarithm rises evenly over a step."""
        over, rose = self.suction[dry] / self.most[dry], self.suction[dry] / np.maximum(before, 1e-9)
        return solid - np.clip(np.log(over) / np.log(rose), 0.0, 1.0) * (solid - self.solid[dry])

    def payers(self, fed, crystals):
        """Where nothing is lost: liquid that moves as far as to a feeder or gate, else in the pool itself,
        else where the pool is least solid, as far as that gives liquid together."""
        moving = fed & (crystals < self.mobile)
        pool, stretch = self._names(fed), self._names(moving)
        pays = _same_name(stretch, moving & self.outside)
        pays |= moving & ~_same_name(pool, pays)
        rest = fed & ~_same_name(pool, pays)
        least = np.ones(pool.max() + 1)
        np.minimum.at(least, pool[rest], crystals[rest])
        return pays | rest & (crystals < least[pool] + EQUALLY_SOLID)

    def _names(self, here):
        """A number for each piece that hangs together; 0 elsewhere."""
        self.box.ravel()[self.box_at] = here
        return ndimage.label(self.box)[0].ravel()[self.box_at]

    def solve(self, links, flow, here):
        """Suction [Pa] of cells that take in `flow` [m3/s] through `links` [m3/s/Pa], zero but `here`.

        Conjugate gradients, begun from the step before; products of matrix and vector use this thread alone.
        """
        self.net.data = links[self.face_of]
        at = np.flatnonzero(here)
        lets = np.bincount(self.first, links, len(here)) + np.bincount(self.other, links, len(here))
        net, lets, flow, found = self.net[at][:, at], lets[at], flow[at], self.suction[at]
        scale = 1.0 / np.maximum(lets, 1e-300)
        left = flow - (lets * found - net @ found)
        enough = ACCURACY**2 * float((flow * flow * scale).sum())
        way = scale * left
        gain = float((left * way).sum())
        for _ in range(MOST_ROUNDS):
            if gain <= enough:
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
        suction = np.zeros(len(here))
        suction[at] = found
        return suction


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


def _arm_spacing(run):
    """Arm spacing [m] of each metal cell, from how fast it cools on its way through the mush."""
    alloy, solid, cells = run.setup.alloy, run.solid, np.arange(len(run.metal_cells))
    begin = np.maximum(np.argmax(solid >= 0.05, axis=0), 1) - 1
    end = np.maximum(np.argmax(solid >= 0.9 * alloy.arrest_fraction, axis=0), begin + 1)
    cooled = run.temp_c[begin, cells] - run.temp_c[end, cells]
    rate = np.maximum(cooled / (run.times_s[end] - run.times_s[begin]), 1e-4)
    scale, power = alloy.arm_spacing
    return scale * rate**-power
