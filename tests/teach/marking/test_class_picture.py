"""The class in one picture: each cure where it belongs, each paper named, right and wrong reasons counted."""

import io
from dataclasses import replace

import pytest
from made_marks import BAD, MARGINAL, SOUND, broken, points
from PIL import Image

from castlab.field.diagnosis import CAUSES
from castlab.field.outcome import Outcome
from castlab.teach.bad_examples.example_exercise import EXERCISE
from castlab.teach.marking import class_picture

REFUSED = Outcome("refused", "the feeder is too wide")


def test_metal_and_holes_are_shares_of_the_casting_as_it_was_given():
    """The bad casting pours 0.9 kg and has holes of 2.5 cm3; the marginal one keeps 0.3 cm3 of them."""
    worse = points(replace(BAD, defect_m3=9e-6))
    marks = [points(), points(MARGINAL), broken(), points(REFUSED), points(), worse]
    given = {(111.1, 0.0): [1, 5], (100.0, 12.0): [2], (100.0, class_picture.HIGHEST): [6]}
    assert class_picture.points_of(marks) == given


@pytest.mark.parametrize("outcome, kind", [
    (SOUND, "sound"), (MARGINAL, "not sound"), (BAD, "not sound"), (REFUSED, "cannot be cast"),
    (replace(SOUND, poured_kg=1.6), "too much metal for the pot"),  # it holds 1.5 kg
])
def test_what_came_of_a_cure(outcome, kind):
    assert EXERCISE.most_metal_kg == 1.5 and class_picture.kind_of(points(outcome)) == kind


def test_the_words_say_what_the_picture_shows():
    marks = [points(), points(MARGINAL, reason="even"), points(reason="even"), broken()]
    words = class_picture.words_of(marks)
    assert words == f"Of 3 cures, 2 sound, 1 not sound. Wrong reasons: 2 said: {CAUSES['even']}."
    assert class_picture.words_of([points()]).endswith("Nobody gave a wrong reason.")
    assert class_picture.words_of([broken()]) == "" == class_picture.words_of([])


@pytest.mark.parametrize("outcomes", [[SOUND], [REFUSED], [SOUND, MARGINAL, BAD, REFUSED] * 10])
def test_the_picture_is_drawn_for_any_class(outcomes):
    picture = Image.open(io.BytesIO(class_picture.picture_of([points(each, best=0.8) for each in outcomes])))
    assert picture.size == (class_picture.WIDTH, class_picture.HEIGHT)
    used = {colour for _, colour in picture.convert("RGB").getcolors(100_000)}
    assert {(0, 90, 160)} <= used  # the reasons are right in all of them
    assert class_picture.picture_of([broken()]) == b"" == class_picture.picture_of([])
