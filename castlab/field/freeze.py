"""Cells to temperatures: when each cell of the casting freezes.

Finite volumes for the heat content of each cell; energy moves only through faces, so that nothing is lost
but round-off. Time goes by super-time-stepping (Runge-Kutta-Legendre of first order: C. D. Meyer, D. S.
Balsara, T. D. Aslam, J. Comput. Phys. 257 (2014) 594). The second-order member of the family costs more and
is worse here: where metal freezes at one temperature its stages overshoot, and cells beside the front
freeze in the wrong order.
"""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage, sparse

from castlab.errors import InputError, require_between
from castlab.field.conduct import SolidCase
from castlab.field.grid import Grid, build, natural_cell, sides
from castlab.field.grid_lines import FULL, cell_for
from castlab.field.heat import HeatTable, heat_table
from castlab.field.layout import Setup

DEFAULT_CELL_M = 2e-3
FIRST_STEP_S = 0.01
STEP_GROWTH, STEP_SHARE_OF_TIME = 1.5, 0.12  # a step is at most 1.5 times the last and 0.02 s + 0.12 t
HEAT_SHARE_OF_STEP = 0.012  # ... and takes about this share of the heat that has to leave
LEFT_SHARE_OF_STEP = 0.12  # ... or this share of the heat that is left, so that the last spot is followed too
SHORTEST_SHARE = 0.012  # ... but a step is never shorter than this share of the time gone by
QUICK = 3.0  # pace of a first look: times within 1 %, in half the time; on coarse cells the cells err more
MOST_STEPS = 3000
STEPS_TO_GIVE_WAY = 4
HOPELESS = 1e6  # a mould that would need so many times the time gone by for the rest is full of heat
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2/K4, CODATA 2018
FREE_CONVECTION = 10.0  # W/m2/K from an open, hot, level surface to still air; common practice


@dataclass(frozen=True, eq=False)
class Freeze:
    """How a setup froze.

    freeze_time_s   [s]      on the cells: when the last liquid of the cell is gone; NaN outside metal
    last_time_s     [s]      when the last metal is fully solid, and last_place [m] where
    times_s         [s]      of the snapshots, shape (n,)
    solid, temp_c            solid fraction and temperature of the metal cells at the snapshots, shape (n, m)
    metal_cells              flat numbers of these m cells in the grid
    energy_error             heat balance: what is missing, as a share of the heat that left the metal
    """

    setup: Setup
    grid: Grid
    freeze_time_s: np.ndarray
    last_time_s: float
    last_place: tuple[float, ...]
    times_s: np.ndarray
    solid: np.ndarray
    temp_c: np.ndarray
    metal_cells: np.ndarray
    energy_error: float

    def on_grid(self, values, fill=np.nan):
        """Values of the metal cells (shape (m,)) spread over the grid."""
        spread = np.full(self.grid.metal.size, fill, dtype=np.asarray(values).dtype)
        spread[self.metal_cells] = values
        return spread.reshape(self.grid.shape)


def freeze(setup, cell=None, pace=1.0):
    """Let a setup freeze and say when each cell is solid.

    d(V u)/dt = sum over faces of A k dT/dx, u the heat content [J/m3] by volume.

    Parameters: `setup` (Setup); `cell` [m], the size of the cells in the metal, at least three across each
    section (default 2 mm, finer where a section asks for it); `pace` from 1 (steps so short that only the
    cells limit accuracy) to QUICK (three times as long, for a first look, in which thin sections get cells of
    their own, two across). Returns a Freeze. Raises InputError where cells are too coarse, metal hangs in the
    air or the flask cannot take up the heat.
    Source of the method: see the head of this file.

    >>> from castlab import Setup, alloy, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("pure zinc"), mould("green sand"), pour_temp_c=470.0)
    >>> run = freeze(setup, cell=4e-3)
    >>> bool(run.energy_error < 1e-10)
    True
    """
    return to_the_end(freezing(setup, cell, pace))


