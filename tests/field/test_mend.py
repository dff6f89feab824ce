"""Closing a skin: what is mended and said, what is refused and where."""

import math

import meshes
import numpy as np
import pytest

from castlab import InputError
from castlab.field.mend import mended, open_places, require_closed
from castlab.field.mesh import Mesh

BALL = meshes.ball(0.04, rows=16)
VOLUME = 4.0 / 3.0 * math.pi * 0.02**3
BLOCK = meshes.cuboid((0.0, 0.06), (0.0, 0.03), (0.0, 0.04))


def _said(triangles, volume=VOLUME):
    done = mended(triangles)
    assert done.mesh.volume == pytest.approx(volume, rel=2e-3)
    return "; ".join(map(str, done.notes))


def test_a_whole_skin_is_left_as_it_is():
    assert _said(BALL) == ""


def test_order_of_the_triangles_and_where_each_begins_do_not_matter():
    shuffled = np.roll(np.random.default_rng(1).permutation(BALL), 1, axis=1)
    assert _said(shuffled) == ""


def test_inside_out_is_turned():
    assert _said(BALL[:, ::-1]) == "it was inside out and is turned right side out"


def test_some_triangles_turned_round_are_turned_back():
    some = BALL.copy()
    some[::9] = some[::9, ::-1]
    assert _said(some) == f"{len(some[::9])} triangles were turned round and are turned back"


def test_corners_that_nearly_meet_are_joined():
    loose = BALL + np.random.default_rng(2).uniform(-2e-6, 2e-6, BALL.shape)
    assert _said(loose) == ""


def test_missing_triangles_are_put_back():
    assert "a gap of" in _said(np.delete(BALL, 200, axis=0))
    assert "3 small gaps are closed" in _said(np.delete(BALL, [100, 300, 500], axis=0))


def test_doubles_and_slivers_go():
    sliver = np.array([[BALL[3, 0], BALL[3, 0], BALL[3, 1]]])
    assert _said(np.concatenate([BALL, BALL[:7], sliver])) == ""


def test_a_hollow_inside_stays_and_a_loose_sheet_goes():
    hollow = 0.5 * BALL[:, ::-1]
    assert _said(np.concatenate([BALL, hollow]), VOLUME * (1 - 0.5**3)) == ""
    sheet = np.array([[(0, 0, 0), (1e-3, 0, 0), (0, 1e-3, 0)], [(0, 0, 0), (0, 1e-3, 0), (1e-3, 0, 0)]])
    assert _said(np.concatenate([BALL, sheet])) == ""


def test_bodies_that_reach_into_each_other_count_once():
    """Two blocks of 60 x 30 x 40 mm, one moved by 20 mm: 80 x 30 x 40 mm."""
    both = np.concatenate([BLOCK, BLOCK + (0.02, 0.0, 0.0)])
    assert "common room counts once" in _said(both, 0.08 * 0.03 * 0.04)


REFUSED = {
    "open": (np.delete(BLOCK, [1, 5, 9, 13], axis=0), "open in 1 places, .* at x 30 mm, y 30 mm, z 20 mm"),
    "two pieces": (np.concatenate([BALL, BALL + (0.1, 0.0, 0.0)]), "one piece"),
    "flat": (BLOCK * (1, 0, 1), "flat"),
    "thin sheet": (BLOCK * (1, 0.003, 1), "flat"),
    "one triangle": (BALL[:1], "open"),
    "nothing": (BALL[:0], "empty"),
    "metres taken for millimetres": (100.0 * BALL, "size of the part is 4.* mm: it must lie between"),
    "far too small": (1e-3 * BALL, "size of the part is 0.04"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_mended_is_refused_in_words(name):
    triangles, words = REFUSED[name]
    with pytest.raises(InputError, match=words):
        mended(triangles)


def test_a_skin_that_is_half_inside_out_is_refused():
    """A ribbon twisted on itself: two blocks joined at an edge, one of them turned inside out."""
    twisted = np.concatenate([BLOCK, meshes.cuboid((0.06, 0.12), (0.0, 0.03), (0.0, 0.04))[:, ::-1]])
    try:
        done = mended(twisted)
    except InputError:
        return
    assert done.mesh.volume == pytest.approx(0.12 * 0.03 * 0.04, rel=1e-2)


def test_where_it_is_open_can_be_shown():
    (place,) = open_places(np.delete(BLOCK, [1, 5, 9, 13], axis=0))  # without its lid
    assert place[0] == pytest.approx((0.03, 0.03, 0.02), abs=1e-6)
    assert place[1] == pytest.approx(math.hypot(0.06, 0.04))
    assert open_places(BLOCK) == []


def test_what_was_packed_is_looked_at_again():
    mesh = mended(BALL).mesh
    assert require_closed(mesh) == mesh
    for damaged, words in (
        (mesh.packed_faces[12 * 40 :], "open"),
        (np.ascontiguousarray(mesh.faces[:, ::-1]).tobytes(), "inside out"),
    ):
        with pytest.raises(InputError, match=words):
            require_closed(Mesh(mesh.packed_corners, damaged))
