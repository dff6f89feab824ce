"""What another process does for a page: one casting. It loads no widgets and no drawing library."""

from castlab.errors import InputError
from castlab.teach.bench.casting import solve_casting


def casting_or_none(setup):
    """The `Casting` of a Setup, as closely as a bench at rest has it; None for what cannot be cast.

    >>> from castlab import Setup, alloy, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), 475.0)
    >>> casting_or_none(setup).diagnosis.hole.block
    'boss'
    """
    try:
        return solve_casting(setup)
    except InputError:
        return None
