"""The table of cures under a bench, and how sure a verdict is: in words, in both units, searched for real."""

import multiprocessing
import time

import pytest

from castlab.errors import InputError
from castlab.field import cures
from castlab.field.cures import Cure
from castlab.field.holes import Hole
from castlab.field.outcome import Outcome
from castlab.field.sure import EIGHT
from castlab.plan import Batch
from castlab.teach.bench.bench import HIDDEN
from castlab.teach.bench.computed_for import as_it_stands
from castlab.teach.bench.ready_made import bench_for
from castlab.teach.panels import cure_table
from castlab.teach.panels.cure_table import CureTable, row_of
from castlab.teach.panels.sensitivity import HowSure, in_words
from castlab.teach.text import markup
from castlab.units import INCH_POUND, METRIC

PART, LONG = "eye plate", 60
SIZES = ("thickness", "boss", "core", "feeder_width", "feeder_height", "sleeve_thickness", "gate_place",
         "gate_thickness", "chill_thickness", "turn")
SOUND = Outcome("sound", froze_s=200.0, casting_kg=0.7, poured_kg=0.9)
PIPE = Hole("pipe_into_casting", "boss", 2e-6, (0.14, 0.0), 100.0)
HOLE = Outcome("defective", holes=(PIPE,), defect_m3=2e-6, defect_share=0.02, froze_s=180.0, casting_kg=0.7,
               poured_kg=0.75)
CORED = Cure("core", "core in the boss", 0.024, (("core", 0.024),), (), HOLE, -0.1, "leaves half")
FED = Cure("squat feeder on top", "squat feeder on top", 0.034,
           (("feeder_width", 0.034), ("feeder_height", 0.02)),
           (("feeder_width", 0.036), ("feeder_height", 0.02)), SOUND, 0.127, "to be sawn off", 8)
PAIR = Cure("gate + cooler pour", "gate and cooler pour", (0.03, 460.0),
            (("gate_thickness", 0.012), ("pour_temp_c", 460.0)), (), SOUND, 0.0, "", 5)
TURNED = Cure("heavy end up", "cast heavy end up", "heavy end up", (("turn", "heavy end up"),), (), HOLE,
              0.0, "no")
TOO_THICK = Cure("gate", "gate into the heavy end", 0.032,
                 (("gate_place", "heavy end"), ("gate_thickness", 0.032)), (), SOUND, 0.4, "", 8)
REFUSED = Cure("feeder at the side", "feeder at the side", 0.04, (("feeder_place", "at the side"),), (),
               Outcome("refused", "no room"), 0.0, "no room")
FOUND = (FED, PAIR, TOO_THICK, CORED, TURNED, REFUSED)


@pytest.fixture(scope="module")
def made():
    bench = bench_for(PART, *SIZES)
    return bench, CureTable(bench, PART), HowSure(bench, PART)


@pytest.fixture
def bench(made):
    made[0].reveal()
    made[0].speak(METRIC)
    made[0].start_again()
    return made[0]


@pytest.fixture
def table(made, bench):
    return made[1]


@pytest.fixture
def sure(made, bench):
    return made[2]


@pytest.fixture
def quick(monkeypatch):
    """Coarse cells, and one kind of cure that works, one that fails."""
    kinds = cures.kinds_of_cure

    def some(*args):
        return [each for each in kinds(*args) if each.key in ("squat feeder on top", "cooler pour")]

    monkeypatch.setattr(cures, "kinds_of_cure", some)
    monkeypatch.setattr(cures, "FULL", cures.COARSE)


# ---- words


def test_a_row_speaks_metric_and_inches():
    row = ("34 mm", "sound", "8 of 8", "900 g", "78 %", "+130 g", "200 s", "to be sawn off")
    assert row_of(FED, METRIC) == ("squat feeder on top", *row)
    row = " ".join(row_of(FED, INCH_POUND))
    assert "1.34 in" in row and "2.0 lb" in row and " mm" not in row and " g" not in row


def test_a_pair_says_both_settings_and_what_is_marginal():
    row = row_of(PAIR, METRIC)
    assert row[1] == "30 mm and 460 °C" and row[3] == "5 of 8: marginal" and row[6] == "none"
    assert "°F" in row_of(PAIR, INCH_POUND)[1]


def test_a_cure_that_fails_says_what_is_left_by_its_name():
    row = row_of(CORED, METRIC)
    assert row[2] == "pipe into the casting 2.0 cm3" and row[3] == "" and row[6] == "-100 g"


def test_what_cannot_be_cast_has_no_numbers():
    assert row_of(REFUSED, METRIC) == (
        "feeder at the side", "", "cannot be cast", "", "", "", "", "", "no room")


def test_the_table_has_as_many_cells_as_headings(table, bench):
    table.show(FOUND)
    words = markup.plain(table._table.value)
    assert all(heading in words for heading in cure_table.HEADINGS) and "eight pours" in words
    assert words.index("gate into the heavy end") < words.index("what does not work") < words.index("core in")
    for cure in FOUND:
        assert len(row_of(cure, METRIC)) == len(cure_table.HEADINGS) - 1 and cure.name in words


