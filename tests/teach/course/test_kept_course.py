"""The record in its file: found again, shared by two windows, and never in the way of a lesson."""

import os
import random
import signal
import subprocess
import sys
import time
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from test_record import COURSE, SAID, TRIED

from castlab.teach.course import kept_course
from castlab.teach.course.kept_course import (
    FILE,
    IN_OWN_FOLDER,
    IN_THE_BROWSER_ALONE,
    OWN_FOLDER,
    KeptCourse,
    course_here,
)
from castlab.teach.course.record import LONGEST_PAUSE_S, LessonRecord, record_of, text_of

ROOT = Path(__file__).resolve().parents[3]
LESSON = "first_casting"


class Clock:
    """A clock that a test moves on."""

    def __init__(self):
        self.time = datetime(2026, 11, 29, 18, 40)

    def __call__(self):
        return self.time

    def wait(self, seconds):
        self.time += timedelta(seconds=seconds)


def says(said):
    """A change of a lesson: one prediction more."""
    return lambda lesson: replace(lesson, said=lesson.said | {
        "begin": (*lesson.said.get("begin", ()), said)})


def predictions(course):
    return course.record.lesson(LESSON).said.get("begin", ())


def in_file(folder):
    return record_of((folder / FILE).read_text(encoding="utf-8"))


def test_nothing_is_written_before_something_is_done(tmp_path):
    course = KeptCourse(tmp_path, "ida")
    assert list(tmp_path.iterdir()) == [] and course.notes == () and not course.record.lessons


def test_what_was_done_is_there_in_the_next_session(tmp_path):
    course = KeptCourse(tmp_path, "ida")
    course.keep_lesson(LESSON, says(SAID))
    again = KeptCourse(tmp_path, "ida")
    assert predictions(again) == (SAID,) and again.notes == () and again.record == course.record


def test_a_student_has_the_same_seed_tomorrow_and_in_another_folder(tmp_path):
    course = KeptCourse(tmp_path, "ida")
    assert KeptCourse(tmp_path, "ida").record.seed == course.record.seed  # nothing is kept yet
    course.keep_lesson(LESSON, says(SAID))
    moved = tmp_path.with_name("moved")
    tmp_path.rename(moved)
    assert KeptCourse(moved, "ida").record.seed == course.record.seed
    assert KeptCourse(moved / "elsewhere", "otto").record.seed != course.record.seed


def test_two_windows_keep_what_the_other_has_kept(tmp_path):
    one, other = KeptCourse(tmp_path, "ida"), KeptCourse(tmp_path, "ida")
    one.keep_lesson(LESSON, says(SAID))
    other.keep_lesson("feeders", says(SAID))
    other.keep_lesson(LESSON, says(replace(SAID, right=False)))
    one.keep_lesson(LESSON, lambda lesson: replace(lesson, tried=lesson.tried | {"task_times": TRIED}))
    kept = in_file(tmp_path).lessons
    assert [each.right for each in kept[LESSON].said["begin"]] == [True, False]
    assert kept[LESSON].tried == {"task_times": TRIED} and kept["feeders"].said["begin"] == (SAID,)


def test_time_is_counted_between_acts_and_a_break_is_none(tmp_path):
    clock = Clock()
    course = KeptCourse(tmp_path, "ida", clock)
    for seconds in (60, 30, 3600):
        clock.wait(seconds)
        course.keep_lesson(LESSON, says(SAID))
    lesson = course.record.lesson(LESSON)
    assert lesson.seconds == 60 + 30 + LONGEST_PAUSE_S and lesson.last == "2026-11-29T19:41:30"
    clock.wait(-7200)  # a clock that was put back takes nothing away
    course.keep_lesson(LESSON, says(SAID))
    assert course.record.lesson(LESSON).seconds == lesson.seconds


@pytest.mark.parametrize("text, words", [("{ half", "damaged"), ("", "damaged"), (b"\xff\xfe", "damaged"),
                                         ('{"version": 2}', "another version of castlab")])
def test_a_file_that_cannot_be_read_is_kept_aside_and_said(tmp_path, text, words):
    path = tmp_path / FILE
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    course = KeptCourse(tmp_path, "ida")
    (note,) = course.notes
    assert words in note and "kept aside as" in note and "a new record begun" in note
    (aside,) = tmp_path.glob("my_course (*")
    assert aside.name in note and aside.read_bytes() == (text if isinstance(text, bytes) else text.encode())
    course.keep_lesson(LESSON, says(SAID))
    assert predictions(KeptCourse(tmp_path, "ida")) == (SAID,)


