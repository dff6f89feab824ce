"""The account closes, agrees with the densities, knows no left and right, and hardly sees the grid."""

import dataclasses
import functools
import itertools
from types import SimpleNamespace

import numpy as np
import pytest
from said import said
from shares import every

from castlab import InputError, Setup, alloy, alloy_names, freeze, mould, parts, shrinkage
from castlab.field import ledger
from castlab.field.bodies import moved
from castlab.field.columns import Columns
from castlab.field.freeze import Freeze
from castlab.field.grid import build
from castlab.field.holes import DEFECTS, Place
from castlab.field.layout import Layout
from castlab.field.ledger import KINDS, SHALLOW_M
from castlab.field.rigging import slab
from castlab.field.shrinkage import MARGINAL_BELOW, SOUND_BELOW
from castlab.materials import flags

SUPERHEAT_K = 40.0
LAYOUTS = {
    "eye plate": parts.eye_plate(),
    "eye plate with feeder": parts.eye_plate(feeder_width=44e-3, feeder_height=60e-3),
    "sheave": parts.sheave(),
    "sheave with feeder": parts.sheave(feeder_width=40e-3, feeder_height=50e-3),
}
MOULDS = {"sand": "dry silica sand", "investment": "investment", "die": "cast-iron die"}
COOLER_K = 80.0  # a mould that would keep zinc liquid is used this much below the solidus
FLAT = dict(thickness=12e-3, boss=12.1e-3)  # the boss does not stand out: a plate


@functools.lru_cache(maxsize=4)
def solved(layout, metal, into=None, cell=4e-3, pour_temp_c=None, **pour):
    """The account of one pour; `metal` and `into` are names or the materials themselves."""
    metal = alloy(metal) if isinstance(metal, str) else metal
    if into is None:
        into = mould("dry silica sand", hot=True) if metal.name == "carbon steel" else mould("green sand")
    cold = min(into.start_temp_c, metal.solidus_c - COOLER_K)
    pour_temp_c = pour_temp_c or metal.liquidus_c + SUPERHEAT_K
    setup = Setup(layout, metal, into, pour_temp_c, mould_temp_c=cold, **pour)
    return shrinkage(freeze(setup, cell=cell))


def metal_in(layout):
    """Volume of all metal bodies [m3], from their dimensions; none of them overlap."""
    return sum(body.volume for body in layout.blocks if body.is_metal)


def missing_volume(layout, metal, pour_temp_c):
    """V (1 - rho at pouring / rho solid) [m3] by hand."""
    liquid_at_liquidus = metal.density_solid * (1.0 - metal.freezing_contraction)
    poured = liquid_at_liquidus * (1.0 - metal.liquid_contraction * (pour_temp_c - metal.liquidus_c))
    return metal_in(layout) * (1.0 - poured / metal.density_solid)


@pytest.mark.parametrize("part, name, into", every(40, itertools.product(LAYOUTS, alloy_names(), MOULDS)))
def test_the_account_closes_and_agrees_with_the_densities(part, name, into):
    account = solved(LAYOUTS[part], name, mould(MOULDS[into]))
    paid = sum(account.paid_m3.values())
    assert paid == pytest.approx(account.asked_m3, rel=1e-9)
    metal = alloy(name)
    wanted = missing_volume(LAYOUTS[part], metal, metal.liquidus_c + SUPERHEAT_K)
    holes = float(np.sum(account.void * account.run.grid.metal_volume))
    assert holes + account.paid_m3["pour"] == pytest.approx(wanted, rel=0.01)
    gives_back = {"pour"} if "expands on freezing" in flags(name) else set()
    assert min(paid for kind, paid in account.paid_m3.items() if kind not in gives_back) >= 0.0
    assert account.void.min() >= 0.0 and account.void.max() <= 1.0 + 1e-9
    assert list(account.paid_m3) == list(KINDS)


def test_holes_on_the_cells_are_those_of_the_account():
    account = solved(LAYOUTS["eye plate"], "tin bronze")
    for kind in DEFECTS:
        assert account.void_of[kind].sum() == pytest.approx(account.paid_m3[kind], abs=1e-15)
    assert account.defect_m3 == pytest.approx(sum(account.paid_m3[kind] for kind in DEFECTS))
    outside_metal = account.run.grid.metal == 0.0
    assert not account.void[outside_metal].any() and (account.kind[outside_metal] == -1).all()