def test_the_table_can_be_printed_in_the_units_of_the_bench(table, bench, capsys):
    table.show(FOUND)
    table.print_table()
    assert "34 mm" in capsys.readouterr().out
    bench.speak(INCH_POUND)
    table.print_table()
    assert "1.34 in" in capsys.readouterr().out


def test_the_table_follows_the_units_of_the_bench(table, bench):
    table.show(FOUND)
    bench._units.value = INCH_POUND
    assert "1.34 in" in markup.plain(table._table.value)
    bench._units.value = METRIC
    assert "34 mm" in markup.plain(table._table.value)


def test_where_nothing_works_the_table_says_so(table, bench):
    table.show([CORED])
    words = markup.plain(table._table.value)
    assert words.startswith(cure_table.NONE_WORKS) and "leaves half" in words


# ---- put on the bench


def test_a_cure_is_put_on_the_bench_with_its_margin(table, bench):
    table.show(FOUND)
    table._menu.value = 0
    table._try.click()
    assert bench.values["feeder_width"] == pytest.approx(0.036)
    assert bench.result.sound


def test_only_what_the_sliders_reach_is_on_the_menu(table, bench):
    table.show(FOUND)
    offered = {number for _, number in table._menu.options}
    assert FOUND.index(TOO_THICK) not in offered and FOUND.index(REFUSED) not in offered
    assert {0, FOUND.index(CORED), FOUND.index(TURNED)} <= offered and not table._try.disabled
    table.show([TOO_THICK])
    assert table._menu.options == () and table._try.disabled


def test_a_second_cure_takes_the_place_of_the_first(table, bench):
    """Each cure was found for the casting as it stood; tried one after the other they must not pile up."""
    table.show(FOUND)
    table.put(0)
    table.put(FOUND.index(CORED))
    assert bench.values["core"] == pytest.approx(0.024) and bench.values["feeder_width"] == 0.0


# ---- the bench moves on


def marked(panel):
    """Whether what a panel shows stands in grey."""
    html = panel._table.value if isinstance(panel, CureTable) else panel._words.value
    return markup.OUTDATED in html


def test_a_table_for_other_settings_is_grey_says_for_which_and_sets_nothing(table, bench):
    table.show(FOUND)
    assert not marked(table) and not table._try.disabled
    bench.set(alloy="A356")
    words, stood = markup.plain(table._table.value), bench.values
    assert marked(table) and table._try.disabled and table._menu.disabled
    assert words.startswith("This table is for other settings: alloy ZA-12 (now A356), pouring temperature")
    assert "Press “Find the cures” for the present ones" in words and "squat feeder on top" in words
    with pytest.raises(InputError, match="casting on the bench"):
        table.put(0)
    assert bench.values == stood
    bench.set(alloy="ZA-12")
    assert not marked(table) and not table._try.disabled and table.may_be_tried
    assert "other settings" not in table._table.value


def test_at_one_of_its_cures_a_table_is_for_the_casting_before_and_tries_another(table, bench):
    table.show(FOUND)
    table.put(0)
    words = markup.plain(table._table.value)
    assert not marked(table) and not table._try.disabled
    assert words.startswith("This table is for the casting before the cure: feeder width 0 mm (now 36 mm)")
    bench.set(boss=0.044)
    assert marked(table) and table._try.disabled
    bench.set(boss=0.040)
    table._menu.value = FOUND.index(CORED)
    table._try.click()
    assert bench.values["core"] == pytest.approx(0.024) and not marked(table)


def test_the_menu_keeps_its_choice_and_follows_what_the_sliders_reach(table, bench):
    table.show(FOUND)
    table._menu.value = FOUND.index(CORED)
    bench.speak(INCH_POUND)
    assert table._menu.value == FOUND.index(CORED)
    bench.set(alloy="A356")  # 460 °C is none of its pouring temperatures
    assert FOUND.index(PAIR) not in {number for _, number in table._menu.options}
    bench.set(alloy="ZA-12")
    assert FOUND.index(PAIR) in {number for _, number in table._menu.options}


@pytest.mark.slow
def test_what_arrives_for_a_casting_that_has_gone_is_marked(table, sure, bench, quick):
    table.search()
    sure.ask()
    bench.set(boss=0.044)
    assert table.words.startswith("The table to come is for other settings: heavy-end size 40 mm (now 44 mm)")
    assert sure.words.startswith("The answer to come is for other settings: heavy-end size 40 mm (now 44 mm)")
    table.wait(LONG)
    sure.wait(LONG)
    assert table.words == "" and marked(table) and table._try.disabled
    assert marked(sure) and "Sound in 0 of 8" in sure.words
    bench.set(boss=0.040)
    assert not marked(table) and not table._try.disabled and not marked(sure)


