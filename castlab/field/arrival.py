"""Filling: how much heat metal has lost where it comes to rest, and which walls have it.

Nothing here computes flow. Metal enters at the sprue and fills what lies nearest along the metal first, at an
even rate. What has run for long has passed cooler; walls near the gate are hot when the mould is full.
"""

from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse import csgraph

from castlab.rules.filling import stopping_fraction
from castlab.rules.thick_wall import drawn_by_wall

LEAST_LATENT_LEFT = 0.05  # share of its latent heat that arriving metal still has, at least; judgement
SAME_M = 1e-9  # ways that differ by less are equally long
MOMENTS = 40  # of the pour; between them what a wall has drawn, over the root of time, goes evenly with that


@dataclass(frozen=True, eq=False)
class Arrival:
    """What the pour has done when the mould is full.

    lost       [J]  heat that each metal part has given to walls on its way
    gained     [J]  heat that walls got through each skin, in all as much
    touched_s  [s]  when metal came to each skin; 0 is when the mould is full
    """

    lost: np.ndarray
    gained: np.ndarray
    touched_s: np.ndarray


def arrival(setup, metal, neighbours, skins, walls):
    """Let metal lose heat to the walls that it passes.

    A wall at which metal arrives after the share u of all metal has been in contact for t (1 - u) when the
    pour ends, t the pouring time, and has drawn G(t (1 - u)) (T_liquidus - T_mould) from each square metre.
    By the rule for running metal (`castlab.rules.filling`) metal that comes to rest there has lost in
    proportion to A / V G(t u), A the walls and V the metal up to there. All metal together has lost what all
    walls got.

    setup       Setup
    metal       of each metal part: volume [m3], and whether it is an inlet
    neighbours  of metal parts that touch: numbers of both, and how far apart they are [m]
    skins       between metal and wall: numbers of metal part and wall part, area [m2], number of the material
    walls       materials (castlab.materials.Mould) by number, and heat capacity [J/K] of each wall part

    Returns an Arrival. No metal loses more than leaves it a twentieth of its latent heat, or stops it (the
    same rule); no wall gets hotter than the liquidus. Left out: that metal falls and rises, that streams mix,
    and heat to the air. Source: heat balance; `drawn_by_wall`.
    """
    (volume, is_inlet), (wall, face, area, material), (materials, capacity) = metal, skins, walls
    share, order = _share_filled_before(volume, is_inlet, neighbours)
    alloy, time, drive = setup.alloy, setup.pour_time_s, setup.alloy.liquidus_c - setup.mould_temp_c
    roots = np.sqrt(time) * np.linspace(1e-3, 1.0, MOMENTS)
    gained, passed = np.empty(len(area)), np.zeros(len(volume))
    for number in np.unique(material):
        drawn = drive * np.array([drawn_by_wall(root**2, materials[number]) / root for root in roots])
        here = material == number
        left, stayed = np.sqrt(time * (1.0 - share[wall[here]])), np.sqrt(time * share)
        gained[here] = area[here] * left * np.interp(left, roots, drawn)
        beside = np.bincount(wall[here], area[here], len(volume))
        passed += _up_to(beside, order) * stayed * np.interp(stayed, roots, drawn)
    in_wall = np.bincount(face, gained, len(capacity))
    gained *= np.minimum(1.0, capacity * drive / np.maximum(in_wall, 1e-300))[face]
    weight = volume * passed / share
    stops = min(stopping_fraction(alloy), 1.0 - LEAST_LATENT_LEFT) * alloy.latent_heat
    most = alloy.density_solid * (stops + alloy.heat_capacity_liquid * (setup.pour_temp_c - alloy.liquidus_c))
    lost = np.minimum(weight * (gained.sum() / max(weight.sum(), 1e-300)), volume * most)
    gained *= lost.sum() / max(gained.sum(), 1e-300)
    return Arrival(lost, gained, time * (share[wall] - 1.0))


def _share_filled_before(volume, is_inlet, neighbours):
    """Share of all metal that comes to rest nearer to the inlet than each part, half of what lies equally far
    counted, greater than 0; and the number of its distance, in order."""
    first, second, apart = neighbours
    net = sparse.csr_array((apart, (first, second)), (len(volume),) * 2)
    way = csgraph.dijkstra(net, directed=False, indices=np.flatnonzero(is_inlet), min_only=True)
    _, order = np.unique(np.round(way / SAME_M), return_inverse=True)
    return _up_to(volume, order) / volume.sum(), order


def _up_to(values, order):
    """Sum of the values of all parts up to each in that order, half of its equals counted."""
    at = np.bincount(order, values)
    return (np.cumsum(at) - 0.5 * at)[order]
