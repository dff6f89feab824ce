"""Hot spots: where a founder would point, in order; moduli by hand; what feeder and chill do to them."""

import meshes
import pytest

from castlab import Setup, alloy, freeze, mould, shrinkage
from castlab.field import bodies
from castlab.field.design import design
from castlab.field.hot_spots import hot_spots
from castlab.field.layout import Block, Layout, box
from castlab.field.mend import mended
from castlab.field.own_part import Body, OwnPart

ZA12, SAND = alloy("ZA-12"), mould("green sand")
CELL = 4e-3
BAR = Body("bar", "cylinder", (("diameter", 12e-3), ("length", 100e-3)), axis="x")


def _ball(name, diameter, x):
    return Body(name, "ball", (("diameter", diameter),), (x, 0.0, 0.0))


def _spots(*blocks, size=0.13):
    run = freeze(Setup(Layout(blocks, (-size,) * 3, (size,) * 3), ZA12, SAND, 475.0), CELL)
    return hot_spots(run)


# A shape, its inscribed ball and its modulus V / A in the middle [m], by hand.
SHAPES = {
    "ball": (bodies.ball("b", "casting", (0.0, 0.0, 0.0), 0.05), 0.05, 0.05 / 6),
    "cube": (box("b", "casting", *[(-0.02, 0.02)] * 3), 0.04, 0.04 / 6),
    "long square bar": (box("b", "casting", (-0.1, 0.1), (-0.015, 0.015), (-0.015, 0.015)), 0.03, 0.03 / 4),
    "long round bar": (bodies.cylinder("b", "casting", "x", (0.0, 0.0), 0.03, (-0.1, 0.1)), 0.03, 0.03 / 4),
    "wide plate": (box("b", "casting", (-0.08, 0.08), (-0.0075, 0.0075), (-0.08, 0.08)), 0.015, 0.015 / 2),
}


@pytest.mark.parametrize("name", SHAPES)
def test_ball_and_modulus_are_those_by_hand(name):
    body, ball, modulus = SHAPES[name]
    (spot,) = _spots(body)
    assert spot.place == pytest.approx((0.0, 0.0, 0.0), abs=4e-3)
    assert spot.ball_m == pytest.approx(ball, rel=0.04)
    assert spot.modulus_m == pytest.approx(modulus, rel=0.1)


def test_a_block_on_a_plate_has_the_modulus_of_its_free_faces():
    """A cube of 40 mm on the end of a plate 12 mm thick: volume over surface less the joined face."""
    plate = box("plate", "casting", (-0.12, 0.0), (-0.006, 0.006), (-0.02, 0.02))
    (spot,) = _spots(plate, box("boss", "casting", (0.0, 0.04), (-0.02, 0.02), (-0.02, 0.02)))
    assert spot.block == "boss"
    assert spot.modulus_m == pytest.approx(0.04**3 / (6 * 0.04**2 - 0.012 * 0.04), rel=0.05)


def test_two_knobs_come_in_their_order():
    part = OwnPart("two knobs", (_ball("small", 30e-3, -50e-3), BAR, _ball("large", 40e-3, 50e-3)))
    spots = _spots(*part.blocks)
    assert [spot.block for spot in spots] == ["large", "small"]
    assert (
        spots[0].froze_s > 1.3 * spots[1].froze_s
    )  # by Chvorinov's rule (40 / 30)^2 = 1.8, less the bar's draw
    assert [spot.ball_m for spot in spots] == [pytest.approx(size, rel=0.04) for size in (0.04, 0.03)]


def test_a_twin_beyond_the_plane_of_symmetry_is_listed_too():
    part = OwnPart("twins", (_ball("left", 30e-3, -50e-3), BAR, _ball("right", 30e-3, 50e-3)))
    layout = Layout(part.blocks, (-0.13,) * 3, (0.13,) * 3)
    run = freeze(Setup(layout, ZA12, SAND, 475.0), CELL)
    account = shrinkage(run)
    one, other = hot_spots(run, account)
    assert run.grid.images == 4.0
    assert one.place[0] == pytest.approx(-other.place[0]) and one.froze_s == other.froze_s
    assert one.lacks_m3 + other.lacks_m3 == pytest.approx(account.defect_m3, rel=0.05)


