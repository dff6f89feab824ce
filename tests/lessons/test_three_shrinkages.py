"""Lesson 2: rule and field ask for the same; tasks refuse likely wrong answers and say why; true prose."""

from types import SimpleNamespace

import pytest
from hint_reader import WALKS, walk
from lesson_tests import prose_of
from shares import every

from castlab.materials import alloy, alloy_names, values
from castlab.rules import contraction
from castlab.teach.lessons import three_shrinkages as lesson
from castlab.units import INCH_POUND, METRIC

# From the drawing, in cm3: plate 120 x 12 x 40, boss 40 x 40 x 40, gate 12 x 4 x 20, sprue 12 x 56 x 12 mm.
CASTING = 12 * 1.2 * 4 + 4 * 4 * 4
ALL_METAL = CASTING + 1.2 * 0.4 * 2 + 1.2 * 5.6 * 1.2


def test_volumes_are_those_of_the_drawing(bench):
    result = bench.solve()
    assert sum(lesson.volumes(result.setup.layout).values()) == pytest.approx(ALL_METAL * 1e-6)
    assert result.block_volume("casting") == pytest.approx(CASTING * 1e-6, rel=1e-3)


@pytest.mark.parametrize("name", every(2, lesson.TABLE))
def test_the_field_asks_for_what_densities_and_drawing_say(bench, name):
    """V (1 - density when poured / density when solid), to 1 %: the field's cells, followed one by one."""
    result = bench.set(alloy=name).solve()
    metal, pour = result.setup.alloy, result.setup.pour_temp_c
    by_rule = ALL_METAL * 1e-6 * (1.0 - metal.liquid_density(pour) / metal.density_solid)
    assert result.account.asked_m3 == pytest.approx(by_rule, rel=0.01)
    found = lesson.all_metal(result.setup)
    assert found.asked == pytest.approx(by_rule)
    assert found.freezing == pytest.approx(ALL_METAL * 1e-6 * metal.freezing_contraction)


@pytest.mark.parametrize("name", ["A356", "ZA-12", "fine silver", "grey iron"])
def test_the_cooling_line_loses_what_the_rules_say(bench, name, monkeypatch):
    """From 100 % of the mould: the liquid, then freezing, and last the cube of the pattern's scale."""
    monkeypatch.setattr(lesson.curve, "drawing", lambda curve: curve)
    metal = alloy(name)
    hot = bench.setup(alloy=name, pour_temp_c=metal.pour_range_c[1], mould="dry silica sand")
    result = SimpleNamespace(setup=hot)
    liquid, freezing, solid = (line.points for line in lesson.cooling_line({}, result, METRIC).lines)
    assert liquid[0] == (metal.pour_range_c[1], 100.0) and solid[-1][0] == 20.0
    assert liquid[-1] == pytest.approx(freezing[0]) and freezing[-1] == pytest.approx(solid[0])
    to_feed = contraction.volume_to_feed(1.0, metal, metal.pour_range_c[1])
    assert solid[0] == pytest.approx((metal.solidus_c, 100.0 * (1.0 - to_feed)))
    assert solid[-1][1] == pytest.approx(solid[0][1] / contraction.pattern_scale(metal) ** 3)
    assert (freezing[-1][1] > freezing[0][1]) == (name == "grey iron")


def test_only_grey_iron_grows():
    growing = [name for name in alloy_names()
               if lesson.by_hand(1.0, alloy(name), alloy(name).liquidus_c).freezing < 0.0]
    assert growing == ["grey iron"]


def test_hotter_moves_only_the_first_of_the_three(bench):
    low, _, high = bench.controls["pour_temp_c"].range()
    cold, hot = (lesson.all_metal(bench.setup(pour_temp_c=temp)) for temp in (low, high))
    assert hot.liquid > 2.0 * cold.liquid
    assert (hot.freezing, hot.pattern) == (cold.freezing, cold.pattern)


