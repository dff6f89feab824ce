"""Lesson 9: sponge is computed, gas is a rule beside it; tasks take right answers and refuse slips."""

import dataclasses
import math
import re

import numpy as np
import pytest
from cases import share_solid
from hint_reader import WALKS, walk
from lesson_tests import prose_of
from shares import every

from castlab.field.sponge import last_fed_fraction, resistance_of_mush
from castlab.materials import alloy
from castlab.rules import gas
from castlab.teach.lessons import sponge_and_gas as lesson
from castlab.units import INCH_POUND, METRIC

# ---- what is computed and what is a rule


@pytest.mark.slow
def test_rule_and_computation_share_one_number_without_a_unit(bench):
    """A field that is known: 300 K/m and 1 K/s everywhere. The rule's Ny* must give the field's answer."""
    run = bench.solve(thickness=0.012).run
    metal, grid = run.setup.alloy, run.grid
    places = np.unravel_index(run.metal_cells, grid.shape)
    x, height = grid.centres[0][places[0]], grid.centres[1][places[1]]
    times = np.linspace(0.0, 500.0, 1001)
    temp = metal.liquidus_c + 150.0 - 300.0 * (x - x.min())[None, :] - 1.0 * times[:, None]
    known = dataclasses.replace(run, times_s=times, temp_c=temp, solid=share_solid(metal, temp))
    fed = last_fed_fraction(known)
    fractions, resistance = resistance_of_mush(metal)
    for cell in np.flatnonzero((x > 0.05) & (x < 0.1))[::7]:
        head = metal.density_liquid * 9.80665 * (grid.layout.high[1] - height[cell])
        number = gas.dimensionless_niyama(300.0, 1.0, metal, gas.STANDARD_PRESSURE + head)
        by_rule = np.interp(number**2, resistance, fractions)
        assert 0.5 < by_rule < 0.95  # above, what is unfed is too little to be shown
        assert fed[cell] == pytest.approx(by_rule, abs=2e-3)


@pytest.mark.slow
def test_the_faces_show_as_much_as_rule_and_field_say(bench, monkeypatch):
    """The shares that are handed to the drawing; that it shows them is tested where it is drawn."""
    shown = {}
    monkeypatch.setattr(lesson.lens, "pores", lambda share: shown.update(gas=share) or ())
    monkeypatch.setattr(lesson.lens, "crannies", lambda *amounts: shown.update(sponge=amounts) or ())
    bronze = bench.solve()
    assert "no figures for this metal" in lesson.faces({}, bronze, METRIC) and "gas" not in shown
    share, arms = shown.pop("sponge")
    whole = lesson.sponge_m3(bronze) / bronze.account.casting_m3
    assert whole < share < 0.1 and arms == lesson.mush_of(bronze).arms  # denser than on the mean
    damp = bench.solve(alloy="A356", pour_temp_c=700.0, damp=10.0)
    assert "Shrinkage: no sponge" in lesson.faces({}, damp, METRIC)
    assert shown == {"gas": lesson.gas_share(damp.setup)}


@pytest.mark.slow
def test_a_gassy_melt_gets_no_mark_that_says_sound(bench):
    dry, damp = (bench.solve(alloy="A356", pour_temp_c=700.0, damp=each) for each in (0.5, 10.0))
    assert damp.sound and lesson.verdict(damp) is None
    assert lesson.verdict(bench.solve()) == bench.solve().verdict != "sound"
    little = lesson.gas_share(dry.setup) <= lesson.SOUND_BELOW
    assert dry.sound and (lesson.verdict(dry) == "sound") == little


def test_what_is_read_in_the_middle_of_the_plate_is_read_there(bench):
    result = bench.result
    grid, places = result.run.grid, np.unravel_index(result.run.metal_cells, result.run.grid.shape)
    assert lesson.at_middle(result.run, grid.centres[0][places[0]]) == pytest.approx(0.090, abs=2e-3)
    assert lesson.at_middle(result.run, grid.centres[1][places[1]]) == pytest.approx(0.0, abs=1e-4)
    mush = lesson.mush_of(result)
    assert mush.niyama == pytest.approx(mush.gradient / math.sqrt(mush.rate))
    # From the first crystal to the last drop it cools by its freezing range, at some mean rate.
    assert 0.2 * mush.rate < result.setup.alloy.freezing_range / mush.freezing_time < 5.0 * mush.rate


