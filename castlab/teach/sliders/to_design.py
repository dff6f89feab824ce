"""From the values of sliders to a design: which sliders a part has, and what their values describe."""

from dataclasses import replace

from castlab.errors import require_known
from castlab.field.design import design
from castlab.field.layout import Setup
from castlab.field.own_part import OwnPart
from castlab.field.parts import ROUND_PARTS
from castlab.materials import alloy, mould
from castlab.rules.mould_fit import scaled_mould
from castlab.teach.sliders.own_sliders import sliders_of_own
from castlab.teach.sliders.part_sliders import (
    FEEDING,
    METAL,
    NOT_ON,
    ON_ROUND,
    RIGGING,
    SIZES,
    metal_sliders,
    middle,
)
from castlab.teach.sliders.slider import Slider

HOT_POUR_C = 1300.0  # from here on sand conducts better: radiation between the grains adds to conduction
# a hot mould is used at least so far below the solidus, or zinc takes hours; common practice
MOULD_COOLER_K = 200.0
COLDEST_MOULD_C, MOULD_STEP_C = 20.0, 10.0
FEEDER = ("feeder_width", "feeder_height")


def sliders_for(part, *names, metal="ZA-12", sand="green sand", **first):
    """The sliders of `bench_for`, in the order in which they stand."""
    known = {slider.name: slider for slider in sliders_of_part(part)}
    for name in (*names, *first):
        require_known("slider", name, [*known, "pour_temp_c", "mould_temp_c"])
    chosen = [known[name] for name in known if name in (names or known)]
    own, feeding = (
        [slider for slider in chosen if (slider.group != FEEDING) == wanted] for wanted in (True, False)
    )
    metals = metal_sliders(metal, sand)
    if not names or "mould_temp_c" in names:
        metals.append(mould_temperature(metal, sand))
    return [
        replace(slider, value=first.get(slider.name, slider.value)) for slider in (*own, *metals, *feeding)
    ]


def altered(sliders, **changes):
    """These sliders with some fields changed: `changes` are {field: value}, by the slider's name."""
    return [replace(each, **changes.get(each.name, {})) for each in sliders]


def sliders_of_part(part):
    """All sliders that a part, by its name or one's own, can have but those of metal and mould."""
    if isinstance(part, OwnPart):
        return sliders_of_own(part)
    require_known("part", part, SIZES)
    labels = ON_ROUND if part in ROUND_PARTS else {}
    fits = (slider for slider in RIGGING if slider.name not in NOT_ON.get(part, ()))
    return (*SIZES[part], *(replace(each, label=labels.get(each.name, each.label)) for each in fits))


def mould_temperature(metal, sand):
    """The slider of the mould's temperature; its range follows alloy and mould."""
    low, high, value = mould_follows({"alloy": metal, "mould": sand, "pour_temp_c": 0.0})["mould_temp_c"]
    return Slider("mould_temp_c", "mould temperature", "temperature", METAL, value, low, high, MOULD_STEP_C)


def pouring_follows_alloy(values):
    """Another alloy is poured at its own usual temperatures; the slider stands in the middle of them."""
    low, high = alloy(values["alloy"]).pour_range_c
    return {"pour_temp_c": (low, high, middle(low, high))} | mould_follows(values)


def mould_follows(values):
    """The mould's temperature slider, where there is one: from cold to as hot as this alloy allows."""
    usual = usual_mould_temperature(alloy(values["alloy"]), mould_for(values))
    hottest = max(alloy(values["alloy"]).solidus_c - MOULD_COOLER_K, usual)
    steps = round((hottest - COLDEST_MOULD_C) / MOULD_STEP_C - 0.5)
    on_step = COLDEST_MOULD_C + MOULD_STEP_C * round((usual - COLDEST_MOULD_C) / MOULD_STEP_C)
    high = COLDEST_MOULD_C + MOULD_STEP_C * max(steps, 1)
    return {"mould_temp_c": (COLDEST_MOULD_C, high, min(on_step, high))}


def usual_mould_temperature(metal, around):
    """How warm a mould is when it is poured [deg C]: cooler for metals that melt low."""
    return min(around.start_temp_c, metal.solidus_c - MOULD_COOLER_K)


def mould_for(values):
    """The mould chosen, as strong as a shop measured it; the sand beside very hot metal is the same sand, but
    conducts better."""
    hot = values["mould"] == "dry silica sand" and values["pour_temp_c"] >= HOT_POUR_C
    return scaled_mould(mould(values["mould"], hot=hot), 0.01 * values.get("mould_heat", 100.0))


def setup_of(layout, values):
    """The setup of a layout that is poured as the sliders say."""
    metal, around = alloy(values["alloy"]), mould_for(values)
    return Setup(layout, metal, around, values["pour_temp_c"], mould_temp_of(values))


def full_at_once(setup):
    """The same pour, but the mould is full at once, of equally hot metal: so that only shapes count.

    >>> from castlab import Setup, alloy, mould, parts
    >>> setup = Setup(parts.eye_plate(), alloy("ZA-12"), mould("green sand"), pour_temp_c=475.0)
    >>> setup.cools_while_filling, full_at_once(setup).cools_while_filling
    (True, False)
    """
    return replace(setup, cools_while_filling=False)


def mould_temp_of(values):
    """The mould's temperature: as its slider says, else the usual one [deg C]."""
    return values.get("mould_temp_c", usual_mould_temperature(alloy(values["alloy"]), mould_for(values)))


def design_of(part, values):
    """The design that the sliders describe."""
    poured = ("alloy", "mould", "pour_temp_c", "mould_temp_c", "mould_heat")
    sizes = {name: value for name, value in values.items() if name not in poured}
    return design(
        part, alloy(values["alloy"]), mould_for(values), values["pour_temp_c"], mould_temp_of(values), **sizes
    )
