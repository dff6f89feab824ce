"""Every number with a unit in the prose is what the code computes now, or is listed with where it comes from.

A number that went stale fails here. `prose_numbers.py` has the table: a new lesson, or a new number in an old
one, gets its line there.
"""

import re
from pathlib import Path

import pytest
from prose import NUMBER, ROOT, quantities, words_of
from prose_numbers import LESSONS, PAGES
from shares import every

FOUND = {int(path.name[:2]): path for path in sorted((ROOT / "notebooks" / "lessons").glob("[0-9]*.ipynb"))
         if not path.name.startswith("00")}  # the course on one page is no lesson
TABLES = {**{FOUND[number].relative_to(ROOT).as_posix(): table for number, table in LESSONS.items()
             if number in FOUND}, **PAGES}
TEACH = "notebooks/instructor/TEACH_WITH_IT.md"
ENTRIES = [(page, phrase) for page, table in TABLES.items() for phrase, source in table.items()
           if not isinstance(source, str)]


def numbers_in(phrase):
    return re.findall(rf"(?<![\w.]){NUMBER}", phrase)


def at_the_digits_of(written, number):
    """Whether a number is the one that is written, at the digits that are written."""
    written = re.sub(r"[ \u202f]", "", written.replace("−", "-"))
    decimals = len(written.partition(".")[2])
    return f"{number:.{decimals}f}" == written


def is_right(phrase, value):
    """Whether a phrase says what was worked out: a claim, one number, or one for each that is written."""
    if isinstance(value, bool):
        return value
    written, found = numbers_in(phrase), value if isinstance(value, list) else [value]
    if len(found) == 1:
        found = found * len(written)
    return len(found) == len(written) and all(map(at_the_digits_of, written, found))


@pytest.mark.parametrize("page", [path.relative_to(ROOT).as_posix() for path in FOUND.values()])
def test_every_lesson_has_its_table(page):
    assert page in TABLES, f"numbers of {page} are not checked: give it a table in tests/prose_numbers.py"


@pytest.mark.parametrize("page", TABLES)
def test_every_number_has_a_source(page):
    without = [found for found in quantities(page) if found not in TABLES[page]]
    assert without == [], "say in tests/prose_numbers.py where these come from"


@pytest.mark.parametrize("page", TABLES)
def test_nothing_is_listed_that_is_not_written(page):
    words = words_of(page)
    gone = [phrase for phrase in TABLES[page] if phrase not in words and phrase not in quantities(page)]
    assert gone == [], "the prose has changed: take these out of tests/prose_numbers.py"


@pytest.mark.parametrize("page, phrase", every(20, ENTRIES))
def test_the_number_is_what_is_computed_now(page, phrase):
    sources = TABLES[page][phrase]
    for source in sources if isinstance(sources, tuple) else (sources,):
        value = source()
        assert is_right(phrase, value), f"{page} says “{phrase}”, but it is {value}"


@pytest.mark.parametrize("phrase, value, right", [
    ("12 mm", 12.0, True), ("12 mm", 12.4, True), ("12 mm", 13.0, False), ("0.39 in", 0.39, True),
    ("6.5 to 8.3 cm3", [6.5, 8.3], True), ("6.5 to 8.3 cm3", [6.5, 8.4], False), ("190 s", 187.0, False),
    ("15 500 kg/m³", 15500.0, True), ("sound at 40 mm", False, False), ("40 mm and 40 mm", 40.0, True)])
def test_a_stale_number_is_seen(phrase, value, right):
    assert is_right(phrase, value) == right


def test_numbers_are_found_in_prose(tmp_path):
    page = Path(tmp_path / "page.md")
    page.write_text("A bar of 12 mm (0.5 in), $D = 40$ mm, 10 to 20 %, 15 500 kg/m³.\n```\n7 mm\n```\n"
                    "Lesson 2 in it.", encoding="utf-8")
    assert quantities(page) == ["12 mm", "0.5 in", "40 mm", "10 to 20 %", "15 500 kg/m³"]


def evenings():
    """The tables of the instructor's page: for each evening the lessons in its heading, and its rows."""
    for piece in (ROOT / TEACH).read_text(encoding="utf-8").split("\n## Evening ")[1:]:
        lessons = re.search(r"\(lessons? (\d+)(?: and (\d+))?\)", piece.splitlines()[0]).groups()
        rows = re.findall(r"^\| (\d+) \| (.+) \|$", piece, flags=re.MULTILINE)
        yield [int(number) for number in lessons if number], [(int(minutes), what) for minutes, what in rows]


def test_seven_evenings_of_120_minutes_have_room_for_all_lessons():
    all_evenings = list(evenings())
    assert len(all_evenings) == 7
    assert [lesson for lessons, _ in all_evenings for lesson in lessons] == list(range(1, 12))
    assert {sum(minutes for minutes, _ in rows) for _, rows in all_evenings} == {120}


@pytest.mark.parametrize("lesson", FOUND)
def test_an_evening_gives_a_lesson_the_time_that_it_says(lesson):
    wanted = re.search(r"(?:(\d+) minutes|an (hour))", words_of(FOUND[lesson].relative_to(ROOT)))
    minutes = 60 if wanted[2] else int(wanted[1])
    planned = [given for _, rows in evenings() for given, what in rows
               if re.match(rf"lesson {lesson}\b", what)]
    assert planned == [minutes]
