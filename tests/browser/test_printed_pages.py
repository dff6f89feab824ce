"""What is printed fits the paper, A4 as US letter: the pour sheet one page, the student's hand-out two."""

import re

import pytest

from castlab.teach.bad_examples.example_exercise import EXERCISE, FOLDER
from castlab.teach.bad_examples.hand_out import file_names
from castlab.teach.before_the_pour import Workbench
from castlab.units import INCH_POUND, METRIC

PAPERS = ("A4", "Letter")
EVERYTHING = {"feeder_width": 0.036, "feeder_height": 0.05, "neck_width": 0.014, "sleeve_thickness": 0.012,
              "chill_thickness": 0.012}  # what makes the sheet longest


@pytest.fixture
def printed(browser):
    """A function that says how many pages of a paper a file takes."""
    page = browser.new_page()

    def count(path, paper):
        page.goto(path.resolve().as_uri())
        return len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper)))

    yield count
    page.close()


@pytest.fixture(scope="module")
def workbench(tmp_path_factory):
    made = Workbench(folder=tmp_path_factory.mktemp("sheet"))
    made.melt.reveal()
    return made


@pytest.mark.parametrize("units", [METRIC, INCH_POUND], ids=lambda units: units.name)
@pytest.mark.parametrize("alloy", ["ZA-12", "tin bronze", "85-5-5-5"])
def test_the_pour_sheet_is_one_page(workbench, printed, alloy, units):
    workbench.bench.set(alloy=alloy, **EVERYTHING)
    workbench.bench.speak(units)
    sheet = workbench.sheet.save()
    assert [printed(sheet, paper) for paper in PAPERS] == [1, 1]


def test_the_students_answers_are_a_page_of_their_own(printed):
    paper = FOLDER / file_names(EXERCISE.title)[2]
    assert [printed(paper, each) for each in PAPERS] == [2, 2]
