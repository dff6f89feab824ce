"""The cures in long rows: python tests/benchmark/feeding.py [feeders necks sleeves chills gates plates].

The tests ask only at the ends of the published bands; here is where between them the field lies, on cells of
4 and of 2 mm. Figures are for reading, the tests hold the bands.
"""

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers"), str(ROOT / "tests" / "field")]

import test_feeding_behaviour as feeding  # noqa: E402
import test_rigging as rigged  # noqa: E402
from test_behaviour import FED_METALS, drawn_share, poured, wide_enough  # noqa: E402

from castlab import parts  # noqa: E402
from castlab.field.shrinkage import SOUND_BELOW  # noqa: E402

MM = 1e-3
CELLS = (4 * MM, 2 * MM)


def smallest(sound, low, high, step):
    """The smallest value of a row of steps at which it is sound, by halving; None where it never is."""
    if not sound(high):
        return None
    while high - low > step:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if sound(middle) else (middle, high)
    return high


def shown(value, scale=1.0):
    return "   -" if value is None else f"{value * scale:4.2f}" if scale == 1.0 else f"{value * scale:4.0f}"


def row(name, values):
    print(f"  {name:24}", "  ".join(values), flush=True)


def feeders():
    """Modulus of the smallest top feeder over the heavy section's; common practice asks for 1.2."""
    for part, (make, heavy, own, heavy_end) in feeding.TOP_FED.items():
        print(f"{part}: smallest ratio of moduli, cells of 4 and 2 mm")
        for name in FED_METALS:

            def sound(ratio, cell):
                width = wide_enough(own, heavy_end, ratio, feeding.SLENDER)
                layout = make(feeder_width=width, feeder_height=feeding.SLENDER * width)
                return feeding.drawn_in(poured(layout, name, cell=cell), heavy) < SOUND_BELOW

            row(name, [shown(smallest(lambda r, c=cell: sound(r, c), 0.4, 1.3, 0.03)) for cell in CELLS])


def necks():
    print("eye plate, feeder 48 x 72 mm: % drawn, neck solid / boss solid, by the neck's width [mm]")
    widths = (32, 28, 24, 20, 16, 12, 8)
    row("", [f"{width:11}" for width in widths])
    for name in (*FED_METALS, "pure zinc"):
        found = []
        for width in widths:
            layout = parts.eye_plate(feeder_width=48 * MM, feeder_height=72 * MM, neck_width=width * MM)
            account = poured(layout, name)
            neck = account.froze_s["neck"] / account.froze_s["boss"]
            found.append(f"{100 * drawn_share(account):5.2f} {neck:5.2f}")
        row(name, found)


def sleeves():
    print("eye plate: smallest feeder [mm], bare and with 8 mm of insulating sleeve; modulus factor at 28 mm")
    for name in FED_METALS:
        found, times = [], []
        for thick in (0.0, 8 * MM):

            def account(width, thick=thick):
                height = feeding.SLENDER * width
                return poured(
                    parts.eye_plate(feeder_width=width, feeder_height=height, sleeve_thickness=thick), name
                )

            found.append(
                shown(
                    smallest(lambda w, a=account: drawn_share(a(w)) < SOUND_BELOW, 12 * MM, 56 * MM, MM), 1e3
                )
            )
            times.append(account(28 * MM).froze_s["feeder"])
        row(name, [*found, f"{(times[1] / times[0]) ** 0.5:.2f}"])
    print("a sleeved feeder as a slice over the same in three dimensions, time until solid")
    for name, thick in rigged.COVER_BANDS:
        flat, real = (
            rigged.sleeved_time(make, name, thick) for make in (rigged.sleeved_slice, rigged.sleeved_block)
        )
        row(f"{name} {thick * 1e3:g} mm", [f"{flat / real:.2f}"])


def chills():
    print("eye plate with a top feeder: % drawn by the thickness of a chill under the boss [mm]")
    thicknesses = (0, 4, 8, 12, 20, 30, 40)
    row("", [f"{thick:5}" for thick in thicknesses])
    for cell in CELLS:
        for name, width in (
            ("ZA-12", 30),
            ("pure zinc", 30),
            ("pure aluminium", 32),
            ("A356", 30),
            ("tin bronze", 36),
            ("carbon steel", 36),
        ):
            drawn = [
                drawn_share(
                    poured(
                        parts.eye_plate(
                            feeder_width=width * MM, feeder_height=50 * MM, chill_thickness=thick * MM
                        ),
                        name,
                        cell=cell,
                    )
                )
                for thick in thicknesses
            ]
            row(f"{name}, {width} mm, {cell * 1e3:g} mm", [f"{100 * each:5.2f}" for each in drawn])


def gates():
    print("eye plate, gate into the boss: % drawn by its thickness [mm]")
    thicknesses = (4, 12, 20, 26, 28, 30, 32, 36, 40)
    row("", [f"{thick:5}" for thick in thicknesses])
    for name in FED_METALS:
        accounts = [
            poured(parts.eye_plate(gate_place="heavy end", gate_thickness=thick * MM), name)
            for thick in thicknesses
        ]
        row(name, [f"{100 * drawn_share(account):5.2f}" for account in accounts])


def plates():
    print(f"steel plate: fed over so many thicknesses, published {feeding.FED_OVER}, by cells across")
    for chill in (False, True):
        distances = [f"{cells}: {feeding.feeding_distance(chill, cells):.2f}" for cells in (7, 11, 15)]
        row("with a chill" if chill else "plain end", distances)


TABLES = {each.__name__: each for each in (feeders, necks, sleeves, chills, gates, plates)}

if __name__ == "__main__":
    for name in sys.argv[1:] or TABLES:
        TABLES[name]()
