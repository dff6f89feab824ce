"""The smallest feeder that keeps a plain casting sound: searched for in the field, and by the classic curve.

Other processes import this module, so it loads no widgets and no drawing library.
"""

import math

import numpy as np

from castlab.errors import InputError
from castlab.field.bodies import cylinder
from castlab.field.freeze import freeze
from castlab.field.layout import Layout, Setup, box
from castlab.field.shrinkage import shrinkage
from castlab.materials import alloy, mould
from castlab.rules import modulus
from castlab.rules.feeding import least_feeder_volume

CELL, SAND_M, SUPERHEAT_K, STEP_M = 3e-3, 80e-3, 50.0, 1e-3
ROUND = "cylinder"
# Length, height and width [m] of the castings; the cylinder is as high as wide. The feeder, twice as high as
# wide, stands in the middle of the top.
CASTINGS = {ROUND: (0.050, 0.050, 0.050), "cube": (0.050, 0.050, 0.050), "plate": (0.100, 0.020, 0.100),
            "bar": (0.160, 0.040, 0.040)}
CURVES = {"carbon steel": "steel", "A356": "aluminium", "Al-12Si": "aluminium"}
CASES = tuple((shape, name) for shape in CASTINGS for name in (*CURVES, "ZA-12", "fine silver"))


def least_in_field(case):
    """(ratio of moduli, ratio of volumes) of the narrowest feeder with which the field finds no hole; None
    where none is wide enough. `case` is a shape and the name of an alloy.

    By halving the list of radii; a larger feeder is taken to be never worse.
    """
    shape, name = case
    radii = np.arange(8e-3, 0.5 * min(CASTINGS[shape][::2]) + 0.5 * STEP_M, STEP_M)
    low, high = -1, len(radii) - 1
    if not is_fed(shape, name, radii[high]):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if is_fed(shape, name, radii[middle]) else (middle, high)
    return ratios(shape, radii[high])


def least_by_curve(case):
    """The same where the classic curve is met, which is from memory; None where it knows no such metal."""
    shape, name = case
    if name not in CURVES:
        return None
    for radius in np.arange(8e-3, 0.5, 0.1e-3):
        moduli, volumes = ratios(shape, radius)
        try:
            if volumes >= least_feeder_volume(moduli, CURVES[name]):
                return moduli, volumes
        except InputError:
            continue  # freezes too early: no size is enough
    return None


def ratios(shape, radius):
    """(modulus, volume) of a feeder of that radius [m] over those of the casting; their joint does not cool.

    >>> [round(each, 2) for each in ratios("cylinder", 0.0205)]  # by hand: 9.111 mm over 9.385 mm
    [0.97, 1.1]
    """
    joint = math.pi * radius**2
    length, height, width = CASTINGS[shape]
    cooled = {"covered_area": min(joint, length * width)}
    casting = (modulus.cylinder(length, height, **cooled) if shape == ROUND
               else modulus.box(length, width, height, **cooled))
    volume = length * width * height * (math.pi / 4.0 if shape == ROUND else 1.0)
    feeder = modulus.cylinder(2.0 * radius, 4.0 * radius, joined="base")
    return feeder / casting, joint * 4.0 * radius / volume


def is_fed(shape, name, radius):
    """Whether the casting with a feeder of that radius [m] is sound in the field."""
    length, height, width = CASTINGS[shape]
    foot, top, feeder_top = SAND_M, SAND_M + height, float(SAND_M + height + 4.0 * radius)
    if shape == ROUND:
        body = cylinder("casting", "casting", "y", (0.0, 0.0), length, (foot, top))
    else:
        across, deep = ((-0.5 * each, 0.5 * each) for each in (length, width))
        body = box("casting", "casting", across, (foot, top), deep)
    feeder = cylinder("feeder", "feeder", "y", (0.0, 0.0), 2.0 * float(radius), (top, feeder_top))
    ends = 0.5 * length + SAND_M, 0.5 * width + SAND_M
    layout = Layout((body, feeder), (-ends[0], 0.0, -ends[1]), (ends[0], feeder_top, ends[1]))
    metal = alloy(name)
    sand = mould("dry silica sand", hot=True) if "steel" in name else mould("green sand")
    run = freeze(Setup(layout, metal, sand, metal.liquidus_c + SUPERHEAT_K), CELL)
    return shrinkage(run).verdict == "sound"
