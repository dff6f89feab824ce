"""One pour, solved as closely as asked for; and what came of it, small enough to travel between processes."""

from dataclasses import dataclass, replace

from castlab.errors import InputError
from castlab.field import grid_lines
from castlab.field.diagnosis import diagnose
from castlab.field.freeze import QUICK, freeze, freezing
from castlab.field.holes import Hole
from castlab.field.hot_spots import HotSpot, hot_spots
from castlab.field.own_part import OwnPart
from castlab.field.section import middle_plane, plane_of
from castlab.field.shrinkage import accounting
from castlab.field.symmetry import planes_of
from castlab.plan import giving_way, to_the_end
from castlab.units import Phrase, metres

TOO_LARGE = ("its smallest details need more cells than the computer's memory holds. Draw it smaller, leave "
             "small details out, and see whether it was drawn in mm or in inches")


@dataclass(frozen=True)
class Look:
    """How closely a pour is solved: its name, the usual cells [m], and the pace of its steps in time.

    Thin sections get finer cells of their own, large castings larger ones, so that none takes very long.
    """

    name: str
    cell: float
    pace: float = 1.0

    def cell_in(self, layout):
        """The cells in the metal of a layout [m]."""
        usual = grid_lines.QUICK if self.pace > 1.0 else grid_lines.FULL
        return self.cell / usual.cell * grid_lines.cell_for(layout, usual)

    def freeze(self, setup):
        """Let a Setup freeze, looked at so closely: a Freeze. Raises InputError for what cannot be cast."""
        return freeze(setup, self.cell_in(setup.layout), self.pace)


COARSE = Look("coarse", grid_lines.QUICK.cell, QUICK)  # while a slider moves, and where a search looks first
FULL = Look("full", grid_lines.FULL.cell)  # an answer
FINE = Look("fine", 2e-3)  # to see whether an answer holds


def require_room(setup):
    """Refuse a casting of a part of one's own that is too large for the computer, before anything is solved.

    Parameters: `setup` (Setup). Raises InputError with what to change: the size of the whole, or what is too
    thin in it.

    >>> from castlab import alloy, mould, parts
    >>> from castlab.field.layout import Setup
    >>> require_room(Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0))
    """
    layout = setup.layout
    try:
        grid_lines.lines_of(layout, FULL.cell_in(layout), grid_lines.FULL, planes_of(layout))
    except InputError as error:
        if error.parameter != "cell":
            raise
        own = [body for body in layout.blocks if body.role == "casting"]
        longest = max(max(body.high[axis] for body in own) - min(body.low[axis] for body in own)
                      for axis in range(3))
        raise InputError("longest side of the part", metres(longest), TOO_LARGE) from None


def pour(design_or_setup, look=FULL):
    """Pour a Design or a Setup and account for its shrinkage, as closely as the `look` says.

    Parameters: `design_or_setup`, a Setup or what makes one by its `setup()`; `look`, COARSE, FULL or FINE.
    Returns a Shrinkage. Raises InputError for what cannot be cast.

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> account = pour(design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0), COARSE)
    >>> account.verdict
    'defective'
    """
    return to_the_end(pouring(design_or_setup, look))


def pouring(design_or_setup, look=FULL):
    """The same as `pour`, giving way every few steps: a generator that returns the Shrinkage.

    Parameters: `design_or_setup` and `look` as for `pour`, and so is what it refuses. It yields the share of
    the heat that has left the metal, 0 to 1.

    >>> from castlab import Setup, alloy, mould, parts
    >>> work = pouring(Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), 475.0), COARSE)
    >>> next(work) < 0.5
    True
    """
    setup = design_or_setup.setup() if hasattr(design_or_setup, "setup") else design_or_setup
    run = yield from freezing(setup, look.cell_in(setup.layout), look.pace)
    return (yield from accounting(run, at_rest=look.pace == 1.0))


