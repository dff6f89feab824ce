"""The workbench: all that belongs to one part, and another part when it is chosen."""

import pytest

from castlab import InputError
from castlab.field.parts import PARTS
from castlab.teach.workbench import HEADINGS, Workbench


@pytest.fixture(scope="module")
def workbench(tmp_path_factory):
    return Workbench(folder=tmp_path_factory.mktemp("sheets"))


def test_it_shows_verdict_cures_window_and_melt_of_the_eye_plate(workbench):
    assert "boss" in workbench.bench.sentence and workbench.bench.alert == ""
    assert workbench.melt.sentence and workbench.melt.alert == ""
    assert "ZA-12" in workbench.sheet.words
    assert len(workbench._shown.children) == 1 + 2 * len(HEADINGS)


def test_the_melt_follows_the_casting(workbench):
    before = workbench.melt.result.charge.casting
    workbench.bench.set(boss=0.056)
    assert workbench.melt.result.charge.casting > before
    workbench.bench.start_again()


@pytest.mark.parametrize("part", PARTS)
def test_every_part_can_be_chosen(workbench, part):
    workbench._menu.value = part
    assert workbench.bench.result.setup.layout.title == part
    assert workbench.bench.alert == workbench.melt.alert == ""
    assert "feeder_width" in workbench.bench.controls


def test_a_part_that_there_is_not(workbench):
    with pytest.raises(InputError, match="part"):
        workbench.choose("anchor")
