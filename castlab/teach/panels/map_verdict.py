"""What becomes of a setup, in one word and a few numbers, small enough to travel between processes.

Sound, marginal and the kinds of defect are read off the computed casting. A misrun is not: nothing here
computes flow, so it is a rule of hand that says so.
"""

from dataclasses import dataclass, replace

import numpy as np

from castlab.errors import InputError
from castlab.field.freeze import QUICK, freeze
from castlab.field.grid import natural_cell
from castlab.field.outcome import FULL_CELL
from castlab.field.shrinkage import DEFECTS, shrinkage
from castlab.rules.filling import running_time
from castlab.units import METRIC, Phrase

KIND_OF = {"sink": "sink", "cavity": "cavity", "sponge": "sponge", "pipe_into_casting": "pipe"}
COMPUTED = ("sound", "marginal", "sink", "cavity", "sponge", "pipe")
KINDS = (*COMPUTED, "misrun", "cannot be cast")


@dataclass(frozen=True)
class Verdict:
    """What became of one setup.

    kind               one of KINDS; of a defective casting, the defect with the largest volume
    share              all defects as a share of the casting's volume; 0 where nothing was computed
    volume_m3   [m3]   of all defects together
    place              the block with the largest piece of that kind (when marginal: of any), "" if there is
                       none
    cell        [m]    size of the cells it was computed on
    why                for a misrun and for what cannot be cast: the reason, a text or a Phrase, else ""
    """

    kind: str
    share: float = 0.0
    volume_m3: float = 0.0
    place: str = ""
    cell: float = 0.0
    why: Phrase | str = ""

    @property
    def computed(self):
        """Whether the field was asked, so that a finer grid may say otherwise."""
        return self.kind in COMPUTED


def verdict_of(setup, cell):
    """The verdict on a setup: first the rule for a misrun, then the computed casting on cells of that size.

    Parameters: `setup` (Setup); `cell` [m], made finer by the caller where a section is thin
    (`castlab.teach.bench.casting.cells_for`). Returns a Verdict. Raises nothing for a setup that cannot be
    computed: that is a verdict too.

    >>> from castlab import Setup, alloy, mould, parts
    >>> plate = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=472.0)
    >>> found = verdict_of(plate, 4e-3)
    >>> found.kind, found.place
    ('sink', 'boss')
    """
    try:
        if not fills(setup):
            return Verdict("misrun", cell=cell, why=misrun_words(setup))
        pace = QUICK if cell > 1.01 * natural_cell(setup.layout, FULL_CELL) else 1.0
        return verdict_on(shrinkage(freeze(setup, cell, pace)), cell)
    except InputError as error:
        return cannot_be_cast(error)


def verdict_on(account, cell):
    """The verdict on a Shrinkage that is there already: `casting.account` of a bench's result."""
    if account.verdict == "sound":
        return Verdict("sound", account.defect_share, account.defect_m3, "", cell)
    worst = max(DEFECTS, key=lambda kind: account.paid_m3[kind])
    marginal = account.verdict == "marginal"
    places = (place.block for place in account.places if marginal or place.kind == worst)
    kind = "marginal" if marginal else KIND_OF[worst]
    return Verdict(kind, account.defect_share, account.defect_m3, next(places, ""), cell)


def cannot_be_cast(error):
    """The verdict on what an InputError refused."""
    return Verdict("cannot be cast", why=error.phrase)


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
