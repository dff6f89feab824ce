"""What came of one pour, in a few numbers: small enough to be sent about and kept by the hundred."""

from dataclasses import dataclass

from castlab.errors import InputError
from castlab.field.causes import cause_of
from castlab.field.freeze import QUICK, freeze
from castlab.field.grid import natural_cell
from castlab.field.shrinkage import shrinkage
from castlab.units import Phrase

COARSE_CELL, FULL_CELL = 4e-3, 2e-3  # [m] for a first look, and for an answer


@dataclass(frozen=True)
class Outcome:
    """One pour.

    verdict         "sound", "marginal", "defective", or "refused" when it cannot be cast
    refused         why it cannot be cast: a Phrase, with quantities; "" where it can
    defect_m3       all holes that the casting pays for, and as a share of the casting
    sponge_m3       the part of it that is sponge
    kind, block     of the largest hole; empty when there is none
    where           the middle of that hole [m]
    cause           why it is there, a key of `castlab.field.causes.CAUSES`; empty when the casting is sound
    last_block      where the last metal of the casting froze, and when [s]
    poured_kg, yield_share   all metal in the mould, and the casting's share of it
    """

    verdict: str
    refused: Phrase | str = ""
    defect_m3: float = 0.0
    defect_share: float = 0.0
    sponge_m3: float = 0.0
    kind: str = ""
    block: str = ""
    where: tuple[float, ...] = ()
    cause: str = ""
    last_block: str = ""
    froze_s: float = 0.0
    casting_kg: float = 0.0
    poured_kg: float = 0.0

    @property
    def sound(self):
        """Whether it came out without holes that matter."""
        return self.verdict == "sound"

    @property
    def yield_share(self):
        """Casting as a share of all metal in the mould."""
        return self.casting_kg / self.poured_kg if self.poured_kg else 0.0


def outcome_of(design, wanted_cell=FULL_CELL):
    """Pour a Design and say in short what came of it; what cannot be cast is an outcome too.

    Parameters: `design`; `wanted_cell` [m], finer where a section is thin. Returns an Outcome.

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    >>> outcome_of(plain, 4e-3).block
    'boss'
    >>> outcome_of(plain.change(boss=0.001), 4e-3).verdict
    'refused'
    """
    try:
        setup = design.setup()
        if wanted_cell > FULL_CELL:
            run = freeze(setup, wanted_cell, QUICK)
        else:
            run = freeze(setup, natural_cell(setup.layout, wanted_cell))
    except InputError as error:
        return Outcome("refused", error.phrase)
    return summary_of(shrinkage(run))


def summary_of(account):
    """An `account` (Shrinkage) in short: an Outcome.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> summary_of(shrinkage(freeze(setup, cell=4e-3))).last_block
    'boss'
    """
    run, grid = account.run, account.run.grid
    blocks = [body for body in grid.layout.blocks if body.role == "casting"]
    last = max((account.froze_s[body.name], body.name) for body in blocks if body.name in account.froze_s)
    worst = account.places[0] if account.places else None
    density = run.setup.alloy.density_solid
    return Outcome(
        account.verdict,
        defect_m3=account.defect_m3,
        defect_share=account.defect_share,
        sponge_m3=account.paid_m3["sponge"],
        kind=worst.kind if worst else "",
        block=worst.block if worst else "",
        where=worst.centre if worst else (),
        cause=cause_of(account) if worst and account.verdict != "sound" else "",
        last_block=last[1],
        froze_s=last[0],
        casting_kg=density * account.casting_m3,
        poured_kg=density * float(grid.metal_volume.sum()),
    )
