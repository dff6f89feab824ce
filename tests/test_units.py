"""Units: exact by definition, honest digits, and there and back again."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.units import INCH_POUND, METRIC, significant

SCALES = ("lengths", "volumes", "masses", "temperatures", "differences")


@pytest.mark.parametrize("units", [METRIC, INCH_POUND], ids=lambda units: units.name)
@pytest.mark.parametrize("scale", SCALES)
@given(number=st.floats(-1e6, 1e6))
def test_there_and_back_again(units, scale, number):
    scale = getattr(units, scale)
    assert scale.si(scale.shown(number)) == pytest.approx(number, rel=1e-12, abs=1e-9)


def test_the_definitions():
    assert INCH_POUND.lengths.shown(25.4e-3) == pytest.approx(1.0)  # inch, exact since 1959
    assert INCH_POUND.volumes.shown(16.387064e-6) == pytest.approx(1.0)  # cubic inch, exact
    assert INCH_POUND.masses.shown(0.45359237) == pytest.approx(1.0)  # pound, exact since 1959
    assert METRIC.lengths.shown(1.0) == 1000.0
    assert METRIC.volumes.shown(1.0) == 1e6
    assert METRIC.masses.shown(1.0) == 1000.0


@pytest.mark.parametrize("celsius, fahrenheit", [(0, 32), (100, 212), (-40, -40), (660.323, 1220.581)])
def test_fahrenheit(celsius, fahrenheit):  # ice, steam, where the two agree, freezing aluminium (ITS-90)
    assert INCH_POUND.temperatures.shown(celsius) == pytest.approx(fahrenheit, abs=1e-3)


def test_a_difference_has_no_offset():
    assert INCH_POUND.temperature_difference(100.0) == "180 °F"
    assert METRIC.temperature_difference(39.6) == "40 K"


def test_arrays_go_through_a_scale():
    assert INCH_POUND.lengths.shown(np.array([0.0254, 0.0508])) == pytest.approx([1.0, 2.0])


@pytest.mark.parametrize(
    "words, text",
    [
        (METRIC.length(0.012), "12 mm"),
        (METRIC.length(0.0125), "12.5 mm"),
        (METRIC.length(0.0), "0 mm"),
        (METRIC.length(0.1), "100 mm"),
        (INCH_POUND.length(0.012), "0.472 in"),
        (METRIC.volume(3.04e-6), "3.0 cm3"),
        (METRIC.volume(1.234e-3), "1200 cm3"),
        (INCH_POUND.volume(3.1e-6), "0.19 in3"),
        (METRIC.mass(0.6384), "640 g"),
        (METRIC.mass(1.234), "1.2 kg"),
        (INCH_POUND.mass(0.020), "0.044 lb"),
        (METRIC.time(599.0), "600 s"),
        (METRIC.time(720.0), "12 min"),
        (METRIC.time(9000.0), "2.5 h"),
        (INCH_POUND.time(45.0), "45 s"),
        (METRIC.temperature(660.323), "660 °C"),
    ],
)
def test_words(words, text):
    assert words == text


@given(number=st.floats(1e-6, 1e9), digits=st.integers(1, 6))
def test_digits_are_honest(number, digits):
    text = significant(number, digits)
    assert "e" not in text
    assert float(text) == pytest.approx(number, rel=0.5001 * 10.0 ** (1 - digits))
    assert significant(-number, digits) == "-" + text


@pytest.mark.parametrize("bad", [math.nan, math.inf, None, "twelve"])
@pytest.mark.parametrize(
    "words", ["length", "volume", "mass", "temperature", "temperature_difference", "time"]
)
def test_what_is_not_a_number_is_refused(words, bad):
    with pytest.raises(ValueError, match=words.replace("_", " ")):
        getattr(METRIC, words)(bad)


def test_a_time_is_said_in_the_unit_of_another():
    assert METRIC.time(1440.0, 3) == "24.0 min" and METRIC.time(534.0, beside=1440.0) == "8.9 min"
    assert METRIC.time(20.0, 1, beside=1440.0) == "0.3 min" and METRIC.time(700.0, beside=100.0) == "700 s"


def test_no_digits_is_refused():
    with pytest.raises(ValueError, match="digits"):
        significant(1.0, 0)


@pytest.mark.parametrize(("seconds", "error", "words"), [
    (188.6, 1.4, "189 s"),  # 1 s: to the second
    (78.6, 2.0, "79 s"),
    (54.23, 0.33, "54.2 s"),
    (146.0, 20.0, "150 s"),  # never fewer than two figures ...
    (655.0, 1.0, "10.9 min"),  # ... nor more than three
    (88.64, 0.96, "89 s"), (97.5, 0.5, "98 s"),  # twice that is a second
    (182.0, 6.0, "180 s"),
    (29.31, 0.15, "29.3 s"),
])
def test_a_time_is_said_to_the_first_figure_of_twice_its_error(seconds, error, words):
    assert METRIC.time_within(seconds, error) == words


def test_a_time_beside_a_longer_one_is_said_in_its_unit():
    assert METRIC.time_within(45.0, 3.0, beside=655.0) == "0.75 min"
    assert METRIC.time_within(126.4, 1.4, beside=189.0) == "126 s"
    with pytest.raises(ValueError, match="error"):
        METRIC.time_within(45.0, float("nan"))
