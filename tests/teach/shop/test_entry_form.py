"""The form: what a person types in the units of the page becomes an entry in SI, and back."""

import pytest

from castlab import InputError
from castlab.shop.entries import KINDS
from castlab.teach.shop.entry_form import EntryForm
from castlab.units import INCH_POUND, METRIC

PLATE = {"mould": "box 2", "material": "green sand", "alloy": "ZA-12", "thickness": "12", "time": "2:30",
         "pour_temp_c": "475,5"}


def filled(kind, units=METRIC, **texts):
    form = EntryForm(kind, units=units)
    form.fill_in(**texts)
    return form


def test_what_is_typed_becomes_si():
    entry = filled("plates", **PLATE).entry()
    assert (entry["thickness"], entry["time"], entry["pour_temp_c"]) == (0.012, 150.0, 475.5)


def test_readings_are_typed_one_a_line():
    form = filled("heat_ups", furnace="grey", alloy="empty", readings="2  68\n2:30; 90\n\n4,5\t118,5")
    assert form.entry()["readings"] == ((120.0, 68.0), (150.0, 90.0), (270.0, 118.5))


def test_inches_and_fahrenheit():
    form = filled("plates", INCH_POUND, **PLATE | {"thickness": "0.5", "pour_temp_c": "887"})
    entry = form.entry()
    assert entry["thickness"] == pytest.approx(0.0127) and entry["pour_temp_c"] == pytest.approx(475.0)
    assert "[in]" in form._controls["thickness"].description


def test_other_units_turn_what_was_typed():
    form = filled("heat_ups", furnace="grey", alloy="ZA-12", mass="1600", readings="2 68")
    before = form.entry()
    form.speak(INCH_POUND)
    assert form._controls["mass"].value == "3.5274" and "154.4" in form._controls["readings"].value
    assert form.entry()["mass"] == pytest.approx(before["mass"], rel=1e-5)
    form.fill_in(mass="much")
    form.speak(METRIC)
    assert form._controls["mass"].value == "much"  # left for the person to see


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_a_form_that_shows_what_it_reads(kind):
    form = EntryForm(kind, [field.name for field in KINDS[kind].all_fields if field.kind != "settings"])
    values = {field.name: "words" for field in KINDS[kind].all_fields if field.kind == "text"}
    values |= {field.name: field.options[-1] for field in KINDS[kind].all_fields if field.kind == "choice"}
    values |= {field.name: field.high for field in KINDS[kind].all_fields if field.kind == "number"}
    form.show(values)
    read = form.values()
    assert {name: read[name] for name in values} == {
        name: pytest.approx(value) if isinstance(value, float) else value for name, value in values.items()}


@pytest.mark.parametrize("texts, words", [
    ({"thickness": ""}, "thickness of the plate is missing"), ({"thickness": "twelve"}, "must be a number"),
    ({"thickness": "-12"}, "thickness of the plate is -12 mm"), ({"time": "2:3:4"}, "must be a number"),
    ({"thickness": "0"}, "0 mm")])
def test_what_cannot_be_says_so(texts, words):
    with pytest.raises(InputError, match=words):
        filled("plates", **PLATE | texts).entry()


def test_a_line_of_readings_that_is_none_says_which():
    with pytest.raises(InputError, match="line 2 of the readings"):
        filled("heat_ups", furnace="grey", alloy="empty", readings="2 68\n118").entry()
