"""Feeders, necks, distances and junctions against published examples and exact geometry."""

import math

import pytest

from castlab.errors import InputError
from castlab.materials import alloy
from castlab.rules import charge, feeding, freezing, junction, modulus

CM, INCH = 0.01, 0.0254
STEEL = alloy("carbon steel")


def test_a_feeder_by_modulus():
    """Groover, example 10.3: plate 7.5 x 12.5 x 2.0 cm, 1.6 min; feeder as high as wide, 2.0 min: 4.7 cm."""
    plate = modulus.box(7.5 * CM, 12.5 * CM, 2.0 * CM)
    across = feeding.feeder_by_modulus(plate * math.sqrt(2.0 / 1.6))
    assert across / CM == pytest.approx(4.7, abs=0.05)


def test_a_feeder_that_freezes_a_minute_later():
    """GATE 2018: plate 80 x 120 x 20 mm, 2 min; feeder 3 min, H = D: 51.87 mm."""
    across = feeding.feeder_by_modulus(modulus.box(0.080, 0.120, 0.020) * math.sqrt(3 / 2))
    assert 1000 * across == pytest.approx(51.87, abs=0.005)


@pytest.mark.parametrize(
    "ratio, on_casting, modulus_over_diameter",
    [(1.0, False, 1 / 6), (1.5, False, 0.1875), (1.0, True, 1 / 5), (1.5, True, 0.2143)],
)
def test_the_moduli_of_every_feeder_table(ratio, on_casting, modulus_over_diameter):
    """Plain geometry, as printed in feeder tables: D/6, 0.1875 D, D/5, 0.2143 D."""
    across = feeding.feeder_by_modulus(1.0, ratio, on_casting)
    assert 1 / across == pytest.approx(modulus_over_diameter, abs=5e-5)


@pytest.mark.parametrize("height_ratio", [0.5, 1.0, 1.5, 3.0])
@pytest.mark.parametrize("on_casting", [True, False])
def test_the_feeder_has_the_modulus_that_was_asked(height_ratio, on_casting):
    across = feeding.feeder_by_modulus(0.012, height_ratio, on_casting)
    faces = ("base",) if on_casting else ()
    assert modulus.cylinder(across, height_ratio * across, joined=faces) == pytest.approx(0.012)


@pytest.mark.parametrize(
    "loss, share", [(0.04, 0.40), (0.045, 0.474), (0.05, 0.556), (0.06, 0.75), (0.07, 1.0)],
)
def test_a_feeder_by_volume(loss, share):
    """Campbell, Castings (from memory): e V_f = a (V_f + V_c) with e = 0.14; arithmetic by hand."""
    assert feeding.feeder_volume(1.0, loss) == pytest.approx(share, abs=5e-4)


@pytest.mark.parametrize("loss, gives", [(0.06, 0.14), (0.03, 0.20), (0.07, 0.5)])
def test_the_feeder_gives_what_it_and_the_casting_ask(loss, gives):
    volume = feeding.feeder_volume(2e-4, loss, gives)
    assert gives * volume == pytest.approx(loss * (volume + 2e-4))


@pytest.mark.parametrize("inches", [0.5, 1.0, 2.0, 4.0])
def test_feeding_distance_of_a_steel_plate(inches):
    """Bishop and Pellini 1950 (from memory; 2 T beside the feeder read in Ou and others 2002): 4.5 T."""
    thick = inches * INCH + 1e-4 * (inches < 1)
    distance = feeding.feeding_distance_plate(thick, 8 * thick, STEEL)
    between = feeding.feeding_distance_plate(thick, 8 * thick, STEEL, "feeder")
    assert distance == pytest.approx(2 * thick + 2.5 * thick)
    assert between == pytest.approx(2 * thick + 2 * thick)


def test_a_chill_adds_two_inches():
    """Pellini (from memory): a chill at the end of a plate adds 2 in; between two feeders 9 T + 4 in."""
    plain, chilled, middle = (
        feeding.feeding_distance_plate(2 * INCH, 12 * INCH, STEEL, end) / INCH
        for end in ("end", "chilled end", "chill and feeder")
    )
    assert (plain, chilled, middle) == pytest.approx((9.0, 11.0, 22.0))


@pytest.mark.parametrize("inches, end, between", [(4.0, 12.0, 7.2), (2.25, 9.0, 5.4), (6.25, 15.0, 9.0)])
def test_feeding_distance_of_a_steel_bar(inches, end, between):
    """Bishop, Myskowski, Pellini 1951 (from memory): 6 sqrt(T) and 3.6 sqrt(T) in inches; roots by hand."""
    thick = inches * INCH
    assert feeding.feeding_distance_bar(thick, thick, STEEL) / INCH == pytest.approx(end)
    assert feeding.feeding_distance_bar(thick, thick, STEEL, "feeder") / INCH == pytest.approx(between)
    chilled = feeding.feeding_distance_bar(thick, thick, STEEL, "chilled end") / INCH
    assert chilled == pytest.approx(end + inches)


