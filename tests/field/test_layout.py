"""Blocks, layouts and setups: what is accepted, and in which words the rest is refused."""

import math

import pytest

from castlab import InputError, Setup, alloy, freeze, mould, parts
from castlab.field.bodies import prism
from castlab.field.layout import Block, Layout, box

SAND = mould("green sand")
FLASK = (0.0, 0.0, -0.06), (0.2, 0.2, 0.06)
DEEP = -0.02, 0.02


def plate(name="plate", role="casting", x=(0.05, 0.1), y=(0.05, 0.1), z=DEEP, **more):
    return box(name, role, x, y, z, **more)


def wedge(name, role, corners):
    return prism(name, role, "z", corners, DEEP)


def layout(*blocks, flask=FLASK, **more):
    return Layout(blocks or (plate(),), *flask, **more)


def pour(**changes):
    values = {"layout": layout(), "alloy": alloy("ZA-12"), "mould": SAND, "pour_temp_c": 480.0, **changes}
    return Setup(**values)


# What is refused: a piece of the parameter's name, of the value shown and of what is allowed.


REFUSED = {
    "negative size": (lambda: plate(x=(0.1, 0.05)), "size of plate along x", "-50 mm", "greater than 0"),
    "no size": (lambda: plate(y=(0.05, 0.05)), "size of plate along y", "0 m", "greater than 0"),
    "not a number": (lambda: plate(x=(0.0, math.nan)), "coordinate of plate", "nan", "finite number"),
    "endless": (lambda: plate(x=(0.0, math.inf)), "coordinate of plate", "inf", "finite number"),
    "text": (lambda: plate(x=(0.0, "wide")), "coordinate of plate", "wide", "number in metres"),
    "millimetres for metres": (lambda: plate(x=(0.0, 50.0)), "size of plate along x", "50000 mm", "between"),
    "a hair": (lambda: plate(x=(0.0, 1e-5)), "size of plate along x", "0.01 mm", "between"),
    "unknown role": (lambda: plate(role="feader"), "role", "feader", "did you mean 'feeder'"),
    "chill of nothing": (lambda: plate("c", "chill"), "material of c", "None", "made of"),
    "metal of sand": (lambda: plate(material=SAND), "material of plate", "green sand", "alloy of the setup"),
    "unknown up": (lambda: layout(up="+w"), "up", "+w", "'+y'"),
    "nothing cast": (lambda: layout(plate("f", "feeder")), "blocks", "f", "must be the casting"),
    "two of one name": (lambda: layout(plate(), plate(x=(0.1, 0.15))), "names", "plate", "name of its own"),
    "out of the flask": (
        lambda: layout(plate(x=(0.15, 0.25))),
        "place of plate along x",
        "150 mm to 250 mm",
        "inside the flask, 0 mm to 200 mm",
    ),
    "feeder in the casting": (
        lambda: layout(plate(), plate("f", "feeder", y=(0.09, 0.15))),
        "place of the f",
        "taken",
        "overlaps the plate",
    ),
    "chill in the casting": (
        lambda: layout(plate(), plate("c", "chill", x=(0.06, 0.08), y=(0.06, 0.08), material=SAND)),
        "place of the c",
        "taken",
        "overlaps the plate",
    ),
    "wedge in a feeder": (
        lambda: layout(
            wedge("w", "casting", [(0.05, 0.05), (0.1, 0.05), (0.1, 0.1)]),
            plate("f", "feeder", (0.09, 0.12)),
        ),
        "place of the f",
        "taken",
        "overlaps the w",
    ),
    "too cold to pour": (
        lambda: pour(pour_temp_c=400.0),
        "pouring temperature",
        "400 °C",
        "begins to freeze",
    ),
    "pouring at nothing": (lambda: pour(pour_temp_c=math.nan), "pouring temperature", "nan", "number"),
    "pouring as text": (lambda: pour(pour_temp_c="hot"), "pouring temperature", "hot", "number"),
    "far too hot to pour": (lambda: pour(pour_temp_c=4000.0), "pouring temperature", "4000", "between"),
    "mould above the solidus": (
        lambda: pour(mould_temp_c=400.0),
        "mould temperature",
        "400 °C",
        "it must be 380 °C or less",
    ),
    "mould as text": (lambda: pour(mould_temp_c="warm"), "mould temperature", "warm", "number"),
    "pouring backwards": (lambda: pour(pour_time_s=-1.0), "pouring time", "-1 s", "between"),
    "air of an oven": (lambda: pour(air_temp_c=300.0), "air temperature", "300", "between"),
    "unknown alloy": (lambda: alloy("ZA12"), "alloy", "ZA12", "did you mean 'ZA-12'"),
    "unknown mould": (lambda: mould("greensand"), "mould", "greensand", "did you mean 'green sand'"),
    "unknown block": (lambda: layout().block("plte"), "block", "plte", "did you mean 'plate'"),
    "feeder in the air": (
        lambda: freeze(pour(layout=layout(plate(), plate("f", "feeder", y=(0.12, 0.16)))), cell=5e-3),
        "place of f",
        "apart from the casting",
        "hangs in the air",
    ),
    "a cell of nothing": (lambda: freeze(pour(), cell=0.0), "cell", "0 mm", "between"),
    "a cell below nothing": (lambda: freeze(pour(), cell=-1e-3), "cell", "-1 mm", "between"),
    "a cell as text": (lambda: freeze(pour(), cell="fine"), "cell", "fine", "number"),
    "a cell not a number": (lambda: freeze(pour(), cell=math.nan), "cell", "nan", "number"),
    "a plate of minus": (lambda: parts.eye_plate(thickness=-0.01), "section thickness", "-10 mm", "between"),
    "a feeder of minus": (
        lambda: parts.eye_plate(feeder_width=-0.04, feeder_height=0.05),
        "feeder width",
        "-40 mm",
        "0 (no feeder) or more",
    ),
    "a feeder not a number": (
        lambda: parts.sheave(feeder_width=math.nan, feeder_height=0.05),
        "feeder width",
        "nan",
        "finite number",
    ),
    "a feeder as text": (
        lambda: parts.eye_plate(feeder_width="wide", feeder_height=0.05),
        "feeder width",
        "wide",
        "number",
    ),
}


