"""How narrow a neck may be: python -m tests.benchmark.necks [cells across a neck, 3 6]

Eye plate, feeder 48 x 72 mm, neck 6 mm long, round which the sand lies between two hot faces. For each width:
how much is drawn, until when the neck is open all along, and how much of the suction of one atmosphere the
way through it takes (Darcy between crystals and a duct where there are none, in series; Carman-Kozeny) when
half and nine tenths of what the casting asks for have passed. Then the rule for steel, and how much the
middle of a neck falls below its ends in two seconds: a fin by hand, and the field.
"""

import math
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from castlab import Setup, alloy, freeze, mould, parts, shrinkage  # noqa: E402
from castlab.field import conduct  # noqa: E402
from castlab.field import grid as grid_module  # noqa: E402
from castlab.field.course import density_of  # noqa: E402
from castlab.field.rigging import NECK_LENGTH_M  # noqa: E402
from castlab.field.sponge import ATMOSPHERE_PA, KOZENY  # noqa: E402

MM = 1e-3
FEEDER_M, HIGH_M, SUPERHEAT_K = 48 * MM, 72 * MM, 50.0
WIDTHS_MM = 2, 3, 5, 8, 12
ALLOYS = "ZA-12", "pure aluminium", "A356", "tin bronze", "carbon steel"
SHUT, HOT_K, SOON_S = 0.999, 150.0, 2.0
UNLIMITED = 1000.0  # thin cells conduct as they are: else finer ones in a neck would pass on less heat
SQUARE_DUCT = 28.45  # u = (dp / L) a2 / (28.45 viscosity) in a square duct of side a; textbooks, from memory


def setup_of(name, width):
    """The eye plate with that neck."""
    layout = parts.eye_plate(feeder_width=FEEDER_M, feeder_height=HIGH_M, neck_width=width)
    metal = alloy(name)
    sand = mould("dry silica sand", hot=True) if "steel" in name else mould("green sand")
    return Setup(layout, metal, sand, metal.liquidus_c + SUPERHEAT_K)


def of_block(run, name):
    """Which of the metal cells lie in a block."""
    names = [body.name for body in run.grid.layout.blocks]
    return run.grid.block.ravel()[run.metal_cells] == names.index(name)


def open_until(run):
    """(first time that a layer of the neck is solid right across, last time that none is) [s]."""
    neck = of_block(run, "neck")
    row = np.unravel_index(run.metal_cells[neck], run.grid.shape)[1]
    solid = run.solid[:, neck]
    shut = np.any([solid[:, row == each].min(axis=1) >= SHUT for each in np.unique(row)], axis=0)
    first = run.times_s[shut.argmax()] if shut.any() else math.nan
    return first, run.times_s[~shut][-1]


def suction(run, width):
    """(share of what the casting asks for that has passed, pressure lost in the neck [atm]) at each step."""
    metal, neck = run.setup.alloy, of_block(run, "neck")
    casting = run.grid.roles.ravel()[run.metal_cells] == 1
    volume = run.grid.metal_volume.ravel()[run.metal_cells]
    mass = (density_of(metal, run.solid[:, casting], run.temp_c[:, casting]) * volume[casting]).sum(axis=1)
    flow = np.diff(mass) / metal.density_liquid / np.diff(run.times_s)
    scale, power = metal.arm_spacing
    rate = max(metal.liquidus_c - metal.solidus_c, 1.0) / run.freeze_time_s[run.grid.is_role("casting")].max()
    arm = scale * rate**-power
    solid = run.solid[1:, neck]
    crystals = np.minimum(solid, metal.arrest_fraction)
    clear = (1.0 - solid) / np.maximum(1.0 - crystals, 1e-9)  # share that no front has passed
    through = KOZENY * crystals**2 / np.maximum(1.0 - crystals, 1e-9) ** 3 / arm**2 + SQUARE_DUCT / width**2
    places = np.unravel_index(run.metal_cells[neck], run.grid.shape)
    sizes = [np.diff(edges) for edges in run.grid.edges]
    high = sizes[1][places[1]]
    passes = clear * (volume[neck] / high) / through
    lost = np.zeros(len(flow))
    for row in np.unique(places[1]):
        here = places[1] == row
        lost += sizes[1][row] / np.maximum(passes[:, here].sum(axis=1), 1e-300)
    asked = (mass - mass[0]) / (mass[-1] - mass[0])
    return asked[1:], metal.viscosity * flow * lost / ATMOSPHERE_PA


