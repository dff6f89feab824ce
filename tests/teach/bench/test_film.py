"""The film of a bench: there when it is asked for, gone when the bench shows something else."""

import fake_casting
import pytest

from castlab.field.outcome import COARSE
from castlab.teach.bench.bench import Bench
from castlab.teach.bench.casting import PAYERS
from castlab.teach.sliders.to_design import FEEDER, design_of, sliders_for
from castlab.units import INCH_POUND


@pytest.fixture
def bench():
    sliders = sliders_for("eye plate", "thickness", *FEEDER)
    return Bench(sliders, lambda values: design_of("eye plate", values).setup(), looks=(COARSE,))


def test_it_comes_on_asking_and_stays_while_the_bench_does(bench):
    assert bench.film_place.film is None
    bench.film_place.button.click()
    film = bench.film_place.film
    assert film is not None and bench.alert == "" and film.time_s == 0.0
    assert bench.result is not None and bench.film_place.film is film  # a check that reads the result
    film.frame = len(film.times_s) - 1
    assert film.time_s == pytest.approx(bench.result.run.last_time_s)


@pytest.mark.parametrize("change", [
    lambda bench: bench.set(thickness=0.02), lambda bench: bench.speak(INCH_POUND), lambda bench: bench.hide()
])
def test_it_goes_when_the_bench_shows_something_else(bench, change):
    bench.film_place.button.click()
    change(bench)
    assert bench.film_place.film is None
    assert bench.film_place.button.disabled == bench.hidden


def test_what_has_no_account_has_no_film():
    assert fake_casting.bench().film_place.button.disabled


def test_words_and_numbers_for_the_browser_agree(bench):
    bench.film_place.show()
    film, paid = bench.film_place.film.film, bench.result.account.paid_m3
    assert len(film["words"]) == len(film["times"]) == len(film["suppliers"][0]["volumes"])
    totals = [each["volumes"][-1] for each in film["suppliers"]]
    assert totals[:3] == pytest.approx([paid["pour"], paid["gate"], paid["feeder"]], rel=1e-3, abs=1e-10)
    assert [each["colour"] for each in film["suppliers"]] == list(PAYERS.values())
    assert all(0.0 < mark["share"] <= 1.0 for mark in film["marks"])
