"""The desk for own parts: typed, brought, poured, fed and saved, and no answer that is for another part."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import meshes
import pytest

from castlab import pour
from castlab.field.cures import Cure
from castlab.field.example_parts import EXAMPLES, door_handle
from castlab.field.holes import Hole
from castlab.field.outcome import COARSE, Outcome
from castlab.field.own_part import Body, OwnPart
from castlab.field.placed import Feeder
from castlab.plan import Job
from castlab.teach.melt.melt_bench import melt_bench
from castlab.teach.own_part.melt_and_sheet import MeltAndSheet
from castlab.teach.own_part.own_part_desk import OwnPartDesk
from castlab.units import INCH_POUND, METRIC


@pytest.fixture
def desk(tmp_path):
    made = OwnPartDesk(door_handle(), tmp_path)
    yield made
    made._work.stop()


def _poured(desk):
    """As if “Pour” had been pressed and were done, on coarse cells."""
    desk._poured(pour(desk.design(), COARSE))
    return desk


def test_it_begins_with_a_part_in_three_views(desk):
    assert "140 mm long, 26 mm high, 30 mm wide" in desk.words and desk.alert == ""
    assert desk.views.png.startswith(b"\x89PNG")
    assert [row.name for row in desk.table.rows] == ["bar", "left foot", "right foot"]


@pytest.mark.parametrize("name", [name for name in EXAMPLES if name != "propeller"])
def test_every_example_can_be_put_on_it(desk, name):
    desk.files._examples.value = name
    assert desk.part == EXAMPLES[name]() and desk.alert == "" and "cannot be cast" not in desk.words


def test_what_is_typed_is_seen(desk):
    before = desk.views.png
    desk.table.rows[1].set(diameter=0.036)
    assert dict(desk.part.bodies[1].sizes)["diameter"] == 0.036 and desk.views.png != before
    desk.table.add()
    desk.table.rows[-1].set(shape="turned")
    assert desk.part.bodies[-1].shape == "turned" and desk.alert == ""
    desk.table.rows[-1]._corners.value = "0 0; 12,5 0; 0 20"
    assert desk.part.bodies[-1].corners[1] == (0.0125, 0.0)
    desk.table.remove(desk.table.rows[-1])
    assert len(desk.part.bodies) == 3


def test_whatever_the_menus_offer_can_be_poured(desk):
    """By name; what comes of a pour is tested elsewhere."""
    for menu in (desk._mould, desk._alloy, desk._up):
        for option in menu.options:
            menu.value = option
            assert desk.design().setup() and "cannot be cast" not in desk.words, option


def test_a_slip_is_said_and_nothing_that_was_entered_is_lost(desk):
    desk.table.rows[1].set(diameter=0.0)
    assert "Diameter of left foot is 0 mm" in desk.words and desk.alert == ""
    assert desk.part is None and len(desk.table.rows) == 3
    desk.pour()
    assert "cannot be cast" in desk.words
    desk.table.rows[1].set(diameter=0.03)
    assert desk.part == door_handle()
    desk.table.rows[1]._corners.value = "1 2 3"  # not an outline: it has no corners
    assert desk.part == door_handle()


def test_poured_it_lists_its_hot_spots_and_a_feeder_goes_there(desk):
    _poured(desk)
    assert "bar" in desk.words and len(desk.spots) == 2
    words = desk.spot_words(desk.spots[0])
    assert "modulus" in words and "lacks" in words
    assert desk.views.point == pytest.approx(desk.spots[0].place, abs=6e-4)
    desk.put_here("feeder", desk.spots[0])
    assert [block.name for block in desk.design().setup().layout.blocks][-1] == "feeder"
    assert desk.spots == () and desk.account is None and "Press “Pour”" in desk.words  # nothing stale


def test_a_quick_answer_comes_first_and_nothing_else_takes_it_for_the_full_one(desk):
    quick = pour(desk.design(), COARSE)
    desk._looked(Job(pour, desk.design(), COARSE), quick)
    assert "sink" in desk.words and "quick answer" in desk._numbers.value and "A film" in desk.views.words
    assert desk.account is None and desk.spots == () and desk.result is None
    _poured(desk)
    assert "quick answer" not in desk._numbers.value and len(desk.spots) == 2


@pytest.mark.slow
def test_what_stands_on_it_can_be_moved_and_taken_away(desk):
    _poured(desk)
    desk.put_here("chill", desk.spots[0])
    desk.rigging.change("chill", 1, "thickness", 0.02)
    assert desk.design().values["chill_1_thickness"] == 0.02
    desk.rigging.remove("chill", 1)
    assert desk.rigging.sizes == {} and len(desk.rigging.widget.children) == 0


def test_a_feeder_in_the_wrong_place_is_said(desk):
    _poured(desk)
    desk.put_here("feeder", desk.spots[0])
    desk.rigging.change("feeder", 1, "x", 0.5)
    assert "there is no metal of the casting" in desk.words and desk.alert == ""


def test_an_stl_file_is_asked_about_and_taken(desk):
    desk.files.bring("knob.stl", meshes.binary(1e3 * meshes.ball(0.03, rows=12)))
    assert "drawn in mm" in desk.files.words and desk.part == door_handle()
    desk.files.take("mm")
    assert desk.part.name == "knob" and "30.3 mm long" in desk.words


@pytest.mark.parametrize(
    "name, data, words",
    [
        ("photo.stl", b"\x89PNG" + bytes(300), "a picture"),
        ("part.json", b'{"castlab part": 7}', "reads version 1"),
        ("empty.stl", b"", "empty"),
    ],
)
def test_a_file_that_cannot_be_read_is_said_and_the_part_stays(desk, name, data, words):
    desk.files.bring(name, data)
    assert words in desk.files.words and desk.part == door_handle() and desk.alert == ""


def test_it_is_saved_and_brought_again(desk, tmp_path):
    desk.table.rows[1].set(diameter=0.036)
    desk.rigging.put("feeder", Feeder(-0.055, 0.001, 0.0, "top", 0.030, 0.045))
    part, path = desk.part, desk.files.save()
    other = OwnPartDesk(folder=tmp_path)
    other.files.bring(path.name, path.read_bytes())
    assert other.part == part and other.design() == desk.design()


def test_inches_and_back(desk):
    part = desk.part
    desk.speak(INCH_POUND)
    assert "5.51 in long" in desk.words and " mm" not in desk.words
    assert desk.part == part
    desk.speak(METRIC)
    assert desk.part == part and desk.design().pour_temp_c == pytest.approx(475.0, abs=0.1)


def test_another_way_up(desk):
    desk._up.value = "its bottom (-y)"
    assert desk.part.up == "-y" and desk.alert == ""


def test_feeders_go_along_when_it_is_turned(desk):
    for x in (-0.055, 0.055):
        desk.rigging.put("feeder", Feeder(x, 0.001, 0.0))
    desk._up.value = "its bottom (-y)"
    assert "cannot be cast" not in desk.words and desk.alert == ""
    feeders = [block for block in desk.design().setup().layout.blocks if block.role == "feeder"]
    assert len(feeders) == 2 and len(desk.rigging.widget.children) == 2
    desk._up.value = "its top (+y)"
    assert "cannot be cast" not in desk.words


def test_what_finds_no_face_then_is_named_and_can_be_removed(desk):
    desk.rigging.put("feeder", Feeder(-0.055, 0.001, 0.0))
    desk.rigging.put("feeder", Feeder(0.5, 0.4, 0.3))
    desk._up.value = "its bottom (-y)"
    words, remove, *rows = desk.rigging.widget.children
    assert "no free face for feeder 2" in words.value and len(rows) == 2
    remove.click()
    assert len(desk.rigging.widget.children) == 1 and "cannot be cast" not in desk.words


def test_a_part_too_large_for_the_computer_is_told_at_once(desk):
    """In inches taken for mm: a block of 1.9 m with a pin of 3 mm."""
    def box(name, length, place):
        return Body(name, "box", (("length", length), ("height", length), ("width", length)), place)

    desk.show_part(OwnPart("block", (box("block", 1.9, (0.0, 0.0, 0.0)), box("pin", 3e-3, (0.0, 0.95, 0.0)))))
    assert "cannot be cast" in desk.words and "memory" in desk.words and desk.alert == ""
    desk.pour()
    assert "memory" in desk.words and not desk._work.running
    desk.show_part(door_handle())
    assert "cannot be cast" not in desk.words


def test_each_number_of_a_cure_stands_under_its_heading_in_the_readers_units(desk):
    place = (("feeder_1_x", -0.055), ("feeder_1_y", 0.014), ("feeder_1_z", 0.0))
    works = Outcome("sound", froze_s=92.0, casting_kg=0.26, poured_kg=0.39)
    hole = Hole("sink", "bar", 8e-7, (0.0, 0.0, 0.0), 70.0)
    fails = replace(works, verdict="defective", defect_m3=8e-7, holes=(hole,))
    fed, moved = (*place, ("feeder_1_width", 0.018)), (*place, ("feeder_1_width", 0.020))
    desk._cured((Cure("feeders", "feeder on the foot", 0.018, fed, moved, works, 0.078, "", 8),
                 Cure("gate", "thicker gate", 0.024, fed, (), fails, 0.0, "leaves a hole")))
    said = desk._cure_table.value.replace("&nbsp;", " ")
    first, second = map(ElementTree.fromstring, re.findall("<table.*?</table>", said))
    under = dict(zip(*([cell.text or "" for cell in row] for row in first), strict=True))
    assert under["with its margin, as it is tried"] == "feeder 1 width 20 mm" and under["setting"] == "18 mm"
    assert (under["result"], under["how sure"], under["yield"]) == ("sound", "8 of 8", "67 %")
    assert (under["metal poured"], under["extra metal"], under["solid after"]) == ("390 g", "+78 g", "92 s")
    assert [cell.text for cell in second[1]] == ["thicker gate", "24 mm", "sink 0.80 cm\N{SUPERSCRIPT THREE}",
                                                 "leaves a hole"]
    desk.speak(INCH_POUND)
    assert "18" not in desk._cure_table.value and desk._cure_menu.options[0][0].endswith(" in")


@pytest.mark.slow
def test_pour_and_cures_in_other_processes(desk):
    desk.pour()
    desk.wait(600)
    assert desk.account.verdict == "defective"
    desk.find_cures()
    desk.wait(1200)
    assert any(cure.works for cure in desk.cures)
    desk.put_cure(0)
    desk.pour()
    desk.wait(600)
    assert desk.account.verdict == "sound"


@pytest.mark.slow
def test_melt_and_pour_sheet_follow_the_part_that_was_poured(desk, tmp_path):
    """From an own part to a printed sheet: what is weighed in, and what is moulded besides."""
    both = MeltAndSheet(desk, tmp_path)
    melt, sheet = both.melt, both.sheet
    assert "not computed yet" in melt.sentence and "no sheet" in sheet.words
    _poured(desk)
    for number, x in enumerate((-0.055, 0.055), 1):
        desk.rigging.put("feeder", Feeder(x, 0.001, 0.0, "top", 0.030, 0.045))
    _poured(desk)
    melt.set(set_point_c=490.0)
    assert desk.account.verdict == "sound" and "not computed" not in melt.sentence
    assert "Pour sheet: door handle" in sheet.words and "other settings" in sheet.remark  # as it was poured
    sheet.fill()
    assert "Pour sheet: door handle" in sheet.words and "Do not pour" not in sheet.words
    assert "feeder 2 30 mm (1.18 in) across, 45 mm (1.77 in) high" in sheet.words
    assert "15 mm (0.591 in) from the left end, 15 mm (0.591 in) behind the front" in sheet.words
    assert melt.result.charge.casting == pytest.approx(
        6.03 * 44.4e-3, rel=0.03
    )  # kg: cold, by the data sheet
    assert "Pour sheet" in sheet.save().read_text()
    desk.rigging.change("feeder", 1, "width", 0.034)
    assert "for other settings" in sheet.remark and "not computed yet" in melt.sentence


@pytest.mark.slow
def test_inches_reach_the_melt_and_come_back_from_there(desk):
    melt = melt_bench(desk)
    _poured(desk)
    desk.speak(INCH_POUND)
    assert melt.units is INCH_POUND
    melt.speak(METRIC)
    assert desk.units is METRIC and "mm" in desk.views.words