@pytest.mark.parametrize("name", ["ZA-12", "A356", "tin bronze", "fine silver", "pure zinc"])
def test_no_feeding_distance_where_no_rule_was_found(name):
    for rule in (feeding.feeding_distance_plate, feeding.feeding_distance_bar):
        with pytest.raises(InputError, match="no verified rule was found, use the field"):
            rule(0.060, 0.060, alloy(name))


def test_yield_of_the_example():
    """Groover, example 10.3: the feeder is 44 % of the casting, so 1 / 1.44 = 69 % of the pour is casting."""
    plan = charge.charge(187.5, 0.44 * 187.5)
    assert plan.casting / plan.poured == pytest.approx(0.694, abs=5e-4)


@pytest.mark.parametrize(
    "kind, ratio",
    [("L", 4 - 2 * math.sqrt(2)), ("T", 1.25), ("X", math.sqrt(2))],
)
def test_circle_in_a_junction_of_equal_walls(kind, ratio):
    """Exact geometry: 2 (2 - sqrt 2) from the outer corner, 5/4 across a T, sqrt 2 in a cross."""
    assert junction.junction_circle(kind, 0.010, 0.010) == pytest.approx(0.010 * ratio)


@pytest.mark.parametrize("wall, rib, fillet", [(10, 10, 0), (10, 6, 3), (8, 14, 2), (12, 5, 6), (10, 18, 0)])
def test_the_circle_in_a_tee_touches_wall_and_fillets(wall, rib, fillet):
    radius = junction.junction_circle("T", wall, rib, fillet) / 2
    fillet_centre = (rib / 2 + fillet, wall + fillet)
    gap = math.hypot(fillet_centre[0], fillet_centre[1] - radius) - fillet - radius
    assert gap == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("wall, rib, fillet", [(10, 10, 0), (10, 6, 3), (8, 14, 2), (12, 7, 6)])
def test_the_circle_in_a_corner_touches_both_faces_and_the_fillet(wall, rib, fillet):
    radius = junction.junction_circle("L", wall, rib, fillet) / 2
    gap = math.hypot(wall + fillet - radius, rib + fillet - radius) - fillet - radius
    assert gap == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("wall, rib, fillet", [(10, 10, 0), (10, 6, 3), (8, 14, 2)])
def test_the_circle_in_a_cross_touches_all_four_fillets(wall, rib, fillet):
    radius = junction.junction_circle("X", wall, rib, fillet) / 2
    gap = math.hypot(wall / 2 + fillet, rib / 2 + fillet) - fillet - radius
    assert gap == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("kind", ["L", "T"])
@pytest.mark.parametrize("fillet", [0.0, 2.0])
def test_a_far_thicker_wall_keeps_its_own_circle(kind, fillet):
    """Where the formula meets the thick wall's own circle, the two agree: no jump."""
    edge = 2 * (10 + fillet)
    below, above = (junction.junction_circle(kind, 10.0, edge + step, fillet) for step in (-1e-7, 1e-7))
    assert below == pytest.approx(above, abs=1e-5)
    assert above == pytest.approx(edge, abs=1e-5)


def test_order_of_freezing_by_the_textbook():
    """Kalpakjian, Schmid (from memory): ball 0.043 C, cube 0.028 C, cylinder 0.033 C at one volume."""
    across = (4 / math.pi) ** (1 / 3)
    bodies = {
        "ball": modulus.ball((6 / math.pi) ** (1 / 3)), "cube": modulus.box(1.0, 1.0, 1.0),
        "cylinder": modulus.cylinder(across, across),
    }
    rows = modulus.freezing_order(bodies)
    assert [name for name, _, _ in rows] == ["cube", "cylinder", "ball"]
    assert [freezing.freezing_time(size, 1.0) for _, size, _ in rows] == pytest.approx(
        [0.028, 0.033, 0.043], abs=5e-4)
    assert rows[0][2] == pytest.approx(0.028 / 0.043, abs=0.02)


def test_wlodawers_neck():
    """Wlodawer (from memory): casting 1, neck 1.1."""
    neck = feeding.neck_width(0.010)
    assert modulus.bar(neck, neck) == pytest.approx(0.011)
    assert modulus.bar(feeding.neck_width(0.010, 0.030), 0.030) == pytest.approx(0.011)
    assert modulus.rod(neck) == pytest.approx(0.011)
