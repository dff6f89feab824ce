"""Cells to temperatures: when each cell of the casting freezes.

Finite volumes for the heat content of each cell; energy moves only through faces, so that nothing is lost
but round-off. Time goes by super-time-stepping (Runge-Kutta-Legendre of first order: C. D. Meyer, D. S.
Balsara, T. D. Aslam, J. Comput. Phys. 257 (2014) 594). The second-order member of the family costs more and
is worse here: where metal freezes at one temperature its stages overshoot, and cells beside the front
freeze in the wrong order.
"""

from dataclasses import dataclass, field

import numpy as np
from scipy import ndimage

from castlab.errors import InputError, require_between
from castlab.field.grid import Grid, build, natural_cell, sides
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
HOPELESS = 1e6  # a mould that would need so many times the time gone by for the rest is full of heat
STILL_COLD_K = 1e-3  # mould that has warmed by less is left out of the window
WINDOW_REACH = 3.0  # heat reaches sqrt(diffusivity x step) times this far in one step
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
    cells limit accuracy) to QUICK (three times as long, for a first look). Returns a Freeze. Raises
    InputError where cells are too coarse, metal hangs in the air or the flask cannot take up the heat.
    Source of the method: see the head of this file.

    >>> from castlab import Setup, alloy, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("pure zinc"), mould("green sand"), pour_temp_c=470.0)
    >>> run = freeze(setup, cell=4e-3)
    >>> bool(run.energy_error < 1e-10)
    True
    """
    if cell is None:
        cell = natural_cell(setup.layout, DEFAULT_CELL_M)
    require_between("pace", pace, 1.0, QUICK)
    grid = build(setup.layout, cell)
    case = _Case(setup, grid)
    times, history = _march(case, pace)
    solid, temp_c = case.states(np.array(history))
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


@dataclass(eq=False)
class _Case:
    """The numbers of one run: what does not change, and the heat content that does."""

    setup: Setup
    grid: Grid
    heat: np.ndarray = field(init=False)  # u [J/m3] of every cell
    lost: float = field(init=False, default=0.0)  # J that left through open tops and flat sides

    def __post_init__(self):
        setup, grid = self.setup, self.grid
        metal = grid.metal
        self.metal_cells = np.flatnonzero(metal > 0.0)
        self.share = metal.ravel()[self.metal_cells]
        self._read_materials()
        self._move_mould_of_cut_cells()
        self.table: HeatTable = heat_table(
            setup.alloy, min(setup.mould_temp_c, setup.air_temp_c), setup.pour_temp_c
        )
        self._fill_mould()
        self.heat_when_solid = self.share * self.table.heat_when_solid
        self.freeze_time = np.full(len(self.metal_cells), np.nan)
        self.start_energy = self.energy()
        metal_volume = grid.volume.ravel()[self.metal_cells]
        start = self.heat.ravel()[self.metal_cells]
        self.heat_to_lose = float(np.dot(metal_volume, start - self.heat_when_solid))
        alloy = setup.alloy
        liquid = alloy.heat_capacity_liquid * min(1.0, alloy.conductivity_solid / alloy.conductivity_liquid)
        least_capacity = alloy.density_solid * min(alloy.heat_capacity_solid, liquid)
        self.least_capacity = np.where(metal > 0.0, metal * least_capacity, self.capacity)
        self._find_open_faces()
        self.conductances = [self._conductance(axis) for axis in range(metal.ndim)]

    def _read_materials(self):
        """Conductivity, heat capacity and interface coefficient of whatever is not metal."""
        mould, blocks = self.setup.mould, self.grid.layout.blocks
        bodies = [block.material or mould for block in blocks] + [mould]
        pick = self.grid.block
        self.other_conductivity = np.array([body.conductivity for body in bodies])[pick]
        self.capacity = np.array([body.density * body.heat_capacity for body in bodies])[pick]
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
            moved = (self.capacity * volume * (1.0 - metal))[cut]
            np.add.at(self.capacity, place, moved / volume[place])

    def _fill_mould(self):
        self.heat = self.capacity * self.setup.mould_temp_c
        self.heat.ravel()[self.metal_cells] = self.share * self.table.heat_at(self.setup.pour_temp_c)

    def _find_open_faces(self):
        """Open tops and flat sides: areas of the metal cells that lose heat out of the grid."""
        grid, layout = self.grid, self.grid.layout
        self.side_area = grid.bare_sides().ravel()[self.metal_cells]
        top = np.zeros(grid.shape)
        axis = layout.up_axis
        area = grid.volume / grid.sizes[axis] * grid.metal
        place = -1 if layout.up_sign > 0 else 0
        np.moveaxis(top, axis, 0)[place] = np.moveaxis(area, axis, 0)[place]
        self.top_area = top.ravel()[self.metal_cells]
        self._find_covers(grid.block.ravel()[self.metal_cells], grid.width.ravel()[self.metal_cells])

    def _find_covers(self, block, width):
        """What lies in front of and behind each metal cell."""
        mould, blocks = self.setup.mould, self.grid.layout.blocks
        covers = [(body.cover or mould, body.cover_thickness) for body in blocks]
        self.side_diffusivity = np.array([cover.heat_diffusivity for cover, _ in covers])[block]
        self.side_edge = np.array([cover.conductivity for cover, _ in covers])[block] / width
        self.side_contact = np.array([cover.interface_coefficient for cover, _ in covers])[block]
        self.cover_resistance = None
        if any(body.cover for body in blocks):
            through = [thick / cover.conductivity if thick else np.inf for cover, thick in covers]
            self.cover_resistance = np.array(through)[block]
            # a sleeve is wider outside than the metal, on all four sides; the picture's two cannot show it
            self.cover_spread = 1.0 + 4.0 * np.array([thick for _, thick in covers])[block] / width
            self.mould_edge = mould.conductivity / width

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

    def states(self, heat):
        """Solid fraction and temperature [deg C] of the metal cells at heat contents (..., m)."""
        of_metal = heat / self.share
        return self.table.solid_fraction(of_metal), self.table.temperature(of_metal)

    def losses(self, time, step):
        """Heat that leaves each metal cell out of the grid: (a, b) of a T - b [W], constant over a step."""
        setup, mould = self.setup, self.setup.mould
        root = 2.0 * (np.sqrt(time + step) - np.sqrt(time)) / (np.sqrt(np.pi) * step)  # mean of 1/sqrt(pi t)
        into_side = self.side_diffusivity * root
        if self.cover_resistance is not None:  # a thin cover passes its heat on to the mould behind it
            beyond = mould.heat_diffusivity * root * self.cover_spread + self.mould_edge
            passed_on = 1.0 / (self.cover_resistance + 1.0 / beyond)
            into_side = np.maximum(into_side, passed_on)
        side = self.side_area / (1.0 / (into_side + self.side_edge) + 1.0 / self.side_contact)
        if not self.top_area.any():
            return side, side * setup.mould_temp_c
        _, temp = self.states(self.heat.ravel()[self.metal_cells])
        hot, cold = temp + 273.15, setup.air_temp_c + 273.15
        radiation = setup.alloy.emissivity * STEFAN_BOLTZMANN * (hot**2 + cold**2) * (hot + cold)
        top = self.top_area * (radiation + FREE_CONVECTION)
        return side + top, side * setup.mould_temp_c + top * setup.air_temp_c

    def heat_left(self):
        """What the metal must still lose to be solid [J]."""
        left = np.maximum(self.heat.ravel()[self.metal_cells] - self.heat_when_solid, 0.0)
        return float(np.dot(self.grid.volume.ravel()[self.metal_cells], left))

    def energy(self):
        return float(np.sum(self.heat * self.grid.volume))

    def energy_error(self):
        return abs(self.energy() + self.lost - self.start_energy) / self.heat_to_lose


class _Window:
    """The part of the grid that heat has reached, with the numbers of one step at hand."""

    def __init__(self, case, part):
        self.case, self.part = case, part
        self.one_conductivity = case.table.one_conductivity
        mask = np.zeros(case.grid.shape, bool)
        mask[part] = True
        numbers = np.full(mask.size, -1)
        numbers[mask.ravel()] = np.arange(mask.sum())
        self.metal_at = numbers[case.metal_cells]
        self.volume = np.ascontiguousarray(case.grid.volume[part])
        self.per_volume = 1.0 / self.volume.ravel()
        self.per_share = 1.0 / case.share
        self.per_capacity = 1.0 / case.capacity[part].ravel()
        self.least = self.volume * case.least_capacity[part]
        self.temp, self.spare = np.empty(self.volume.size), np.empty(self.volume.size)
        self.strides = [stride // self.volume.itemsize for stride in self.volume.strides]
        self.flows = [np.zeros(self.volume.size + stride) for stride in self.strides]
        self.metal_volume = self.volume.ravel()[self.metal_at]
        faces = [each[_inner(part, axis)] for axis, each in enumerate(case.conductances)]
        self.flat_faces = [_flat_faces(face, axis) for axis, face in enumerate(faces)]
        self.conducted = np.zeros(self.volume.shape)  # by all faces of a cell, per kelvin
        for axis, face in enumerate(faces):
            before, after = sides(self.conducted, axis)
            before += face
            after += face
        self.skins = [self._skin(axis) for axis in range(self.volume.ndim)]

    def _skin(self, axis):
        """Faces between metal and what is not metal: their places, conductances (signed), and whose metal."""
        number = np.full(self.volume.size, -1)
        number[self.metal_at] = np.arange(len(self.metal_at))
        stride, face = self.strides[axis], self.flat_faces[axis]
        before, after = number[:-stride], number[stride:]
        place = np.flatnonzero(((before < 0) != (after < 0)) & (face > 0.0))
        conductance = np.where(before[place] < 0, face[place], -face[place])
        return place, conductance, np.maximum(before[place], after[place])

    def begin(self, time, step):
        """Fetch what changes from step to step."""
        self.loss, self.gain = self.case.losses(time, step)

    def stable_step(self):
        """The longest step [s] that a plain explicit step could take."""
        total = self.conducted.copy()
        total.ravel()[self.metal_at] += self.loss
        return 1.0 / float(np.max(total / self.least))

    def rate(self, heat, out):
        """du/dt [W/m3] of every cell and, last, the heat that leaves the grid [W], written to `out`.

        `heat` has the same shape. Returns the heat contents of the metal cells.

        Works on flat arrays, where the neighbour along an axis is a fixed number of places away: numpy takes
        them in one pass, whatever the axis.
        """
        case, temp = self.case, self.temp
        change = out[:-1]
        np.multiply(heat[:-1], self.per_capacity, out=temp)
        metal_heat = heat.take(self.metal_at)
        metal_temp = case.table.temperature(metal_heat * self.per_share)
        driving = metal_temp
        if not self.one_conductivity:
            driving = case.table.driving_temperature(metal_heat * self.per_share)
        temp[self.metal_at] = driving
        for axis, (stride, flow) in enumerate(zip(self.strides, self.flows, strict=True)):
            inner = flow[stride:-stride]
            np.subtract(temp[stride:], temp[:-stride], out=inner)
            inner *= self.flat_faces[axis]
            if not self.one_conductivity:
                place, conductance, metal = self.skins[axis]
                inner[place] += conductance * (metal_temp - driving)[metal]
            if axis == 0:
                np.subtract(flow[stride:], flow[:-stride], out=change)
            else:
                change += np.subtract(flow[stride:], flow[:-stride], out=self.spare)
        leaving = self.loss * metal_temp - self.gain
        change[self.metal_at] -= leaving
        change *= self.per_volume
        out[-1] = leaving.sum()
        return metal_heat


def _march(case, pace):
    """Step until all metal is solid; returns the times [s] and the metal's heat contents [J/m3] there."""
    time, step, taken = 0.0, FIRST_STEP_S, 0
    times, history = [0.0], [case.heat.ravel()[case.metal_cells]]
    part = _bounding_box(case.grid.block >= 0, 2)
    window = None
    while np.isnan(case.freeze_time).any():
        reach = _grown(case, part, step)
        if window is None or reach != part:
            part = reach
            window = _Window(case, part)
        before = history[-1]
        _super_step(case, window, time, step)
        time, taken = time + step, taken + 1
        times.append(time)
        history.append(case.heat.ravel()[case.metal_cells])
        rate = float(np.dot(window.metal_volume, before - history[-1])) / step
        stuck = time > 1.0 and HOPELESS * time * rate < case.heat_left()
        if taken > MOST_STEPS or stuck:
            raise InputError(
                "size of the flask", case.grid.layout.high, "the mould is too small to freeze this much metal"
            )
        heat = min(HEAT_SHARE_OF_STEP * case.heat_to_lose, LEFT_SHARE_OF_STEP * case.heat_left())
        limit = max(heat / max(rate, 1e-300), SHORTEST_SHARE * time)  # a skin may draw heat back at first
        step = min(STEP_GROWTH * step, 0.02 + pace * STEP_SHARE_OF_TIME * time, pace * limit)
    return times, history


