"""Feeders: how large, joined by what neck, and how far they reach.

A feeder must freeze later than what it feeds (modulus) and must hold enough liquid to give away (volume).
Both are asked for; the larger answer governs.
"""

import math
from dataclasses import dataclass

from castlab.errors import InputError, require_between, require_known, require_positive
from castlab.units import given, metres

INCH = 0.0254  # m; the published feeding distances of bars are in inches
# Judgement: the trial plates behind the distances were wide and of these thicknesses (from memory).
PLATE_THICKNESS = (0.0127, 0.102)
BAR_THICKNESS = (0.050, 0.204)
PLATE_WIDTHS = 5.0
BAR_WIDTHS = 1.5
# a, b and c of the classic curve of least feeders (Caine 1948 and textbooks after him, from memory).
LEAST_FEEDER = {"steel": (0.10, 0.03, 1.00), "aluminium": (0.10, 0.06, 1.08), "grey iron": (0.33, 0.03, 1.00),
                "brass": (0.04, 0.017, 1.00)}
ENDS = ("end", "chilled end", "feeder", "chill and feeder")


@dataclass(frozen=True)
class Feeder:
    """A round feeder: diameter, height [m], modulus [m], volume [m3], and what governs its size."""

    diameter: float
    height: float
    modulus: float
    volume: float
    governs: str


def feeder_modulus(casting_modulus, factor=1.2):
    """Modulus that a feeder needs to outlast the section it feeds: factor * casting modulus [m].

    casting_modulus [m]  of the section at the feeder, greater than 0
    factor               1 to 2; 1.2 is the usual one for steel and aluminium (Wlodawer 1967, 1 : 1.1 : 1.2
                         for casting, neck and feeder, from memory)

    Raises InputError otherwise.

    >>> round(feeder_modulus(0.010), 6)
    0.012
    """
    casting = require_positive("modulus of the casting", casting_modulus, "m")
    return casting * require_between("feeder factor", factor, 1.0, 2.0)


def feeder_by_modulus(modulus, height_ratio=1.0, on_casting=False):
    """Diameter of a round feeder that has a given modulus: D = M (4 q + 2) / q [m], q = height / diameter.

    modulus [m]    of the feeder, greater than 0 (`feeder_modulus`)
    height_ratio   q, 0.5 to 3
    on_casting     True where the base stands on the casting and does not cool: D = M (4 q + 1) / q

    Raises InputError otherwise. Published example (GATE 2018, mechanical engineering: a plate of 80 x 120 x
    20 mm freezes in 2 min; a feeder as high as wide, all faces cooling, that freezes in 3 min is 51.87 mm
    wide):

    >>> from castlab.rules.modulus import box
    >>> round(1000 * feeder_by_modulus(box(0.080, 0.120, 0.020) * (3 / 2) ** 0.5), 2)
    51.87
    """
    modulus = require_positive("modulus of the feeder", modulus, "m")
    ratio = require_between("height over diameter", height_ratio, 0.5, 3.0)
    return modulus * (4.0 * ratio + (1.0 if on_casting else 2.0)) / ratio


def feeder_volume(casting_volume, contraction, efficiency=0.14):
    """Volume of a feeder that holds enough to give away: V_f = V_c a / (e - a) [m3].

    casting_volume [m3]  V_c, of what the feeder feeds, greater than 0
    contraction          a, the share of its volume that the metal loses while it can be fed, -0.1 to 0.2:
                         `volume_to_feed` over the volume
    efficiency           e, the share of the feeder that can leave it, 0.05 to 0.8. Open round feeder in sand
                         0.14, half a ball 0.20, in an insulating sleeve 0.20 to 0.33, exothermic 0.35 to
                         0.70

    The feeder shrinks too and feeds itself: e V_f = a (V_f + V_c). A metal that does not contract needs 0.
    Raises InputError outside the ranges, and where e is not more than a: such a feeder can never be enough.
    Source: Campbell, Castings, 2nd ed. 2003, chapter on feeding (from memory). By hand, a = 0.06: 0.06 /
    0.08 = 0.75 of the casting; a = 0.07: as large as the casting.

    >>> [round(feeder_volume(1.0, loss), 2) for loss in (0.06, 0.07)]
    [0.75, 1.0]
    """
    volume = require_positive("volume of the casting", casting_volume, "m3")
    loss = require_between("contraction", contraction, -0.1, 0.2)
    gives = require_between("efficiency of the feeder", efficiency, 0.05, 0.8)
    if loss <= 0.0:
        return 0.0
    if gives <= loss:
        allowed = f"it must be more than the contraction, {loss:g}; use a sleeve, which gives more"
        raise InputError("efficiency of the feeder", f"{gives:g}", allowed)
    return volume * loss / (gives - loss)


