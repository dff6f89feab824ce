"""What a thick wall draws through the contact at its face.

Nothing is published with numbers: the flow is exact, and is summed here by another way.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import erfcx

from castlab.materials import mould
from castlab.rules import thick_wall

SAND = mould("green sand")


@pytest.mark.parametrize("contact", [50.0, 1000.0, 2e4])
@pytest.mark.parametrize("time", [0.1, 10.0, 1000.0])
def test_the_flow_through_the_contact_adds_up(contact, time):
    """Carslaw and Jaeger: a half-space behind a coefficient h takes h exp(x^2) erfc(x), x = h sqrt(t)/b."""
    around = replace(SAND, interface_coefficient=contact)
    roots = np.linspace(0.0, math.sqrt(time), 20001)
    middle = 0.5 * (roots[1:] + roots[:-1])
    flow = contact * erfcx(contact * middle / around.heat_diffusivity)
    assert thick_wall.drawn_by_wall(time, around) == pytest.approx(np.sum(flow * np.diff(roots**2)), rel=1e-4)


def test_a_poor_contact_lets_heat_through_evenly_and_a_good_one_is_none():
    poor, good = (replace(SAND, interface_coefficient=each) for each in (0.1, 1e9))
    assert thick_wall.drawn_by_wall(10.0, poor) == pytest.approx(0.1 * 10.0, rel=1e-3)
    touching = replace(SAND, interface_coefficient=math.inf)
    assert thick_wall.drawn_by_wall(10.0, good) == pytest.approx(thick_wall.drawn_by_wall(10.0, touching))


@given(heat=st.floats(1.0, 1e6), contact=st.floats(10.0, 1e5), curvature=st.floats(0.0, 200.0))
def test_there_and_back(heat, contact, curvature):
    around = replace(SAND, interface_coefficient=contact)
    time = thick_wall.time_to_draw(heat, around, curvature)
    assert thick_wall.drawn_by_wall(time, around, curvature) == pytest.approx(heat, rel=1e-6)


def test_round_a_ball_more_is_drawn():
    """By hand, touching everywhere: k t / r more, 0.8 * 60 / 0.02 = 2400 J/m2/K; less behind a contact."""
    touching = replace(SAND, interface_coefficient=math.inf)
    more, less = (thick_wall.drawn_by_wall(60.0, around, 1.0 / 0.02) - thick_wall.drawn_by_wall(60.0, around)
                  for around in (touching, SAND))
    assert SAND.conductivity == 0.8 and more == pytest.approx(2400.0) and less < more


@pytest.mark.parametrize("contact", [100.0, 1000.0])
@pytest.mark.parametrize("time", [20.0, 200.0])
def test_round_a_ball_against_shells_of_sand(contact, time):
    """Another way: shells of 0.2 mm of sand round a ball of 40 mm radius; 0.5 % is what they are worth."""
    around, radius, shell = replace(SAND, interface_coefficient=contact), 0.04, 0.2e-3
    edges = radius + shell * np.arange(501)
    capacity = around.density * around.heat_capacity * (edges[1:] ** 3 - edges[:-1] ** 3) / 3.0
    between = around.conductivity * edges[1:-1] ** 2 / shell
    at_face = radius**2 / (1.0 / contact + 0.5 * shell / around.conductivity)
    sand, step, drawn = np.zeros(500), 0.02, 0.0
    for _ in range(round(time / step)):
        flow = np.concatenate([[at_face * (1.0 - sand[0])], between * -np.diff(sand), [0.0]])
        sand += step * -np.diff(flow) / capacity
        drawn += step * flow[0] / radius**2
    assert thick_wall.drawn_by_wall(time, around, 1.0 / radius) == pytest.approx(drawn, rel=5e-3)


def test_no_heat_takes_no_time():
    assert thick_wall.time_to_draw(0.0, SAND) == 0.0
