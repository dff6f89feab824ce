"""A batch is written whole or not at all; students get theirs without an answer, the instructor sees all."""

import html
import json
from dataclasses import replace

import pytest

from castlab.errors import InputError
from castlab.field.diagnosis import CAUSES
from castlab.field.holes import Hole
from castlab.field.outcome import Outcome
from castlab.teach.bad_examples.batch_sheet import spread_words, write_batch
from castlab.teach.bad_examples.example_exercise import EXERCISE
from castlab.teach.bad_examples.variants import Batched, Hardness, Variant
from castlab.teach.marking.solve_answers import open_exercises
from castlab.teach.text.cautions import cautions_at

BAD = Outcome("defective", holes=(Hole("sink", "boss", 2e-6, (0.1, 0.0, 0.0), 90.0),),
              causes=("freezes first",), defect_m3=2e-6, defect_share=0.02, casting_kg=0.7, poured_kg=0.9)


def variant(seed, boss, share, ways, metal):
    exercise = replace(EXERCISE, values=EXERCISE.values | {"boss": boss})
    return Variant(seed, exercise, BAD, Hardness("boss", ("freezes first",), share, ways, metal), 8)


FOUND = Batched(variant(0, 0.040, 0.020, 3, 0.90),
                (variant(1, 0.038, 0.016, 3, 0.95), variant(2, 0.042, 0.024, 2, 0.86)), 1)


def test_the_desk_opens_the_folder_and_each_student_has_a_notebook_and_a_page(tmp_path):
    paths = write_batch(FOUND, tmp_path / "week 4")
    exercises = open_exercises(tmp_path / "week 4")
    assert [each.values["boss"] for each in exercises] == [0.038, 0.042]
    assert [each.title for each in exercises] == [f"{EXERCISE.title}, variant {n}" for n in (1, 2)]
    students = sorted(path.name for path in (tmp_path / "week 4" / "students").iterdir())
    assert [name[-18:] for name in students] == ["_01_student.html", "_01_student.ipynb", "_02_student.html",
                                                 "_02_student.ipynb"] or len(students) == 4
    for path, exercise in zip(students[1::2], exercises, strict=True):
        text = (tmp_path / "week 4" / "students" / path).read_text(encoding="utf-8")
        assert exercise.key in json.loads(text)["cells"][1]["outputs"][0]["text"]
        assert not any(words in text for words in CAUSES.values())
    assert paths[-1].name.endswith("_batch_instructor.html")


def test_the_sheet_shows_how_equal_they_are(tmp_path):
    text = html.unescape(write_batch(FOUND, tmp_path)[-1].read_text(encoding="utf-8")).replace("\xa0", " ")
    for words in (*spread_words(FOUND), *cautions_at("instructor's sheet"),
                  "heavy-end size from 40 mm (1.57 in) to 38 mm (1.5 in)", "sink in the boss"):
        assert words in text


def test_the_spread_is_said_in_numbers():
    first, holes, ways, metal, missing = spread_words(FOUND)
    assert first.startswith("All 2: the largest hole in the boss; the feeder is frozen")
    assert holes == "Holes: 1.6 to 2.4 % of the casting (the exercise as wished: 2.0 %)."
    assert ways.endswith("2 to 3 (as wished: 3).") and "86 to 95 %" in metal
    assert missing.startswith("1 of the variants asked for are missing")


@pytest.mark.slow
def test_nothing_is_replaced_unasked_and_nothing_is_written_half(tmp_path):
    last = write_batch(FOUND, tmp_path)[-1]
    for path in tmp_path.rglob("*.*"):
        if path != last:
            path.unlink()
    last.write_text("mine")
    with pytest.raises(InputError, match="there already"):
        write_batch(FOUND, tmp_path)
    assert [path.name for path in tmp_path.rglob("*.*")] == [last.name] and last.read_text() == "mine"
    write_batch(FOUND, tmp_path, overwrite=True)
    assert len(list(tmp_path.rglob("*.*"))) == 7
    with pytest.raises(InputError, match="none found"):
        write_batch(replace(FOUND, variants=()), tmp_path)
