"""An exercise that brings its own part: as plain data, looked at like all else; nothing is found by name."""

import json
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from own_parts import LUG, lug, lug_exercise
from shares import every

from castlab.errors import InputError
from castlab.field.example_parts import figure
from castlab.field.parts import PARTS
from castlab.teach.bad_examples.example_exercise import EXERCISE
from castlab.teach.bad_examples.student_notebook import notebook_of
from castlab.teach.exercise import exercise as exercises
from castlab.teach.exercise.exercise import Answer, answer_text, exercise_text, read_answer, read_exercise
from castlab.teach.exercise.hand_in import brief
from castlab.teach.own_part.places_kept import with_places

OWN = lug_exercise()
RECORD = json.loads(exercise_text(OWN))
PART = RECORD["part"]
CHANGES = {"feeder_1_width": 0.024, "feeder_1_height": 0.036}
ANSWER = Answer(OWN.key, "Ida", "boss", "no feeder", CHANGES)

json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | st.just(10**400),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)


def test_it_opens_again_as_it_was_without_the_part_being_known_anywhere():
    again = read_exercise(exercise_text(OWN))
    assert again == OWN and again.key == OWN.key and again.part == lug() and "lug" not in PARTS
    assert again.design(**CHANGES).setup() == OWN.design(**CHANGES).setup()
    assert again.places == ("plate", "boss")


def test_a_part_that_bears_a_name_of_the_course_is_still_the_one_that_was_brought():
    named = replace(OWN, part=replace(lug(), name="eye plate"))
    assert read_exercise(exercise_text(named)).places == ("plate", "boss")


def test_older_readers_refuse_it_in_words_and_the_others_stay_as_they_were():
    assert (OWN.version, EXERCISE.version) == (exercises.OWN_VERSION, exercises.VERSION)
    for version in (0, 4, "3", True, None, [3]):
        with pytest.raises(InputError, match="^version is .*: this castlab reads version 3"):
            read_exercise(json.dumps(RECORD | {"version": version}))
    with pytest.raises(InputError, match="reads version 2 and before"):
        read_exercise(json.dumps(json.loads(exercise_text(EXERCISE)) | {"version": 3}))


def test_a_part_in_python_with_more_digits_gives_the_key_that_its_file_gives():
    third = replace(OWN, part=lug().with_body("boss", at=(0.01 / 3, 0.0, 0.0)))
    assert read_exercise(exercise_text(third)).key == third.key


def test_another_size_or_another_place_is_another_exercise():
    moved = tuple((name, 0.02 if name == "feeder_1_x" else value) for name, value in lug().rigging)
    other = lug().with_body("boss", diameter=0.032)
    keys = {OWN.key, replace(OWN, part=other).key, replace(OWN, part=replace(lug(), rigging=moved)).key}
    assert len(keys) == 3


def test_an_answer_to_it_is_small_and_is_read_like_any_other():
    text = answer_text(ANSWER)
    assert read_answer(text, EXERCISE, OWN) == ANSWER and "bodies" not in text
    with pytest.raises(InputError, match="slider is 'boss diameter'"):
        read_answer(answer_text(replace(ANSWER, values={"boss diameter": 0.02})), OWN)
    with pytest.raises(InputError, match="feeder 1 width is 24.3 mm"):
        read_answer(answer_text(replace(ANSWER, values={"feeder_1_width": 0.0243})), OWN)


def test_what_is_printed_says_where_a_feeder_may_stand_and_not_what_is_usual():
    words = brief(OWN)
    assert "lug, ZA-12, green sand" in words and "feeder 1 x 30 mm" in words
    assert "feeder 1 width: now 0 mm" in words and "sleeve" not in words and "feeder 1 side" not in words


def part_with(**changes):
    return RECORD | {"part": PART | changes}


def body_with(**changes):
    return part_with(bodies=[PART["bodies"][0] | changes, *PART["bodies"][1:]])


