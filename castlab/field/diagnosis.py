"""Why a casting has its hole: the one decision tree over an account, which everybody asks.

A *finding* is what the account shows, as fine as a sentence says it; each is put down to a *cause* out of a
short list, by which castings are read, cured and marked.
"""

from dataclasses import dataclass, field

from scipy import ndimage

from castlab.field.holes import Hole
from castlab.field.layout import line_spans
from castlab.units import METRIC

CLEARLY = 0.15  # two times or shares that differ by this share are told apart by anyone who reads them off
TOGETHER = 0.03  # two times that differ by less are not told apart in words: they have two digits
EMPTY_FEEDER = 0.5  # share of its volume that a feeder has given away when it may count as used up; judgement
NEARLY_EMPTY = 0.8  # ... and from which on it does, whatever else there is; judgement
MOSTLY = 0.5  # share of what is drawn from which on a cause is named as the one
FILLET_M = 5e-3  # less metal on a block is the foot of a fillet and hides no sink; judgement

CAUSES = {
    "no feeder": "nothing beside or above it is still liquid to feed it",
    "freezes first": "the feeder is frozen or stiff before it, and then has nothing to give",
    "runs empty": "the feeder holds too little metal and runs empty",
    "way closes": "the way from the feeder to it freezes too early",
    "uphill": "it lies higher than the metal in the feeder, and metal does not run uphill",
    "even": "the temperature there is so even that liquid cannot travel between the crystals",
}
CAUSE_OF = {
    "even": "even",
    "way from the gate closes": "no feeder",
    "together with the gate": "no feeder",
    "gate lets nothing through": "no feeder",
    "nothing liquid": "no feeder",
    "above the feeder": "uphill",
    "runs empty": "runs empty",
    "solid first": "freezes first",  # the feeder; where it is its neck, the way closes
    "solid together": "freezes first",
    "no air in the feeder": "freezes first",
    "both go down": "uphill",
    "stiff": "freezes first",
    "way closes": "way closes",
}


@dataclass(frozen=True, eq=False)
class Diagnosis:
    """Where the largest hole of a casting is, and why.

    account   the Shrinkage that it was read off
    hole      the largest `Hole`, which all the rest is about; None in a sound casting, and where all holes
              are too small to be followed
    others    the other holes, the largest first
    finding   what the account shows, a key of CAUSE_OF; "" without a hole
    early     how feeder or neck are solid before the hole's block: "solid first", "solid together" or ""
    causes    keys of CAUSES, the likeliest first; more than one near a limit
    """

    account: object = field(repr=False)
    hole: Hole | None = None
    others: tuple[Hole, ...] = ()
    finding: str = ""
    early: str = ""
    causes: tuple[str, ...] = ()

    @property
    def cause(self):
        """The likeliest cause; "" without a hole."""
        return self.causes[0] if self.causes else ""

    @property
    def is_clear(self):
        """Whether one cause can be told from what is read off, and not only by a hair."""
        return len(self.causes) == 1

    @property
    def hole_froze_s(self):
        """When the block with the hole was wholly solid [s]."""
        return self.account.froze_s[self.hole.block]

    @property
    def first_of_feeder(self):
        """Name of that body of the feeder, itself or its neck, which was solid first; None without one."""
        return min(blocks_of(self.account, "feeder"), key=self.account.froze_s.get, default=None)

    @property
    def feeder_froze_s(self):
        """When the last body of the feeder was solid [s]; None without one."""
        return max((self.account.froze_s[name] for name in blocks_of(self.account, "feeder")), default=None)

    @property
    def first_gate(self):
        """Name of the first block between sprue and casting to be solid; None without a gate."""
        return min(blocks_of(self.account, "gate"), key=self.account.froze_s.get, default=None)

    @property
    def feeder_gave(self):
        """Share of its volume that the feeder has given."""
        return self.account.feeder_emptied


def diagnose(account):
    """Find the largest hole of an `account` (Shrinkage) and why it is there: a Diagnosis.

    There is more than one cause where the case is near a limit: what comes out with every limit moved by 15 %
    to either side is a good answer too; and where neck and feeder are both solid too early.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> found = diagnose(shrinkage(freeze(setup, cell=4e-3)))
    >>> found.hole.kind, found.hole.block, found.causes
    ('sink', 'boss', ('no feeder',))
    """
    if account.verdict == "sound" or not account.holes:
        return Diagnosis(account)
    hole, *others = account.holes
    causes = [cause for shift in (0.0, -CLEARLY, CLEARLY) for cause in _causes(account, hole, shift)]
    finding, early = _finding(account, hole), _early(account, hole.block)
    return Diagnosis(account, hole, tuple(others), finding, early, tuple(dict.fromkeys(causes)))


