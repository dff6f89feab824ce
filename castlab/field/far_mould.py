"""Mould far from all bodies is merged into blocks: the farther, the larger. Mould is most of a grid."""

import numpy as np


def blocks_of(grid, near):
    """Which block each cell of a solid belongs to, and how long the blocks are.

    Parameters: `grid`; `near`: a block is at most as long as its distance from the nearest body over this.
    A block holds one cell or more; all its cells are mould, or it is one cell. Returns the number of each
    cell's block (shape of the grid), the sizes of the blocks along each axis [m], shape (3, blocks), and how
    far each block begins from the nearest body [m].

    >>> from castlab.field import parts
    >>> from castlab.field.grid import build
    >>> grid = build(parts.eye_plate(), 4e-3)
    >>> block, length, away = blocks_of(grid, 1.5)
    >>> len(away) < 0.7 * block.size, bool(len(away) == length.shape[1] == block.max() + 1)
    (True, True)
    """
    edges = grid.edges
    bodies = np.array([(body.low, body.high) for body in grid.layout.blocks])  # (body, end, axis)
    low, high = np.zeros((1, 3), dtype=int), np.array([grid.shape])
    done = []
    while len(low):
        start = np.stack([edge[low[:, axis]] for axis, edge in enumerate(edges)], axis=1)
        end = np.stack([edge[high[:, axis]] for axis, edge in enumerate(edges)], axis=1)
        away, length = _distance(bodies, start, end), end - start
        too_long = (near * length > away[:, None] + 1e-9) & (high - low > 1)
        split = too_long.any(axis=1)
        done.append((low[~split], high[~split], length[~split], away[~split]))
        low, high = _split(low[split], high[split], too_long[split])
    low, high, length, away = (np.concatenate(each) for each in zip(*done, strict=True))
    return _painted(low, high, grid.shape), length.T, away


def _split(low, high, too_long):
    """Boxes halved along each axis on which they are too long; a middle cell stays alone, so that a mirrored
    grid is split into mirrored boxes."""
    for axis in range(3):
        here = too_long[:, axis]
        one, other, rest = low[here], high[here], too_long[here]
        half = (other - one)[:, axis] // 2
        first, last = one[:, axis] + half, other[:, axis] - half
        alone = last > first
        parts = [
            (low[~here], high[~here], too_long[~here]),
            (one, _with(other, axis, first), rest),
            (_with(one, axis, last), other, rest),
            (_with(one, axis, first)[alone], _with(other, axis, last)[alone], rest[alone]),
        ]
        low, high, too_long = (np.concatenate(each) for each in zip(*parts, strict=True))
    return low, high


def _with(corner, axis, place):
    moved = corner.copy()
    moved[:, axis] = place
    return moved


def _distance(bodies, start, end):
    """From each box to the nearest body, as if bodies were boxes too [m]."""
    nearest = np.full(len(start), np.inf)
    for low, high in bodies:
        gap = np.maximum(np.maximum(low - end, start - high), 0.0)
        nearest = np.minimum(nearest, np.einsum("ij,ij->i", gap, gap))
    return np.sqrt(nearest)


def _painted(low, high, shape):
    """The number of the box that each cell lies in."""
    size = high - low
    count = size.prod(axis=1)
    box = np.repeat(np.arange(len(low), dtype=np.int32), count)
    step = np.arange(len(box)) - np.repeat(np.cumsum(count) - count, count)
    x = low[box, 0] + step // (size[box, 1] * size[box, 2])
    y = low[box, 1] + step // size[box, 2] % size[box, 1]
    z = low[box, 2] + step % size[box, 2]
    painted = np.empty(shape, dtype=np.int32)
    painted[x, y, z] = box
    return painted
