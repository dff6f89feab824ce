"""The map of two sizes of a part of one's own: it moves with the desk, and moves the desk."""

from dataclasses import replace

import pytest
from ipywidgets import HTML
from made_holes import CM3, SOUND, sink
from own_parts import LUG, lug

from castlab.field.outcome import COARSE
from castlab.plan import run_here
from castlab.teach.own_part.own_part_desk import OwnPartDesk
from castlab.teach.own_part.sizes_map import SizesMap
from castlab.teach.panels.map_picture import MapPicture, MapScene
from castlab.teach.panels.map_verdict import kind_of
from castlab.teach.panels.window_map import survey
from castlab.units import INCH_POUND, METRIC


@pytest.fixture
def desk():
    made = OwnPartDesk(LUG)
    made.show_part(lug())
    return made


def made_up(setup):
    feeder = [block for block in setup.layout.blocks if block.name == "feeder"]
    wide = feeder and feeder[0].high[0] - feeder[0].low[0] > 0.0199
    return replace(SOUND if wide else sink(2 * CM3), look=COARSE)


def filled(sizes):
    """A map whose outcomes are made up."""
    sizes.lay_out()
    found = sizes.map
    for setup in found._spots:
        found._fill(setup, made_up(setup))
    found._draw()
    return found


def test_it_begins_with_the_sizes_of_the_feeder_and_is_laid_out_when_asked(desk):
    sizes = SizesMap(desk, count=4)
    assert sizes.map is None
    found = filled(sizes)
    assert found._pair == ("feeder_1_width", "feeder_1_height")
    first, second, *_ = found._values[0]
    assert first == 0.0 and second > 0.020 and (found.kinds[0, 1], found.kinds[1, 1]) == ("sink", "sound")


def test_other_sizes_may_be_chosen_the_pour_too(desk):
    sizes = SizesMap(desk, count=3)
    found = filled(sizes)
    found.choose("boss diameter", "pour_temp_c")
    setups = {found._setups[column, 0].layout.block("boss").high[0] for column in range(3)}
    assert len(setups) == 3
    assert {found._setups[0, row].pour_temp_c for row in range(3)} == {450.0, 495.0, 540.0}


def test_it_follows_the_desk_and_says_when_it_is_for_another_casting(desk):
    found = filled(SizesMap(desk, count=3))
    desk.put({"feeder_1_width": 0.012})
    assert "2 sink" not in found.sentence or found._here()[0] > 0.0
    assert "sound" in found.sentence
    desk.put({"pour_temp_c": 500.0})
    assert "other settings" in found.sentence
    desk.put({"pour_temp_c": 475.0})
    assert "sound" in found.sentence
    desk.table.rows[0].set(y=0.001)
    assert "other settings" in found.sentence


def test_it_sends_the_desk_to_a_place(desk):
    found = filled(SizesMap(desk, count=3))
    found.jump(1, 2)
    across, up = found._values
    assert desk.design().values["feeder_1_width"] == across[1] > 0.0
    assert desk.design().values["feeder_1_height"] == up[2]
    found.choose("boss diameter", "feeder_1_width")
    found.jump(2, 0)
    assert dict(desk.part.bodies[1].sizes)["diameter"] == found._values[0][2]
    assert desk.alert == ""


def test_it_goes_when_something_else_stands_on_the_part_or_nothing_can_be_drawn(desk):
    sizes = SizesMap(desk, count=3)
    sizes.lay_out()
    desk.rigging.remove("feeder", 1)
    assert sizes.map is None
    sizes.lay_out()
    desk.table.rows[0].set(length=0.0)
    assert sizes.map is None
    sizes.lay_out()
    assert sizes.map is None and "cannot be drawn" in sizes.words


def test_inches(desk):
    found = filled(SizesMap(desk, count=3))
    desk.speak(INCH_POUND)
    assert "[in]" in found._axes[0].label
    desk.speak(METRIC)
    assert "[mm]" in found._axes[0].label and "sound" in found.sentence


@pytest.mark.slow
def test_what_is_computed_is_the_part_with_those_sizes(desk):
    """A lug of ZA-12 with a boss of 30 mm: bare it has a hole, and a feeder of 48 mm leaves none."""
    sizes = SizesMap(desk, count=2)
    sizes.lay_out()
    found = run_here(survey(sizes.map._setups, {}))
    kinds = {spot: kind_of(found[setup]) for spot, setup in sizes.map._setups.items()}
    assert kinds[0, 0] == kinds[0, 1] != "sound" and kinds[1, 1] == "sound"


def test_it_is_called_a_map_of_the_part_and_not_of_a_bench(desk):
    """Every button and word of it; the picture differs from that of a bench in its legend."""
    found, pending, words = filled(SizesMap(desk, count=3)), [], ""
    pending.append(found.widget)
    while pending:
        each = pending.pop()
        pending += getattr(each, "children", ())
        words += f" {getattr(each, 'description', '')} {each.value if isinstance(each, HTML) else ''}"
    assert "Set the part to the frame" in words and "bench" not in words.replace("workbench", "")
    assert MapPicture(*found._axes, "part").png(MapScene({})) != MapPicture(*found._axes).png(MapScene({}))
