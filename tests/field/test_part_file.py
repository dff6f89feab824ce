"""A part as a file: what is written is read again; anything else is refused in words."""

import json
from dataclasses import replace

import numpy as np
import pytest
from test_own_part import BODIES

from castlab import InputError
from castlab.field.own_part import OwnPart
from castlab.field.part_file import read_part, write_part
from castlab.field.placed import Chill, Feeder, Gate, sizes_of

PARTS = {shape: OwnPart(f"{shape} ü", (body,), "-z") for shape, (body, _) in BODIES.items()}
KNOB = {
    "castlab part": 1,
    "name": "knob",
    "lengths": "mm",
    "bodies": [{"name": "ball", "shape": "ball", "diameter": 30, "at": [0, 0, 0]}],
}


@pytest.mark.parametrize("shape", PARTS)
@pytest.mark.parametrize("lengths", ["mm", "inch"])
def test_what_is_written_is_read_again(shape, lengths):
    text = write_part(PARTS[shape], lengths)
    assert read_part(text) == PARTS[shape]
    assert write_part(read_part(text), lengths) == text


def test_lengths_are_those_of_the_file():
    inches = KNOB | {"lengths": "inch", "bodies": [KNOB["bodies"][0] | {"diameter": 1.5}]}
    assert dict(read_part(json.dumps(inches)).bodies[0].sizes)["diameter"] == pytest.approx(0.0381)


@pytest.mark.parametrize("lengths", ["mm", "inch"])
def test_what_stands_on_it_is_written_too(lengths):
    sleeved = Feeder(0.0, 0.001, 0.0, "left", 0.0254, 0.04, sleeve_thickness=0.008)
    rigging = sizes_of("feeder", 1, sleeved) | sizes_of("gate", 1, Gate(0.0, 0.0, 0.01))
    rigging |= sizes_of("chill", 1, Chill(0.0, 0.0, 0.0, contact=900.0))
    text = write_part(replace(PARTS["ball"], rigging=tuple(rigging.items())), lengths)
    part = read_part(text)
    assert replace(part, rigging=()) == PARTS["ball"] and '"contact": 900' in text
    assert dict(part.rigging) == pytest.approx(rigging, abs=1e-9)


def _changed(**changes):
    return KNOB | {"bodies": [KNOB["bodies"][0] | changes]}


AT = {"x": 0, "y": 0, "z": 0}
REFUSED = {
    "no JSON": ("knob", "whole JSON"),
    "deep": ("[" * 100_000, "whole JSON"),
    "a list": ([1], "JSON object"),
    "another file": ({"castlab": "exercise"}, "JSON object"),
    "another version": (KNOB | {"castlab part": 2}, "reads version 1"),
    "true for a version": (KNOB | {"castlab part": True}, "reads version 1"),
    "a name too many": (KNOB | {"colour": "red"}, "colour is not known"),
    "no bodies": ({key: value for key, value in KNOB.items() if key != "bodies"}, "bodies is missing"),
    "bodies in words": (KNOB | {"bodies": "ball"}, "a list of them"),
    "body in words": (KNOB | {"bodies": ["ball"]}, "an object with name"),
    "unknown lengths": (KNOB | {"lengths": "cubit"}, "lengths is 'cubit'"),
    "unknown shape": (_changed(shape="egg"), "shape is 'egg'"),
    "size in words": (_changed(diameter="30"), "diameter of ball is 30: it must be a number"),
    "no size": (KNOB | {"bodies": [{"name": "b", "shape": "ball"}]}, "diameter is missing"),
    "a size too many": (_changed(length=30), "length is not known"),
    "huge": (_changed(diameter=1e400), "whole JSON|finite"),
    "huge whole number": (_changed(diameter=10**30), "must lie between"),
    "inch taken for mm": (_changed(diameter=0.1), "must lie between 0.5 mm"),
    "place of two": (_changed(at=[0, 0]), "must be 3 numbers"),
    "metal": (_changed(metal="perhaps"), "metal of ball"),
    "name of a number": (_changed(name=[]), "name"),
    "feeders in words": (KNOB | {"feeders": "one"}, "a list of them"),
    "feeder in words": (KNOB | {"feeders": ["one"]}, "place and sizes"),
    "feeder without a place": (KNOB | {"feeders": [{"x": 0, "y": 0}]}, "z is missing"),
    "feeder of a colour": (KNOB | {"feeders": [AT | {"colour": 1}]}, "colour is not known"),
    "feeder as wide as a house": (KNOB | {"feeders": [AT | {"width": 1e4}]}, "feeder width"),
    "side in numbers": (KNOB | {"gates": [AT | {"side": 1}]}, "must be text"),
    "same name twice": ('{"castlab part": 1, "castlab part": 1}', "stands in it twice"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_part_is_refused_in_words(name):
    data, words = REFUSED[name]
    with pytest.raises(InputError, match=words):
        read_part(data if isinstance(data, str) else json.dumps(data))


@pytest.mark.parametrize(
    "change",
    [
        {"skin": "AAAA"},
        {"skin": "?"},
        {"skin": 7},
        {"corners in skin": 5},
        {"corners in skin": 10**9},
        {"corners in skin": True},
        {"diameter": 3},
    ],
)
def test_a_damaged_skin_is_refused(change):
    record = json.loads(write_part(PARTS["stl"]))
    record["bodies"][0] |= change
    with pytest.raises(InputError):
        read_part(json.dumps(record))


def test_damaged_files_are_read_or_refused():
    texts = [write_part(part) for part in PARTS.values()]
    chance, read = np.random.default_rng(7), 0
    for number in range(600):
        text = list(texts[number % len(texts)])
        for _ in range(chance.integers(1, 3)):
            at = int(chance.integers(len(text)))
            text[at : at + int(chance.integers(0, 3))] = chr(
                int(chance.choice([32, 34, 44, 45, 48, 57, 91, 125, 233]))
            )
        try:
            read_part("".join(text))
            read += 1
        except InputError as error:
            assert len(str(error)) < 500
    assert 0 < read < 600
