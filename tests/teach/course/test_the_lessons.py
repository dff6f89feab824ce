"""The table of lessons agrees with their notebooks, their modules and the README."""

import importlib
import re
from pathlib import Path

import nbformat
import pytest

from castlab.teach import lessons
from castlab.teach.course.the_lessons import LESSONS, contents_of, lesson_after, lesson_named_in, lesson_of

ROOT = Path(__file__).resolve().parents[3]
FOLDER = ROOT / "notebooks" / "lessons"
each = pytest.mark.parametrize("lesson", LESSONS, ids=[lesson.name for lesson in LESSONS])


def cells(lesson):
    return nbformat.read(FOLDER / lesson.file, as_version=4).cells


def module_of(lesson):
    return importlib.import_module(f"{lessons.__name__}.{lesson.name}")


def test_every_lesson_is_there_once_and_in_order():
    assert [lesson.number for lesson in LESSONS] == list(range(1, len(LESSONS) + 1))
    assert sorted(path.name for path in FOLDER.glob("[0-9]*.ipynb") if not path.name.startswith("00")) == [
        lesson.file for lesson in LESSONS]
    assert [lesson_after(lesson.name) for lesson in LESSONS] == [*LESSONS[1:], None]


@each
def test_its_notebook_has_its_title(lesson):
    heading = cells(lesson)[0].source.splitlines()[0]
    assert heading.startswith(f"# {lesson.number}. {lesson.title.split()[0]}"), heading


@each
def test_the_readme_says_the_same_of_it(lesson):
    row = f"| {lesson.number}. {lesson.title} | {lesson.about} |"
    assert row in (ROOT / "README.md").read_text(encoding="utf-8")


@each
def test_what_it_asks_for_stands_in_its_notebook_in_that_order(lesson):
    """"Task 2" is the second task, wherever it is counted."""
    contents = contents_of(module_of(lesson))
    code = "\n".join(cell.source for cell in cells(lesson) if cell.cell_type == "code")
    called = list(dict.fromkeys(re.findall(rf"\b{lesson.name}\.(\w+)\(", code)))
    assert [name for name in called if name in contents.tasks] == list(contents.tasks)
    assert [name for name in called if name in contents.predictions] == list(contents.predictions)
    assert contents.tasks and contents.predictions[0] == "begin"


@each
def test_three_sentences_say_what_is_known_now(lesson):
    assert len(set(lesson.known)) == 3
    for sentence in lesson.known:
        assert sentence[0].isupper() and sentence.endswith(".") and 5 <= len(sentence.split()) <= 20
        assert not re.search(r"\d", sentence)  # numbers belong to a casting


def test_a_module_is_a_lessons_or_none():
    module_of(LESSONS[0])
    assert lesson_named_in("castlab.teach.lessons.first_casting")[0] is lesson_of("first_casting")
    assert lesson_named_in("castlab.teach.hand_in") == lesson_named_in("__main__") == (None, None)


@each
def test_its_notebook_leads_on_and_back_to_the_course(lesson):
    last, after = cells(lesson)[-1].source, lesson_after(lesson.name)
    assert "(00_start_here.ipynb)" in last and "(GLOSSARY.md)" in last
    assert after is None or f"Next: [lesson {after.number}]({after.file})" in last
