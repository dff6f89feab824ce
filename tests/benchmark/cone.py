"""A cone in sand by the plainest solver there is, cut ever finer: python -m tests.benchmark.cone

Radius and height alone, on an even grid, explicit steps, one temperature or heat content a cell, harmonic
means between them; a cell is metal if its middle is. Nothing of castlab's solver. The value without cells is
that to which tests/field/test_conduct.py holds castlab's solids.
"""

import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers")]

import cases  # noqa: E402

LOW, HIGH, RADII, SAND_M = -30e-3, 30e-3, (15e-3, 30e-3), 40e-3


def last_solid(cell):
    """When the last metal is solid [s]."""
    metal, sand = cases.REFERENCE_METAL, cases.REFERENCE_SAND
    wide, tall = round((RADII[1] + SAND_M) / cell), round((HIGH - LOW + 2 * SAND_M) / cell)
    edge = cell * np.arange(wide + 1)
    r, z = 0.5 * (edge[1:] + edge[:-1]), LOW - SAND_M + cell * (np.arange(tall) + 0.5)
    radius = RADII[0] + (z - LOW) / (HIGH - LOW) * (RADII[1] - RADII[0])
    is_metal = (r[:, None] < radius) & (z > LOW) & (z < HIGH)
    temps = np.array([-500.0, metal.solidus_c, metal.liquidus_c, 1000.0])
    rho, heat = metal.density_solid, metal.heat_capacity_solid
    content = rho * (heat * temps + metal.latent_heat * np.array([0.0, 0.0, 1.0, 1.0]))
    capacity = sand.density * sand.heat_capacity
    temp = np.where(is_metal, cases.REFERENCE_POUR_C, cases.COLD_C)
    held = np.where(is_metal, np.interp(cases.REFERENCE_POUR_C, temps, content), capacity * cases.COLD_C)
    k = np.where(is_metal, metal.conductivity_solid, sand.conductivity)
    step = 0.2 * cell**2 * rho * heat / metal.conductivity_solid
    across, up = (step / cell**2 * 2.0 * one * two / (one + two) for one, two in
                  ((k[:-1], k[1:]), (k[:, :-1], k[:, 1:])))
    across *= edge[1:-1, None]  # area over 2 pi cell; volumes are r cell
    time = 0.0
    while held[is_metal].max() > content[1]:
        before = held[is_metal].max()
        flow = across * np.diff(temp, axis=0)
        held[:-1] += flow / r[:-1, None]
        held[1:] -= flow / r[1:, None]
        flow = up * np.diff(temp, axis=1)
        held[:, :-1] += flow
        held[:, 1:] -= flow
        temp = held / capacity
        temp[is_metal] = np.interp(held[is_metal], content, temps)
        time += step
    return time - step * (content[1] - held[is_metal].max()) / (before - held[is_metal].max())


if __name__ == "__main__":
    for each in (2e-3, 1.5e-3, 1e-3, 0.75e-3):
        print(f"{each * 1e3:g} mm: {last_solid(each):.2f} s", flush=True)