def to_the_end(work):
    """What a generator returns that gives way now and then, such as `freezing`, without giving way.

    >>> def counted():
    ...     yield 0.5
    ...     return "done"
    >>> to_the_end(counted())
    'done'
    """
    while True:
        try:
            next(work)
        except StopIteration as done:
            return done.value


def freezing(setup, cell=None, pace=1.0):
    """The same as `freeze`, giving way every few steps: a generator that returns the Freeze.

    Parameters: `setup`, `cell` [m] and `pace` as for `freeze`, and so is what it refuses. It yields the share
    of the heat that has left the metal, 0 to 1; whoever runs it may drop it there.

    >>> from castlab import Setup, alloy, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("pure zinc"), mould("green sand"), pour_temp_c=470.0)
    >>> shares = list(freezing(setup, cell=4e-3))
    >>> shares == sorted(shares), shares[0] < 0.2 < 0.8 < shares[-1]
    (True, True)
    """
    if cell is None:
        solid, layout = setup.layout.kind == "solid", setup.layout
        cell = cell_for(layout, FULL) if solid else natural_cell(layout, DEFAULT_CELL_M)
    require_between("pace", pace, 1.0, QUICK)
    grid = build(setup.layout, cell, look=pace > 1.0)
    yield 0.0
    case = (SolidCase if setup.layout.kind == "solid" else _Case)(setup, grid)
    times, history = yield from _march(case, pace)
    solid, temp_c = np.empty((2, len(times), case.count))
    for number in range(len(times)):  # each row is freed as it is read: they are most of the memory
        heat, history[number] = history[number], None
        solid[number], temp_c[number] = case.table.solid_fraction(heat), case.table.temperature(heat)
    freeze_time = np.full(grid.metal.size, np.nan)
    freeze_time[case.metal_cells] = case.freeze_time
    freeze_time = freeze_time.reshape(grid.shape)
    last = np.unravel_index(np.nanargmax(freeze_time), grid.shape)
    place = tuple(float(centre[i]) for centre, i in zip(grid.centres, last, strict=True))
    return Freeze(
        setup,
        grid,
        freeze_time,
        float(freeze_time[last]),
        place,
        np.array(times),
        solid,
        temp_c,
        case.metal_cells,
        case.energy_error(),
    )


