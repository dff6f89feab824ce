"""Ready-made benches: the eye plate and the sheave of the course, each with its sliders."""

from castlab.field import parts
from castlab.field.layout import Setup
from castlab.materials import alloy, alloy_names, mould
from castlab.teach.bench import Bench
from castlab.teach.casting import cells_for, solve
from castlab.teach.controls import Slider

PART, METAL, FEEDING = "the part", "metal and mould", "feeding"
MOULDS = ("green sand", "dry silica sand", "investment", "cast-iron die")
HOT_POUR_C = 1300.0  # from here on sand conducts better: radiation between the grains adds to conduction
POUR_STEP_C = 5.0
# a hot mould is used at least so far below the solidus, or zinc takes hours; common practice
MOULD_COOLER_K = 200.0


def metal_sliders(first_alloy="ZA-12", first_mould="green sand"):
    """Alloy, mould and pouring temperature, as every bench has them."""
    low, high = alloy(first_alloy).pour_range_c
    return [
        Slider("alloy", "alloy", "choice", METAL, first_alloy, options=alloy_names()),
        Slider("mould", "mould", "choice", METAL, first_mould, options=MOULDS),
        Slider("pour_temp_c", "pouring temperature", "temperature", METAL, middle(low, high), low, high,
               POUR_STEP_C),
    ]


def middle(low, high):
    """The middle of a range, on a step of the pouring temperature."""
    return low + POUR_STEP_C * round(0.5 * (high - low) / POUR_STEP_C)


def pouring_follows_alloy(values):
    """Another alloy is poured at its own usual temperatures; the slider stands in the middle of them."""
    low, high = alloy(values["alloy"]).pour_range_c
    return {"pour_temp_c": (low, high, middle(low, high))}


def mould_for(values):
    """The mould chosen; the sand beside very hot metal is the same sand, but conducts better."""
    hot = values["mould"] == "dry silica sand" and values["pour_temp_c"] >= HOT_POUR_C
    return mould(values["mould"], hot=hot)


def setup_of(layout, values):
    """A layout poured as the sliders say; a mould that is used hot is used cooler for metals that melt
    low."""
    metal, around = alloy(values["alloy"]), mould_for(values)
    warm = min(around.start_temp_c, metal.solidus_c - MOULD_COOLER_K)
    return Setup(layout, metal, around, values["pour_temp_c"], mould_temp_c=warm)


def eye_plate_sliders(thickness=0.012, boss=0.040, feeder_width=0.0, feeder_height=0.060):
    """Sliders of the eye plate [m], with the values that it starts from."""
    return [
        Slider("thickness", "section thickness", "length", PART, thickness, 0.006, 0.024, 0.001),
        Slider("boss", "heavy-end size", "length", PART, boss, 0.026, 0.056, 0.002),
        *metal_sliders(),
        Slider("feeder_width", "feeder width", "length", FEEDING, feeder_width, 0.0, 0.056, 0.002),
        Slider("feeder_height", "feeder height", "length", FEEDING, feeder_height, 0.020, 0.080, 0.005),
    ]


def eye_plate_setup(values):
    """The eye plate that the sliders describe."""
    sizes = {name: values[name] for name in ("thickness", "boss", "feeder_width", "feeder_height")}
    return setup_of(parts.eye_plate(**sizes), values)


def eye_plate_bench(**first):
    """A plate that ends in a heavy boss; a feeder may stand on the boss. `first`: starting sizes [m]."""
    return bench_of(eye_plate_sliders(**first), eye_plate_setup)


def bench_of(sliders, setup_of):
    """A bench of these sliders, among them those of `metal_sliders`."""
    return Bench(sliders, setup_of, solve, cells_for, {"alloy": pouring_follows_alloy})


def sheave_sliders(thickness=0.010, hub=0.040, feeder_width=0.0, feeder_height=0.040):
    """Sliders of the sheave [m], with the values that it starts from."""
    return [
        Slider("thickness", "section thickness", "length", PART, thickness, 0.006, 0.020, 0.001),
        Slider("hub", "heavy-end size", "length", PART, hub, 0.026, 0.060, 0.002),
        *metal_sliders(),
        Slider("feeder_width", "feeder diameter", "length", FEEDING, feeder_width, 0.0, 0.056, 0.002),
        Slider("feeder_height", "feeder height", "length", FEEDING, feeder_height, 0.020, 0.080, 0.005),
    ]


def sheave_setup(values):
    """The sheave that the sliders describe."""
    sizes = {"thickness": values["thickness"], "hub": values["hub"],
             "feeder_width": values["feeder_width"], "feeder_height": values["feeder_height"]}
    return setup_of(parts.sheave(**sizes), values)


def sheave_bench(**first):
    """A rope wheel: hub, thin web and rim; a feeder may stand on the hub. `first`: starting sizes [m]."""
    return bench_of(sheave_sliders(**first), sheave_setup)