def test_a_file_that_is_damaged_while_a_lesson_runs_costs_nothing_that_it_knows(tmp_path):
    course = KeptCourse(tmp_path, "ida")
    course.keep_lesson(LESSON, says(SAID))
    (tmp_path / FILE).write_text("{ half")
    course.keep_lesson(LESSON, says(replace(SAID, right=False)))
    assert [each.right for each in in_file(tmp_path).lessons[LESSON].said["begin"]] == [True, False]
    assert "damaged" in course.notes[0] and (tmp_path / "my_course (damaged).json").read_text() == "{ half"


def test_a_disk_that_is_full_is_said_and_caught_up_with_later(tmp_path, monkeypatch):
    course = KeptCourse(tmp_path, "ida")
    course.keep_lesson(LESSON, says(SAID))

    def full(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(kept_course, "change_text", full)
        for right in (False, True):
            course.keep_lesson(LESSON, says(replace(SAID, right=right)))
        (note,) = course.notes
        assert "not kept: No space left on device" in note and "The lesson goes on" in note
        assert len(predictions(course)) == 3 and len(in_file(tmp_path).lessons[LESSON].said["begin"]) == 1
    course.keep_lesson(LESSON, says(SAID))
    assert course.notes == () and len(in_file(tmp_path).lessons[LESSON].said["begin"]) == 4


def test_a_folder_where_nothing_can_be_written_is_said(tmp_path):
    (tmp_path / "file").write_text("no folder")
    course = KeptCourse(tmp_path / "file", "ida")
    course.keep_lesson(LESSON, says(SAID))
    assert "What you do now is not kept" in course.notes[0] and predictions(course) == (SAID,)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="who may do all may write all")
def test_a_folder_that_is_read_only_is_said(tmp_path):
    KeptCourse(tmp_path, "ida").keep_lesson(LESSON, says(SAID))
    tmp_path.chmod(0o500)
    try:
        course = KeptCourse(tmp_path, "ida")
        course.keep_lesson(LESSON, says(SAID))
        assert "Permission denied" in course.notes[0] and len(predictions(course)) == 2
    finally:
        tmp_path.chmod(0o700)


def test_a_damaged_file_that_cannot_be_moved_is_left_and_said(tmp_path, monkeypatch):
    (tmp_path / FILE).write_text("{ half")

    def refused(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(kept_course, "set_aside", refused)
    course = KeptCourse(tmp_path, "ida")
    course.keep_lesson(LESSON, says(SAID))
    assert "left as it is" in course.notes[0] and (tmp_path / FILE).read_text() == "{ half"
    assert predictions(course) == (SAID,)


def test_the_record_of_another_student_is_said_and_not_touched(tmp_path):
    text = text_of(COURSE)
    (tmp_path / FILE).write_text(text, encoding="utf-8")
    course = KeptCourse(tmp_path, "otto")
    assert course.other_student == "ida" and "another student, ida" in course.notes[0]
    assert not course.record.lessons
    course.keep_lesson(LESSON, says(SAID))
    assert (tmp_path / FILE).read_text(encoding="utf-8") == text and predictions(course) == (SAID,)


def test_another_student_begins_a_record_and_the_first_is_kept_aside(tmp_path):
    (tmp_path / FILE).write_text(text_of(COURSE), encoding="utf-8")
    course = KeptCourse(tmp_path, "otto")
    assert course.begin_new("of ida") and course.notes == ()
    course.keep_lesson(LESSON, says(SAID))
    assert in_file(tmp_path).student == ("otto",) and predictions(course) == (SAID,)
    assert record_of((tmp_path / "my_course (of ida).json").read_text(encoding="utf-8")) == COURSE


def test_the_same_student_on_another_computer_goes_on(tmp_path):
    (tmp_path / FILE).write_text(text_of(COURSE), encoding="utf-8")
    course = KeptCourse(tmp_path, "otto")
    course.keep_lesson(LESSON, says(SAID))
    course.take_over()
    assert course.notes == () and in_file(tmp_path) == course.record
    assert course.record.student == ("ida", "Ida Müller", "otto") and course.record.seed == COURSE.seed
    assert predictions(course) == (*COURSE.lessons[LESSON].said["begin"], SAID)
    assert KeptCourse(tmp_path, "otto").notes == ()


def test_somebody_else_at_the_same_computer_gets_a_record_and_other_shuffles(tmp_path):
    clock = Clock()
    course = KeptCourse(tmp_path, "class", clock)
    course.keep_lesson(LESSON, says(SAID))
    before = course.record
    clock.wait(5)
    assert course.begin_new("of class") and not course.record.lessons
    assert course.record.seed != before.seed
    assert record_of((tmp_path / "my_course (of class).json").read_text()) == before


def test_the_courses_own_folder_keeps_nothing(monkeypatch, tmp_path):
    monkeypatch.chdir(OWN_FOLDER / "lessons")
    before = sorted(path.name for path in Path.cwd().iterdir())
    course = course_here()
    course.keep_lesson(LESSON, says(SAID))
    assert course.notes == (IN_OWN_FOLDER,) and course.folder is None
    assert sorted(path.name for path in Path.cwd().iterdir()) == before
    monkeypatch.chdir(tmp_path)
    assert course_here().folder == tmp_path and course_here().notes == ()


def test_a_browser_without_a_way_to_the_files_says_that_nothing_is_kept(monkeypatch, tmp_path):
    monkeypatch.setattr(kept_course.sys, "platform", "emscripten")
    monkeypatch.setattr(kept_course, "BROWSER_FILES", tmp_path / "drive")
    (tmp_path / "drive" / "lessons").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "drive" / "lessons")
    assert course_here().notes == () and course_here().folder == Path.cwd()
    monkeypatch.chdir(tmp_path)
    course = course_here()
    course.keep_lesson(LESSON, says(SAID))
    assert course.notes == (IN_THE_BROWSER_ALONE,) and course.record.lessons
    assert [path.name for path in tmp_path.iterdir()] == ["drive"]


