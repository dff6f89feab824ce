"""Every slider that a bench can have: sizes of the parts, metal and mould, what feeds and chills."""

from castlab.field import rigging
from castlab.materials import alloy, alloy_names
from castlab.teach.sliders.slider import Slider

PART, METAL, FEEDING = "the part", "metal and mould", "feeding"
MORE = "more sizes of the part"
MOULDS = ("green sand", "dry silica sand", "oil-bonded sand", "zircon sand", "investment", "cast-iron die")
POUR_STEP_C = 5.0


def _length(name, label, group, value_mm, low_mm, high_mm, step_mm):
    return Slider(
        name, label, "length", group, *(each / 1e3 for each in (value_mm, low_mm, high_mm, step_mm))
    )


def _choice(name, label, group, options):
    return Slider(name, label, "choice", group, options[0], options=tuple(options))


def _turns(*turns):
    return _choice("turn", "orientation in the mould", PART, turns)


SIZES = {
    "eye plate": (
        _length("thickness", "section thickness", PART, 12, 6, 24, 1),
        _length("boss", "heavy-end size", PART, 40, 26, 56, 2),
        _length("length", "plate length", PART, 120, 60, 160, 10),
        _length("taper", "taper towards the heavy end", PART, 0, 0, 16, 1),
        _length("fillet", "fillet radius", PART, 0, 0, 8, 1),
        _length("core", "core in the heavy end", PART, 0, 0, 24, 2),
        _turns("as drawn", "heavy end up", "heavy end down"),
    ),
    "step wedge": (
        _length("thin", "section thickness", PART, 6, 4, 16, 1),
        _length("heavy", "heavy-end size", PART, 36, 20, 48, 2),
        _length("step_length", "step length", PART, 32, 20, 48, 2),
        _length("fillet", "fillet radius", PART, 0, 0, 5, 1),
        _turns("as drawn", "heavy end up", "heavy end down"),
    ),
    "bracket": (
        _length("thickness", "section thickness", PART, 10, 6, 16, 1),
        _length("rib", "rib thickness", PART, 14, 4, 24, 1),
        _length("wall", "wall thickness", PART, 14, 6, 24, 1),
        _length("height", "height", PART, 50, 20, 70, 5),
        _length("fillet", "fillet radius", PART, 0, 0, 8, 1),
        _turns("as drawn", "upside down"),
    ),
    "cleat": (
        _length("thickness", "section thickness", PART, 10, 6, 16, 1),
        _length("post", "heavy-end size", PART, 26, 12, 40, 2),
        _length("post_height", "post height", PART, 24, 10, 40, 2),
        _length("horn", "horn thickness", PART, 14, 6, 20, 1),
        _length("fillet", "fillet radius", PART, 0, 0, 8, 1),
        _turns("as drawn", "upside down"),
    ),
    "sheave": (
        _length("thickness", "section thickness", PART, 10, 6, 20, 1),
        _length("hub", "heavy-end size", PART, 40, 26, 60, 2),
        _length("rim", "rim thickness", PART, 10, 6, 16, 1),
        _length("core", "core in the heavy end", PART, 0, 0, 20, 2),
    ),
    "bollard cap": (
        _length("thickness", "section thickness", PART, 8, 6, 16, 1),
        _length("boss", "heavy-end size", PART, 32, 16, 50, 2),
        _length("boss_height", "boss height", PART, 30, 10, 40, 2),
        _length("skirt", "skirt thickness", PART, 8, 6, 16, 1),
        _length("core", "core in the heavy end", PART, 0, 0, 10, 2),
        _turns("as drawn", "upside down"),
    ),
}

# Sizes that the lessons leave alone, and the page of the part at hand folds away.
MORE_SIZES = {
    "eye plate": (
        _length("width", "plate width", MORE, 40, 20, 80, 5),
        _length("boss_depth", "heavy-end depth", MORE, 40, 20, 60, 2),
    ),
    "step wedge": (_length("width", "width", MORE, 50, 20, 100, 5),),
    "bracket": (
        _length("length", "base length", MORE, 120, 80, 180, 10),
        _length("width", "width", MORE, 40, 20, 80, 5),
    ),
    "cleat": (
        _length("length", "base length", MORE, 110, 80, 160, 10),
        _length("width", "width", MORE, 34, 20, 60, 2),
    ),
    "sheave": (
        _length("diameter", "diameter", MORE, 120, 80, 200, 10),
        _length("rim_height", "rim height", MORE, 20, 10, 40, 2),
        _length("hub_height", "hub height", MORE, 36, 20, 60, 2),
    ),
    "bollard cap": (
        _length("diameter", "diameter", MORE, 110, 80, 160, 10),
        _length("skirt_height", "skirt height", MORE, 34, 10, 50, 2),
    ),
}
RIGGING = (
    _length("feeder_width", "feeder width", FEEDING, 0, 0, 56, 2),
    _length("feeder_height", "feeder height", FEEDING, 60, 20, 80, 5),
    _choice("feeder_place", "feeder place", FEEDING, (rigging.ON_TOP, rigging.AT_THE_SIDE)),
    _choice("feeder_top", "feeder top", FEEDING, (rigging.OPEN, rigging.BLIND)),
    _length("neck_width", "neck width", FEEDING, 0, 0, 40, 2),
    _length("sleeve_thickness", "sleeve thickness", FEEDING, 0, 0, 16, 4),
    _choice("sleeve", "sleeve", FEEDING, rigging.SLEEVES),
    _length("chill_thickness", "chill thickness", FEEDING, 0, 0, 40, 4),
    _choice("chill", "chill", FEEDING, rigging.CHILLS),
    _choice("chill_place", "chill place", FEEDING, (rigging.UNDER, rigging.AT_THE_SIDE)),
    Slider("chill_contact", "chill contact", "contact", FEEDING, 2000.0, 200.0, 5000.0, 200.0),
    _choice("gate_place", "gate place", FEEDING, (rigging.THIN, rigging.HEAVY)),
    _length("gate_thickness", "gate thickness", FEEDING, 4, 3, 30, 1),
)
# How strongly the mould draws heat: on benches that read a shop's own book.
MOULD_HEAT = Slider("mould_heat", "mould draws heat, % of the data", "number", METAL, 100.0, 40.0, 200.0, 1.0)
ON_ROUND = {"feeder_width": "feeder diameter", "neck_width": "neck diameter"}
# What a part has no free face for.
NOT_ON = {
    "sheave": ("feeder_place", "chill_place", "gate_place"),
    "bollard cap": ("feeder_place", "chill_place", "gate_place"),
    "cleat": ("feeder_place",),
}


def metal_sliders(first_alloy="ZA-12", first_mould="green sand"):
    """Alloy, mould and pouring temperature, as every bench has them."""
    low, high = alloy(first_alloy).pour_range_c
    return [
        Slider("alloy", "alloy", "choice", METAL, first_alloy, options=alloy_names()),
        Slider("mould", "mould", "choice", METAL, first_mould, options=MOULDS),
        Slider(
            "pour_temp_c",
            "pouring temperature",
            "temperature",
            METAL,
            middle(low, high),
            low,
            high,
            POUR_STEP_C,
        ),
    ]


def middle(low, high):
    """The middle of a range, on a step of the pouring temperature."""
    return low + POUR_STEP_C * round(0.5 * (high - low) / POUR_STEP_C)
