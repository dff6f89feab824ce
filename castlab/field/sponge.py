"""How far liquid still gets between the crystals: the solid fraction up to which a cell is fed.

Liquid that is sucked through the mush loses pressure (Darcy). Where the temperature is flat the way between
the crystals is long, the pressure is used up before the cell is solid, and the last liquid freezes unfed:
sponge.
"""

import numpy as np
from scipy import ndimage

ATMOSPHERE_PA, GRAVITY = 101325.0, 9.80665  # standard atmosphere and gravity, exact by definition
# permeability l2^2 (1-f)^3 / (180 f^2): Carman-Kozeny, as in K. D. Carlson, C. Beckermann, MMTA 40A (2009)
# 163, from memory
KOZENY = 180.0
SHORT_RANGE_K = 2.0  # an alloy that freezes within this range has no mush to speak of; judgement
# the gradient is averaged over this share of the thickness; on a symmetry plane it is made by the grid
QUARTER = 0.25
NOT_SHOWN_BELOW = 2e-3  # local share of the volume; less cannot be told from the scatter of trial castings


def last_fed_fraction(run):
    """Solid fraction up to which each metal cell is fed; 1 where it is fed to the end.

    Ny*^2 = (G l2)^2 dP / (mu beta dTf R) = integral of 180 f^2 / (1 - f)^2 d(theta), theta = (T_liquidus -
    T) / dTf

    G [K/m] and R [K/s] are read when the cell is at the alloy's passable limit (as a share of the crystals
    that form before any arrest), l2 is the arm spacing, dP one atmosphere plus the metal above. Where the
    suction lasts until an arrest, the liquid of the arrest passes and nothing is unfed; near that edge the
    unfed share tapers off (judgement). Takes a Freeze, `run`, returns shape (m,). Source: the dimensionless
    Niyama number of Carlson and Beckermann, Metall. Mater. Trans. A 40 (2009) 163 (form from memory).

    A metal without a mush is fed to the end:

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("pure zinc"), mould("green sand"), pour_temp_c=460.0)
    >>> float(last_fed_fraction(freeze(setup, cell=4e-3)).min())
    1.0
    """
    alloy = run.setup.alloy
    fed = np.ones(len(run.metal_cells))
    mush_k = alloy.liquidus_c - alloy.arrest_temp_c
    if mush_k < SHORT_RANGE_K or alloy.freezing_contraction <= 0.0:
        return fed
    number = _niyama_squared(run, mush_k)
    fractions, resistance = resistance_of_mush(alloy)
    reached = np.interp(number, resistance, fractions)
    unfed = 1.0 - reached
    if alloy.arrest_fraction < 1.0:
        unfed = unfed * np.clip(1.0 - number / resistance[-1], 0.0, 1.0)
    return np.where(unfed * alloy.freezing_contraction < NOT_SHOWN_BELOW, 1.0, 1.0 - unfed)


def resistance_of_mush(alloy):
    """What the mush takes from the suction up to each solid fraction: (fractions, integral), both rising.

    >>> from castlab import alloy
    >>> fractions, resistance = resistance_of_mush(alloy("tin bronze"))
    >>> bool(resistance[0] == 0.0 and resistance[-1] > 100.0)
    True
    """
    table = np.array(alloy.solid_fraction)
    end = min(alloy.arrest_fraction, 0.999)
    fractions = np.linspace(0.0, end, 1000)
    temp_c = np.interp(fractions, table[:, 1], table[:, 0])
    theta = (alloy.liquidus_c - temp_c) / max(alloy.liquidus_c - alloy.arrest_temp_c, 1e-9)
    middle = 0.5 * (fractions[1:] + fractions[:-1])
    steps = KOZENY * middle**2 / (1.0 - middle) ** 2 * np.diff(theta)
    return fractions, np.concatenate([[0.0], np.cumsum(steps)])


