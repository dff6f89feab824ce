"""An error carries its quantities in SI and is worded once, in the units of whoever reads it."""

import pickle
import re

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from castlab import Setup, alloy, mould, parts
from castlab.errors import InputError, require_between, require_known, require_number, require_positive
from castlab.field.layout import Layout, box
from castlab.rules import charge, cooling_curve, feeding, filling, furnace, gating, weighing
from castlab.teach.exercise.exercise import require_on_slider
from castlab.teach.sliders.part_sliders import RIGGING, metal_sliders
from castlab.units import INCH_POUND, METRIC, SAID_AS, given, metres

METRIC_UNIT = re.compile(r"\d (mm3?|cm3?|m3?|kg|g|K|deg C|W/m²K)(?![\w/])|°C")
ZA12, SAND = alloy("ZA-12"), mould("green sand")


def pour(**changes):
    usual = {"layout": parts.eye_plate(), "alloy": ZA12, "mould": SAND, "pour_temp_c": 475.0}
    return Setup(**usual | changes)


# From each room: what refuses, its words in metric and in inches. 1 in is 25.4 mm, 1 lb 453.6 g, 1 K 1.8 °F.
ROOMS = {
    "materials": (lambda: alloy("pure zinc").__class__(**{**vars(alloy("pure zinc")), "solidus_c": 500.0}),
                  "is 500 °C: it must not be above the liquidus, 419.527 °C",
                  "is 932 °F: it must not be above the liquidus, 787.149 °F"),
    "feeding": (lambda: feeding.feeder_modulus(-0.005), "is -5 mm: it must be greater than 0 mm",
                "is -0.197 in: it must be greater than 0 in"),
    "filling": (lambda: filling.superheat(alloy("pure zinc"), 400.0),
                "400 °C: it must be at least the liquidus of pure zinc, 419.527 °C",
                "752 °F: it must be at least the liquidus of pure zinc, 787.149 °F"),
    "charge": (lambda: charge.fill_order(1.4, 1.1), "1.40 kg: the crucible takes 1.10 kg",
               "3.09 lb: the crucible takes 2.43 lb"),
    "weighing": (lambda: weighing.density_in_water(0.7, 0.7), "700 g: it must be less than in air",
                 "1.54 lb: it must be less than in air"),
    "gating": (lambda: gating.fill_time_from_below(1e-4, 0.2, 1e-4, 0.1),
               "rise is 200 mm: it must not be more than the head, 100 mm",
               "rise is 7.87 in: it must not be more than the head, 3.94 in"),
    "cooling curve": (lambda: cooling_curve.find_arrests(range(100), [400.0] * 100),
                      "from 400 °C", "from 752 °F"),
    "furnace": (lambda: furnace.heat_up(furnace.SMALL_FURNACE, 1200.0, 1.0, [25.0, 500.0], [0.0, 250e3]),
                "1200 °C: this furnace goes up to 1150 °C", "2192 °F: this furnace goes up to 2102 °F"),
    "part": (lambda: parts.eye_plate(length=0.7), "700 mm: it must lie between 20 mm and 500 mm",
             "27.6 in: it must lie between 0.787 in and 19.7 in"),
    "what the part leaves": (lambda: parts.sheave(diameter=0.05), "a web of 6 mm or more",
                             "a web of 0.236 in or more"),
    "feeder": (lambda: parts.eye_plate(feeder_width=0.04, feeder_height=0.03, feeder_place="at the side"),
               "40 mm or more here", "1.57 in or more here"),
    "contact": (lambda: parts.eye_plate(chill_contact=-5.678263),
                "-5.67826 W/m²K: it must lie between 0 W/m²K and 100000",
                "-1 Btu/h ft² °F: it must lie between 0 Btu/h ft² °F and 17600"),
    "flask": (lambda: Layout((box("p", "casting", (0.1, 0.2), (0.0, 0.1), (0.0, 0.1)),), (0, 0, 0),
                             (0.15, 0.2, 0.2)),
              "100 mm to 200 mm: it must lie inside the flask, 0 mm to 150 mm",
              "3.94 in to 7.87 in: it must lie inside the flask, 0 in to 5.91 in"),
    "pour": (lambda: pour(pour_temp_c=400.0),
             "400 °C: it must lie between 432 °C and 932 °C; ZA-12 begins to freeze at 432 °C",
             "752 °F: it must lie between 810 °F and 1710 °F; ZA-12 begins to freeze at 810 °F"),
    "slider": (lambda: require_on_slider(RIGGING[0], 0.003, {}),
               "3 mm: the slider goes from 0 mm on in steps of 2 mm",
               "0.118 in: the slider goes from 0 in on in steps of 0.0787 in"),
    "slider of temperatures": (
        lambda: require_on_slider(metal_sliders()[2], 473.0,
                                  {"alloy": "ZA-12", "mould": "green sand", "pour_temp_c": 0.0}),
        "473 °C: the slider goes from 450 °C on in steps of 5 K",
        "883 °F: the slider goes from 842 °F on in steps of 9 °F"),
}


