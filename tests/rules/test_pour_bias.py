"""What a shop's pours say of the predictions: synthetic shops whose bias is known."""

import numpy as np
import pytest

from castlab import InputError
from castlab.rules.pour_bias import HOLE_ERROR, TIME_ERROR, bias_of


def pours(ratio, random, count):
    predicted = random.uniform(1200.0, 4800.0, count)
    return predicted, ratio * predicted * np.exp(random.normal(0.0, 0.06, count))


@pytest.mark.parametrize("count", [3, 5, 10])
def test_the_ratio_is_recovered_within_its_band_on_200_of_200_shops(count):
    for shop in range(200):
        random = np.random.default_rng([count, shop])
        ratio = random.uniform(0.7, 1.5)
        late = bias_of(*pours(ratio, random, count), TIME_ERROR)
        assert abs(late.ratio - ratio) <= late.band < 0.5 and late.judged.wrong == (), shop


def test_the_pour_with_a_slip_is_named_on_200_of_200_shops():
    for shop in range(200):
        random = np.random.default_rng(shop)
        predicted, measured = pours(1.2, random, 5)
        at = int(random.integers(5))
        measured[at] *= random.choice([0.4, 2.0])
        assert bias_of(predicted, measured, TIME_ERROR).judged.wrong == (at,), shop


def test_a_right_prediction_is_not_corrected_and_a_wrong_one_is():
    predicted = [1800.0, 2400.0, 3000.0, 2000.0]
    assert not bias_of(predicted, [1850.0, 2300.0, 3050.0, 2050.0], TIME_ERROR).corrects
    late = bias_of(predicted, [1.4 * each for each in predicted], TIME_ERROR)
    assert late.corrects and late.ratio == pytest.approx(1.4) and max(map(abs, late.left_over)) < 1e-6


def test_two_pours_are_too_few():
    assert bias_of([1800.0, 2400.0], [3600.0, 4800.0], TIME_ERROR).few
    assert not bias_of([1800.0, 2400.0], [3600.0, 4800.0], TIME_ERROR).corrects


def test_a_pour_that_is_wrong_leaves_fewer():
    late = bias_of([1800.0, 2400.0, 3000.0], [2160.0, 2880.0, 15000.0], TIME_ERROR)
    assert late.judged.wrong == (2,) and late.few and not late.corrects


def test_a_hole_where_none_was_foretold_counts():
    """2 cm3 where none was predicted is ten times what sand can miss: that pour is named."""
    hole = bias_of([3e-6, 2e-6, 4e-6, 0.0], [3.1e-6, 2.1e-6, 3.9e-6, 2e-6], HOLE_ERROR)
    assert hole.judged.wrong == (3,)


@pytest.mark.parametrize("predicted, measured, words", [
    ([0.0], [1.0], "a prediction above 0"), ([100.0], [-5.0], "measured value"), ([], [], "pours")])
def test_what_cannot_be_is_refused(predicted, measured, words):
    with pytest.raises(InputError, match=words):
        bias_of(predicted, measured, TIME_ERROR)
