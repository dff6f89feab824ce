"""The account: where the metal that is missing after freezing comes from.

As metal cools and freezes it asks for volume. Cells between which liquid can pass form pools; a pool pays
for its cells, first from where the metal still moves as a slurry (the level falls), then from between the
crystals (liquid drains). What feeder, gate and sprue pay is harmless; what the casting pays is a defect.
Every kilogram is followed, so that asked and paid agree to round-off.
"""

from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np
from scipy import ndimage

from castlab.field.freeze import to_the_end
from castlab.field.holes import DEFECTS, LEAST_PIECE, holes_of, pieces_of
from castlab.field.sponge import last_fed_fraction

KINDS = ("feeder", "gate", "pour", "sink", "cavity", "sponge", "pipe_into_casting", "dimensional")
SOUND_BELOW, MARGINAL_BELOW = 1e-3, 5e-3  # defects as a share of the casting's volume; judgement
SKIN_HOLDS_M = 2e-3  # a roof of solid or mush thicker than this does not sink in; judgement
SHALLOW_M = 0.3e-3  # a sink less deep is a matter of size, not a defect; judgement
EQUALLY_SOLID = 0.05  # cells whose solid fraction differs by less drain together; judgement
EMPTY = 1e-9
STEPS_AT_ONCE = 16  # what does not depend on who pays is computed for so many together: quick and small
ATMOSPHERE_PA, GRAVITY = 101325.0, 9.80665  # standard atmosphere and gravity, exact by definition


@dataclass(frozen=True, eq=False)
class Shrinkage:
    """The account of one run.

    asked_m3            liquid and freezing contraction of all metal, V (1 - rho at pouring / rho when solid)
    paid_m3             who paid it, by the names in KINDS
    void, kind          on the cells: share that ended empty, its main kind by number in KINDS (-1 none)
    drained_m3          of the casting's holes, what was drawn from between crystals
    beside_feeder_m3    of the same, what was drawn while liquid could still come from a feeder
    past_feeder_m3      of that, what was drawn while enough of the feeder still moved: it lay lower, or no
                        air came in there
    """

    run: object
    asked_m3: float
    paid_m3: dict
    casting_m3: float
    void: np.ndarray
    kind: np.ndarray
    void_of: dict = field(repr=False)
    drained_m3: float
    beside_feeder_m3: float
    past_feeder_m3: float

    @property
    def defect_m3(self):
        """Volume of all holes that the casting pays for [m3]."""
        return sum(self.paid_m3[kind] for kind in DEFECTS)

    @property
    def defect_share(self):
        """Defects as a share of the casting's volume."""
        return self.defect_m3 / self.casting_m3

    @property
    def verdict(self):
        """ "sound" below 0.1 % of the casting in defects, "marginal" below 0.5 %, else "defective"."""
        if self.defect_share < SOUND_BELOW:
            return "sound"
        return "marginal" if self.defect_share < MARGINAL_BELOW else "defective"

    @cached_property
    def places(self):
        """The connected pieces that the holes are made of, largest first."""
        least = LEAST_PIECE * max(self.defect_m3, SOUND_BELOW * self.casting_m3)
        return pieces_of(self.run, self.void_of, least)

    @cached_property
    def holes(self):
        """The holes, one `Hole` for each kind and block, the largest sum first."""
        return holes_of(self.places)

    @cached_property
    def froze_s(self):
        """When each block was wholly solid [s], by name."""
        run, found = self.run, {}
        for number, body in enumerate(run.grid.layout.blocks):
            times = run.freeze_time_s[(run.grid.block == number) & (run.grid.metal > 0.0)]
            if times.size:
                found[body.name] = float(times.max())
        return found

    @property
    def casting_froze_s(self):
        """When all of the casting was solid [s]."""
        return float(np.nanmax(self.run.freeze_time_s[self.run.grid.is_role("casting")]))

    @property
    def gate_closed_s(self):
        """When the first block between sprue and casting was solid [s]; None without a gate."""
        gates = [body.name for body in self.run.grid.layout.blocks if body.role == "gate"]
        return min((self.froze_s[name] for name in gates), default=None)

    @property
    def feeder_emptied(self):
        """Share of the feeder's volume that it has given away."""
        volume = float(self.run.grid.metal_volume[self.run.grid.is_role("feeder")].sum())
        return self.paid_m3["feeder"] / volume if volume else 0.0