@pytest.mark.parametrize("room", ROOMS)
def test_each_room_words_its_errors_in_the_readers_units(room):
    refused, metric, inches = ROOMS[room]
    with pytest.raises(InputError) as caught:
        refused()
    error = caught.value
    assert metric in str(error) and error.said(METRIC) == str(error)
    assert inches in error.said(INCH_POUND)
    assert not METRIC_UNIT.search(error.said(INCH_POUND))


UNITS = st.sampled_from((*SAID_AS, "", "s", "kg/m3", "W"))
NUMBERS = st.floats(-1e4, 1e4)


@for_all(NUMBERS, UNITS, NUMBERS, st.text(max_size=20))
def test_what_an_error_says_in_metric_is_what_it_says_at_all_and_it_travels(value, unit, limit, name):
    error = InputError(name, given(value, unit), "it must be {}, as {} says", given(limit, unit), name)
    again = pickle.loads(pickle.dumps(error))
    for each in (error, again):
        assert str(each) == each.said(METRIC) == str(each.phrase)
        assert str(each) == f"{each.parameter} is {each.value}: {each.allowed}"
    assert again.said(INCH_POUND) == error.said(INCH_POUND) and type(again) is InputError
    assert again.phrase == error.phrase == pickle.loads(pickle.dumps(error.phrase))


@for_all(st.floats(-1e3, 1e3), st.sampled_from(list(SAID_AS)))
def test_every_figure_that_was_typed_is_said(number, unit):
    """To six of them, as Python's own g has it; the number read back from the words is the number given."""
    words, _, said_in = str(given(number, unit)).partition(" ")
    factor = {"mm": 1e3, "cm3": 1e6, "g": 1e3}.get(said_in, 1.0)
    off = 5e-4 if unit in ("deg C", "K") else 1e-5 * abs(number)  # a thousandth of a degree is the last
    assert float(words) / factor == pytest.approx(number, abs=max(off, 1e-12))


@pytest.mark.parametrize("text", ["team 3 g.ipynb", "{}", "{0}", "{name}", "50 mm of {", "-44 g"])
def test_what_others_wrote_stays_as_it_is_in_all_units(text):
    error = InputError(text, repr(text), f"known are {text}")
    same = f"{text} is {text!r}: known are {text}"
    assert str(error) == error.said(INCH_POUND) == same
    in_a_gap = InputError(text, metres(0.0254), "not {}, but {}", text, metres(0.0508))
    assert in_a_gap.said(INCH_POUND) == f"{text} is 1 in: not {text}, but 2 in"


def test_the_helpers_make_quantities_of_value_and_unit():
    with pytest.raises(InputError) as caught:
        require_between("plate length", 0.7, 0.02, 0.5, "m")
    assert caught.value.value == given(0.7, "m")
    with pytest.raises(InputError, match="pouring time is 900 s: it must lie between 0 and 600 s"):
        require_between("pouring time", 900.0, 0.0, 600.0, "s")
    with pytest.raises(InputError, match="share is 2: it must lie between 0 and 1$"):
        require_between("share", 2.0, 0.0, 1.0)
    with pytest.raises(InputError, match="mass is -1 kg: it must be greater than 0 g"):
        require_positive("mass", -1.0, "kg")
    with pytest.raises(InputError, match="mass is None: it must be a number in kg"):
        require_number("mass", None, "kg")
    with pytest.raises(InputError, match="did you mean 'boss'"):
        require_known("block", "bos", ["boss", "plate"])
