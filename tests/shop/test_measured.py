"""What a book says of the shop, held against what the numbers in it were made from."""

import pytest

from castlab import InputError, alloy, mould
from castlab.rules.freezing import freezing_time_in_sand
from castlab.rules.mould_fit import scaled_mould
from castlab.shop.book import Book, read_book
from castlab.shop.entries import entry_of
from castlab.shop.measured import Shop, crucible_volume
from castlab.teach.shop.book_file import EXAMPLE

EXAMPLE_SHOP = Shop(read_book(EXAMPLE.read_text(encoding="utf-8")))
# What the made-up book was made from: a furnace of 1290 W that loses 0.75 W/K, a mould of 0.86 of the data.
MADE_FROM = {"power": 1290.0, "loss": 0.75, "wall_heat_capacity": 2900.0, "coupling": 4.6}


def test_the_made_up_book_is_marked_in_every_entry_and_whole():
    book = EXAMPLE_SHOP.book
    assert book.refused == () and all(each.made_up for each in book.entries)
    assert {each.kind for each in book.entries} == {
        "furnaces", "heat_ups", "holds", "crucibles", "plates", "freezing_points", "stock", "usual", "pours"}
    assert EXAMPLE_SHOP.problems == {}


def test_the_made_up_furnace_is_found_and_its_slip_is_named():
    own = EXAMPLE_SHOP.furnace("the grey furnace")
    for name, value in MADE_FROM.items():
        assert abs(getattr(own.furnace, name) / value - 1.0) <= own.fit.bands[name]
    (wrong,) = own.wrong
    entry, (time, shown_c) = own.names[wrong]
    assert entry["alloy"] == "ZA-12" and time == 720.0 and own.made_up
    assert own.furnace.top_temp_c == 1100.0 and own.plate_power == 1440.0


def test_the_made_up_mould_and_sensor_are_found():
    own = EXAMPLE_SHOP.mould_of("green sand")
    assert abs(own.share / 0.86 - 1.0) <= own.fit.band and own.wrong == ()
    assert EXAMPLE_SHOP.mould_of("investment") is None
    assert EXAMPLE_SHOP.sensor("the furnace's own").fit.error(450.0) > 5.0


def plate(time, name="box 2"):
    return entry_of("plates", {"mould": name, "material": "green sand", "alloy": "ZA-12", "thickness": 0.012,
                               "time": time, "pour_temp_c": 475.0, "mould_temp_c": 25.0})


def test_an_entry_that_is_left_out_does_not_count():
    metal, sand = alloy("ZA-12"), mould("green sand")
    time = freezing_time_in_sand(0.006, metal, scaled_mould(sand, 0.8), 475.0)
    slip = entry_of("plates", plate(3.0 * time).values | {"left_out": True})
    own = Shop(Book((plate(time), slip))).mould("box 2")
    assert own.share == pytest.approx(0.8) and len(own.entries) == 1


def test_the_newest_counts():
    stock = [entry_of("stock", {"alloy": "ZA-12", "mass": mass}) for mass in (5.0, 1.5)]
    shop = Shop(Book((*stock, plate(150.0), plate(120.0, "box 3"))))
    assert shop.stock_of("ZA-12")["mass"] == 1.5 and shop.stock_of("tin bronze") is None
    assert shop.mould_of("green sand").name == "box 3" and shop.mould_names == ("box 2", "box 3")


def test_a_furnace_of_which_only_the_plate_is_known():
    plate_only = entry_of("furnaces", {"name": "grey", "plate_power": 2880.0, "top_temp_c": 1100.0})
    own = Shop(Book((plate_only,))).furnace("grey")
    assert own.fit is None and own.furnace.power == 2880.0


def test_what_cannot_be_computed_is_a_problem_and_no_more():
    cold = entry_of("plates", plate(150.0).values | {"pour_temp_c": 300.0})
    few = [entry_of("furnaces", {"name": "grey", "plate_power": 1440.0, "top_temp_c": 1100.0}),
           entry_of("heat_ups", {"furnace": "grey", "alloy": "empty", "readings": [[120.0, 68.0]]})]
    shop = Shop(Book((cold, *few)))
    assert set(shop.problems) == {("mould", "box 2"), ("furnace", "grey")}
    with pytest.raises(InputError, match="did you mean 'grey'"):
        shop.furnace("gray")


def test_the_volume_of_a_crucible_is_that_of_the_water():
    pot = entry_of("crucibles", {"name": "A4", "water": 0.5})
    assert crucible_volume(pot) == pytest.approx(500.9e-6, rel=1e-3)  # 998.2 kg/m3 at 20 deg C
