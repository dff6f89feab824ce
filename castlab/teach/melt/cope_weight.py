"""How much weight keeps the cope down while the metal is liquid: a casting's layout put to the hand rules."""

import numpy as np

from castlab.field import grid
from castlab.field.outcome import FULL
from castlab.rules.gating import cope_lift, weight_on_cope

CUP_M = 25e-3  # metal stands so high in the cup, above the mould; judgement


def weight_needed(setup):
    """Mass [kg] that must rest on the drag, cope and weights together, so that no metal lifts the cope.

    The parting is taken below all metal: sand under an overhang, and a core, then floats like a cork, which
    asks for too much rather than too little.
    """
    layout, up = setup.layout, setup.layout.up_axis
    cells = grid.build(layout, FULL.cell_in(layout))
    volume, height = cells.metal_volume, cells.sizes[up]
    level = layout.high[up] if layout.up_sign > 0 else layout.low[up]
    below = grid.along(np.abs(level - cells.centres[up]), up, 3) + 0.5 * height
    area, head = (np.max(each, axis=up) for each in (volume / height, below * (volume > 0.0)))
    plan, full = float(area.sum()), float((area * (head + CUP_M)).sum())
    lift = cope_lift(plan, full / plan, setup.alloy.liquid_density(setup.pour_temp_c), float(volume.sum()))
    return weight_on_cope(lift, 0.0)
