"""Every range that a docstring of the hand rules states holds: both ends are taken, beyond them is refused.

The numbers are those of the docstrings, which is what a reader goes by. None: no end is stated on that side.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from castlab.errors import InputError
from castlab.materials import alloy, mould
from castlab.rules import (
    charge,
    contraction,
    cooling_curve,
    feeding,
    filling,
    freezing,
    furnace,
    gas,
    gating,
    junction,
    lining,
    melting,
    modulus,
    pouring,
    sensor,
    weighing,
)

A356, ZINC, STEEL = alloy("A356"), alloy("pure zinc"), alloy("carbon steel")
SAND, DIE = mould("green sand"), mould("cast-iron die")
POT = pouring.Vessel(0.003, 0.02, 500.0)
OVEN = furnace.SMALL_FURNACE
STRONG = replace(OVEN, power=50e3, coupling=100.0, wall_heat_capacity=1e5)
TIN = (25, 231.9, 231.9, 450), (0, 50e3, 110e3, 163e3)
SENSOR = sensor.fit_sensor([sensor.Reading("zinc", 420.0)])
COOLING = range(0, 2000, 10), np.interp(range(0, 2000, 10), [0, 600, 1100, 2000], [292, 232, 232, 180])


def vessel(name):
    return lambda x: pouring.Vessel(**{"open_area": 0.003, name: x})


def oven(name):
    return lambda x: replace(OVEN, **{name: x})


STATED = {
    "feeder": (lambda x: charge.charge(1.0, x), 0.0, None),
    "heel": (lambda x: charge.charge(1.0, heel=x), 0.0, None),
    "melt loss": (lambda x: charge.charge(1.0, melt_loss=x), 0.0, 0.3),
    "bath": (lambda x: charge.additions({"Ag": 1}, 1.0, {"silver": {"Ag": 1}}, x, {"Ag": 1}), 0.0, None),
    "rating density": (lambda x: charge.rated_volume(3.0, x), 1000.0, 25000.0),
    "fill of a crucible": (lambda x: charge.crucible_holds(1e-4, ZINC, 450.0, x), 0.1, 1.0),
    "charge in a pot of 1 kg": (lambda x: charge.fill_order(x, 1.0), None, 1.0),
    "temperature of measuring": (lambda x: contraction.pattern_scale(ZINC, x), -50.0, ZINC.solidus_c),
    "growth of a casting": (lambda x: contraction.hole_where_mould_yields(1.0, A356, 700.0, x), 0.0, 0.05),
    "pattern scale": (lambda x: contraction.pattern_size(0.1, x), 0.95, 1.1),
    "rapping": (lambda x: contraction.pattern_size(0.1, 1.01, rapping=x), 0.0, None),
    "room of a cooling curve": (lambda x: cooling_curve.find_arrests(*COOLING, x), -20.0, 50.0),
    "feeder factor": (lambda x: feeding.feeder_modulus(0.01, x), 1.0, 2.0),
    "height over diameter": (lambda x: feeding.feeder_by_modulus(0.01, x), 0.5, 3.0),
    "contraction": (lambda x: feeding.feeder_volume(1e-4, x, 0.5), -0.1, 0.2),
    "efficiency of a feeder": (lambda x: feeding.feeder_volume(1e-4, 0.01, x), 0.05, 0.8),
    "freezing ratio": (lambda x: feeding.least_feeder_volume(x, "steel"), None, 10.0),
    "neck factor": (lambda x: feeding.neck_width(0.01, factor=x), 1.0, 2.0),
    "plate": (lambda x: feeding.feeding_distance_plate(x, 1.0, STEEL), 0.0127, 0.102),
    "width of a plate": (lambda x: feeding.feeding_distance_plate(0.02, x, STEEL), 0.1, None),
    "bar": (lambda x: feeding.feeding_distance_bar(x, 1.2 * x, STEEL), 0.050, 0.204),
    "width of a bar": (lambda x: feeding.feeding_distance_bar(0.1, x, STEEL), 0.1, 1.5 * 0.1),
    "superheat": (lambda x: filling.superheat(ZINC, ZINC.liquidus_c + x), 0.0, None),
    "share that stops": (lambda x: filling.running_time(0.005, A356, DIE, 700.0, x), 0.0, 1.0),
    "power": (oven("power"), 50.0, 50e3),
    "heat capacity of the wall": (oven("wall_heat_capacity"), 100.0, 1e6),
    "coupling": (oven("coupling"), 0.1, 100.0),
    "loss of the furnace": (oven("loss"), 0.01, 100.0),
    "top temperature": (oven("top_temp_c"), 100.0, 1800.0),
    "lag of the sensor": (oven("sensor_lag"), 5.0, 300.0),
    "switching band": (oven("switching_band"), 0.5, 10.0),
    "mass of the charge": (lambda x: furnace.heat_up(STRONG, 420.0, x, *TIN, hold=0.0), 0.02, 500.0),
    "room": (lambda x: furnace.heat_up(OVEN, 420.0, 1.0, (-20, 500), (0, 150e3), room_c=x), -20.0, 50.0),
    "hold": (lambda x: furnace.heat_up(OVEN, 420.0, 1.0, *TIN, hold=x), 0.0, 4 * 3600.0),
    "set point, top": (lambda x: furnace.heat_up(replace(OVEN, top_temp_c=400.0), x, 1.0, *TIN), None, 400.0),
    "end of a heat table": (lambda x: furnace.heat_up(OVEN, x, 1.0, *TIN), None, 450.0),
    "hydrogen in liquid": (gas.hydrogen_in_liquid, 660.323, 850.0),
    "hydrogen in solid": (gas.hydrogen_in_solid, 300.0, 660.323),
    "pressure of hydrogen": (lambda x: gas.hydrogen_in_liquid(700.0, x), None, 113e3),
    "dissolved": (lambda x: gas.gas_pore_share(x, A356), 0.0, 2e-5),
    "pressure in the pores": (lambda x: gas.gas_pore_share(1e-5, A356, x), 1e4, 1e6),
    "copper": (lambda x: gas.arm_spacing_al_cu_si(x, 7.0, 60.0), 0.5, 10.0),
    "silicon": (lambda x: gas.arm_spacing_al_cu_si(4.0, x, 60.0), 1.0, 11.0),
    "local freezing time": (lambda x: gas.arm_spacing_al_cu_si(4.0, 7.0, x), 1.0, 1e4),
    "gradient": (lambda x: gas.niyama(x, 1.0), 0.0, None),
    "Niyama's value": (lambda x: gas.judge_niyama(x, STEEL), 0.0, None),
    "loss of a sprue": (lambda x: gating.sprue_velocity(0.2, x), 0.1, 1.0),
    "rise in a cavity": (lambda x: gating.fill_time_from_below(1e-3, x, 1e-4, 0.2), None, 0.2),
    "cavity in the cope": (lambda x: gating.cope_lift(0.1, 0.2, 7000.0, x), 0.0, 0.1 * 0.2),
    "mass of the cope": (lambda x: gating.weight_on_cope(100.0, x), 0.0, None),
    "surge": (lambda x: gating.weight_on_cope(100.0, 1.0, x), 1.0, 3.0),
    "fillet": (lambda x: junction.junction_circle("L", 0.01, 0.02, x), 0.0, 0.05),
    "room of a lining": (lambda x: lining.lining_heat_capacity(2e3, 1e3, 1e6, 720.0, x), -20.0, 50.0),
    "voltage": (lambda x: melting.circuit_power(x, 15.0), None, 500.0),
    "breaker": (lambda x: melting.circuit_power(120.0, x), None, 200.0),
    "aged elements": (lambda x: melting.aged_power(1000.0, x), 1.0, 1.5),
    "room, aged furnace": (lambda x: melting.aged_top_temp_c(1000.0, 1.1, x), -20.0, 50.0),
    "covered width": (lambda x: modulus.bar(0.01, 0.01, x), 0.0, None),
    "covered area": (lambda x: modulus.box(0.1, 0.1, 0.1, covered_area=x), 0.0, None),
    "hot surface": (lambda x: pouring.surface_loss(x, 0.5), -273.15, None),
    "air": (lambda x: pouring.surface_loss(500.0, 0.5, x), -273.15, None),
    "emissivity": (lambda x: pouring.surface_loss(500.0, x), 0.0, 1.0),
    "film": (lambda x: pouring.surface_loss(500.0, 0.5, film=x), 0.0, None),
    "open area": (vessel("open_area"), 0.0, None),
    "wall area": (vessel("wall_area"), 0.0, None),
    "heat of a vessel": (vessel("heat"), 0.0, None),
    "emissivity of a wall": (vessel("wall_emissivity"), 0.0, 1.0),
    "resistance of a wall": (vessel("wall_resistance"), 0.0, 1.0),
    "time in the open": (lambda x: pouring.held_temp_c(ZINC, 900.0, x, 100.0, POT), -600.0, 600.0),
    "height of the fall": (lambda x: pouring.stream_loss(ZINC, 450.0, 0.2, x), 0.0, 2.0),
    "way to the mould": (lambda x: pouring.way_to_mould(ZINC, 450.0, 9.0, POT, x, 5.0, 0.1), 0.0, 600.0),
    "reading": (lambda x: sensor.Reading("zinc", x), -40.0, 1400.0),
    "uncertainty": (lambda x: sensor.fit_sensor([sensor.Reading("zinc", 420.0)], x), 0.1, 20.0),
    "set point": (SENSOR.set_point, 20.0, 1372.0),
    "class 1": (lambda x: sensor.tolerance(x, "class 1"), -40.0, 1000.0),
    "class 2": (sensor.tolerance, -40.0, 1200.0),
    "water": (weighing.water_density, 5.0, 30.0),
    "density of water": (lambda x: weighing.density_in_water(1.0, 0.8, x), 900.0, 1100.0),
    "weight in water": (lambda x: weighing.density_in_water(1.0, x), 0.0, None),
    "what the scales read to": (lambda x: weighing.closed_holes(1.0, 0.8, 7e3, reads_to=x), 0.0, None),
    "error of the density": (lambda x: weighing.closed_holes(1.0, 0.8, 7e3, density_error=x), 0.0, None),
}


@pytest.mark.parametrize("name", STATED)
def test_both_ends_are_taken_and_what_lies_beyond_is_refused(name):
    call, low, high = STATED[name]
    step = 1e-4 * (high - low) if None not in (low, high) else 1e-4 * (high or abs(low) or 0.1)
    for end, beyond in ((low, -step), (high, step)):
        if end is not None:
            call(end)
            with pytest.raises(InputError):
                call(end + beyond)


# Greater than 0, so 0 itself is refused.
ABOVE_ZERO = {
    "casting": lambda x: charge.charge(x),
    "skin in sand": lambda x: freezing.skin_in_sand(x, A356, SAND, 700.0),
    "thickness of a neck": lambda x: feeding.neck_width(0.01, x),
    "pressure of hydrogen": lambda x: gas.hydrogen_in_solid(500.0, x),
    "circuit": lambda x: melting.circuit_power(x, 15.0),
    "weight in air": lambda x: weighing.density_in_water(x, 0.0),
}


@pytest.mark.parametrize("name", ABOVE_ZERO)
def test_nothing_is_refused_where_something_is_needed(name):
    for bad in (0, -1e-3, math.nan):
        with pytest.raises(InputError):
            ABOVE_ZERO[name](bad)
