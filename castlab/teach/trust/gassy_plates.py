"""Pores of hydrogen in a long plate that suction alone leaves whole, beside the hand rule for gas."""

from dataclasses import dataclass
from functools import cache

from castlab.field.feeding_path import feeding_path
from castlab.field.freeze import freeze
from castlab.field.layout import Setup
from castlab.materials import alloy, mould
from castlab.rules.gas import CM3_PER_100G, gas_pore_share
from castlab.teach.trust.fed_plates import CELLS, LENGTH, SUPERHEAT_K, plate_with_feeder

METAL, THICK_M = "A356", 20e-3
CONTENTS = tuple(each * CM3_PER_100G for each in (0.0, 0.05, 0.1, 0.2, 0.3))  # m3/kg
TRIALS = (0.1, 0.2)  # per cent of pores in sand plates of A356, well degassed, as tests/field/test_sponge.py


@dataclass(frozen=True)
class GassyPlate:
    """One melt: hydrogen in it [m3/kg], and the share of pores in the plate, by the field and by the rule."""

    content: float
    field: float
    rule: float


def gassy_plates():
    """A GassyPlate for each of CONTENTS.

    >>> plates = gassy_plates()
    >>> plates[0].field == 0.0 < plates[1].field < plates[-1].field
    True
    """
    run = _plate()
    here = run.grid.is_role("casting").ravel()[run.metal_cells]
    metal = float(run.grid.metal_volume.ravel()[run.metal_cells][here].sum())
    found = []
    for content in CONTENTS:
        pores = float(feeding_path(run, content).pores[here].sum())
        rule = gas_pore_share(content, run.setup.alloy)
        found.append(GassyPlate(content, pores / (metal + pores), rule))
    return tuple(found)


@cache
def _plate():
    metal = alloy(METAL)
    layout, _ = plate_with_feeder(THICK_M, LENGTH)
    return freeze(Setup(layout, metal, mould("green sand"), metal.liquidus_c + SUPERHEAT_K), THICK_M / CELLS)
