"""The book as text: what is written is read again, and nothing that stands in it is ever lost."""

import json
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab import InputError
from castlab.shop.book import UNITS, WHAT, Book, NotThisBook, book_text, read_book
from castlab.shop.entries import entry_of
from castlab.teach.shop.book_file import EXAMPLE

POT = entry_of("crucibles", {"name": "A4", "water": 0.78, "date": "2026-11-30"})
STOCK = entry_of("stock", {"alloy": "ZA-12", "mass": 2.4})


def raw(**kinds):
    return json.dumps({"castlab": WHAT, "version": 1, "units": UNITS} | kinds)


def test_a_book_is_read_as_it_was_written():
    book = read_book(book_text(Book((POT, STOCK))))
    assert book.of("crucibles") == (POT,) and book.of("stock") == (STOCK,) and book.refused == ()
    assert book_text(book) == book_text(Book((POT, STOCK)))


@given(st.text(max_size=100), st.floats(0.005, 100.0))
def test_any_words_and_numbers_come_back(words, mass):
    entry = entry_of("crucibles", {"name": "pot " + words, "water": mass, "note": words})
    assert read_book(book_text(Book((entry,)))).entries == (entry,)


def test_an_entry_that_cannot_be_used_is_said_and_kept_word_for_word():
    wrong = {"name": "B2", "water": 0, "why": ["typed", {"by": "hand"}]}
    book = read_book(raw(crucibles=[POT.values, wrong, "no entry at all"]))
    assert book.of("crucibles") == (POT,) and len(book.refused) == 2
    again = json.loads(book_text(book.with_entry(STOCK)))
    assert wrong in again["crucibles"] and "no entry at all" in again["crucibles"]


def test_half_a_sign_in_what_is_kept_can_be_written_again():
    book = read_book(raw(crucibles=[{"name": "half \ud800", "water": 0}]))
    assert json.loads(book_text(book).encode())["crucibles"] == [{"name": "half \ud800", "water": 0}]


def test_a_part_that_is_not_known_is_said_and_kept():
    book = read_book(raw(anvils=[{"kg": 80}], stock=[STOCK.values]))
    assert book.of("stock") == (STOCK,) and "anvils" in str(book.refused[0].why)
    assert json.loads(book_text(book))["anvils"] == [{"kg": 80}]


@pytest.mark.parametrize("text, why, words", [
    ("", "damaged", "whole JSON"),
    ("{", "damaged", "whole JSON"),
    ('{"castlab": "answer"}', "damaged", "must say"),
    ("[" * 100_000, "damaged", None),
    (raw(stock=[{"alloy": "ZA-12", "mass": 1}]).replace("1}", "1e999}"), "damaged", "1e999"),
    (raw(stock=[{"alloy": "ZA-12", "mass": 1}]).replace("1}", "NaN}"), "damaged", "NaN"),
    (raw().replace('"version": 1', '"version": 1, "version": 1'), "damaged", "twice"),
    (raw().replace('"version": 1', '"version": 2'), "newer", "newer castlab"),
    (raw().replace('"version": 1', '"version": "one"'), "damaged", "whole number"),
    (raw().replace("m, m3", "mm, cm3"), "in other units", "units of the book"),
])
def test_a_file_that_is_no_book_says_so(text, why, words):
    with pytest.raises(NotThisBook, match=words) as caught:
        read_book(text)
    assert caught.value.why == why


def test_a_thousand_damaged_books_are_read_or_refused_and_never_anything_else():
    text, chance, read = EXAMPLE.read_text(encoding="utf-8"), random.Random(1), 0
    for _ in range(1000):
        at = chance.randrange(len(text))
        put = chance.choice(["", "}", '"', "9", "-", "[", "\x00", "e9"])
        damaged = text[:at] + put + text[at + chance.randrange(3):]
        try:
            book = read_book(damaged)
        except NotThisBook:
            continue
        read += 1
        assert read_book(book_text(book)).entries == book.entries
    assert 0 < read < 1000


def test_an_entry_that_was_changed_meanwhile_is_not_overwritten():
    book = Book((POT,)).with_changed(POT, STOCK)
    assert book.entries == (STOCK,)
    with pytest.raises(InputError, match="another window"):
        book.with_changed(POT, STOCK)
