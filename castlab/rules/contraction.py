"""What metal loses in volume: as a liquid, as it freezes, and as a solid. The three are kept apart:

liquid contraction    from pouring to the liquidus; paid by the pour, by gate and feeder
freezing contraction  from liquid at the liquidus to solid at the solidus; paid by gate and feeder, or by a
                      defect
solid contraction     from the solidus to 20 deg C; no metal can pay it any more: the pattern is made larger

The three-part division is that of Saeger, C. M.; Ash, E. J.: Methods for determining the volume changes
undergone by metals during casting. NBS Research Paper RP399 (1932).
"""


from castlab.errors import InputError, require_between, require_positive
from castlab.rules.filling import superheat


def liquid_contraction(alloy, pour_temp_c):
    """Share of its volume that the melt loses from pouring to the liquidus: alpha (T_pour - T_liquidus).

    alloy        a castlab.materials.Alloy
    pour_temp_c  [deg C] at or above the liquidus

    Returns a share of the poured volume as the densities have it, 1 - density(T_pour) / density(liquidus).
    Raises InputError for pouring below the liquidus.

    Published example (Haynes, CRC Handbook of Chemistry and Physics, density of molten aluminium 2377 kg/m3
    at the freezing point, falling by 0.311 kg/m3/K: 1.3 % in 100 K):

    >>> from castlab.materials import alloy
    >>> round(100 * liquid_contraction(alloy("pure aluminium"), 760.323), 1)
    1.3
    """
    superheat(alloy, pour_temp_c)
    return 1.0 - alloy.liquid_density(pour_temp_c) / alloy.density_liquid


def volume_to_feed(volume, alloy, pour_temp_c):
    """Volume that must flow in after the mould is full, or else be missing: V (1 - density(T_pour) /
    density_solid).

    volume       [m3]    of the cavity, greater than 0
    alloy        a castlab.materials.Alloy; its density_solid is at the solidus
    pour_temp_c  [deg C] at or above the liquidus

    Returns liquid and freezing contraction together [m3], for a cavity that is full when pouring ends: the
    empty space left if no metal came in after that. A metal that expands more than its melt contracts gives
    a negative volume. Raises InputError for a volume that is not positive and for pouring below the liquidus.

    Published example (iron: solid 7265 kg/m3 at the freezing point, Campbell, Castings, from memory; liquid
    7035, CRC Handbook. 1000 cm3 poured without superheat leave 32 cm3):

    >>> from dataclasses import replace
    >>> from castlab.materials import alloy
    >>> iron = replace(alloy("carbon steel"), density_solid=7265, freezing_contraction=1 - 7035 / 7265)
    >>> round(1e6 * volume_to_feed(1000e-6, iron, iron.liquidus_c))
    32
    """
    volume = require_positive("volume", volume, "m3")
    superheat(alloy, pour_temp_c)
    return volume * (1.0 - alloy.liquid_density(pour_temp_c) / alloy.density_solid)


def hole_where_mould_yields(volume, alloy, pour_temp_c, growth):
    """The empty space that an unfed casting keeps where its mould gives way [m3].

    V (growth + 1 - density(T_pour) / density_solid)

    volume       [m3]    of the cavity before it gave way, greater than 0
    growth       share of its volume by which the casting's outside has grown when all is solid, 0 to 0.05:
                 three times what each size has grown
    alloy, pour_temp_c [deg C]  as for `volume_to_feed`

    Grey iron expands late, as its graphite forms. A stiff mould turns that inwards, and it feeds the casting.
    A soft one, green or weakly rammed, gives way: the casting comes out larger than its pattern, and what the
    outside has won is missing inside. So an iron that needs no feeder by its densities draws all the same.
    How much a mould gives way was found nowhere with its numbers: measure a trial casting against its pattern
    (common practice). Raises InputError outside the ranges.

    A balance of volumes. By hand, 1000 cm3 that would lose nothing in a stiff mould, each size 0.4 % larger:
    3 * 0.4 % = 1.2 %, 12 cm3.

    >>> from dataclasses import replace
    >>> from castlab.materials import alloy
    >>> iron = replace(alloy("grey iron"), freezing_contraction=0.0)
    >>> round(1e6 * hole_where_mould_yields(1000e-6, iron, iron.liquidus_c, 0.012))
    12
    """
    growth = require_between("growth of the casting", growth, 0.0, 0.05)
    return volume_to_feed(volume, alloy, pour_temp_c) + growth * volume


def pattern_scale(alloy, temp_c=20.0):
    """How much larger than the cold casting a pattern must be: 1 + a (T_solidus - T).

    alloy   a castlab.materials.Alloy; a is its mean linear expansion from 20 deg C to the solidus
    temp_c  [deg C] at which the casting is measured, -50 deg C to the solidus

    Returns length of pattern over length of casting, for a casting free to contract. Cores and hard moulds
    hold a casting back, so pattern-makers' tables differ by some tenths of a per cent; where a trial
    casting exists, use that. Raises InputError for a temperature outside the range.

    Published example (pattern-makers' tables give 1.25 to 1.3 % for aluminium alloys, 5/32 to 3/16 inch a
    foot, 1.3 to 1.6 %, for bronze):

    >>> from castlab.materials import alloy
    >>> round(100 * (pattern_scale(alloy("A356")) - 1), 1)
    1.3
    """
    temp_c = require_between("temperature of measuring", temp_c, -50.0, alloy.solidus_c, "deg C")
    return 1.0 + alloy.solid_expansion * (alloy.solidus_c - temp_c)


def pattern_size(finished, scale, machining=0.0, machined_faces=2, rapping=0.0):
    """What a pattern must measure: (finished + faces * machining) * scale - rapping [m].

    finished [m]     size of the finished part, greater than 0
    scale            `pattern_scale(alloy)`, or 1 + the pattern-maker's allowance; 0.95 to 1.1. For a master,
                     from which a metal pattern is cast first, multiply the two scales
    machining [m]    stock to be cut off each machined face, 0 or more; of a hole, write it negative
    machined_faces   0, 1 or 2 of the two faces between which the size is measured
    rapping [m]      by which the pattern is loosened in the sand, 0 or more, over the whole size

    A pattern that is printed or carved measures this; draft comes on top, on the faces that are drawn.
    Raises InputError outside these ranges.

    Source: common practice. Worked by hand (numbers of a tutorial sheet on pattern allowances, steel 80 mm
    long, 3 mm to be machined on each side, 3 % contraction, 1 mm of shaking): (80 + 2 * 3) * 1.03 - 1 =
    87.58 mm.

    >>> round(1000 * pattern_size(0.080, 1.03, machining=0.003, rapping=0.001), 2)
    87.58
    """
    finished = require_positive("finished size", finished, "m")
    scale = require_between("pattern scale", scale, 0.95, 1.1)
    machining = require_between("machining allowance", machining, -0.05, 0.05, "m")
    rapping = require_between("rapping", rapping, 0.0, 0.02, "m")
    if machined_faces not in (0, 1, 2):
        raise InputError("machined faces", repr(machined_faces), "a size has 0, 1 or 2 of them")
    size = (finished + machined_faces * machining) * scale - rapping
    return require_positive("size of the pattern", size, "m")
