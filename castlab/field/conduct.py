"""Heat in a solid: which part of which cell passes how much heat to which other, and the state of all parts.

A cell has a metal part, another part (mould, chill, sleeve or core), or both; far mould is merged into
blocks. All heat moves from one part to another, so that none is lost but by round-off. Most parts are mould
that only touches mould: there heat flows so calmly that it wants few stages, beside metal many.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse
from scipy.sparse._sparsetools import csr_matvec  # what `@` calls, without its preparations

from castlab.field.arrival import arrival
from castlab.field.cut import LEAST_PART, faces_between, slant
from castlab.field.edges import at_edges
from castlab.field.far_mould import blocks_of
from castlab.field.grid import sides
from castlab.field.heat import heat_table

# Metal of a thin section or a sliver passes on no more heat than lets it follow its neighbours in so short a
# time as a cell elsewhere, over this: it stays even in temperature, and does not shorten all steps. Fitted to
# four castings: dearer if higher, 0.3 to 7 % late if lower.
SLIVERS_FOLLOW = 4.0
# Share of a growing grid's first-order error that is made good. Fitted to plate and ball in one dimension.
STEEPER = 0.35
CALM = 2.5  # times as stiff as a whole cell of mould: up to there a part is calm; dearer if lower or higher
LEAST_FACE = 1e-9  # of a cell's side; less is round-off
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m2/K4, CODATA 2018
FREE_CONVECTION = 10.0  # W/m2/K from an open, hot, level surface to still air; common practice


@dataclass(frozen=True, eq=False)
class Skins:
    """Faces between a metal part and another part.

    metal, other   numbers of the parts
    area, fixed    [m2], and what resists for ever: half the metal and the contact [m2 K/W]
    through        all of the other part's thickness resists so much [m2 K/W]
    rate           how fast heat passes through that thickness: diffusivity over its square [1/s]
    most           [W/K] more is not needed
    sharp          by how much more flows at a convex edge, once heat has passed the thickness; 1 elsewhere
    touched        [s] when metal came there; 0 is when the mould was full
    """

    metal: np.ndarray
    other: np.ndarray
    area: np.ndarray
    fixed: np.ndarray
    through: np.ndarray
    rate: np.ndarray
    most: np.ndarray
    sharp: np.ndarray
    touched: np.ndarray | float = 0.0

    def conductance(self, time, step):
        """W/K from the metal to the mean temperature of the other part, in a step from `time` [s] on.

        At first heat has only reached a skin of the part, and flows b (T - T0) / sqrt(pi t) into it: with the
        part's mean temperature as it is then, the resistance is that of sqrt(pi rate t) - 2 rate t of its
        thickness, until that is largest; from there it goes towards one half, as for heat that flows through.
        """
        since_touched = time - self.touched
        number = self.rate * (0.5 * (np.sqrt(since_touched) + np.sqrt(since_touched + step))) ** 2
        largest = np.pi / 16.0
        early = np.sqrt(np.pi * number) - 2.0 * number
        since = np.sqrt(largest / np.maximum(number, largest))  # from 1 to 0
        late = 0.5 - (0.5 - np.pi / 8.0) * since
        share = np.where(number < largest, early, late)
        share /= 1.0 + (self.sharp - 1.0) * (1.0 - since)
        return np.minimum(self.area / (self.fixed + self.through * share), self.most)


class SolidCase:
    """The numbers of one run: what does not change, and the state of all parts, which does.

    Metal parts come first. Of a metal part the state is the heat content of its metal [J/m3], of another part
    its temperature [deg C]; last comes the heat [J] that has left through open tops. The sum of `capacity`
    times state is the energy [J].
    """

    def __init__(self, setup, grid):
        self.setup, self.grid = setup, grid
        self.table = heat_table(setup.alloy, min(setup.mould_temp_c, setup.air_temp_c), setup.pour_temp_c)
        metal = grid.metal.ravel()
        self.metal_cells = np.flatnonzero(metal > 0.0)
        self.count = len(self.metal_cells)
        self.metal_volume = grid.metal_volume.ravel()[self.metal_cells]
        self._number_parts()
        self._read_materials()
        self.cells = self.count + self.others
        self.capacity = np.concatenate([self.metal_volume, self._heat_capacities(), [1.0]])
        self.state = np.full(len(self.capacity), setup.mould_temp_c)
        self.state[: self.count], self.state[-1] = self.table.heat_at(setup.pour_temp_c), 0.0
        self.freeze_time = np.full(self.count, np.nan)
        self.start_energy, self.heat_to_lose = self.energy(), self.heat_left()
        self._find_open_tops()
        self._make_operators()

    @property
    def metal_heat(self):
        """Heat content of the metal [J/m3]."""
        return self.state[: self.count]

    def _number_parts(self):
        """Numbers of the metal part and of the other part of each cell, -1 where it has none."""
        grid = self.grid
        block, self.length, self.away = blocks_of(grid, grid.near)
        has_other = grid.metal < 1.0
        present = np.zeros(self.length.shape[1], dtype=bool)
        present[block[has_other]] = True
        self.others = int(present.sum())
        number = (self.count + np.cumsum(present) - 1).astype(np.int32)
        self.other = np.where(has_other, number[block], np.int32(-1))
        self.own = np.full(grid.shape, -1, dtype=np.int32)
        self.own.ravel()[self.metal_cells] = np.arange(self.count)
        self.block = block

    def _read_materials(self):
        """Resistivity, heat capacity and contact resistance of whatever is not metal, cell by cell."""
        grid, mould = self.grid, self.setup.mould
        pick = grid.block
        if grid.cut is not None:
            pick = pick.copy()
            inner = pick[grid.cut.where]
            is_cut = grid.metal[grid.cut.where] < 1.0
            is_cut &= grid.metal[grid.cut.where] > 0.0
            inner[is_cut] = grid.cut.beside[is_cut]
        self.bodies = bodies = [body.material or mould for body in grid.layout.blocks] + [mould]
        self.made_of = np.zeros(self.count + self.others, dtype=np.int32)  # number in these, of other parts
        self.made_of[self.other[self.other >= 0]] = pick[self.other >= 0]
        self.resistivity = np.array([1.0 / body.conductivity for body in bodies])[pick]
        self.heat_capacity = np.array([body.density * body.heat_capacity for body in bodies])[pick]
        self.diffusivity = 1.0 / (self.resistivity * self.heat_capacity)
        self.contact = np.array([1.0 / body.interface_coefficient for body in bodies])[pick]

    def _heat_capacities(self):
        """Of the other parts [J/K]; a sliver beside metal takes up heat as if it were a little thicker."""
        metal = self.grid.metal
        share = np.where(metal > 0.0, np.maximum(1.0 - metal, LEAST_PART), 1.0)
        here = self.other >= 0
        weights = (share * self.heat_capacity * self.grid.volume)[here]
        return np.bincount(self.other[here] - self.count, weights=weights, minlength=self.others)

    def _find_open_tops(self):
        """Areas of the metal cells at the flask's upper face, open to the air."""
        grid, layout = self.grid, self.grid.layout
        axis = layout.up_axis
        top = np.zeros(grid.shape)
        area = grid.volume / grid.sizes[axis] * grid.metal
        place = -1 if layout.up_sign > 0 else 0
        np.moveaxis(top, axis, 0)[place] = np.moveaxis(area, axis, 0)[place]
        top_area = top.ravel()[self.metal_cells]
        self.top_cells = np.flatnonzero(top_area)
        self.top_area = top_area[self.top_cells]

    def _make_operators(self):
        """The matrices that turn temperatures into rates of the state.

        Lively are the flows that metal or another stiff part takes part in, calm those between all others.
        Parts are numbered anew, stiff ones first, then those that touch them: so the parts of either follow
        each other.
        """
        (first, second, conductance), skins = self._touching()
        mould = self.setup.mould
        whole = 6.0 * mould.conductivity / (mould.density * mould.heat_capacity * self.grid.cell**2)
        stiff = self._stiffness(first, second, conductance) > CALM * whole
        stiff[: self.count] = True
        lively, reached = stiff[first] | stiff[second], stiff.copy()
        for ends in (first[lively], second[lively], skins.other):
            reached[ends] = True
        self.lively, self.calm = int(reached.sum()), int(stiff.sum())  # end of the ones, begin of the others
        order = np.argsort(2 - stiff - reached.astype(int), kind="stable")
        number = np.empty(self.cells, dtype=np.int32)
        number[order] = np.arange(self.cells)
        self.capacity[:-1], self.made_of = self.capacity[order], self.made_of[order]
        self.skins = replace(skins, other=number[skins.other])
        if self.setup.cools_while_filling:
            self._fill(first, second)
        first, second = number[first], number[second]
        self._make_lively(first[lively], second[lively], conductance[lively])
        self._make_calm(first[~lively], second[~lively], conductance[~lively])

    def _fill(self, first, second):
        """Metal and walls as they are when the mould is full, if it is drawn where the metal comes in."""
        grid, cells, skins, setup = self.grid, self.metal_cells, self.skins, self.setup
        at = np.unravel_index(cells, grid.shape)
        height = grid.layout.up_sign * grid.centres[grid.layout.up_axis][at[grid.layout.up_axis]]
        is_gate = grid.is_role("gate").ravel()[cells]
        if not is_gate.any() or setup.pour_time_s == 0.0:
            return
        inlet = is_gate & (height > height[is_gate].max() - 1e-9)
        both = (first < self.count) & (second < self.count)
        first, second = first[both], second[both]
        apart = np.sqrt(sum((each[place[first]] - each[place[second]]) ** 2
                            for each, place in zip(grid.centres, at, strict=True)))
        came = arrival(setup, (self.metal_volume, inlet), (first, second, apart),
                       (skins.metal, skins.other - self.count, skins.area, self.made_of[skins.other]),
                       (self.bodies, self.capacity[self.count : -1]))
        self.skins = replace(skins, touched=came.touched_s)
        self.state[: self.count] -= came.lost / self.metal_volume
        got = np.bincount(skins.other, came.gained, self.cells) / self.capacity[:-1]
        self.state[self.count : -1] += got[self.count :]

    def _make_calm(self, first, second, conductance):
        capacity = self.capacity[self.calm : -1]
        rows, columns, flows = _exchange(first - self.calm, second - self.calm, conductance, len(capacity))
        self.calm_operator = sparse.csr_array((flows / capacity[rows], (rows, columns)), (len(capacity),) * 2)
        self.calm_stable_step = 1.0 / max(self._stiffness(first, second, conductance).max(), 1e-300)
        self.last_rates, self.last_step = np.zeros(self.lively - self.calm), 1.0

    def _make_lively(self, first, second, conductance):
        """Its columns: temperatures of the parts, then driving temperatures of the metal; these move heat
        from metal to metal. What metal passes on to other parts and to the air changes with time, and is put
        in by `begin_step`.
        """
        count, metal, other = self.lively, self.skins.metal, self.skins.other
        parts, tops = np.arange(count, dtype=np.int32), self.top_cells.astype(np.int32)
        rows, columns, flows = _exchange(first, second, conductance, count)
        if not self.table.one_conductivity:
            columns = np.where(columns < self.count, columns + np.int32(count), columns)
        later = np.concatenate([metal, other, parts, np.full(len(tops), count, dtype=np.int32)])
        later_columns = np.concatenate([other, metal, parts, tops])
        flows = np.concatenate([flows / self.capacity[rows], np.zeros(len(later))])  # later ones as yet 0
        rows, columns = np.concatenate([rows, later]), np.concatenate([columns, later_columns])
        self.driven, self.constant = np.zeros(count + self.count), np.zeros(count + 1)
        self.lively_operator = sparse.csr_array((flows, (rows, columns)), (count + 1, len(self.driven)))
        self.steady_flows = self.lively_operator.data.copy()
        self.skin_ends = later[: 2 * len(metal)]
        places = np.split(self._places(later, later_columns), np.cumsum([2 * len(metal), count]))
        self.skin_places, self.diagonal, self.top_places = places
        self.least_capacity = self._least_capacity()[:count]
        self.stiffness = self._stiffness(first, second, conductance)[:count]

    def _places(self, rows, columns):
        """Where in the lively matrix the numbers of these rows and columns stand."""
        matrix = self.lively_operator
        width = matrix.shape[1]
        long_rows = np.repeat(np.arange(matrix.shape[0], dtype=np.int64), np.diff(matrix.indptr))
        return np.searchsorted(long_rows * width + matrix.indices, rows.astype(np.int64) * width + columns)

    def _touching(self):
        """All parts that touch: (first, second, W/K) of those alike; the Skins between metal and other."""
        found = [self._pairs(axis) for axis in range(3)]
        steady = [pair for pairs, _ in found for pair in pairs]
        skins = [skin for _, several in found for skin in several]
        if self.grid.cut is not None:
            skins.append(self._within_cut_cells())
        steady, skins = (
            tuple(np.concatenate(each) for each in zip(*several, strict=True)) for several in (steady, skins)
        )
        return steady, self._skins(*skins)

    def _pairs(self, axis):
        """Parts that touch across the faces along one axis: pairs of like parts, and skins.

        Of each face the share that is metal on both sides passes heat from metal to metal, the share that is
        metal on neither from other to other, and the rest from metal to other.
        """
        grid = self.grid
        size = grid.sizes[axis]
        area = np.broadcast_to(grid.images * _area(grid.sizes, axis), grid.shape)
        area = sides(area, axis)[0]
        half = 0.5 * size
        up = down = 0.5 * self.length[axis][self.block]
        metal_up = metal_down = np.broadcast_to(half, grid.shape)
        if grid.cut is None:
            low = high = grid.metal
        else:
            low, high = (grid.cut.spread(each[axis], grid.shape) for each in (grid.cut.low, grid.cut.high))
            off = grid.cut.spread(grid.cut.moment[axis], grid.shape) * size
            metal_off = off / np.maximum(grid.metal, LEAST_PART)
            other_off = -off / np.maximum(1.0 - grid.metal, LEAST_PART)
            least = LEAST_PART * half
            up, down = np.maximum(up - other_off, least), np.maximum(down + other_off, least)
            metal_up, metal_down = np.maximum(half - metal_off, least), np.maximum(half + metal_off, least)
        first, second = sides(high, axis)[0], sides(low, axis)[1]
        both = np.minimum(first, second)
        resist_up, resist_down = (
            sides(up * self.resistivity, axis)[0],
            sides(down * self.resistivity, axis)[1],
        )
        solid = 1.0 / self.setup.alloy.conductivity_solid
        metal_up, metal_down = sides(metal_up, axis)[0] * solid, sides(metal_down, axis)[1] * solid
        (own, own_next), (other, other_next) = sides(self.own, axis), sides(self.other, axis)
        contact, contact_next = sides(self.contact, axis)

        def touching(one, there, share, *resistances):
            here = (share > LEAST_FACE) & (one >= 0) & (there >= 0) & (one != there)
            resistance = sum(each[here] for each in resistances)
            return one[here], there[here], share[here] * area[here] / resistance

        sharp, beside_sharp = at_edges(grid, axis)

        def skin(one, there, share, fixed, thick, resistivity, diffusivity):
            here = (share > LEAST_FACE) & (one >= 0) & (there >= 0)
            return (
                one[here],
                there[here],
                *(
                    (
                        each[here]
                        for each in (share * area, fixed, 2.0 * thick, resistivity, diffusivity, sharp)
                    )
                ),
            )

        metals = touching(own, own_next, both, metal_up, metal_down)
        metals = (
            *metals[:2],
            np.minimum(
                metals[2], self._most(np.minimum(self.metal_volume[metals[0]], self.metal_volume[metals[1]]))
            ),
        )
        open_share = (1.0 - np.maximum(first, second)) * self._steeper(axis) * beside_sharp
        if grid.cut is not None:
            open_share *= slant(grid, axis)
        others = touching(other, other_next, open_share, resist_up, resist_down)
        (resistivity, next_resistivity), (diffusivity, next_diffusivity) = (
            sides(each, axis) for each in (self.resistivity, self.diffusivity)
        )
        up, down = sides(up, axis)[0], sides(down, axis)[1]
        return (metals, others), (
            skin(
                own,
                other_next,
                first - both,
                metal_up + contact_next,
                down,
                next_resistivity,
                next_diffusivity,
            ),
            skin(own_next, other, second - both, metal_down + contact, up, resistivity, diffusivity),
        )

    def _steeper(self, axis):
        """By how much more than their middles say heat flows between blocks that grow away from the metal.

        Temperature falls ever less steeply away from the metal, and where blocks grow their common face is
        nearer to the metal than the middle of their middles is.
        """
        length, away = self.length[axis][self.block], self.away[self.block]
        (one, there), (near, far) = sides(length, axis), sides(away, axis)
        growth, distance = np.where(far > near, there - one, one - there), np.maximum(near, far)
        share = np.clip(growth / np.maximum(4.0 * distance, 1e-6), 0.0, 1.0)
        return 1.0 + STEEPER * np.where(near == far, 0.0, share)

    def _within_cut_cells(self):
        """The skin between metal and other part of each cut cell, as from `_pairs`."""
        grid = self.grid
        cells, area, metal_off, other_off = faces_between(grid, grid.metal)
        return (
            self.own.ravel()[cells],
            self.other.ravel()[cells],
            grid.images * area,
            metal_off / self.setup.alloy.conductivity_solid + self.contact.ravel()[cells],
            2.0 * other_off,
            self.resistivity.ravel()[cells],
            self.diffusivity.ravel()[cells],
            np.ones(len(cells)),
        )

    def _skins(self, metal, other, area, fixed, thick, resistivity, diffusivity, sharp):
        rate, most = diffusivity / thick**2, self._most(self.metal_volume[metal])
        return Skins(metal, other, area, fixed, thick * resistivity, rate, most, sharp)

    def _most(self, volume):
        """W/K at which metal of that volume [m3] follows its neighbours as fast as need be."""
        return SLIVERS_FOLLOW * self.setup.alloy.conductivity_solid * volume / self.grid.cell**2

    def _stiffness(self, first, second, conductance):
        """What limits a plain step: W/K that each part passes on, over the least heat that a kelvin takes."""
        passed = np.bincount(np.concatenate([first, second]), np.tile(conductance, 2), self.cells)
        return passed / self._least_capacity()

    def _least_capacity(self):
        alloy = self.setup.alloy
        liquid = alloy.heat_capacity_liquid * min(1.0, alloy.conductivity_solid / alloy.conductivity_liquid)
        least = self.capacity[:-1].copy()
        least[: self.count] *= alloy.density_solid * min(alloy.heat_capacity_solid, liquid)
        return least

    def begin_step(self, time, step):
        """Fetch what metal passes on in this step: through skins, and from open tops, as a T - b [W] with
        constant a and b. Calm flows are taken as they will be in its middle."""
        setup, tops, count = self.setup, self.top_cells, self.lively
        hot, cold = self.table.temperature(self.state[tops]) + 273.15, setup.air_temp_c + 273.15
        radiation = setup.alloy.emissivity * STEFAN_BOLTZMANN * (hot**2 + cold**2) * (hot + cold)
        self.loss = self.top_area * (radiation + FREE_CONVECTION)
        passed = np.tile(self.skins.conductance(time, step), 2)
        lost = np.bincount(self.skin_ends, passed, count)
        lost[tops] += self.loss
        flows = self.lively_operator.data
        flows[:] = self.steady_flows
        flows[self.skin_places] = passed / self.capacity[self.skin_ends]
        flows[self.diagonal] -= lost / self.capacity[:count]
        flows[self.top_places] = self.loss
        self.lively_stable_step = 1.0 / float((self.stiffness + lost / self.least_capacity).max())
        self.constant[tops] = self.loss / self.capacity[tops] * setup.air_temp_c
        self.constant[-1] = -self.loss.sum() * setup.air_temp_c
        self.calm_start = _rate(self.calm_operator, self.calm_state)
        rates = self.calm_start[: count - self.calm].copy()
        self.constant[self.calm : -1] = rates + (rates - self.last_rates) * 0.5 * step / self.last_step
        self.last_rates, self.last_step = rates, step

    @property
    def lively_state(self):
        """A copy of the state of the parts of lively flows, and of what has left."""
        return np.append(self.state[: self.lively], self.state[-1])

    @property
    def calm_state(self):
        """A copy of the state of the parts of calm flows."""
        return self.state[self.calm : -1].copy()

    def take_lively(self, state, step):
        """Where a step's lively flows led; parts of calm flows get what came in, evenly over the step.
        Returns how fast those parts change at first."""
        border = slice(self.calm, self.lively)
        self.given = (state[border] - self.state[border]) / step - self.constant[border]
        self.state[: self.calm], self.state[-1] = state[: self.calm], state[-1]
        self.calm_start[: len(self.given)] += self.given
        return self.calm_start

    def take_calm(self, state):
        """Where a step's calm flows led."""
        self.state[self.calm : -1] = state

    def calm_rate(self, state):
        """How fast calm flows, and what the lively ones give, change the `state` of their parts."""
        change = _rate(self.calm_operator, state)
        change[: len(self.given)] += self.given
        return change

    def lively_rate(self, state):
        """How fast the lively flows change the `state` of their parts and of what has left."""
        count, cells, driven = self.count, self.lively, self.driven
        driven[:count], driven[cells:] = self.table.temperatures(state[:count])
        driven[count:cells] = state[count:-1]
        return _rate(self.lively_operator, driven, self.constant)

    def heat_left(self):
        """What the metal must still lose to be solid [J]."""
        left = np.maximum(self.metal_heat - self.table.heat_when_solid, 0.0)
        return float((self.metal_volume * left).sum())

    def energy(self):
        """All heat there is, with what has left [J]."""
        return float((self.capacity * self.state).sum())

    def energy_error(self):
        """What is missing, as a share of the heat that the metal had to lose."""
        return abs(self.energy() - self.start_energy) / self.heat_to_lose


def _rate(operator, state, constant=0.0):
    """The operator (csr_array) times the state, and the constant added to it."""
    change = np.zeros(operator.shape[0])
    change += constant
    csr_matvec(*operator.shape, operator.indptr, operator.indices, operator.data, state, change)
    return change


def _exchange(first, second, conductance, parts):
    """Rows, columns and numbers [W/K] of the matrix that turns temperatures of so many `parts` into the heat
    that each gets, where the `first` ones touch the `second`."""
    ends, own = np.concatenate([first, second]), np.arange(parts, dtype=np.int32)
    both = np.tile(conductance, 2)
    flows = np.concatenate([both, -np.bincount(ends, both, parts)])
    return np.concatenate([ends, own]), np.concatenate([second, first, own]), flows


def _area(sizes, axis):
    """Area of the faces along an axis [m2], shaped to spread over the grid."""
    area = 1.0
    for other, size in enumerate(sizes):
        if other != axis:
            area = area * size
    return area