@pytest.mark.parametrize("what", REFUSED)
def test_refused_with_parameter_value_and_what_is_allowed(what):
    make, parameter, value, allowed = REFUSED[what]
    with pytest.raises(InputError) as raised:
        make()
    error = raised.value
    assert parameter in str(error.parameter)
    assert value in str(error.value)
    assert allowed in str(error.allowed)
    assert str(error) == f"{error.parameter} is {error.value}: {error.allowed}"


def test_bodies_of_one_role_may_overlap_and_all_may_touch():
    layout(plate(), plate("rib", x=(0.07, 0.08), y=(0.05, 0.15)))
    layout(plate(), plate("f", "feeder", y=(0.1, 0.15)), plate("c", "core", x=(0.02, 0.05)))
    body = wedge("w", "casting", [(0.05, 0.05), (0.1, 0.05), (0.1, 0.1)])
    layout(body, wedge("f", "feeder", [(0.05, 0.05), (0.1, 0.1), (0.05, 0.1)]))


def test_pouring_at_the_liquidus_is_allowed():
    metal = alloy("pure zinc")
    assert pour(alloy=metal, pour_temp_c=metal.liquidus_c).pour_temp_c == metal.liquidus_c


def test_mould_temperature_comes_from_the_mould_unless_said():
    assert pour().mould_temp_c == SAND.start_temp_c
    assert pour(mould_temp_c=150).mould_temp_c == 150


@pytest.mark.parametrize("first", [True, False])
def test_a_wedge_overlaps_what_reaches_a_millimetre_into_it_whichever_is_named_first(first):
    """Its slope is as high as x; the feeder, from 0.06 to 0.09, lies 0.5 mm over it or 1.5 mm under it."""
    body = wedge("w", "casting", [(0.05, 0.05), (0.1, 0.05), (0.1, 0.1)])
    over = plate("f", "feeder", (0.06, 0.09), (0.0905, 0.12))
    into = plate("f", "feeder", (0.06, 0.09), (0.0885, 0.12))
    assert layout(*((body, over) if first else (over, body)))
    with pytest.raises(InputError, match="overlaps the"):
        layout(*((body, into) if first else (into, body)))


def test_the_ends_of_what_may_be_poured_into_what():
    """From the liquidus to 500 K above it, into what is at least 1 K colder than the solidus."""
    metal = alloy("ZA-12")
    assert pour(pour_temp_c=metal.liquidus_c) and pour(pour_temp_c=metal.liquidus_c + 500.0)
    assert pour(mould_temp_c=metal.solidus_c - 1.0)
    assert pour(mould_temp_c=-10.0, air_temp_c=-10.0)  # a shed in winter
    for beyond, parameter in ((dict(pour_temp_c=metal.liquidus_c + 501.0), "pouring temperature"),
                              (dict(pour_temp_c=metal.liquidus_c - 0.5), "pouring temperature"),
                              (dict(mould_temp_c=metal.solidus_c - 0.5), "mould temperature")):
        with pytest.raises(InputError, match=parameter):
            pour(**beyond)


def test_equal_setups_are_equal_and_hash_equal():
    first, second = (pour(layout=parts.eye_plate(feeder_width=0.04, feeder_height=0.05)) for _ in range(2))
    assert first == second and hash(first) == hash(second)
    assert len({first, second, pour()}) == 2
    # Said or left to the mould, the same mould temperature is the same setup.
    assert pour(mould_temp_c=SAND.start_temp_c) == pour()
    for changed in (pour(pour_temp_c=481.0), pour(mould=mould("investment"), mould_temp_c=25.0)):
        assert changed != pour()


def test_frozen():
    with pytest.raises(AttributeError):
        pour().pour_temp_c = 500.0
    with pytest.raises(AttributeError):
        plate().name = "rib"


def test_metal_roles():
    assert plate().is_metal and plate(role="gate").is_metal and not plate(role="core").is_metal
    assert isinstance(plate(), Block)
