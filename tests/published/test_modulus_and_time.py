"""Worked examples of textbooks and examinations: moduli, and freezing times by Chvorinov's rule.

Each expected number is the one that the source prints; the tolerance is half of its last digit unless said.
"""

import math

import pytest

from castlab.rules import freezing, modulus

CM = 0.01
INCH = 0.0254
MIN_PER_CM2 = 60 / CM**2


def cube(side):
    return modulus.box(side, side, side)


def test_ball_cube_and_cylinder_of_one_volume():
    """Kalpakjian, Schmid: Manufacturing Engineering and Technology, chapter on casting (from memory).

    Volume 1, time = C (V/A)^2: ball 0.043 C, cube 0.028 C, cylinder as high as wide 0.033 C.
    """
    ball = modulus.ball((6 / math.pi) ** (1 / 3))
    across = (4 / math.pi) ** (1 / 3)
    assert freezing.freezing_time(ball, 1.0) == pytest.approx(0.043, abs=0.0005)
    assert freezing.freezing_time(cube(1.0), 1.0) == pytest.approx(0.028, abs=0.0005)
    assert freezing.freezing_time(modulus.cylinder(across, across), 1.0) == pytest.approx(0.033, abs=0.0005)


def test_cylinder_and_plate():
    """Kalpakjian, Schmid, problem: cylinder of radius 4, height 2: 0.444 C; plate 5 x 5 x 4: 0.59 C."""
    assert freezing.freezing_time(modulus.cylinder(8, 2), 1.0) == pytest.approx(0.444, abs=0.0005)
    assert freezing.freezing_time(modulus.box(5, 5, 4), 1.0) == pytest.approx(0.59, abs=0.005)


def test_a_feeder_by_trial_casting():
    """Groover, Fundamentals of Modern Manufacturing, example 10.3.

    Steel plate 7.5 x 12.5 x 2.0 cm freezes in 1.6 min; a cylinder as high as wide that freezes in 2.0 min.
    The book: V 187.5 cm3, A 267.5 cm2, constant 3.26 min/cm2, D = H = 4.7 cm, volume 81.5 cm3 = 44 %.
    """
    plate = modulus.box(7.5 * CM, 12.5 * CM, 2.0 * CM)
    assert plate == pytest.approx(187.5 / 267.5 * CM)
    constant = freezing.constant_from_trial(1.6 * 60, plate)
    assert constant / MIN_PER_CM2 == pytest.approx(3.26, abs=0.005)
    across = 6 * math.sqrt(2.0 * 60 / constant)
    assert modulus.cylinder(across, across) == pytest.approx(across / 6)
    assert across / CM == pytest.approx(4.7, abs=0.05)
    volume = math.pi / 4 * (across / CM) ** 3
    assert volume == pytest.approx(81.5, abs=0.3)  # the book takes D as 4.7 cm, rounded
    assert volume / 187.5 == pytest.approx(0.44, abs=0.005)


def test_a_feeder_that_freezes_a_minute_later():
    """GATE 2018, mechanical engineering: plate 80 x 120 x 20 mm, 2 min; feeder, 3 min and H = D: 51.87 mm."""
    constant = freezing.constant_from_trial(120, modulus.box(0.080, 0.120, 0.020))
    across = 6 * math.sqrt(180 / constant)
    assert 1000 * across == pytest.approx(51.87, abs=0.01)


@pytest.mark.parametrize(
    "body",
    [modulus.ball(0.1), modulus.cylinder(0.1, 0.1), cube(0.1)],
    ids=["ball", "cylinder", "cube"],
)
def test_ball_cylinder_and_cube_of_one_width(body):
    """Groover, problem: all of 10 cm, constant 3.5 min/cm2: all V/A = D/6, each 9.72 min."""
    assert body == pytest.approx(0.1 / 6)
    assert freezing.freezing_time(body, 3.5 * MIN_PER_CM2) / 60 == pytest.approx(9.72, abs=0.005)


def test_a_plate_from_a_cube():
    """DeGarmo, Materials and Processes in Manufacturing: a 4 in cube, 14.5 min; 16 x 4 x 1 in, 4.735 min."""
    constant = freezing.constant_from_trial(14.5 * 60, cube(4 * INCH))
    plate = modulus.box(16 * INCH, 4 * INCH, 1 * INCH)
    assert freezing.freezing_time(plate, constant) / 60 == pytest.approx(4.735, abs=0.001)


def test_a_cylinder_against_a_cube_twice_as_wide():
    """Examination question: cylinder D = H against a cube of edge 2D: freezing times 0.25 to 1."""
    ratio = (modulus.cylinder(0.05, 0.05) / cube(0.10)) ** 2
    assert ratio == pytest.approx(0.25)


def test_three_problems_of_a_lecture():
    """Lecture sheet "Solidification problems" (after Groover): plate, disc, cube and cylinder."""
    plate = modulus.box(30 * CM, 10 * CM, 2 * CM)
    assert freezing.freezing_time(plate, 4.0 * MIN_PER_CM2) / 60 == pytest.approx(2.49, abs=0.005)
    disc = modulus.cylinder(0.500, 0.020)
    assert freezing.freezing_time(disc, 2.0e6) == pytest.approx(171.5, abs=0.05)
    constant = freezing.constant_from_trial(155, cube(0.050))
    assert constant / 1e6 == pytest.approx(2.232, abs=0.0005)
    assert freezing.freezing_time(modulus.cylinder(0.030, 0.050), constant) == pytest.approx(74.3, abs=0.05)


@pytest.mark.parametrize(
    "body, expected",
    [
        (modulus.ball(1), 1 / 6),
        (cube(1), 1 / 6),
        (modulus.cylinder(1, 1), 1 / 6),
        (modulus.cylinder(1, 1.5), 0.1875),
        (modulus.cylinder(1, 1, joined=("base",)), 1 / 5),
        (modulus.cylinder(1, 1.5, joined=("base",)), 0.2143),
        (modulus.plate(1), 1 / 2),
        (modulus.rod(1), 1 / 4),
        (modulus.bar(1, 1), 1 / 4),
    ],
)
def test_moduli_that_every_feeder_table_starts_from(body, expected):
    """Plain geometry: D/6, a/6, 0.1875 D, D/5, 0.2143 D, T/2, D/4, a/4 of every feeder table."""
    assert body == pytest.approx(expected, abs=5e-5)
