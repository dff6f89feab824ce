"""The smallest top feeder that keeps the heavy end of each part sound, and what the rule leaves out of it.

Other processes import this module, so it loads no widgets and no drawing library.
"""

import math
from dataclasses import dataclass

from castlab.field.layout import Setup
from castlab.field.outcome import COARSE, FULL, pour
from castlab.field.parts import ROUND_PARTS, layout_of
from castlab.field.shrinkage import SOUND_BELOW
from castlab.materials import alloy, mould

SLENDER, SUPERHEAT_K = 1.5, 50.0  # height of the feeder over its width; pour above the liquidus
WIDTHS_MM = range(8, 71)
ALLOYS = "ZA-12", "pure aluminium", "A356", "Al-12Si", "tin bronze", "carbon steel"


@dataclass(frozen=True)
class HeavyEnd:
    """What a feeder on top feeds: its blocks, volume [m3], surface without what other metal of the part
    covers [m2], the face that the feeder stands on [m], and how the part is set."""

    blocks: tuple[str, ...]
    volume: float
    surface: float
    face: tuple[float, float]
    settings: tuple = ()


def _box(x, y, z, covered):
    return x * y * z * 1e-9, (2.0 * (x * y + y * z + z * x) - covered) * 1e-6


def _round(across, high, covered):
    area = 0.25 * math.pi * across**2
    return area * high * 1e-9, (2.0 * area + math.pi * across * (high - covered)) * 1e-6


# By hand from the parts' own sizes [mm]. The cleat's is base, post and horn above one another, 26 mm wide.
_CLEAT = (26 * (34 * 34 + 14 * 20.4) * 1e-9,
          (26 * (34 + 2 * 34 + (34 - 20.4) + 2 * 14 + 20.4) + 2 * 24 * 34) * 1e-6)
HEAVY_ENDS = {
    "eye plate": HeavyEnd(("boss",), *_box(40, 40, 40, 12 * 40), (0.040, 0.040)),
    "step wedge": HeavyEnd(("step 4",), *_box(32, 36, 50, 26 * 50), (0.032, 0.050)),
    "bracket": HeavyEnd(("wall", "corner"), *_box(14, 60, 40, 10 * 40), (0.014, 0.040)),
    "cleat": HeavyEnd(("post", "base", "horn"), *_CLEAT, (0.026, 0.0204)),
    "sheave": HeavyEnd(("hub",), *_round(36, 36, 8), (0.036, 0.036)),
    "bollard cap": HeavyEnd(("boss", "crown"), *_round(32, 38, 8), (0.032, 0.032),
                            (("turn", "upside down"),)),
}
CASES = tuple((part, name) for part in HEAVY_ENDS for name in ALLOYS)


@dataclass(frozen=True)
class Smallest:
    """The narrowest feeder that is enough: width [m], and over what it feeds its `modulus` as a textbook
    counts it (all but its foot cools), its modulus with an `open_top` that does not cool, its `time` until
    solid; then the share of itself that it `gave`."""

    width: float
    modulus: float
    open_top: float
    time: float
    gave: float


def smallest_on_part(case):
    """The Smallest for a `case`, (part, alloy); None where none is wide enough.

    Halves the row of widths in quick looks, then steps on answers; a wider one is taken to be never worse.
    """
    low, high = WIDTHS_MM[0] - 1, WIDTHS_MM[-1]
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if is_fed(case, account_of(case, middle, COARSE)) else (middle, high)
    found = account_of(case, high)
    while not is_fed(case, found):
        if high == WIDTHS_MM[-1]:
            return None
        high += 1
        found = account_of(case, high)
    while high > WIDTHS_MM[0] and is_fed(case, closer := account_of(case, high - 1)):
        high, found = high - 1, closer
    heavy = max(found.froze_s[name] for name in HEAVY_ENDS[case[0]].blocks)
    return Smallest(1e-3 * high, *moduli(case[0], 1e-3 * high), found.froze_s["feeder"] / heavy,
                    found.feeder_emptied)


def account_of(case, width_mm, look=FULL):
    """The account of a part with an open feeder of that width on its heavy end."""
    part, name = case
    width = 1e-3 * width_mm
    sizes = dict(HEAVY_ENDS[part].settings) | {"feeder_width": width, "feeder_height": SLENDER * width}
    layout = layout_of(part, **sizes)
    metal = alloy(name)
    sand = mould("dry silica sand", hot=True) if "steel" in name else mould("green sand")
    return pour(Setup(layout, metal, sand, metal.liquidus_c + SUPERHEAT_K), look)


def is_fed(case, account):
    """Whether the heavy end has no hole that a feeder is there to prevent, which sponge is not."""
    blocks = HEAVY_ENDS[case[0]].blocks
    holes = [hole for hole in account.holes if hole.kind != "sponge" and hole.block in blocks]
    lost = sum(hole.volume_m3 for hole in holes)
    return lost < SOUND_BELOW * account.casting_m3 and all(hole.harm < 1.0 for hole in holes)


def moduli(part, width):
    """Modulus of a feeder of that width [m] over that of the heavy end, twice: where all but its foot cools,
    and where its open top does not cool either.

    By hand, 40 mm wide and 60 mm high on the eye plate: 96000 / 11200 and 96000 / 9600 over 64000 / 7520 mm.

    >>> [round(each, 3) for each in moduli("eye plate", 0.040)]
    [1.007, 1.175]
    """
    end, height = HEAVY_ENDS[part], SLENDER * width
    foot = math.prod(min(width, each) for each in end.face)
    top, around = width**2, 4.0 * width * height
    if part in ROUND_PARTS:
        foot, top, around = (0.25 * math.pi * each for each in (foot, top, around))
    section = end.volume / (end.surface - foot)
    volume = top * height
    return tuple(volume / (around + 2.0 * top - foot - left_out) / section for left_out in (0.0, top))