@pytest.mark.slow
def test_two_ways_to_the_arm_spacing_agree_as_far_as_the_rate_is_even(bench):
    for name in ("tin bronze", "A356", "sterling silver"):
        mush = lesson.mush_of(bench.set(alloy=name).result)
        assert mush.rule_arms == pytest.approx(mush.arms, rel=0.35)


@pytest.mark.slow
def test_gas_is_never_put_into_the_account(bench):
    bench.set(alloy="A356")
    dry, damp = (bench.solve(damp=each) for each in (0.5, 10.0))
    assert lesson.gas_share(damp.setup) > 3.0 * lesson.gas_share(dry.setup)
    assert damp.account.paid_m3 == dry.account.paid_m3
    said = [lesson.sentence(each, METRIC) for each in (dry, damp)]
    assert said[0] != said[1] and "Gas is not computed" in said[1]
    assert damp.labels(METRIC) == dry.labels(METRIC)


@pytest.mark.slow
def test_hotter_and_damper_melts_hold_more(bench):
    bench.set(alloy="A356")
    cold, hot = (bench.solve(pour_temp_c=each) for each in (680.0, 750.0))
    assert lesson.hydrogen(hot.setup) > lesson.hydrogen(cold.setup)
    by_law = 10 ** (2.72 - 2700 / (750 + 20 + 273.15)) * math.sqrt(0.01)  # ml in 100 g, by hand
    assert lesson.gas_words(lesson.hydrogen(hot.setup)) == f"{by_law:.2f} ml in 100 g"


@pytest.mark.parametrize("name, words", every(3, [
    ("fine silver", "freezes as a skin"), ("pure zinc", "freezes as a skin"),
    ("grey iron", "grows as it freezes"), ("carbon steel", "no sponge"), ("Al-12Si", "all is solid"),
]))
@pytest.mark.slow
def test_other_metals_are_spoken_for(bench, name, words):
    shown = " ".join(value for _, value in bench.set(alloy=name).numbers)
    assert words in shown


def test_inches(bench):
    """1 K/mm is 45.72 degrees F an inch."""
    assert lesson.gradient_words(1000.0, METRIC) == "1.0 K/mm"
    assert lesson.gradient_words(1000.0, INCH_POUND) == "46 °F/in"
    assert lesson.rate_words(1.0, INCH_POUND) == "1.8 °F/s"


def test_niyama_s_value_is_said_as_thresholds_are_printed(bench):
    """1 K^0.5 min^0.5 / cm is 60^0.5 / 10 = 0.775 (K s)^0.5 / mm; also where all else is in inches."""
    assert lesson.niyama_words(100.0 * 60.0**0.5) == "0.77 (K s)^½/mm"
    shown = dict(lesson.numbers(bench.result, INCH_POUND))
    assert shown["by the rule, Niyama's value"].endswith("(K s)^½/mm")
    assert shown["computed gradient in the middle of the plate"].split(" at ")[0].endswith("°F/in")


# ---- the question


def test_tin_bronze_has_sponge_though_its_feeder_is_large_enough():
    _, question = lesson.begin()
    for wrong in ("none", "boss", "gate"):
        found = question.answer(wrong)
        assert not found.right and "between the crystals" in found.why and "You expected" in found.why
        question.again()
    assert question.answer("sponge").right


@pytest.mark.parametrize("change, key", every(3, [
    ({"alloy": "ZA-12"}, "none"), ({"alloy": "fine silver"}, "none"), ({"alloy": "pure aluminium"}, "none"),
    ({"feeder_width": 0.0}, "boss"), ({"alloy": "sterling silver"}, "sponge"),
]))
@pytest.mark.slow
def test_other_castings_have_other_answers(bench, change, key):
    """Skin formers are sound in the same mould; without a feeder the hole is in the boss."""
    result = bench.set(**change).result
    assert lesson.judge_bronze(result, METRIC)[0] == key