def _niyama_squared(run, mush_k):
    alloy, grid = run.setup.alloy, run.grid
    gradient, rate = gradient_and_rate(run, alloy.passable_limit * alloy.arrest_fraction)
    gradient = _over_a_quarter(run, gradient)
    scale, power = alloy.arm_spacing
    arm = scale * rate**-power
    level = (
        grid.layout.high[grid.layout.up_axis]
        if grid.layout.up_sign > 0
        else -grid.layout.low[grid.layout.up_axis]
    )
    height = grid.layout.up_sign * grid.centres[grid.layout.up_axis]
    place = np.unravel_index(run.metal_cells, grid.shape)[grid.layout.up_axis]
    pressure = ATMOSPHERE_PA + alloy.density_liquid * GRAVITY * (level - height[place])
    return (gradient * arm) ** 2 * pressure / (alloy.viscosity * alloy.freezing_contraction * mush_k * rate)


def gradient_and_rate(run, fraction):
    """Temperature gradient [K/m] and cooling rate [K/s] of each metal cell when it reaches a solid
    `fraction`, shape (m,); `run` is a Freeze.

    >>> from castlab import Setup, alloy, freeze, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> gradient, rate = gradient_and_rate(freeze(setup, cell=4e-3), 0.5)
    >>> len(gradient) == len(rate), bool((gradient >= 0.0).all() and (rate > 0.0).all())
    (True, True)
    """
    cells = np.arange(len(run.metal_cells))
    step = np.maximum(np.argmax(run.solid >= fraction, axis=0), 1)
    before, after = run.solid[step - 1, cells], run.solid[step, cells]
    share = np.clip((fraction - before) / np.maximum(after - before, 1e-12), 0.0, 1.0)
    elapsed = run.times_s[step] - run.times_s[step - 1]
    rate = (run.temp_c[step - 1, cells] - run.temp_c[step, cells]) / elapsed
    early, late = _steepness(run, step - 1), _steepness(run, step)
    return early + share * (late - early), np.maximum(rate, 1e-6)


def _steepness(run, step):
    """|grad T| [K/m] of each metal cell at a snapshot of its own, from neighbours that are metal too.

    Beyond a plane of symmetry lies the cell's own image.
    """
    cells = np.arange(len(run.metal_cells))
    numbers = np.pad(run.on_grid(cells, -1), 1, constant_values=-1)
    places = np.unravel_index(run.metal_cells, run.grid.shape)
    total, planes = np.zeros(len(cells)), dict(run.grid.planes)
    for axis, centre in enumerate(run.grid.centres):
        shift = np.eye(len(places), dtype=int)[axis]
        below = numbers[tuple(place + 1 - s for place, s in zip(places, shift, strict=True))]
        above = numbers[tuple(place + 1 + s for place, s in zip(places, shift, strict=True))]
        below, above = np.where(below < 0, cells, below), np.where(above < 0, cells, above)
        lower = centre[places[axis][below]]
        if axis in planes:
            lower = np.where(places[axis] == 0, 2.0 * planes[axis] - centre[0], lower)
        across = centre[places[axis][above]] - lower
        rise = run.temp_c[step, above] - run.temp_c[step, below]
        total += np.where(across == 0.0, 0.0, rise / np.where(across == 0.0, 1.0, across)) ** 2
    return np.sqrt(total)


def _over_a_quarter(run, values):
    """Mean over a quarter of the thickness of the block that a cell lies in."""
    grid = run.grid
    smooth = values.copy()
    block = grid.block.ravel()[run.metal_cells]
    places = np.array(np.unravel_index(run.metal_cells, grid.shape))
    first = places.min(axis=1)
    places -= first[:, None]
    shape, places, planes = places.max(axis=1) + 1, tuple(places), dict(grid.planes)
    mirrored = np.array([axis in planes and first[axis] == 0 for axis in range(len(shape))])
    shape += mirrored * (shape // 2 + 2)  # empty room at the other end, which has no image
    spread, mask = np.zeros(shape), np.zeros(shape)
    spread[places], mask[places] = values, 1.0
    modes = ["reflect" if each else "constant" for each in mirrored]
    means = {}
    for number in np.unique(block):
        body = grid.layout.blocks[number]
        thickness = min(high - low for low, high in zip(body.low, body.high, strict=True))
        size = max(3, 2 * int(round(0.5 * QUARTER * thickness / grid.cell)) + 1)
        if size not in means:
            total, cells = (ndimage.uniform_filter(each, size, mode=modes) for each in (spread, mask))
            means[size] = (total / np.maximum(cells, 1e-12))[places]
        here = block == number
        smooth[here] = means[size][here]
    return smooth
