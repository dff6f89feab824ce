"""A film: of each pixel when crystals begin, when it is solid, when it is a hole; words for each moment."""

import io
from types import SimpleNamespace

import numpy as np
import pytest
from colours import contrast, luminance
from PIL import Image

from castlab import Setup, alloy, mould, parts
from castlab.field.outcome import COARSE, pour
from castlab.teach.bench.casting import Casting
from castlab.teach.picture.reel import COLOURS, FRAMES, NEVER, reel_of
from castlab.units import INCH_POUND, METRIC

MOST_BYTES = 1.5e6


def made(metal, **sizes):
    setup = Setup(parts.eye_plate(**sizes), alloy(metal), mould("green sand"), alloy(metal).pour_range_c[0])
    casting = Casting(pour(setup, COARSE))
    reel = reel_of(casting.account, casting.section, METRIC)
    moments = np.asarray(Image.open(io.BytesIO(reel.moments))).astype(int)
    return SimpleNamespace(casting=casting, reel=reel, moments=moments)


@pytest.fixture(scope="module")
def zinc():
    return made("ZA-12", feeder_width=0.04, feeder_height=0.05)


@pytest.fixture(scope="module")
def pure():
    return made("pure aluminium")


def test_there_are_enough_frames_and_they_are_small(zinc):
    reel = zinc.reel
    assert FRAMES >= 60 and len(reel.times_s) == len(reel.words) == FRAMES <= NEVER
    assert np.diff(reel.times_s) == pytest.approx(zinc.casting.run.last_time_s / (FRAMES - 1))
    assert len(reel.still) + len(reel.moments) + sum(map(len, reel.words)) < MOST_BYTES


def test_metal_is_liquid_then_mush_then_solid_and_mould_is_never_metal(zinc, pure):
    for film in (zinc, pure):
        mush, solid, _ = np.moveaxis(film.moments, 2, 0)
        metal = solid < NEVER
        assert 0.05 < metal.mean() < 0.6 and (mush[metal] <= solid[metal]).all()
        assert (film.moments[~metal] == NEVER).all()
    assert (zinc.moments[..., 0] < zinc.moments[..., 1]).mean() > 0.05  # ZA-12 freezes over a range
    assert (pure.moments[..., 0] == pure.moments[..., 1]).all()  # a pure metal has no mush


def test_places_are_solid_when_the_computed_casting_is(zinc):
    """In the middle of the plate, away from every edge, against the time that the bench says."""
    casting, frames = zinc.casting, zinc.moments[..., 1]
    rows, columns = np.nonzero(frames < NEVER)
    wide = columns.max() - columns.min()
    there = columns.min() + round(wide * 0.45)
    column = frames[:, there]
    middle = np.flatnonzero(column < NEVER)
    frame = column[middle[len(middle) // 2]]
    share = casting.middle_time("plate") / casting.run.last_time_s
    assert frame / (FRAMES - 1) == pytest.approx(share, abs=0.08)


def test_a_level_sinks_from_above_and_the_hole_ends_as_it_is_drawn(zinc, pure):
    for film in (zinc, pure):
        opening = film.moments[..., 2]
        holed = opening < NEVER
        columns = np.flatnonzero(holed.sum(axis=0) > 10)
        falling = [np.diff(opening[holed[:, column], column]) for column in columns]
        steps = np.concatenate(falling)
        assert (steps >= 0).mean() > 0.9 and steps.sum() > 0
        assert 0.0 < opening[holed].min() < 0.2 * FRAMES


def test_words_say_what_is_closed_and_who_has_supplied(zinc):
    reel, account = zinc.reel, zinc.casting.account
    closed = dict(reel.marks)
    assert set(closed) == {"gate", "sprue", "feeder"}
    for time, words in zip(reel.times_s, reel.words, strict=True):
        for name, when in closed.items():
            said = f"the {name} (" in words
            assert said == (when <= time), (name, time)
    assert reel.words[0].startswith("0 s after the pour") and reel.words[-1].endswith("All metal is solid.")
    assert METRIC.volume(account.asked_m3) in reel.words[-1]
    inches = reel_of(account, zinc.casting.section, INCH_POUND)
    assert "in3" in inches.words[-1] and "cm3" not in "".join(inches.words)


def test_a_hole_in_the_casting_is_spoken_of_from_when_it_opens(pure):
    opens = [frame for frame, words in enumerate(pure.reel.words) if "A hole opens" in words]
    assert opens and opens == list(range(opens[0], FRAMES - 1))


def test_states_are_told_apart_in_grey_too():
    greys = [luminance(COLOURS[name]) for name in ("hole", "liquid", "mush", "solid")]
    assert all(first > 1.25 * second for first, second in zip(greys, greys[1:]))
    assert contrast(COLOURS["edge"], COLOURS["hole"]) >= 4.5
    assert contrast(COLOURS["strokes"], COLOURS["mush"]) >= 4.5
    assert contrast(COLOURS["solid"], COLOURS["liquid"]) >= 4.5


def test_no_hole_opens_below_metal_that_is_there_and_will_be_gone():
    opening = made("A356", feeder_width=0.028, feeder_height=0.05).moments[..., 2]
    above, below = opening[:-1], opening[1:]
    both = (above < NEVER) & (below < NEVER)
    assert both.sum() > 100 and (below[both] >= above[both]).all()
