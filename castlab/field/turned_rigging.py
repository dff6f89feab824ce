"""What stands on a part of one's own is carried along when the part is turned another way up."""

from dataclasses import replace

import numpy as np

from castlab.errors import InputError
from castlab.field.faces import BESIDE, SIDES, free_face
from castlab.field.layout import AXIS_NAMES
from castlab.field.own_part import TURNS
from castlab.field.placed import rigging_of

MAY_STAND = {"feeder": ("top", *BESIDE), "gate": BESIDE, "chill": ("bottom", "top", *BESIDE)}


def carried(part, sizes, up):
    """Places of feeders, gates and chills after a part was turned, each at the same place of the drawing.

    A feeder that would hang under the part goes to the top above its place. Parameters: `part` (OwnPart) as
    it lay; `sizes`, what stands on it, as for `rigged`; `up`, which direction of the drawing points up then.
    Returns the new sizes, and (kind, number) of all that find no free face. Raises InputError for sizes that
    cannot be.

    >>> from castlab.field.own_part import Body, OwnPart
    >>> knob = OwnPart("knob", (Body("ball", "ball", (("diameter", 0.04),)),))
    >>> fed = {"feeder_1_x": 0.0, "feeder_1_y": 0.01, "feeder_1_z": 0.0}
    >>> turned, lost = carried(knob, fed, "-y")
    >>> turned["feeder_1_y"], turned["feeder_1_side"], lost
    (-0.01, 'top', [])
    """
    blocks = replace(part, up=up).blocks
    turn = np.array(TURNS[part.up]).T @ np.array(TURNS[up])  # back to the drawing, then as it lies now
    found, lost = dict(sizes), []
    for kind, numbers in rigging_of(sizes).items():
        for number, what in numbers.items():
            place = tuple((np.array([what.x, what.y, what.z]) @ turn).round(9).tolist())
            first = _side_along(np.array(_direction(what.side)) @ turn)
            sides = sorted(MAY_STAND[kind], key=lambda side: side != first)
            side = next((each for each in sides if _is_free(blocks, each, place)), None)
            if side is None:
                lost.append((kind, number))
            values = dict(zip(AXIS_NAMES, place, strict=True)) | {"side": side or sides[0]}
            found |= {f"{kind}_{number}_{name}": value for name, value in values.items()}
    return found, lost


def _direction(side):
    axis, sign = SIDES[side]
    return [sign if each == axis else 0 for each in range(3)]


def _side_along(direction):
    return next(side for side in SIDES if np.allclose(_direction(side), direction))


def _is_free(blocks, side, place):
    try:
        free_face(blocks, side, place)
    except InputError:
        return False
    return True