def fin(name, width, time, away):
    """By how much of the excess over the sand of two places so far `away` from it [m] the middle of a neck is
    below them, by hand; the sand between the two bodies is left cold, so that it is less.

    1 - 1 / cosh(m x), m2 = 4 h / (k a), h = b / sqrt(pi t) + k_sand / a: what a flat face of sand takes up,
    and as much more for a thin bar as for a cylinder of its width.
    """
    setup = setup_of(name, width)
    sand, metal = setup.mould, setup.alloy
    takes = math.sqrt(sand.conductivity * sand.density * sand.heat_capacity)
    film = takes / math.sqrt(math.pi * time) + sand.conductivity / width
    steep = math.sqrt(4.0 * film / (metal.conductivity_liquid * width))
    return 1.0 - 1.0 / math.cosh(steep * away)


def middle_below_ends(name, width, time):
    """In the field, poured so hot that the neck stays liquid: (excess over the sand of its first and last row
    of cells [K], how far they are from the middle [m], how much colder that is [K])."""
    setup = setup_of(name, width)
    run = freeze(replace(setup, pour_temp_c=setup.alloy.liquidus_c + HOT_K), 4e-3)
    neck = of_block(run, "neck")
    temp = np.array([np.interp(time, run.times_s, each) for each in run.temp_c[:, neck].T])
    row = np.unravel_index(run.metal_cells[neck], run.grid.shape)[1]
    means = [temp[row == each].mean() for each in np.unique(row)]
    ends = 0.5 * (means[0] + means[-1])
    rows = run.grid.centres[1][np.unique(row)]
    return ends - setup.mould.start_temp_c, 0.5 * (rows[-1] - rows[0]), ends - min(means)


def main():
    """Print the tables."""
    conduct.SLIVERS_FOLLOW = UNLIMITED
    for across in [float(each) for each in sys.argv[1:]] or [3.0, 6.0]:
        grid_module.FULL = replace(grid_module.FULL, across=across)
        print(f"{across:g} cells across the neck: % drawn, shut first, open until [s] (boss solid), "
              "suction at 50 and 90 %")
        for name in ALLOYS:
            for width_mm in WIDTHS_MM:
                setup = setup_of(name, width_mm * MM)
                run = freeze(setup, 4e-3)
                account = shrinkage(run)
                first, last = open_until(run)
                passed, lost = suction(run, width_mm * MM)
                at = [min(lost[np.searchsorted(passed, share)], 999.0) for share in (0.5, 0.9)]
                boss_s, share = account.froze_s["boss"], 100 * account.defect_share
                print(f"  {name:15s} {width_mm:2d} mm {share:5.2f} {account.verdict:9s} {first:6.1f} "
                      f"{last:6.1f} ({boss_s:.0f})  {at[0]:7.3f} {at[1]:7.3f} atm", flush=True)
    print("the rule for steel, L + 0.2 D (handbooks, from memory): "
          f"{1e3 * (NECK_LENGTH_M + 0.2 * FEEDER_M):.1f} mm for this feeder")
    print("how far the middle of a neck is below its ends after 2 s [K]: a fin by hand, the field")
    for name in ("ZA-12", "carbon steel"):
        for width_mm in (2, 5, 8):
            excess, away, below = middle_below_ends(name, width_mm * MM, SOON_S)
            by_hand = fin(name, width_mm * MM, SOON_S, away) * excess
            print(f"  {name:15s} {width_mm:2d} mm  {by_hand:5.1f} {below:5.1f}", flush=True)


if __name__ == "__main__":
    main()
