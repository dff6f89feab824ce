"""Filling: how much heat metal has lost where it comes to rest, and which walls have it.

Nothing here computes flow. Metal enters at the sprue and fills what lies nearest along the metal first, at an
even rate. What has run for long has passed cooler; walls near the gate are hot when the mould is full.
"""

from dataclasses import dataclass

import numpy as np
from scipy import sparse, special
from scipy.sparse import csgraph

LEAST_LATENT_LEFT = 0.05  # share of its latent heat that arriving metal still has, at least; judgement
SAME_M = 1e-9  # ways that differ by less are equally long


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
    pour ends, t the pouring time, and each square metre of it has drawn `drawn(t (1 - u))` (T_liquidus -
    T_mould). Metal that comes to rest there has run for t u, and lost in proportion to A / V drawn(t u), A
    the walls and V the metal up to there: all of it together what all walls got.

    setup       Setup
    metal       of each metal part: volume [m3], and whether it is an inlet
    neighbours  of metal parts that touch: numbers of both, and how far apart they are [m]
    skins       between metal and wall: numbers of metal and wall part, area [m2], number of the material
    walls       materials (castlab.materials.Mould) by number, and heat capacity [J/K] of each wall part

    Returns an Arrival. No metal loses so much that less than a twentieth of its latent heat is left; no wall
    gets hotter than the liquidus. Left out: that metal falls and rises, that streams mix and split, and heat
    to the air. Source: heat balance; exact for a channel whose walls draw evenly in time.

    Two equal parts one after the other, for 2 s beside walls of a film that lets 100 W/m2/K through: when
    half of each has come, a quarter and three quarters of all metal have.

    >>> from castlab import Setup, alloy, parts
    >>> from castlab.materials import Mould
    >>> film = Mould("die", "die", 1e6, 7000.0, 600.0, 250.0, 100.0)
    >>> setup = Setup(parts.eye_plate(), alloy("pure zinc"), film, 469.527, pour_time_s=2.0)
    >>> one, two = np.array([0]), np.array([1])
    >>> metal = np.full(2, 1e-6), np.array([True, False])
    >>> skins = np.arange(2), np.arange(2), np.full(2, 1e-4), np.zeros(2, dtype=int)
    >>> came = arrival(setup, metal, (one, two, np.array([0.01])), skins, ([film], np.full(2, 1e9)))
    >>> came.lost.round(2).tolist(), came.gained.round(2).tolist()  # 100 * 169.527 * 2 * 1e-4 * 1/4 and 3/4
    ([0.85, 2.54], [2.54, 0.85])
    """
    (volume, is_inlet), (wall, face, area, material), (materials, capacity) = metal, skins, walls
    share, order = _share_filled_before(volume, is_inlet, neighbours)
    alloy, time, drive = setup.alloy, setup.pour_time_s, setup.alloy.liquidus_c - setup.mould_temp_c
    gained, passed = np.empty(len(area)), np.zeros(len(volume))
    for number in np.unique(material):
        here = material == number
        gained[here] = drive * area[here] * drawn(time * (1.0 - share[wall[here]]), materials[number])
        beside = np.bincount(wall[here], area[here], len(volume))
        passed += _up_to(beside, order) * drawn(time * share, materials[number])
    in_wall = np.bincount(face, gained, len(capacity))
    gained *= np.minimum(1.0, capacity * drive / np.maximum(in_wall, 1e-300))[face]
    weight = volume * passed / share
    superheat = alloy.heat_capacity_liquid * (setup.pour_temp_c - alloy.liquidus_c)
    most = alloy.density_solid * ((1.0 - LEAST_LATENT_LEFT) * alloy.latent_heat + superheat)
    lost = np.minimum(weight * (gained.sum() / max(weight.sum(), 1e-300)), volume * most)
    gained *= lost.sum() / max(gained.sum(), 1e-300)
    return Arrival(lost, gained, time * (share[wall] - 1.0))


def drawn(time, mould):
    """Heat that a thick wall has drawn after a time [s], for each kelvin of the metal above it [J/m2/K].

    2 / sqrt(pi) b sqrt(t) - b^2 / h (1 - exp(x^2) erfc(x)),  x = h sqrt(t) / b

    time [s]   0 or more, since metal touched it
    mould      castlab.materials.Mould: heat diffusivity b, contact h

    Source: half space heated through a surface coefficient, Carslaw and Jaeger, Conduction of Heat in Solids,
    Oxford 1959 (from memory), summed over time. By hand, b = 1000, h = 1000, 1 s, x = 1: 1128.4 - 1000 * (1 -
    2.71828 * 0.157299) = 556.0.

    >>> from castlab.materials import Mould
    >>> float(drawn(1.0, Mould("sand", "sand", 1.0, 1000.0, 1000.0, 25.0, 1000.0)).round(1))
    556.0
    """
    root, kept = np.sqrt(time), mould.heat_diffusivity / mould.interface_coefficient
    whole = 2.0 / np.sqrt(np.pi) * mould.heat_diffusivity * root
    return whole - mould.heat_diffusivity * kept * (1.0 - special.erfcx(root / kept)) if kept else whole


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
