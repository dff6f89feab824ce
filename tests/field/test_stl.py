"""Reading STL: text and binary alike, refusals in words, damaged files by the thousand."""

import resource
import time

import meshes
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from castlab import InputError
from castlab.field import stl
from castlab.field.mend import mended
from castlab.field.stl import likely_unit, read_stl, sizes_of, unit_question

BALL = 1e3 * meshes.ball(0.04, rows=12)
FILES = {
    "binary": meshes.binary(BALL),
    "text": meshes.text(BALL),
    "comma": meshes.text(BALL, ","),
    "binary that begins like text": meshes.binary(BALL, b"solid ball"),
}


@pytest.mark.parametrize("name", FILES)
def test_every_kind_gives_the_same_triangles(name):
    assert read_stl(FILES[name]) == pytest.approx(BALL, abs=2e-5)


def test_commas_between_the_numbers_are_no_decimal_commas():
    listed = meshes.text(BALL).replace(b"vertex ", b"vertex  ").decode()
    rows = [
        row if "vertex" not in row else "vertex " + ", ".join(row.split()[1:]) for row in listed.splitlines()
    ]
    assert read_stl("\n".join(rows).encode()) == pytest.approx(BALL, abs=2e-5)


def test_bytes_behind_the_last_triangle_do_no_harm():
    assert read_stl(FILES["binary"] + b"made in the shed") == pytest.approx(BALL, abs=2e-5)


REFUSED = {
    "empty": (b"", "empty"),
    "blank": (b" \n ", "empty"),
    "truncated binary": (FILES["binary"][:-70], r"cut short: \d+ of \d+ triangles"),
    "truncated text": (FILES["text"][: len(FILES["text"]) // 2], "cut short after"),
    "archive": (b"PK\x03\x04" + bytes(500), "a ZIP archive"),
    "picture": (b"\x89PNG\r\n" + bytes(500), "a picture"),
    "drawing": (b"ISO-10303-21;\nHEADER;" + bytes(500), "a STEP drawing"),
    "words": (b"a letter to the instructor, " * 20, "no STL file"),
    "short": (b"solid", "no STL file"),
    "not a number": (FILES["text"].replace(b"vertex 0", b"vertex x", 1), "no number in triangle"),
    "infinite": (FILES["text"].replace(b"vertex 0", b"vertex inf", 1), "no number in triangle"),
    "far away": (meshes.binary(BALL + 1e9), "a corner far away"),
    "a head that promises too much": (
        bytes(80) + (2_000_000).to_bytes(4, "little") + bytes(50 * 10),
        "cut short",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_read_is_refused_in_words(name):
    data, words = REFUSED[name]
    with pytest.raises(InputError, match=words):
        read_stl(data)


def test_too_many_triangles_are_refused_before_memory_is_taken(monkeypatch):
    monkeypatch.setattr(stl, "MOST_TRIANGLES", len(BALL) - 1)
    for data in FILES.values():
        with pytest.raises(InputError, match=f"{len(BALL)} triangles: at most"):
            read_stl(data)


def test_memory_is_at_most_what_was_estimated():
    """Peak memory of a process never falls: what a large ball adds to it is compared with the estimate."""
    data = meshes.binary(1e3 * meshes.ball(0.04, rows=200))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    triangles = read_stl(data)
    mended(1e-3 * triangles)
    taken = 1024 * (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)
    assert len(triangles) > 150_000 and taken < stl.BYTES_PER_TRIANGLE * len(triangles)


def test_size_is_asked_in_both_units():
    assert sizes_of(BALL, "mm") == pytest.approx((0.04,) * 3, rel=2e-2)
    assert sizes_of(BALL / 25.4, "inch") == pytest.approx(sizes_of(BALL, "mm"))
    assert (likely_unit(BALL), likely_unit(BALL / 25.4)) == ("mm", "inch")
    assert "if it was drawn in mm" in str(unit_question(BALL))
    with pytest.raises(InputError, match="unit is 'cubit'"):
        sizes_of(BALL, "cubit")


def _damaged(data, chance):
    """A file with some bytes changed, cut out, doubled or cut off."""
    data = bytearray(data)
    for _ in range(chance.integers(1, 4)):
        if not data:
            break
        at, length = int(chance.integers(len(data))), int(chance.integers(1, 200))
        kind = chance.integers(5)
        if kind == 0:
            data[at : at + length] = chance.integers(0, 256, length, dtype=np.uint8).tobytes()
        elif kind == 1:
            del data[at : at + length]
        elif kind == 2:
            data[at:at] = data[at : at + length]
        elif kind == 3:
            del data[at:]
        else:
            data[80:84] = chance.integers(0, 256, 4, dtype=np.uint8).tobytes()
    return bytes(data)


def _read_damaged(numbers):
    """How many damaged files were read, how many of them closed; anything but an InputError comes through."""
    small = 1e3 * meshes.ball(0.04, rows=5)
    files = [meshes.binary(small), meshes.text(small), meshes.text(small, ",")]
    read = closed = 0
    for number in numbers:
        chance = np.random.default_rng(number)
        started = time.process_time()
        try:
            triangles = read_stl(_damaged(files[number % 3], chance))
            read += 1
            mended(1e-3 * triangles)
            closed += 1
        except InputError as error:
            assert str(error) and len(str(error)) < 400
        assert time.process_time() - started < 20.0
    return read, closed


def test_damaged_files_are_read_or_refused():
    read, closed = _read_damaged(range(300))
    assert 300 > read > closed > 0


@pytest.mark.slow
def test_five_thousand_damaged_files_are_read_or_refused():
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    read, closed = _read_damaged(range(300, 5300))
    assert 5000 > read > closed > 20
    assert 1024 * (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) < stl.MOST_BYTES


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(data):
    try:
        assert read_stl(data).shape[1:] == (3, 3)
    except InputError as error:
        assert error.parameter == stl.FILE
