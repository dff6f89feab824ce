"""Exercises and answers: written as JSON, read again, and refused in words when they are wrong."""

import hashlib
import json
from dataclasses import asdict, fields, replace
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.field.diagnosis import CAUSES, diagnose
from castlab.field.holes import Place, holes_of
from castlab.field.layout import Layout, box
from castlab.field.outcome import pour
from castlab.outside import plain_text
from castlab.teach.bad_examples.example_exercise import ANSWERS, EXERCISE
from castlab.teach.exercise.exercise import (
    Exercise,
    answer_text,
    exercise_text,
    read_answer,
    read_exercise,
)
from castlab.teach.text.sentence import sentence

GOOD = ANSWERS["ida"]
RECORD = {"castlab": "exercise", **asdict(EXERCISE)}
ANSWER = {"castlab": "answer", **asdict(GOOD)}
HUGE = 10**400
HANDED_OUT = Path(__file__).resolve().parents[2] / "handed_out_before"

json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | st.just(HUGE),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)


def changed_values(**values):
    return replace(EXERCISE, values=EXERCISE.values | values)


# ---- exercises


def test_an_exercise_opens_again_as_it_was():
    again = read_exercise(exercise_text(EXERCISE))
    assert again == EXERCISE and again.key == EXERCISE.key
    assert list(again.marks) == ["place", "reason", "sound", "metal", "words"]


def test_whole_numbers_and_the_order_of_sliders_do_not_change_the_key():
    values = EXERCISE.values | {"pour_temp_c": 475, "chill_thickness": 0}
    same = replace(EXERCISE, values=values, allowed=EXERCISE.allowed[::-1])
    assert same.key == EXERCISE.key


def test_every_change_of_the_casting_has_another_key():
    keys = {EXERCISE.key, changed_values(boss=0.042).key, replace(EXERCISE, most_metal_kg=2.0).key,
            replace(EXERCISE, allowed=EXERCISE.allowed[:2]).key}
    assert len(keys) == 4


def test_title_and_marks_may_be_corrected_after_the_hand_out():
    corrected = replace(EXERCISE, title="Another", marks=EXERCISE.marks | {"reason": 5, "words": 2})
    assert corrected.key == EXERCISE.key and corrected.most_marks == EXERCISE.most_marks + 4
    assert read_answer(answer_text(GOOD), corrected) == GOOD


def test_an_exercise_and_an_answer_of_version_1_are_read():
    """Their key had title and marks in it, and there was no number and no mark for words."""
    before = json.loads((HANDED_OUT / "exercise.json").read_text(encoding="utf-8"))
    assert before["version"] == 1 and "words" not in before["marks"]
    exercise = read_exercise(json.dumps(before))
    assert exercise.version == 2 and exercise.marks["words"] == 0
    old = {name: value for name, value in ANSWER.items() if name != "number"} | {"version": 1}
    written = hashlib.sha256(json.dumps(before, indent=1, sort_keys=True).encode()).hexdigest()[:12]
    answer = read_answer(json.dumps(old | {"exercise": written}), exercise)
    assert (answer.exercise, answer.number, answer.name) == (exercise.key, "", GOOD.name)


def test_an_answer_goes_to_the_one_of_several_exercises_that_it_names():
    other = changed_values(boss=0.042)
    assert read_answer(answer_text(replace(GOOD, exercise=other.key)), EXERCISE, other).exercise == other.key
    with pytest.raises(InputError, match=f"must be to exercise {EXERCISE.key}, {other.key}$"):
        read_answer(answer_text(replace(GOOD, exercise="0" * 12)), EXERCISE, other)


def test_an_exercise_says_neither_where_nor_why():
    record = json.loads(exercise_text(EXERCISE))
    assert set(record) == {"castlab", *(each.name for each in fields(Exercise))}
    text = exercise_text(replace(EXERCISE, title="x"))
    assert not [words for key, words in CAUSES.items() if f'"{key}"' in text or words in text]
    assert not [place for place in EXERCISE.places if f': "{place}"' in text]


