"""Filling: the shape of each law, its limits, what it refuses.

Published numbers: tests/published.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.materials import alloy, alloy_names, mould
from castlab.rules import filling

ALLOYS = [alloy(name) for name in alloy_names()]
each_alloy = pytest.mark.parametrize("metal", ALLOYS, ids=lambda metal: metal.name)
SAND, DIE, A356 = mould("green sand"), mould("cast-iron die"), alloy("A356")
TOUCHING = replace(SAND, interface_coefficient=math.inf)


@each_alloy
def test_the_usual_window_is_the_range_of_pouring_temperatures(metal):
    low, high = metal.pour_range_c
    assert filling.superheat(metal, metal.liquidus_c) == 0.0
    assert filling.judge_superheat(metal, low - 1) == "cold"
    assert filling.judge_superheat(metal, low) == "usual"
    assert filling.judge_superheat(metal, high) == "usual"
    assert filling.judge_superheat(metal, high + 1) == "hot"


def test_below_the_liquidus_is_refused_with_the_liquidus():
    with pytest.raises(InputError, match="432"):
        filling.superheat(alloy("ZA-12"), 431.9)


def test_skin_formers_run_until_they_are_solid_and_mush_formers_stop_early():
    stops = {metal.name: filling.stopping_fraction(metal) for metal in ALLOYS}
    assert stops["pure aluminium"] == stops["pure zinc"] == stops["fine silver"] == 1.0
    assert all(0.15 <= stops[name] <= 0.5 for name in ("A356", "ZA-12", "tin bronze", "carbon steel"))


@given(radius=st.floats(1e-4, 0.05), times=st.floats(1.1, 5))
def test_in_a_die_length_goes_with_the_radius_and_in_sand_with_its_square(radius, times):
    metal = alloy("A356")
    thin, wide = (filling.running_time(each, metal, DIE, 700) for each in (radius, times * radius))
    assert wide == pytest.approx(times * thin)
    thin, wide = (filling.running_time(each, metal, TOUCHING, 700) for each in (radius, times * radius))
    assert wide == pytest.approx(times**2 * thin)
    thin, wide = (filling.running_time(each, metal, SAND, 700) for each in (radius, times * radius))
    assert times * thin < wide < times**2 * thin


@each_alloy
@pytest.mark.parametrize("wall", [SAND, DIE], ids=lambda wall: wall.name)
def test_what_makes_metal_run_further(metal, wall):
    low, high = metal.pour_range_c
    length = filling.fluidity_length(2e-3, 0.5, metal, wall, low)
    assert filling.fluidity_length(2e-3, 0.5, metal, wall, high) > length
    assert filling.fluidity_length(2e-3, 1.0, metal, wall, low) == pytest.approx(2 * length)
    warm = replace(wall, start_temp_c=wall.start_temp_c + 100)
    assert filling.fluidity_length(2e-3, 0.5, metal, warm, low) > length


def test_heat_that_leaves_the_channel_is_the_heat_that_stops_the_metal():
    """Sand: the flow of heat b dT / sqrt(pi t), summed in small steps over the running time."""
    metal, radius = alloy("fine silver"), 3e-3
    stop = filling.running_time(radius, metal, TOUCHING, 1020)
    roots = np.linspace(0, math.sqrt(stop), 2001)
    times = (roots[1:] + roots[:-1]) ** 2 / 4
    flow = SAND.heat_diffusivity * (metal.liquidus_c - SAND.start_temp_c) / np.sqrt(math.pi * times)
    lost = np.sum(flow * np.diff(roots**2)) * 2 / radius
    held = metal.density_liquid * (metal.latent_heat + metal.heat_capacity_liquid * (1020 - 961.78))
    assert lost == pytest.approx(held, rel=1e-6)


@pytest.mark.parametrize("velocity", [0.3, 2.0])
def test_a_head_against_friction_stepped_in_time(velocity):
    """Metal in the channel moves with V / sqrt(1 + f x / d), here in small steps over the running time."""
    wide, speed = 5e-3, velocity
    friction = 0.316 * (A356.density_liquid * speed * wide / A356.viscosity) ** -0.25
    run, step = 0.0, filling.running_time(0.5 * wide, A356, DIE, 700.0) / 20000
    for _ in range(20000):
        half = run + 0.5 * step * velocity / math.sqrt(1.0 + friction * run / wide)
        run += step * velocity / math.sqrt(1.0 + friction * half / wide)
    found = filling.fluidity_length_under_head(0.5 * wide, velocity, A356, DIE, 700.0)
    assert found == pytest.approx(run, rel=1e-6)


@each_alloy
def test_friction_shortens_a_run_and_what_a_faster_pour_gains(metal):
    reach = [filling.fluidity_length_under_head(2e-3, speed, metal, SAND, metal.pour_range_c[1])
             for speed in (0.5, 1.0)]
    straight = filling.fluidity_length(2e-3, 0.5, metal, SAND, metal.pour_range_c[1])
    assert reach[0] < straight and 2.0 ** 0.6 < reach[1] / reach[0] < 2.0


@pytest.mark.parametrize("wall", [SAND, DIE], ids=lambda wall: wall.name)
def test_hotter_metal_fills_a_thinner_wall(wall):
    cool, hot = (filling.thinnest_section(0.3, 0.5, A356, wall, pour) for pour in (680, 750))
    assert hot < cool
    assert filling.thinnest_section(0.6, 0.5, A356, wall, 680) > cool
    assert filling.fluidity_length(cool, 0.5, A356, wall, 680) == pytest.approx(0.3)


@pytest.mark.parametrize(
    "call, parameter",
    [
        (lambda: filling.fluidity_length(0.0, 0.5, alloy("A356"), DIE, 700), "channel radius"),
        (lambda: filling.fluidity_length(0.01, -0.5, alloy("A356"), DIE, 700), "velocity"),
        (lambda: filling.fluidity_length(0.01, 0.5, alloy("A356"), DIE, 600), "pouring temperature"),
        (lambda: filling.fluidity_length_under_head(0.01, 0.0, A356, DIE, 700), "velocity"),
        (lambda: filling.running_time(0.01, alloy("A356"), DIE, 700, stops_at=1.5),
         "share of solid that stops the stream"),
        (lambda: filling.running_time(0.01, alloy("A356"), replace(DIE, start_temp_c=615), 700),
         "mould temperature"),
        (lambda: filling.thinnest_section(0.0, 0.5, A356, DIE, 700), "distance"),
        (lambda: filling.thinnest_section(0.3, 0.5, A356, DIE, 615, stops_at=0.0), "pouring temperature"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, parameter):
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.parameter == parameter