# ---- tasks


@pytest.mark.slow
def test_a_larger_feeder_leaves_the_sponge_as_it_is(bench):
    task = lesson.task_feeder(bench)
    assert task.check("same").right
    slips = {"gone": "does not arrive", "half": "not what is missing", "more": "feeds itself"}
    for wrong, words in slips.items():
        found = task.check(wrong)
        assert not found.right and words in found.why


@pytest.mark.slow
def test_a_die_raises_niyamas_value_and_leaves_the_sponge(bench):
    task = lesson.task_die(bench)
    found = task.check("still")
    assert found.right and "K s" in found.why
    slips = {"out": "how narrow", "falls": "gradient stands above", "same": "draws the heat"}
    for wrong, words in slips.items():
        found = task.check(wrong)
        assert not found.right and words in found.why


@pytest.mark.slow
def test_where_the_sponge_is_as_the_answers_say(bench):
    """Near the boss sand has none and the die has some; a thick plate has less at both ends."""

    def along(result, low, high):
        x, share = result.run.grid.centres[0], result.account.void_of["sponge"].sum(axis=1)
        return share[(x > low) & (x < high)].sum() / result.setup.layout.block("plate").high[1]

    changes = {}, {"mould": "cast-iron die"}, {"thickness": 0.012}
    sand, die, thick = (bench.solve(**each) for each in changes)
    assert along(die, 0.14, 0.18) > 5.0 * along(sand, 0.14, 0.18)
    assert along(thick, 0.0, 0.03) < 0.5 * along(sand, 0.0, 0.03)
    assert along(thick, 0.12, 0.18) < 0.5 * along(sand, 0.12, 0.18)
    assert lesson.mush_of(sand).fed < lesson.mush_of(thick).fed < 0.95  # better, and by far not to the end


@pytest.mark.slow
@pytest.mark.parametrize("units", [METRIC, INCH_POUND])
def test_the_answer_of_the_pores_stands_nowhere_on_the_bench(bench, units):
    for damp in (1.0, 5.0, 10.0):
        result = bench.set(alloy="A356", damp=damp).solve()
        shown = " ".join((lesson.sentence(result, units), *map(" ".join, lesson.numbers(result, units))))
        told = [float(number) for number in re.findall(r"([\d.]+) %", shown)]
        assert "gas pores at most" in shown
        assert not [each for each in told if lesson.task_pores(bench).check(each).right], shown


@pytest.mark.slow
def test_sound_with_many_gas_pores_is_sound_as_to_shrinkage_only(bench):
    """A thousandth of a casting in holes of shrinkage is no longer sound: so in holes of gas."""
    wet, dry = (bench.set(alloy="A356", damp=damp).solve() for damp in (10.0, 1.0))
    assert lesson.gas_share(wet.setup) > 0.02 and lesson.sentence(wet, METRIC).startswith(
        "Sound as to shrinkage: of")
    assert lesson.gas_share(dry.setup) > 1e-3 and "as to shrinkage" in lesson.sentence(dry, METRIC)
    cold = bench.set(damp=0.5, pour_temp_c=bench.controls["pour_temp_c"].range()[0]).solve()
    assert ("as to shrinkage" in lesson.sentence(cold, METRIC)) == (lesson.gas_share(cold.setup) > 1e-3)


