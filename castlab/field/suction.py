"""Suction in cells that draw liquid from each other, and the pores that open in it; solved in one thread.

Cells of metal are like the fields of a chessboard: each has neighbours of the other colour only. So the
suction of one colour follows from that of the other, and no more than half of it is looked for, in half the
rounds (J. K. Reid, SIAM J. Numer. Anal. 9 (1972) 325, from memory). What whole blocks of the casting lack is
found at once in each round: from cell to cell that would need a round for each cell on the way to a feeder.
"""

import numpy as np
from scipy import ndimage
from scipy.sparse._sparsetools import csc_matvec, csr_matvec  # what `@` calls, without its preparations

from castlab.field.grid import along, sides

ACCURACY = 2e-3  # share of what is asked for that may be left over
ROUGH = 0.1  # ... until pores have opened,
FAR = 0.3  # and for good where suction is less than this share of what opens one
ROUND_OFF = 1e-9  # ... of what flowed before, where nothing is asked for
LEAST = 1e-2  # so much more than a pore holds, as a share of what a cell asks for, fills it
MOST_ROUNDS = 3000  # how often suction is mended to get there
MOST_LOOKS = 200  # how often it is looked at whether pores open or are filled
BLOCK = 6  # cells along the edge of a block, or more,
MOST_BLOCKS = 64  # so that there are so few that no library takes several threads to invert their matrix


class Board:
    """All metal cells of a Freeze, `run`, as fields of a chessboard, and the faces between them.

    is_odd      cells of one colour: of that which a mirror image has too, whose metal freezes later
    odd, even   numbers of the two cells of each face, one of each colour, in the order of the first
    wide        area over distance of each face [m]
    block       number of the block of the casting, some cells long, wide and high, that each cell lies in
    """

    def __init__(self, run):
        cells, grid = run.metal_cells, run.grid
        places = np.array(np.unravel_index(cells, grid.shape))
        places -= places.min(axis=1, keepdims=True)
        self.is_odd = places.sum(axis=0) % 2 == 1
        lasts = grid.metal_volume.ravel()[cells] * run.freeze_time_s.ravel()[cells]
        if lasts[self.is_odd].sum() < lasts[~self.is_odd].sum():
            self.is_odd = ~self.is_odd
        one, two, wide = _faces(run)
        odd, even = np.where(self.is_odd[one], (one, two), (two, one))
        order = np.lexsort((even, odd))
        self.odd, self.even, self.wide = odd[order], even[order], wide[order]
        self.block = _blocks(places)
        shortest_first = np.argsort(places.max(axis=1))  # names are looked for line by line
        places = places[shortest_first]
        self._box = np.zeros(places.max(axis=1) + 1, dtype=bool)
        self._box_at = np.ravel_multi_index(places, self._box.shape)
        self._named = []

    def names(self, here):
        """A number for each piece of the cells `here` that hangs together; 0 elsewhere."""
        for known, names in self._named:
            if np.array_equal(known, here):
                return names
        self._box.ravel()[self._box_at] = here
        names = ndimage.label(self._box)[0].ravel()[self._box_at]
        self._named = [(here, names), *self._named[:1]]
        return names


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


