"""Sizes of a block as drawn: what a hand rule is worked out from, and where a label stands."""


def width_of(block):
    """Size along the picture [m]."""
    return block.high[0] - block.low[0]


def height_of(block):
    """Size along gravity [m]."""
    return block.high[1] - block.low[1]


def volume_of(block):
    """Volume of a straight block [m3].

    >>> from castlab import parts
    >>> round(1e6 * volume_of(parts.eye_plate(boss=0.040, boss_depth=0.040).block("boss")), 3)
    64.0
    """
    return width_of(block) * height_of(block) * block.depth


def middle_of(block):
    """The middle [m]."""
    return tuple(0.5 * (low + high) for low, high in zip(block.low, block.high, strict=True))
