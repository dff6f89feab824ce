"""The pour sheet on its page and in its file: for what stands on the benches, whole, or marked."""

from datetime import date

import pytest

from castlab.errors import InputError
from castlab.field import parts
from castlab.teach.lessons import melt_plan
from castlab.teach.melt import pour_sheet_page
from castlab.teach.sliders.to_design import setup_of
from castlab.teach.text import markup


def too_small_a_boss(values):
    """What stands on the bench, with a boss that cannot be cast."""
    return setup_of(parts.eye_plate(boss=0.001), values)


@pytest.fixture(scope="module")
def begun():
    return melt_plan.begin()


@pytest.fixture(autouse=True)
def no_sheet_outlives_its_test(begun):
    """A sheet listens to its benches for ever: each test would draw those of all tests before it."""
    part, bench, _ = begun
    kept = [(each, list(each)) for one in (part, bench) for each in (one._listeners, one._move_listeners)]
    yield
    for listeners, before in kept:
        listeners[:] = before


@pytest.fixture
def benches(begun):
    part, bench, _ = begun
    bench.reveal()
    part.start_again()
    bench.start_again()
    return part, bench


@pytest.fixture
def sheet(benches, tmp_path):
    return melt_plan.pour_sheet(*benches, tmp_path)


def test_it_is_saved_as_html(begun, tmp_path):
    part, bench, question = begun
    bench.hide()
    sheet = melt_plan.pour_sheet(part, bench, tmp_path)
    assert "when you have said what you expect" in sheet.words
    with pytest.raises(InputError, match="still hidden"):
        sheet.save()
    bench.reveal()
    assert "Pour sheet: eye plate in ZA-12" in sheet.words
    page = sheet.save()
    text = page.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>") and text.count("data:image/png;base64,") == 2
    assert text.endswith("</html>\n") and list(tmp_path.iterdir()) == [page]


@pytest.mark.slow
def test_a_save_that_fails_leaves_the_sheet_before_it_whole(benches, tmp_path, monkeypatch):
    part, bench = benches
    sheet = melt_plan.pour_sheet(part, bench, tmp_path)
    before = sheet.save().read_text(encoding="utf-8")
    part.set(alloy="tin bronze")

    def full(half, path):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(pour_sheet_page.os, "replace", full)
    sheet._save_pressed()
    assert sheet.remark.startswith("Not saved.") and "No space left on device" in sheet.remark
    assert [each.read_text(encoding="utf-8") for each in tmp_path.iterdir()] == [before]
    monkeypatch.setattr(part, "_setup_of", too_small_a_boss)
    sheet._save_pressed()
    assert sheet.remark.startswith("Not saved. Heavy-end size is")
    assert [each.read_text(encoding="utf-8") for each in tmp_path.iterdir()] == [before]


@pytest.mark.slow
def test_a_folder_that_is_not_there_is_said(benches, tmp_path):
    sheet = melt_plan.pour_sheet(*benches, tmp_path / "gone")
    sheet._save_pressed()
    assert "Not saved." in sheet.remark and benches[1].alert == ""


@pytest.mark.slow
@pytest.mark.parametrize("which, change, said", [
    (0, {"feeder_width": 0.0}, "feeder width 36 mm (now 0 mm)"),
    (0, {"alloy": "A356"}, "alloy ZA-12 (now A356)"),
    (1, {"set_point_c": 500.0}, "set on the display 470 °C (now 500 °C)")])
def test_it_is_grey_and_says_for_which_settings_when_either_bench_moves(sheet, benches, which,
                                                                       change, said):
    bench, fresh = benches[which], sheet._page.value
    assert sheet.remark == "Filled in."
    bench.set(**change)
    assert sheet.remark.startswith("This sheet is for other settings:") and said in sheet.remark
    assert markup.OUTDATED in sheet._page.value and sheet.words.startswith("Old sheet")
    assert "Press “Fill in from the benches”" in sheet.remark
    bench.start_again()
    assert sheet.remark == "Filled in." and sheet._page.value == fresh
    bench.set(**change)
    sheet.fill()
    assert sheet.remark == "Filled in." and markup.OUTDATED not in sheet._page.value


def test_save_writes_and_shows_what_stands_on_the_benches_now(sheet, benches):
    benches[0].set(alloy="tin bronze")
    page = sheet.save()
    assert "in tin bronze" in page.read_text(encoding="utf-8")
    assert sheet.words.startswith("Pour sheet: eye plate in tin bronze")


@pytest.mark.slow
def test_after_a_save_page_and_file_are_marked_when_the_bench_moves(sheet, benches):
    sheet._save_pressed()
    assert sheet.remark.startswith("Saved: ")
    benches[0].set(feeder_width=0.0)
    assert sheet.remark.startswith("This sheet is for other settings: feeder width 36 mm (now 0 mm)")
    assert f"{sheet.path.name} is for other settings" in sheet.remark and sheet.words.startswith("Old sheet")
    sheet.fill()
    assert sheet.remark.startswith(f"Filled in. {sheet.path.name} is for other settings: feeder width 36 mm")
    assert "Press “Save it”" in sheet.remark and not sheet.words.startswith("Old sheet")
    sheet._save_pressed()
    assert sheet.remark.startswith("Saved: ") and "other settings" not in sheet.remark


@pytest.mark.slow
def test_each_casting_has_a_sheet_of_its_own_named_by_part_alloy_and_day(sheet, benches, tmp_path):
    first = sheet.save()
    kept = first.read_text(encoding="utf-8")
    assert first.name == f"pour_sheet_eye_plate_ZA_12_{date.today()}.html" and sheet.save() == first
    benches[0].set(feeder_width=0.040)
    assert sheet.save().name == f"pour_sheet_eye_plate_ZA_12_{date.today()}_2.html"
    benches[0].set(alloy="tin bronze")
    assert sheet.save().name == f"pour_sheet_eye_plate_tin_bronze_{date.today()}.html"
    assert first.read_text(encoding="utf-8") == kept and len(list(tmp_path.iterdir())) == 3


def test_what_cannot_be_cast_takes_the_place_of_the_sheet(sheet, benches, monkeypatch):
    monkeypatch.setattr(benches[0], "_setup_of", too_small_a_boss)
    sheet._save_pressed()
    assert sheet.words.startswith("Do not pour: there is no sheet for this. Heavy-end size is")
    assert sheet.remark.startswith("Not saved.")


@pytest.mark.slow
def test_while_hidden_it_shows_nothing_and_offers_nothing(sheet, benches):
    benches[1].hide()
    assert sheet.words == pour_sheet_page.HIDDEN and sheet.remark == ""
    assert all(button.disabled for button in sheet._buttons)
    benches[1].reveal()
    assert sheet.words.startswith("Pour sheet") and not any(each.disabled for each in sheet._buttons)