def _blocks(places):
    """Number of the block of each cell at these `places`. Along each axis their number is odd: then no middle
    of a cell lies between two, and a mirror image has the same ones."""
    size, long = BLOCK, places.max(axis=1) + 1
    while True:
        many = 2 * (long // (2 * size)) + 1
        at = (2 * places.T + 1) * many // (2 * long)
        blocks = np.unique(np.ravel_multi_index(at.T, many), return_inverse=True)[1]
        if blocks.max() < MOST_BLOCKS:
            return blocks
        size += 1


class Net:
    """The cells of a `board` that suck, and the faces between them that pass something.

    sucks           which of all cells do; beyond them there is no suction
    faces, links    numbers of the faces, and how much each passes [m3/Pa]
    yields, holds   how much gas in each of all cells grows [m3/Pa] by what suction exceeds that [Pa]

    `cells` are the numbers of those that suck, one colour after the other; `settle` has one value for each of
    them. Within, suction and what is lacking are scaled by the root of all that a cell passes, so that all
    cells have the same weight.

    Two cells in a row beside a feeder ask for 1 m3 each, and each face passes 1 m3 for each pascal: 2 m3
    through the first face take 2 Pa, 1 m3 through the second 1 Pa more. Where only 2.5 Pa can be had, a pore
    opens in the far cell; 1.75 m3 come through the first face, 0.75 of them through the second:

    >>> from types import SimpleNamespace as Cells
    >>> board = Cells(odd=np.array([1, 1]), even=np.array([0, 2]), is_odd=np.arange(3) == 1,
    ...               block=np.zeros(3, dtype=int))
    >>> net = Net(board, np.arange(2), np.ones(2), np.array([False, True, True]))
    >>> for most in (5.0, 2.5):
    ...     suction, pores, is_open = np.zeros(2), np.zeros(2), np.zeros(2, dtype=bool)
    ...     lacks = net.settle(np.ones(2), suction, pores, is_open, most)
    ...     print(suction.round(6).tolist(), is_open.tolist(), lacks[is_open].round(6).tolist())
    [2.0, 3.0] [False, False] []
    [1.75, 2.5] [False, True] [0.25]
    """

    def __init__(self, board, faces, links, sucks, yields=None, holds=None):
        count, odd, even = len(sucks), board.odd[faces], board.even[faces]
        lets = np.bincount(odd, links, count) + np.bincount(even, links, count)
        own = np.flatnonzero(sucks & board.is_odd), np.flatnonzero(sucks & ~board.is_odd)
        self.cells, self.half = np.concatenate(own), len(own[0])
        self.yields, self.holds, self.gives, self.lets = 0.0, np.inf, 0.0, lets[self.cells]
        if yields is not None:
            self.yields, self.holds = yields[self.cells], holds[self.cells]
            self.gives, self.lets = self.yields * self.holds, self.lets + self.yields
        self.root, self.block = np.sqrt(self.lets), board.block[self.cells]
        place = np.empty(count, dtype=np.int32)
        for each in own:
            place[each] = np.arange(len(each))
        inner = np.flatnonzero(sucks[odd] & sucks[even])
        self.odd, self.even, self.links = place[odd[inner]], place[even[inner]], links[inner]
        self.begin = np.zeros(self.half + 1, dtype=np.int32)
        np.cumsum(np.bincount(self.odd, minlength=self.half), out=self.begin[1:])
        self.passes = self.links / (self.root[: self.half][self.odd] * self.root[self.half :][self.even])

    def settle(self, asks, suction, pores, is_open, most):
        """Find the `suction` [Pa] at which all cells take in what they ask for, `asks` [m3], and nowhere is
        more than `most`: where it would be, a pore is open and pays, until so much comes that its volume,
        `pores` [m3], is filled. All four are changed; returns what each cell still lacks [m3].
        """
        scaled, top = suction * self.root * asks.any(), most * self.root
        scaled[is_open] = top[is_open]
        accuracy, least = ROUGH, LEAST * float(asks.max())
        round_off = ROUND_OFF * _sum(np.abs(scaled), self.root)
        self.see_blocks(~is_open)
        for _ in range(MOST_LOOKS):
            left = (asks + self.gives) / self.root - self.takes(scaled)
            free = ~is_open
            enough = accuracy * float(asks[free].sum()) + round_off
            if float((np.abs(left) * self.root)[free].sum()) > enough:
                self.mend(scaled, left, free, enough)
                continue
            lacks = left * self.root
            opens, fills = free & (scaled > top), is_open & (pores + lacks < -least)
            if opens.any() or fills.any():
                asks[fills] += pores[fills]
                pores[fills] = 0.0
                is_open[fills], is_open[opens] = False, True
                scaled[opens] = top[opens]
            elif accuracy == ACCURACY or (scaled < FAR * np.minimum(most, self.holds) * self.root).all():
                break
            else:
                accuracy = ACCURACY
        suction[:] = np.where(is_open, most, scaled / self.root)
        return lacks + self.yields * suction - self.gives

    def mend(self, scaled, left, free, enough):
        """Mend the suction, `scaled`, of cells that are `free` and have so much `left`, until no more than
        `enough` is [m3]: conjugate gradients on one colour."""
        half, root = self.half, self.root[: self.half]
        here, there = free[:half].astype(float), free[half:].astype(float)
        left, left_there = here * left[:half], there * left[half:]
        scaled[half:] += left_there
        left += here * self.to_odd(left_there)
        found, way, gain = np.zeros(half), np.zeros(half), np.inf
        for _ in range(MOST_ROUNDS):
            if _sum(np.abs(left), root) <= 0.9 * enough:
                break
            eased = here * (left + self.ease(left))
            last, gain = gain, _sum(left, eased)
            way *= gain / max(last, 1e-300)
            way += eased
            pull = way - here * self.to_odd(there * self.to_even(way))
            stride = gain / max(_sum(way, pull), 1e-300)  # next to nothing is asked for
            found += stride * way
            left -= stride * pull
        scaled[:half] += found
        scaled[half:] += there * self.to_even(found)

    def see_blocks(self, free):
        """What each block needs as a whole, if one suction more is in all of its cells that are `free`."""
        one, two = self.block[: self.half], self.block[self.half :]
        count = int(self.block.max()) + 1
        links = self.links * (free[: self.half][self.odd] & free[self.half :][self.even])
        passes = np.bincount(one[self.odd] * count + two[self.even], links, count**2).reshape(count, count)
        lets = np.bincount(self.block, self.lets * free, count)
        self.of_blocks = np.linalg.inv(np.diag(np.where(lets > 0.0, lets, 1.0)) - passes - passes.T)

    def ease(self, left):
        """Suction in whole blocks, scaled, by which each of them takes in what is `left` in it."""
        block, root = self.block[: self.half], self.root[: self.half]
        in_blocks = np.bincount(block, left * root, len(self.of_blocks))
        return (self.of_blocks * in_blocks).sum(axis=1)[block] * root

    def takes(self, scaled):
        """What cells take in, from each other and from beyond."""
        odd, even = scaled[: self.half], scaled[self.half :]
        return scaled - np.concatenate([self.to_odd(even), self.to_even(odd)])

    def to_odd(self, even):
        """What suction in the cells of one colour draws from those of the other."""
        found = np.zeros(self.half)
        csr_matvec(self.half, len(even), self.begin, self.even, self.passes, even, found)
        return found

    def to_even(self, odd):
        """And the other way round."""
        found = np.zeros(len(self.cells) - self.half)
        csc_matvec(len(found), self.half, self.begin, self.even, self.passes, odd, found)
        return found


def _sum(one, two):
    """Sum of products in this thread alone."""
    return float(np.einsum("i,i", one, two))
