"""What comes from below in metric words, said in inches, pounds and degrees Fahrenheit; and both at once."""

import re

import pytest

from castlab.errors import InputError
from castlab.field.outcome import Outcome
from castlab.field.parts import PARTS, layout_of
from castlab.teach.bench.ready_made import bench_for, eye_plate_bench
from castlab.teach.melt.melt_bench import melt_bench
from castlab.teach.panels.cure_table import CureTable
from castlab.teach.panels.sensitivity import HowSure
from castlab.teach.sliders.to_design import sliders_for
from castlab.teach.text.reader_units import BOTH, in_units, sentence_of
from castlab.units import INCH_POUND, METRIC

METRIC_UNIT = re.compile(r"\d (mm3?|cm3?|m3?|kg|g|K|deg C)\b|°C")


@pytest.mark.parametrize("metric, inches", [  # by hand: 25.4 mm, 16.387 cm3, 453.59 g, 9/5 and 32
    ("it takes 1.05 kg", "it takes 2.31 lb"),
    ("holes of 4.5 cm3 and of 0.10 cm3", "holes of 0.27 in3 and of 0.0061 in3"),
    ("770 g of it", "1.7 lb of it"),
    ("from -40 to 60 deg C", "from -40 °F to 140 °F"),
    ("15 K colder", "27 °F colder"),
    ("between 0.003 and 0.06 m", "between 0.118 in and 2.36 in"),
    ("5500 kg/m3, 0.6 W/m2K, 1 m/s, 230 s", "5500 kg/m3, 0.6 W/m2K, 1 m/s, 230 s"),
    ("step 2 and core 3: the boss", "step 2 and core 3: the boss"),
    ("sink.5 mm", "sink.5 mm"),  # no number begins within a word
])
def test_quantities_are_turned_and_nothing_else(metric, inches):
    assert in_units(metric, INCH_POUND) == inches


def test_metric_words_stay_as_they_are():
    words = "core is 2.25 mm: 0 (none), or 3 mm to 14 mm; at 419 °C, 15 K hotter, 1.05 kg, 4.5 cm3"
    assert in_units(words, METRIC) == words


def test_both_are_said_at_once():
    assert in_units("at most 40 mm", BOTH) == "at most 40 mm (1.57 in)"
    assert (BOTH.mass(1.0, 3), BOTH.volume(16.387e-6), BOTH.temperature_difference(10.0)) == (
        "1.00 kg (2.20 lb)", "16 cm3 (1.0 in3)", "10 K (18 °F)")


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("size", [1e-4, 9.0])
def test_every_refusal_of_a_part_is_said_in_inches(part, size):
    """Far too small and far too large, for each size that it has."""
    for slider in sliders_for(part):
        if slider.kind != "length":
            continue
        try:
            layout_of(part, **{slider.name: size})
        except InputError as error:
            assert not METRIC_UNIT.search(sentence_of(error, INCH_POUND)), error
            assert " in" in sentence_of(error, INCH_POUND) or not METRIC_UNIT.search(str(error))


def test_the_melt_speaks_as_its_part_does_and_the_other_way():
    part = eye_plate_bench()
    melt = melt_bench(part)
    part.speak(INCH_POUND)
    assert melt.units is INCH_POUND and "°F" in melt.sentence and melt.alert == part.alert == ""
    melt._units.value = METRIC
    assert part.units is METRIC and "cm3" in part.sentence and melt.alert == part.alert == ""


def test_how_sure_is_said_again_in_other_units():
    bench = eye_plate_bench()
    sure = HowSure(bench, "eye plate")
    sure._show([Outcome("sound")] * 8)
    assert "the pour 10 K down or up" in sure.words
    bench.speak(INCH_POUND)
    assert "the pour 18 °F down or up" in sure.words and "10 K" not in sure.words
    sure._show([Outcome("refused", "core is 2 mm: at least 3 mm")] * 8)
    assert sure.words == "One of the eight cannot be cast: core is 0.0787 in: at least 0.118 in."


def test_what_cannot_be_cast_is_not_cured_in_inches():
    bench = bench_for("eye plate", core=0.024)
    table = CureTable(bench, "eye plate")
    bench.speak(INCH_POUND)
    bench.set(boss=0.026)
    table.search()
    assert "Core is 0.945 in" in table.words and not METRIC_UNIT.search(table.words)
