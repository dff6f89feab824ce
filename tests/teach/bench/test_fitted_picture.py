"""A bench's picture keeps its scale while sliders move, and shows whole what a menu makes larger."""

import fake_casting
import pytest

from castlab.teach.bench.casting import casting_scene
from castlab.teach.bench.controls import control_of
from castlab.teach.bench.fitted_picture import FittedPicture
from castlab.units import METRIC


def scene(**values):
    start = {slider.name: slider.value for slider in fake_casting.sliders()}
    return casting_scene(fake_casting.setup_of(start | values), None, METRIC)


@pytest.fixture
def picture():
    made = FittedPicture()
    made.fit(fake_casting.setup_of, {each.name: control_of(each) for each in fake_casting.sliders()})
    return made


def test_it_keeps_its_scale_to_the_ends_of_all_sliders(picture):
    first = picture.show(scene()).view
    ends = {each.name: each.high for each in fake_casting.sliders() if each.kind == "length"}
    assert picture.show(scene(**ends)).view is first


def test_what_is_larger_than_the_sliders_allow_is_shown_whole(picture):
    first, large = picture.show(scene()), scene(feeder_width=0.02, feeder_height=0.17)
    grown = picture.show(large)
    assert grown is not first and grown.view.metres_per_pixel > first.view.metres_per_pixel
    left, right, bottom, top = grown.view.extent
    for block in large.section.layout.blocks:
        assert left <= block.low[0] and block.high[0] <= right
        assert bottom <= block.low[1] and block.high[1] <= top
    assert picture.show(scene()) is grown  # it does not jump back and forth


def test_without_a_fit_it_fits_what_it_shows():
    picture = FittedPicture()
    picture.show(scene())
    assert picture.png().startswith(b"\x89PNG")
