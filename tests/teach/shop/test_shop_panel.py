"""The book on the page: written down, changed, left out, and what it says of slips."""

import pytest
from light_bench import light_bench

from castlab.shop.entries import KINDS, entry_of
from castlab.teach.shop.book_file import FILE, BookFile
from castlab.teach.shop.shop_panel import WRITTEN_HERE, ShopPanel
from castlab.teach.text import markup
from castlab.units import INCH_POUND, METRIC

FURNACE = {"name": "grey", "plate_power": "1440", "top_temp_c": "1100"}
SLOW = "\n".join(f"{minute}  {25 + 23 * minute}" for minute in range(2, 24, 2))


@pytest.fixture(scope="module")
def bench():
    return light_bench()


@pytest.fixture
def panel(bench, tmp_path):
    return ShopPanel(bench, BookFile(tmp_path))


def write(panel, kind, **texts):
    panel.choose(kind)
    panel.form.fill_in(**texts)
    panel.write_down()
    return panel.remark


def test_an_empty_book_says_how_to_begin(panel):
    assert "empty" in panel.words and "furnace" in panel.words
    assert panel._entries.label == "no entry yet"


def test_a_furnace_is_written_down_and_read(panel):
    assert "Written down: the furnace grey, 1440 W" in write(panel, "furnaces", **FURNACE)
    assert "1440 W by its nameplate; no heat-up yet" in panel.words
    for charge in ({"alloy": "empty"}, {"alloy": "ZA-12", "mass": "1000"}):
        write(panel, "heat_ups", furnace="grey", readings=SLOW, **charge)
    assert "give or take" in panel.words and "22 readings" in panel.words
    assert (panel.book.path).name == FILE and len(BookFile(panel.book.path.parent).book.entries) == 3


@pytest.mark.parametrize("kind, texts, words", [
    ("furnaces", FURNACE | {"plate_power": "0"}, "Nameplate power is 0 W"),
    ("crucibles", {"name": "A4", "water": "0"}, "Water to the brim is 0 g"),
    ("heat_ups", {"furnace": "grey", "readings": "-2  68"}, "time after switching on is -120"),
    ("stock", {"mass": "-3"}, "On the shelf is -3 g")])
def test_what_cannot_be_is_said_and_stays_in_the_form(panel, kind, texts, words):
    assert words.lower() in write(panel, kind, **texts).lower()
    assert panel.form.kind == kind
    assert {name: panel.form._controls[name].value for name in texts} == texts
    assert panel.book.book.entries == ()


def test_a_slip_is_named_and_can_be_put_right(panel):
    for time, thickness in (("60", "10"), ("86", "12"), ("135", "15"), ("240", "12")):
        write(panel, "plates", mould="box 2", thickness=thickness, time=time, pour_temp_c="475")
    assert "One entry of the mould “box 2” does not agree" in panel.words and "took 240 s" in panel.words
    panel.change(3)
    panel.form.fill_in(time="87")
    panel.write_down()
    assert "does not agree" not in panel.words and len(panel.book.book.of("plates")) == 4
    panel.leave_out(0)
    assert "Left out" in panel.remark and len(panel.book.book.of("plates")) == 3
    panel.leave_out(0)
    assert "Used again" in panel.remark and len(panel.book.book.of("plates")) == 4


def test_a_change_that_another_window_has_made_meanwhile_is_said(panel):
    write(panel, "stock", mass="1000")
    other = BookFile(panel.book.path.parent)
    other.correct(other.book.entries[0], entry_of("stock", {"alloy": "ZA-12", "mass": 9.0}))
    panel.change(0)
    panel.form.fill_in(mass="2000")
    panel.write_down()
    assert "another window" in panel.remark
    assert BookFile(panel.book.path.parent).book.entries[0]["mass"] == 9.0


def test_the_made_up_book_says_so_everywhere_and_names_its_slip(panel):
    panel.swap()
    assert panel.words.count("MADE UP") >= 6 and "346 °C after 12 min" in panel.words
    assert "made up" in panel._file_words.value
    assert "your own" in write(panel, "stock", mass="1000")
    panel.swap()
    assert "empty" in panel.words


def test_it_speaks_the_units_of_the_bench(panel, bench):
    panel.swap()
    bench.speak(INCH_POUND)
    try:
        assert "°F" in panel.words and "°C" not in panel.words
    finally:
        bench.speak(METRIC)


@pytest.mark.parametrize("kind", WRITTEN_HERE)
def test_every_kind_can_be_chosen(panel, kind):
    panel._kinds.value = kind
    assert panel.form.kind == kind and KINDS[kind].purpose == markup.plain(panel._purpose.value)
    assert panel._bench.alert == ""


def test_a_folder_that_cannot_be_written_is_said(bench, tmp_path):
    panel = ShopPanel(bench, BookFile(tmp_path / "gone"))
    assert "Not written down. my_shop.json" in write(panel, "stock", mass="1000")
