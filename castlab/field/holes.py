"""The holes of a casting: the connected pieces, and what all of one kind in one block come to."""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from castlab.field.sponge import NOT_SHOWN_BELOW

DEFECTS = ("sink", "cavity", "sponge", "pipe_into_casting")
LEAST_PIECE = 0.02  # of all holes; smaller pieces are left out
# Fine pores that take this share of a section are not sound, however much sound metal lies elsewhere; less
# cannot be told from the scatter of trial castings; judgement
SPONGE_SOUND_SHARE = NOT_SHOWN_BELOW
# A shrinkage cavity, which nobody sees from outside, is no longer sound from this volume or this share of its
# section on; judgement
CAVITY_SOUND_M3, CAVITY_SOUND_SHARE = 0.05e-6, 0.02
SEEN_FROM = 1e-3  # share of its volume from which on a cell counts as holed


@dataclass(frozen=True)
class Place:
    """One piece: kind, volume [m3], middle [m], the block it lies in, and when that spot was solid [s].

    depth_m         [m]  how far it reaches along gravity, as far as most of the metal is gone somewhere
    section_share        the largest share it takes of a plane section through the blocks that it lies in
    """

    kind: str
    volume_m3: float
    centre: tuple[float, ...]
    block: str
    frozen_s: float
    depth_m: float = 0.0
    section_share: float = 0.0

    @property
    def harm(self):
        """Its share of a section over what is still sound, for a shrinkage cavity its volume too; 0 for a
        hole that is seen from outside."""
        if self.kind == "sponge":
            return self.section_share / SPONGE_SOUND_SHARE
        if self.kind != "cavity":
            return 0.0
        return max(self.volume_m3 / CAVITY_SOUND_M3, self.section_share / CAVITY_SOUND_SHARE)


@dataclass(frozen=True)
class Hole:
    """All pieces of one kind in one block: volume [m3] of all, middle [m] and last time [s] of the largest.

    The middle is that of one piece, because between two holes there is sound metal.
    """

    kind: str
    block: str
    volume_m3: float
    middle: tuple[float, ...]
    frozen_s: float
    pieces: tuple[Place, ...] = ()

    @property
    def depth_m(self):
        """How deep the largest piece is [m]."""
        return max((piece.depth_m for piece in self.pieces[:1]), default=0.0)

    @property
    def harm(self):
        """Of the worst of its pieces: from 1 on, it is not sound."""
        return max((piece.harm for piece in self.pieces), default=0.0)


def holes_of(pieces):
    """A Hole for each kind and block among these `pieces` (Places, the largest first), largest sum first.

    >>> inside, open_one = (Place(kind, 2e-6, (0.0, 0.0), "boss", 90.0) for kind in ("cavity", "sink"))
    >>> [(each.kind, each.volume_m3) for each in holes_of((inside, open_one, open_one))]
    [('sink', 4e-06), ('cavity', 2e-06)]
    """
    alike = {}
    for piece in pieces:
        alike.setdefault((piece.kind, piece.block), []).append(piece)
    found = [
        Hole(*key, sum(each.volume_m3 for each in group), group[0].centre, group[0].frozen_s, tuple(group))
        for key, group in alike.items()
    ]
    return tuple(sorted(found, key=lambda hole: -hole.volume_m3))


def pieces_of(run, void_of, least_m3):
    """Holes of one kind that touch each other: Places, the largest first.

    Parameters: `run` (Freeze); `void_of`, {kind: volume of the holes in each cell [m3]}; `least_m3` [m3],
    less is left out. An account has them ready: `Shrinkage.places`.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> account = shrinkage(freeze(setup, cell=4e-3))
    >>> pieces_of(account.run, account.void_of, 1e-7)[0].block
    'boss'
    """
    found = []
    for kind, holes in void_of.items():
        touching = np.ones((3,) * holes.ndim)
        names, count = ndimage.label(holes > SEEN_FROM * run.grid.volume, structure=touching)
        for number in range(1, count + 1):
            here = np.where(names == number, holes, 0.0)
            if here.sum() >= least_m3:
                found.append(_piece(run, kind, here))
    return tuple(sorted(found, key=lambda piece: -piece.volume_m3))


def _piece(run, kind, holes):
    grid, spots = run.grid, np.nonzero(holes)
    blocks = np.bincount(grid.block[spots], weights=holes[spots])
    return Place(
        kind,
        float(holes.sum()),
        middle_of_holes(grid, holes),
        grid.layout.blocks[int(blocks.argmax())].name,
        float(np.max(run.freeze_time_s[spots])),
        _depth(grid, holes),
        _section_share(grid, holes, np.flatnonzero(blocks)),
    )


def _depth(grid, holes):
    """Row by row: where half of a cell is hollow or more, all of the row counts, else as much less."""
    axis = grid.layout.up_axis
    share = holes / np.maximum(grid.metal_volume, 1e-300)
    most = share.max(axis=tuple(each for each in range(holes.ndim) if each != axis))
    return float((np.minimum(2.0 * most, 1.0) * np.diff(grid.edges[axis])).sum())


def _section_share(grid, holes, blocks):
    metal = np.where(np.isin(grid.block, blocks), grid.metal_volume, 0.0)
    shares = []
    for axis in range(holes.ndim):
        others = tuple(each for each in range(holes.ndim) if each != axis)
        cut, gone = metal.sum(axis=others), holes.sum(axis=others)
        shares.append(float((gone[gone > 0.0] / cut[gone > 0.0]).max()))
    return max(shares)


def middle_of_holes(grid, holes):
    """The middle [m] of `holes` [m3] on cells of a `grid`; where they touch a plane of symmetry, on it.

    >>> import numpy as np
    >>> from castlab import parts
    >>> from castlab.field.grid import build
    >>> grid = build(parts.eye_plate(), 6e-3)  # half of it, behind the plane z = 0
    >>> holes = np.zeros(grid.shape)
    >>> holes[10, 5, 0] = 1e-9
    >>> middle_of_holes(grid, holes)[2]
    0.0
    """
    spots = np.nonzero(holes)
    weight = holes[spots] / holes[spots].sum()
    pairs = zip(grid.centres, spots, strict=True)
    middle = [float((weight * centre[cells]).sum()) for centre, cells in pairs]
    for axis, plane in grid.planes:
        if spots[axis].min() == 0:  # with its mirror image it is one hole
            middle[axis] = plane
    return tuple(middle)


def name_of(kind):
    """What a caster calls a hole of that `kind`.

    >>> name_of("cavity")
    'shrinkage cavity'
    """
    return {
        "sink": "sink",
        "cavity": "shrinkage cavity",
        "sponge": "sponge",
        "pipe_into_casting": "pipe into the casting",
    }[kind]


def the(block):
    """A block in a sentence: a number takes no article.

    >>> the("boss"), the("step 4")
    ('the boss', 'step 4')
    """
    return block if block[-1].isdigit() else f"the {block}"
