"""The workbench: all that belongs to one part, and another part when it is chosen."""

import re

import pytest

from castlab import InputError
from castlab.field.parts import PARTS
from castlab.teach.before_the_pour import HEADINGS, Workbench
from castlab.teach.text import markup
from castlab.teach.text.cautions import cautions_at
from castlab.units import INCH_POUND, METRIC


@pytest.fixture(scope="module")
def workbench(tmp_path_factory):
    return Workbench(folder=tmp_path_factory.mktemp("sheets"))


def test_it_shows_verdict_cures_window_and_melt_of_the_eye_plate(workbench):
    assert "boss" in workbench.bench.sentence and workbench.bench.alert == ""
    assert workbench.melt.sentence and workbench.melt.alert == ""
    assert "ZA-12" in workbench.sheet.words
    assert len(workbench._shown.children) == 1 + 2 * len(HEADINGS)
    above = markup.plain(workbench._shown.children[0].value)
    assert [line for line in cautions_at("top of the workbench") if line not in above] == []
    assert dict(workbench.melt.numbers)["cautions"] == " ".join(cautions_at("melt bench"))


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


@pytest.mark.slow
@pytest.mark.parametrize("part", PARTS)
def test_every_part_can_be_chosen(workbench, part):
    workbench._menu.value = part
    assert workbench.bench.result.setup.layout.title == part
    assert workbench.bench.alert == workbench.melt.alert == ""
    assert "feeder_width" in workbench.bench.controls


@pytest.mark.slow
def test_another_part_and_back_loses_nothing(workbench):
    workbench.choose("eye plate")
    workbench.bench.set(boss=0.05, alloy="A356", pour_temp_c=730.0)
    workbench.melt.set(circuit="230 V, 16 A", power=2000.0, pot="rated 3 kg")
    before = workbench.bench.values, workbench.melt.values
    workbench.choose("cleat")
    assert workbench.melt.values == before[1]  # the shop's furnace is the same
    workbench.melt.set(power=2100.0)
    workbench.choose("eye plate")
    assert workbench.bench.values == before[0] and workbench.melt.values == before[1] | {"power": 2100.0}
    workbench.bench.start_again()
    workbench.melt.start_again()


@pytest.mark.slow
def test_what_is_written_on_one_part_is_read_on_another(workbench):
    workbench.choose("eye plate")
    workbench.shop.choose("crucibles")
    workbench.shop.form.fill_in(name="A4", water="360")
    workbench.shop.write_down()
    workbench.choose("cleat")
    workbench.melt.set(pot="my shop: A4")
    assert "361 cm3" in dict(workbench.melt.numbers)["the pot takes"]
    workbench.settings.keep("cleat in the small pot")
    workbench.choose("eye plate")
    workbench.melt.set(pot="rated 5 kg")
    workbench.settings.put()
    assert workbench.part == "cleat" and workbench.melt.values["pot"] == "my shop: A4"
    assert workbench.bench.alert == workbench.melt.alert == ""


def test_a_part_that_there_is_not(workbench):
    with pytest.raises(InputError, match="part"):
        workbench.choose("anchor")
