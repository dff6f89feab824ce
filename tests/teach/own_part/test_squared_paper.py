"""Squared paper: what is drawn there stands in the table, what is typed there is drawn."""

import pytest

from castlab.field.own_part import Body, OwnPart
from castlab.teach.own_part.own_part_desk import OwnPartDesk
from castlab.teach.own_part.squared_paper import STEPS, paper_for
from castlab.units import INCH_POUND, METRIC

WEDGE = ((0.0, 0.0), (0.040, 0.0), (0.0, 0.030))
PART = OwnPart("wedge", (Body("body", "outline", (("length", 0.02),), axis="z", corners=WEDGE),))


@pytest.fixture
def desk():
    return OwnPartDesk(PART)


def test_the_paper_shows_the_corners_of_the_table_and_nothing_is_changed_by_opening_it(desk):
    paper = desk.table.rows[0].open_paper()
    assert paper.corners == [[0.0, 0.0], [40.0, 0.0], [0.0, 30.0]] and desk.part == PART
    assert (paper.paper["across"], paper.paper["up"], paper.paper["unit"]) == ("x", "y", "mm")
    assert desk.table.rows[0].open_paper() is None and desk.part == PART


def test_a_corner_that_was_moved_is_the_parts(desk):
    paper = desk.table.rows[0].open_paper()
    paper.corners = [[0.0, 0.0], [40.0, 0.0], [40.0, 12.5], [0.0, 30.0]]
    assert desk.part.bodies[0].corners == ((0.0, 0.0), (0.04, 0.0), (0.04, 0.0125), (0.0, 0.03))
    assert desk.table.rows[0]._corners.value == "0 0; 40 0; 40 12.5; 0 30"


def test_what_is_typed_is_drawn_and_what_cannot_be_read_is_not(desk):
    paper = desk.table.rows[0].open_paper()
    desk.table.rows[0]._corners.value = "0 0; 50 0; 0 30,5"
    assert paper.corners == [[0.0, 0.0], [50.0, 0.0], [0.0, 30.5]]
    desk.table.rows[0]._corners.value = "0 0; 50"
    assert "write two numbers" in desk.words and paper.corners[1] == [50.0, 0.0]


def test_sides_that_cross_are_said_and_stay_on_the_paper(desk):
    paper = desk.table.rows[0].open_paper()
    paper.corners = [[0.0, 0.0], [40.0, 0.0], [0.0, 30.0], [50.0, 45.0]]
    assert desk.part is None and "without crossing a side" in desk.words and len(paper.corners) == 4


def test_the_paper_is_ruled_for_the_axis_and_for_what_is_turned(desk):
    row = desk.table.rows[0]
    paper = row.open_paper()
    row._axis.value = "y"
    assert (paper.paper["across"], paper.paper["up"]) == ("x", "z")
    row.set(shape="turned")
    assert (paper.paper["across"], paper.paper["turned"]) == ("radius", True)
    assert [tuple(each) for each in paper.corners] == [(0.0, 0.0), (15.0, 0.0), (10.0, 30.0), (0.0, 30.0)]
    row.set(shape="box")
    assert paper not in row.widget.children and desk.alert == ""


@pytest.mark.parametrize("units", [METRIC, INCH_POUND])
def test_the_paper_is_in_the_readers_unit(units):
    paper = paper_for("outline", "z", units)
    assert paper["steps"] == list(STEPS[paper["unit"]]) and paper["snap"] in paper["steps"]


def test_inches_and_back_keep_the_part(desk):
    desk.speak(INCH_POUND)
    paper = desk.table.rows[0].open_paper()
    assert paper.corners[1][0] == pytest.approx(40.0 / 25.4, abs=1e-4) and desk.part == PART
    desk.speak(METRIC)
    assert desk.part == PART