class _Case:
    """The numbers of one run: what does not change, and the state of all cells, which does.

    Metal cells come first. Of a metal cell the state is the heat content of its metal [J/m3], of another cell
    its temperature [deg C]; last comes the heat [J] that has left through open tops and flat sides. The sum
    of `capacity` times state is the energy [J].
    """

    def __init__(self, setup, grid):
        self.setup, self.grid = setup, grid
        self.table: HeatTable = heat_table(
            setup.alloy, min(setup.mould_temp_c, setup.air_temp_c), setup.pour_temp_c
        )
        metal = grid.metal.ravel()
        self.metal_cells = np.flatnonzero(metal > 0.0)
        self.count = len(self.metal_cells)
        self.order = np.concatenate([self.metal_cells, np.flatnonzero(metal == 0.0)])
        self._read_materials()
        self._move_mould_of_cut_cells()
        self.metal_volume = grid.metal_volume.ravel()[self.metal_cells]
        others = (self.heat_capacity * grid.volume).ravel()[self.order[self.count :]]
        self.capacity = np.concatenate([self.metal_volume, others, [1.0]])
        self.state = np.full(len(self.capacity), setup.mould_temp_c)
        self.state[: self.count], self.state[-1] = self.table.heat_at(setup.pour_temp_c), 0.0
        self.freeze_time = np.full(self.count, np.nan)
        self.start_energy, self.heat_to_lose = self.energy(), self.heat_left()
        self._find_open_faces()
        self._make_operator()

    @property
    def metal_heat(self):
        """Heat content of the metal [J/m3]."""
        return self.state[: self.count]

    def _read_materials(self):
        """Conductivity, heat capacity and interface coefficient of whatever is not metal."""
        mould, blocks = self.setup.mould, self.grid.layout.blocks
        bodies = [block.material or mould for block in blocks] + [mould]
        pick = self.grid.block
        self.other_conductivity = np.array([body.conductivity for body in bodies])[pick]
        self.heat_capacity = np.array([body.density * body.heat_capacity for body in bodies])[pick]
        self.contact_resistance = np.array([1.0 / body.interface_coefficient for body in bodies])[pick]

    def _move_mould_of_cut_cells(self):
        """What is mould in a cut cell takes up heat with the nearest cell of mould.

        It starts cold: in the metal's own cell it would have to start hot, and so take up no heat.
        """
        metal, volume = self.grid.metal, self.grid.volume
        cut = (metal > 0.0) & (metal < 1.0)
        if cut.any():
            nearest = ndimage.distance_transform_edt(metal > 0.0, return_distances=False, return_indices=True)
            place = tuple(index[cut] for index in nearest)
            moved = (self.heat_capacity * volume * (1.0 - metal))[cut]
            np.add.at(self.heat_capacity, place, moved / volume[place])

    def _find_open_faces(self):
        """Open tops and flat sides: areas of the metal cells that lose heat out of the grid."""
        grid, layout = self.grid, self.grid.layout
        self.side_area = grid.bare_sides().ravel()[self.metal_cells]
        top = np.zeros(grid.shape)
        axis = layout.up_axis
        area = grid.volume / grid.sizes[axis] * grid.metal
        place = -1 if layout.up_sign > 0 else 0
        np.moveaxis(top, axis, 0)[place] = np.moveaxis(area, axis, 0)[place]
        top_area = top.ravel()[self.metal_cells]
        self.top_cells = np.flatnonzero(top_area)
        self.top_area = top_area[self.top_cells]
        self._find_covers(grid.block.ravel()[self.metal_cells], grid.width.ravel()[self.metal_cells])

    def _find_covers(self, block, width):
        """What lies in front of and behind each metal cell."""
        mould, blocks = self.setup.mould, self.grid.layout.blocks
        covers = [(body.cover or mould, body.cover_thickness) for body in blocks]
        self.side_diffusivity = np.array([cover.heat_diffusivity for cover, _ in covers])[block]
        self.side_edge = np.array([cover.conductivity for cover, _ in covers])[block] / width
        self.side_contact = np.array([1.0 / cover.interface_coefficient for cover, _ in covers])[block]
        self.cover_resistance = None
        if any(body.cover for body in blocks):
            through = [thick / cover.conductivity if thick else np.inf for cover, thick in covers]
            self.cover_resistance = np.array(through)[block]
            # a sleeve is wider outside than the metal, on all four sides; the picture's two cannot show it
            self.cover_spread = 1.0 + 4.0 * np.array([thick for _, thick in covers])[block] / width
            self.mould_edge = mould.conductivity / width

    def _make_operator(self):
        """The matrix that turns temperatures into rates of the state, heat that leaves the grid left out.

        Its columns: temperatures of all cells, then driving temperatures of the metal; these move heat from
        metal to metal. All flows go from one cell to another, so that no energy is lost but by round-off.
        """
        place = np.empty(self.order.size, dtype=np.int32)
        place[self.order] = np.arange(self.order.size)
        place = place.reshape(self.grid.shape)
        axes = range(place.ndim)
        first, second = (np.concatenate([sides(place, axis)[end].ravel() for axis in axes]) for end in (0, 1))
        conductance = np.concatenate([self._conductance(axis).ravel() for axis in axes])
        inside = (first < self.count) & (second < self.count) & (not self.table.one_conductivity)
        shift = np.where(inside, np.int32(self.order.size), np.int32(0))
        rows = np.concatenate([first, second, first, second])
        columns = np.concatenate([second + shift, first + shift, first + shift, second + shift])
        flows = np.concatenate([conductance, conductance, -conductance, -conductance]) / self.capacity[rows]
        self.driven = np.zeros(self.order.size + self.count)
        shape = len(self.state), len(self.driven)
        self.operator = sparse.csr_array((flows, (rows, columns)), shape=shape)
        conducted = np.bincount(rows[: 2 * len(first)], np.tile(conductance, 2))
        self._find_stiffness(conducted)

    def _find_stiffness(self, conducted):
        """What limits a plain step: W/K that a cell passes on, over the least heat that a kelvin takes."""
        alloy = self.setup.alloy
        liquid = alloy.heat_capacity_liquid * min(1.0, alloy.conductivity_solid / alloy.conductivity_liquid)
        least = self.capacity[:-1].copy()
        least[: self.count] *= alloy.density_solid * min(alloy.heat_capacity_solid, liquid)
        self.stiffness, self.least_capacity = conducted / least, least[: self.count]

    def _conductance(self, axis):
        """Heat conducted through each face along one axis per kelvin [W/K], metal as if solid.

        The share of a face that is metal on both sides conducts from metal to metal; the rest goes through
        what lies between the metal and the neighbour.
        """
        share, contact = self.grid.metal, self.contact_resistance
        half = 0.5 * self.grid.sizes[axis]
        through_metal = np.broadcast_to(half / self.setup.alloy.conductivity_solid, share.shape)
        through_other = half / self.other_conductivity
        outward = share * through_metal + 2.0 * (1.0 - share) * through_other
        outward = np.where(share > 0.0, outward, through_other)
        common = np.minimum(*sides(share, axis))
        first, second = sides(share, axis)
        touch = np.where((first > 0.0) & (second == 0.0), sides(contact, axis)[1], 0.0)
        touch = np.where((second > 0.0) & (first == 0.0), sides(contact, axis)[0], touch)
        by_metal = common / sum(sides(through_metal, axis))
        by_other = (1.0 - common) / (sum(sides(outward, axis)) + touch)
        return self.grid.face_area(axis) * (by_metal + by_other)

    def begin_step(self, time, step):
        """Fetch how metal cells lose heat out of the grid in this step: a T - b [W], a and b constant."""
        setup, mould = self.setup, self.setup.mould
        root = 2.0 * (np.sqrt(time + step) - np.sqrt(time)) / (np.sqrt(np.pi) * step)  # mean of 1/sqrt(pi t)
        into_side = self.side_diffusivity * root
        if self.cover_resistance is not None:  # a thin cover passes its heat on to the mould behind it
            beyond = mould.heat_diffusivity * root * self.cover_spread + self.mould_edge
            into_side = np.maximum(into_side, 1.0 / (self.cover_resistance + 1.0 / beyond))
        loss = self.side_area / (1.0 / (into_side + self.side_edge) + self.side_contact)
        gain = loss * setup.mould_temp_c
        if len(self.top_cells):
            hot, cold = self.table.temperature(self.state[self.top_cells]) + 273.15, setup.air_temp_c + 273.15
            radiation = setup.alloy.emissivity * STEFAN_BOLTZMANN * (hot**2 + cold**2) * (hot + cold)
            top = self.top_area * (radiation + FREE_CONVECTION)
            loss[self.top_cells] += top
            gain[self.top_cells] += top * setup.air_temp_c
        self.loss, self.gain = loss / self.metal_volume, gain / self.metal_volume
        stiffness = self.stiffness.copy()
        stiffness[: self.count] += loss / self.least_capacity
        self.stable_step = 1.0 / float(stiffness.max())

    def rate(self, state):
        """How fast the state changes."""
        count, cells, driven = self.count, self.order.size, self.driven
        metal_temp, driving = self.table.temperatures(state[:count])
        driven[:count], driven[count:cells], driven[cells:] = metal_temp, state[count:cells], driving
        change = self.operator @ driven
        leaving = self.loss * metal_temp
        leaving -= self.gain
        change[:count] -= leaving
        change[-1] = weighted_sum(self.metal_volume, leaving)
        return change

    def heat_left(self):
        """What the metal must still lose to be solid [J]."""
        return weighted_sum(self.metal_volume, np.maximum(self.metal_heat - self.table.heat_when_solid, 0.0))

    def energy(self):
        """All heat there is, with what has left [J]."""
        return weighted_sum(self.capacity, self.state)

    def energy_error(self):
        """What is missing, as a share of the heat that the metal had to lose."""
        return abs(self.energy() - self.start_energy) / self.heat_to_lose


