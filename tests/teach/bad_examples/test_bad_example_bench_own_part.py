"""A bad example of a part of one's own: brought as a file, searched, written, and solved by the desk."""

import json

import pytest
from made_holes import CM3, sink
from own_parts import LUG, lug
from plans import followed as follow

from castlab.errors import InputError
from castlab.field.outcome import COARSE, outcome_of
from castlab.field.part_file import write_part
from castlab.teach.bad_examples import bad_example_bench, hand_out
from castlab.teach.bad_examples.bad_example_bench import BadBench
from castlab.teach.bad_examples.search import Found, first_settings, prove
from castlab.teach.bad_examples.student_notebook import notebook_of
from castlab.teach.exercise.exercise import read_exercise
from castlab.teach.exercise.hand_in import HandIn
from castlab.teach.marking.model_answer import allowed_kinds


@pytest.fixture(scope="module")
def desk():
    made = BadBench("eye plate")
    made.bring("lug.part.json", write_part(lug()).encode())
    yield made
    made.stop()


def quick(wish, seed=1):
    """A search that finds at once."""
    found, _ = follow(prove(wish, wish.design(wish.start)), lambda design, cell: sink(2 * CM3))
    return Found(True, wish.start, found, sink(2 * CM3), {}, 20.0)
    yield


def test_a_part_that_is_brought_stands_on_the_bench_with_its_own_sliders(desk):
    assert desk.words == "lug.part.json is on the bench." and desk.bench.error is None
    assert desk.wish.part == lug() and set(desk._block.options) == {"plate", "boss"}
    assert set(desk.wish.turn) == {"feeder_1_width", "feeder_1_height", "gate_1_thickness", "pour_temp_c"}
    assert "data:image/png" in desk.bench._drawing.value


@pytest.mark.parametrize("data", [b"", b"{}", b"\xff", b"solid x", json.dumps({"castlab part": 9}).encode()])
def test_another_file_is_refused_and_the_part_stays(desk, data):
    with pytest.raises(InputError):
        desk.bring("x.json", data)
    assert desk.wish.part == lug()


def test_the_search_begins_with_feeders_where_their_place_is(desk):
    settings = [dict(zip(desk.wish.start, key, strict=True)) for key in first_settings(desk.wish, 1)[0]]
    widths = {each["feeder_1_width"] for each in settings}
    assert settings[0] == desk.wish.start and min(widths) == 0.0 and max(widths) > 0.02


def test_what_was_found_becomes_an_exercise_that_brings_the_part(desk, monkeypatch, tmp_path):
    monkeypatch.setattr(bad_example_bench, "find", quick)
    desk.choose(size=0.5 * CM3, kind="sink", block="boss")
    desk.search()
    assert desk.wait(60).met and "2.0 cm3 in the boss" in desk.words
    exercise = desk.exercise()
    assert exercise.part == lug() and exercise.allowed == ("feeder_1_height", "feeder_1_width",
                                                          "gate_1_thickness")
    texts = hand_out.texts_for_student(exercise)
    assert read_exercise(texts[0]) == exercise
    assert notebook_of(exercise)["cells"] and "lug, ZA-12" in texts[2]
    task = HandIn(texts[0])
    task.expect("boss", "no feeder")
    task.bench.set(feeder_1_width=0.024, feeder_1_height=0.036)
    task.write(name="Ida")
    outcome = outcome_of(exercise.design(**task.answer().values), COARSE)
    assert outcome.sound and task.bench.sentence.startswith("Sound")


def test_the_desk_looks_for_a_cure_with_the_students_sliders_alone(desk):
    exercise = desk.exercise()
    kinds = {kind.key: kind for kind in allowed_kinds(exercise)}
    assert "feeder in its place" in kinds and "cooler pour" not in kinds
    for kind in kinds.values():
        for _, changes in kind.settings:
            exercise.require_cure(dict(changes))


@pytest.mark.slow
def test_a_bare_part_gets_its_places(desk):
    desk.bring("lug.part.json", write_part(LUG).encode())
    assert "begin at 0" in desk.words and "feeder_1_width" in desk.bench.controls
