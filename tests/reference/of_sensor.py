"""Checks of the freezing points by which a sensor is checked."""

from functools import partial

import elements
from check import Check

METALS = {"tin": "Sn", "zinc": "Zn", "aluminium": "Al", "silver": "Ag", "copper": "Cu"}
OURS = "castlab.rules.sensor"
FIXED_POINT = "a defining fixed point of the temperature scale: equal, or a slip of the pen"


def _freezing_c(metal):
    from castlab.rules.sensor import FREEZING_POINTS_C

    return FREEZING_POINTS_C[metal]


CHECKS = [Check(metal, "freezing point of the sensor check", "deg C", partial(_freezing_c, metal),
                "chemicals", partial(elements.chemicals_freezing_c, symbol), FIXED_POINT,
                (OURS, "chemicals"), absolute=0.005)
          for metal, symbol in METALS.items()]
