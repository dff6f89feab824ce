"""Why small feeders do in the field: python -m tests.benchmark.least_feeders [parts tops causes shares]

parts    the smallest sound top feeder on six parts in six alloys: moduli, times, share given
tops     a feeder of 4 by 4 inches: how much longer it stays liquid where its top loses nothing; quoted values
causes   the eye plate's feeder of 26 x 20 mm, one cause after the other: alone, its top, the boss, the plate
shares   what a feeder of 1.2 times the modulus can give at most, on square plates; quoted 14 %
"""

import math
import sys
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from castlab import Setup, alloy, freeze, mould, parts, shrinkage  # noqa: E402
from castlab.field import conduct  # noqa: E402
from castlab.field.bodies import cylinder  # noqa: E402
from castlab.field.layout import Layout, box  # noqa: E402
from castlab.field.shrinkage import SOUND_BELOW  # noqa: E402
from castlab.rules import modulus  # noqa: E402
from castlab.teach.trust.feeders_on_parts import ALLOYS, CASES, SUPERHEAT_K, smallest_on_part  # noqa: E402

MM, SAND_M, INCH = 1e-3, 60e-3, 25.4e-3
# Minutes until solid, open top and insulated top (Adams and Taylor 1953, as textbooks quote it, from memory)
QUOTED_TOPS = {"pure aluminium": (12.3, 14.3), "pure copper": (8.2, 14.0), "carbon steel": (5.0, 13.4)}
QUOTED_SHARE, RATIO = 0.14, 1.2  # Campbell, Castings, 2nd edition 2003, and Wlodawer 1967, from memory
PLATE_M = 15 * MM


def setup_of(layout, name):
    """As in castlab.teach.trust.feeders_on_parts."""
    metal = alloy(name)
    sand = mould("dry silica sand", hot=True) if "steel" in name else mould("green sand")
    return Setup(layout, metal, sand, metal.liquidus_c + SUPERHEAT_K)


def standing(body, under, over):
    """A body in sand at its sides, and so much of it under and over [m]; 0: no heat flows, or open air."""
    low, high = body.low, body.high
    return Layout((body,), (low[0] - SAND_M, low[1] - under, low[2] - SAND_M),
                  (high[0] + SAND_M, high[1] + over, high[2] + SAND_M))


def parts_table():
    for case in CASES:
        found = smallest_on_part(case)
        words = "none" if found is None else (
            f"{1e3 * found.width:3.0f} mm  modulus {found.modulus:.2f}  without its top "
            f"{found.open_top:.2f}  time {found.time:.2f}  gave {100 * found.gave:2.0f} %")
        print(f"  {case[0]:12s} {case[1]:15s} {words}", flush=True)


def tops_table():
    body = cylinder("feeder", "casting", "y", (0.0, 0.0), 4 * INCH, (0.0, 4 * INCH))
    layout = standing(body, 120 * MM, 0.0)
    for name, (bare, covered) in QUOTED_TOPS.items():
        setup = setup_of(layout, name)
        times = [freeze(setup, 5 * MM).last_time_s / 60]
        free, conduct.FREE_CONVECTION = conduct.FREE_CONVECTION, 0.0
        dark = replace(setup, alloy=replace(setup.alloy, emissivity=0.0))
        times.append(freeze(dark, 5 * MM).last_time_s / 60)
        conduct.FREE_CONVECTION = free
        print(f"  {name:15s} open {times[0]:4.1f} min, top loses nothing {times[1]:4.1f}: "
              f"{times[1] / times[0]:.2f} times; quoted {bare}, {covered}: {covered / bare:.2f}", flush=True)


def causes_table():
    width, high, boss = 26 * MM, 20 * MM, 40 * MM
    feeder = box("feeder", "casting", (-width / 2, width / 2), (0.0, high), (-width / 2, width / 2))
    cube = box("boss", "casting", (-boss / 2, boss / 2), (0.0, boss), (-boss / 2, boss / 2))
    by_rule = modulus.box(width, width, high, joined="base") / modulus.box(boss, boss, boss)
    for name in ("ZA-12", "pure aluminium", "A356", "carbon steel"):
        layouts = (standing(feeder, 0.0, SAND_M), standing(feeder, 0.0, 0.0), standing(cube, SAND_M, SAND_M))
        covered, bare, boss_s = (freeze(setup_of(each, name), 2 * MM).last_time_s for each in layouts)
        layout = parts.eye_plate(feeder_width=width, feeder_height=high)
        froze_s = shrinkage(freeze(setup_of(layout, name), 2 * MM)).froze_s
        ratios = (covered / boss_s, bare / covered, froze_s["feeder"] / bare, boss_s / froze_s["boss"])
        rooted = [math.sqrt(each) for each in ratios]
        print(f"  {name:15s} by the rule {by_rule:.2f}; roots of times: as the rule has it {rooted[0]:.2f}, "
              f"x open top {rooted[1]:.2f}, x kept hot by the boss {rooted[2]:.2f}, x the boss kept hot too "
              f"{rooted[3]:.2f} = {math.prod(rooted):.2f}", flush=True)


def plate_account(side, name):
    """A square plate, and a round feeder as high as wide of RATIO times its modulus on the middle of it."""
    across = 5.0 * RATIO * PLATE_M / 2  # D / 5: its foot does not cool; T / 2: no edges
    half, foot = (-side / 2, side / 2), SAND_M + PLATE_M
    plate = box("plate", "casting", half, (SAND_M, foot), half)
    feeder = cylinder("feeder", "feeder", "y", (0.0, 0.0), across, (foot, foot + across))
    far = side / 2 + SAND_M
    layout = Layout((plate, feeder), (-far, 0.0, -far), (far, foot + across, far))
    return shrinkage(freeze(setup_of(layout, name), PLATE_M / 4))


def shares_table():
    for name in ALLOYS:
        low, high = 50, 400
        while high - low > 10:
            side = 10 * round((low + high) / 20)
            account = plate_account(side * MM, name)
            drawn = account.defect_m3 - account.paid_m3["sponge"]
            low, high = (side, high) if drawn < SOUND_BELOW * account.casting_m3 else (low, side)
        account = plate_account(low * MM, name)
        late = account.froze_s["feeder"] / account.froze_s["plate"]
        print(f"  {name:15s} plate up to {low} mm square: gave {100 * account.feeder_emptied:.0f} % (quoted "
              f"{100 * QUOTED_SHARE:.0f} %), feeder solid {late:.2f} times as late", flush=True)


TABLES = {"parts": parts_table, "tops": tops_table, "causes": causes_table, "shares": shares_table}

if __name__ == "__main__":
    for wanted in sys.argv[1:] or TABLES:
        print(wanted)
        TABLES[wanted]()
