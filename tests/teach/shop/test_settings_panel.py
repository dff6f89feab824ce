"""Settings kept in the book and put back; what cannot be set says so, and the rest is set."""

from types import SimpleNamespace

import pytest
from light_bench import light_bench

from castlab.shop.entries import entry_of
from castlab.teach.melt.melt_bench import melt_bench
from castlab.teach.shop.book_file import BookFile
from castlab.teach.shop.settings_panel import SettingsPanel, put_on


@pytest.fixture(scope="module")
def page():
    bench = light_bench("eye plate", "thickness", "boss", "turn", "feeder_width")
    return SimpleNamespace(part="eye plate", bench=bench, melt=melt_bench(bench), choose=lambda part: None)


@pytest.fixture
def panel(page, tmp_path):
    return SettingsPanel(page, BookFile(tmp_path))


def test_settings_come_back_after_a_restart(panel, page):
    page.bench.set(alloy="A356", pour_temp_c=730.0, boss=0.05, turn="heavy end up")
    page.melt.set(pot="rated 3 kg", set_point_c=760.0)
    before = page.bench.values, page.melt.values
    panel.keep("oarlock")
    assert "Kept in my_shop.json as “oarlock”" in panel.remark
    page.bench.start_again()
    page.melt.start_again()
    again = SettingsPanel(page, BookFile(panel.book.path.parent))
    again.put()
    assert (page.bench.values, page.melt.values) == before and "stands on the sliders" in again.remark


def test_settings_need_a_name(panel):
    panel.keep()
    assert "Name is missing" in panel.remark and panel.book.book.entries == ()
    panel.put()
    assert "Keep some first" in panel.remark


def test_what_cannot_be_set_is_said_and_the_rest_is_set(panel, page):
    panel.book.write_down(entry_of("settings", {
        "name": "old", "part": "eye plate", "melt": {},
        "settings": {"boss": 0.046, "thickness": 9.0, "wing": 0.01}}))
    panel.put()
    assert page.bench.values["boss"] == 0.046 and page.bench.alert == ""
    assert "no slider wing" in panel.remark and "section thickness" in panel.remark


def test_two_of_one_name_are_both_kept(panel, page):
    for boss in (0.04, 0.05):
        page.bench.set(boss=boss)
        panel.keep("twice")
    assert [each["settings"]["boss"] for each in panel.book.book.of("settings")] == [0.04, 0.05]
    panel.put(0)
    assert page.bench.values["boss"] == 0.04


def test_an_alloy_brings_its_range_before_its_temperature_is_set(page):
    page.bench.set(alloy="ZA-12")
    assert put_on(page.bench, {"pour_temp_c": 1150.0, "alloy": "tin bronze"}) == []
    assert page.bench.values["pour_temp_c"] == 1150.0
