"""Text from outside: read as data, or refused in words; never an error of another kind."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.outside import json_value, read_json, shortened


@pytest.mark.parametrize("text, words", [
    ("", "empty"), ("{", "whole JSON"), ('{"a": 1, "a": 2}', "twice"), ("[NaN]", "no number"),
    ("[1e999]", "no number"), ("[" * 100_000, "too often|at most"), ("[1]" * 100, "at most")])
def test_what_is_no_plain_json_is_refused_in_words(text, words):
    with pytest.raises(InputError, match=words):
        read_json(text, "part file", 299 if words == "at most" else 200_000)


def test_numbers_texts_and_lists_come_back_as_they_were_written():
    assert json_value('{"a": [1, 2.5, "x", null, true]}') == {"a": [1, 2.5, "x", None, True]}


@given(st.text(max_size=60))
def test_any_text_is_a_value_or_is_refused(text):
    try:
        read_json(text, "file", 100)
    except InputError as error:
        assert "\n" not in str(error)


@given(st.one_of(st.text(), st.integers(), st.lists(st.integers())))
def test_what_is_quoted_is_one_short_line(value):
    assert len(shortened(value)) <= 60 and "\n" not in shortened(value)
