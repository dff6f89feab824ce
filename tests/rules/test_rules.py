"""The hand rules: the shape of each law, its limits, what it refuses. Published numbers: tests/published."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.materials import alloy, alloy_names, mould, values
from castlab.rules import contraction, filling, freezing, modulus

SIZES = st.floats(1e-3, 1.0)
SUPERHEATS = st.floats(0.0, 150.0)
ALLOYS = [alloy(name) for name in alloy_names()]
each_alloy = pytest.mark.parametrize("metal", ALLOYS, ids=lambda metal: metal.name)
SAND = mould("green sand")
DIE = mould("cast-iron die")


class TestModulus:
    @given(a=SIZES, b=SIZES, c=SIZES)
    def test_a_box_cools_through_all_its_faces(self, a, b, c):
        assert 1 / modulus.box(a, b, c) == pytest.approx(2 / a + 2 / b + 2 / c)

    @given(a=SIZES, b=SIZES, scale=st.floats(0.1, 10))
    def test_the_modulus_grows_with_the_size(self, a, b, scale):
        assert modulus.box(scale * a, scale * b, scale * b) == pytest.approx(scale * modulus.box(a, b, b))
        assert modulus.cylinder(scale * a, scale * b) == pytest.approx(scale * modulus.cylinder(a, b))

    @given(a=SIZES, b=SIZES, c=SIZES)
    def test_a_box_without_its_ends_is_a_bar_and_without_its_edges_a_plate(self, a, b, c):
        assert modulus.box(a, b, c, joined=("left", "right")) == pytest.approx(modulus.bar(b, c))
        edges = ("left", "right", "front", "back")
        assert modulus.box(a, b, c, joined=edges) == pytest.approx(modulus.plate(c))

    @given(diameter=SIZES, height=SIZES)
    def test_a_cylinder_without_its_ends_is_a_rod_and_without_its_side_a_plate(self, diameter, height):
        ends = modulus.cylinder(diameter, height, joined=("base", "top"))
        assert ends == pytest.approx(modulus.rod(diameter))
        side = modulus.cylinder(diameter, height, joined=("side",))
        assert side == pytest.approx(modulus.plate(height))

    @given(inner=SIZES, wall=SIZES, height=SIZES)
    def test_a_ring_is_a_bent_bar(self, inner, wall, height):
        ring = modulus.ring(inner + 2 * wall, inner, height)
        assert ring == pytest.approx(modulus.bar(wall, height))
        no_ends = modulus.ring(inner + 2 * wall, inner, height, joined=("base", "top"))
        assert no_ends == pytest.approx(modulus.plate(wall))

    @given(a=SIZES, b=SIZES, c=SIZES)
    def test_a_joined_face_and_a_covered_area_of_its_size_are_the_same(self, a, b, c):
        assert modulus.box(a, b, c, joined="base") == pytest.approx(modulus.box(a, b, c, covered_area=a * b))
        assert modulus.box(a, b, c, joined="base") > modulus.box(a, b, c)

    @pytest.mark.parametrize("bad", [0.0, -0.01, math.nan, math.inf, None])
    @pytest.mark.parametrize("shape", [modulus.plate, modulus.rod, modulus.ball])
    def test_a_size_must_be_positive(self, shape, bad):
        with pytest.raises(InputError):
            shape(bad)

    @pytest.mark.parametrize(
        "call, parameter",
        [
            (lambda: modulus.box(-1.0, 1.0, 1.0), "length"),
            (lambda: modulus.box(1.0, 0.0, 1.0), "width"),
            (lambda: modulus.cylinder(1.0, math.nan), "height"),
            (lambda: modulus.ring(1.0, 1.0, 1.0), "inner diameter"),
            (lambda: modulus.bar(0.1, -0.1), "thickness"),
            (lambda: modulus.modulus(1.0, 0.0), "cooling area"),
            (lambda: modulus.box(1.0, 1.0, 1.0, joined=("botom",)), "joined face"),
            (lambda: modulus.cylinder(1.0, 1.0, joined=("base", "top", "side")), "joined faces"),
            (lambda: modulus.box(1.0, 1.0, 1.0, covered_area=-0.1), "covered area"),
            (lambda: modulus.box(1.0, 1.0, 1.0, covered_area=6.0), "joined faces"),
            (lambda: modulus.box(1.0, 1.0, 1.0, joined="base", covered_area=5.5), "joined faces"),
        ],
    )
    def test_what_cannot_be_is_refused_by_name(self, call, parameter):
        with pytest.raises(InputError) as caught:
            call()
        assert caught.value.parameter == parameter


class TestContraction:
    @each_alloy
    @given(above=SUPERHEATS, volume=st.floats(1e-7, 1.0))
    def test_liquid_and_freezing_contraction_make_up_what_must_be_fed(self, metal, above, volume):
        pour = metal.liquidus_c + above
        kept = (1 - contraction.liquid_contraction(metal, pour)) * (1 - metal.freezing_contraction)
        assert contraction.volume_to_feed(volume, metal, pour) == pytest.approx(volume * (1 - kept))

    @each_alloy
    def test_hotter_metal_asks_for_more_feed(self, metal):
        low, high = metal.pour_range_c
        assert contraction.volume_to_feed(1.0, metal, high) > contraction.volume_to_feed(1.0, metal, low)

    @each_alloy
    def test_mass_is_kept(self, metal):
        """The mass poured into a cavity, frozen, fills the cavity less what was to be fed."""
        pour = metal.pour_range_c[1]
        poured = 2e-4 * metal.liquid_density(pour)
        left = 2e-4 - contraction.volume_to_feed(2e-4, metal, pour)
        assert left * metal.density_solid == pytest.approx(poured)

    def test_metal_that_expands_needs_no_feeding(self):
        iron = replace(alloy("carbon steel"), freezing_contraction=-0.02)
        assert contraction.volume_to_feed(1.0, iron, iron.liquidus_c) == pytest.approx(-0.02)

    @each_alloy
    def test_the_pattern_is_larger_by_the_contraction_that_the_densities_show(self, metal):
        cold = next(value.value for value in values(metal.name) if value.quantity == "density_20c")
        cubed = contraction.pattern_scale(metal) ** 3
        assert cubed == pytest.approx(cold / metal.density_solid, rel=5e-4)

    def test_a_casting_measured_hot_has_contracted_less(self):
        metal = alloy("A356")
        assert contraction.pattern_scale(metal, metal.solidus_c) == 1.0
        assert 1 < contraction.pattern_scale(metal, 300) < contraction.pattern_scale(metal, 20)

    @pytest.mark.parametrize(
        "call, parameter",
        [
            (lambda: contraction.volume_to_feed(-1.0, alloy("ZA-12"), 472), "volume"),
            (lambda: contraction.volume_to_feed(1.0, alloy("ZA-12"), 400), "pouring temperature"),
            (lambda: contraction.liquid_contraction(alloy("ZA-12"), math.nan), "pouring temperature"),
            (lambda: contraction.pattern_scale(alloy("ZA-12"), 500), "temperature of measuring"),
        ],
    )
    def test_what_cannot_be_is_refused_by_name(self, call, parameter):
        with pytest.raises(InputError) as caught:
            call()
        assert caught.value.parameter == parameter


class TestFilling:
    @each_alloy
    def test_the_usual_window_is_the_range_of_pouring_temperatures(self, metal):
        low, high = metal.pour_range_c
        assert filling.superheat(metal, metal.liquidus_c) == 0.0
        assert filling.judge_superheat(metal, low - 1) == "cold"
        assert filling.judge_superheat(metal, low) == "usual"
        assert filling.judge_superheat(metal, high) == "usual"
        assert filling.judge_superheat(metal, high + 1) == "hot"

    def test_below_the_liquidus_is_refused_with_the_liquidus(self):
        with pytest.raises(InputError, match="432"):
            filling.superheat(alloy("ZA-12"), 431.9)

    def test_skin_formers_run_until_they_are_solid_and_mush_formers_stop_early(self):
        stops = {metal.name: filling.stopping_fraction(metal) for metal in ALLOYS}
        assert stops["pure aluminium"] == stops["pure zinc"] == stops["fine silver"] == 1.0
        assert all(0.15 <= stops[name] <= 0.5 for name in ("A356", "ZA-12", "tin bronze", "carbon steel"))

    @given(radius=st.floats(1e-4, 0.05), times=st.floats(1.1, 5))
    def test_in_a_die_length_goes_with_the_radius_and_in_sand_with_its_square(self, radius, times):
        metal = alloy("A356")
        thin, wide = (filling.running_time(each, metal, DIE, 700) for each in (radius, times * radius))
        assert wide == pytest.approx(times * thin)
        thin, wide = (filling.running_time(each, metal, SAND, 700) for each in (radius, times * radius))
        assert wide == pytest.approx(times**2 * thin)

    @each_alloy
    @pytest.mark.parametrize("wall", [SAND, DIE], ids=lambda wall: wall.name)
    def test_what_makes_metal_run_further(self, metal, wall):
        low, high = metal.pour_range_c
        length = filling.fluidity_length(2e-3, 0.5, metal, wall, low)
        assert filling.fluidity_length(2e-3, 0.5, metal, wall, high) > length
        assert filling.fluidity_length(2e-3, 1.0, metal, wall, low) == pytest.approx(2 * length)
        warm = replace(wall, start_temp_c=wall.start_temp_c + 100)
        assert filling.fluidity_length(2e-3, 0.5, metal, warm, low) > length

    def test_heat_that_leaves_the_channel_is_the_heat_that_stops_the_metal(self):
        """Sand: the flow of heat b dT / sqrt(pi t), summed in small steps over the running time."""
        metal, radius = alloy("fine silver"), 3e-3
        stop = filling.running_time(radius, metal, SAND, 1020)
        roots = np.linspace(0, math.sqrt(stop), 2001)
        times = (roots[1:] + roots[:-1]) ** 2 / 4
        flow = SAND.heat_diffusivity * (metal.liquidus_c - SAND.start_temp_c) / np.sqrt(math.pi * times)
        lost = np.sum(flow * np.diff(roots**2)) * 2 / radius
        held = metal.density_liquid * (metal.latent_heat + metal.heat_capacity_liquid * (1020 - 961.78))
        assert lost == pytest.approx(held, rel=1e-6)

    @pytest.mark.parametrize(
        "call, parameter",
        [
            (lambda: filling.fluidity_length(0.0, 0.5, alloy("A356"), DIE, 700), "channel radius"),
            (lambda: filling.fluidity_length(0.01, -0.5, alloy("A356"), DIE, 700), "velocity"),
            (lambda: filling.fluidity_length(0.01, 0.5, alloy("A356"), DIE, 600), "pouring temperature"),
            (lambda: filling.running_time(0.01, alloy("A356"), DIE, 700, stops_at=1.5),
             "share of solid that stops the stream"),
            (lambda: filling.running_time(0.01, alloy("A356"), replace(DIE, start_temp_c=615), 700),
             "mould temperature"),
        ],
    )
    def test_what_cannot_be_is_refused_by_name(self, call, parameter):
        with pytest.raises(InputError) as caught:
            call()
        assert caught.value.parameter == parameter


class TestFreezing:
    def test_half_a_kelvin_drives_heat_and_none_does_not(self):
        assert freezing.wall_above_mould(SAND.start_temp_c + 0.5, SAND) == pytest.approx(0.5)
        with pytest.raises(InputError, match="mould temperature"):
            freezing.wall_above_mould(SAND.start_temp_c, SAND)

    @each_alloy
    @given(size=st.floats(1e-3, 0.2), times=st.floats(1.1, 5))
    def test_a_plate_freezes_by_the_square_of_its_modulus(self, metal, size, times):
        pour = metal.pour_range_c[0]
        thin = freezing.freezing_time_in_sand(size, metal, SAND, pour)
        thick = freezing.freezing_time_in_sand(times * size, metal, SAND, pour)
        assert thick == pytest.approx(times**2 * thin)

    @each_alloy
    def test_a_round_body_freezes_sooner_than_a_plate_of_its_modulus(self, metal):
        pour = metal.pour_range_c[0]
        shapes = ("ball", "bar", "plate")
        times = [freezing.freezing_time_in_sand(0.01, metal, SAND, pour, shape=each) for each in shapes]
        assert times == sorted(times) and len(set(times)) == 3

    @pytest.mark.parametrize("shape, curvature", [("plate", 0.0), ("bar", 1 / 2), ("ball", 1.0)])
    def test_the_mould_takes_up_the_heat_that_the_metal_gives_off(self, shape, curvature):
        """Flow into the mould, summed in small steps: k dT (1 / sqrt(pi a t) + 1/r), half of 1/r for a bar.

        For a ball this flow is exact (Carslaw and Jaeger, Conduction of Heat in Solids, from memory); for a
        bar it is the beginning of the exact series. The radii are those of bodies with V/A = 12 mm.
        """
        metal, size = alloy("pure zinc"), 0.012
        radius = {"plate": math.inf, "bar": 2 * size, "ball": 3 * size}[shape]
        stop = freezing.freezing_time_in_sand(size, metal, SAND, 460, shape=shape)
        roots = np.linspace(0, math.sqrt(stop), 2001)
        times = (roots[1:] + roots[:-1]) ** 2 / 4
        spread = SAND.conductivity / (SAND.density * SAND.heat_capacity)
        gradient = 1 / np.sqrt(math.pi * spread * times) + curvature / radius
        taken = SAND.conductivity * (419.527 - 25) * np.sum(gradient * np.diff(roots**2))
        given_off = size * metal.density_solid * (metal.latent_heat + 480 * (460 - 419.527))
        assert taken == pytest.approx(given_off, rel=1e-6)

    @each_alloy
    def test_what_makes_a_casting_freeze_later(self, metal):
        low, high = metal.pour_range_c
        time = freezing.freezing_time_in_sand(0.01, metal, SAND, low)
        assert freezing.freezing_time_in_sand(0.01, metal, SAND, high) > time
        warm = replace(SAND, start_temp_c=120.0)
        assert freezing.freezing_time_in_sand(0.01, metal, warm, low) > time
        dry = mould("dry silica sand")
        assert freezing.freezing_time_in_sand(0.01, metal, dry, low) > time

    def test_a_hotter_wall_freezes_sooner(self):
        metal = alloy("tin bronze")
        cold, hot = (
            freezing.freezing_time_in_sand(0.01, metal, SAND, 1140, wall_temp_c=wall) for wall in (831, 1000)
        )
        assert hot == pytest.approx(cold * ((831 - 25) / (1000 - 25)) ** 2)
        assert cold == freezing.freezing_time_in_sand(0.01, metal, SAND, 1140)

    @given(time=st.floats(1, 1e4), size=st.floats(1e-3, 0.5), other=st.floats(1e-3, 0.5))
    def test_chvorinov_there_and_back(self, time, size, other):
        constant = freezing.constant_from_trial(time, size)
        assert freezing.freezing_time(size, constant) == pytest.approx(time)
        later = freezing.freezing_time(other, constant)
        assert later == pytest.approx(time * (other / size) ** 2)

    @pytest.mark.parametrize("name", ["cast-iron die", "steel chill", "insulating sleeve"])
    def test_a_mould_that_is_not_thick_sand_is_refused_with_the_reason(self, name):
        with pytest.raises(InputError) as caught:
            freezing.freezing_time_in_sand(0.01, alloy("A356"), mould(name), 700)
        reason = "thin wall" if name == "insulating sleeve" else "surface coefficient"
        assert caught.value.parameter == "mould" and reason in str(caught.value)

    def test_sand_with_a_surface_coefficient_is_refused(self):
        with pytest.raises(InputError, match="surface coefficient"):
            coated = replace(SAND, interface_coefficient=500.0)
            freezing.freezing_time_in_sand(0.01, alloy("A356"), coated, 700)

    @pytest.mark.parametrize(
        "call, parameter",
        [
            (lambda: freezing.freezing_time_in_sand(-0.01, alloy("A356"), SAND, 700), "modulus"),
            (lambda: freezing.freezing_time_in_sand(0.01, alloy("A356"), SAND, 614), "pouring temperature"),
            (lambda: freezing.freezing_time_in_sand(0.01, alloy("A356"), SAND, 700, shape="cone"), "shape"),
            (lambda: freezing.freezing_time_in_sand(0.01, alloy("A356"), SAND, 700, wall_temp_c=math.nan),
             "temperature of the metal's surface"),
            (lambda: freezing.freezing_time_in_sand(0.01, alloy("ZA-12"), mould("investment"), 470,
                                                    wall_temp_c=350.0), "mould temperature"),
            (lambda: freezing.constant_from_trial(0.0, 0.01), "freezing time"),
            (lambda: freezing.freezing_time(0.01, -1.0), "Chvorinov's constant"),
        ],
    )
    def test_what_cannot_be_is_refused_by_name(self, call, parameter):
        with pytest.raises(InputError) as caught:
            call()
        assert caught.value.parameter == parameter
