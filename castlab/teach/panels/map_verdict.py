"""What becomes of a setup, in one word and a few numbers, small enough to travel between processes.

Sound, marginal and the kinds of defect are read off the computed casting. A misrun is not: nothing here
computes flow, so it is a rule of hand that says so.
"""

from dataclasses import dataclass

from castlab.errors import InputError
from castlab.field.freeze import QUICK, freeze
from castlab.field.grid import natural_cell
from castlab.field.outcome import FULL_CELL
from castlab.field.shrinkage import DEFECTS, shrinkage
from castlab.teach.bench.filling import fills, misrun_words

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
    why                for a misrun and for what cannot be cast: the reason in words, else ""
    """

    kind: str
    share: float = 0.0
    volume_m3: float = 0.0
    place: str = ""
    cell: float = 0.0
    why: str = ""

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
    return Verdict("cannot be cast", why=str(error))
