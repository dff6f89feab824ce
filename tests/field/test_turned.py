"""What is turned round an axis: volume and shares against cylinders and cones, sections, turning."""

import math

import numpy as np
import pytest

from castlab.field.bodies import cone, cylinder, moved, ring
from castlab.field.layout import Block
from castlab.field.section import outlines, upright_spans
from castlab.field.shares import shares_of
from castlab.field.turned import Turned

STEPPED = ((0.0, 0.0), (0.02, 0.0), (0.02, 0.02), (0.01, 0.02), (0.01, 0.05), (0.0, 0.05))
PIPE = ((0.01, 0.0), (0.02, 0.0), (0.02, 0.03), (0.01, 0.03))
# The outline, and the bodies that it is made of.
CASES = {
    "shaft with a collar": (
        STEPPED,
        [
            cylinder("a", "casting", "y", (0.0, 0.0), 0.04, (0.0, 0.02)),
            cylinder("b", "casting", "y", (0.0, 0.0), 0.02, (0.02, 0.05)),
        ],
    ),
    "pipe": (PIPE, [ring("r", "casting", "y", (0.0, 0.0), 0.02, 0.04, (0.0, 0.03))]),
    "cone": (
        ((0.0, 0.0), (0.015, 0.0), (0.03, 0.04), (0.0, 0.04)),
        [cone("k", "casting", "y", (0.0, 0.0), (0.03, 0.06), (0.0, 0.04))],
    ),
}


def _block(points, axis=1, middle=(0.0, 0.0)):
    form = Turned(axis, middle, points)
    return Block("t", "casting", *form.extent, form=form)


@pytest.mark.parametrize("name", CASES)
def test_it_covers_what_its_bodies_cover(name):
    points, bodies = CASES[name]
    body = _block(points)
    assert body.volume == pytest.approx(sum(each.volume for each in bodies), rel=1e-12)
    edges = [np.arange(-0.033, 0.06, 3e-3), np.arange(-0.01, 0.06, 5e-3), np.arange(-0.033, 0.06, 3e-3)]
    covered = np.zeros([len(edge) - 1 for edge in edges])
    for each in bodies:
        shares = shares_of(each, edges)
        covered[shares.where] += shares.share
    mine = shares_of(body, edges)
    assert mine.share == pytest.approx(covered[mine.where], abs=1e-9)


def test_a_ball_is_half_a_circle_turned():
    """The shares of a ball of 50 mm: its formula for the volume."""
    angles = np.linspace(-math.pi / 2, math.pi / 2, 60)
    body = _block(tuple((max(0.025 * math.cos(a), 0.0), 0.025 * math.sin(a)) for a in angles))
    assert body.volume == pytest.approx(math.pi / 6 * 0.05**3, rel=2e-3)
    edges = [np.arange(-0.031, 0.04, 4e-3)] * 3
    assert shares_of(body, edges).share.sum() * 4e-3**3 == pytest.approx(body.volume, rel=2e-3)


def test_moved_there_and_back_and_upside_down():
    body = _block(STEPPED, middle=(0.01, -0.02))
    there = moved(body, lambda point: (-point[1], point[2], point[0]))
    back = moved(there, lambda point: (point[2], -point[0], point[1]))
    assert back.form.key == body.form.key and there.form.axis == 0
    down = moved(body, lambda point: (point[0], -point[1], -point[2]))
    assert upright_spans(down, 0.01 + 0.015, 0.02) == [pytest.approx((-0.02, 0.0))]


def test_sections_through_it_and_beside_its_axis():
    assert upright_spans(_block(STEPPED), 0.005, 0.0) == [pytest.approx((0.0, 0.05))]
    assert upright_spans(_block(STEPPED), 0.015, 0.0) == [pytest.approx((0.0, 0.02))]
    assert upright_spans(_block(PIPE), 0.0, 0.0) == []
    assert upright_spans(_block(PIPE), 0.0, 0.015) == [pytest.approx((0.0, 0.03))]
    assert len(outlines(_block(PIPE, axis=2), 0.01)) == 2
    assert outlines(_block(STEPPED), 0.03) == ()


def test_wall_is_what_a_founder_would_measure():
    assert Turned(1, (0.0, 0.0), PIPE).wall == pytest.approx(0.01)
    assert Turned(1, (0.0, 0.0), STEPPED).wall == pytest.approx(0.02)
