"""The pour sheet decides: over all alloys and parts no go-ahead stands above its own warning.

Castings are made by hand where only their verdict is asked; melts are computed.
"""

import re
from dataclasses import replace
from types import SimpleNamespace

import pytest
from shares import every

from castlab.field.outcome import COARSE
from castlab.field.parts import PARTS
from castlab.materials import alloy, alloy_names, flags
from castlab.teach.bench.casting import solve_casting
from castlab.teach.melt import pour_sheet
from castlab.teach.melt.melt import solve_melt
from castlab.teach.melt.melt_bench import melt_setup, melt_sliders
from castlab.teach.sliders.to_design import design_of, sliders_for
from castlab.units import INCH_POUND, METRIC

FIRST = {slider.name: slider.value for slider in melt_sliders()}
STRONG = {"pot": "rated 10 kg", "power": 2900.0, "circuit": "230 V, 16 A"}
SENTENCES = {"sound": "Sound.", "marginal": "Marginal: a sink.", "defective": "A sink on top of the boss."}
LIMIT = re.compile(r"hotter than (\d+) °C")


def setup_of(part, metal, share=0.5, **changes):
    """A part in a metal, poured at a share of the usual temperatures: 0 the coldest, 1 the hottest."""
    low, high = alloy(metal).pour_range_c
    values = {slider.name: slider.value for slider in sliders_for(part, metal=metal)}
    return design_of(part, values | {"pour_temp_c": low + share * (high - low)} | changes).setup()


def casting_of(setup, verdict):
    """A casting by hand, with nothing but what the sheet asks of it."""
    return SimpleNamespace(setup=setup, account=SimpleNamespace(verdict=verdict),
                           sentence=lambda units: SENTENCES[verdict])


def advised(setup, **changes):
    """The melt with the set point that brings what is wanted into the mould."""
    values = FIRST | STRONG | changes
    melt = solve_melt(melt_setup(setup, values))
    return solve_melt(melt_setup(setup, values | {"set_point_c": melt.advised_c}))


def sheet(part="eye plate", metal="ZA-12", verdict="sound", share=0.5, **changes):
    setup = setup_of(part, metal, share)
    return pour_sheet.sheet_of(advised(setup, **changes), casting_of(setup, verdict))


def warnings_of(page):
    """All lines of the block of cautions, in one."""
    return " ".join(next(block for block in page.foot if block.heading == "Cautions").lines)


@pytest.mark.parametrize("metal", every(4, alloy_names()))
@pytest.mark.parametrize("part", every(3, PARTS))
def test_no_go_ahead_contradicts_a_warning(part, metal):
    for share in (0.0, 0.5, 1.0):
        setup = setup_of(part, metal, share)
        melt = advised(setup)
        for verdict in SENTENCES:
            page = pour_sheet.sheet_of(melt, casting_of(setup, verdict))
            said, warned = page.verdict, warnings_of(page)
            assert page.good == ("pour" in said and "after switching on" in said) == (said != "Do not pour.")
            if not page.good:
                assert page.reasons and "READY after" not in str(page.right)
                continue
            assert verdict != "defective" and "CONTAINS LEAD" not in warned and "Not for this" not in warned
            assert "contains lead" not in flags(metal)
            for limit in LIMIT.findall(warned):
                assert setup.pour_temp_c <= float(limit)
                assert melt.run.metal_c.max() <= float(limit)
                assert float(re.search(r"set (\d+) °C", said)[1]) <= float(limit)
            assert (verdict == "marginal") == any(SENTENCES["marginal"] in each for each in page.reasons)


def test_what_can_be_poured_is_given_its_go_ahead():
    """So that the test above is not passed by a sheet that always says no."""
    for metal in ("ZA-12", "ZA-27", "Zn-4Al", "pure zinc", "A356", "sterling silver"):
        assert sheet(metal=metal).good, metal


def test_every_zinc_alloy_has_its_own_limit_and_no_other_has_one():
    for metal in alloy_names():
        found = LIMIT.findall(warnings_of(sheet(metal=metal)))
        zinc = "zinc" in alloy(metal).family
        assert found == ([f"{alloy(metal).pour_range_c[1]:.0f}"] if zinc else [])
        assert all(float(each) <= 600.0 for each in found)


def test_lead_is_a_no_and_stands_first_of_all_reasons():
    page = sheet(metal="85-5-5-5", verdict="defective", pot="rated 1 kg")
    assert page.verdict == "Do not pour." and page.reasons[0] == pour_sheet.LEAD
    assert page.reasons[1].startswith("This pot is too small")
    assert any(each.startswith("The casting comes out bad. A sink") for each in page.reasons[2:])


def test_iron_and_steel_are_a_no():
    for metal in ("carbon steel", "grey iron"):
        assert sheet(metal=metal).reasons[0] == pour_sheet.FAMILY["iron"]


def test_za_27_at_its_hottest_is_too_hot_for_the_furnace():
    page = sheet(metal="ZA-27", share=(590.0 - 520.0) / (600.0 - 520.0))
    assert not page.good and "zinc fumes" in page.reasons[0] and "600 °C" in page.reasons[0]
    assert not any("Set " in each for each in page.reasons)


def test_a_computed_hole_is_a_no_in_the_units_of_the_reader():
    """The plain eye plate, computed: a sink on its boss. With a feeder it is sound, and may be poured."""
    for feeder, good in ((0.0, False), (0.040, True)):
        setup = setup_of("eye plate", "ZA-12", feeder_width=feeder, feeder_height=0.060)
        page = pour_sheet.sheet_of(advised(setup), solve_casting(setup, COARSE), INCH_POUND)
        assert page.good == good
        assert good or "in3" in page.reasons[0] and "boss" in page.reasons[0]


def test_a_mould_that_may_not_fill_is_a_caution():
    setup = setup_of("eye plate", "A356", 0.0, mould="cast-iron die", thickness=0.006)
    assert "may not fill" in " ".join(pour_sheet.doubts(casting_of(setup, "sound"), METRIC))
    thick = setup_of("eye plate", "ZA-12", 0.5)
    assert pour_sheet.doubts(casting_of(thick, "sound"), METRIC) == ()
    slow = casting_of(replace(thick, pour_time_s=60.0), "marginal")
    assert len(pour_sheet.doubts(slow, METRIC)) == 2


@pytest.mark.parametrize("how_sure, above, below", [
    (None, False, "was not asked"), (("Sound in 8 of 8.", True), False, "Sound in 8 of 8."),
    (("Sound in 5 of 8: marginal.", False), True, "")])
def test_how_sure_the_verdict_is_stands_on_the_sheet_once(how_sure, above, below):
    setup = setup_of("eye plate", "ZA-12")
    page = pour_sheet.sheet_of(advised(setup), casting_of(setup, "sound"), METRIC, how_sure)
    wrong = " ".join(next(block for block in page.foot if block.heading == "What can go wrong").lines)
    assert page.good and any("Sound in 5" in words for words in page.reasons) == above
    assert below in wrong and "Sound in 5" not in wrong


def test_a_no_stays_a_no_however_sure_it_is():
    setup = setup_of("eye plate", "ZA-12")
    unsure = "Sound in 5 of 8: marginal.", False
    page = pour_sheet.sheet_of(advised(setup), casting_of(setup, "defective"), METRIC, unsure)
    assert not page.good and not any("Sound in 5" in words for words in page.reasons)
