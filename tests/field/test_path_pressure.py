"""Suction along the whole way through the mush: Darcy's law by hand, published plates, cells, steps."""

import dataclasses
import functools

import numpy as np
import pytest
from scipy.sparse.linalg import spsolve

from castlab import Setup, alloy, freeze, mould, parts, shrinkage
from castlab.field import path_pressure
from castlab.field.freeze import Freeze
from castlab.field.grid import build
from castlab.field.layout import Layout, box
from castlab.field.path_pressure import Mush, fed_along_the_path
from castlab.field.rigging import slab

MM = 1e-3
PUBLISHED, AT_THE_END = 4.5, 2.5  # thicknesses of a steel plate; common practice in steel


# ---- by hand

METAL = dataclasses.replace(alloy("tin bronze"), freezing_contraction=0.05, liquid_contraction=0.0,
                            mobile_limit=0.2, arm_spacing=(50e-6, 0.33))
LONG, RATE, HALF = 60 * MM, 1e-3, 0.5  # of the bar; solid fraction a second; solid fraction


def bar(first, later, feeder, metal=METAL):
    """20 x 20 mm, 60 mm long, a feeder at its left end; half solid, and a second later a little more."""
    blocks = (slab("feeder", "feeder", (0.04, 0.06), (0.0, 0.02), 0.02),
              slab("bar", "casting", (0.06, 0.06 + LONG), (0.0, 0.02), 0.02))
    layout = Layout(blocks, (0.0, -0.10, -0.06), (0.20, 0.10, 0.06))
    grid = build(layout, 2 * MM)
    cells = np.flatnonzero(grid.metal > 0.0)
    x = grid.centres[0][np.unravel_index(cells, grid.shape)[0]] - 0.06
    solid = np.array([np.where(x < 0.0, feeder, first), np.where(x < 0.0, feeder, later), np.ones(len(x))])
    temp = np.array([np.full(len(x), metal.liquidus_c - each) for each in (0.0, 1.0, 2.0)])
    setup = Setup(layout, metal, mould("green sand"), metal.liquidus_c)
    frozen = np.full(grid.shape, 2.0)
    return Freeze(setup, grid, frozen, 2.0, (), np.arange(3.0), solid, temp, cells, 0.0), x


def test_the_suction_in_a_bar_is_a_parabola():
    """mu s / K (L x - x^2 / 2), s = beta / (1 - beta) df/dt, K = (50 um)^2 (1 - f)^3 / (180 f^2) at 1 K/s;
    and before it what the flow s L loses in the last half cell of the feeder, where K is that at 0.2."""
    run, x = bar(HALF, HALF + RATE, 0.0)
    mush = Mush(run)
    mush.take(0)
    in_bar = x > 0.0
    flow = 0.05 / 0.95 * RATE
    passes, in_feeder = (50e-6**2 * (1 - f) ** 3 / (180 * f**2) / METAL.viscosity for f in (HALF, 0.2))
    wanted = flow / passes * (LONG * x - x**2 / 2) + flow * LONG * 1 * MM / in_feeder
    assert mush.suction[in_bar] == pytest.approx(wanted[in_bar], rel=0.02)
    assert (mush.suction[~in_bar] == 0.0).all()


def test_a_bar_is_fed_as_far_as_one_atmosphere_reaches():
    """Arms of 4 um, and so fast that the limit is reached half-way, at three quarters of the suction at the
    far end: beyond it nothing comes."""
    passes = 4e-6**2 * HALF**3 / (180 * HALF**2) / METAL.viscosity
    rate = path_pressure.ATMOSPHERE_PA * passes / (0.375 * LONG**2) * 0.95 / 0.05
    run, x = bar(HALF, HALF + rate, 0.0, dataclasses.replace(METAL, arm_spacing=(4e-6, 0.33)))
    mush = Mush(run)
    mush.take(0)
    assert (mush.fed[(x > 0.0) & (x < 0.45 * LONG)] == 1.0).all()
    assert mush.fed[x > 0.55 * LONG] == pytest.approx(np.full((x > 0.55 * LONG).sum(), HALF))


@pytest.mark.parametrize("feeder, pays", [(0.40, "feeder"), (0.46, "both"), (0.54, "both"), (0.60, "bar")])
def test_where_nothing_moves_the_least_solid_cells_of_a_pool_pay(feeder, pays):
    """As in the account, 0.05 of difference counts as none. The bar is half solid."""
    run, x = bar(HALF, HALF + RATE, feeder)
    solid = run.solid[0]
    paying = Mush(run).payers(solid < 0.97, solid)
    assert paying[x < 0.0].all() == (pays != "bar") and paying[x > 0.0].all() == (pays != "feeder")


# ---- real castings


@functools.cache
def frozen(name="tin bronze"):
    metal = alloy(name)
    layout = parts.eye_plate(feeder_width=44 * MM, feeder_height=66 * MM)
    return freeze(Setup(layout, metal, mould("green sand"), metal.liquidus_c + 60.0), 4 * MM)


