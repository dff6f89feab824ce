"""Holes against one slider: what was seen stays as a dot until another slider moves; the rest on request."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from castlab.field.outcome import outcome_of
from castlab.teach.bench.ready_made import bench_of
from castlab.teach.panels import hole_curve
from castlab.teach.panels.hole_curve import HoleCurve
from castlab.teach.sliders.slider import Slider
from castlab.teach.sliders.to_design import design_of, sliders_for
from castlab.units import METRIC

WIDTH = Slider("feeder_width", "feeder width", "length", "feeding", 0.0, 0.0, 0.036, 0.012)
HOLES = {0.0: (4e-6, "defective"), 0.012: (3e-6, "defective"), 0.024: (0.1e-6, "marginal"),
         0.036: (0.0, "sound")}


def result(width, rough=(300.0, 0.006)):
    """What came of a pour with such a feeder; `rough` is None for a quick answer."""
    volume, verdict = HOLES[width]
    return SimpleNamespace(casting_paid_m3=volume, verdict=verdict, rough=rough)


def values(width, boss=0.040):
    return {"feeder_width": width, "boss": boss}


def test_a_state_that_was_seen_at_rest_stays_as_a_dot_until_another_slider_moves():
    curve = HoleCurve(WIDTH)
    for width in (0.0, 0.036):
        drawn = curve.drawing(values(width), result(width), METRIC)
    assert curve.dots == {width: HOLES[width] for width in (0.0, 0.036)}
    assert drawn.count("translate(") == 2
    curve.drawing(values(0.012, boss=0.036), result(0.012), METRIC)
    assert set(curve.dots) == {0.012}


def test_a_quick_answer_is_shown_but_leaves_no_dot():
    curve = HoleCurve(WIDTH)
    curve.drawing(values(0.0), result(0.0), METRIC)
    drawn = curve.drawing(values(0.024), result(0.024, rough=None), METRIC)
    assert set(curve.dots) == {0.0} and drawn.count("translate(") == 2


def test_neighbours_of_one_verdict_are_said_together():
    said = hole_curve._said(sorted(HOLES.items()), WIDTH, METRIC)
    assert said == "0 mm to 12 mm not sound, 4.0 cm3 to 3.0 cm3; 24 mm marginal, 0.10 cm3; 36 mm sound"


@pytest.mark.slow
def test_the_button_computes_each_second_step_and_nothing_while_the_bench_is_hidden():
    sliders = [replace(WIDTH, step=0.009) if each.name == WIDTH.name else each
               for each in sliders_for("eye plate", "boss", "feeder_width", "feeder_height")]
    curve = HoleCurve(next(each for each in sliders if each.name == WIDTH.name))
    bench = bench_of(sliders, lambda values: design_of("eye plate", values).setup(),
                     drawing_of=curve.drawing)
    curve.stand_under(bench)
    bench.hide()
    curve.ask()
    assert bench._drawing.value == "" and set(curve.dots) == {0.0}
    bench.reveal()
    curve.ask()
    dots = curve.wait(120.0)
    assert set(dots) == {0.0, 0.018, 0.036}
    assert dots[0.018][0] == pytest.approx(outcome_of(bench.setup(feeder_width=0.018)).defect_m3)
    assert bench._drawing.value.count("translate(") == 3