def mirrored(layout):
    """The same layout with left and right changed over."""
    return turned(layout, lambda place: (-place[0], *place[1:]), layout.up)


def upside_down(layout):
    """The same layout drawn the other way up, with gravity the other way as well."""
    return turned(layout, lambda place: (place[0], -place[1], place[2]), "-y")


def turned(layout, move, up):
    """A layout whose corners are all moved, and which way is up in it then."""
    ends = zip(move(layout.low), move(layout.high), strict=True)
    low, high = zip(*map(sorted, ends), strict=True)
    return Layout(tuple(moved(body, move) for body in layout.blocks), low, high, up, layout.title)


@pytest.mark.parametrize("turn", [mirrored, upside_down])
@pytest.mark.parametrize("part", ["eye plate", "eye plate with feeder"])
@pytest.mark.parametrize("name", every(3, ["ZA-12", "pure aluminium", "tin bronze"]))
def test_a_turned_drawing_gives_the_same_account(name, part, turn):
    """To round-off."""
    account, other = solved(LAYOUTS[part], name), solved(turn(LAYOUTS[part]), name)
    for kind in KINDS:
        assert other.paid_m3[kind] == pytest.approx(account.paid_m3[kind], abs=1e-9 * account.asked_m3)
    assert other.run.last_time_s == pytest.approx(account.run.last_time_s, rel=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize(
    "name", ["ZA-12", "pure aluminium", "A356", "tin bronze", "carbon steel", "pure zinc"])
@pytest.mark.parametrize("cell", [4e-3, 2e-3])
def test_sink_against_cavity_is_not_made_by_the_grid(name, cell):
    coarse, fine = (solved(LAYOUTS["eye plate"], name, cell=each) for each in (cell, cell / 2.0))
    for kind in ("sink", "cavity", "sponge"):
        first = coarse.paid_m3[kind] / coarse.defect_m3
        second = fine.paid_m3[kind] / fine.defect_m3
        assert first == pytest.approx(second, abs=0.2), kind


@pytest.mark.slow
def test_sink_against_cavity_settles_as_the_grid_gets_finer():
    """Each halving of the cells of ZA-12 changes the share of the sink by less than before, or hardly."""
    shares = [
        each.paid_m3["sink"] / each.defect_m3
        for each in (solved(LAYOUTS["eye plate"], "ZA-12", cell=cell) for cell in (4e-3, 2e-3, 1e-3))
    ]
    first, second = (abs(after - before) for before, after in itertools.pairwise(shares))
    assert second < 0.7 * first or first < 0.02
    assert second < 0.06


@pytest.mark.slow
@pytest.mark.parametrize("name", ["pure zinc", "ZA-12", "pure aluminium"])
def test_a_shallow_sink_over_a_wide_plate_is_a_matter_of_size(name):
    """180 x 200 x 5 mm, equally hot: what it lacks is mostly spread over its whole face, less deep than the
    limit."""
    wide = parts.eye_plate(
        thickness=5e-3, length=180e-3, width=200e-3, boss=6e-3, boss_depth=200e-3, gate_thickness=2e-3
    )
    metal = alloy(name)
    just_liquid, hot_alike = metal.liquidus_c + 10.0, {"cools_while_filling": False}
    account = solved(wide, metal, cell=5e-3 / 3, pour_temp_c=just_liquid, **hot_alike)
    face_m2 = sum((body.high[0] - body.low[0]) * body.depth for body in wide.blocks if body.role == "casting")
    assert account.paid_m3["dimensional"] / face_m2 < SHALLOW_M
    assert account.paid_m3["dimensional"] > 3.0 * (account.paid_m3["sink"] + account.paid_m3["cavity"])
    assert account.paid_m3["dimensional"] > 0.4 * account.asked_m3


def test_the_sink_over_a_heavy_end_is_no_matter_of_size():
    account = solved(LAYOUTS["eye plate"], "ZA-12")
    assert account.paid_m3["sink"] > 20.0 * account.paid_m3["dimensional"]


def test_a_metal_that_grows_on_freezing_closes_too():
    metal = dataclasses.replace(alloy("pure zinc"), freezing_contraction=-0.03, liquid_contraction=0.0)
    account = solved(LAYOUTS["eye plate"], metal)
    assert account.asked_m3 == pytest.approx(-0.03 * metal_in(LAYOUTS["eye plate"]), rel=0.01)
    assert sum(account.paid_m3.values()) == pytest.approx(account.asked_m3, rel=1e-9)
    assert account.defect_m3 == 0.0 and account.verdict == "sound"
    assert said(account)


def test_metal_that_melts_again_gives_back_what_it_took():
    """ZA-12 in a hot investment: some cells warm up again; what they give back is no payment by the pour."""
    layout = parts.sheave(8.5e-3, 160e-3, 24.5e-3, 8.5e-3, 50e-3, 32.5e-3, gate_thickness=4.5e-3)
    metal, into = alloy("ZA-12"), mould("investment")
    setup = Setup(layout, metal, into, metal.liquidus_c, metal.solidus_c - 80.0, pour_time_s=0.0)
    run = freeze(setup, cell=4e-3)
    assert (np.diff(run.solid, axis=0) < -1e-3).any()
    account = shrinkage(run)
    assert min(account.paid_m3.values()) > -1e-12 * account.asked_m3
    assert sum(account.paid_m3.values()) == pytest.approx(account.asked_m3, rel=1e-9)


def test_a_cell_that_has_just_melted_again_at_the_end_does_not_break_the_account():
    """Pure aluminium, not superheated, in insulating stuff: so slow that some of it warms up again."""
    layout = parts.sheave(6e-3, 143.5e-3, 14e-3, 32e-3, 30e-3, 17.5e-3, feeder_width=54e-3,
                          feeder_height=59.5e-3, gate_thickness=2e-3)
    metal, into = alloy("pure aluminium"), mould("insulating sleeve")
    setup = Setup(layout, metal, into, metal.liquidus_c, pour_time_s=0.0)
    account = shrinkage(freeze(setup, cell=4e-3))
    assert sum(account.paid_m3.values()) == pytest.approx(account.asked_m3, rel=1e-9)


def test_the_verdict_follows_the_share_of_holes():
    account = solved(LAYOUTS["eye plate"], "ZA-12")
    for share, verdict in (
        (0.9 * SOUND_BELOW, "sound"),
        (1.1 * SOUND_BELOW, "marginal"),
        (0.9 * MARGINAL_BELOW, "marginal"),
        (1.1 * MARGINAL_BELOW, "defective"),
    ):
        paid = dict.fromkeys(KINDS, 0.0) | {"sink": share * account.casting_m3}
        assert dataclasses.replace(account, paid_m3=paid).verdict == verdict


@pytest.mark.parametrize("kind, volume_cm3, of_section, verdict", [
    ("cavity", 0.049, 0.019, "sound"), ("sink", 0.251, 0.101, "sound"),
    ("cavity", 0.051, 0.001, "marginal"), ("cavity", 0.001, 0.021, "marginal"),
    ("cavity", 0.251, 0.001, "defective"), ("cavity", 0.001, 0.101, "defective")])
def test_a_closed_cavity_of_0_05_cm3_or_2_per_cent_of_its_section_is_never_sound(
        kind, volume_cm3, of_section, verdict):
    """However large the casting is; what stands open is seen, and goes by its share alone."""
    account = dataclasses.replace(solved(LAYOUTS["eye plate"], "ZA-12"), paid_m3=dict.fromkeys(KINDS, 0.0))
    account.__dict__["places"] = (Place(kind, 1e-6 * volume_cm3, (), "boss", 1.0, 1e-3, of_section),)
    assert account.verdict == verdict


def test_what_comes_during_the_pour_is_paid_by_the_pour():
    """A ladle that keeps the sprue full until the gate has closed pays more than a short pour does."""
    layout, metal = LAYOUTS["eye plate"], alloy("ZA-12")
    paid = []
    for pour_time_s in (0.0, 3.0, 12.0):
        setup = Setup(layout, metal, mould("green sand"), 472.0, pour_time_s=pour_time_s)
        paid.append(shrinkage(freeze(setup, cell=4e-3)).paid_m3["pour"])
    assert paid[0] == 0.0 and paid[0] < paid[1] < paid[2]


def test_pouring_below_the_liquidus_is_refused_in_words():
    with pytest.raises(InputError, match="pouring temperature"):
        Setup(LAYOUTS["eye plate"], alloy("ZA-12"), mould("green sand"), 300.0)


def columns_of(layout, cell):
    """What lies above what in a layout, without a run; and the heights and depths of its cells [m]."""
    grid = build(layout, cell)
    cells = np.flatnonzero(grid.metal > 0.0)

    def on_grid(values, fill):
        spread = np.full(grid.metal.size, fill)
        spread[cells] = values
        return spread.reshape(grid.shape)

    return Columns(SimpleNamespace(grid=grid, metal_cells=cells, on_grid=on_grid)), *middles(grid, cells)


def middles(grid, cells):
    """Where cells of that number lie: x, y and z [m]."""
    places = np.unravel_index(cells, grid.shape)
    return tuple(centre[place] for centre, place in zip(grid.centres, places, strict=True))


def test_sand_between_two_walls_parts_what_lies_above_from_what_lies_below():
    """A cleat by its drawing: base 10 mm, post 24 mm, horn 14 mm; beside the post, sand between the two. The
    horn is 20.4 mm deep and the others 34 mm, so that in front of it the post ends under sand."""
    lines, x, y, z = columns_of(parts.cleat(), 2e-3)
    beside, under_horn = (x > 0.0) & (x < 42e-3), z < 10.2e-3
    base, horn, post = beside & (y < 10e-3), beside & (y > 34e-3), (x > 42e-3) & (x < 68e-3)
    heights = lines.total(lines.thickness)
    runs = ((base, 10e-3, 10e-3), (horn, 14e-3, 48e-3), (post & under_horn, 48e-3, 48e-3),
            (post & ~under_horn, 34e-3, 34e-3))
    for where, height, _ in runs:
        assert where.any() and heights[where] == pytest.approx(np.full(where.sum(), height))
    above = lines.roof(np.ones(len(x)), np.zeros(len(x), dtype=bool))
    for where, _, top in runs:
        assert above[where] == pytest.approx(top - y[where])
    for height in (y, -y):  # it changes by a cell from face to face, whichever way it is counted
        assert lines.across(height)[post & (y > 12e-3) & (y < 32e-3)] == pytest.approx(2e-3)


def test_only_what_stands_under_a_feeder_or_sprue_lies_under_one():
    layout = parts.eye_plate(feeder_width=20e-3, feeder_height=50e-3)
    lines, x, y, z = columns_of(layout, 2e-3)
    feeder, sprue, gate = (layout.block(name) for name in ("feeder", "sprue", "gate"))
    under = (x > feeder.low[0]) & (x < feeder.high[0]) & (z < feeder.high[2]) | (x < gate.high[0])
    assert (lines.under_feeder == under).all() and not under[z > feeder.high[2]].any()
    top = y > layout.high[1] - 2e-3
    assert (lines.open_top == (top & ((x > feeder.low[0]) | (x < sprue.high[0])))).all() and top.sum() > 10


# ---- accounts of freezing that is prescribed row by row, so that all can be added up by hand

SHARE = 0.05  # what the metal of these accounts lacks once it is solid
SHRINKS = dataclasses.replace(alloy("pure zinc"), freezing_contraction=SHARE, liquid_contraction=0.0)
MUSHY = dataclasses.replace(alloy("tin bronze"), freezing_contraction=SHARE, liquid_contraction=0.0,
                            mobile_limit=0.2)


def column(height, name="column", role="casting", bottom=0.0, left=0.04):
    """20 mm wide and 20 mm deep."""
    return slab(name, role, (left, left + 0.02), (bottom, bottom + height), 0.02)


def prescribed(blocks, course, metal=SHRINKS, cell=4e-3, up="+y", pour_time_s=0.0, top=0.20, at_rest=True):
    """The account when the solid fractions are told: course(x, y) is a list, one snapshot a second.

    All is the same from front to back.
    """
    layout = Layout(tuple(blocks), (0.0, -0.20, -0.05), (0.20, top, 0.05), up=up)
    setup = Setup(layout, metal, mould("green sand"), metal.liquidus_c, pour_time_s=pour_time_s)
    grid = build(layout, cell)
    cells = np.flatnonzero(grid.metal > 0.0)
    x, y, _ = middles(grid, cells)
    solid = np.array([np.broadcast_to(share, x.shape) for share in course(x, y)], dtype=float)
    temp = np.full(solid.shape, metal.liquidus_c)
    frozen = np.full(grid.metal.size, np.nan)
    frozen[cells] = np.argmax(solid >= 1.0, axis=0)
    run = Freeze(setup, grid, frozen.reshape(grid.shape), 0.0, (), np.arange(len(solid)), solid, temp,
                 cells, 0.0)
    return shrinkage(run, at_rest)


def upwards(top, cell=4e-3):
    """Row after row freezes from below."""
    return lambda x, y: [y < number * cell for number in range(round(top / cell) + 1)]


def test_a_column_that_freezes_upwards_sinks_by_what_it_lacks():
    """40 mm high: the level falls by 5 %, 2 mm. But for the last row, half of whose own share, a fortieth of
    all, opens where it is, under up to 2 mm of metal."""
    account = prescribed([column(0.040)], upwards(0.040))
    whole = SHARE * 0.02 * 0.02 * 0.040
    assert account.asked_m3 == pytest.approx(whole)
    assert account.paid_m3["sink"] + account.paid_m3["cavity"] == pytest.approx(whole)
    assert account.paid_m3["sink"] > 0.97 * whole
    upper = account.run.grid.is_role("casting") & (account.run.grid.centres[1][:, None] > 0.036)
    assert account.void.max() == pytest.approx(0.5) and ((account.void > 0.0) == upper).all()
    assert account.froze_s == {"column": 10.0} and account.casting_froze_s == 10.0
    assert account.gate_closed_s is None and account.feeder_emptied == 0.0
    assert account.defect_share == pytest.approx(SHARE) and account.verdict == "defective"


@pytest.mark.parametrize("cell, kind", [(1e-3, "sink"), (4e-3, "cavity")])
def test_a_skin_of_1_mm_sinks_in_and_one_of_4_mm_holds(cell, kind):
    """The upper row is solid at once, then row after row from below: what is lacking comes from below it."""
    def skin_first(x, y):
        return [0.0 * y, *((y < number * cell) | (y > 0.040 - cell) for number in range(round(0.04 / cell)))]
    account = prescribed([column(0.040)], skin_first, cell=cell)
    whole = SHARE * 0.02 * 0.02 * 0.040
    assert account.paid_m3[kind] > 0.95 * whole
    assert account.paid_m3["sink"] + account.paid_m3["cavity"] == pytest.approx(whole)
    (place,) = (each for each in account.places if each.kind == kind)
    assert place.volume_m3 > 0.9 * whole and place.block == "column"
    assert place.centre[0] == pytest.approx(0.05) and 0.030 < place.centre[1] < 0.040


@pytest.mark.parametrize("up", ["+y", "-y"])
@pytest.mark.parametrize("role", ["feeder", "gate"])
def test_what_stands_above_and_freezes_last_pays_for_all(role, up):
    """40 mm of casting under 20 mm of feeder (or sprue): 3 mm go down in it, 15 % of its volume."""
    casting, other = column(0.040), column(0.020, "other", role, 0.040)
    course = upwards(0.060)
    if up == "-y":
        casting, other = column(0.040, bottom=-0.040), column(0.020, "other", role, -0.060)
        course = lambda x, y: upwards(0.060)(x, -y)  # noqa: E731
    account = prescribed([casting, other], course, up=up)
    assert account.paid_m3[role] == pytest.approx(SHARE * 0.02 * 0.02 * 0.060)
    assert account.defect_m3 == 0.0 and account.verdict == "sound" and account.places == ()
    assert account.feeder_emptied == pytest.approx(0.15 if role == "feeder" else 0.0)
    assert account.froze_s == {"column": 10.0, "other": 15.0} and account.casting_froze_s == 10.0
    assert account.gate_closed_s == (15.0 if role == "gate" else None)


def test_a_feeder_that_is_too_small_lets_a_pipe_into_the_casting():
    """120 mm under a feeder of 4 mm: of the 6.2 mm that are lacking it gives its 4, and a pipe the rest."""
    blocks = [column(0.120), column(0.004, "feeder", "feeder", 0.120)]
    account = prescribed(blocks, upwards(0.124), cell=4e-3 / 3)
    area = 0.02 * 0.02
    assert account.paid_m3["feeder"] == pytest.approx(area * 0.004, rel=0.02)
    pipe = account.paid_m3["pipe_into_casting"]
    assert account.paid_m3["feeder"] + pipe + account.paid_m3["cavity"] == pytest.approx(area * 0.0062)
    assert pipe > 0.9 * area * 0.0022 and account.paid_m3["sink"] == 0.0


def test_a_lower_feeder_lets_the_casting_go_down_first():
    """40 mm of casting beside 20 mm of feeder freeze sideways towards it, in five columns each: what is
    lacking comes out of what still moves and stands higher, though the feeder is liquid. By hand, in columns:
    one that has lost the share e asks for 5 % of its metal, as liquid, which those that are left share."""
    casting, feeder = column(0.040), column(0.020, "feeder", "feeder", left=0.06)
    account = prescribed([casting, feeder], lambda x, y: [x < 0.04 + number * 4e-3 for number in range(11)])
    lost, sink = 0.0, 0.0
    for left in (4, 3, 2, 1):
        drawn = SHARE * (1.0 - lost) / (1.0 - SHARE)
        lost, sink = lost + drawn / left, sink + drawn
    assert account.paid_m3["sink"] == pytest.approx(sink * 0.004 * 0.02 * 0.040)
    assert account.beside_feeder_m3 == account.past_feeder_m3 == pytest.approx(account.defect_m3)
    assert account.paid_m3["feeder"] == pytest.approx(account.asked_m3 - account.defect_m3)


def test_air_pushes_a_lower_feeder_up_into_a_casting_that_has_a_skin():
    """The casting's upper 4 mm are solid at once and let no air in. The open feeder, half as high, is joined
    to it at the foot and pays: its metal stands above the way all the time."""
    casting, feeder = column(0.040), column(0.020, "feeder", "feeder", left=0.068)
    neck = slab("neck", "feeder", (0.06, 0.068), (0.0, 0.004), 0.02)
    account = prescribed([casting, neck, feeder], lambda x, y: [
        0.0 * x, *((y > 0.036) | (x < 0.04 + number * 4e-3) for number in range(13))])
    assert account.paid_m3["feeder"] == pytest.approx(account.asked_m3) and account.defect_m3 == 0.0


def test_beside_a_lower_feeder_that_is_open_to_it_up_to_its_level_air_rises_into_the_casting():
    """As above, but the two stand side by side as one: the air above the feeder's metal finds a way under the
    skin, as in a poultry drinker, and the casting goes down first. By hand, in mm of height of five columns
    under a skin of 4 mm: what is lacking is liquid, which those that are left share."""
    casting, feeder = column(0.040), column(0.020, "feeder", "feeder", left=0.06)
    account = prescribed([casting, feeder], lambda x, y: [
        0.0 * x, *((y > 0.036) | (x < 0.04 + number * 4e-3) for number in range(11))])
    lost = 4.0 * SHARE / (1.0 - SHARE)
    total = 5.0 * lost
    for left in (4, 3, 2, 1):
        drawn = SHARE * (36.0 - lost) / (1.0 - SHARE)
        lost, total = lost + drawn / left, total + drawn
    own = account.paid_m3["sink"] + account.paid_m3["dimensional"]  # of the first column, less than 0.3 mm
    assert own == pytest.approx(total * 1e-3 * 0.004 * 0.02)
    assert account.paid_m3["feeder"] == pytest.approx(account.asked_m3 - own)
    assert account.paid_m3["cavity"] == 0.0  # its air came from outside


def test_a_feeder_that_is_solid_first_is_not_passed_by():
    casting, feeder = column(0.040), column(0.020, "feeder", "feeder", left=0.06)
    account = prescribed([casting, feeder], lambda x, y: [
        0.0 * x, *((x > 0.06) | (y < number * 4e-3) for number in range(11))])
    own = SHARE * 0.02 * 0.02 * 0.020  # of the feeder, drawn as liquid from the casting, which stands higher
    assert account.paid_m3["feeder"] == 0.0 and account.past_feeder_m3 == 0.0
    assert account.beside_feeder_m3 == pytest.approx(own / (1.0 - SHARE))
    assert account.defect_m3 == pytest.approx(SHARE * 0.02 * 0.02 * 0.040 + own)


@pytest.mark.parametrize("pour_time_s, steps", [(0.0, 0.0), (3.0, 3.0), (2.5, 2.5), (60.0, 10.0)])
def test_the_ladle_pays_while_it_pours(pour_time_s, steps):
    """A sprue up to the flask's upper face, ten rows that freeze one a second: a tenth of all each."""
    account = prescribed([column(0.020), column(0.020, "sprue", "gate", 0.020)], upwards(0.040), top=0.040,
                         pour_time_s=pour_time_s)
    assert account.paid_m3["pour"] == pytest.approx(0.1 * steps * SHARE * 0.02 * 0.02 * 0.040)
    assert account.paid_m3["pour"] + account.paid_m3["gate"] == pytest.approx(account.asked_m3)


def test_no_ladle_pours_into_a_casting_or_a_sprue_that_is_not_open():
    for blocks in ([column(0.040)], [column(0.020), column(0.016, "sprue", "gate", 0.020)]):
        assert prescribed(blocks, upwards(0.040), top=0.040, pour_time_s=60.0).paid_m3["pour"] == 0.0


@pytest.mark.parametrize("feeder_share, who", [
    (0.4, "feeder"), (0.52, "feeder"), (0.58, "casting"), (0.7, "casting")])
def test_where_all_is_stiff_liquid_drains_from_where_crystals_are_fewest(feeder_share, who, monkeypatch):
    """From 0.5 solid in the casting, and so much in the feeder above it, all rises by 0.1. Less than 0.05 of
    difference counts as none, and then what lies higher gives. It gives metal as dense as its own mush."""
    fed_to_the_end(monkeypatch)
    blocks = [column(0.040), column(0.020, "feeder", "feeder", 0.040)]

    def course(x, y):
        start = np.where(y > 0.040, feeder_share, 0.5)
        return [start, start + 0.1, start + 0.1]
    account = stopped_before_the_end(blocks, course, monkeypatch)
    solid = 0.1 + (feeder_share if who == "feeder" else 0.5)
    given = 0.1 * SHARE * 0.02 * 0.02 * 0.060 / (1.0 - SHARE * (1.0 - solid))
    assert account.paid_m3["feeder"] == pytest.approx(given if who == "feeder" else 0.0)
    assert account.drained_m3 == pytest.approx(given if who == "casting" else 0.0)
    assert account.defect_m3 == pytest.approx(account.drained_m3)
    assert account.beside_feeder_m3 == pytest.approx(account.drained_m3) and account.past_feeder_m3 == 0.0


def test_a_stiff_feeder_gives_its_liquid_and_keeps_its_crystals(monkeypatch):
    """4 mm of it, two fifths solid, over 200 mm that ask for four times 1 mm: it gives 60 %, then no more."""
    fed_to_the_end(monkeypatch)
    blocks = [column(0.200, bottom=-0.160), column(0.004, "feeder", "feeder", 0.040)]
    course = lambda x, y: [np.where(y > 0.040, 0.4, 0.1 * share) for share in (5, 6, 7, 8, 9, 9)]  # noqa: E731
    account = stopped_before_the_end(blocks, course, monkeypatch, cell=4e-3 / 3)
    assert account.feeder_emptied == pytest.approx(0.6) and account.drained_m3 > 0.0


def fed_to_the_end(monkeypatch, share=1.0):
    monkeypatch.setattr(ledger, "last_fed_fraction", lambda run: np.full(len(run.metal_cells), share))


def stopped_before_the_end(blocks, course, monkeypatch, **more):
    """The last step, which makes all solid, asks for nothing: no density changes in it."""
    real = ledger.course_of

    def quiet(*given):
        found = real(*given)
        found.asked[-1] = 0.0
        found.shrinks_unfed[-1] = 0.0
        return found
    monkeypatch.setattr(ledger, "course_of", quiet)
    return prescribed(blocks, course, MUSHY, **more)


def test_what_is_beyond_the_last_fed_fraction_opens_where_it_is(monkeypatch):
    """Fed up to 0.9, a cell lacks the last tenth of its 5 %; the feeder's own such holes are its own."""
    fed_to_the_end(monkeypatch, 0.9)
    blocks = [column(0.040), column(0.020, "feeder", "feeder", 0.040)]
    stages = (0.0, 0.1, 0.5, 0.9, 1.0)

    def course(x, y):
        return [np.where(y > 0.040, 0.8 * share + 0.2 * (share == 1.0), share) for share in stages]
    account = prescribed(blocks, course, MUSHY, at_rest=False)
    assert account.paid_m3["sponge"] == pytest.approx(0.1 * SHARE * 0.02 * 0.02 * 0.040, rel=0.01)
    assert account.defect_m3 == account.paid_m3["sponge"]
    assert account.paid_m3["feeder"] == pytest.approx(account.asked_m3 - account.paid_m3["sponge"])
    assert np.sum(account.void * account.run.grid.metal_volume) == pytest.approx(account.asked_m3)
