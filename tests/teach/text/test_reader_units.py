"""What comes from below in metric words, said in inches, pounds and degrees Fahrenheit; and both at once."""

import re

import pytest

from castlab.errors import InputError
from castlab.field.outcome import Outcome
from castlab.field.parts import PARTS, layout_of
from castlab.teach.bench.ready_made import bench_for, eye_plate_bench
from castlab.teach.melt.melt_bench import melt_bench
from castlab.teach.panels.cure_table import CureTable, more_metal
from castlab.teach.panels.sensitivity import HowSure
from castlab.teach.sliders.to_design import sliders_for
from castlab.teach.text.reader_units import BOTH, sentence_of
from castlab.units import INCH_POUND, METRIC, metres, phrase

METRIC_UNIT = re.compile(r"\d (mm3?|cm3?|m3?|kg|g|K|deg C)\b|°C")


def test_both_are_said_at_once():
    assert (BOTH.mass(1.0, 3), BOTH.volume(16.387e-6), BOTH.temperature_difference(10.0)) == (
        "1.00 kg (2.20 lb)", "16 cm3 (1.0 in3)", "10 K (18 °F)")
    assert more_metal(-0.044, BOTH) == "-44 g (-0.097 lb)" and more_metal(0.044, METRIC) == "+44 g"
    assert BOTH.contact(2000.0) == "2000 W/m²K (352 Btu/h ft² °F)"


def test_an_error_is_a_sentence_in_either_unit_and_in_both():
    error = InputError("core", metres(0.002), "0 (none), or {} to {}", metres(0.003), metres(0.014))
    assert sentence_of(error, METRIC) == "Core is 2 mm: 0 (none), or 3 mm to 14 mm."
    assert sentence_of(error, INCH_POUND) == "Core is 0.0787 in: 0 (none), or 0.118 in to 0.551 in."
    assert sentence_of(error, BOTH) == (
        "Core is 2 mm (0.0787 in): 0 (none), or 3 mm (0.118 in) to 14 mm (0.551 in).")


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
            assert " in" in sentence_of(error, INCH_POUND) and " mm" in sentence_of(error, METRIC)


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
    sure._show([Outcome("refused", phrase("core is {}: at least {}", metres(2e-3), metres(3e-3)))] * 8)
    assert sure.words == "One of the eight cannot be cast: core is 0.0787 in: at least 0.118 in."


def test_what_cannot_be_cast_is_not_cured_in_inches():
    bench = bench_for("eye plate", core=0.024)
    table = CureTable(bench, "eye plate")
    bench.speak(INCH_POUND)
    bench.set(boss=0.026)
    table.search()
    assert "Core is 0.945 in" in table.words and not METRIC_UNIT.search(table.words)
