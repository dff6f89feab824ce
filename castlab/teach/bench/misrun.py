"""A casting that did not fill: what may be said of it, and where in the picture its metal ends."""

import numpy as np

from castlab.teach.bench.drawing import height_of, width_of

FRONT = 0.4  # of half the boss's width: so far the edges of metal that stopped are rounded; judgement
WHO_PAID = ("supplied by", "unfed", "lost as", "pushed back", "metal in the mould")
IF_FULL = ("last metal", "middle of", "feed demand")


def if_it_were_full(pairs):
    """Of the numbers of a full mould, pairs of name and words, those that may be said where metal is missing:
    never who paid, and of times and demand that a full mould has them.

    >>> if_it_were_full([("feed demand", "3.4 cm3"), ("unfed: holes", "1 cm3"), ("yield", "70 %")])
    [('were it full, feed demand', '3.4 cm3'), ('yield', '70 %')]
    """
    return [(f"were it full, {name}" if name.startswith(IF_FULL) else name, words) for name, words in pairs
            if not name.startswith(WHO_PAID)]


def beyond_front(layout, place):
    """Corners (x, y) [m] of what the metal has not reached that stopped at a place: its front is rounded."""
    plate, boss = (layout.block(name) for name in ("plate", "boss"))
    turns = np.linspace(-0.5 * np.pi, 0.5 * np.pi, 65)
    forward, aside = np.sqrt(np.cos(turns).clip(0.0)), np.sign(turns) * np.sqrt(abs(np.sin(turns)))
    (right, top, _), bottom = layout.high, layout.low[1]
    if place[0] < boss.low[0]:
        half = 0.5 * height_of(plate)
        deep = min(half, place[0] - plate.low[0])
        front = [*zip(place[0] - deep + deep * forward, plate.middle[1] + half * aside, strict=True)]
        return ((right, bottom), (front[0][0], bottom), *front, (front[-1][0], top), (right, top))
    half = 0.5 * width_of(boss)
    deep = min(FRONT * half, place[1] - boss.low[1])
    front = [*zip(boss.middle[0] + half * aside, place[1] - deep + deep * forward, strict=True)]
    return ((boss.low[0], top), *front, (right, front[-1][1]), (right, top))