def shrinkage(run):
    """Follow the missing metal of a Freeze through to the holes it leaves.

    asked = paid:  V (1 - rho(T_pour) / rho_solid) = feeder + gate + pour + sink + cavity + sponge + pipe +
    dimensional

    Parameters: `run` (Freeze). Returns a Shrinkage, volumes in m3. Source: mass conservation; the order of
    payment is that of Campbell's feeding mechanisms (liquid, mass, interdendritic feeding), from memory;
    limits are judgement, named above.

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=472.0)
    >>> account = shrinkage(freeze(setup, cell=4e-3))
    >>> abs(account.asked_m3 - sum(account.paid_m3.values())) < 1e-9 * account.asked_m3
    True
    """
    return to_the_end(accounting(run))


def accounting(run):
    """The same as `shrinkage`, giving way every few steps: a generator that returns the Shrinkage."""
    ledger = _Ledger(run)
    for first in range(0, len(run.times_s) - 1, STEPS_AT_ONCE):
        yield
        ledger.follow(first, min(first + STEPS_AT_ONCE, len(run.times_s) - 1))
    yield
    return ledger.close()


class _Ledger:
    """Content of each metal cell while the run is followed.

    `empty` is the share of its metal volume that is void, `gone` the share of its height in which no liquid
    is left, because a front has passed there or because it was drawn out. A front that runs on through a
    void makes no solid metal, so the two are kept apart: else the cells' size would decide how much skin
    grows over a sink.
    """

    def __init__(self, run):
        self.run, self.alloy, grid = run, run.setup.alloy, run.grid
        self.cells = run.metal_cells
        self.volume = grid.metal_volume.ravel()[self.cells]
        self.empty, self.gone = np.zeros(len(self.cells)), np.zeros(len(self.cells))
        self.paid = {kind: np.zeros(len(self.cells)) for kind in KINDS}
        self.drained, self.unfed = np.zeros(len(self.cells)), np.zeros(len(self.cells))
        self.beside_feeder_m3, self.past_feeder_m3 = 0.0, 0.0
        self.poured_kg = 0.0
        self.carried_kg = np.zeros(len(self.cells))  # given back by cells that melt again, until it is needed
        roles = grid.roles.ravel()[self.cells]
        self.in_casting = roles == 1
        self.payer = np.where(
            roles == 2, KINDS.index("feeder"), np.where(roles == 3, KINDS.index("gate"), -1)
        )
        self.lines = _Columns(run)
        places = np.array(np.unravel_index(self.cells, grid.shape))
        places -= places.min(axis=1, keepdims=True)
        self.box = np.zeros(places.max(axis=1) + 1, dtype=bool)  # the smallest grid that holds all metal
        self.box_at = np.ravel_multi_index(places, self.box.shape)
        self.touching = ndimage.generate_binary_structure(self.box.ndim, 1)
        self.alive = None
        self.last_fed = last_fed_fraction(run)

    def follow(self, first, last):
        """Take the steps from one snapshot to another."""
        solid, temp_c = self.run.solid[first : last + 1], self.run.temp_c[first : last + 1]
        if last == len(self.run.times_s) - 1:  # each cell has been solid once; one may have melted again
            solid = solid.copy()
            solid[-1] = 1.0
        course = _course(self.alloy, solid, temp_c, self.last_fed, self.lines)
        for step, rows in enumerate(zip(*course, strict=True), start=first):
            self.take(step, _Course(*rows))

    def take(self, step, course):
        """One step between two snapshots: find the pools, let each pay."""
        run = self.run
        self.rho, self.primary, self.slurry = course.rho, course.primary, course.slurry
        asked_kg = self.volume * (1.0 - self.empty) * course.asked + self.carried_kg
        alive = course.fed & (self.empty < 1.0 - EMPTY)
        if self.alive is None or not np.array_equal(alive, self.alive):
            self.find_pools(alive)
        demand = np.bincount(self.pool_of, weights=asked_kg, minlength=len(self.pools) + 1)
        np.maximum(self.gone, course.front, out=self.gone)
        self.roof = self.lines.roof(1.0 - self.empty - self.moving(slice(None)))
        start, end = run.times_s[step : step + 2]
        inflow = min(max((run.setup.pour_time_s - start) / (end - start), 0.0), 1.0)
        for members, due in zip(self.pools, demand[1:].tolist(), strict=True):
            self.carried_kg[members] = 0.0 if due > 0.0 else asked_kg[members]
            if inflow > 0.0 and due > 0.0 and self.lines.open_top[members].any():
                self.poured_kg += inflow * due
                due -= inflow * due
            if due > 0.0:
                self.pay(members, due)
        self.keep_unfed(course.shrinks_unfed)

    def find_pools(self, alive):
        """Cells between which liquid can pass."""
        self.alive = alive
        self.box.ravel()[self.box_at] = alive
        names, count = ndimage.label(self.box, self.touching)
        self.pool_of = names.ravel()[self.box_at]
        order = np.argsort(self.pool_of, kind="stable")
        starts = np.searchsorted(self.pool_of[order], np.arange(1, count + 2))
        self.pools = [order[first:last] for first, last in zip(starts[:-1], starts[1:], strict=True)]

    def moving(self, cells):
        """Share of these cells that moves as a slurry or as clear liquid."""
        return self.slurry[cells] * (1.0 - self.gone[cells])

    def liquid(self, cells):
        """Share of these cells that is liquid, crystals between it or not."""
        return (1.0 - self.primary[cells]) * (1.0 - self.gone[cells])

    def pay(self, members, due_kg):
        """A pool pays: level falls where air can come in, else inside; then liquid drains from between
        crystals."""
        feeder = members[self.payer[members] == KINDS.index("feeder")]
        self.has_feeder = len(feeder) > 0
        self.feeder_could = np.dot(self.moving(feeder) * self.rho[feeder], self.volume[feeder]) > due_kg
        moving = members[self.moving(members) > EMPTY]
        if len(moving):
            airy = self.roof[moving] < SKIN_HOLDS_M
            airy &= self.lines.height[moving] > self.lines.height[moving].max() - self.atmospheric_head()
            for group in (moving[airy], moving[~airy]):
                due_kg = self.draw(group, self.moving(group), -self.lines.row[group], due_kg)
                if due_kg <= 0.0:
                    return
        self.feeder_could = False
        crystals = self.primary[members]
        rank = np.floor((crystals - crystals.min()) / EQUALLY_SOLID).astype(int)
        order = rank * self.lines.rows - self.lines.row[members]
        due_kg = self.draw(members, self.liquid(members), order, due_kg, drained=True)
        if due_kg > 0.0:  # nothing is left to give: the last of it opens where it is
            weight = self.volume[members] * (1.0 - self.empty[members])
            self.book(members, due_kg * weight / max(weight.sum(), 1e-300) / self.rho[members], drained=True)

    def draw(self, group, room, order, due_kg, drained=False):
        """Take metal from a group of cells, those of lowest `order` first, equals sharing; `room` is the
        share of each that it can give. Returns what is still due."""
        if not len(group) or due_kg <= 0.0:
            return due_kg
        can_give = room * self.volume[group] * self.rho[group]
        order = order - order.min()
        per_rank = np.bincount(order, weights=can_give)
        taken_before = np.concatenate([[0.0], np.cumsum(per_rank)[:-1]])
        share = np.clip((due_kg - taken_before) / np.maximum(per_rank, 1e-300), 0.0, 1.0)
        given = can_give * share[order]
        some = given > 0.0
        self.book(group[some], given[some] / self.rho[group[some]], drained)
        return due_kg - float(given.sum()) if due_kg - given.sum() > 1e-12 * due_kg else 0.0

    def book(self, cells, volume, drained=False):
        """Write down that these cells lost so much volume [m3], each under its kind."""
        lost = volume / self.volume[cells]
        self.empty[cells] += lost
        if drained:  # the crystals stay
            lost = lost / np.maximum(1.0 - self.primary[cells], EMPTY)
        self.gone[cells] = np.minimum(self.gone[cells] + lost, 1.0)
        outside = self.payer[cells]
        for kind in ("feeder", "gate"):
            here = outside == KINDS.index(kind)
            self.paid[kind][cells[here]] += volume[here]
        own = outside < 0
        cells, volume = cells[own], volume[own]
        if not len(cells):
            return
        if drained:
            self.drained[cells] += volume
        self.beside_feeder_m3 += self.has_feeder * float(volume.sum())
        self.past_feeder_m3 += self.feeder_could * float(volume.sum())
        thick = self.lines.thickness[cells]
        open_share = np.clip((SKIN_HOLDS_M - self.roof[cells]) / thick + 0.5, 0.0, 1.0)
        under_feeder = self.lines.under_feeder[cells]
        self.paid["sink"][cells] += volume * open_share * ~under_feeder
        self.paid["pipe_into_casting"][cells] += volume * open_share * under_feeder
        self.paid["cavity"][cells] += volume * (1.0 - open_share)

    def keep_unfed(self, share):
        """Metal that no liquid reaches any more shrinks by this share within its own cell."""
        hole = (1.0 - self.empty) * share
        hole[hole < 1e-15] = 0.0
        self.empty += hole
        self.unfed += hole * self.volume

    def atmospheric_head(self):
        """How high the air's weight lifts this metal [m]."""
        return ATMOSPHERE_PA / (self.alloy.density_liquid * GRAVITY)

    def close(self):
        """Sum up."""
        bodies = ("sponge", self.in_casting), ("feeder", self.payer == 0), ("gate", self.payer == 1)
        for kind, here in bodies:
            self.paid[kind] += np.where(here, self.unfed, 0.0)
        self.fill_with_what_is_left()
        self.set_shallow_sinks_apart()
        run = self.run
        solid_density = self.alloy.density_solid
        paid_m3 = {kind: float(self.paid[kind].sum()) for kind in KINDS}
        # a metal that grows pushes what it gives back up the sprue
        paid_m3["pour"] = float((self.poured_kg + self.carried_kg.sum()) / solid_density)
        poured = _density(self.alloy, run.solid[0], run.temp_c[0])
        asked = float(np.dot(self.volume, 1.0 - poured / solid_density))
        stacked = np.array([self.paid[kind] for kind in KINDS])
        main = np.where(stacked.sum(axis=0) > EMPTY * self.volume, stacked.argmax(axis=0), -1)
        casting = float(self.volume[self.in_casting].sum())
        void_of = {kind: run.on_grid(self.paid[kind], 0.0) for kind in DEFECTS}
        return Shrinkage(
            run,
            asked,
            paid_m3,
            casting,
            run.on_grid(self.empty, 0.0),
            run.on_grid(main, -1),
            void_of,
            float(self.drained[self.in_casting].sum()),
            self.beside_feeder_m3,
            self.past_feeder_m3,
        )

    def fill_with_what_is_left(self):
        """What cells that melted again gave back and nobody asked for fills all holes by one small share."""
        holes = float(np.dot(self.empty, self.volume))
        left = float(self.carried_kg.sum()) / self.alloy.density_solid
        if left < 0.0 and self.alloy.freezing_contraction > 0.0 and holes > -left:
            for hole in (self.empty, self.drained, *self.paid.values()):
                hole *= 1.0 + left / holes
            self.carried_kg[:] = 0.0

    def set_shallow_sinks_apart(self):
        depth = self.lines.total(self.paid["sink"] / self.volume * self.lines.thickness)
        shallow = depth < SHALLOW_M
        self.paid["dimensional"] += np.where(shallow, self.paid["sink"], 0.0)
        self.paid["sink"] = np.where(shallow, 0.0, self.paid["sink"])


