"""The cut-away: a quarter is gone where it was told, colours on the cuts, red where a hole is cut open."""

import io

import numpy as np
import pytest
from PIL import Image

from castlab.field.design import design
from castlab.field.example_parts import door_handle
from castlab.field.outcome import COARSE, pour
from castlab.field.own_part import Body, OwnPart
from castlab.materials import alloy, mould
from castlab.teach.own_part.cut_away import TALL, WIDE, cut_away
from castlab.teach.picture.picture import BAND_COLOURS
from castlab.teach.picture.raster import VOID_INK

BALL = OwnPart("ball", (Body("ball", "ball", (("diameter", 0.05),)),))


def poured(part):
    return pour(design(part, alloy("ZA-12"), mould("green sand"), 475.0), COARSE)


@pytest.fixture(scope="module")
def ball():
    return poured(BALL)


def drawn(account, point):
    return np.array(Image.open(io.BytesIO(cut_away(account, point))))


def count(pixels, colours):
    return int(np.isin(_codes(pixels), _codes(np.array(colours))).sum())


def _codes(pixels):
    return (pixels.astype(int) * (65536, 256, 1)).sum(axis=-1)


def test_through_the_middle_the_cuts_show_the_order_of_freezing_and_the_hole(ball):
    pixels = drawn(ball, (0.0, 0.0, 0.0))
    assert pixels.shape == (TALL, WIDE, 3)
    assert count(pixels, BAND_COLOURS) > 1500 and count(pixels, BAND_COLOURS[-2:]) > 100
    assert count(pixels, [VOID_INK]) > 20  # a ball that nothing feeds sinks at its top
    assert count(pixels, [(255, 255, 255)]) > 0.5 * TALL * WIDE


@pytest.mark.slow
def test_a_cut_beyond_the_casting_cuts_nothing_and_one_before_it_takes_a_quarter(ball):
    whole = drawn(ball, (1.0, 0.0, 1.0))
    assert count(whole, BAND_COLOURS) == 0 and count(whole, [VOID_INK]) == 0
    deeper = count(drawn(ball, (-0.01, 0.0, -0.01)), [(255, 255, 255)])
    assert deeper > count(whole, [(255, 255, 255)])


@pytest.mark.slow
def test_the_cuts_of_a_ball_are_two_half_discs_as_seen_from_there(ball):
    """Half a disc square to x, and half a disc square to z, each seen at the slant of the eye: by hand
    0.5 pi r2 (0.50 + 0.74) over the length of (0.50, 0.45, 0.74)."""
    cut = count(drawn(ball, (0.0, 0.0, 0.0)), [*BAND_COLOURS, VOID_INK])
    whole = drawn(ball, (1.0, 0.0, 1.0))
    rows = np.flatnonzero((whole[:, WIDE // 2 :] < 255).any(axis=(1, 2)))  # the ball, without the sprue
    radius = 0.5 * (rows[-1] - rows[0])
    by_hand = 0.5 * np.pi * radius**2 * (0.50 + 0.74) / np.linalg.norm((0.50, 0.45, 0.74))
    assert cut == pytest.approx(by_hand, rel=0.12)


def test_feet_bar_and_sprue_of_the_handle_are_in_the_picture():
    pixels = drawn(poured(door_handle()), (0.055, 0.0, 0.0))
    used = np.flatnonzero((pixels < 255).any(axis=(0, 2)))
    assert used[0] < 0.12 * WIDE and used[-1] > 0.88 * WIDE and count(pixels, BAND_COLOURS) > 300
