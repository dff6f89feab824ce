"""The record of the course: what was said, tried and found, as values, as text, and back."""

import json
from dataclasses import asdict, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.teach.course.record import (
    VERSION,
    Best,
    CastingRead,
    CourseRecord,
    LessonRecord,
    OnTheTable,
    OtherVersion,
    Said,
    Stood,
    Tried,
    record_of,
    text_of,
)

VALUES = {"thickness": 0.012, "alloy": "ZA-12", "boss": 0.04}
SAID = Said("Where?", "boss", "in the boss", True, "It froze last.", "A sink of 4.5 cm3.", VALUES, "metric",
            "2026-11-29T18:40:05")
TRIED = Tried("How many times?", 3.9, "3.9", False, "Square it.", "A sink.", VALUES, "inch-pound",
              "2026-11-29T18:45:00", True)
STOOD = Stood(VALUES, "metric", True, False)
BEST = Best(0.812, VALUES, "feeder width 34 mm", "2026-11-29T18:50:00")
TABLE = OnTheTable(252362, ("scrap", "times"), (CastingRead(12, 3, True), CastingRead(252362, 2, False)))
LESSON = LessonRecord("2026-11-29T18:50:00", 1380.5, {"begin": (SAID, replace(SAID, right=False))},
                      {"task_times": TRIED, "task_feeder": replace(TRIED, answer=None),
                       "task_hotter": replace(TRIED, answer="more")},
                      {"begin": STOOD, "begin 2": STOOD}, {"begin": BEST}, {"task_feeder": 7},
                      {"begin": TABLE})
COURSE = CourseRecord(("ida", "Ida Müller"), 4711, "Ida 溶",
                      {"first_casting": LESSON, "feeders": LessonRecord()})


def test_every_kind_of_entry_comes_back_as_it_was():
    assert record_of(text_of(COURSE)) == COURSE


def test_the_text_is_read_by_a_person():
    text = text_of(COURSE)
    assert "stays on this computer" in text and '"words": "in the boss"' in text and "Ida Müller" in text
    assert json.loads(text)["version"] == VERSION


plain = st.text(max_size=8) | st.none() | st.floats(allow_nan=False, allow_infinity=False)


@given(st.builds(LessonRecord, last=st.text(max_size=5), seconds=st.floats(0, 1e7),
                 said=st.dictionaries(st.text(max_size=5), st.tuples(st.from_type(Said)), max_size=2),
                 tried=st.dictionaries(st.text(max_size=5), st.builds(
                     Tried, answer=plain, values=st.dictionaries(st.text(max_size=3), plain)), max_size=2)))
def test_whatever_was_typed_comes_back(lesson):
    whole = CourseRecord(("ida",), 1, "", {"first_casting": lesson})
    try:
        text = text_of(whole)
    except ValueError:  # a number that is none never gets into a file
        assert "nan" in repr(whole) or "inf" in repr(whole)
        return
    assert record_of(text) == whole


def ways_in(value, way=()):
    """All places in nested dicts and lists."""
    yield way
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, each in inner:
        yield from ways_in(each, (*way, key))


def damaged(whole, way, by):
    """The same with something else at one place."""
    whole = json.loads(json.dumps(whole))
    *before, last = way
    place = whole
    for key in before:
        place = place[key]
    place[last] = by
    return whole


def test_another_kind_of_value_at_any_place_is_seen_or_harmless():
    """Whatever stands at any place: it is refused, or what is read is a record as well."""
    whole, refused = json.loads(text_of(COURSE)), 0
    for way in list(ways_in(whole))[1:]:
        for by in ([], {}, "x", 5, 1.5, True, None, [[]], {"x": {}}):
            try:
                found = record_of(json.dumps(damaged(whole, way, by)))
            except InputError as error:
                refused += 1
                assert str(error)
            else:
                assert record_of(text_of(found)) == found
    assert refused > 500


@pytest.mark.parametrize("text", ["", "{", "null", "[]", '"x"', "7", "[" * 100_000, '{"version": 1}',
                                  '{"version": 1, "student": ["a"], "seed": NaN}',
                                  '{"version": 1, "student": ["a"], "seed": 1, "more": 2}',
                                  '{"version": 1, "student": "a", "seed": 1}'])
def test_what_is_no_record_is_refused(text):
    with pytest.raises(InputError, match="record of the course"):
        record_of(text)


@pytest.mark.parametrize("version", [None, 0, 2, "1", True, 1.5])
def test_another_version_is_named(version):
    whole = json.loads(text_of(COURSE)) | {"version": version}
    with pytest.raises(OtherVersion, match="version"):
        record_of(json.dumps(whole))


def test_half_a_file_is_refused_wherever_it_ends():
    text = text_of(COURSE)
    for end in range(0, len(text.rstrip()) - 1, 97):
        with pytest.raises(InputError):
            record_of(text[:end])


def test_begun_anew_it_has_forgotten_all_but_what_there_is_to_beat():
    afresh = LESSON.afresh()
    assert not afresh.begun and LESSON.begun
    assert (afresh.best, afresh.fewest, afresh.seconds) == (LESSON.best, LESSON.fewest, LESSON.seconds)
    assert asdict(afresh)["said"] == asdict(afresh)["tried"] == asdict(afresh)["stood"] == {}
