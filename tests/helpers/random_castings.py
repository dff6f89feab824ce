"""Castings drawn by a number: every slider of a part, metal, mould and feeding somewhere on its steps."""

import random
from functools import cache

from castlab import InputError, alloy_names
from castlab.teach.sliders.part_sliders import FEEDING, MOULDS, SIZES
from castlab.teach.sliders.to_design import design_of, sliders_for

LARGER = 1.01
AS_IT_STOOD = 0.5  # of the sliders of feeding: what feeds has to fit together


@cache
def drawn(number):
    """The casting of that number: (part, values of its sliders, values with every length 1 % larger).

    It is drawn again until it can be set up; each one that cannot is refused in words.
    """
    dice = random.Random(number)
    while True:
        part, sliders, values = one_draw(dice)
        try:
            design_of(part, values).setup()
        except InputError as error:
            assert error.parameter and error.allowed and str(error)
        else:
            lengths = [slider.name for slider in sliders if slider.kind == "length"]
            return part, values, values | {name: LARGER * values[name] for name in lengths}


def one_draw(dice):
    """Part, its sliders, and a place for each."""
    part, metal, sand = dice.choice(list(SIZES)), dice.choice(alloy_names()), dice.choice(MOULDS)
    sliders = sliders_for(part, metal=metal, sand=sand)
    values = {slider.name: place_of(slider, dice) for slider in sliders}
    values |= {slider.name: slider.value for slider in sliders
               if slider.group == FEEDING and dice.random() < AS_IT_STOOD}
    return part, sliders, values | {"alloy": metal, "mould": sand}


def place_of(slider, dice):
    """Somewhere on the steps of a slider or menu."""
    if slider.kind == "choice":
        return dice.choice(slider.options)
    return slider.low + slider.step * dice.randint(0, round((slider.high - slider.low) / slider.step))