def _super_step(case, window, time, step):
    """One Runge-Kutta-Legendre step; each stage is a mean of cooler and warmer states, so none overshoots."""
    window.begin(time, step)
    stages = _stages(step / window.stable_step())
    cells = window.volume.size
    # heat content after three stages in a ring, and its rate; last the heat lost
    rows = np.zeros((4, cells + 1))
    rows[0, :cells] = case.heat[window.part].ravel()
    moments, metal_heat = [time], [window.rate(rows[0], rows[3])]
    weights, whole = np.zeros(4), stages * (stages + 1.0)
    for j in range(1, stages + 1):
        here, last, before = j % 3, (j - 1) % 3, (j - 2) % 3
        mu = (2.0 * j - 1.0) / j
        weights[here], weights[last], weights[before], weights[3] = 0.0, mu, 1.0 - mu, step * mu * 2.0 / whole
        heat = rows[here] = weights @ rows
        moments.append(time + step * j * (j + 1.0) / whole)
        metal_heat.append(window.rate(heat, rows[3]) if j < stages else heat[window.metal_at])
    _note_frozen(case, np.array(moments), metal_heat)
    case.heat[window.part] = heat[:cells].reshape(window.volume.shape)
    case.lost += heat[cells]


def _note_frozen(case, moments, metal_heat):
    """Where metal has become solid in a step, write down when, from the stages between."""
    target = case.heat_when_solid
    solid_now = np.flatnonzero((metal_heat[-1] <= target) & np.isnan(case.freeze_time))
    if len(solid_now):
        heat = np.array([each[solid_now] for each in metal_heat])
        target, cell = target[solid_now], np.arange(len(solid_now))
        last = len(moments) - 2 - np.argmax(heat[-2::-1] > target, axis=0)  # the last stage still liquid
        before, after = heat[last, cell], heat[last + 1, cell]
        share = (before - target) / (before - after)
        case.freeze_time[solid_now] = moments[last] + share * (moments[last + 1] - moments[last])


