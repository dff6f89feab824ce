"""What is said of a record is true of it, at every stage."""

from dataclasses import replace
from datetime import datetime

import pytest
from test_record import SAID, TRIED

from castlab.teach.course.record import CourseRecord, LessonRecord
from castlab.teach.course.so_far import (
    day_words,
    finished,
    last_time,
    left_words,
    minutes_words,
    progress_words,
    what_next,
    where_you_stand,
)
from castlab.teach.course.the_lessons import LESSONS, Contents, lesson_of

CONTENTS = Contents(("begin", "begin_sheave"), ("task_a", "task_b", "task_c"))
DONE, TRIED_ONLY = replace(TRIED, done=True), replace(TRIED, done=False)
ALL = LessonRecord("2026-11-29T18:40:05", 1380.0, {name: (SAID,) for name in CONTENTS.predictions},
                   {name: DONE for name in CONTENTS.tasks})


@pytest.mark.parametrize("said, done, words", [
    ((), (), "Left to do: two predictions, and tasks 1, 2 and 3."),
    (("begin",), ("task_b",), "Left to do: one prediction, and tasks 1 and 3."),
    (("begin", "begin_sheave"), ("task_a", "task_c"), "Left to do: task 2."),
    (("begin_sheave",), ("task_a", "task_b", "task_c"), "Left to do: one prediction."),
    (("begin", "begin_sheave"), ("task_a", "task_b", "task_c"), ""),
])
def test_what_is_left_is_all_that_is_not_done(said, done, words):
    tried = {name: DONE if name in done else TRIED_ONLY for name in CONTENTS.tasks}
    record = LessonRecord("", 0.0, {name: (SAID,) for name in said}, tried)
    assert left_words(record, CONTENTS) == words
    assert finished(record, CONTENTS) == (words == "")
    stand = where_you_stand(lesson_of("first_casting"), record, CONTENTS)
    assert stand.startswith("Lesson 1 is done." if not words else f"Lesson 1 so far. {words}")


def test_what_was_done_last_time_is_listed():
    record = LessonRecord("2026-11-29T18:40:05", 1380.0, {"begin": (SAID, replace(SAID, right=False))},
                          {"task_b": DONE, "task_a": TRIED_ONLY})
    assert last_time(record, CONTENTS, datetime(2026, 11, 30, 9)) == [
        "You worked here yesterday at 18:40, for 23 minutes in all.",
        "You expected: in the boss. That was not right.", "Done: task 2.",
        "Left to do: one prediction, and tasks 1 and 3."]


@pytest.mark.parametrize("now, words", [
    (datetime(2026, 11, 29, 23, 59), "today at 18:40"), (datetime(2026, 11, 30, 0, 1), "yesterday at 18:40"),
    (datetime(2026, 12, 1), "on 29 November 2026 at 18:40"),
    (datetime(2026, 11, 28), "on 29 November 2026 at 18:40"), (None, "on 29 November 2026 at 18:40")])
def test_days_are_said_as_people_say_them(now, words):
    assert day_words("2026-11-29T18:40:05", now) == words


def test_times_of_work():
    assert [minutes_words(seconds) for seconds in (0, 59.9, 60, 119, 3600)] == [
        "less than a minute", "less than a minute", "1 minute", "1 minute", "60 minutes"]


def test_progress_in_a_few_words():
    assert progress_words(LessonRecord(), CONTENTS) == "not begun"
    assert progress_words(ALL, CONTENTS) == "done, in 23 minutes"
    half = replace(ALL, said={"begin": (SAID,)}, tried={"task_a": DONE, "task_b": TRIED_ONLY})
    assert progress_words(half, CONTENTS) == "1 of 2 predicted, 1 of 3 tasks done, in 23 minutes"


def test_next_is_what_was_last_worked_at_else_the_first_that_is_not_done():
    contents = {lesson.name: CONTENTS for lesson in LESSONS}
    fresh = CourseRecord(("ida",), 1)
    assert what_next(fresh, contents).number == 1
    one = fresh.with_lesson("first_casting", ALL)
    assert what_next(one, contents).number == 2
    begun = replace(ALL, said={}, last="2026-11-29T10:00:00")
    later = replace(begun, last="2026-11-29T11:00:00")
    two = one.with_lesson("feeders", begun).with_lesson("melt_plan", later)
    assert what_next(two, contents).name == "melt_plan"
    for lesson in LESSONS:
        two = two.with_lesson(lesson.name, ALL)
    assert what_next(two, contents) is None
    assert "That was the last lesson." in where_you_stand(LESSONS[-1], ALL, CONTENTS)
