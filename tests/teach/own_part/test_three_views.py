"""Three sections through a point: what lies where in the picture, whichever way one looks."""

import io

import numpy as np
import pytest
from PIL import Image

from castlab.field.layout import Layout, box
from castlab.teach.own_part.three_views import CAPTION, GAP, HEIGHT, WIDTH, three_views
from castlab.teach.picture.raster import MOULD_COLOUR, ROLE_COLOUR
from castlab.units import INCH_POUND

LONG = box("long", "casting", (0.0, 0.1), (0.0, 0.02), (0.0, 0.04))
PIN = box("pin", "casting", (0.0, 0.02), (0.02, 0.05), (0.03, 0.04))  # up at the left, at the front
LAYOUT = Layout((LONG, PIN), (-0.1,) * 3, (0.2,) * 3)


def _pixels(point, **more):
    image = Image.open(io.BytesIO(three_views(LAYOUT, point, **more)))
    return np.asarray(image.convert("RGB"))


def _metal(pixels):
    return (pixels == ROLE_COLOUR["casting"]).all(axis=2)


@pytest.fixture(scope="module")
def panels():
    """The three sections through the middle of the pin, as masks of metal: front, right, above."""
    pixels = _pixels((0.01, 0.03, 0.035))
    mould = (pixels == MOULD_COLOUR).all(axis=2) | _metal(pixels)
    columns = np.flatnonzero(mould[CAPTION + 2])
    split = columns[np.flatnonzero(np.diff(columns) > 1)[0]]
    rows = np.flatnonzero(mould[:, GAP + 2])
    below = rows[np.flatnonzero(np.diff(rows) > 10)[0]] + 1
    metal = _metal(pixels)
    return metal[:below, : split + 1], metal[:below, split + 1 :], metal[below:, : split + 1]


def test_it_is_as_wide_as_the_page_and_ends_where_its_last_section_does():
    pixels = _pixels((0.05, 0.01, 0.02))
    assert pixels.shape[1] == WIDTH and pixels.shape[0] <= HEIGHT
    assert (pixels[-GAP:] == 255).all() and not (pixels[-GAP - 1] == 255).all()


def _middle(mask):
    rows, columns = np.nonzero(mask)
    return rows.mean(), columns.mean()


def _ends(mask):
    rows, columns = np.nonzero(mask)
    return (columns.max() - columns.min()) / (rows.max() - rows.min())


def test_from_the_front_the_pin_stands_up_at_the_left(panels):
    front = panels[0]
    assert _ends(front) == pytest.approx(0.1 / 0.05, rel=0.03)
    rows, columns = np.nonzero(front)
    upper = columns[rows < rows.min() + 10]
    assert upper.max() < columns.min() + 0.25 * (columns.max() - columns.min())


def test_from_the_right_the_front_of_the_part_is_at_the_left(panels):
    right = panels[1]
    assert _ends(right) == pytest.approx(0.04 / 0.05, rel=0.03)
    rows, columns = np.nonzero(right)
    assert columns[rows < rows.min() + 10].mean() < columns.mean()


def test_from_above_the_front_of_the_part_is_below(panels):
    """At the height of the pin only the pin is cut: 20 x 10 mm."""
    assert _ends(panels[2]) == pytest.approx(2.0, rel=0.1)


def test_another_point_cuts_elsewhere_and_inches_change_the_captions():
    here = three_views(LAYOUT, (0.01, 0.03, 0.035))
    assert here != three_views(LAYOUT, (0.05, 0.01, 0.02))
    assert here != three_views(LAYOUT, (0.01, 0.03, 0.035), units=INCH_POUND)
    assert here != three_views(LAYOUT, (0.01, 0.03, 0.035), greyed=True)
