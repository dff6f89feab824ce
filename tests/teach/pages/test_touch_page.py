"""The pages to touch: their sliders stand where the lesson's bench can, and begin where it begins."""

import pytest

from castlab.teach.course.the_lessons import NAMES
from castlab.teach.pages.touch_page import PAGES
from castlab.teach.sliders.slider import on_step
from castlab.units import METRIC

LESSON_1 = PAGES[0]


def test_the_main_lessons_have_one_each():
    names = [page.name for page in PAGES]
    assert len(set(names)) == len(names) and set(names) <= set(NAMES)
    assert {page.lesson.number for page in PAGES} >= {1, 3, 4, 5, 6, 7}
    assert LESSON_1.file == "01_first_casting.html"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_it_has_three_sliders_and_few_enough_states(page):
    assert len(page.stops) == 3 and 60 <= len(page.states()) <= 110
    assert len({tuple(state.values()) for state in page.states()}) == len(page.states())


@pytest.mark.slow
@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_each_stop_is_a_place_of_the_bench_s_own_slider_and_the_first_is_among_them(page):
    bench = page.bench(METRIC)
    assert not bench.hidden and bench.result is not None
    for name, values in page.stops:
        slider = bench.controls[name].slider
        if slider.kind == "choice":
            assert set(values) <= set(slider.options)
        else:
            low, _, high = bench.controls[name].range()
            assert [on_step(slider, value, low, high) for value in values] == pytest.approx(values, abs=1e-9)
            assert list(values) == sorted(values)
        assert bench.first_values[name] in values


def test_the_last_slider_moves_first():
    first, second, *_ = LESSON_1.states()
    assert [name for name in first if first[name] != second[name]] == ["feeder_width"]