class _Columns:
    """The columns of metal along gravity: rows, heights, what lies above each cell."""

    def __init__(self, run):
        self.run, self.grid = run, run.grid
        layout, grid = run.grid.layout, run.grid
        self.axis, self.sign = layout.up_axis, layout.up_sign
        cells = run.metal_cells
        place = np.unravel_index(cells, grid.shape)[self.axis]
        self.rows = grid.shape[self.axis]
        self.row = place if self.sign > 0 else self.rows - 1 - place
        self.height = self.sign * grid.centres[self.axis][place]
        self.thickness = np.diff(grid.edges[self.axis])[place] * grid.metal.ravel()[cells]
        self.below, self.above = self._neighbour(-1), self._neighbour(1)
        roles = grid.roles.ravel()[cells]
        places = np.delete(np.array(np.unravel_index(cells, grid.shape)), self.axis, axis=0)
        column = np.ravel_multi_index(places, np.delete(grid.shape, self.axis))
        self.order = np.lexsort((-self.row, column))  # column by column, from above
        new = np.diff(column[self.order], prepend=-1) != 0
        new |= np.diff(self.row[self.order], prepend=0) != -1  # mould between: another run of metal
        self.starts, self.run_of = np.flatnonzero(new), np.cumsum(new) - 1
        self.under_feeder = self._spread(np.isin(roles[self.order][self.starts], (2, 3)))
        self.open_top = (self.row == self.rows - 1) & np.isin(roles, (2, 3))

    def _spread(self, of_runs):
        """A value of each run of metal, given to its cells."""
        values = np.empty(len(self.order), dtype=of_runs.dtype)
        values[self.order] = of_runs[self.run_of]
        return values

    def _neighbour(self, step):
        """Number of the metal cell next to each along gravity's axis; its own where there is none."""
        own = np.arange(len(self.run.metal_cells))
        shifted = np.roll(self.run.on_grid(own, -1), -step, axis=self.axis)
        np.moveaxis(shifted, self.axis, 0)[-1 if step > 0 else 0] = -1
        found = shifted.ravel()[self.run.metal_cells]
        return np.where(found < 0, own, found)

    def across(self, values):
        """How much values (last axis: cells) differ between the upper and the lower face of each cell."""
        own = np.arange(values.shape[-1])
        steps = np.maximum((self.below != own) + 1.0 * (self.above != own), 1.0)
        differ = values.take(self.above, axis=-1)
        differ -= values.take(self.below, axis=-1)
        np.abs(differ, out=differ)
        differ /= steps
        return differ

    def roof(self, still):
        """Metal [m] above the middle of each cell that neither moves nor is empty; `still` is its share of
        each cell."""
        layer = (still * self.thickness)[self.order]
        through = np.cumsum(layer)
        before = (through - layer)[self.starts]
        above = np.empty(len(layer))
        above[self.order] = through - before[self.run_of] - 0.5 * layer
        return above

    def total(self, values):
        """Sum of values over the run of metal that each cell's column has there."""
        return self._spread(np.bincount(self.run_of, weights=values[self.order]))


