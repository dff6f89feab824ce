"""The melt plan reads the shop's book, and says so beside each number that it took from there."""

import pytest
from light_bench import light_bench

from castlab.shop.entries import entry_of
from castlab.teach.bench.computed_for import as_it_stands
from castlab.teach.melt.from_shop import EXAMPLE
from castlab.teach.melt.melt_bench import ANY_POT, melt_bench, own_options
from castlab.teach.melt.pour_sheet import sheet_of
from castlab.teach.shop.book_file import BookFile

OWN = {"pot": "my shop: A4", "furnace": "my shop: the grey furnace", "sensor": "my shop: the furnace's own"}


@pytest.fixture(scope="module")
def part():
    return light_bench()


@pytest.fixture
def book(tmp_path):
    made_up = BookFile(tmp_path)
    made_up.show_example()
    return made_up


def test_what_the_shop_has_can_be_chosen_beside_what_everybody_has(book):
    options = own_options(book.shop)
    assert options["furnace"] == (EXAMPLE, OWN["furnace"]) and ANY_POT in options["pot"]
    assert all(OWN[menu] in options[menu] for menu in OWN)


@pytest.mark.slow
def test_each_number_from_the_book_says_so(part, book):
    melt = melt_bench(part, book).set(**OWN)
    said = dict(melt.numbers)
    assert "361 cm3 to the brim by water, my shop" in said["the pot takes"]
    assert "the grey furnace as measured: 1319 W" in said["all liquid"]
    assert "one entry left out" in said["all liquid"]
    assert "on the shelf 3.40 kg" in said["metal to weigh in"]
    assert "too high there" in said["recommended set point"]
    assert all("MADE UP" in said[name] for name in ("the pot takes", "all liquid", "recommended set point"))


def test_the_plan_is_that_of_the_shops_own_furnace_and_pot(part, book):
    melt = melt_bench(part, book)
    example = melt.result
    own = melt.set(**OWN).result
    assert own.furnace.power == pytest.approx(book.shop.furnace("the grey furnace").furnace.power)
    assert own.all_liquid > 1.1 * example.all_liquid
    density = own.setup.alloy.liquid_density(own.setup.true_set_c)
    assert own.holds / density == pytest.approx(0.8 * 360.6e-6, rel=1e-3)
    assert melt.values["power"] == 1440.0 and melt.values["sensor_error"] == 10.0


@pytest.mark.slow
def test_the_sheet_says_whose_pot_and_times_they_are(part, book):
    melt = melt_bench(part, book).set(**OWN)
    sheet = str(sheet_of(melt.result, part.result))
    assert "Pot A4, about 360 cm3" in sheet and "Measured with water" in sheet
    assert "times are those of the furnace the grey furnace, as you measured it" in sheet


@pytest.mark.slow
def test_the_shops_pours_correct_the_example_furnace_and_not_the_measured_one(part, book):
    melt = melt_bench(part, book)
    late = dict(melt.numbers)["ready, by your pours"]
    assert "4 pours were liquid after 1.27 times the planned time" in late
    assert "ready, by your pours" not in dict(melt.set(**OWN).numbers)


@pytest.mark.slow
def test_a_book_that_changes_changes_the_plan(part, book):
    melt = melt_bench(part, book).set(**OWN)
    book.read()  # the shop's own, which is empty
    assert melt.values["furnace"] == EXAMPLE and melt.values["pot"] == ANY_POT
    assert melt.values["power"] == 1400.0
    assert melt.values["sensor_error"] == 0.0 and melt.alert == ""
    book.write_down(entry_of("crucibles", {"name": "B2", "water": 0.05}))
    melt.set(pot="my shop: B2")
    assert "the pot B2 takes" in melt.sentence


def test_a_pot_of_another_family_is_said(part, book):
    melt = melt_bench(part, book).set(pot=OWN["pot"])
    part.set(alloy="tin bronze")
    try:
        assert "kept for zinc-aluminium alloys, and this is not one" in dict(melt.numbers)["the pot takes"]
    finally:
        part.start_again()


def test_without_a_book_nothing_is_said(part):
    melt = melt_bench(part)
    assert "furnace" not in melt.controls and "(" not in dict(melt.numbers)["all liquid"]


def test_a_furnace_that_is_too_strong_for_the_slider(part, tmp_path):
    own = BookFile(tmp_path)
    own.write_down(entry_of("furnaces", {"name": "big", "plate_power": 5230.0, "top_temp_c": 1100.0}))
    melt = melt_bench(part, own).set(furnace="my shop: big")
    assert melt.values["power"] == 5230.0 and "Do not plug it in" in melt.sentence
    assert "only its plate is known" in dict(melt.numbers)["all liquid"]


def test_a_plan_made_with_another_book_is_old(part, book):
    melt = melt_bench(part, book).set(pot=OWN["pot"])
    then = as_it_stands(part, melt)
    assert then.holds
    book.read()
    book.write_down(entry_of("crucibles", {"name": "A4", "water": 0.5}))
    melt.set(pot=OWN["pot"])
    assert not then.holds and "the shop's book as it was" in then.note("This sheet", "Fill in")


def test_a_pour_that_is_written_down_makes_no_plan_old(part, tmp_path):
    own = BookFile(tmp_path)
    melt = melt_bench(part, own)
    then = as_it_stands(part, melt)
    own.write_down(entry_of("pours", {"part": "eye plate", "alloy": "ZA-12", "planned_liquid": 1500.0}))
    assert then.holds