def _causes(account, hole, shift):
    finding = _finding(account, hole, shift)
    first, last = _first_and_last(account)
    if finding not in ("solid first", "solid together") or first != "neck":
        return (CAUSE_OF[finding],)
    too_early = (1.0 + shift) * account.froze_s[last] < account.froze_s[hole.block]
    return ("way closes", "freezes first") if too_early else ("way closes",)


def _finding(account, hole, shift=0.0):
    """A key of CAUSE_OF, with the limits moved by the share `shift`."""
    layout, own = account.run.grid.layout, account.froze_s[hole.block]
    if hole.kind == "sponge":
        return "even"
    if not blocks_of(account, "feeder"):
        return _without_feeder(account, hole.block)
    if height_of(layout, hole.middle) > feeder_top(account):
        return "above the feeder"
    early, (_, last) = _early(account, hole.block, shift), _first_and_last(account)
    given, stiff = account.feeder_emptied / (1.0 - shift), _is_stiff(account, shift)
    too_early = (1.0 + shift) * account.froze_s[last] < own
    used_up = given > EMPTY_FEEDER and (too_early or stiff or given > NEARLY_EMPTY)
    if used_up or (hole.kind == "pipe_into_casting" and not early):
        return "runs empty"
    if early:
        return early
    if account.past_feeder_m3 > MOSTLY * (1.0 + shift) * _drawn(account):
        low = feeder_level(account) <= top_of(account, hole.block)
        return "both go down" if low else "no air in the feeder"
    return "stiff" if stiff else "way closes"


def _without_feeder(account, block):
    froze, own = account.froze_s, account.froze_s[block]
    gates = [froze[name] for name in blocks_of(account, "gate")]
    if gates and min(gates) > own:
        return "way from the gate closes"
    if gates and METRIC.time(min(gates)) == METRIC.time(own):
        return "together with the gate"
    return "gate lets nothing through" if gates and max(gates) > own else "nothing liquid"


def _early(account, block, shift=0.0):
    """How feeder or neck are solid before a block, or "" where both outlast it."""
    if not blocks_of(account, "feeder"):
        return ""
    closed, own = account.froze_s[_first_and_last(account)[0]], account.froze_s[block]
    if (1.0 + shift) * closed < own if shift else told_before(closed, own):
        return "solid first"
    return "solid together" if closed < own and _is_stiff(account, shift) else ""


def told_before(first, second):
    """Whether of two times [s] the `first` is so much before the `second` that words tell them apart.

    >>> told_before(100.0, 120.0), told_before(118.0, 120.0), told_before(100.4, 104.0)
    (True, False, False)
    """
    return first < (1.0 - TOGETHER) * second and METRIC.time(first) != METRIC.time(second)


def _first_and_last(account):
    """Names of the bodies of the feeder that were solid first and last; None twice without a feeder."""
    names, froze = blocks_of(account, "feeder"), account.froze_s.get
    return min(names, key=froze, default=None), max(names, key=froze, default=None)


def _is_stiff(account, shift):
    """Whether most was drawn while liquid could still come from the feeder."""
    return account.beside_feeder_m3 > MOSTLY * (1.0 + shift) * _drawn(account)


def _drawn(account):
    """What the casting lost in holes that a feeder is there to prevent [m3]."""
    return account.defect_m3 - account.paid_m3["sponge"]


# ---- heights, and who touches whom


def blocks_of(account, role):
    """Names of the blocks of one `role` that hold metal.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> blocks_of(shrinkage(freeze(setup, cell=4e-3)), "gate")
    ['gate', 'sprue']
    """
    layout = account.run.grid.layout
    return [body.name for body in layout.blocks if body.role == role and body.name in account.froze_s]


def height_of(layout, place):
    """How high a `place` [m] of a `layout` lies [m].

    >>> from castlab import parts
    >>> height_of(parts.eye_plate(), (0.1, -0.02))
    -0.02
    """
    return layout.up_sign * place[layout.up_axis]


def feeder_top(account):
    """How high the feeder's metal stood at first [m]; `account` is that of a casting with a feeder.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> fed = parts.eye_plate(feeder_width=0.05, feeder_height=0.06)
    >>> account = shrinkage(freeze(Setup(fed, alloy("ZA-12"), mould("green sand"), 475.0), cell=4e-3))
    >>> round(feeder_top(account) - top_of(account, "boss"), 6)
    0.06
    """
    return max(top_of(account, name) for name in blocks_of(account, "feeder"))


