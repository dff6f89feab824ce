"""Feeder, chill and gate for a hot spot: where they stand and how large they are by hand rule."""

import math

from scipy.optimize import brentq

from castlab.errors import InputError
from castlab.field.placed import Chill, Feeder, Gate
from castlab.rules.feeding import feeder_by_modulus, feeder_modulus
from castlab.rules.freezing import freezing_time_in_sand

SLENDER = 1.5  # height of a feeder over its diameter; common practice
CHILL_SHARE = 0.6  # thickness of a chill over the ball at the spot; common practice
GATE_SHARE = 0.4  # thickness of a gate that feeds over the ball at the spot; judgement
STEP_M = 1e-3
MODULI_M = 1e-5, 1.0  # between which a casting's modulus lies
SIDES = ("top", "right", "left", "front", "back")


def modulus_by_time(froze_s, alloy, mould, pour_temp_c):
    """The modulus [m] of a plate that freezes in the same time [s]; None where no hand rule holds.

    The rule for the time in sand, turned round.
    """
    poured = alloy, mould, pour_temp_c
    try:
        return brentq(lambda size: freezing_time_in_sand(size, *poured) - froze_s, *MODULI_M)
    except (InputError, ValueError):  # a die, or a time that no casting has
        return None


def feeder_here(spot):
    """A round feeder on the free face above the spot, or beside it: its modulus 1.2 times that of the spot.

    Raises InputError where the spot has no free face.
    """
    side = _side(spot, SIDES)
    width = feeder_by_modulus(feeder_modulus(spot.modulus_m), SLENDER, on_casting=side == "top")
    width = max(STEP_M * math.ceil(width / STEP_M - 1e-9), 10e-3)
    return Feeder(*_place(spot), side, round(width, 4), round(max(SLENDER * width, 20e-3), 4))


def chill_here(spot):
    """A steel chill against the face under the spot, as wide as the ball that fits there."""
    thick = STEP_M * math.ceil(CHILL_SHARE * spot.ball_m / STEP_M)
    wide = round(spot.ball_m, 3)
    return Chill(*_place(spot), "bottom", round(thick, 4), wide, wide)


def gate_here(spot):
    """A gate into the free face beside the spot. Raises InputError where there is none."""
    thick = max(STEP_M * math.ceil(GATE_SHARE * spot.ball_m / STEP_M), 3e-3)
    return Gate(*_place(spot), _side(spot, SIDES[1:]), round(thick, 4))


def _place(spot):
    return tuple(round(each, 4) + 0.0 for each in spot.place)


def _side(spot, sides):
    free = {face.side: abs(face.at[face.axis] - spot.place[face.axis]) for face in spot.faces}
    if "top" in sides and "top" in free:
        return "top"
    beside = [side for side in sides if side in free]
    if not beside:
        raise InputError("place", f"the spot in the {spot.block}", "no free face is near it; put it by hand")
    return min(beside, key=lambda side: (round(free[side], 3), sides.index(side)))
