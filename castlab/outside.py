"""What comes from outside, as text: looked at and never run; and how it may be quoted in a message."""

import json
import math

from castlab.errors import InputError

MOST_SHOWN = 60


def plain_text(words):
    """Words on one line, without characters that cannot be seen (some turn the line round or end a page).

    >>> plain_text(" tall\\tfeeder\\x07\\u202e ")
    'tall feeder'
    """
    return " ".join("".join(char if char.isprintable() else " " for char in words).split())


def shortened(value):
    """A value in a message: the words of a short text, else what Python calls it, cut off.

    >>> shortened("two\\nlines"), shortened([1, 2]), shortened(10**99)
    ('two lines', 'list', 'a huge number')
    """
    words = value if isinstance(value, str) else _named(value)
    words = plain_text(words[:100])
    return words if len(words) <= MOST_SHOWN else words[: MOST_SHOWN - 3] + "..."


def read_json(text, what, most):
    """The value of a JSON text: no double names, no NaN, no infinity. Raises InputError for anything else.

    Parameters: `text`; `what` it is, in the reader's words; `most`, how many characters are read.

    >>> read_json('{"width": 0.03}', "answer", 100)
    {'width': 0.03}
    """
    if len(text) > most:
        raise InputError(what, f"{len(text)} characters", f"it must be at most {most}")
    if not text.strip():
        raise InputError(what, "empty", "there must be something in it")
    try:
        return json_value(text)
    except ValueError as error:
        words = plain_text(str(error))[:160]
        raise InputError(what, shortened(text), f"it must be whole JSON: {words}") from None


def json_value(text):
    """The same for whoever words the error: raises ValueError.

    >>> json_value('{"a": 1, "a": 2}')
    Traceback (most recent call last):
    ValueError: a name stands in it twice
    """
    try:
        return json.loads(
            text, parse_constant=_no_constant, parse_float=_finite, object_pairs_hook=_no_doubles
        )
    except RecursionError:
        raise ValueError("one thing lies in another too often") from None


def _named(value):
    if isinstance(value, int) and abs(value) > 10**60:
        return "a huge number"
    return type(value).__name__ if isinstance(value, (dict, list, tuple)) else repr(value)


def _no_constant(name):
    raise ValueError(f"{name} is no number")


def _finite(digits):
    number = float(digits)
    return number if math.isfinite(number) else _no_constant(digits)


def _no_doubles(pairs):
    record = dict(pairs)
    if len(record) < len(pairs):
        raise ValueError("a name stands in it twice")
    return record