def weighted_sum(weights, values):
    """Sum of products of `weights` and `values`, arrays of one shape, in this thread alone.

    `np.dot` shares such a sum out among all processors; where they have other work, a step waits for the
    slowest of them, and a run takes ten times as long.

    >>> weighted_sum(np.array([1.0, 2.0]), np.array([3.0, 4.0]))
    11.0
    """
    return float(np.multiply(weights, values).sum())


def _march(case, pace):
    """Step until all metal is solid, giving way every few steps; returns the times [s] and the metal's heat
    contents [J/m3] there."""
    time, step = 0.0, FIRST_STEP_S
    times, history = [0.0], [case.metal_heat.copy()]
    while np.isnan(case.freeze_time).any():
        _super_step(case, time, step)
        time += step
        times.append(time)
        history.append(case.metal_heat.copy())
        rate = weighted_sum(case.metal_volume, history[-2] - history[-1]) / step
        left = case.heat_left()
        if len(times) > MOST_STEPS or (time > 1.0 and HOPELESS * time * rate < left):
            raise InputError(
                "size of the flask", case.grid.layout.high, "the mould is too small to freeze this much metal"
            )
        heat = min(HEAT_SHARE_OF_STEP * case.heat_to_lose, LEFT_SHARE_OF_STEP * left)
        limit = max(heat / max(rate, 1e-300), SHORTEST_SHARE * time)  # a skin may draw heat back at first
        if len(times) % STEPS_TO_GIVE_WAY == 0:
            yield 1.0 - left / case.heat_to_lose
        step = min(STEP_GROWTH * step, 0.02 + pace * STEP_SHARE_OF_TIME * time, pace * limit)
    return times, history


