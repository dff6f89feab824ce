"""The student's copy of the lessons: complete, added to after an update, never overwritten."""

import subprocess
import sys
from pathlib import Path

import pytest

from castlab.teach import working_copy
from castlab.teach.working_copy import make_working_copy


@pytest.fixture
def course(tmp_path):
    """A small course of two lessons, one with a picture in a folder, and what JupyterLab leaves behind."""
    lessons = tmp_path / "lessons"
    (lessons / "pictures").mkdir(parents=True)
    (lessons / ".ipynb_checkpoints").mkdir()
    (lessons / "01_pour.ipynb").write_bytes(b"first\n")
    (lessons / "02_feed.ipynb").write_bytes(b"second\r\n")
    (lessons / "pictures" / "ladle.png").write_bytes(b"\x89PNG\x00")
    (lessons / ".ipynb_checkpoints" / "01_pour-checkpoint.ipynb").write_bytes(b"old")
    return lessons


def names(paths):
    return [path.as_posix() for path in paths]


def test_a_first_copy_is_complete_and_equal_byte_by_byte(course, tmp_path):
    added, kept = make_working_copy(course, tmp_path / "mine")
    assert names(added) == ["01_pour.ipynb", "02_feed.ipynb", "pictures/ladle.png"] and kept == []
    for name in added:
        assert (tmp_path / "mine" / name).read_bytes() == (course / name).read_bytes()
    assert not (tmp_path / "mine" / ".ipynb_checkpoints").exists()


def test_what_the_student_saved_survives_an_update(course, tmp_path):
    mine = tmp_path / "mine"
    make_working_copy(course, mine)
    (mine / "01_pour.ipynb").write_bytes(b"my own work")
    (mine / "notes.txt").write_bytes(b"my notes")
    (course / "01_pour.ipynb").write_bytes(b"first, better")
    (course / "03_chill.ipynb").write_bytes(b"third")
    added, kept = make_working_copy(course, mine)
    assert names(added) == ["03_chill.ipynb"]
    assert names(kept) == ["01_pour.ipynb", "02_feed.ipynb", "pictures/ladle.png"]
    assert (mine / "01_pour.ipynb").read_bytes() == b"my own work"
    assert (mine / "notes.txt").read_bytes() == b"my notes"
    assert (mine / "03_chill.ipynb").read_bytes() == b"third"


def test_a_lesson_that_the_student_renamed_comes_back_new(course, tmp_path):
    mine = tmp_path / "mine"
    make_working_copy(course, mine)
    (mine / "01_pour.ipynb").rename(mine / "01_pour_old.ipynb")
    added, _ = make_working_copy(course, mine)
    assert names(added) == ["01_pour.ipynb"] and (mine / "01_pour_old.ipynb").exists()


def test_a_copy_inside_the_lessons_is_not_copied_into_itself(course):
    make_working_copy(course, course / "mine")
    added, _ = make_working_copy(course, course / "mine")
    assert added == []


def test_no_lessons_is_said_in_words(tmp_path):
    with pytest.raises(FileNotFoundError, match="no lessons in .*castlab repository"):
        make_working_copy(tmp_path / "nothing", tmp_path / "mine")
    assert not (tmp_path / "mine").exists()


def test_a_file_in_the_way_is_reported_and_left_alone(course, tmp_path, capsys):
    in_the_way = tmp_path / "my_lessons"
    in_the_way.write_text("not a folder")
    assert working_copy.main(course, in_the_way) == 1
    assert "could not be copied" in capsys.readouterr().err
    assert in_the_way.read_text() == "not a folder"


def test_main_says_what_it_did(course, tmp_path, capsys):
    working_copy.main(course, tmp_path / "my_lessons")
    (course / "03_chill.ipynb").write_bytes(b"third")
    assert working_copy.main(course, tmp_path / "my_lessons") == 0
    first, second = capsys.readouterr().out.splitlines()
    assert first == "Your lessons are in my_lessons: 3 added, 0 left as you saved them."
    assert second == "Your lessons are in my_lessons: 1 added, 3 left as you saved them."


def test_it_starts_fast_because_it_loads_no_widgets():
    program = "import sys, castlab.teach.working_copy; print({'ipywidgets', 'matplotlib'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"


def test_the_real_lessons_are_found_from_any_folder():
    assert working_copy.LESSONS == Path(__file__).resolve().parents[2] / "notebooks" / "lessons"
    assert (working_copy.LESSONS / "01_first_casting.ipynb").is_file()
