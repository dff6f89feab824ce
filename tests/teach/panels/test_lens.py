"""Holes through a lens: as large as they are, within the face, gas round and shrinkage branched."""

import math

import numpy as np
import pytest

from castlab.teach.panels import lens

FACE = math.pi * lens.RADIUS**2
SHARES = 0.0005, 0.002, 0.01, 0.03, 0.1


@pytest.mark.parametrize("share", SHARES)
def test_pores_take_their_share_of_the_face(share):
    assert sum(pore.area for pore in lens.pores(share)) == pytest.approx(share * FACE, rel=1e-9)


@pytest.mark.parametrize("arms", [20e-6, 40e-6, 100e-6])
@pytest.mark.parametrize("share", SHARES)
def test_crannies_take_their_share_of_the_face(share, arms):
    assert sum(hole.area for hole in lens.crannies(share, arms)) == pytest.approx(share * FACE, rel=1e-9)


def test_the_area_of_a_cranny_is_that_of_its_corners():
    """By hand: a right triangle of 3 and 4 has the area 6."""
    assert lens.Cranny(((0.0, 0.0), (3.0, 0.0), (0.0, 4.0))).area == pytest.approx(6.0)


@pytest.mark.parametrize("share", [0.0, -0.01])
def test_nothing_shows_nothing(share):
    assert lens.pores(share) == () and lens.crannies(share, 40e-6) == ()


def test_more_gas_is_more_or_larger_pores_in_the_same_places():
    few, many = lens.pores(0.005), lens.pores(0.03)
    assert len(few) < len(many)
    assert [pore.middle for pore in few] == [pore.middle for pore in many][: len(few)]


def test_holes_begin_within_the_face():
    for pore in lens.pores(0.1):
        assert math.hypot(*pore.middle) < lens.RADIUS
    for hole in lens.crannies(0.02, 40e-6):
        assert np.hypot(*np.mean(hole.corners, axis=0)) < lens.RADIUS


def test_shrinkage_is_branched_where_gas_is_round():
    """Edge against area: a circle has the least there is, a branched hole several times as much."""
    for hole in lens.crannies(0.02, 40e-6):
        corners = np.array(hole.corners)
        edge = np.hypot(*(corners - np.roll(corners, 1, axis=0)).T).sum()
        assert edge > 3.0 * 2.0 * math.sqrt(math.pi * hole.area)


def test_finer_crystals_make_finer_holes():
    fine, coarse = (lens.crannies(0.02, arms) for arms in (20e-6, 60e-6))
    assert len(fine) > len(coarse) and fine[0].area < coarse[0].area


def test_the_drawing_shows_each_hole():
    assert lens.face(lens.pores(0.03), "gas").count("<path") == len(lens.pores(0.03))
    assert lens.face(lens.crannies(0.03, 40e-6), "").count("<polygon") == len(lens.crannies(0.03, 40e-6))