def test_only_the_allowed_sliders_are_there():
    assert {slider.name for slider in EXERCISE.sliders()} == set(EXERCISE.allowed)
    assert {slider.name: slider.value for slider in EXERCISE.sliders()}["feeder_width"] == 0.020


def test_an_exercise_of_metal_and_pour_alone_has_no_other_sliders():
    bare = replace(EXERCISE, values={"pour_temp_c": 475.0}, allowed=("pour_temp_c",))
    assert [slider.name for slider in bare.sliders()] == ["pour_temp_c"]


@pytest.mark.parametrize(
    "change, parameter",
    [
        ({"title": ""}, "title"),
        ({"title": "two\nlines"}, "title"),
        ({"title": "\u202egnp.exe"}, "title"),
        ({"title": 5}, "title"),
        ({"title": "x" * 121}, "title"),
        ({"part": "keel"}, "part"),
        ({"part": ["sheave"]}, "part"),
        ({"alloy": "butter"}, "alloy"),
        ({"mould": "cheese"}, "mould"),
        ({"values": []}, "values"),
        ({"values": {"boss": 0.04}}, "values"),
        ({"values": {"pour_temp_c": 475.0, "metal": "A356"}}, "slider"),
        ({"values": {"pour_temp_c": 475.0, "x" * 1000: 1.0}}, "slider"),
        ({"values": {"pour_temp_c": 2000.0}}, "pouring temperature"),
        ({"values": {"pour_temp_c": "hot"}}, "pouring temperature"),
        ({"values": {"pour_temp_c": True}}, "pour_temp_c"),
        ({"values": {"pour_temp_c": HUGE}}, "pour_temp_c"),
        ({"values": {"pour_temp_c": [475.0]}}, "pour_temp_c"),
        ({"values": {"pour_temp_c": 475.0, "boss": 5.0}}, "heavy-end size"),
        ({"values": {"pour_temp_c": 477.0}, "allowed": ("pour_temp_c",)}, "pouring temperature"),
        ({"allowed": ()}, "allowed"),
        ({"allowed": "boss"}, "allowed"),
        ({"allowed": ("core",)}, "allowed slider"),
        ({"allowed": ({},)}, "allowed slider"),
        ({"allowed": ("alloy",)}, "allowed"),
        ({"most_metal_kg": "1.5"}, "most metal"),
        ({"most_metal_kg": float("nan")}, "most metal"),
        ({"most_metal_kg": 0}, "most metal"),
        ({"marks": {"place": 1}}, "marks"),
        ({"marks": {"place": 0, "reason": 0, "sound": 0, "metal": 0, "words": 0}}, "marks"),
        ({"marks": {"place": -1, "reason": 3, "sound": 4, "metal": 3, "words": 0}}, "marks for place"),
        ({"marks": {"place": None, "reason": 3, "sound": 4, "metal": 3, "words": 0}}, "marks for place"),
    ],
)
def test_what_no_bench_can_show_is_refused(change, parameter):
    with pytest.raises(InputError) as caught:
        replace(EXERCISE, **{"allowed": ("pour_temp_c",)} | change)
    assert caught.value.parameter == parameter
    assert len(str(caught.value)) < 1500