def test_who_has_no_name_on_the_computer_is_a_student(monkeypatch, tmp_path):
    def unknown():
        raise KeyError("getpwuid(): uid not found: 1000")

    monkeypatch.setattr(kept_course.getpass, "getuser", unknown)
    monkeypatch.chdir(tmp_path)
    assert course_here().record.student == ("student",)


# A student's window that is killed: what was said to be kept is there.
WORKING = """
import sys
from dataclasses import replace
from castlab.teach.course.kept_course import KeptCourse
from castlab.teach.course.record import Stood
course = KeptCourse(sys.argv[1], "ida")
count = len(course.record.lesson("first_casting").stood)
while True:
    place = f"bench {count}"
    stood = Stood({"thickness": count / 1000}, "metric", True, False)
    course.keep_lesson("first_casting", lambda lesson: replace(lesson, stood=lesson.stood | {place: stood}))
    count += 1
    print(count, course.notes, flush=True)
"""


def killed(kills, folder, seed):
    chance, told = random.Random(seed), 0
    for _ in range(kills):
        window = subprocess.Popen([sys.executable, "-c", WORKING, str(folder)], cwd=ROOT, text=True,
                                  stdout=subprocess.PIPE)
        first = window.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.02))
        os.kill(window.pid, signal.SIGKILL)
        lines = (first + window.communicate()[0]).splitlines(keepends=True)
        told = max(int(line.split()[0]) for line in lines if line.endswith("\n"))
        assert all(line.endswith(" ()\n") for line in lines if line.endswith("\n")), lines
        stood = in_file(folder).lessons[LESSON].stood
        assert told <= len(stood) <= told + 1
        thicknesses = [each.values["thickness"] for each in stood.values()]
        assert thicknesses == [number / 1000 for number in range(len(stood))]
    assert sorted(path.name for path in folder.iterdir() if path.suffix == ".json") == [FILE]
    return told


needs_kill = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="a system without SIGKILL")


@needs_kill
def test_killed_windows_have_kept_all_that_they_said(tmp_path):
    assert killed(5, tmp_path, seed=3) >= 5


@needs_kill
@pytest.mark.slow
def test_two_hundred_killed_windows_have_kept_all_that_they_said(tmp_path):
    assert killed(200, tmp_path, seed=4) >= 200


def test_an_empty_lesson_is_not_begun():
    assert not LessonRecord().begun and not LessonRecord("2026-11-29T18:40:05", 20.0).begun
