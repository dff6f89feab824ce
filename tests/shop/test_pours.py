"""Pours held against their predictions."""

import pytest

from castlab import InputError
from castlab.materials import values
from castlab.shop.book import Book
from castlab.shop.entries import entry_of
from castlab.shop.pours import KNOWN, NONE, SAND, WAX, WEIGHED, hole_of, holes_of, times_of


def pour(**values):
    return entry_of("pours", {"part": "eye plate", "alloy": "ZA-12"} | values)


@pytest.mark.parametrize("measured, cm3", [
    ({"hole_by": SAND, "filling": 0.008}, 5.0), ({"hole_by": WAX, "filling": 0.0045}, 5.0),
    ({"hole_by": KNOWN, "hole": 5e-6}, 5.0), ({"hole_by": NONE}, 0.0),
])
def test_a_hole_by_sand_wax_or_eye(measured, cm3):
    assert 1e6 * hole_of(pour(**measured)) == pytest.approx(cm3)


def test_a_hole_by_weight_in_water():
    """120 cm3 of metal and 5 cm3 of hollow push away 125 cm3 of water."""
    sound = next(each.value for each in values("ZA-12") if each.quantity == "density_20c")
    in_air = 120e-6 * sound
    entry = pour(hole_by=WEIGHED, in_air=in_air, in_water=in_air - 125e-6 * 998.21)
    assert 1e6 * hole_of(entry) == pytest.approx(5.0, abs=0.01)


def test_a_weight_that_is_missing():
    with pytest.raises(InputError, match="sand or wax in the hole is missing"):
        hole_of(pour(hole_by=SAND))
    assert hole_of(pour()) is None


def test_pours_with_both_count_and_others_do_not():
    pours = [pour(planned_liquid=1800.0, liquid=2160.0), pour(planned_liquid=1800.0), pour(liquid=1000.0),
             pour(planned_hole=4e-6, hole_by=SAND), pour(planned_liquid=1200.0, liquid=1440.0),
             pour(planned_liquid=2400.0, liquid=2880.0)]
    late = times_of(Book(tuple(pours)))
    assert late.bias.ratio == pytest.approx(1.2) and len(late.entries) == 3
    assert holes_of(Book(tuple(pours))) is None and times_of(Book()) is None


def test_only_pours_that_were_planned_for_that_furnace_count():
    both = [pour(planned_liquid=1800.0, liquid=1800.0 * late, melt={"furnace": name})
            for name, late in (("example furnace", 1.3), ("my shop: grey", 1.0))]
    book = Book(tuple(both))
    assert times_of(book, "my shop: grey").bias.ratio == pytest.approx(1.0)
    assert times_of(book, "example furnace").bias.ratio == pytest.approx(1.3)
    assert len(times_of(book).entries) == 2
