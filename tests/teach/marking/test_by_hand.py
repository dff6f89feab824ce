"""Marks by hand: each with a reason, kept with the answer they were given for, never lost."""

import json

import pytest

from castlab.errors import InputError
from castlab.teach.marking.by_hand import ByHand, read_by_hand, write_by_hand

GIVEN = {"abc": ByHand(-1.5, "late \n by a week", "Ann"), "def": ByHand(0, "well said", "Bo")}


def test_what_is_written_is_read_again(tmp_path):
    path = tmp_path / "marks" / "by_hand.json"
    assert read_by_hand(path) == {}
    write_by_hand(path, GIVEN)
    write_by_hand(path, GIVEN)
    assert read_by_hand(path) == GIVEN and [each.name for each in path.parent.iterdir()] == ["by_hand.json"]
    assert GIVEN["abc"].words == "By hand: -1.5, because: late by a week."
    assert GIVEN["def"].words == "By hand: well said."


@pytest.mark.parametrize("marks, why, says", [(1, "", "say why"), (1, " ", "say why"), (None, "x", "number"),
                                              (True, "x", "number"), ("1", "x", "number"), (1e9, "x", "100"),
                                              (float("nan"), "x", "finite"), (1, "x" * 2000, "at most 1000"),
                                              (1, 5, "must be text")])
def test_marks_that_make_no_sense_are_refused(marks, why, says):
    with pytest.raises(InputError, match=says):
        ByHand(marks, why)


RIGHT = '{"castlab": "marks by hand", "version": 1, "answers": '


@pytest.mark.parametrize("content", ["", "{", "[]", "{}", RIGHT.replace("1", "2") + "{}}", RIGHT + "[]}",
                                     RIGHT + '{"a": 5}}', RIGHT + '{"a": {"marks": 1}}}'])
def test_a_damaged_file_is_refused_and_stays_as_it_is(tmp_path, content):
    path = tmp_path / "by_hand.json"
    path.write_text(content)
    with pytest.raises(InputError):
        read_by_hand(path)
    assert path.read_text() == content


def test_the_file_can_be_read_by_a_person(tmp_path):
    write_by_hand(tmp_path / "x.json", GIVEN)
    record = json.loads((tmp_path / "x.json").read_text(encoding="utf-8"))
    assert record["answers"]["abc"] == {"marks": -1.5, "why": "late by a week", "name": "Ann"}
