"""Why a casting has its hole: the one decision tree over an account, which everybody asks.

A *finding* is what the account shows, as fine as a sentence says it; each is put down to a *cause* out of a
short list, by which castings are read, cured and marked.
"""

from dataclasses import dataclass
from functools import cached_property

from scipy import ndimage

from castlab.field.rigging import NECK_LENGTH_M
from castlab.field.section import upright_spans
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
    "way closes": "the feed path from the feeder to it freezes too early",
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
    """Where the largest hole of a casting is, and why: read off its `account` (Shrinkage).

    All but `others` is about the largest hole. Times are in seconds after the pour, heights in metres.
    """

    account: object

    @property
    def hole(self):
        """The largest `Hole`; None in a sound casting, and where all holes are too small to be followed."""
        return None if self.account.verdict == "sound" else next(iter(self.account.holes), None)

    @property
    def others(self):
        """The other holes, the largest first."""
        return self.account.holes[1:] if self.hole else ()

    @cached_property
    def finding(self):
        """What the account shows, a key of CAUSE_OF; "" without a hole."""
        return self._finding() if self.hole else ""

    @cached_property
    def causes(self):
        """Keys of CAUSES, the likeliest first; none without a hole.

        There is more than one near a limit: what comes out with every limit moved by 15 % to either side is a
        good answer too; and where neck and feeder are both solid too early.
        """
        shifts = (0.0, -CLEARLY, CLEARLY) if self.hole else ()
        return tuple(dict.fromkeys(cause for shift in shifts for cause in self._causes(shift)))

    @property
    def cause(self):
        """The likeliest cause; "" without a hole."""
        return self.causes[0] if self.causes else ""

    @property
    def is_clear(self):
        """Whether one cause can be told from what is read off, and not only by a hair."""
        return len(self.causes) == 1

    # ---- when, and how much

    @property
    def hole_froze_s(self):
        """When the block with the hole was wholly solid."""
        return self.account.froze_s[self.hole.block]

    @property
    def feeder_froze_s(self):
        """When the last body of the feeder was solid; None without one."""
        return max(map(self.account.froze_s.get, self.bodies("feeder")), default=None)

    @property
    def feeder_gave(self):
        """Share of its volume that the feeder has given."""
        return self.account.feeder_emptied

    def first(self, role):
        """Name of the body of a role, "feeder" (its neck counts) or "gate", that was solid first, or None."""
        return min(self.bodies(role), key=self.account.froze_s.get, default=None)

    def bodies(self, role):
        """Names of the blocks of one role that hold metal."""
        return [body.name for body in self._layout.blocks
                if body.role == role and body.name in self.account.froze_s]

    # ---- the tree; its limits can be moved by the share `shift`

    def _causes(self, shift):
        finding = self._finding(shift)
        if finding not in ("solid first", "solid together") or self.first("feeder") != "neck":
            return (CAUSE_OF[finding],)
        too_early = (1.0 + shift) * self.feeder_froze_s < self.hole_froze_s
        return ("way closes", "freezes first") if too_early else ("way closes",)

    def _finding(self, shift=0.0):
        account, hole = self.account, self.hole
        if hole.kind == "sponge":
            return "even"
        if not self.bodies("feeder"):
            return self._without_feeder()
        if self.height(hole.middle) > self.feeder_top:
            return "above the feeder"
        early, stiff, given = self.early(shift), self._is_stiff(shift), self.feeder_gave / (1.0 - shift)
        too_early = (1.0 + shift) * self.feeder_froze_s < self.hole_froze_s
        piped = hole.kind == "pipe_into_casting" and not early
        outlasts = self.feeder_froze_s > (1.0 + shift) * self.hole_froze_s  # what it still has cannot come
        used_up = given > EMPTY_FEEDER and (too_early or stiff or piped or given > NEARLY_EMPTY)
        if used_up or (piped and not outlasts):
            return "runs empty"
        if early:
            return early
        if account.past_feeder_m3 > MOSTLY * (1.0 + shift) * self._drawn:
            return "both go down" if self.feeder_level <= self.top_of(hole.block) else "no air in the feeder"
        return "stiff" if stiff else "way closes"

    def _without_feeder(self):
        gates, own = [self.account.froze_s[name] for name in self.bodies("gate")], self.hole_froze_s
        if gates and min(gates) > own:
            return "way from the gate closes"
        if gates and METRIC.time(min(gates)) == METRIC.time(own):
            return "together with the gate"
        return "gate lets nothing through" if gates and max(gates) > own else "nothing liquid"

    def early(self, shift=0.0):
        """How feeder or neck are solid before the hole's block: "solid first", "solid together", else ""."""
        first, own = self.first("feeder"), self.hole_froze_s
        closed = self.account.froze_s[first] if first else own
        if (1.0 + shift) * closed < own if shift else told_before(closed, own):
            return "solid first"
        return "solid together" if closed < own and self._is_stiff(shift) else ""

    def _is_stiff(self, shift):
        """Whether most was drawn while liquid could still come from the feeder."""
        return self.account.beside_feeder_m3 > MOSTLY * (1.0 + shift) * self._drawn

    @property
    def _drawn(self):
        """What the casting lost in holes that a feeder is there to prevent [m3]."""
        return self.account.defect_m3 - self.account.paid_m3["sponge"]

    # ---- heights

    @property
    def _layout(self):
        return self.account.run.grid.layout

    def height(self, place):
        """How high a place lies."""
        return self._layout.up_sign * place[self._layout.up_axis]

    def top_of(self, block):
        """Height of the upper face of a block, by its name."""
        return self._ends(self._layout.block(block))[1]

    @property
    def feeder_top(self):
        """How high the feeder's metal stood at first."""
        return max(self.top_of(name) for name in self.bodies("feeder"))

    @property
    def feeder_level(self):
        """How high it stands at last, had it gone down evenly."""
        low, high = self._ends(self._layout.block(max(self.bodies("feeder"), key=self.top_of)))
        return high - self.feeder_gave * (high - low)

    def _ends(self, body):
        return sorted(self.height(corner) for corner in (body.low, body.high))

    @property
    def is_fed_from_higher(self):
        """Whether metal that lies higher than the hole's block freezes after it."""
        top = self.top_of(self.hole.block)
        return any(self.top_of(name) > top and time > self.hole_froze_s
                   for name, time in self.account.froze_s.items())

    def where_it_sinks(self, hole):
        """Where a sink lies on its block: "on top", "under a body" that stands there, or "at the foot"."""
        low, high = self._ends(self._layout.block(hole.block))
        for body in self._layout.blocks:
            if body.is_metal and abs(self._ends(body)[0] - high) < 1e-6:
                x, _, z = hole.middle
                if sum(top - foot for foot, top in upright_spans(body, x, z)) > FILLET_M:
                    return "under a body"
        upper = self.height(hole.middle) + 0.5 * hole.depth_m  # a deep one begins far above its middle
        return "on top" if 2.0 * upper > low + high else "at the foot"

    # ---- the neck

    @property
    def neck_made_longer_m(self):
        """How long a neck is that is solid first, where a sleeve holds the feeder off the casting beside it
        [m]; 0 where the neck is as short as any, or not what is solid first."""
        if self.first("feeder") != "neck":
            return 0.0
        neck, feeder = (self._layout.block(name) for name in ("neck", "feeder"))
        beside = min(neck.high[0], feeder.high[0]) - max(neck.low[0], feeder.low[0]) < 1e-6
        length = neck.high[0] - neck.low[0]
        return length if beside and length > NECK_LENGTH_M + 1e-6 else 0.0

    # ---- chills

    @property
    def beside_chill(self):
        """Names of the blocks of the casting that touch a chill."""
        chills = [body for body in self._layout.blocks if body.role == "chill"]
        return [name for name in self.bodies("casting")
                if any(_touch(self._layout.block(name), chill) for chill in chills)]

    @property
    def way_shut_by_chill(self):
        """(name, time) of a block beside a chill through which the last way to the hole's block was shut.

        None where a way stayed open longer than the hole was liquid, or none leads past a chill.
        """
        ways = {name: self._way_closed(name) for name in self.beside_chill}
        ways = {name: closed for name, closed in ways.items() if closed > 0.0}
        if self.hole.block in self.beside_chill or not ways or max(ways.values()) > self.hole.frozen_s:
            return None
        return max(ways.items(), key=lambda way: way[1])

    def _way_closed(self, name):
        """When the cells of a block that lie against the hole's block were all solid; 0 if there are none."""
        run, names = self.account.run, [body.name for body in self._layout.blocks]
        here, there = (run.grid.block == names.index(each) for each in (name, self.hole.block))
        beside = here & ndimage.binary_dilation(there) & (run.grid.metal > 0.0)
        return float(run.freeze_time_s[beside].max(initial=0.0))


def diagnose(account):
    """Find the largest hole of an `account` (Shrinkage) and why it is there: returns a Diagnosis.

    >>> from castlab import Setup, alloy, freeze, mould, parts, shrinkage
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> found = diagnose(shrinkage(freeze(setup, cell=4e-3)))
    >>> found.hole.kind, found.hole.block, found.causes
    ('sink', 'boss', ('no feeder',))
    """
    return Diagnosis(account)


def told_before(first, second):
    """Whether of two times [s] the `first` is so much before the `second` that words tell them apart.

    >>> told_before(100.0, 120.0), told_before(118.0, 120.0), told_before(100.4, 104.0)
    (True, False, False)
    """
    return first < (1.0 - TOGETHER) * second and METRIC.time(first) != METRIC.time(second)


def _touch(first, second):
    """Whether two blocks share a stretch of a face."""
    pairs = zip(first.low, first.high, second.low, second.high, strict=True)
    shared = [min(h1, h2) - max(l1, l2) for l1, h1, l2, h2 in pairs]
    return min(shared) > -1e-6 and sum(length > 1e-6 for length in shared) == len(shared) - 1
