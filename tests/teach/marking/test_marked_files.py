"""What the desk writes is harmless wherever it is opened, goes where it belongs, replaces nothing unasked."""

import csv
import html.parser
import io
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_marks import MARGINAL, RIGHT, broken, points

from castlab.errors import InputError
from castlab.teach.marking.by_hand import ByHand
from castlab.teach.marking.mark_table import HEADINGS, columns_of
from castlab.teach.marking.marked_files import IMPORTED, TABLE, TO_IMPORT, comment_page, files_of, write_files
from castlab.teach.text import markup
from castlab.units import METRIC

WICKED = ["=1+1", "+1", "-1", "@sum(1)", "\t=1", " =1", "\r=1", "\n@x", "＝1+1", "x;=1", "x\t=1", 'x";=1',
          '"=1"', "=cmd|' /C calc'!A0"]


def written(*marks):
    rows = [columns_of(number, mark, ()) for number, mark in enumerate(marks, start=1)]
    return files_of(marks, rows, METRIC)


def rows_in(text):
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.parametrize("words", WICKED)
def test_no_cell_is_a_formula(words):
    named = points(name=words, words=words, number=words, by_hand=ByHand(1, words))
    for mark in (named, replace(points(), returned=replace(RIGHT, files=(words,))), broken(words)):
        for name in (TABLE, TO_IMPORT):
            text = written(mark)[name]
            assert ";" not in text and "\t" not in text  # where some programs begin a new cell
            for row in csv.reader(io.StringIO(text)):
                assert not [cell for cell in row if cell.strip().startswith(("=", "+", "-", "@", "＝"))]


@given(st.text(max_size=40))
def test_any_name_makes_a_table_that_can_be_read_and_written(name):
    files = written(points(name=name, words=name), broken(f"{name}: broken", (name,)))
    for text, headings in ((files[TABLE], HEADINGS), (files[TO_IMPORT], IMPORTED)):
        assert text.encode("utf-8")
        assert [len(row) for row in csv.reader(io.StringIO(text))] == [len(headings)] * 3


def test_the_short_table_has_the_header_that_is_asked_for_and_one_row_a_paper():
    given_by_hand = points(MARGINAL, number="17", words="Secret.", by_hand=ByHand(-0.5, "late"))
    text = written(given_by_hand, broken())[TO_IMPORT]
    assert text.splitlines()[0] == '"name","id","mark","comment"'
    ann, bob = rows_in(text)
    assert (ann["name"], ann["id"], ann["mark"]) == ("Ann", "17", "6.5") and "late" in ann["comment"]
    assert (bob["name"], bob["mark"], bob["comment"]) == ("bob.ipynb", "", "bob.ipynb: size is 200 MB")


def test_a_number_stays_a_number_even_a_negative_one():
    ann, = rows_in(written(points(by_hand=ByHand(-2, "late")))[TABLE])
    assert (ann["by hand"], ann["sum"]) == ("-2", "10")


# ---- comments


def test_each_student_gets_a_comment_of_its_own_in_the_own_folder_and_namesakes_two():
    nested = replace(points(), returned=replace(RIGHT, folder="Ann_4711"))
    files = written(points(), points(), points(name="ANN"), nested, broken())
    names = sorted(name.replace("\\", "/") for name in files if name not in (TABLE, TO_IMPORT))
    assert names == ["comments/ANN_comment_3.html", "comments/Ann_4711/Ann_comment.html",
                     "comments/Ann_comment.html", "comments/Ann_comment_2.html",
                     "comments/bob_ipynb_comment.html"]


def test_a_comment_says_what_was_said_what_each_mark_is_for_and_the_sum():
    words = markup.plain(comment_page(points(MARGINAL, by_hand=ByHand(1, "neat work")), METRIC))
    for each in ("Ann", "Where: in the boss", "feeder width from 20 mm to 34 mm", RIGHT.answer.words,
                 "place 2 2 The place is right", "sound 2 4 Nearly sound", "by hand 1 neat work", "sum 8 12"):
        assert each in words
    assert "by hand" not in markup.plain(comment_page(points(), METRIC))
    assert "Nothing could be marked yet: bob.ipynb: size is 200 MB." in markup.plain(
        comment_page(broken(), METRIC))


def test_a_comment_runs_nothing():
    found = []

    class Tags(html.parser.HTMLParser):
        def handle_starttag(self, tag, attrs):
            found.append(tag)

    wicked = "<script>alert(1)</script><img src=x onerror=alert(1)>"
    Tags().feed(comment_page(points(name=wicked, words=wicked, by_hand=ByHand(1, wicked)), METRIC))
    assert not {"script", "img", "iframe"} & set(found) and "table" in found


# ---- files


def test_all_files_are_written_or_none(tmp_path):
    folder, files = tmp_path / "marks", written(points(), broken())
    write_files(folder, files)
    for name, text in files.items():
        mark = "utf-8-sig" if name == TABLE else "utf-8"
        assert (folder / name).read_bytes() == text.encode(mark)
    (folder / TABLE).unlink()
    with pytest.raises(InputError, match="there already"):
        write_files(folder, files)
    assert not (folder / TABLE).exists()
    write_files(folder, files, overwrite=True)
    assert (folder / TABLE).exists()
