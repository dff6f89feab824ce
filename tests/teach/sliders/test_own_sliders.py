"""Sliders of a part of one's own: they meet the part as it was drawn, and what they can say can be read."""

from dataclasses import replace

import pytest
from own_parts import LUG, lug

from castlab.field.cure_kinds import usual_sizes
from castlab.field.example_parts import EXAMPLES
from castlab.field.placed import Chill, Feeder, Gate, sizes_of
from castlab.teach.sliders.own_sliders import MORE, on_sliders, sliders_of_own
from castlab.teach.sliders.slider import on_step
from castlab.teach.sliders.to_design import design_of, sliders_for

PLACE = (0.0123, -0.0007, 0.0)
ALL = (sizes_of("feeder", 1, Feeder(*PLACE, "left", 0.0234, 0.0391, neck=0.005, sleeve_thickness=0.007))
       | sizes_of("feeder", 2, Feeder(*PLACE, width=0.0))
       | sizes_of("gate", 1, Gate(*PLACE, thickness=0.0033))
       | sizes_of("chill", 1, Chill(*PLACE, thickness=0.0)))
MAY_BE_REFUSED = "up", "feeder_1_height", "gate_1_thickness"  # a feeder loses its face, or the boss its gate


@pytest.mark.parametrize("name", EXAMPLES)
def test_they_stand_at_the_part_as_it_was_drawn(name):
    part = EXAMPLES[name]()
    usual = usual_sizes(part)
    for slider in sliders_of_own(part):
        assert slider.value == usual[slider.name]
        assert slider.kind == "choice" or on_step(slider, slider.value) == slider.value
    assert {slider.name for slider in sliders_of_own(part)} == set(usual)


def test_what_stands_on_it_is_moved_to_its_sliders_by_a_little():
    part = on_sliders(replace(LUG, rigging=tuple(ALL.items())))
    for name, value in part.rigging:
        assert value == ALL[name] or abs(value - ALL[name]) <= 1e-3
    assert on_sliders(part) == part
    for slider in sliders_of_own(part):
        assert slider.kind == "choice" or on_step(slider, slider.value) == slider.value


def test_a_size_of_nothing_keeps_a_place_free_and_changes_nothing_in_the_mould():
    bare = replace(LUG, rigging=tuple((name, value) for name, value in lug().rigging if "gate" in name))
    values = {"alloy": "ZA-12", "mould": "green sand", "pour_temp_c": 475.0}
    assert design_of(lug(), values).setup() == design_of(bare, values).setup()
    fed = design_of(lug(), values | {"feeder_1_width": 0.024}).setup().layout.block("feeder")
    assert fed.high[0] - fed.low[0] == pytest.approx(0.024) and fed.middle[0] == pytest.approx(0.03)


@pytest.mark.parametrize("end", ["low", "high"])
def test_both_ends_of_each_slider_can_be_drawn_or_are_refused_in_words(end):
    values = {"alloy": "ZA-12", "mould": "green sand", "pour_temp_c": 475.0, "feeder_1_width": 0.012}
    for slider in sliders_of_own(lug()):
        for value in slider.options or (getattr(slider, end),):
            try:
                assert design_of(lug(), values | {slider.name: value}).setup().layout.blocks
            except ValueError as error:
                assert slider.group == MORE or slider.name in MAY_BE_REFUSED, error


def test_many_sizes_and_what_is_seldom_turned_are_folded_away():
    groups = {slider.name: slider.group for slider in sliders_for(lug())}
    assert groups["feeder_1_sleeve"] == groups["feeder_1_x"] == MORE
    assert MORE not in (groups["feeder_1_width"], groups["boss diameter"], groups["up"])
    cleat = {slider.name: slider.group for slider in sliders_of_own(EXAMPLES["cleat with feet"]())}
    assert set(cleat.values()) == {MORE, "the part"} and cleat["up"] == "the part"