@pytest.mark.parametrize(
    "text, says",
    [
        ("", "empty"),
        ("  \n", "empty"),
        ("{", "whole JSON"),
        ("[" * 100_000, "whole JSON"),
        ('{"castlab": "exercise"', "whole JSON"),
        ("[1, 2]", "JSON object"),
        ("null", "JSON object"),
        (json.dumps(ANSWER), "JSON object"),
        (json.dumps(RECORD | {"version": 3}), "reads version 2"),
        (json.dumps(RECORD | {"version": True}), "reads version 2"),
        (json.dumps(RECORD | {"version": "1"}), "reads version 2"),
        (json.dumps(RECORD | {"answer": "boss"}), "must not have it"),
        (json.dumps({name: value for name, value in RECORD.items() if name != "part"}), "must have it"),
        (json.dumps(RECORD | {"most_metal_kg": float("nan")}), "is no number"),
        (json.dumps(RECORD | {"most_metal_kg": float("inf")}), "is no number"),
        (json.dumps(RECORD).replace("1.5", "1e999"), "is no number"),
        (json.dumps(RECORD).replace("1.5", "9" * 400), "number of usual size"),
        (json.dumps(RECORD).replace("1.5", "9" * 5000), "whole JSON"),
        (json.dumps(RECORD).replace('"part"', '"part": "sheave", "part"'), "stands in it twice"),
        (" " * 1_000_001, "at most 1000000"),
    ],
)
def test_what_is_no_exercise_is_refused_in_words(text, says):
    with pytest.raises(InputError, match=says) as caught:
        read_exercise(text)
    assert len(str(caught.value)) < 500


@given(st.sampled_from(sorted(RECORD)), json_values)
def test_any_value_in_any_field_is_an_exercise_or_refused(name, value):
    try:
        exercise = read_exercise(json.dumps(RECORD | {name: value}))
    except InputError:
        return
    exercise.design().setup()
    assert exercise.sliders()


# ---- answers


def test_an_answer_is_read_as_it_was_written():
    assert read_answer(answer_text(GOOD), EXERCISE) == GOOD
    assert "\n" not in answer_text(replace(GOOD, words="two\nlines"))


@pytest.mark.parametrize(
    "change, says",
    [
        ({"exercise": "0" * 12}, "to exercise"),
        ({"exercise": 7}, "must be text"),
        ({"name": " \n"}, "whose it is"),
        ({"name": "x" * 201}, "must be text"),
        ({"name": None}, "must be text"),
        ({"number": 17}, "must be text"),
        ({"number": "x" * 41}, "must be text"),
        ({"words": "x" * 2001}, "must be text"),
        ({"block": "mast"}, "known are"),
        ({"block": "feeder"}, "known are"),
        ({"reason": "bad luck"}, "known are"),
        ({"reason": ""}, "known are"),
        ({"values": None}, "pairs of slider"),
        ({"values": []}, "pairs of slider"),
        ({"values": {"boss": 0.03}}, "known are"),
        ({"values": {"alloy": "A356"}}, "known are"),
        ({"values": {"x" * 10_000: 1}}, "known are"),
        ({"values": {"feeder_width": 0.5}}, "between 0 mm and 56 mm"),
        ({"values": {"feeder_width": -0.002}}, "between 0 mm and 56 mm"),
        ({"values": {"feeder_width": 0.0301}}, "in steps of"),
        ({"values": {"feeder_width": "0.03"}}, "must be a number"),
        ({"values": {"feeder_width": True}}, "must be a number"),
        ({"values": {"feeder_width": None}}, "must be a number"),
        ({"values": {"feeder_width": {"$": 1}}}, "must be a number"),
        ({"values": {"feeder_width": HUGE}}, "must be a number"),
        ({"values": {"pour_temp_c": 700}}, "between 450 °C and 540 °C"),
    ],
)
def test_an_answer_out_of_bounds_is_refused(change, says):
    with pytest.raises(InputError, match=says) as caught:
        read_answer(json.dumps(ANSWER | change), EXERCISE)
    assert len(str(caught.value)) < 800


def test_words_of_an_answer_become_one_plain_line():
    record = ANSWER | {"name": " Ann\t\x07\u202eLee ", "words": "a\n\nb\ud800c"}
    answer = read_answer(json.dumps(record), EXERCISE)
    assert (answer.name, answer.words) == ("Ann Lee", "a b c")
    assert plain_text("\ufeffx\u2028y") == "x y"