def test_the_hole_is_less_than_the_rule_says_because_others_pay(bench):
    result = bench.solve()
    paid = result.account.paid_m3
    own = contraction.volume_to_feed(CASTING * 1e-6, result.setup.alloy, result.setup.pour_temp_c)
    assert result.casting_paid_m3 < own
    outside = paid["pour"] + paid["gate"]
    assert result.casting_paid_m3 + outside == pytest.approx(result.account.asked_m3, rel=0.01)
    words = dict(bench.numbers)
    assert words["hole in the casting"].startswith(
        f"rule {METRIC.volume(own)}, field {METRIC.volume(result.casting_paid_m3)}, rule ")
    assert words["1 and 2 asked for"].endswith("the same")


def test_a_feeder_takes_the_hole_out_and_is_itself_asked(bench):
    without, with_feeder = bench.solve(), bench.solve(feeder_width=0.048)
    assert with_feeder.sound and with_feeder.account.asked_m3 > 1.5 * without.account.asked_m3
    assert lesson.all_metal(with_feeder.setup).pattern == lesson.all_metal(without.setup).pattern


def test_grey_iron_poured_cold_is_shown_without_a_pipe(bench):
    """A metal that asks for less than nothing: no label for a pipe that is not there."""
    bench.set(alloy="grey iron", pour_temp_c=1290.0)
    assert bench.alert == "" and bench.result.account.asked_m3 < 0.0
    numbers = dict(bench.numbers)
    assert "grows" in bench.sentence and "grows by" in numbers["2 freezing contraction"]
    assert numbers["1 and 2 asked for"].startswith("nothing; it grows by") and "-" not in numbers[
        "1 and 2 asked for"]


# ---- the question and the tasks


def test_both_contractions_of_metal_that_flows_make_the_hole():
    bench, question = lesson.begin()
    for wrong in ("liquid", "freezing", "all", "solid"):
        found = question.answer(wrong)
        assert not found.right
        assert "You expected" in found.why and "the whole casting becomes smaller" in found.why
        question.again()
    assert question.answer("both").right
    assert METRIC.volume(bench.solve().account.asked_m3) in question.verdict_text


@pytest.mark.slow
def test_thin_parts_do_not_shrink_more(bench):
    task = lesson.task_thin(bench)
    assert task.check("same").right
    for wrong in ("thin", "thick"):
        found = task.check(wrong)
        assert not found.right and "freezes sooner" in found.why


def pattern_of_the_plate():
    """By hand, in mm: 120 finished, 2 cut off at each end, 27e-6 per K from 381 to 20 deg C."""
    return (120 + 2 + 2) * (1 + 27e-6 * (381 - 20))


def test_the_pattern_and_the_slips(bench):
    task, scale = lesson.task_pattern(bench), 1 + 27e-6 * (381 - 20)
    right = pattern_of_the_plate()
    assert task.check(right).right and task.check(round(right, 1)).right
    slips = {120 * scale: "left out the machining", 124.0: "left out the contraction",
             124 / scale: "wrong way", 122 * scale: "Both ends", 124 * (1 + 3 * (scale - 1)): "in volume",
             124 * 1.047: "freezing contraction", 120.0: "finished plate"}
    for wrong, words in slips.items():
        found = task.check(wrong)
        assert not found.right and words in found.why, (wrong, found)
    assert "First add" in task.check(500.0).why and not task.check(-1.0).right


def test_the_pattern_in_inches(bench):
    bench.speak(INCH_POUND)
    task = lesson.task_pattern(bench)
    found = task.check(round(pattern_of_the_plate() / 25.4, 3))
    assert found.right and " in" in found.why and " mm" not in found.why
    assert "machining" in task.check(4.724 * (1 + 27e-6 * 361)).why


def test_the_pattern_follows_the_alloy(bench):
    """A356: 25e-6 per K from 555 to 20 deg C."""
    task = lesson.task_pattern(bench.set(alloy="A356"))
    assert task.check(124 * (1 + 25e-6 * (555 - 20))).right
    assert not task.check(pattern_of_the_plate()).right


@pytest.mark.slow
def test_a_larger_pattern_does_not_pay_for_the_hole(bench):
    task = lesson.task_larger(bench)
    assert task.check("larger").right
    for wrong in ("gone", "smaller"):
        found = task.check(wrong)
        assert not found.right and "only liquid that flows in" in found.why
    bench.set(feeder_width=0.048)
    assert "has no hole" in task.check("larger").why


