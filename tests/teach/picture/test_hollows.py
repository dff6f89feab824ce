"""Hollows: as large as the metal that is missing, where most of it is missing, open at the top."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage

from castlab.field.layout import Layout, box
from castlab.teach.picture import raster
from castlab.teach.picture.hollows import hollows

SIDE, CELL = 0.04, 0.002
BLOCK = Layout((box("block", "casting", (0.0, SIDE), (0.0, SIDE), (-0.01, 0.01)),),
               (-0.05, -0.05, -0.05), (0.1, 0.1, 0.05))
EDGES = np.linspace(0.0, SIDE, round(SIDE / CELL) + 1)
MIDDLES = 0.5 * (EDGES[1:] + EDGES[:-1])


def drawn(share, kind=raster.CAVITY, layout=BLOCK, metal=None):
    """The kinds of hollows in a view of the block at ten pixels a millimetre."""
    kinds = np.where(share > 0.0, kind, 0)
    section = raster.Section(layout, EDGES, EDGES, np.full(share.shape, 0.5), share, kinds, metal=metal)
    view = raster.View((0.0, 0.0), (SIDE, SIDE), 400, 400)
    whole = np.ones((400, 400), dtype=bool)
    return hollows(section, view, whole, raster.HOLLOW, raster.HARMLESS)


def ball(x, y, radius):
    """Shares of the cells that a round hole takes, counted on points in each."""
    fine = (np.arange(400) + 0.5) * SIDE / 400
    inside = (fine[:, None] - x) ** 2 + (fine - y) ** 2 < radius**2
    return inside.reshape(20, 20, 20, 20).mean(axis=(1, 3))


def test_a_round_hole_is_drawn_round_and_as_large_as_it_is():
    kinds = drawn(ball(0.021, 0.018, 0.008))
    rows, columns = np.nonzero(kinds == raster.CAVITY)
    x, y = (columns + 0.5) * SIDE / 400, SIDE - (rows + 0.5) * SIDE / 400
    assert len(rows) * (SIDE / 400) ** 2 == pytest.approx(np.pi * 0.008**2, rel=0.02)
    assert np.hypot(x - 0.021, y - 0.018).max() < 0.008 + 0.5 * CELL


def test_of_a_row_that_lacks_a_third_the_upper_third_is_hollow():
    share = np.zeros((20, 20))
    share[:, -1] = 1.0 / 3.0
    rows, _ = np.nonzero(drawn(share, raster.SINK))
    assert len(rows) == pytest.approx(400 * 20 / 3.0, rel=0.02)
    assert rows.max() <= 8


def test_thin_slits_that_nearly_touch_become_one_hollow():
    share = np.zeros((20, 20))
    share[9, 8:18:2] = 0.5
    kinds = drawn(share) > 0
    assert kinds.sum() == pytest.approx(5 * 0.5 * 400, rel=0.02)


def test_metal_that_does_not_fill_its_cells_leaves_a_smaller_hole():
    share = ball(0.02, 0.02, 0.008)
    whole, half = ((drawn(share, metal=filled) > 0).sum() for filled in (None, np.full((20, 20), 0.5)))
    assert half == pytest.approx(0.5 * whole, rel=0.02)


def test_two_holes_of_different_kinds_keep_their_sizes():
    pair = ball(0.012, 0.02, 0.005), ball(0.030, 0.02, 0.007)
    share = sum(pair)
    kinds = np.where(MIDDLES[:, None] < 0.02, raster.CAVITY, raster.PIPE) * np.ones((20, 20), dtype=int)
    seen = drawn(share, kinds)
    for kind, radius in ((raster.CAVITY, 0.005), (raster.PIPE, 0.007)):
        assert (seen == kind).sum() * (SIDE / 400) ** 2 == pytest.approx(np.pi * radius**2, rel=0.03)


def test_a_pipe_that_goes_on_into_the_casting_is_not_parted_at_the_joint():
    """A feeder that lacks nine tenths keeps the rest as skin on its walls, not as a plug above the pipe."""
    share, kinds = np.zeros((20, 20)), np.zeros((20, 20), dtype=int)
    share[6:14, 10:], kinds[6:14, 10:] = 0.9, raster.HARMLESS
    share[8:12, 7:10], kinds[8:12, 7:10] = 0.7, raster.PIPE
    section = raster.Section(BLOCK, EDGES, EDGES, np.full(share.shape, 0.5), share, kinds)
    view = raster.View((0.0, 0.0), (SIDE, SIDE), 400, 400)
    metal = np.zeros((400, 400), dtype=bool)
    metal[:200, 120:280] = metal[200:] = True
    seen = hollows(section, view, metal, raster.HOLLOW)
    assert (seen[:210, 200] > 0).all()


@pytest.mark.parametrize("kind, pieces", [(raster.HARMLESS, 1), (raster.CAVITY, 2)])
def test_a_crumb_below_a_pipe_belongs_to_the_pipe_and_one_beside_a_cavity_is_shown(kind, pieces):
    share = np.zeros((20, 20))
    share[6:14, 14:] = 1.0  # the pipe, and below it mush that drained a little, one cell nearly wholly
    share[8:12, 9:14] = 0.2
    share[9, 9] = 0.9
    seen = drawn(share, kind) > 0
    assert ndimage.label(seen)[1] == pieces
    assert seen.sum() == pytest.approx(share.sum() * 400, rel=0.02)


@pytest.mark.parametrize("cells_below, is_open", [(1, True), (3, False), (5, False)])
@pytest.mark.parametrize("up", ["+y", "-y", "+x", "-x"])
def test_a_sink_under_a_thin_skin_is_open_to_its_face_and_as_large(up, cells_below, is_open):
    """A founder's eye: a skin of a cell goes down with the metal below it. A thicker one stays."""
    share = np.zeros((20, 20))
    share[8:12, 20 - cells_below - 4:20 - cells_below] = 0.8
    turned = {"+y": share, "-y": share[:, ::-1], "+x": share.T, "-x": share.T[::-1]}[up]
    seen = drawn_in_sand(turned, raster.SINK, replace(BLOCK, up=up))
    assert seen.sum() == pytest.approx(share.sum() * 100, rel=0.03)
    face = {"+y": seen[100], "-y": seen[299], "+x": seen[:, 299], "-x": seen[:, 100]}[up]
    assert face.any() == is_open


def test_a_cavity_keeps_its_skin():
    share = np.zeros((20, 20))
    share[8:12, 14:18] = 0.8
    assert not drawn_in_sand(share, raster.CAVITY, BLOCK)[100].any()


def drawn_in_sand(share, kind, layout):
    """Where the hollow of a block is drawn that lies in the middle of a view of twice its size."""
    outside = np.arange(1, 11) * CELL
    edges = np.concatenate([-outside[::-1], EDGES, SIDE + outside])
    whole = np.pad(share, 10)
    frozen = np.where(np.pad(np.ones_like(share), 10) > 0.0, 0.5, np.nan)
    section = raster.Section(layout, edges, edges, frozen, whole, np.where(whole > 0.0, kind, 0))
    view = raster.View((-0.5 * SIDE, -0.5 * SIDE), (1.5 * SIDE, 1.5 * SIDE), 400, 400)
    metal = np.zeros((400, 400), dtype=bool)
    metal[100:300, 100:300] = True
    return hollows(section, view, metal, raster.HOLLOW, raster.HARMLESS, raster.SINK) > 0


def test_sponge_and_sound_metal_are_no_hollows():
    assert not drawn(np.zeros((20, 20))).any()
    assert not drawn(ball(0.02, 0.02, 0.01), raster.SPONGE).any()