def size_feeder(casting_modulus, casting_volume, contraction, *, factor=1.2, efficiency=0.14,
                height_ratio=1.0, on_casting=True):
    """The round feeder that is large enough by modulus and by volume, and which of the two governs: a Feeder.

    casting_modulus [m], factor                   as for `feeder_modulus`
    casting_volume [m3], contraction, efficiency  as for `feeder_volume`
    height_ratio, on_casting                      as for `feeder_by_modulus`

    Raises InputError as those do; the sources are theirs. Chunky castings are governed by modulus, thin wide
    ones by volume (common practice).

    By hand, a 60 mm cube (M = 10 mm, 216 cm3) that loses 6 %: by modulus D = 5 * 12 = 60 mm and 170 cm3, by
    volume 0.75 * 216 = 162 cm3; a plate 200 x 200 x 10 mm (M = 4.5 mm, 400 cm3): by modulus D = 27 mm, by
    volume 300 cm3, D = (4 * 300 / pi)^(1/3) = 7.3 cm:

    >>> cube = size_feeder(0.010, 216e-6, 0.06)
    >>> plate = size_feeder(0.00455, 400e-6, 0.06)
    >>> (cube.governs, round(1000 * cube.diameter)), (plate.governs, round(1000 * plate.diameter))
    (('modulus', 60), ('volume', 73))
    """
    wanted = feeder_modulus(casting_modulus, factor)
    by_modulus = feeder_by_modulus(wanted, height_ratio, on_casting)
    holds = feeder_volume(casting_volume, contraction, efficiency)
    by_volume = (4.0 * holds / (math.pi * height_ratio)) ** (1.0 / 3.0)
    across = max(by_modulus, by_volume)
    return Feeder(
        diameter=across,
        height=height_ratio * across,
        modulus=wanted * across / by_modulus,
        volume=math.pi / 4.0 * height_ratio * across**3,
        governs="modulus" if by_modulus >= by_volume else "volume",
    )


def least_feeder_volume(freezing_ratio, metal):
    """Volume of the smallest feeder that keeps a casting sound, over the casting's, by the classic curve.

    y = a / (x - c) + b

    freezing_ratio x  cooling area over volume of the casting, over that of the feeder: modulus of the feeder
                      over modulus of the casting; above c, 10 at most
    metal             "steel", "aluminium", "grey iron" or "brass"; a, b, c are in `LEAST_FEEDER`

    b is what the feeder must give away at least, c how much longer than the casting it must stay liquid; near
    both an endless feeder would be asked for. Raises InputError otherwise: no curve was found for zinc or
    silver. Source: Caine, J. B., Trans. AFS 56 (1948), ALL FROM MEMORY, checked against nothing: castings of
    steel that were cut open; the other metals' numbers are quoted with it in textbooks, for sand and bare
    feeders. By hand, steel, a feeder of 1.5 times the modulus: 0.10 / 0.5 + 0.03 = 0.23 of the casting.

    >>> round(least_feeder_volume(1.5, "steel"), 3)
    0.23
    """
    shape, least, longer = LEAST_FEEDER[require_known("metal of the curve", metal, LEAST_FEEDER)]
    ratio = require_between("freezing ratio", freezing_ratio, 0.0, 10.0)
    if ratio <= longer:
        allowed = f"it must be more than {longer:g}: no feeder that freezes as early is large enough"
        raise InputError("freezing ratio", f"{ratio:g}", allowed)
    return shape / (ratio - longer) + least