class _Course(NamedTuple):
    """What does not depend on who pays: one row for each step, one column for each metal cell.

    fed               whether the cell asks its pool for metal in this step
    rho               [kg/m3]  density up to which it does
    asked             [kg/m3]  what it asks for while it is full
    shrinks_unfed     the share by which its metal shrinks beyond that
    primary           solid fraction; liquid can be drawn out from between these crystals
    front             share of the cell that is solid behind a front
    slurry            share of the cell whose crystals do not yet hold each other
    """

    fed: np.ndarray
    rho: np.ndarray
    asked: np.ndarray
    shrinks_unfed: np.ndarray
    primary: np.ndarray
    front: np.ndarray
    slurry: np.ndarray


def _course(alloy, solid, temp_c, last_fed, lines):
    """The course of some steps from snapshots at their ends, one more than steps."""
    density = _density(alloy, solid, temp_c)
    before, after = solid[:-1], solid[1:]
    asked = (last_fed - before) / np.maximum(after - before, EMPTY)  # share of the step in which it is fed
    np.clip(asked, 0.0, 1.0, out=asked)
    asked[after < before] = 1.0  # what melts again gives back what it took
    fed = asked > 0.0
    asked *= np.diff(density, axis=0)
    rho = density[:-1] + asked
    primary = np.minimum(after, alloy.arrest_fraction)
    front = (1.0 - after) / np.maximum(1.0 - primary, EMPTY)
    np.clip(np.subtract(1.0, front, out=front), 0.0, 1.0, out=front)
    slurry = np.ones(primary.shape)
    if alloy.arrest_fraction > 0.0:
        np.divide(alloy.mobile_limit - primary, np.maximum(lines.across(primary), EMPTY), out=slurry)
        slurry += 0.5
        np.clip(slurry, 0.0, 1.0, out=slurry)
    unfed = np.maximum(1.0 - rho / density[1:], 0.0)
    return _Course(fed, rho, asked, unfed, primary, front, slurry)


def _density(alloy, solid, temp_c):
    """Density [kg/m3]: the liquid's falls with temperature above the liquidus, the mush is a mixture by
    volume."""
    liquid = alloy.density_liquid * (
        1.0 - alloy.liquid_contraction * np.maximum(temp_c - alloy.liquidus_c, 0.0)
    )
    return solid * alloy.density_solid + (1.0 - solid) * liquid
