"""How the numbers of a slider are written: each step another number, in millimetres and in inches."""

import pytest

from castlab.field.parts import PARTS
from castlab.teach.sliders.slider import format_of, scale_of, words_of
from castlab.teach.sliders.to_design import sliders_for
from castlab.units import INCH_POUND, METRIC


def places(slider, units):
    return format_of(slider, scale_of(slider.kind, units))


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("units", [METRIC, INCH_POUND], ids=lambda units: units.name)
def test_each_step_is_another_number(part, units):
    for slider in sliders_for(part):
        if slider.kind != "choice":
            count = round((slider.high - slider.low) / slider.step)
            steps = [words_of(slider, slider.low + step * slider.step, units) for step in range(count + 1)]
            assert len(set(steps)) == len(steps), slider


@pytest.mark.parametrize("part", PARTS)
def test_all_inches_of_a_bench_have_as_many_decimals(part):
    lengths = [slider for slider in sliders_for(part) if slider.kind == "length"]
    assert {places(slider, INCH_POUND) for slider in lengths} == {".2f"}
    assert {places(slider, METRIC) for slider in lengths} == {".0f"}


def test_the_contact_of_a_chill_is_said_in_the_readers_units():
    """1 Btu/h ft² °F is 5.678263 W/m²K by the definitions of Btu, pound, foot and degree."""
    (contact,) = (slider for slider in sliders_for("eye plate") if slider.name == "chill_contact")
    assert words_of(contact, 2000.0, METRIC) == "2000 W/m²K"
    assert words_of(contact, 2000.0, INCH_POUND) == "352 Btu/h ft² °F"
    assert scale_of("contact", INCH_POUND).si(1.0) == pytest.approx(5.678263, abs=1e-6)