def test_a_feeder_that_is_liquid_longer_takes_the_spot_away_and_a_small_one_does_not():
    part = OwnPart("two knobs", (_ball("small", 30e-3, -50e-3), BAR, _ball("large", 40e-3, 50e-3)))
    fed = design(part, ZA12, SAND, 475.0, feeder_1_x=50e-3, feeder_1_y=0.0, feeder_1_z=0.0)
    spots = {}
    for width in (10e-3, 44e-3):
        run = freeze(fed.change(feeder_1_width=width, feeder_1_height=70e-3).setup(), CELL)
        spots[width] = [spot.block for spot in hot_spots(run)]
    assert spots[10e-3] == ["large", "small"] and spots[44e-3] == ["small"]


def test_a_chill_makes_it_freeze_sooner():
    part = OwnPart("knob on a bar", (BAR, _ball("knob", 36e-3, 50e-3)))
    plain = design(part, ZA12, SAND, 475.0)
    chilled = plain.change(chill_1_x=50e-3, chill_1_y=0.0, chill_1_z=0.0, chill_1_thickness=25e-3)
    before, after = (hot_spots(freeze(each.setup(), CELL))[0] for each in (plain, chilled))
    assert before.block == after.block == "knob"
    assert after.froze_s < 0.93 * before.froze_s and after.place[1] > before.place[1]


def test_holes_are_shared_out_among_the_spots():
    part = OwnPart("two knobs", (_ball("small", 30e-3, -50e-3), BAR, _ball("large", 40e-3, 50e-3)))
    run = freeze(design(part, ZA12, SAND, 475.0).setup(), CELL)
    account = shrinkage(run)
    spots = hot_spots(run, account)
    assert sum(spot.lacks_m3 for spot in spots) == pytest.approx(account.defect_m3, rel=0.05)
    assert spots[0].lacks_m3 > spots[1].lacks_m3 > 0.0


def test_faces_above_and_beside_are_those_that_metal_leads_to():
    (spot,) = _spots(SHAPES["cube"][0])
    assert [face.side for face in spot.faces] == ["top", "left", "right", "front", "back"]
    assert spot.face("top").at[1] == pytest.approx(0.02) and spot.face("bottom") is None
    roof = box("roof", "casting", (-0.04, 0.06), (0.05, 0.058), (-0.02, 0.02))
    wall = box("wall", "casting", (0.05, 0.06), (-0.02, 0.05), (-0.02, 0.02))
    foot = box("foot", "casting", (0.02, 0.06), (-0.03, -0.02), (-0.02, 0.02))
    cube = SHAPES["cube"][0]
    under_it = box("under", "casting", (-0.02, 0.02), (-0.03, -0.02), (-0.02, 0.02))
    spots = _spots(cube, roof, wall, foot, under_it)
    assert "top" not in [face.side for face in spots[0].faces]  # the roof shuts it off


def test_faces_are_as_far_away_wherever_the_part_stands():
    away = box("b", "casting", (0.06, 0.1), (0.05, 0.09), (-0.1, -0.06))
    there, here = (_spots(body, size=0.2)[0] for body in (away, SHAPES["cube"][0]))
    assert [face.side for face in there.faces] == [face.side for face in here.faces]


def test_a_part_of_triangles_has_the_spots_of_its_bodies():
    mesh = mended(meshes.ball(0.05)).mesh
    (spot,) = _spots(Block("b", "casting", *mesh.extent, form=mesh))
    assert spot.ball_m == pytest.approx(0.05, rel=0.04) and spot.modulus_m == pytest.approx(0.05 / 6, rel=0.1)
