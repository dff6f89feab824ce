"""my_shop.json: written at once, by two windows, over files that are damaged, newer or gone."""

import json
import multiprocessing

import pytest

from castlab import InputError
from castlab.shop.book import UNITS, WHAT, read_book
from castlab.shop.entries import entry_of
from castlab.teach.shop.book_file import FILE, BookFile, BookOfPage

POT = entry_of("crucibles", {"name": "A4", "water": 0.78})


def stock(mass):
    return entry_of("stock", {"alloy": "ZA-12", "mass": mass})


def test_no_file_is_an_empty_book_and_looking_writes_none(tmp_path):
    book = BookFile(tmp_path)
    assert book.book.entries == () and book.said == () and list(tmp_path.iterdir()) == []


def test_an_entry_is_on_the_disk_at_once(tmp_path):
    book = BookFile(tmp_path)
    book.write_down(POT)
    assert read_book((tmp_path / FILE).read_text()).entries == (POT,) == BookFile(tmp_path).book.entries
    book.correct(POT, stock(1.0))
    assert BookFile(tmp_path).book.entries == (stock(1.0),)


def test_two_windows_lose_nothing_of_each_other(tmp_path):
    one, other = BookFile(tmp_path), BookFile(tmp_path)
    one.write_down(stock(1.0))
    other.write_down(stock(2.0))
    one.write_down(stock(3.0))
    assert [each["mass"] for each in one.book.of("stock")] == [1.0, 2.0, 3.0]
    other.read()
    one.correct(stock(1.0), stock(4.0))
    with pytest.raises(InputError, match="another window"):
        other.correct(stock(1.0), stock(5.0))
    assert [each["mass"] for each in BookFile(tmp_path).book.of("stock")] == [4.0, 2.0, 3.0]


def write_many(folder, first):
    book = BookFile(folder)
    for number in range(first, first + 20):
        book.write_down(stock(float(number)))


def test_two_kernels_at_once_lose_nothing_of_each_other(tmp_path):
    fresh = multiprocessing.get_context("spawn")
    writers = [fresh.Process(target=write_many, args=(str(tmp_path), first)) for first in (100, 200)]
    for each in writers:
        each.start()
    for each in writers:
        each.join()
        assert each.exitcode == 0
    kept = {each["mass"] for each in BookFile(tmp_path).book.of("stock")}
    assert kept == {float(number) for first in (100, 200) for number in range(first, first + 20)}


DAMAGED = '{"castlab": "the shop'
NEWER = json.dumps({"castlab": WHAT, "version": 99, "units": UNITS, "anvils": [1]})
OTHER_UNITS = json.dumps({"castlab": WHAT, "version": 1, "units": "inches", "stock": []})


@pytest.mark.parametrize("text, name", [
    (DAMAGED, "damaged"), (NEWER, "newer"), (OTHER_UNITS, "in other units")])
def test_a_file_that_cannot_be_used_is_said_and_set_aside_when_something_is_written(tmp_path, text, name):
    path = tmp_path / FILE
    path.write_text(text)
    book = BookFile(tmp_path)
    assert "cannot be used" in str(book.said[0]) and book.book.entries == ()
    assert path.read_text() == text  # looking changes nothing
    book.write_down(POT)
    assert (tmp_path / f"my_shop ({name}).json").read_text() == text and name in str(book.said[0])
    assert BookFile(tmp_path).book.entries == (POT,)


def test_a_file_that_is_no_text_is_set_aside_too(tmp_path):
    (tmp_path / FILE).write_bytes(b"\xff\xfe\x00photograph")
    book = BookFile(tmp_path)
    assert "UTF-8" in str(book.said[0])
    book.write_down(POT)
    assert (tmp_path / "my_shop (damaged).json").read_bytes() == b"\xff\xfe\x00photograph"


def test_one_wrong_entry_leaves_the_others_and_stays_in_the_file(tmp_path):
    wrong = {"name": "B2", "water": 0}
    (tmp_path / FILE).write_text(json.dumps(
        {"castlab": WHAT, "version": 1, "units": UNITS, "crucibles": [POT.values, wrong]}))
    book = BookFile(tmp_path)
    assert book.book.entries == (POT,) and "water to the brim is 0 g" in str(book.said[0])
    book.write_down(stock(1.0))
    assert wrong in json.loads((tmp_path / FILE).read_text())["crucibles"]


def test_a_folder_that_is_not_there_is_said(tmp_path):
    book = BookFile(tmp_path / "gone")
    with pytest.raises(OSError):
        book.write_down(POT)
    assert book.book.entries == ()


def test_the_made_up_book_is_never_written_into(tmp_path):
    book = BookFile(tmp_path)
    book.show_example()
    assert book.is_example and book.shop.furnace_names and "made up" in book.said[0]
    with pytest.raises(InputError, match="your own"):
        book.write_down(POT)
    book.read()
    assert not book.is_example and book.book.entries == () and list(tmp_path.iterdir()) == []


def test_a_page_that_is_not_shown_hears_of_changes_when_it_is_shown_again(tmp_path):
    book, heard = BookFile(tmp_path), []
    page = BookOfPage(book)
    page.when_changed(lambda: heard.append(len(page.book.entries)))
    book.write_down(POT)
    page.awake = False
    book.write_down(stock(1.0))
    book.write_down(stock(2.0))
    assert heard == [1]
    page.awake = True
    assert heard == [1, 3]
    page.awake = True
    assert heard == [1, 3]
