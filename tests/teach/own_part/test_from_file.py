"""Files that people bring: saved parts, STL in mm and inch, and what is refused."""

from dataclasses import replace

import meshes
import pytest

from castlab import InputError
from castlab.field.example_parts import cleat_with_feet
from castlab.teach.own_part import from_file
from castlab.teach.own_part.from_file import part_of, question_about, save_part, saved_part, triangles_in

BALL = meshes.ball(0.03, rows=12)


def test_a_part_is_saved_and_read_again(tmp_path):
    path = save_part(cleat_with_feet(), tmp_path)
    assert [each.name for each in tmp_path.iterdir()] == ["cleat_with_feet.part.json"]
    data = path.read_bytes()
    assert triangles_in(data) is None and saved_part(data) == cleat_with_feet()


def test_another_part_of_the_same_name_is_not_touched(tmp_path):
    first = save_part(cleat_with_feet(), tmp_path)
    kept, other = first.read_bytes(), replace(cleat_with_feet(), up="-y")
    second = save_part(other, tmp_path)
    assert second != first and first.read_bytes() == kept
    assert save_part(cleat_with_feet(), tmp_path, before=second) == second
    assert saved_part(second.read_bytes()) == cleat_with_feet()


@pytest.mark.parametrize("unit, factor", [("mm", 1e3), ("inch", 1 / 0.0254)])
def test_the_unit_is_asked_and_the_likelier_one_named(unit, factor):
    triangles = triangles_in(meshes.binary(factor * BALL))
    words, likely = question_about(triangles)
    assert likely == unit and "30.3 mm" in str(words)
    part, notes = part_of(triangles, unit, "a knob.v2.stl")
    assert part.name == "a knob v2" and notes == ()
    assert part.blocks[0].volume == pytest.approx(1.4137e-5, rel=1e-2)


def test_what_cannot_be_taken_says_so(monkeypatch):
    with pytest.raises(InputError, match="whole JSON"):
        saved_part(b"{")
    with pytest.raises(InputError, match="no text"):
        saved_part(b"{\xff")
    with pytest.raises(InputError, match="size of the part"):
        part_of(BALL, "mm", "small.stl")
    monkeypatch.setattr(from_file, "MOST_BYTES", 1000)
    with pytest.raises(InputError, match="at most"):
        triangles_in(meshes.binary(BALL))
