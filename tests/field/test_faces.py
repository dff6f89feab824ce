"""Free faces from bodies: lines through metal, faces beside a place, where a body stands firmly."""

import math

import meshes
import pytest

from castlab import InputError
from castlab.field.bodies import ball, cylinder
from castlab.field.faces import SIDES, foot_of, free_face, metal_spans
from castlab.field.layout import Block, box
from castlab.field.mend import mended

STONE = ball("stone", "casting", (0.0, 0.0, 0.0), 0.06)
BLOCK = box("block", "casting", (0.0, 0.06), (0.0, 0.03), (0.0, 0.04))


def _mesh(triangles):
    mesh = mended(triangles).mesh
    return Block("mesh", "casting", *mesh.extent, form=mesh)


@pytest.mark.parametrize("axis", range(3))
def test_lines_through_a_ball_on_each_axis(axis):
    half = math.sqrt(0.03**2 - 0.01**2 - 0.015**2)
    for body in (STONE, _mesh(meshes.ball(0.06, rows=96))):
        assert metal_spans((body,), axis, 0.01, 0.015) == [pytest.approx((-half, half), rel=1.2e-2)]


def test_bodies_that_touch_or_overlap_are_one_and_cores_are_none():
    other = box("other", "casting", (0.06, 0.1), (0.0, 0.03), (0.0, 0.04))
    third = box("third", "casting", (0.09, 0.12), (0.0, 0.03), (0.0, 0.04))
    hole = cylinder("hole", "core", "y", (0.03, 0.02), 0.01, (-0.01, 0.05))
    assert metal_spans((BLOCK, other, third), 0, 0.01, 0.02) == [(0.0, 0.12)]
    found = metal_spans((BLOCK, other, hole), 0, 0.01, 0.0201)
    assert found == [pytest.approx((0.0, 0.025), abs=1e-4), pytest.approx((0.035, 0.1), abs=1e-4)]
    assert metal_spans((BLOCK, hole), 1, 0.03, 0.02) == []
    assert metal_spans((BLOCK,), 1, 0.2, 0.2) == []


@pytest.mark.parametrize("side", SIDES)
def test_each_side_of_a_block(side):
    axis, sign = SIDES[side]
    for body in (BLOCK, _mesh(meshes.cuboid((0.0, 0.06), (0.0, 0.03), (0.0, 0.04)))):
        face = free_face((body,), side, (0.02, 0.01, 0.03))
        assert face.at[axis] == pytest.approx(body.high[axis] if sign > 0 else body.low[axis])
        for other in (each for each in range(3) if each != axis):
            assert face.reach_along(other) == pytest.approx((body.low[other], body.high[other]))
        assert foot_of((body,), face, (0.02, 0.02)) == face.at[axis]


def test_under_an_overhang_the_face_is_not_direct():
    roof = box("roof", "casting", (0.0, 0.06), (0.05, 0.06), (0.0, 0.04))
    assert not free_face((BLOCK, roof), "top", (0.03, 0.015, 0.02)).direct
    assert free_face((BLOCK, roof), "top", (0.03, 0.055, 0.02)).direct


def test_on_a_round_face_a_body_sinks_in_until_it_touches_over_half_its_width():
    face = free_face((STONE,), "top", (0.0, 0.0, 0.0))
    assert foot_of((STONE,), face, (0.04, 0.04)) == pytest.approx(math.sqrt(0.03**2 - 0.01**2), rel=5e-3)
    rod = cylinder("rod", "casting", "x", (0.0, 0.0), 0.06, (-0.1, 0.1))
    assert foot_of((rod,), free_face((rod,), "top", (0.0, 0.0, 0.0)), (0.001, 0.04)) < 0.0295


def test_a_step_beside_it_is_another_face():
    step = box("step", "casting", (0.06, 0.1), (0.0, 0.01), (0.0, 0.04))
    face = free_face((BLOCK, step), "top", (0.055, 0.0, 0.02))
    assert foot_of((BLOCK, step), face, (0.04, 0.04)) == 0.03


def test_where_there_is_no_metal_it_says_so():
    with pytest.raises(InputError, match="place at the top is x 200 mm, z 20 mm: there is no metal"):
        free_face((BLOCK,), "top", (0.2, 0.0, 0.02))
    with pytest.raises(InputError, match="side is 'roof'"):
        free_face((BLOCK,), "roof", (0.0, 0.0, 0.0))