def _stages(ratio):
    """How many stages a step needs that is `ratio` times the stable one; odd, at least three."""
    stages = max(3, int(np.ceil(0.5 * (np.sqrt(1.0 + 8.0 * ratio) - 1.0))))
    return stages + 1 - stages % 2


def _bounding_box(mask, margin):
    """Slices round the true cells, some cells wider."""
    box = []
    for axis in range(mask.ndim):
        hit = np.flatnonzero(mask.any(axis=tuple(a for a in range(mask.ndim) if a != axis)))
        box.append(slice(max(int(hit[0]) - margin, 0), min(int(hit[-1]) + 1 + margin, mask.shape[axis])))
    return tuple(box)


def _grown(case, part, step):
    """The window, wider where heat has come near its border."""
    mould = case.setup.mould
    reach = WINDOW_REACH * np.sqrt(mould.conductivity / (mould.density * mould.heat_capacity) * step)
    cold = case.capacity * case.setup.mould_temp_c
    warm = np.abs(case.heat[part] - cold[part]) > STILL_COLD_K * case.capacity[part]
    box = _bounding_box(warm, 0)
    grown = []
    for axis, (span, hot) in enumerate(zip(part, box, strict=True)):
        edge = case.grid.edges[axis]
        low = np.searchsorted(edge, edge[span.start + hot.start] - reach, side="right") - 2
        high = np.searchsorted(edge, edge[span.start + hot.stop] + reach) + 1
        low, high = min(span.start, int(low)), max(span.stop, int(high))
        grown.append(slice(max(low, 0), min(high, len(edge) - 1)))
    return tuple(grown)


def _flat_faces(face, axis):
    """Conductances as a flat array that matches cells a stride apart; 0 where a row of cells ends."""
    padded = np.pad(face, [(0, 1 if each == axis else 0) for each in range(face.ndim)])
    stride = int(np.prod(face.shape[axis + 1 :]))
    return padded.ravel()[: padded.size - stride]


def _inner(part, axis):
    """The faces along one axis between the cells of a window."""
    return tuple(slice(p.start, p.stop - 1) if i == axis else p for i, p in enumerate(part))