@dataclass(frozen=True)
class Outcome:
    """One pour.

    verdict         "sound", "marginal", "defective", or "refused" when it cannot be cast
    refused         why it cannot be cast: a Phrase, with quantities; "" where it can
    look            how closely it was solved; None when nothing was solved
    holes           a `Hole` for each kind and block, the largest first
    causes          why the largest is there, keys of `castlab.field.diagnosis.CAUSES`, the likeliest first;
                    none when the casting is sound
    defect_m3, defect_share   all holes that the casting pays for, and as a share of the casting
    sponge_m3       the part of them that is sponge
    last_block, froze_s       where the last metal of the casting froze, and when [s]
    casting_m3, casting_kg, poured_kg   the casting, and all metal in the mould
    spots           of a part of one's own, closely solved: its hot spots, the last to freeze first
    off_middle_m    how far in front of the middle of the casting the largest hole shows best [m]; 0: in it
    """

    verdict: str
    refused: Phrase | str = ""
    look: Look | None = None
    holes: tuple[Hole, ...] = ()
    causes: tuple[str, ...] = ()
    defect_m3: float = 0.0
    defect_share: float = 0.0
    sponge_m3: float = 0.0
    last_block: str = ""
    froze_s: float = 0.0
    casting_m3: float = 0.0
    casting_kg: float = 0.0
    poured_kg: float = 0.0
    off_middle_m: float = 0.0
    spots: tuple[HotSpot, ...] = ()

    @property
    def sound(self):
        """Whether it came out without holes that matter."""
        return self.verdict == "sound"

    @property
    def kind(self):
        """Of the largest hole; "" when there is none."""
        return self.holes[0].kind if self.holes else ""

    @property
    def block(self):
        """Where the largest hole is; "" when there is none."""
        return self.holes[0].block if self.holes else ""

    @property
    def cause(self):
        """The likeliest cause; "" when the casting is sound."""
        return self.causes[0] if self.causes else ""

    @property
    def yield_share(self):
        """Casting as a share of all metal in the mould."""
        return self.casting_kg / self.poured_kg if self.poured_kg else 0.0

    def size(self, kind, block):
        """Volume of the holes of that kind in that block [m3]."""
        return sum(hole.volume_m3 for hole in self.holes if (hole.kind, hole.block) == (kind, block))

    def is_largest(self, kind, block):
        """Whether most of the holes are of that kind and lie in that block."""
        return bool(self.holes) and (self.kind, self.block) == (kind, block)


@giving_way
def outcome_of(design_or_setup, look=FULL):
    """Pour a Design or a Setup and say in short what came of it; what cannot be cast is an outcome too.

    Parameters: `design_or_setup` and `look` as for `pour`. Returns an Outcome.

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
    >>> found = outcome_of(plain, COARSE)
    >>> found.block, found.causes
    ('boss', ('no feeder',))
    >>> outcome_of(plain.change(boss=0.001), COARSE).verdict
    'refused'
    """
    try:
        account = yield from pouring(design_or_setup, look)
    except InputError as error:
        return Outcome("refused", error.phrase)
    found = summary_of(account, look)
    if look == FULL and isinstance(getattr(design_or_setup, "part", None), OwnPart):
        return replace(found, spots=hot_spots(account.run, account))
    return found


def summary_of(account, look=FULL):
    """An `account` (Shrinkage) in short: an Outcome. `look`: how closely it was solved.

    >>> from castlab import Setup, alloy, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> summary_of(pour(setup, COARSE), COARSE).last_block
    'boss'
    """
    grid, density = account.run.grid, account.run.setup.alloy.density_solid
    blocks = [body for body in grid.layout.blocks if body.role == "casting"]
    last = max((account.froze_s[body.name], body.name) for body in blocks if body.name in account.froze_s)
    return Outcome(
        account.verdict,
        look=look,
        holes=account.holes,
        causes=diagnose(account).causes,
        defect_m3=account.defect_m3,
        defect_share=account.defect_share,
        sponge_m3=account.paid_m3["sponge"],
        last_block=last[1],
        froze_s=last[0],
        casting_m3=account.casting_m3,
        casting_kg=density * account.casting_m3,
        poured_kg=density * float(grid.metal_volume.sum()),
        off_middle_m=plane_of(account) - middle_plane(grid.layout),
    )
