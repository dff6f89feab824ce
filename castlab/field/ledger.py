"""The account's ledger: who pays for each step of freezing, cell by cell."""

import numpy as np
from scipy import ndimage

from castlab.field.columns import Columns
from castlab.field.course import EMPTY, Course, course_of, density_of
from castlab.field.holes import DEFECTS
from castlab.field.sponge import last_fed_fraction

KINDS = ("feeder", "gate", "pour", "sink", "cavity", "sponge", "pipe_into_casting", "dimensional")
SKIN_HOLDS_M = 2e-3  # a roof of solid or mush thicker than this does not sink in; judgement
SHALLOW_M = 0.3e-3  # a sink less deep is a matter of size, not a defect; judgement
EQUALLY_SOLID = 0.05  # cells whose solid fraction differs by less drain together; judgement
SPREAD = (0.6, 0.8, 1.0, 1.2, 1.4)  # times that, each for an equal part of what is due: no hair decides
HOLLOW_FROM = 0.1  # share of a cell from which on its void is part of one hollow with its neighbours'
WHOLE = np.ones((3, 3, 3))  # neighbours over faces, edges and corners
ATMOSPHERE_PA, GRAVITY = 101325.0, 9.80665  # standard atmosphere and gravity, exact by definition

class Ledger:
    """Content of each metal cell while the run is followed, at rest with its FeedingPath, `path`.

    `empty` is the share of its metal volume that is void, `gone` the share of its height in which no liquid
    is left, because a front has passed there or because it was drawn out. A front that runs on through a
    void makes no solid metal, so the two are kept apart: else the cells' size would decide how much skin
    grows over a sink.
    """

    def __init__(self, run, path=None):
        self.run, self.path, self.alloy, grid = run, path, run.setup.alloy, run.grid
        self.cells = run.metal_cells
        self.volume = grid.metal_volume.ravel()[self.cells]
        self.empty, self.gone = np.zeros(len(self.cells)), np.zeros(len(self.cells))
        self.paid = {kind: np.zeros(len(self.cells)) for kind in KINDS}
        self.drained, self.unfed = np.zeros(len(self.cells)), np.zeros(len(self.cells))
        self.beside_feeder_m3, self.past_feeder_m3 = 0.0, 0.0
        self.ladle_s = 0.0 if run.cooled_on_its_way else run.setup.pour_time_s  # else that pour is over
        came = density_of(self.alloy, run.solid[0].astype(float), run.temp_c[0].astype(float))
        self.poured = density_of(self.alloy, 0.0, run.setup.pour_temp_c) if run.cooled_on_its_way else came
        self.poured_kg = float(np.multiply(self.volume, came - self.poured).sum())
        self.carried_kg = np.zeros(len(self.cells))  # given back by cells that melt again, until it is needed
        roles = grid.roles.ravel()[self.cells]
        self.in_casting = roles == 1
        self.payer = np.where(
            roles == 2, KINDS.index("feeder"), np.where(roles == 3, KINDS.index("gate"), -1)
        )
        self.lines = Columns(run)
        places = np.array(np.unravel_index(self.cells, grid.shape))
        places -= places.min(axis=1, keepdims=True)
        self.box = np.zeros(places.max(axis=1) + 1, dtype=bool)  # the smallest grid that holds all metal
        self.box_at = np.ravel_multi_index(places, self.box.shape)
        self.touching = ndimage.generate_binary_structure(self.box.ndim, 1)
        self.alive = None
        self.aired = np.zeros(len(self.cells), dtype=bool)  # where air has come in from outside
        self.last_fed = last_fed_fraction(run)
        if path is not None:  # as long as something pays for its pool, the suction on the way says more
            self.last_fed[path.paid_to >= self.last_fed] = 1.0

    def follow(self, first, last):
        """Take the steps from one snapshot to another."""
        solid, temp_c = (each[first : last + 1].astype(float) for each in (self.run.solid, self.run.temp_c))
        if last == len(self.run.times_s) - 1:  # each cell has been solid once; one may have melted again
            solid[-1] = 1.0
        course = course_of(self.alloy, solid, temp_c, self.last_fed, self.lines)
        for step, rows in enumerate(zip(*course, strict=True), start=first):
            self.take(step, Course(*rows))

    def take(self, step, course):
        """One step between two snapshots: find the pools, let each pay."""
        run = self.run
        self.rho, self.primary, self.slurry = course.rho, course.primary, course.slurry
        asked_kg = self.volume * (1.0 - self.empty) * course.asked + self.carried_kg
        alive = course.fed & (self.empty < 1.0 - EMPTY)
        if self.alive is None or not np.array_equal(alive, self.alive):
            self.find_pools(alive)
        demand = np.bincount(self.pool_of, weights=asked_kg, minlength=len(self.pools) + 1)
        if self.path is not None:
            demand -= self.open_pores(self.path.opened(step), demand)
        np.maximum(self.gone, course.front, out=self.gone)
        self.find_where_air_comes_in()
        start, end = run.times_s[step : step + 2]
        inflow = min(max((self.ladle_s - start) / (end - start), 0.0), 1.0)
        for members, due in zip(self.pools, demand[1:].tolist(), strict=True):
            self.carried_kg[members] = asked_kg[members] if due < 0.0 else 0.0
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

    def find_where_air_comes_in(self):
        """Cells that move and that outside air can reach: through a thin skin, or out of a hollow beside or
        below them that has air in it."""
        moving, lines = self.moving(slice(None)), self.lines
        self.movable = self.alive & (moving > EMPTY)
        still = 1.0 - self.empty - moving
        self.roof = lines.roof(still, self.aired)
        self.front = self.movable & (self.roof < SKIN_HOLDS_M)
        if not self.movable.any():
            return
        if self.aired.any():
            hollow = self.aired & (still < 0.5)
            at = np.flatnonzero(hollow)
            beside = np.zeros(len(hollow), dtype=bool)
            beside[lines.beside[:, at]] = True
            beside[lines.over[at]] = True
            self.front |= beside & self.movable

    def sink(self, moving, due_kg):
        """The level falls where air comes in: highest first, all that lies level with it and hangs together;
        where air finds a way to what stands higher, it rises there. Returns what is still due."""
        lines = self.lines
        highest = lines.height[moving].max() - self.atmospheric_head()
        front = moving[self.front[moving]]
        front = front[lines.height[front] > highest]
        while len(front):
            rows = lines.row[front]
            row = rows.max()
            level = lines.level(front[rows == row], row, self.movable)
            over = lines.over[level]
            rising = over[(over != level) & self.movable[over]]
            if len(rising):
                front = np.concatenate([front, rising])
                continue
            can_give = self.moving(level) * self.volume[level] * self.rho[level]
            taken = min(due_kg, can_give.sum())
            self.book(level, can_give * (taken / max(can_give.sum(), 1e-300)), air=True)
            if taken == due_kg:
                return 0.0
            due_kg -= taken
            self.movable[level] = False
            near = np.concatenate([front, lines.below[level], lines.above[level], *lines.beside[:, level]])
            front = np.unique(near[self.movable[near]])
        return due_kg

    def pay(self, members, due_kg):
        """A pool pays: the level falls where air can come in; else it pays inside."""
        feeder = members[self.payer[members] == KINDS.index("feeder")]
        self.has_feeder = len(feeder) > 0
        could_kg = (self.moving(feeder) * self.rho[feeder] * self.volume[feeder]).sum()
        self.feeder_could = bool(could_kg > due_kg)
        moving = np.flatnonzero(self.movable[members])
        if len(moving):
            due_kg = self.sink(members[moving], due_kg)
        if due_kg > 0.0:
            self.pay_inside(members, moving, due_kg)

    def pay_inside(self, members, moving, due_kg):
        """What no air reaches, the `moving` among the members, gives way, then liquid drains from between
        crystals; from cells together that are about equally solid: with each limit of SPREAD, an equal part
        of what is due."""
        holds_kg, gone = self.volume[members] * self.rho[members], self.gone[members]
        primary, rows = self.primary[members], self.lines.row[members]
        moved_kg, drained_kg, left_kg = np.zeros(len(members)), np.zeros(len(members)), 0.0
        for times in SPREAD:
            alike, part_kg = times * EQUALLY_SOLID, due_kg / len(SPREAD)
            if len(moving) and not self.feeder_drains_too(members, moving, gone, alike):
                can_give = self.slurry[members[moving]] * (1.0 - gone[moving]) * holds_kg[moving]
                given, part_kg = _shared_out(can_give, -rows[moving], part_kg)
                moved_kg[moving] += given
                gone[moving] = np.minimum(gone[moving] + given / holds_kg[moving], 1.0)
            if part_kg > 0.0:
                rank = np.floor((primary - primary.min()) / alike).astype(int)
                can_give = (1.0 - primary) * (1.0 - gone) * holds_kg
                given, part_kg = _shared_out(can_give, rank * self.lines.rows - rows, part_kg)
                drained_kg += given
                gone = np.minimum(gone + given / holds_kg / np.maximum(1.0 - primary, EMPTY), 1.0)
            left_kg += part_kg
        self.book(members, moved_kg)
        self.feeder_could = False
        self.book(members, drained_kg, drained=True)
        if left_kg > 0.0:  # nothing is left to give: the last of it opens where it is
            weight = self.volume[members] * (1.0 - self.empty[members])
            self.book(members, left_kg * weight / max(weight.sum(), 1e-300), drained=True)

    def feeder_drains_too(self, members, moving, gone, alike):
        """Whether what moves in a pool hardly does any longer, and the feeder or gate is as solid but for a
        hair: then liquid from there comes through the mush, and what moves opens no hollow of its own."""
        primary = self.primary[members]
        least = primary[moving].min()
        if least <= self.alloy.mobile_limit - alike:
            return False
        as_solid = (self.payer[members] >= 0) & (primary < least + alike)
        return bool((as_solid & ((1.0 - primary) * (1.0 - gone) > EMPTY)).any())

    def book(self, cells, given_kg, drained=False, air=False):
        """Write down that these cells gave so much metal [kg], each under its kind."""
        some = given_kg > 0.0
        cells = cells[some]
        volume = given_kg[some] / self.rho[cells]
        lost = volume / self.volume[cells]
        self.empty[cells] += lost
        if drained:  # the crystals stay
            lost = lost / np.maximum(1.0 - self.primary[cells], EMPTY)
        self.gone[cells] = np.minimum(self.gone[cells] + lost, 1.0)
        if drained:  # under no more than a skin, air follows the liquid
            thin = (SKIN_HOLDS_M - self.roof[cells]) / self.lines.thickness[cells]
            open_share = np.clip(thin + 0.5, 0.0, 1.0)
        else:
            open_share = np.full(len(cells), float(air))
        self.aired[cells[open_share > 0.5]] = True
        outside = self.payer[cells]
        for kind in ("feeder", "gate"):
            here = outside == KINDS.index(kind)
            self.paid[kind][cells[here]] += volume[here]
        own = outside < 0
        cells, volume, open_share = cells[own], volume[own], open_share[own]
        if not len(cells):
            return
        if drained:
            self.drained[cells] += volume
        self.beside_feeder_m3 += self.has_feeder * float(volume.sum())
        self.past_feeder_m3 += self.feeder_could * float(volume.sum())
        self.paid["sink"][cells] += volume * open_share
        self.paid["cavity"][cells] += volume * (1.0 - open_share)

    def open_pores(self, volume, demand):
        """Pores pay [m3] for what cannot be sucked through the mush: how much of the `demand` of each pool
        [kg]."""
        volume = np.minimum(volume, self.volume * (1.0 - self.empty))  # where the level has not sunk already
        gives = np.bincount(self.pool_of, volume * self.rho, len(demand))
        pays = np.clip(demand, 0.0, gives)
        pays[0] = 0.0  # solid metal
        volume = volume * (pays / np.maximum(gives, 1e-300))[self.pool_of]
        self.empty += volume / self.volume
        self.unfed += volume
        return pays

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
        self.tell_open_from_closed()
        self.set_shallow_sinks_apart()
        run = self.run
        solid_density = self.alloy.density_solid
        paid_m3 = {kind: float(self.paid[kind].sum()) for kind in KINDS}
        # a metal that grows pushes what it gives back up the sprue
        paid_m3["pour"] = float((self.poured_kg + self.carried_kg.sum()) / solid_density)
        stacked = np.array([self.paid[kind] for kind in KINDS])
        main = np.where(stacked.sum(axis=0) > EMPTY * self.volume, stacked.argmax(axis=0), -1)
        return dict(
            asked_m3=float(np.multiply(self.volume, 1.0 - self.poured / solid_density).sum()),
            paid_m3=paid_m3,
            casting_m3=float(self.volume[self.in_casting].sum()),
            void=run.on_grid(self.empty, 0.0),
            kind=run.on_grid(main, -1),
            void_of={kind: run.on_grid(self.paid[kind], 0.0) for kind in DEFECTS},
            drained_m3=float(self.drained[self.in_casting].sum()),
            beside_feeder_m3=self.beside_feeder_m3,
            past_feeder_m3=self.past_feeder_m3,
        )

    def tell_open_from_closed(self):
        """A hollow whose cells hang together, with the cells round it that lack a little, is open if air came
        in anywhere; it is a pipe if air came through feeder or gate."""
        hollow, lacks = self.empty >= HOLLOW_FROM, self.empty > EMPTY
        self.box.ravel()[self.box_at] = hollow
        names, count = ndimage.label(self.box, WHOLE)
        name = names.ravel()[self.box_at]

        def of_a_hollow_where(air_came_in):
            """Cells of the hollows in or beside which that is so, and those beside that lack a little."""
            has = np.zeros(count + 1, dtype=bool)
            has[name[hollow & self.beside_any(lacks & air_came_in)]] = True
            return lacks & self.beside_any(hollow & has[name]) & (has[name] | ~hollow)

        beyond = ~self.in_casting | self.lines.under_feeder
        opened = of_a_hollow_where(self.aired)
        piped = np.where(self.beside_any(hollow), of_a_hollow_where(self.aired & beyond), lacks & beyond)
        self.paid["sink"] += np.where(opened, self.paid["cavity"], 0.0)
        self.paid["cavity"][opened] = 0.0
        self.paid["pipe_into_casting"] += np.where(piped, self.paid["sink"], 0.0)
        self.paid["sink"][piped] = 0.0

    def beside_any(self, these):
        """Cells among these, or that touch one of them, at a corner too."""
        self.box.ravel()[self.box_at] = these
        return ndimage.binary_dilation(self.box, WHOLE).ravel()[self.box_at]

    def fill_with_what_is_left(self):
        """What cells that melted again gave back and nobody asked for fills all holes by one small share."""
        holes = float(np.multiply(self.empty, self.volume).sum())
        left = float(self.carried_kg.sum()) / self.alloy.density_solid
        if left < 0.0 and self.alloy.freezing_contraction > 0.0 and holes > -left:
            for hole in (self.empty, self.drained, *self.paid.values()):
                hole *= 1.0 + left / holes
            self.carried_kg[:] = 0.0

    def set_shallow_sinks_apart(self):
        """What goes down less than SHALLOW_M is a matter of size."""
        depth = self.lines.total(self.paid["sink"] / self.volume * self.lines.thickness)
        shallow = depth < SHALLOW_M
        self.paid["dimensional"] += np.where(shallow, self.paid["sink"], 0.0)
        self.paid["sink"] = np.where(shallow, 0.0, self.paid["sink"])


def _shared_out(can_give, order, due):
    """Take what is due from those of lowest `order` first, equals sharing: what each gives, and what is still
    due.

    >>> _shared_out(np.array([1.0, 3.0, 5.0]), np.array([0, 0, 1]), 2.0)
    (array([0.5, 1.5, 0. ]), 0.0)
    """
    order = order - order.min()
    per_rank = np.bincount(order, weights=can_give)
    taken_before = np.concatenate([[0.0], np.cumsum(per_rank)[:-1]])
    share = np.clip((due - taken_before) / np.maximum(per_rank, 1e-300), 0.0, 1.0)
    given = can_give * share[order]
    left = due - float(given.sum())
    return given, left if left > 1e-12 * due else 0.0