def _super_step(case, time, step):
    """One Runge-Kutta-Legendre step; each stage is a mean of cooler and warmer states, so none overshoots."""
    case.begin_step(time, step)
    stages = _stages(step / case.stable_step)
    before, last, here, part = np.zeros((4, len(case.state)))
    last[:] = case.state
    rate = case.rate(last)
    moments, metal_heat = [time], [case.metal_heat.copy()]
    whole = stages * (stages + 1.0)
    for j in range(1, stages + 1):
        mu = (2.0 * j - 1.0) / j
        np.multiply(last, mu, out=here)  # no matrix product: see weighted_sum
        here += np.multiply(before, 1.0 - mu, out=part)
        here += np.multiply(rate, step * mu * 2.0 / whole, out=part)
        moments.append(time + step * j * (j + 1.0) / whole)
        metal_heat.append(here[: case.count].copy())
        before, last, here = last, here, before
        if j < stages:
            rate = case.rate(last)
    case.state = last
    _note_frozen(case, np.array(moments), metal_heat)


def _note_frozen(case, moments, metal_heat):
    """Where metal has become solid in a step, write down when, from the stages between."""
    target = case.table.heat_when_solid
    solid_now = np.flatnonzero((metal_heat[-1] <= target) & np.isnan(case.freeze_time))
    if len(solid_now):
        heat = np.array([each[solid_now] for each in metal_heat])
        cell = np.arange(len(solid_now))
        last = len(moments) - 2 - np.argmax(heat[-2::-1] > target, axis=0)  # the last stage still liquid
        before, after = heat[last, cell], heat[last + 1, cell]
        share = (before - target) / (before - after)
        case.freeze_time[solid_now] = moments[last] + share * (moments[last + 1] - moments[last])


def _stages(ratio):
    """How many stages a step needs that is `ratio` times the stable one; odd, at least three."""
    stages = max(3, int(np.ceil(0.5 * (np.sqrt(1.0 + 8.0 * ratio) - 1.0) - 1e-6)))
    return stages + 1 - stages % 2
