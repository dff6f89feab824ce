"""Curves: each thing stands where its numbers say, and no words lie over others."""

import re

import numpy as np
import pytest

from castlab.teach.panels import curve
from castlab.teach.text import markup

AXES = curve.Axis("size [mm]", 0.0, 12.0), curve.Axis("time [s]", 0.0, 500.0)
FLOOR, END = curve.TALL - curve.BELOW, curve.WIDE - curve.RIGHT


def drawn(across=AXES[0], up=AXES[1], **parts):
    return curve.drawing(curve.Curve("What it says.", across, up, **parts))


def marks(drawing):
    """Where the dots stand [pixels]."""
    return [tuple(map(float, pair)) for pair in re.findall(r"translate\(([\d.]+) ([\d.]+)\)", drawing)]


def rows_of(drawing, words):
    """The row of each of these words [pixels]."""
    return [float(re.search(rf'y="([\d.]+)"[^>]*>{each}<', drawing)[1]) for each in words]


def test_a_dot_at_each_corner_stands_at_the_corner_of_the_axes():
    ends = curve.Dot(0.0, 0.0), curve.Dot(12.0, 500.0), curve.Dot(6.0, 250.0)
    middle = 0.5 * (curve.LEFT + END), 0.5 * (curve.ABOVE + FLOOR)
    assert marks(drawn(dots=ends)) == [(curve.LEFT, FLOOR), (END, curve.ABOVE), middle]


def test_an_axis_may_fall():
    cooling = curve.Axis("temperature, falling", 500.0, 20.0)
    (hot, _), (cold, _) = marks(drawn(across=cooling, dots=(curve.Dot(500.0, 0.0), curve.Dot(20.0, 0.0))))
    assert (hot, cold) == (curve.LEFT, END)
    assert ">400<" in drawn(across=cooling) and ">600<" not in drawn(across=cooling)


def test_what_lies_beyond_an_axis_stands_at_its_end():
    ((_, row),) = marks(drawn(dots=(curve.Dot(6.0, 9000.0),)))
    assert row == curve.ABOVE


def test_words_of_dots_that_nearly_touch_stand_below_each_other_in_the_order_of_the_dots():
    heights = {"ball": 92.0, "plate": 100.0, "bar": 97.0, "cylinder": 94.0}
    drawing = drawn(dots=tuple(curve.Dot(6.0, time, name) for name, time in heights.items()))
    rows = rows_of(drawing, sorted(heights, key=heights.get, reverse=True))
    assert (np.diff(rows) >= curve.ROW - 0.11).all()
    low = drawn(dots=tuple(curve.Dot(6.0, time - 92.0, name) for name, time in heights.items()))
    assert max(rows_of(low, heights)) < FLOOR


def test_words_at_the_right_edge_go_to_the_left_of_their_dot():
    assert 'text-anchor="end" stroke' in drawn(dots=(curve.Dot(12.0, 250.0, "at the edge"),))


def test_lines_and_dots_are_told_apart_without_colour():
    assert len(set(curve.STROKES)) == 4 and len(set(curve.SHAPES.values())) == 4
    drawing = drawn(lines=(curve.Line(((0, 0), (12, 300)), "rule", curve.STROKES[1]),),
                    areas=(curve.Area(((0, 0), (12, 0), (12, 100)), "hatched"),),
                    dots=(curve.Dot(1, 1, "a"),))
    for colour in set(re.findall(r'(?:fill|stroke)="#(\w+)"', drawing)):
        channels = len(colour) // 3
        assert len({colour[:channels], colour[channels:-channels], colour[-channels:]}) == 1, colour


def test_names_from_outside_do_not_become_html():
    assert "<b>" not in drawn(dots=(curve.Dot(1.0, 1.0, "<b>rim</b>"),))


def test_the_words_say_it_to_who_cannot_see_it():
    assert markup.plain(re.sub("<svg.*</svg>", "", drawn())) == "What it says."
    assert 'aria-hidden="true"' in drawn()


@pytest.mark.parametrize("fill, words", [("hatched", True), ("plain", False)])
def test_two_curves_on_a_page_keep_their_own_hatches(fill, words):
    """A hatch that another, hidden drawing has defined is not drawn."""
    area = curve.Area(((0, 0), (12, 0), (12, 100)), fill)
    drawing = drawn(areas=(area,))
    name = re.search(r'pattern id="([\w-]+)"', drawing)[1]
    assert (f"url(#{name})" in drawing) == words
    other = drawn(areas=(area,), dots=(curve.Dot(1.0, 1.0),))
    assert name not in other
