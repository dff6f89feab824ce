"""The reference slice beside two general-purpose libraries: python tests/benchmark/libraries.py

Needs tests/benchmark/requirements.txt beside castlab. One is a library of finite volumes, one of finite
elements. All cut the same bar and block into cells of 2 mm and say when the last metal is solid; the error is
against 355.85 s, which is grid-free (tests/field/test_freeze.py). Each library is used as well as we can:
heat content by its secant or its slope, so that no latent heat is stepped over; harmonic means or lumped
masses; one matrix where one does; and steps that grow with time. `--step 4` sets the longest step [s].
"""

import argparse
import sys
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers")]

import cases  # noqa: E402

from castlab import Setup, freeze  # noqa: E402

CELL, LAST_SOLID_S = 2e-3, 355.85
METAL, SAND = cases.REFERENCE_METAL, cases.REFERENCE_SAND
X_M, Y_M = 0.300, 0.200
EDGES_X, EDGES_Y = np.linspace(0.0, X_M, 151), np.linspace(0.0, Y_M, 101)
SAND_CAPACITY = SAND.density * SAND.heat_capacity
CAPACITY = METAL.density_solid * METAL.heat_capacity_solid
LATENT = METAL.density_solid * METAL.latent_heat
RANGE = METAL.liquidus_c - METAL.solidus_c
CLOSE_K, MOST_TRIES = 0.02, 25  # a step is tried until no temperature moves by more
NEWTON_TRIES = 8  # with the slope of the heat content; where that runs in a circle, its secant still arrives


def in_metal(x, y):
    bar = (x > 0.070) & (x < 0.190) & (y > 0.094) & (y < 0.106)
    return bar | ((x > 0.190) & (x < 0.230) & (y > 0.080) & (y < 0.120))


def heat(temp):
    """Heat content of the metal [J/m3]."""
    return CAPACITY * temp + LATENT * np.clip((temp - METAL.solidus_c) / RANGE, 0.0, 1.0)


def slope(temp):
    melting = (temp > METAL.solidus_c) & (temp < METAL.liquidus_c)
    return CAPACITY + np.where(melting, LATENT / RANGE, 0.0)


def secant(temp, before):
    moved = np.abs(temp - before) > 1e-6
    return np.where(moved, (heat(temp) - heat(before)) / np.where(moved, temp - before, 1.0), slope(temp))


class Clock:
    """Steps that grow with time, and when the last metal passes the solidus between two of them."""

    def __init__(self, longest):
        self.longest, self.time, self.last = longest, 0.0, 0.0

    def step(self):
        return min(0.05 + 0.1 * self.time, self.longest)

    def take(self, step, before, after):
        """Note the temperatures of the metal; True while some is liquid."""
        passed = (before > METAL.solidus_c) & (after <= METAL.solidus_c)
        if passed.any():
            share = (before - METAL.solidus_c)[passed] / (before - after)[passed]
            self.last = self.time + step * float(share.max())
        self.time += step
        return bool((after > METAL.solidus_c).any())


def by_castlab(_):
    setup = Setup(cases.bar_and_block(CELL), METAL, SAND, cases.REFERENCE_POUR_C)
    return freeze(setup, CELL).last_time_s