@pytest.mark.slow
def test_pores_on_paper_and_slips_are_named(bench):
    """By hand: A356 at 2.575 g/cm3 and 555 deg C, melt at 735 deg C under a hundredth of an atmosphere."""
    task = lesson.task_pores(bench)
    assert "no aluminium alloy" in task.check(1.0).why
    bench.set(alloy="A356")
    holds = 0.1 * 10 ** (2.72 - 2700 / 1008.15)
    keeps = 10 ** (0.788 - 2080 / 828.15)
    cold = 2.575 * (holds - keeps)  # per cent
    hot = cold * 828.15 / 273.15
    assert task.check(hot).right and task.check(round(hot, 1)).right
    slips = {2.575 * holds * 828.15 / 273.15: "take that off", cold: "hot gas", hot / 100: "Times 100",
             cold * 555 / 273.15: "kelvin", 100 * hot: "for 100 g",
             hot / 2.575: "density"}
    for wrong, words in slips.items():
        found = task.check(wrong)
        assert not found.right and words in found.why, (wrong, found)
    assert not task.check(-1.0).right and not task.check(0.0).right
    bench.set(damp=10.0)  # the solid keeps only 5 % of what the melt holds: less than is forgiven
    holds *= math.sqrt(10.0)
    assert "take that off" in task.check(2.575 * holds * 828.15 / 273.15).why
    assert task.check(2.575 * (holds - keeps) * 828.15 / 273.15).right
    assert task.check(round(2.575 * (round(holds, 2) - round(keeps, 3)) * 828 / 273, 1)).right


def test_both_signs_count(bench):
    task = lesson.task_signs(bench)
    assert task.check("both").right
    assert "freezes last" in task.check("gas").why.split(".")[0]
    assert "smooth round walls" in task.check("shrinkage").why.split(".")[0]
    for wrong in ("gas", "shrinkage", "neither"):
        found = task.check(wrong)
        assert not found.right and "speaks for" in found.why


@pytest.mark.parametrize("change, words", every(3, [
    ({}, "a larger feeder changes neither"),
    ({"alloy": "ZA-12"}, "Another metal"),
    ({"length": 0.060}, "A shorter plate"),
    ({"feeder_width": 0.0}, "another fault than sponge"),
    ({"feeder_width": 0.020}, "larger modulus"),
    ({"feeder_width": 0.056, "feeder_height": 0.080}, "a larger feeder changes neither"),
]))
def test_what_does_not_do_is_refused_with_its_reason(bench, change, words):
    found = lesson.task_sound(bench.set(**change)).check()
    assert not found.right and words in found.why, found


def test_a_thicker_shorter_plate_is_accepted(bench):
    assert lesson.task_sound(bench.set(length=lesson.LONG_PLATE, thickness=0.018)).check().right


@pytest.mark.slow
def test_neither_a_shorter_plate_nor_a_little_thickness_does_it_alone(bench):
    for change in ({"length": lesson.LONG_PLATE}, {"thickness": 0.010}):
        bench.start_again()
        assert not lesson.task_sound(bench.set(**change)).check().right, change


# ---- words


def test_numbers_in_the_prose_are_true():
    said, answers = prose_of(lesson, "lessons"), prose_of(lesson, "answers")
    assert float(re.search(r"tin bronze freezes over (\d+) K", said)[1]) == pytest.approx(
        alloy("tin bronze").freezing_range, abs=5)
    assert float(re.search(r"density of A356 is ([\d.]+) g/cm³", said)[1]) == pytest.approx(
        alloy("A356").density_solid / 1000, abs=0.005)
    assert float(re.search(r"solid at (\d+) °C", said)[1]) == alloy("A356").solidus_c
    assert "gas is not computed" in said.lower()
    holds, keeps = (float(re.search(words + r" ([\d.]+) ml", answers)[1]) for words in ("holds", "keeps"))
    share = float(re.search(r"= ([\d.]+) \\%", answers)[1])
    assert share == pytest.approx(2.575 * (holds - keeps) * 828.15 / 273.15, abs=0.02)


def test_the_sign_words_are_those_of_the_rule():
    assert set(lesson.SEEN) <= set(gas.SIGNS)


@pytest.mark.parametrize("seed, look", WALKS)
def test_hints_lead_to_a_sound_plate(bench, seed, look):
    walk(lesson.task_sound(bench), seed, look, ("thickness", "length", "feeder_width", "feeder_height"))


@pytest.mark.parametrize("seed, look", WALKS)
def test_hints_lead_to_pores_that_can_be_worked_out(bench, seed, look):
    def on_paper(bench):
        setup = bench.setup()
        return 100.0 * lesson.gas_share(setup) if setup.alloy.family == "aluminium" else 0.0

    walk(lesson.task_pores(bench), seed, look, ("alloy", "damp"), answer=on_paper)
