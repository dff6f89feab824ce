"""Does the thinnest section fill? Nothing here computes flow, so it is a rule of thumb that says so."""

from dataclasses import replace

import numpy as np

from castlab.rules.filling import running_time
from castlab.units import METRIC


def fills(setup):
    """Whether the thinnest section of the casting stays open to running metal as long as the pour takes.

    running_time(thinnest section) >= pouring time

    Parameters: `setup` (Setup). A wall of thickness s keeps metal running as long as a round channel of
    radius s: both have the modulus s / 2. A rule, good to a factor of two: it knows neither the way of the
    metal through the mould, nor surface tension, nor oxide skins. Source: `castlab.rules.filling`.

    Worked with `castlab.rules.filling`: in an iron die at 250 deg C A356 of 680 deg C runs 2.67 s in a wall
    of 6 mm and 5.3 s in one of 12 mm; the pour takes 3 s.

    >>> from castlab import Setup, alloy, mould, parts
    >>> def poured(thickness):
    ...     return Setup(parts.eye_plate(thickness), alloy("A356"), mould("cast-iron die"), 680.0)
    >>> fills(poured(0.012)), fills(poured(0.006))
    (True, False)
    """
    return running_s(setup) >= setup.pour_time_s


def running_s(setup):
    """How long metal runs in the thinnest section of the casting before it stops [s]; see `fills`."""
    around = replace(setup.mould, start_temp_c=setup.mould_temp_c)
    return running_time(thinnest_section_m(setup.layout), setup.alloy, around, setup.pour_temp_c)


def misrun_words(setup):
    """Why the rule expects a misrun."""
    runs, takes = METRIC.time(running_s(setup)), METRIC.time(setup.pour_time_s)
    return (f"by a rule of hand, metal stops running in the thinnest section after {runs}, "
            f"and the pour takes {takes}")


def thinnest_section_m(layout):
    """The smallest thickness [m] among the blocks of the casting; a polygon counts with its mean.

    >>> from castlab import parts
    >>> thinnest_section_m(parts.eye_plate(thickness=0.008))
    0.008
    """
    return min(_thickness(layout, block) for block in layout.blocks if block.role == "casting")


def _thickness(layout, block):
    spans = [high - low for low, high in zip(block.low, block.high, strict=True)]
    if layout.kind == "round" and block.low[0] == 0.0:
        spans[0] *= 2.0  # it reaches across the axis
    if block.outline:
        x, y = np.array(block.outline).T
        area = 0.5 * abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))))
        spans = [area / max(spans)]
    return round(min(spans + ([block.depth] if block.depth else [])), 9)