def test_another_alloy_brings_its_own_pouring_temperatures():
    free = replace(EXERCISE, allowed=("alloy", "pour_temp_c"))
    free.require_cure({"pour_temp_c": 720.0, "alloy": "A356"})
    with pytest.raises(InputError, match="pouring temperature"):
        free.require_cure({"pour_temp_c": 475.0, "alloy": "A356"})


@given(st.sampled_from(sorted(ANSWER)), json_values)
def test_any_value_in_any_field_is_an_answer_or_refused(name, value):
    try:
        answer = read_answer(json.dumps(ANSWER | {name: value}), EXERCISE)
    except InputError:
        return
    EXERCISE.design(**answer.values)


# ---- causes agree with what the bench says


@pytest.mark.parametrize(
    "alloy, values, cause, says",
    [
        ("ZA-12", {"feeder_width": 0.0}, "no feeder", "nothing above it is still liquid"),
        ("ZA-12", {"feeder_width": 0.020}, "freezes first", "the feeder freezes first"),
        ("fine silver", {"pour_temp_c": 1040.0, "feeder_width": 0.036, "neck_width": 0.004}, "way closes",
         "the neck freezes first"),
    ],
)
def test_the_cause_is_what_the_sentence_says(alloy, values, cause, says):
    exercise = replace(EXERCISE, alloy=alloy, values=EXERCISE.values | values)
    found = diagnose(pour(exercise.design()))
    assert found.cause == cause
    assert says in sentence(found)


class Account:
    """As much of an account as a cause is read off: holes, and when feeder and boss were solid."""

    def __init__(self, *places, feeder_froze=100.0, emptied=0.1, beside=0.0):
        body = box("boss", "casting", (0.0, 0.04), (0.0, 0.04), (-0.02, 0.02))
        feeder = box("feeder", "feeder", (0.0, 0.02), (0.04, 0.09), (-0.01, 0.01))
        layout = Layout((body, feeder), (-0.1, -0.1, -0.1), (0.2, 0.2, 0.1))
        self.run = SimpleNamespace(grid=SimpleNamespace(layout=layout))
        self.holes, self.feeder_emptied, self.beside_feeder_m3 = holes_of(places), emptied, beside
        self.defect_m3, self.paid_m3 = sum(place.volume_m3 for place in places), {"sponge": 0.0}
        self.past_feeder_m3 = 0.0
        self.froze_s, self.verdict = {"boss": 200.0, "feeder": feeder_froze}, "defective"


CAVITY = Place("cavity", 2e-6, (0.02, 0.02), "boss", 190.0)
PIPE = replace(CAVITY, kind="pipe_into_casting")


@pytest.mark.parametrize(
    "account, causes",
    [
        (Account(CAVITY, feeder_froze=100.0), ("freezes first",)),
        (Account(CAVITY, feeder_froze=300.0), ("way closes",)),
        # 15 % later than the 180 s, the feeder would be solid after the boss
        (Account(CAVITY, feeder_froze=180.0), ("freezes first", "way closes")),
        (Account(CAVITY, feeder_froze=300.0, emptied=0.95), ("runs empty",)),
        (Account(CAVITY, feeder_froze=300.0, emptied=0.78), ("way closes", "runs empty")),
        (Account(CAVITY, feeder_froze=100.0, emptied=0.65), ("runs empty",)),
        (Account(CAVITY, feeder_froze=300.0, beside=1.8e-6), ("freezes first",)),
        (Account(PIPE, feeder_froze=300.0, emptied=0.6), ("runs empty",)),
        (Account(PIPE, feeder_froze=300.0), ("way closes",)),
        (Account(replace(CAVITY, kind="sponge")), ("even",)),
        (Account(replace(CAVITY, centre=(0.02, 0.095)), feeder_froze=300.0), ("uphill",)),
    ],
)
def test_causes_follow_from_times_and_volumes(account, causes):
    assert diagnose(account).causes == causes