def by_finite_volumes(longest):
    import fipy

    mesh = fipy.Grid2D(nx=150, ny=100, dx=CELL, dy=CELL)
    metal = in_metal(*mesh.cellCenters.value)
    start = np.where(metal, cases.REFERENCE_POUR_C, cases.COLD_C)
    temp = fipy.CellVariable(mesh=mesh, value=start, hasOld=True)
    capacity = fipy.CellVariable(mesh=mesh, value=np.where(metal, CAPACITY, SAND_CAPACITY))
    conductivity = fipy.CellVariable(
        mesh=mesh, value=np.where(metal, METAL.conductivity_solid, SAND.conductivity))
    equation = fipy.TransientTerm(capacity) == fipy.DiffusionTerm(conductivity.harmonicFaceValue)
    solver = fipy.LinearCGSolver(tolerance=1e-8, iterations=2000)
    clock, liquid = Clock(longest), True
    while liquid:
        temp.updateOld()
        before, step = temp.value.copy(), clock.step()
        for _ in range(MOST_TRIES):
            tried = temp.value.copy()
            capacity.setValue(np.where(metal, secant(tried, before), SAND_CAPACITY))
            equation.solve(var=temp, dt=step, solver=solver)
            if np.max(np.abs(temp.value - tried)) < CLOSE_K:
                break
        liquid = clock.take(step, before[metal], temp.value[metal])
    return clock.last


def by_finite_elements(longest):
    import skfem
    from scipy.sparse import diags
    from scipy.sparse.linalg import cg
    from skfem.helpers import dot, grad

    basis = skfem.Basis(skfem.MeshQuad.init_tensor(EDGES_X, EDGES_Y), skfem.ElementQuad1())
    conducts = skfem.BilinearForm(lambda u, v, w: np.where(
        in_metal(*w.x), METAL.conductivity_solid, SAND.conductivity) * dot(grad(u), grad(v))).assemble(basis)
    metal, whole = (skfem.LinearForm(form).assemble(basis) for form in (
        lambda v, w: in_metal(*w.x) * v, lambda v, w: 1.0 * v))  # lumped: what each node stands for
    sand = whole - metal
    # A node between metal and sand starts so that its heat is right.
    store = (metal * heat(cases.REFERENCE_POUR_C), sand * SAND_CAPACITY * cases.COLD_C)
    temp = _mixed(metal, sand, sum(store))
    clock, liquid, inside = Clock(longest), True, metal > 0.0
    while liquid:
        before, step = temp.copy(), clock.step()
        held = metal * heat(before) + sand * SAND_CAPACITY * before
        for tries in range(MOST_TRIES):
            missing = metal * heat(temp) + sand * SAND_CAPACITY * temp - held + step * (conducts @ temp)
            by_heat = slope(temp) if tries < NEWTON_TRIES else secant(temp, before)
            matrix = (diags(metal * by_heat + sand * SAND_CAPACITY) + step * conducts).tocsr()
            change, _ = cg(matrix, missing, rtol=1e-6, M=diags(1.0 / matrix.diagonal()))
            temp = temp - change
            if np.max(np.abs(change)) < CLOSE_K:
                break
        liquid = clock.take(step, before[inside], temp[inside])
    return clock.last


def _mixed(metal, sand, content):
    """Temperatures at which nodes hold so much heat, by halving."""
    low, high = np.full(len(content), 0.0), np.full(len(content), 1000.0)
    for _ in range(60):
        middle = 0.5 * (low + high)
        too_hot = metal * heat(middle) + sand * SAND_CAPACITY * middle > content
        low, high = np.where(too_hot, low, middle), np.where(too_hot, middle, high)
    return middle


WAYS = {"castlab": by_castlab, "finite volumes, general": by_finite_volumes,
        "finite elements, general": by_finite_elements}


def main():
    """Print for each way its answer, its error against the grid-free one, and its processor time."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--step", type=float, default=4.0, help="longest step of the libraries [s]")
    longest = parser.parse_args().step
    by_castlab(longest)  # what is loaded at first use does not count
    print(f"{'way':<26}{'last solid':>12}{'error':>9}{'processor':>12}")
    for name, way in WAYS.items():
        start = time.process_time()
        try:
            last = way(longest)
        except ImportError as error:
            print(f"{name:<26}left out: {error}")
            continue
        took = time.process_time() - start
        print(f"{name:<26}{last:>10.1f} s{100.0 * (last / LAST_SOLID_S - 1.0):>+7.2f} %{took:>10.2f} s")


if __name__ == "__main__":
    main()
