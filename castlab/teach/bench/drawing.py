"""Sizes of a block as drawn: what a hand rule is worked out from."""


def width_of(block):
    """Size along the picture [m]."""
    return block.high[0] - block.low[0]


def height_of(block):
    """Size along gravity [m]."""
    return block.high[1] - block.low[1]
