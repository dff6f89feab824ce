"""Moulds that nobody knows: plates timed on synthetic days, with noise, and the mould found again."""

import numpy as np
import pytest

from castlab import InputError, alloy, mould
from castlab.rules.freezing import freezing_time_in_sand
from castlab.rules.mould_fit import THICKNESS_M, TIME_SHARE, TimedPlate, fit_mould, scaled_mould

ZINC, SAND = alloy("ZA-12"), mould("green sand")


def plates_of(share, random, count, noise=1.0):
    """Plates cast in a sand with that share of the data's heat diffusivity: the rule gives the time, then the
    stop-watch, the calliper and the thermocouple err."""
    own, found = scaled_mould(SAND, share), []
    for _ in range(count):
        thickness, pour = random.uniform(0.008, 0.02), random.uniform(460.0, 500.0)
        time = freezing_time_in_sand(0.5 * thickness, ZINC, own, pour)
        read = time * np.exp(noise * random.normal(0.0, TIME_SHARE))
        wide = thickness + noise * random.normal(0.0, THICKNESS_M)
        entered = pour + noise * random.normal(0.0, 7.0)
        found.append(TimedPlate(ZINC, SAND, float(wide), float(read), entered, 25.0))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("count", [1, 2, 3, 6])
def test_a_mould_is_recovered_within_its_band_on_200_of_200_days(count):
    for day in range(200):
        random = np.random.default_rng([count, day])
        share = random.uniform(0.7, 1.4)
        fit = fit_mould(plates_of(share, random, count))
        assert abs(fit.heat_diffusivity / (share * SAND.heat_diffusivity) - 1.0) <= fit.band, day
        assert fit.band < 0.3 and fit.judged.wrong == ()


@pytest.mark.slow
@pytest.mark.parametrize("count", [3, 5, 8])
def test_the_wrong_plate_is_named_on_200_of_200_days(count):
    """Minutes taken for seconds and the like: a time 1.8 times as long, or half as long."""
    for day in range(200):
        random = np.random.default_rng([count, day])
        plates, at = plates_of(1.1, random, count), int(random.integers(count))
        slip = TimedPlate(ZINC, SAND, plates[at].thickness, plates[at].time * random.choice([0.5, 1.9]),
                          plates[at].pour_temp_c, 25.0)
        fit = fit_mould([*plates[:at], slip, *plates[at + 1:]])
        assert fit.judged.wrong == (at,), day
        assert abs(fit.heat_diffusivity / (1.1 * SAND.heat_diffusivity) - 1.0) <= fit.band


def test_of_two_plates_nobody_can_say_which():
    plates = plates_of(1.0, np.random.default_rng(1), 2, noise=0.0)
    doubled = TimedPlate(ZINC, SAND, plates[0].thickness, 3.0 * plates[0].time, plates[0].pour_temp_c, 25.0)
    fit = fit_mould([doubled, plates[1]])
    assert fit.judged.wrong == (0, 1) and fit.judged.left_out is None and fit.band > 0.4


def test_a_share_scales_the_heat_diffusivity_and_nothing_else():
    own = scaled_mould(SAND, 0.8)
    assert own.heat_diffusivity == pytest.approx(0.8 * SAND.heat_diffusivity)
    depth = [each.conductivity / (each.density * each.heat_capacity) for each in (own, SAND)]
    assert depth[0] == pytest.approx(depth[1])
    assert scaled_mould(SAND, 1.0) is SAND


@pytest.mark.parametrize("wrong, words", [
    (lambda: fit_mould([]), "timed plates is none"),
    (lambda: TimedPlate(ZINC, SAND, 12.0, 100.0, 475.0, 25.0), "thickness of the plate"),
    (lambda: TimedPlate(ZINC, SAND, 0.201, 100.0, 475.0, 25.0), "between 1 mm and 200 mm"),
    (lambda: TimedPlate(ZINC, SAND, 0.012, 20001.0, 475.0, 25.0), "time until"),
    (lambda: TimedPlate(ZINC, SAND, 0.012, -100.0, 475.0, 25.0), "time until"),
    (lambda: fit_mould([TimedPlate(ZINC, mould("cast-iron die"), 0.012, 100.0, 475.0, 25.0)]), "mould"),
    (lambda: scaled_mould(SAND, 90.0), "heat diffusivity"),
])
def test_what_cannot_be_is_refused(wrong, words):
    with pytest.raises(InputError, match=words):
        wrong()
