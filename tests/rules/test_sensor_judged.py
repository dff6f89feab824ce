"""Sensors that nobody knows: read at freezing points on synthetic days, and their error found again."""

import numpy as np
import pytest

from castlab import InputError
from castlab.rules.sensor import FREEZING_POINTS_C, READ_K, Reading, judge_sensor

METALS = {3: ("tin", "zinc", "aluminium"), 4: ("tin", "zinc", "aluminium", "silver"),
          6: ("tin", "tin", "zinc", "zinc", "aluminium", "aluminium")}


def readings_of(metals, random):
    """A sensor up to 40 K off, its slope within class 2, each reading 2 K more or less."""
    offset, slope = random.uniform(-40.0, 40.0), random.uniform(-0.0075, 0.0075)
    read = [Reading(metal, FREEZING_POINTS_C[metal] + offset + slope * (FREEZING_POINTS_C[metal] - 500.0)
                    + random.normal(0.0, READ_K)) for metal in metals]
    return read, lambda true_c: offset + slope * (true_c - 500.0)


@pytest.mark.parametrize("metals", [("zinc",), *METALS.values()], ids=len)
def test_the_error_is_recovered_within_its_band_on_200_of_200_days(metals):
    for day in range(200):
        read, truth = readings_of(metals, np.random.default_rng([len(metals), day]))
        fit, seen = judge_sensor(read)
        assert seen.wrong == ()
        for true_c in (300.0, 480.0, 650.0):
            assert abs(fit.error(true_c) - truth(true_c)) <= fit.band(true_c) < 45.0, day


@pytest.mark.slow
@pytest.mark.parametrize("metals", METALS.values(), ids=len)
def test_the_wrong_reading_is_named_on_200_of_200_days(metals):
    for day in range(200):
        random = np.random.default_rng([len(metals), day])
        read, truth = readings_of(metals, random)
        at = int(random.integers(len(metals)))
        slip = Reading(read[at].metal, read[at].reading_c + random.choice([-50.0, 50.0, 90.0]))
        fit, seen = judge_sensor([*read[:at], slip, *read[at + 1:]])
        assert seen.wrong == (at,), day
        assert abs(fit.error(480.0) - truth(480.0)) <= fit.band(480.0)


def test_with_two_readings_nobody_can_say_which():
    fit, seen = judge_sensor([Reading("tin", 232.0), Reading("zinc", 520.0)])
    assert seen.wrong == (0, 1) and fit.band(400.0) > 40.0


def test_no_reading():
    with pytest.raises(InputError, match="readings is none"):
        judge_sensor([])