def neck_width(casting_modulus, thickness=None, factor=1.1):
    """Width of a neck that stays open longer than the section it feeds [m].

    square or round neck   width = 4 M_n
    flat neck, thickness   width = 2 M_n thickness / (thickness - 2 M_n)          with M_n = factor * M

    casting_modulus M [m]  of the section at the neck, greater than 0
    thickness [m]          of a flat neck, more than 2 M_n; None for a square or round one
    factor                 1 to 2; 1.1 by Wlodawer's 1 : 1.1 : 1.2 for casting, neck and feeder (from memory)

    A neck shorter than it is wide is kept hot from both sides and may be smaller (common practice).
    Raises InputError outside the ranges. By hand, M = 10 mm: 4 * 11 = 44 mm square; 30 mm thick: 2 * 11 * 30
    / (30 - 22) = 82.5 mm wide.

    >>> round(1000 * neck_width(0.010), 1), round(1000 * neck_width(0.010, thickness=0.030), 1)
    (44.0, 82.5)
    """
    casting = require_positive("modulus of the casting", casting_modulus, "m")
    neck = casting * require_between("neck factor", factor, 1.0, 2.0)
    if thickness is None:
        return 4.0 * neck
    thickness = require_positive("thickness of the neck", thickness, "m")
    if thickness <= 2.0 * neck:
        allowed = "it must be more than {}: a thinner neck closes first, however wide"
        raise InputError("thickness of the neck", given(thickness, "m"), allowed, metres(2.0 * neck))
    return 2.0 * neck * thickness / (thickness - 2.0 * neck)


def feeding_distance_plate(thickness, width, alloy, towards="end"):
    """How far a feeder keeps a steel plate sound, from the feeder's edge [m].

    towards "end"               4.5 T: 2 T by the feeder and 2.5 T by the end of the plate
            "chilled end"       4.5 T + 50 mm
            "feeder"            4 T between the edges of two feeders: 2 T by each
            "chill and feeder"  9 T + 100 mm between two feeders with a chill half-way

    thickness T [m]  12.7 to 102 mm
    width [m]        5 T or more; between that and a bar, use the field
    alloy            a steel

    Raises InputError outside these ranges and for every other alloy: no verified rule was found for them.
    Source: Bishop, H. F.; Pellini, W. S., Trans. AFS 58 (1950), for low-alloy steel in sand (from memory);
    that their 4.5 T is 2 T beside the feeder and the rest beside the end is repeated in Ou, Carlson, Hardin,
    Beckermann, Metall. Mater. Trans. B 33 (2002), part II (read), who find longer distances. The chill values
    and the ranges are from memory.

    >>> from castlab.materials import alloy
    >>> round(1000 * feeding_distance_plate(0.025, 0.150, alloy("carbon steel")), 1)
    112.5
    """
    _require_steel(alloy)
    thick = require_between("thickness of the plate", thickness, *PLATE_THICKNESS, "m")
    if require_positive("width of the plate", width, "m") < PLATE_WIDTHS * thick:
        allowed = "it must be {} or more; for a narrower one use the field"
        raise InputError("width of the plate", given(width, "m"), allowed, metres(PLATE_WIDTHS * thick))
    require_known("what the feeder works towards", towards, ENDS)
    return {
        "end": 4.5 * thick, "chilled end": 4.5 * thick + 2.0 * INCH,
        "feeder": 4.0 * thick, "chill and feeder": 9.0 * thick + 4.0 * INCH,
    }[towards]


def feeding_distance_bar(thickness, width, alloy, towards="end"):
    """How far a feeder keeps a steel bar sound, from the feeder's edge [m].

    towards "end"          6 sqrt(T), T and distance in inches
            "chilled end"  6 sqrt(T) + T
            "feeder"       3.6 sqrt(T) between the edges of two feeders

    thickness T [m]  50 to 204 mm
    width [m]        T to 1.5 T
    alloy            a steel

    Raises InputError outside these ranges and for every other alloy: no verified rule was found for them.
    Source: Bishop, Myskowski, Pellini, Trans. AFS 59 (1951), from memory, the ranges too. By hand, 4 inches
    thick: 6 * 2 = 12 inches = 0.3048 m.

    >>> from castlab.materials import alloy
    >>> round(feeding_distance_bar(0.1016, 0.1016, alloy("carbon steel")), 4)
    0.3048
    """
    _require_steel(alloy)
    thick = require_between("thickness of the bar", thickness, *BAR_THICKNESS, "m")
    require_between("width of the bar", width, thick, BAR_WIDTHS * thick, "m")
    require_known("what the feeder works towards", towards, ENDS[:3])
    root = math.sqrt(thick / INCH) * INCH
    return {"end": 6.0 * root, "chilled end": 6.0 * root + thick, "feeder": 3.6 * root}[towards]


def _require_steel(alloy):
    if "steel" not in alloy.name:
        allowed = "it must be a steel: for other alloys no verified rule was found, use the field"
        raise InputError("alloy for a feeding distance", alloy.name, allowed)