@pytest.mark.slow
def test_how_sure_is_grey_for_another_casting_and_valid_again_on_return(sure, bench):
    bench.set(feeder_width=0.044)
    sure._refused, sure._asked = None, as_it_stands(bench)
    sure._show([SOUND] * 8)
    assert sure.words.startswith("Sound in 8 of 8") and not marked(sure)
    assert sure.known == ("Sound in 8 of 8.", True)
    bench.set(feeder_width=0.0)
    assert sure.known is None
    assert marked(sure) and "feeder width 44 mm (now 0 mm)" in sure.words and "Sound in 8 of 8" in sure.words
    assert "Press “How sure?” for the present ones." in sure.words
    bench.set(feeder_width=0.044)
    assert sure.words.startswith("Sound in 8 of 8") and not marked(sure)


def test_of_many_moves_three_are_named(bench):
    stood = as_it_stands(bench)
    bench.set(thickness=0.014, boss=0.044, core=0.010, feeder_width=0.03, feeder_height=0.04)
    assert stood.settings.count("(now") == 3 and stood.settings.endswith("and 2 more")


@pytest.mark.slow
def test_a_refusal_is_for_the_state_that_was_refused(table, sure, bench):
    table.show(())
    bench.set(feeder_width=0.040, feeder_height=0.060)
    table.search()
    assert table.words == cure_table.SOUND_ALREADY
    bench.set(feeder_width=0.0)
    assert table.words == cure_table.NONE_YET
    bench.set(boss=0.026, core=0.024)
    sure.ask()
    assert "cannot be cast" in sure.words
    bench.set(core=0.0)
    assert "cannot be cast" not in sure.words


# ---- the search


@pytest.mark.slow
def test_a_real_search_fills_the_table(table, bench, quick):
    table._button.click()
    found = table.wait(LONG)
    assert [cure.works for cure in found] == [True, False]
    assert found[0].key == "squat feeder on top" and found[0].sure is not None and found[0].margin
    assert found[1].key == "cooler pour" and found[1].sure is None
    assert "squat feeder on top" in markup.plain(table._table.value)
    assert table._work.words.startswith("Done") and table._menu.options
    assert table._work._bar.value == table._work._bar.max > 2
    table.put(0)
    assert bench.result.sound


def test_stop_is_heard_and_leaves_no_process(table):
    table._button.click()
    until = time.monotonic() + LONG
    while not multiprocessing.active_children() and time.monotonic() < until:
        time.sleep(0.01)
    table._work._button.click()
    table._work.wait(LONG)
    assert not multiprocessing.active_children() and table._work.words.startswith("Stopped")


def test_a_sound_casting_needs_no_cure(table, bench):
    bench.set(feeder_width=0.040)
    table._button.click()
    assert table.words == cure_table.SOUND_ALREADY and not table._work.running


def test_nothing_is_told_before_the_student_has_said_what_they_expect(table, sure, bench):
    bench.hide()
    table._button.click()
    sure.ask()
    assert table.words == HIDDEN == sure.words and not table._work.running and not sure._work.running


def test_what_cannot_be_cast_is_said_in_words(table, sure, bench):
    bench.set(boss=0.026, core=0.024)
    assert bench.error is not None
    table._button.click()
    sure.ask()
    assert "cannot be cast" in table.words and "Core is" in table.words and bench.alert == ""
    assert "cannot be cast" in sure.words and not sure._work.running


def test_an_error_of_the_search_is_shown(table, monkeypatch):
    def broken(design):
        yield Batch([])
        raise ZeroDivisionError("in the search")

    monkeypatch.setattr(cures, "cures", broken)
    table.search()
    with pytest.raises(ZeroDivisionError):
        table.wait(LONG)
    assert "in the search" in table._work.alert and not table._work.running


# ---- how sure


@pytest.mark.slow
def test_how_sure_is_said_after_eight_pours(sure, bench):
    sure.ask()
    assert sure.wait(LONG).startswith("Sound in 0 of 8: it has its hole whatever the data.")
    bench.set(feeder_width=0.044, feeder_height=0.06)
    sure.ask()
    assert sure.wait(LONG).startswith("Sound in 8 of 8.")


@pytest.mark.parametrize("sound, words", [
    (8, "Sound in 8 of 8."), (7, "Sound in 7 of 8."), (6, "Sound in 6 of 8: marginal."),
    (4, "Sound in 4 of 8: marginal."), (2, "Sound in 2 of 8: marginal."),
    (1, "Sound in 1 of 8: nearly sure to fail."), (0, "Sound in 0 of 8: it has its hole")])
def test_how_sure_in_words(sound, words):
    assert in_words([SOUND] * sound + [HOLE] * (8 - sound)).startswith(words)


def test_what_tips_it_is_named():
    outcomes = [HOLE if ends[2] > 0 else SOUND for ends in EIGHT]
    assert "What tips it most is contraction: high makes the hole." in in_words(outcomes)


def test_one_of_the_eight_that_cannot_be_cast_is_told():
    assert "cannot be cast: no room" in in_words([SOUND] * 7 + [REFUSED.outcome])
