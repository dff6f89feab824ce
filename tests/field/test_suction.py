"""Suction and pores on a net: by another solver, by what must hold of them, and alike in a mirror."""

import numpy as np
import pytest
from scipy import sparse
from scipy.sparse.linalg import spsolve

from castlab import Setup, alloy, freeze, mould, parts
from castlab.field import suction
from castlab.field.suction import Board, Net

RUN = freeze(Setup(parts.eye_plate(feeder_width=44e-3, feeder_height=66e-3), alloy("tin bronze"),
                   mould("green sand"), 1150.0), 5e-3)
BOARD = Board(RUN)
FEEDER = RUN.grid.is_role("feeder").ravel()[RUN.metal_cells]


def asked(seed=1):
    """A net in which all but the feeder sucks, links that differ by four powers of ten, and what is asked."""
    rng = np.random.default_rng(seed)
    links = 10.0 ** rng.uniform(-4.0, 0.0, len(BOARD.odd))
    net = Net(BOARD, np.arange(len(links)), links, ~FEEDER)
    return net, links, rng.random(len(net.cells))


def equations(links):
    """The same as one matrix of those cells, made of the faces alone."""
    count = len(FEEDER)
    one = sparse.coo_matrix((links, (BOARD.odd, BOARD.even)), shape=(count, count))
    both = (one + one.T).tocsr()
    return (sparse.diags(np.asarray(both.sum(axis=1)).ravel()) - both).tocsr()


def settled(net, asks, most):
    found, pores, is_open = np.zeros(len(asks)), np.zeros(len(asks)), np.zeros(len(asks), dtype=bool)
    lacks = net.settle(asks.copy(), found, pores, is_open, most)
    return found, lacks, is_open


@pytest.mark.parametrize("exact", [1e-3, 1e-8])
def test_another_solver_finds_the_same_suction(exact, monkeypatch):
    monkeypatch.setattr(suction, "ACCURACY", exact)
    monkeypatch.setattr(suction, "FAR", 0.0)
    net, links, asks = asked()
    found, _, is_open = settled(net, asks, 1e12)
    matrix = equations(links)[net.cells][:, net.cells]
    wanted = spsolve(matrix.tocsc(), asks)
    assert not is_open.any()
    assert np.abs(matrix @ found - asks).sum() <= exact * asks.sum() + 1e-9 * asks.sum()
    if exact < 1e-6:
        assert found == pytest.approx(wanted, rel=1e-4)


@pytest.mark.parametrize("share", [0.02, 0.2, 0.8])
def test_no_suction_is_more_than_there_is_and_pores_are_where_all_of_it_is_used(share, monkeypatch):
    """One of the two holds in each cell: all that is asked for comes, or suction is all there is and a pore
    pays. There is one such answer only."""
    monkeypatch.setattr(suction, "ACCURACY", 1e-8)
    monkeypatch.setattr(suction, "LEAST", 1e-6)
    net, links, asks = asked()
    most = share * settled(net, asks, 1e12)[0].max()
    found, lacks, is_open = settled(net, asks, most)
    assert is_open.any() and found.max() == most and (found[is_open] == most).all()
    assert (found >= 0.0).all() and (lacks[is_open] > -2e-6).all()
    assert np.abs(lacks[~is_open]).sum() < 1e-7 * asks.sum()
    comes = (equations(links)[net.cells][:, net.cells]) @ found
    assert asks - comes == pytest.approx(lacks, abs=1e-9 * asks.sum())


def test_a_pore_is_filled_before_suction_falls():
    """One cell beside a feeder asks for 1 m3, has a pore of 3 m3, and 2.5 m3 can come: 1.5 m3 are left of it.
    Where 5 m3 can come it is filled, and 4 m3 come."""
    odd = np.flatnonzero(BOARD.is_odd & ~FEEDER)[0]
    one = np.zeros(len(FEEDER), dtype=bool)
    one[odd] = True
    for most, left, comes in ((2.5, 1.5, 2.5), (5.0, 0.0, 4.0)):
        face = np.flatnonzero(BOARD.odd == odd)[:1]
        net = Net(BOARD, face, np.ones(1), one)
        found, pores, is_open = np.array([most]), np.array([3.0]), np.array([True])
        lacks = net.settle(np.ones(1), found, pores, is_open, most)
        assert found[0] == pytest.approx(comes, rel=1e-2)
        assert pores[0] + lacks[0] * is_open[0] == pytest.approx(left)


def test_where_nothing_is_asked_for_there_is_no_suction():
    """And what there was does not linger on in ever smaller numbers."""
    net, _, asks = asked()
    found, pores = np.full(len(asks), 1e-160), np.zeros(len(asks))
    lacks = net.settle(0.0 * asks, found, pores, pores > 0.0, 1e5)
    assert not found.any() and not lacks.any()


@pytest.mark.slow
def test_neighbours_have_two_colours_and_blocks_are_few_and_alike_in_a_mirror():
    assert BOARD.is_odd[BOARD.odd].all() and not BOARD.is_odd[BOARD.even].any()
    assert (np.diff(BOARD.odd) >= 0).all()
    for shape in ((62, 36, 8), (7, 12, 13), (200, 100, 50)):
        places = np.indices(shape).reshape(3, -1)
        blocks = suction._blocks(places)
        there = suction._blocks(places[:, ::-1])[::-1]
        assert blocks.max() < suction.MOST_BLOCKS
        assert len(np.unique(blocks)) == len(np.unique(np.array([blocks, there]), axis=1).T)