FEEDER = PART["feeders"][0]
SKIN = {"name": "s", "shape": "stl", "corners in skin": 4, "skin": "AAAA"}
HOSTILE = {
    "a list": RECORD | {"part": []},
    "a number": RECORD | {"part": 5},
    "empty": RECORD | {"part": {}},
    "another version of the part": part_with(**{"castlab part": 2}),
    "a path": RECORD | {"part": "../../etc/passwd"},
    "code": body_with(name="__import__('os').system('x')\n"),
    "an unknown shape": body_with(shape="egg"),
    "a name that turns the line round": body_with(name="pl\u202eate"),
    "a thousand bodies": part_with(bodies=PART["bodies"] * 500),
    "as large as a house": body_with(length=1e7),
    "huge": body_with(length=10**400),
    "a field too many": part_with(colour="red"),
    "a feeder as wide as a door": part_with(feeders=[FEEDER | {"width": 900}]),
    "a feeder beside the part": RECORD | {"values": RECORD["values"] | {"feeder_1_x": 0.9}},
    "seven hundred feeders": part_with(feeders=[FEEDER] * 700),
    "a feeder in words": part_with(feeders="one"),
    "bodies apart": body_with(at=[0, 500, 0]),
    "a skin that is none": part_with(bodies=[SKIN]),
    "a skin for more memory than there is": part_with(bodies=[SKIN | {"corners in skin": 10**9}]),
    "a value for a body that is not there": RECORD | {"values": RECORD["values"] | {"keel length": 0.1}},
    "a value off the slider": RECORD | {"values": RECORD["values"] | {"feeder_1_width": 3.0}},
    "a slider for code": RECORD | {"allowed": ["__class__"]},
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_part_is_refused_with_a_sentence(name):
    with pytest.raises(InputError) as refused:
        read_exercise(json.dumps(HOSTILE[name]))
    assert len(str(refused.value)) < 500 and str(refused.value).isprintable()


def test_a_file_that_is_too_long_is_not_read_at_all():
    with pytest.raises(InputError, match="it must be at most 1000000"):
        read_exercise(exercise_text(OWN) + " " * 1_000_000)
    with pytest.raises(InputError, match="it must be at most 200000"):
        read_answer(answer_text(ANSWER) + " " * 200_000, OWN)


@given(st.sampled_from(sorted(PART)), json_values)
def test_any_other_value_in_the_part_is_read_or_refused(name, value):
    try:
        read_exercise(json.dumps(part_with(**{name: value})))
    except InputError as error:
        assert len(str(error)) < 500


@pytest.mark.parametrize("seed", every(10, range(20)))
def test_a_damaged_file_is_read_or_refused(seed):
    text, chance, read = exercise_text(OWN), np.random.default_rng(seed), 0
    for _ in range(25):
        damaged = list(text)
        for _ in range(chance.integers(1, 3)):
            at = int(chance.integers(len(damaged)))
            damaged[at : at + int(chance.integers(0, 3))] = chr(chance.choice([32, 34, 44, 45, 57, 91, 233]))
        try:
            read_exercise("".join(damaged))
            read += 1
        except InputError as error:
            assert len(str(error)) < 500
    assert read < 25


def test_a_figure_of_twenty_thousand_triangles_can_be_handed_out():
    values = {"pour_temp_c": 475.0, "gate_1_thickness": 0.004}
    seal = replace(OWN, part=with_places(figure())[0], values=values, allowed=("gate_1_thickness",))
    text = exercise_text(seal)
    assert len(text) < exercises.MOST_BYTES and read_exercise(text) == seal
    long, short = (notebook_of(each)["cells"][1] for each in (seal, OWN))
    assert long["metadata"]["jupyter"] == {"source_hidden": True} and "jupyter" not in short["metadata"]
    code = "".join(re.findall(r"^ {4}'(.*)'$", long["source"], re.MULTILINE))
    assert read_exercise(code) == seal


def test_the_part_as_drawn_has_no_feeder_of_its_own():
    assert not [block for block in OWN.design().setup().layout.blocks if block.role == "feeder"]
    assert [block.name for block in OWN.design(**CHANGES).setup().layout.blocks][-1] == "feeder"
    assert LUG.rigging == ()
