"""The workbench: all that belongs to one part, and another part when it is chosen."""

import re

import pytest
from shares import mostly_slow

from castlab import InputError
from castlab.field.parts import PARTS
from castlab.teach.before_the_pour import HEADINGS, Workbench
from castlab.teach.text import markup
from castlab.units import INCH_POUND, METRIC


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


def test_one_switch_changes_all_that_is_shown(workbench):
    """Sentences, numbers, labels of sliders, the map's axes and limits; the sheet says both anyway."""

    def shown():
        benches = workbench.bench, workbench.melt
        words = [each.sentence + markup.plain(each._numbers.value) for each in benches]
        labels = [control.widget.description for each in benches for control in each.controls.values()]
        window = [workbench.window._limits.value, *(axis.label for axis in workbench.window._axes)]
        return " | ".join([*words, *labels, *window])

    metric = shown()
    workbench.bench._units.value = INCH_POUND
    assert not re.search(r"\b(mm|cm3|kg|g|K)\b|°C", shown()) and "in3" in shown() and "lb" in shown()
    workbench.sheet.fill()
    assert "°C (" in workbench.sheet.words and "kg (" in workbench.sheet.words
    workbench.melt._units.value = METRIC
    assert shown() == metric and workbench.bench.alert == workbench.melt.alert == ""


@pytest.mark.parametrize("part", mostly_slow(PARTS, quick=["bracket", "sheave"]))
def test_every_part_can_be_chosen(workbench, part):
    workbench._menu.value = part
    assert workbench.bench.result.setup.layout.title == part
    assert workbench.bench.alert == workbench.melt.alert == ""
    assert "feeder_width" in workbench.bench.controls


def test_a_part_that_there_is_not(workbench):
    with pytest.raises(InputError, match="part"):
        workbench.choose("anchor")
