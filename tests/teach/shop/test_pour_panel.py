"""Pours: planned, written down, compared; a photograph that is not there."""

import pytest
from light_bench import light_bench
from PIL import Image

from castlab.shop.entries import entry_of
from castlab.teach.melt.melt_bench import melt_bench
from castlab.teach.shop.book_file import BookFile
from castlab.teach.shop.pour_panel import PourPanel
from castlab.teach.text import markup


@pytest.fixture(scope="module")
def benches():
    bench = light_bench()
    return bench, melt_bench(bench)


@pytest.fixture
def panel(benches, tmp_path):
    return PourPanel("eye plate", *benches, BookFile(tmp_path), tmp_path)


def measured(panel, **texts):
    panel.form.fill_in(**texts)
    panel.write_down()


def test_a_plan_is_written_down_as_it_stands(panel, benches):
    bench, melt = benches
    panel.plan()
    (pour,) = panel.book.book.of("pours")
    assert pour["planned_liquid"] == pytest.approx(melt.result.all_liquid)
    assert pour["planned_hole"] == pytest.approx(bench.result.account.defect_m3)
    assert pour["settings"] == bench.values and pour["melt"] == melt.values
    assert panel.chosen == pour and "Written down" in panel.remark


def test_what_came_of_it_stands_beside_the_plan(panel):
    panel.plan()
    measured(panel, liquid="33:30", poured="50", furnace_c="488", hole_by="dry sand, weighed", filling="6.4")
    (pour,) = BookFile(panel.book.path.parent).book.of("pours")
    assert (pour["liquid"], pour["poured"], pour["filling"]) == (2010.0, 3000.0, 0.0064)
    record = markup.plain(panel._record.value)
    assert "4.0 cm3 (dry sand, weighed)" in record and "488 °C" in record
    assert "over 1 pour" in panel.words and "before 3 pours" in panel.words


def test_three_pours_that_agree_correct_the_plan(benches, tmp_path):
    book = BookFile(tmp_path)
    bench, melt = benches[0], melt_bench(benches[0], book)
    panel = PourPanel("eye plate", bench, melt, book, tmp_path)
    for late in (1.38, 1.42, 1.40):
        panel.plan()
        planned = panel.chosen["planned_liquid"]
        measured(panel, liquid=f"{late * planned / 60.0:.2f}")
    assert "1.40 times as long as predicted" in panel.words and "Correct by that" in panel.words
    beside = dict(melt.numbers)["ready, by your pours"]
    assert "3 pours were liquid after 1.40 times" in beside


def test_the_slip_of_one_pour_is_named(panel):
    for number, late in enumerate((1.2, 1.22, 3.0, 1.19)):
        panel.book.write_down(entry_of("pours", {
            "part": f"part {number}", "alloy": "ZA-12", "planned_liquid": 1800.0, "liquid": late * 1800.0}))
    assert "One does not agree with the others: the part 2 in ZA-12" in panel.words


def test_a_photograph_is_shown_and_one_that_is_not_there_is_said(panel, tmp_path):
    panel.plan()
    measured(panel, photograph="gone.jpg")
    assert "gone.jpg” cannot be shown: it is not there" in panel._no_photograph.value
    Image.new("RGB", (4, 4)).save(tmp_path / "sawn.png")
    measured(panel, photograph="sawn.png")
    assert panel._no_photograph.value == "" and panel._photograph.layout.display == ""
    measured(panel, photograph="sawn.txt")
    assert "none of .jpg" in panel._no_photograph.value
    assert BookFile(tmp_path).book.of("pours")[0]["photograph"] == "sawn.txt"


@pytest.mark.parametrize("texts, words", [
    ({"liquid": "-5"}, "all liquid is -300"),
    ({"hole_by": "volume known", "hole": "-1"}, "volume of the hole is -1"),
    ({"furnace_c": "hot"}, "must be a number")])
def test_what_cannot_be_is_said_and_nothing_is_lost(panel, texts, words):
    panel.plan()
    before = panel.book.book.entries
    measured(panel, **texts)
    assert words in panel.remark.lower() and panel.book.book.entries == before
    assert BookFile(panel.book.path.parent).book.entries == before


def test_a_hole_without_its_weight_is_said(panel):
    panel.plan()
    measured(panel, hole_by="wax, weighed")
    assert "sand or wax in the hole is missing" in panel.words.lower()


def test_nothing_is_written_where_no_pour_is_planned(panel):
    assert "no pour yet" in panel._pours.label
    panel.write_down()
    assert "no pour yet" in panel.remark and panel.book.book.entries == ()
