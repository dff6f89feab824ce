"""Blocks in sand by the plainest solver there is, cut ever finer: python -m tests.benchmark.blocks

An eighth of a block of 40 x 40 x (20, 40, 80) mm of reference metal on an even grid, explicit steps, one
temperature or heat content a cell, harmonic means between them; nothing of castlab's solver. Three even grids
give the order and the value without cells, to which tests/field/test_conduct.py holds castlab's solids.
"""

import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers")]

import cases  # noqa: E402

SAND_M = 40e-3  # 2.6 times as far as heat goes in the time, sqrt(4 a t)
DEPTHS = (20e-3, 40e-3, 80e-3)
CELLS = (20e-3 / 8, 20e-3 / 12, 20e-3 / 16)


def last_solid(depth, cell):
    """When the middle of the block is solid [s], in the plainest way."""
    metal, sand = cases.REFERENCE_METAL, cases.REFERENCE_SAND
    half = (20e-3, 20e-3, depth / 2)
    shape = tuple(round((each + SAND_M) / cell) for each in half)
    is_metal = np.zeros(shape, bool)
    is_metal[tuple(slice(round(each / cell)) for each in half)] = True
    temps = np.array([-500.0, metal.solidus_c, metal.liquidus_c, 1000.0])
    rho, heat = metal.density_solid, metal.heat_capacity_solid
    content = rho * (heat * temps + metal.latent_heat * np.array([0.0, 0.0, 1.0, 1.0]))
    capacity = sand.density * sand.heat_capacity
    temp = np.where(is_metal, cases.REFERENCE_POUR_C, cases.COLD_C)
    held = np.where(is_metal, np.interp(cases.REFERENCE_POUR_C, temps, content), capacity * cases.COLD_C)
    conductivity = np.where(is_metal, metal.conductivity_solid, sand.conductivity)
    step = 0.16 * cell**2 * rho * heat / metal.conductivity_solid
    faces = []
    for axis in range(3):
        one, other = (np.moveaxis(conductivity, axis, 0)[part] for part in (slice(None, -1), slice(1, None)))
        faces.append(np.moveaxis(step / cell**2 * 2.0 * one * other / (one + other), 0, axis))
    inside = tuple(slice(round(each / cell)) for each in half)
    solid, time = content[1], 0.0
    while True:
        before = held[0, 0, 0]
        for axis, conducts in enumerate(faces):
            flow = conducts * np.diff(temp, axis=axis)
            np.moveaxis(held, axis, 0)[:-1] += np.moveaxis(flow, axis, 0)
            np.moveaxis(held, axis, 0)[1:] -= np.moveaxis(flow, axis, 0)
        temp = held / capacity
        temp[inside] = np.interp(held[inside], content, temps)
        time += step
        if held[0, 0, 0] <= solid:
            return time - step * (solid - held[0, 0, 0]) / (before - held[0, 0, 0])


def without_cells(cells, times):
    """(value, order) that three grids point to: t = t0 + c h^p."""
    orders = np.linspace(0.5, 3.0, 2501)
    first, second, third = (cell**orders for cell in cells)
    off = (times[0] - times[1]) / (times[1] - times[2]) - (first - second) / (second - third)
    order = orders[np.abs(off).argmin()]
    slope = (times[0] - times[2]) / (cells[0] ** order - cells[2] ** order)
    return times[2] - slope * cells[2] ** order, order


if __name__ == "__main__":
    for each in DEPTHS:
        found = [last_solid(each, cell) for cell in CELLS]
        value, order = without_cells(CELLS, found)
        print(
            f"{each * 1e3:g} mm deep: {' '.join(f'{time:.2f}' for time in found)} s; "
            f"without cells {value:.2f} s, order {order:.2f}",
            flush=True,
        )
