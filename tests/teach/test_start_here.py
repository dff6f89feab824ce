"""The course on one page: links, what is done, what comes next, my page, and another student."""

import pytest

from castlab.teach import start_here
from castlab.teach.course.kept_course import FILE, KeptCourse
from castlab.teach.course.record import Best, LessonRecord, Stood
from castlab.teach.course.the_lessons import LESSONS
from castlab.teach.text import markup

WORKED = LessonRecord("2026-11-29T18:40:05", 600.0, stood={"begin": Stood({}, "metric", True, False)},
                      best={"begin": Best(0.877, {}, "feeder width 32 mm", "2026-11-29T18:40:05")})


@pytest.fixture
def kept(tmp_path):
    course = KeptCourse(tmp_path, "ida")
    course.keep(lambda record: record.with_lesson("feeders", WORKED))
    return course


def test_every_lesson_has_its_link_and_how_far_it_is(kept):
    page = start_here.Course(kept)._repr_html_()
    for lesson in LESSONS:
        assert f'<a href="{lesson.file}">{lesson.number}. {lesson.title}</a>' in page
    words = markup.plain(page)
    assert "Next: lesson 5, Feeders" in words and words.count("not begun") == len(LESSONS) - 1
    assert "0 of 2 predicted, 0 of 3 tasks done, in 10 minutes 877 g of metal in all, with" in words


def test_what_is_wrong_with_the_record_stands_on_top(tmp_path):
    (tmp_path / FILE).write_text("{ half")
    assert "damaged" in markup.plain(start_here.Course(KeptCourse(tmp_path, "ida"))._repr_html_())


def test_a_name_is_kept_and_stands_on_my_page(kept, tmp_path):
    desk = start_here.MyPage(kept)
    desk._name.value = " Ida <b> "
    desk._page.click()
    assert desk.words.startswith("Written: my_page.html")
    assert "My page: Ida &lt;b&gt;" in (tmp_path / "my_page.html").read_text(encoding="utf-8")
    assert KeptCourse(tmp_path, "ida").record.name == "Ida <b>"


def test_somebody_else_is_asked_first_and_begins_an_empty_record(kept, tmp_path):
    desk = start_here.MyPage(kept)
    desk._name.value = "Ida"
    desk._else.click()
    assert "kept aside" in desk.words and desk._yes.layout.display == ""
    desk._no.click()
    assert KeptCourse(tmp_path, "ida").record.lessons and desk.words == ""
    desk._else.click()
    desk._yes.click()
    assert "A new record is begun" in desk.words and desk._name.value == ""
    assert (tmp_path / "my_course (of Ida).json").exists() and not KeptCourse(tmp_path, "ida").record.lessons


def test_the_lessons_are_printed_as_the_notebook_keeps_them(capsys):
    start_here.print_lessons()
    assert len(capsys.readouterr().out.splitlines()) == len(LESSONS)