def test_the_larger_casting_is_larger_all_over(bench):
    now, larger = bench.solve().setup.layout, lesson.eye_plate_setup(bench.values, scale=1.05).layout
    for name in ("plate", "boss", "gate"):
        before, after = now.block(name), larger.block(name)
        assert after.high[1] - after.low[1] == pytest.approx(1.05 * (before.high[1] - before.low[1]))
    for name in ("plate", "boss"):
        assert lesson.volumes(larger)[name] == pytest.approx(1.05**3 * lesson.volumes(now)[name])


@pytest.mark.slow
@pytest.mark.parametrize("name, pour, words", [
    ("ZA-12", 450, "Look for a metal that grows"),
    ("A356", 750, "Look for a metal that grows"),
    ("grey iron", 1400, "Pour colder"),
    ("grey iron", 1345, "Pour colder"),
])
def test_metals_that_ask_for_something(bench, name, pour, words):
    found = lesson.task_nothing(bench.set(alloy=name, pour_temp_c=pour)).check()
    assert not found.right and words in found.why


def test_a_metal_that_asks_for_nothing(bench):
    """Grey iron, by its densities: in 90 K the liquid loses 1.2 %, and freezing gives back 1.5 %."""
    found = lesson.task_nothing(bench.set(alloy="grey iron", pour_temp_c=1290)).check()
    assert found.right and "walls of this model are stiff" in found.why


# ---- the table and the prose


def test_the_table_holds_the_alloys_data(capsys):
    lesson.print_table()
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 1 + len(lesson.TABLE)
    for line, name in zip(lines[1:], lesson.TABLE, strict=True):
        metal = alloy(name)
        numbers = [float(part) for part in line[14:].replace("%", "").split()]
        longer = metal.solid_expansion * (metal.solidus_c - 20)
        expected = [metal.liquid_contraction * 100, metal.freezing_contraction, longer]
        assert line.startswith(name)
        assert numbers == pytest.approx([100 * each for each in expected], abs=0.06)


def test_numbers_in_the_prose_are_true(bench):
    words, answers = prose_of(lesson, "lessons"), prose_of(lesson, "answers")
    result = bench.solve()
    paid = result.account.paid_m3
    own = contraction.volume_to_feed(CASTING * 1e-6, result.setup.alloy, result.setup.pour_temp_c)
    assert f"the rule says {1e6 * own:.1f} cm³ and the field {1e6 * result.casting_paid_m3:.1f}" in words
    assert f"pour and gate pay {1e6 * (paid['pour'] + paid['gate']):.1f} cm³" in words
    spread = next(each for each in values("ZA-12") if each.quantity == "freezing_contraction")
    low, value, high = (f"{100 * each:.1f}" for each in (spread.low, spread.value, spread.high))
    assert f"contraction of {value} % may be {low} or {high}" in words
    assert alloy("A356").freezing_contraction > alloy("ZA-12").freezing_contraction
    zinc = alloy("ZA-12")
    by_hand = rf"$1 + 27 \cdot 10^{{-6}} \cdot (381 - 20) = {1 + 27e-6 * (381 - 20):.4f}$"
    assert by_hand in words and (zinc.solid_expansion, zinc.solidus_c) == pytest.approx((27e-6, 381))
    named = {name for name, _ in lesson.numbers(result, METRIC)}
    assert {"1 and 2 asked for", "3 solid contraction"} < named
    assert "*1 and 2 asked for* and *3 solid contraction*" in words
    longest = max(lesson.TABLE, key=lambda name: contraction.pattern_scale(alloy(name)))
    assert longest == "fine silver" and "silver needs the largest pattern of these" in words
    assert f"is {pattern_of_the_plate():.1f} mm" in answers and "$1.05^3 = 1.16$" in answers


@pytest.mark.parametrize("seed, look", WALKS)
def test_hints_lead_to_a_metal_that_asks_for_nothing(bench, seed, look):
    """The table above the task has one alloy with a minus sign."""
    grows = {"a metal that grows": lambda bench: bench.set(alloy="grey iron")}
    walk(lesson.task_nothing(bench), seed, look, ("alloy", "pour_temp_c"), grows)
