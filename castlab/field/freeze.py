"""Cells to temperatures: when each cell of the casting freezes.

Finite volumes for the heat content of each cell; energy moves only through faces, so that nothing is lost
but round-off. Time goes by super-time-stepping (Runge-Kutta-Legendre of first order: C. D. Meyer, D. S.
Balsara, T. D. Aslam, J. Comput. Phys. 257 (2014) 594). The second-order member of the family costs more and
is worse here: where metal freezes at one temperature its stages overshoot, and cells beside the front
freeze in the wrong order. Heat that flows from mould to mould takes fewer stages than what metal has to do
with: each side gets what the other gave on the mean of a step.
"""

from dataclasses import dataclass

import numpy as np

from castlab.errors import InputError, require_between
from castlab.field.conduct import SolidCase
from castlab.field.grid import Grid, build
from castlab.field.grid_lines import FULL, cell_for
from castlab.field.layout import Setup
from castlab.plan import to_the_end

FIRST_STEP_S = 0.01
STEP_GROWTH, STEP_SHARE_OF_TIME = 1.5, 0.12  # a step is at most 1.5 times the last and 0.02 s + 0.12 t
HEAT_SHARE_OF_STEP = 0.012  # ... and takes about this share of the heat that has to leave
LEFT_SHARE_OF_STEP = 0.12  # ... or this share of the heat that is left, so that the last spot is followed too
SHORTEST_SHARE = 0.012  # ... but a step is never shorter than this share of the time gone by
QUICK = 3.0  # pace of a first look: times within 1 %, in half the time; on coarse cells the cells err more
MOST_STEPS = 3000
SHORT = 0.5  # a step of this share of the stable one is a plain one
STEPS_TO_GIVE_WAY = 4
HOPELESS = 1e6  # a mould that would need so many times the time gone by for the rest is full of heat


@dataclass(frozen=True, eq=False)
class Freeze:
    """How a setup froze.

    freeze_time_s   [s]      on the cells: when the last liquid of the cell is gone, after the mould was full;
                             NaN outside metal
    last_time_s     [s]      when the last metal is fully solid, and last_place [m] where
    times_s         [s]      of the snapshots, shape (n,)
    solid, temp_c            solid fraction and temperature of the metal cells at the snapshots, shape (n, m),
                             to 7 digits, because they are most of the memory
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

    @property
    def cooled_on_its_way(self):
        """Whether metal had lost heat by the time that the mould was full."""
        return bool(self.solid[0].any() or (self.temp_c[0] < self.setup.pour_temp_c - 1e-3).any())

    def on_grid(self, values, fill=np.nan):
        """Values of the metal cells (shape (m,)) spread over the grid."""
        spread = np.full(self.grid.metal.size, fill, dtype=np.asarray(values).dtype)
        spread[self.metal_cells] = values
        return spread.reshape(self.grid.shape)


def freeze(setup, cell=None, pace=1.0):
    """Let a setup freeze and say when each cell is solid.

    d(V u)/dt = sum over faces of A k dT/dx, u the heat content [J/m3] by volume.

    Parameters: `setup` (Setup); `cell` [m], the size of the cells in the metal, finer in thin sections, which
    get three across (default 3 mm, larger in large castings); `pace` from 1 (steps so short that only the
    cells limit accuracy) to QUICK (three times as long, for a first look, in which thin sections get two
    cells across). Returns a Freeze. Raises InputError where metal hangs in the air or the flask cannot take
    up the heat.
    Source of the method: see the head of this file.

    >>> from castlab import Setup, alloy, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("pure zinc"), mould("green sand"), pour_temp_c=470.0)
    >>> run = freeze(setup, cell=4e-3)
    >>> bool(run.energy_error < 1e-10)
    True
    """
    return to_the_end(freezing(setup, cell, pace))


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
        cell = cell_for(setup.layout, FULL)
    require_between("pace", pace, 1.0, QUICK)
    grid = build(setup.layout, cell, look=pace > 1.0)
    yield 0.0
    case = SolidCase(setup, grid)
    times, history = yield from _march(case, pace)
    solid, temp_c = np.empty((2, len(times), case.count), dtype=np.float32)
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
    """Lively flows first, with calm ones as they will be in the middle of the step; then calm ones, in few
    stages, with what the lively ones gave on the mean. So what flows evenly goes on evenly."""
    case.begin_step(time, step)
    moments, metal_heat = [time], [case.metal_heat.copy()]
    state = case.lively_state
    stages = _stages(state, case.lively_rate(state), case.lively_rate, step, step / case.lively_stable_step)
    for share in stages:
        moments.append(time + share * step)
        metal_heat.append(state[: case.count].copy())
    rate = case.take_lively(state, step)
    state = case.calm_state
    for _ in _stages(state, rate, case.calm_rate, step, step / case.calm_stable_step):
        pass
    case.take_calm(state)
    _note_frozen(case, np.array(moments), metal_heat)


def _stages(state, rate, rate_of, step, ratio):
    """Take a `state` in place through the stages of one Runge-Kutta-Legendre step, `ratio` times the stable
    one; yields the share of the step that is done. `rate` is that at the beginning, `rate_of` says others.
    Each stage is a mean of cooler and warmer states, so none overshoots."""
    stages = int(np.ceil(0.5 * (np.sqrt(1.0 + 8.0 * ratio) - 1.0) - 1e-6))
    stages = 1 if ratio < SHORT else max(3, stages + 1 - stages % 2)
    whole, change = stages * (stages + 1.0), np.zeros(len(state))
    for j in range(1, stages + 1):
        mu = (2.0 * j - 1.0) / j
        if j > 1:
            rate = rate_of(state)
        change *= mu - 1.0  # no matrix product: see weighted_sum
        rate *= step * mu * 2.0 / whole
        change += rate
        state += change
        yield j * (j + 1.0) / whole


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