def test_another_solver_finds_the_same_suction(monkeypatch):
    """A direct one, on all steps; castlab's begins from the step before and stops at one per cent."""
    def directly(self, links, flow, here):
        net = np.zeros((2, len(here)))
        np.add.at(net[0], self.first, links)
        np.add.at(net[0], self.other, links)
        self.net.data = -links[self.face_of]
        matrix = self.net.copy()
        matrix.setdiag(net[0])
        at = np.flatnonzero(here)
        suction = np.zeros(len(here))
        suction[at] = spsolve(matrix[at][:, at].tocsc(), flow[at])
        return suction
    quick = fed_along_the_path(frozen())
    monkeypatch.setattr(Mush, "solve", directly)
    monkeypatch.setattr(path_pressure, "RISES", np.inf)
    exact = fed_along_the_path(frozen())
    assert (quick < 1.0).sum() > 20
    assert np.count_nonzero(abs(quick - exact) > 0.01) < 0.02 * len(quick)


def plate(thick, length, chill=False):
    """So many thicknesses of steel beyond a feeder two thick and three high, endlessly wide."""
    thick, sand, deep = thick * MM, 60 * MM, 0.5 * MM
    edge = sand + 2 * thick
    end = edge + length * thick
    blocks = [box("plate", "casting", (sand, end), (sand, sand + thick), (-deep, deep)),
              box("feeder", "feeder", (sand, edge), (sand + thick, sand + 4 * thick), (-deep, deep))]
    if chill:
        blocks.append(box("chill", "chill", (end, end + thick), (sand, sand + thick), (-deep, deep),
                          material=mould("steel chill")))
    far = blocks[-1].high[0] if chill else end
    return Layout(tuple(blocks), (0.0, 0.0, -deep), (far + sand, sand + 4 * thick, deep))


@functools.cache
def unfed(thick, length, cells=7, chill=False, name="carbon steel"):
    """Distances from the feeder [thicknesses], and there the most that is unfed [share of the volume]."""
    metal = alloy(name)
    sand = mould("dry silica sand", hot=True) if name == "carbon steel" else mould("green sand")
    run = freeze(Setup(plate(thick, length, chill), metal, sand, metal.liquidus_c + 60.0), thick * MM / cells)
    mush = Mush(run)
    for step in range(len(run.times_s) - 1):
        mush.take(step)
    x = run.grid.centres[0][np.unravel_index(run.metal_cells, run.grid.shape)[0]]
    away = (x - 60 * MM) / (thick * MM) - 2.0
    lacks = metal.freezing_contraction * (1.0 - mush.fed) * ~mush.outside
    places = np.unique(away[away > 0.0])
    return places, np.array([lacks[away == each].max() for each in places])


def sound_from_the_feeder(*args, **kwargs):
    places, lacks = unfed(*args, **kwargs)
    return places[np.argmax(lacks > 0.0)]


@pytest.mark.parametrize("thick", [20, 30, 50])
def test_a_long_plate_of_steel_is_sound_as_far_as_published(thick):
    """From the feeder over 4.5 thicknesses, and over 2.5 from its end; nothing in the suction was fitted."""
    places, lacks = unfed(thick, 15)
    assert sound_from_the_feeder(thick, 15) == pytest.approx(PUBLISHED, rel=0.2)
    assert 15.0 - places[lacks > 0.0].max() == pytest.approx(AT_THE_END, rel=0.2)
    assert lacks.max() > 2e-3
    assert not unfed(thick, PUBLISHED)[1].any()  # a plate of that length is sound


def test_on_half_cells_it_is_sound_as_far():
    assert sound_from_the_feeder(20, 15, 14) == pytest.approx(sound_from_the_feeder(20, 15), rel=0.2)


def test_a_chill_at_the_end_keeps_more_of_it_sound():
    """At least half a thickness; but for the face of the chill itself, where all is solid within seconds."""
    ends = []
    for chill in (False, True):
        places, lacks = unfed(20, 15, chill=chill)
        ends.append(15.0 - places[(lacks > 0.0) & (places < 14.0)].max())
    assert ends[1] > ends[0] + 0.5


def test_bronze_and_aluminium_in_a_long_plate():
    """Common practice: tin bronze is full of fine pores; A356 freezes its last half at one temperature, and
    liquid passes until then: what pores it has are of gas."""
    assert unfed(20, 15, name="tin bronze")[1].max() > 2e-3
    assert not unfed(20, 15, name="A356")[1].any()


def test_the_quick_look_does_without():
    """And the answer at rest has its sponge where the suction says."""
    run = frozen()
    at_rest, quick = shrinkage(run), shrinkage(run, at_rest=False)
    fed = fed_along_the_path(run)
    assert quick.paid_m3["sponge"] != at_rest.paid_m3["sponge"] > 0.0
    there = at_rest.void_of["sponge"].ravel()[run.metal_cells] > 0.0
    assert (fed[there] < 1.0).all()
    assert sum(at_rest.paid_m3.values()) == pytest.approx(at_rest.asked_m3, rel=1e-9)
