"""What may be written into the book: each field says what is wrong with it."""

import pytest

from castlab import InputError
from castlab.shop.entries import KINDS, entry_of

PLATE = {"mould": "box 2", "material": "green sand", "alloy": "ZA-12", "thickness": 0.012, "time": 150.0,
         "pour_temp_c": 475.0}
HEAT_UP = {"furnace": "grey", "alloy": "ZA-12", "mass": 1.0, "readings": [[120.0, 68.0], [240.0, 118.0]]}


@pytest.mark.parametrize("kind, values", [
    ("plates", PLATE), ("heat_ups", HEAT_UP), ("heat_ups", HEAT_UP | {"alloy": "empty", "mass": None}),
    ("pours", {"part": "cleat", "alloy": "ZA-12", "settings": {"post": 0.03, "turn": "as drawn"}})])
def test_a_good_entry_is_kept_as_it_is(kind, values):
    entry = entry_of(kind, values)
    assert entry_of(kind, entry.values) == entry
    assert entry.counts and not entry.made_up


@pytest.mark.parametrize("kind, values, words", [
    ("plates", PLATE | {"thickness": 12.0}, "in mm\\? The book keeps it in m"),
    ("plates", PLATE | {"time": -150.0}, "until its middle was solid is -150 s"),
    ("plates", PLATE | {"time": "150"}, "must be a number"),
    ("plates", PLATE | {"time": True}, "must be a number"),
    ("plates", PLATE | {"time": float("nan")}, "finite"),
    ("plates", PLATE | {"material": "gren sand"}, "did you mean 'green sand'"),
    ("plates", PLATE | {"colour": "red"}, "field"),
    ("plates", {**PLATE, "mould": ""}, "name of the mould is missing"),
    ("plates", {**PLATE, "mould": "x" * 1000}, "at most 300"),
    ("crucibles", {"name": "A4", "water": 0.0}, "water to the brim is 0 g"),
    ("crucibles", {"name": "A4", "water": 780.0}, "in g\\? The book keeps it in kg"),
    ("holds", {"furnace": "grey", "temp_c": 600.0, "on_share": 35.0}, "in per cent\\?"),
    ("heat_ups", HEAT_UP | {"mass": None}, "mass of the charge is missing"),
    ("heat_ups", HEAT_UP | {"readings": []}, "between 1 and 500"),
    ("heat_ups", HEAT_UP | {"readings": [[120.0, 68.0], [-240.0, 118.0]]}, "reading 2, time"),
    ("heat_ups", HEAT_UP | {"readings": [[120.0]]}, "reading 1 is \\[120.0\\]"),
    ("pours", {"part": "x", "alloy": "ZA-12", "settings": {"a": [1]}}, "slider a"),
    ("stock", ["ZA-12"], "pairs of field and value"),
    ("anvils", {}, "kind of entry"),
])
def test_a_wrong_entry_says_what_is_wrong(kind, values, words):
    with pytest.raises(InputError, match=words):
        entry_of(kind, values)


def test_every_field_has_words_and_every_number_a_range():
    for kind in KINDS.values():
        assert kind.heading and kind.purpose
        for field in kind.all_fields:
            assert field.label
            assert field.kind != "number" or field.low < field.high