def feeder_level(account):
    """How high its metal stands at last [m], had it gone down evenly; `account` as for `feeder_top`.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> fed = parts.eye_plate(feeder_width=0.05, feeder_height=0.06)
    >>> account = shrinkage(freeze(Setup(fed, alloy("ZA-12"), mould("green sand"), 475.0), cell=4e-3))
    >>> top_of(account, "boss") < feeder_level(account) < feeder_top(account)
    True
    """
    layout = account.run.grid.layout
    highest = max(blocks_of(account, "feeder"), key=lambda name: top_of(account, name))
    low, high = _ends(layout, layout.block(highest))
    return high - account.feeder_emptied * (high - low)


def top_of(account, block):
    """Height of the upper face of a block [m]; `block` is its name in the layout of the `account`.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(boss=0.04), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> top_of(shrinkage(freeze(setup, cell=4e-3)), "boss")
    0.02
    """
    layout = account.run.grid.layout
    return _ends(layout, layout.block(block))[1]


def _ends(layout, body):
    """Heights of a body's lower and upper face [m]."""
    return sorted(height_of(layout, corner) for corner in (body.low, body.high))


def where_it_sinks(account, hole):
    """Where a sink, a `hole` of the `account`, lies on its block: "on top", "under a body" or "at the foot".

    Under a body where metal lies on the block there, and at the foot in the corner where the block stands.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> account = shrinkage(freeze(setup, cell=4e-3))
    >>> where_it_sinks(account, account.holes[0])
    'on top'
    """
    layout = account.run.grid.layout
    low, high = _ends(layout, layout.block(hole.block))
    for body in layout.blocks:
        if body.is_metal and abs(_ends(layout, body)[0] - high) < 1e-6:
            if sum(top - foot for foot, top in line_spans(body, hole.middle[0])) > FILLET_M:
                return "under a body"
    return "on top" if 2.0 * height_of(layout, hole.middle) > low + high else "at the foot"


def fed_from_higher(account, block):
    """Whether metal that lies higher than a `block` of the `account` freezes after it.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> account = shrinkage(freeze(setup, cell=4e-3))
    >>> fed_from_higher(account, "plate"), fed_from_higher(account, "boss")
    (True, False)
    """
    top, own = top_of(account, block), account.froze_s[block]
    return any(top_of(account, name) > top and time > own for name, time in account.froze_s.items())


def beside_chill(account):
    """Names of the blocks of the casting that touch a chill, by the layout of the `account`.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> chilled = parts.eye_plate(chill_thickness=0.008)
    >>> setup = Setup(chilled, alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> beside_chill(shrinkage(freeze(setup, cell=4e-3)))
    ['boss']
    """
    layout = account.run.grid.layout
    chills = [body for body in layout.blocks if body.role == "chill"]
    return [name for name in blocks_of(account, "casting")
            if any(_touch(layout.block(name), chill) for chill in chills)]


def way_shut_by_chill(account, hole):
    """The block beside a chill whose way to the `hole`'s block was shut before the hole was solid, and when.

    (name, time [s]), that of the last such way; None where one stays open or none is beside a chill.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> account = shrinkage(freeze(setup, cell=4e-3))
    >>> way_shut_by_chill(account, account.holes[0]) is None
    True
    """
    cold = beside_chill(account)
    ways = {name: _way_closed(account, name, hole.block) for name in cold}
    ways = {name: closed for name, closed in ways.items() if closed > 0.0}
    if hole.block in cold or not ways or max(ways.values()) > hole.frozen_s:
        return None
    return max(ways.items(), key=lambda item: item[1])


def _way_closed(account, first, second):
    """When the cells of one block that lie against another were all solid [s]; 0 where there are none."""
    run, blocks = account.run, account.run.grid.layout.blocks
    here, there = (
        run.grid.block == next(i for i, body in enumerate(blocks) if body.name == name)
        for name in (first, second)
    )
    beside = here & ndimage.binary_dilation(there) & (run.grid.metal > 0.0)
    return float(run.freeze_time_s[beside].max(initial=0.0))


def _touch(first, second):
    """Whether two blocks share a stretch of a face."""
    pairs = zip(first.low, first.high, second.low, second.high, strict=True)
    shared = [min(h1, h2) - max(l1, l2) for l1, h1, l2, h2 in pairs]
    return min(shared) > -1e-6 and sum(length > 1e-6 for length in shared) == len(shared) - 1
