"""What labels of computed castings point at, read from the pixels: no line ends in metal drawn as sound."""

import numpy as np
import pytest
from random_castings import drawn

from castlab import InputError
from castlab.field.outcome import COARSE, pour
from castlab.teach.bench.casting import Casting, casting_scene
from castlab.teach.picture import raster
from castlab.teach.picture.picture import MARGIN, Picture
from castlab.teach.sliders.to_design import design_of
from castlab.units import METRIC

CASTINGS, PORTION = 48, 12
AROUND = 9  # pixels from the end of a line within which what it names is seen
LEAST = 8  # pixels of ink there


def ends_and_pixels(scene):
    """The pixels at which the lines to labels end, and the picture without lines and words."""
    picture = Picture(*raster.bounds([scene.section.layout])).show(scene)
    lines = [artist for artist in picture._used if artist in picture._lines]
    ends = [picture._pixel(line.get_xdata()[0], line.get_ydata()[0]) for line in lines]
    picture._used = [artist for artist in picture._used if artist not in lines]
    words, picture._words = picture._words[1:], []  # the first says where the section goes
    assert len(words) == len(ends)
    return ends, picture._compose()[MARGIN:, MARGIN:, :3].astype(int)


def inked(pixels, end, inks):
    """How many pixels near the end of a line have one of these inks, or nearly."""
    column, row = end
    near = pixels[max(row - AROUND, 0):row + AROUND + 1, max(column - AROUND, 0):column + AROUND + 1]
    return int(np.any([abs(near - ink).max(axis=2) < 40 for ink in inks], axis=0).sum())


@pytest.mark.slow
@pytest.mark.parametrize("start", range(0, CASTINGS, PORTION))
def test_no_line_ends_in_metal_that_is_drawn_sound(start):
    pointed = 0
    for number in range(start, start + PORTION):
        part, values, _ = drawn(number)
        try:
            casting = Casting(pour(design_of(part, values), COARSE))
        except InputError:
            continue
        scene = casting_scene(casting.setup, casting, METRIC)
        ends, pixels = ends_and_pixels(scene)
        defects = sum(label.strong for label in scene.labels)  # these are first, then comes the last place
        assert len(ends) > defects and scene.labels[defects].text.startswith("last")
        for at, end in enumerate(ends):
            if at != defects:
                assert inked(pixels, end, [raster.VOID_INK, raster.HARMLESS_INK]) >= LEAST, (number, at)
                pointed += 1
    assert pointed
