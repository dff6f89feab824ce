"""My page: all that was said, tried and found, escaped, with whole pictures only, and without the course."""

from dataclasses import replace

import pytest
from test_record import COURSE, LESSON, SAID

from castlab.teach.course.kept_course import PICTURES, KeptCourse
from castlab.teach.course.my_page import FILE, my_page, write_my_page
from castlab.teach.text import markup

PNG = b"\x89PNG then pixels IEND\xaeB\x60\x82"


def no_picture(_):
    return None


def test_everything_that_was_done_stands_on_it_once():
    words = markup.plain(my_page(COURSE, no_picture))
    for each in ("My page: Ida 溶", "1. The first casting", "Where?",
                 "I expected: in the boss. That was right.", "I expected: in the boss. That was not right.",
                 "How many times?", "My answer: 3.9.",
                 "Not yet. Square it.", "812 g of metal in all, with feeder width 34 mm", "for 23 minutes"):
        assert each in words, each
    assert "5. Feeders" not in words  # nothing was done there
    assert words.count("How many times?") == 3


def test_nothing_done_is_said():
    empty = replace(COURSE, lessons={}, name="")
    assert "Nothing has been predicted or tried yet." in my_page(empty, no_picture)


def test_whatever_was_typed_is_words_and_no_page():
    nasty = '<script>alert("1")</script>'
    said = replace(SAID, words=nasty, why=nasty, asked=nasty, bench=nasty)
    lesson = replace(LESSON, said={"begin": (said,)})
    page = my_page(replace(COURSE, name=nasty, lessons={"first_casting": lesson}), lambda _: PNG)
    assert "<script" not in page and page.count("&lt;script&gt;") >= 5


def test_pictures_are_kept_and_half_a_picture_is_none(tmp_path):
    course = KeptCourse(tmp_path, "ida")
    course.keep_picture("first_casting begin", PNG)
    assert course.picture("first_casting begin") == PNG and course.picture("first_casting other") is None
    (tmp_path / PICTURES / "first_casting begin.png").write_bytes(PNG[:-5])
    assert course.picture("first_casting begin") is None


def test_the_last_prediction_has_its_picture_and_every_task(tmp_path):
    course = KeptCourse(tmp_path, "ida")
    for name in ("first_casting begin", "first_casting task_times", "first_casting begin best"):
        course.keep_picture(name, PNG)
    path = write_my_page(COURSE, tmp_path, course.picture)
    page = path.read_text(encoding="utf-8")
    assert path.name == FILE and page.startswith("<!doctype html>") and page.count("data:image/png") == 3
    assert 'alt="A sink of 4.5&nbsp;cm³."' in page
    assert "http" not in page and "<script" not in page  # it needs nothing but itself


def test_a_page_that_cannot_be_written_is_said_by_the_system(tmp_path):
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(OSError):
        write_my_page(COURSE, tmp_path / "file", no_picture)
