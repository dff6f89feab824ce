"""The form that takes what scales and a stop-watch said of a trial casting."""

import pytest

from castlab.materials import alloy, mould
from castlab.rules import weighing
from castlab.rules.freezing import freezing_time_in_sand
from castlab.teach.bench.ready_made import eye_plate_bench
from castlab.teach.read_defect.trial_casting_form import EXAMPLE, MOULDS, ShopForm, sound_density
from castlab.units import INCH_POUND, METRIC


@pytest.mark.parametrize("name", MOULDS)
def test_the_band_holds_the_value(name):
    low, high = weighing.heat_diffusivity_band(name)
    assert low < mould(name).heat_diffusivity < high < 2.5 * low


@pytest.fixture(scope="module")
def bench():
    return eye_plate_bench()


def test_an_empty_form_is_a_made_up_example_and_says_so(bench):
    form = ShopForm(bench)
    for words in (form.weigh(), form.time()):
        assert words.startswith("A made-up example, not a measurement")
    displaced = (EXAMPLE["in_air"] - EXAMPLE["in_water"]) / weighing.water_density()
    hollow = displaced - EXAMPLE["in_air"] / sound_density("ZA-12")[0]
    assert f"Closed holes: {1e6 * hollow:.1f} cm3" in form.weigh()


def test_the_prediction_stands_beside_it_when_it_is_shown(bench):
    form, paid = ShopForm(bench), bench.solve().account.paid_m3
    assert f"predicts {METRIC.volume(paid['cavity'] + paid['sponge'])}" in form.weigh()
    bench.hide()
    assert "still hides its result" in form.weigh()
    bench.reveal()
    bench.set(alloy="fine silver")
    assert "casting of fine silver: weights of ZA-12" in form.weigh()
    assert "predicts" not in form.weigh() and "agree" not in form.weigh()
    bench.start_again()


@pytest.mark.parametrize("typed, words", [
    ({"in_air": "640", "in_water": "770", "reads_to": "1"}, "must be less than in air, 640"),
    ({"in_air": "640", "in_water": "", "reads_to": "1"}, "Weight hung in water is missing"),
    ({"in_air": "heavy", "in_water": "500", "reads_to": "1"}, "must be a number"),
    ({"in_air": "-640", "in_water": "500", "reads_to": "1"}, "must be greater than 0"),
    ({"in_air": "770", "in_water": "620", "reads_to": "200"}, "scales"),
])
def test_wrong_weights_are_explained(bench, typed, words):
    assert words in ShopForm(bench).fill_in(**typed).weigh()


@pytest.mark.parametrize("typed, words", [
    ({"thickness": "12", "time": ""}, "is missing"),
    ({"thickness": "0", "time": "100"}, "must be greater than 0"),
    ({"thickness": "12", "time": "soon"}, "must be a number"),
])
def test_wrong_times_are_explained(bench, typed, words):
    assert words in ShopForm(bench).fill_in(**typed).time()


def test_the_time_is_held_against_the_rule_and_the_band(bench):
    form = ShopForm(bench)
    by_rule = freezing_time_in_sand(0.006, alloy("ZA-12"), mould("green sand"), 495.0)
    assert "1.0 times that of the data, and within the band" in form.fill_in(
        thickness="12", time=f"{by_rule:.1f}").time()
    assert "above the band" in form.fill_in(time=f"{by_rule / 4:.1f}").time()
    assert "a plate twice as thick takes 720 s" in form.fill_in(time="180").time()  # four times as long
    assert "below the band" in form.fill_in(time=f"{by_rule * 4:.1f}").time()


def test_pounds_and_inches_mean_the_same(bench):
    metric = ShopForm(bench).fill_in(in_air="770", in_water="635", reads_to="1", thickness="12.7", time="180")
    inches = ShopForm(bench).fill_in(units=INCH_POUND, in_air=f"{0.770 / 0.45359237:.6f}", thickness="0.5",
                                     in_water=f"{0.635 / 0.45359237:.6f}", reads_to="0.0022046", time="180")
    assert "(5690 kg/m3)" in metric.weigh() and "(5690 kg/m3)" in inches.weigh()
    words = inches.weigh() + inches.time()
    assert "in3" in words and "0.5 in" in words and "cm3" not in words and " mm" not in words
    both = [form.time().partition("b = ")[2] for form in (metric, inches)]
    assert both[0] == both[1]


def test_metal_that_is_too_dense_is_questioned(bench):
    words = ShopForm(bench).fill_in(in_air="770", in_water="660", reads_to="1").weigh()
    assert "Denser than sound metal" in words
