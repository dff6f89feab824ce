"""How far metal was fed through the mush, and what could not be fed: fine pores on the centre line."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse
from scipy.sparse.csgraph import dijkstra

from castlab.field.freeze import Freeze
from castlab.field.hydrogen import hydrogen_of
from castlab.field.mush import Mush
from castlab.field.sponge import NOT_SHOWN_BELOW, SHORT_RANGE_K
from castlab.plan import to_the_end
from castlab.units import Phrase, phrase

STEPS_TO_GIVE_WAY = 8
LACKS_FROM = 5e-4  # share of its volume, which is told as 0.1 %; judgement, see `feeding_path`


@dataclass(frozen=True, eq=False)
class FeedingPath:
    """What suction along the way through the mush left unfed in one Freeze.

    why_not    why nothing was computed: a Phrase; "" where it was
    pores      [m3] volume that could not be fed, of each metal cell: what is lacking after suction reached
               one atmosphere and the metal above
    growth     [m3] the same at each snapshot, of those cells that lack something (`lacks`); a pore that is
               filled again was none
    paid_to    solid fraction up to which a feeder or gate paid for the pool of each metal cell
    asked_m3   what freezing asked for, all of which fed_m3 (from feeders and gates), own_m3 and `pores` pay
    own_m3     what pools that neither feeder nor gate pays for paid themselves: the account of
               `castlab.field.shrinkage` says where the hole of that is
    """

    run: Freeze
    why_not: Phrase | str
    pores: np.ndarray
    growth: np.ndarray
    paid_to: np.ndarray
    asked_m3: float = 0.0
    fed_m3: float = 0.0
    own_m3: float = 0.0

    @cached_property
    def lacks(self):
        """Share of its volume that each cell of the casting lacks, as if it were full, so that slivers at a
        round face do not count; 0 in feeders, and where it is too little to be shown."""
        return _lacking(self.run, self.pores)

    def opened(self, step):
        """Pores that open between two snapshots, of each metal cell [m3], where they can be shown."""
        found = np.zeros(len(self.pores))
        found[self.lacks > 0.0] = self.growth[step + 1] - self.growth[step]
        return found

    @property
    def pores_m3(self):
        """Fine pores of the casting [m3], where a cell lacks so much that it can be shown."""
        return float(self.pores[self.lacks > 0.0].sum())

    @property
    def worst(self):
        """The largest share that a cell of the casting lacks."""
        return float(self.lacks.max(initial=0.0))

    @cached_property
    def away(self):
        """Thicknesses of its section between each metal cell and the nearest feeder, along the way through
        the metal; infinite without a feeder."""
        return way_to_feeder(self.run) / thickness(self.run)

    @property
    def fed_over(self):
        """Thicknesses over which nothing is lacking, from the feeder on; None where nothing was computed or
        there is no feeder. A casting that is fed all along: as far as it reaches."""
        return self._over(LACKS_FROM)

    @property
    def sound_over(self):
        """The same, but for what is too little to count."""
        return self._over(NOT_SHOWN_BELOW)

    def _over(self, share):
        grid, cells = self.run.grid, self.run.metal_cells
        if self.why_not or not grid.is_role("feeder").any():
            return None
        lacking = self.lacks >= share
        if lacking.any():
            return float(self.away[lacking].min())
        return float(self.away[grid.is_role("casting").ravel()[cells]].max())


def feeding_path(run, hydrogen=0.0):
    """Follow the suction along the real way through the mush while a casting froze: a FeedingPath.

    div (K / mu grad p) = -beta / (1 - beta) df/dt,  K = l2^2 (1 - f)^3 / (180 f^2)

    The suction p is zero where liquid moves as far as to a feeder or gate; where nothing moves, in a feeder
    or gate that is among the least solid. Where p would exceed one atmosphere and the metal above, a pore
    opens, holds p at that and pays. A pool that neither feeder nor gate pays for sinks or drains, and has no
    p. f is the share of crystals that form before any arrest, l2 the arm spacing at the cell's own rate of
    cooling. No constant in it is fitted; from which share on a place lacks metal is judgement.

    What it gives for steel, 10 to 50 mm thick (tests/field/test_feeding_path.py): a plate of the published
    4.5 thicknesses lacks nothing, one a fifth longer than the 5.3 of a newer rule lacks metal on its centre
    line; in a plate of 15 the zone by the feeder and that at the end come to 4.2 to 5.5 together on cells of
    1/7 of the thickness and to 4.0 to 5.2 on 1/14. By the feeder it is longer than published, at the end of
    thin plates shorter. The share from which on a place lacks metal was chosen with these plates in view: on
    the coarser cells 0.01 % gives 3.5 to 4.8, 0.02 % 3.7 to 5.0, 0.1 % 4.8 to 6.8, and 0.2 % 6.1 to 13. An
    end chill adds about one (published: 50 mm). How much is lacking beyond is less in thick
    plates: where a plate freezes all at once, the share goes as beta (mu beta / dP)^(1/3) (distance / (l2
    sqrt(freezing time)))^(2/3), and l2 is wider in them. What an X-ray shows are pores that have run
    together, which is not computed; it may show what is called sound here.

    `hydrogen` in the melt [m3/kg], as gas at 0 deg C and one atmosphere, takes from what suction there is
    and grows in the pores. It is 0 unless given, and in every verdict.

    Parameters: `run` (Freeze), `hydrogen`. Returns a FeedingPath. Raises InputError for more hydrogen than
    the melt dissolves where it is poured, and for any in a metal for which no solubility is in the data.
    Source: Darcy's law; K of Carman and Kozeny as in K. D. Carlson, C. Beckermann, Metall. Mater. Trans. A
    40 (2009) 163, from memory; gas by Sieverts' law (`castlab.field.hydrogen`).

    A metal without a mush has no such way, which is said and not passed over:

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("pure zinc"), mould("green sand"), pour_temp_c=460.0)
    >>> print(feeding_path(freeze(setup, cell=4e-3)).why_not)
    pure zinc freezes at one temperature: there are no crystals that liquid must be sucked through
    """
    return to_the_end(following(run, hydrogen))


def following(run, hydrogen=0.0):
    """The same as `feeding_path`, giving way every few steps: a generator that returns the FeedingPath; `run`
    and `hydrogen` as there.

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("tin bronze"), mould("green sand"), pour_temp_c=1150.0)
    >>> any(following(freeze(setup, cell=8e-3)))  # it yields nothing but the time to do other things
    False
    """
    gas, why_not = hydrogen_of(run.setup, hydrogen), without_mush(run.setup.alloy)
    steps, cells = run.solid.shape
    if why_not:
        return FeedingPath(run, why_not, np.zeros(cells), np.zeros((steps, 0)), np.ones(cells))
    mush, so_far = Mush(run, gas), []
    for step in range(steps - 1):
        if step % STEPS_TO_GIVE_WAY == 0:
            yield
        mush.take(step)
        at = np.flatnonzero(mush.pores)  # most cells have none
        so_far.append((at, mush.pores[at]))
    growth = _growth(so_far, np.flatnonzero(_lacking(run, mush.pores)), cells)
    return FeedingPath(run, "", mush.pores, growth, mush.paid_to, mush.asked_m3, mush.fed_m3, mush.own_m3)


def _growth(so_far, here, cells):
    """Pores [m3] `here` after each step: `so_far` are the numbers of those of all `cells` that have some, and
    the pores. What is filled again later was none."""
    growth, place = np.zeros((len(so_far) + 1, len(here))), np.full(cells, -1)
    place[here] = np.arange(len(here))
    for now, (at, pores) in zip(growth[1:], so_far, strict=True):
        known = place[at] >= 0
        now[place[at][known]] = pores[known]
    return np.minimum.accumulate(growth[::-1])[::-1]


def _lacking(run, pores):
    share = pores / run.grid.volume.ravel()[run.metal_cells]
    shown = (share >= LACKS_FROM) & run.grid.is_role("casting").ravel()[run.metal_cells]
    return np.where(shown, share, 0.0)


def without_mush(alloy):
    """Why liquid of an `alloy` is not sucked through a mush: a Phrase; "" where it is.

    >>> from castlab.materials import alloy
    >>> print(without_mush(alloy("grey iron")))
    grey iron grows as it freezes: it sucks nothing in
    """
    if alloy.freezing_contraction <= 0.0:
        return phrase("{} grows as it freezes: it sucks nothing in", alloy.name)
    if alloy.liquidus_c - alloy.arrest_temp_c < SHORT_RANGE_K:
        says = "{} freezes at one temperature: there are no crystals that liquid must be sucked through"
        return phrase(says, alloy.name)
    return ""


def way_to_feeder(run):
    """Way [m] from each metal cell of a Freeze, `run`, through metal to the next cell of the casting that
    touches a feeder; infinite without a feeder.

    Below the feeder of an eye plate it is nothing, and nobody is farther away than the sprue:

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> layout = parts.eye_plate(feeder_width=0.03, feeder_height=0.05)
    >>> run = freeze(Setup(layout, alloy("ZA-12"), mould("green sand"), 475.0), cell=6e-3)
    >>> way = way_to_feeder(run)
    >>> float(way.min()), layout.blocks[int(run.grid.block.ravel()[run.metal_cells[way.argmax()]])].name
    (0.0, 'sprue')
    """
    grid, cells = run.grid, run.metal_cells
    number = run.on_grid(np.arange(len(cells)), -1)
    places = np.unravel_index(cells, grid.shape)
    spot = np.array([centre[i] for centre, i in zip(grid.centres, places, strict=True)])
    pairs = np.concatenate([_pairs(number, shift) for shift in SHIFTS], axis=1)
    long = np.sqrt(((spot[:, pairs[0]] - spot[:, pairs[1]]) ** 2).sum(axis=0))
    casting, feeder = (grid.is_role(role).ravel()[cells] for role in ("casting", "feeder"))
    touch = np.concatenate([_pairs(number, shift) for shift in SHIFTS[:3]], axis=1)
    touch = np.concatenate([touch, touch[::-1]], axis=1)
    mouth = np.unique(touch[0][casting[touch[0]] & feeder[touch[1]]])
    if not len(mouth):
        return np.full(len(cells), np.inf)
    net = sparse.csr_matrix((long, pairs), shape=(len(cells), len(cells)))
    return dijkstra(net, directed=False, indices=mouth, min_only=True)


# To a neighbour of a cell: across its three faces first, then across edges and corners, each pair once.
SHIFTS = sorted(
    [each for each in np.ndindex(3, 3, 3) if each > (1, 1, 1)],
    key=lambda each: sum(abs(part - 1) for part in each),
)


def _pairs(number, shift):
    """Numbers of metal cells and of the metal cells that lie one such shift away."""
    here, there = [], []
    for part, count in zip(shift, number.shape, strict=True):
        step = part - 1
        here.append(slice(max(0, -step), count - max(0, step)))
        there.append(slice(max(0, step), count - max(0, -step)))
    one, two = number[tuple(here)].ravel(), number[tuple(there)].ravel()
    both = (one >= 0) & (two >= 0)
    return np.array([one[both], two[both]])


def thickness(run):
    """Thickness [m] of the section at each metal cell of a Freeze, `run`: the median, in its block, of the
    shortest chord along an axis, so that slivers at a round face do not count.

    Metal that goes on to the side of the flask is as good as endless. An eye plate of 12 mm:

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> run = freeze(Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), 475.0), cell=6e-3)
    >>> round(1e3 * float(thickness(run)[run.grid.block.ravel()[run.metal_cells] == 0].max()), 3)
    12.0
    """
    grid, cells = run.grid, run.metal_cells
    shortest = np.minimum.reduce([_chords(grid, axis) for axis in range(3)]).ravel()[cells]
    block, found = grid.block.ravel()[cells], np.empty(len(cells))
    for number in np.unique(block):
        found[block == number] = np.median(shortest[block == number])
    return found


def _chords(grid, axis):
    """Length [m] of the metal along an axis through each cell; twice that from a plane of symmetry on."""
    inside = np.moveaxis(grid.metal > 0.0, axis, -1)
    starts = inside.copy()
    starts[..., 1:] &= ~inside[..., :-1]
    names = np.where(inside, np.cumsum(starts).reshape(inside.shape), 0)
    long = np.bincount(names.ravel(), np.moveaxis(grid.metal * grid.sizes[axis], axis, -1).ravel())
    endless = {0, -1}
    if axis in dict(grid.planes):
        long[np.unique(names[..., 0])] *= 2.0
        endless -= {0}
    if axis == grid.layout.up_axis:
        endless -= {-1 if grid.layout.up_sign > 0 else 0}  # where metal is open to the air
    for end in endless:
        long[np.unique(names[..., end])] = np.inf
    return np.moveaxis(long[names], -1, axis)
