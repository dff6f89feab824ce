"""Lesson 5 against the computed casting: tasks take the right answer, refuse likely wrong ones, say why."""

import re
from dataclasses import replace

import pytest
from hint_reader import WALKS, walk
from lesson_tests import at_first, prose_of
from shares import every

from castlab.field.outcome import FULL
from castlab.field.shrinkage import SOUND_BELOW
from castlab.rules.contraction import volume_to_feed
from castlab.teach.bench.casting import solve_casting
from castlab.teach.lessons import feeders as lesson
from castlab.units import INCH_POUND, METRIC

# By hand: a boss of 40 mm joined by a plate of 8 x 40 mm, 1.2 times its modulus, M = 1.5 W^3 / 7 W^2
BOSS_MM = 40**3 / (6 * 40**2 - 8 * 40)
BY_MODULUS_MM = 7 / 1.5 * 1.2 * BOSS_MM
CASTING_CM3 = (40**3 + 120 * 40 * 8) / 1e3


@pytest.fixture(scope="module")
def caps():
    return lesson.begin_cap()


@pytest.fixture
def cap(caps):
    return at_first(caps[0])


# ---- where it stands


def test_where_there_is_room_the_feeder_stays_liquid_and_the_boss_has_the_hole():
    bench, question = lesson.begin()
    for wrong in ("none", "plate"):
        found = question.answer(wrong)
        assert not found.right and "in the boss" in found.why and "You expected" in found.why
        question.again()
    assert question.answer("boss").right
    froze = bench.result.account.froze_s
    assert froze["feeder"] > froze["boss"] > froze["plate"]


def test_the_same_feeder_on_or_beside_the_boss_is_sound(bench):
    for place in (lesson.BOSS, lesson.BESIDE):
        result = bench.solve(feeder_place=place)
        assert result.sound and lesson.judge_eye_plate(result, METRIC)[0] == "none"


@pytest.mark.slow
def test_the_feeder_on_the_plate_has_its_top_level_with_the_sprue(bench):
    for changes in ({}, {"neck_width": 0.02}, {"feeder_top": "blind", "sleeve_thickness": 0.016}):
        there, here = (bench.solve(feeder_place=place, **changes).setup.layout
                       for place in (lesson.BOSS, lesson.PLATE))
        feeder, plate = here.block("feeder"), here.block("plate")
        assert feeder.high[1] == there.block("feeder").high[1]
        assert 0.5 * (feeder.low[0] + feeder.high[0]) == pytest.approx(0.5 * (plate.low[0] + plate.high[0]))
        foot = here.block("neck") if changes.get("neck_width") else feeder
        assert foot.low[1] == pytest.approx(plate.high[1])
        sleeves = [block for block in here.blocks if block.role == "sleeve"]
        assert all(block.low[1] == pytest.approx(feeder.high[1] if "top" in block.name else feeder.low[1])
                   for block in sleeves)


@pytest.mark.slow
@pytest.mark.parametrize("thick", [0.004, 0.016])
def test_a_feeder_beside_the_boss_may_have_a_sleeve(bench, thick):
    """Its neck passes under the sleeve, which lets a smaller one do."""
    sizes = {"feeder_place": lesson.BESIDE, "feeder_width": 0.026}
    sleeved = bench.solve(sleeve_thickness=thick, **sizes)
    layout, bare = sleeved.setup.layout, bench.solve(**sizes)
    neck, sleeve = layout.block("neck"), layout.block("sleeve left")
    assert sleeve.low[1] == neck.high[1] and sleeve.high[0] == layout.block("feeder").low[0]
    assert sleeved.middle_time("feeder") > bare.middle_time("feeder")
    assert sleeved.casting_paid_m3 < bare.casting_paid_m3


@pytest.mark.slow
def test_a_blind_feeder_needs_to_be_larger(bench):
    sizes = {"feeder_place": lesson.BOSS, "feeder_width": 0.026}
    assert bench.solve(**sizes).sound and not bench.solve(feeder_top="blind", **sizes).sound
    assert bench.solve(feeder_place=lesson.BOSS, feeder_width=0.034, feeder_top="blind").sound


# ---- the rule


def test_the_rule_on_the_bench_is_that_of_the_drawing(bench):
    result = bench.solve(feeder_place=lesson.BOSS)
    assert lesson.boss_modulus(result.setup.layout) == pytest.approx(BOSS_MM / 1e3)
    by_modulus, by_volume = lesson.rule_widths(result)
    assert by_modulus == pytest.approx(BY_MODULUS_MM / 1e3)
    loss = volume_to_feed(1.0, result.setup.alloy, result.setup.pour_temp_c)
    assert by_volume == pytest.approx((CASTING_CM3 * 1e-6 * loss / (0.14 - loss) / 1.5) ** (1 / 3), rel=0.01)
    has = lesson.feeder_modulus(result.setup.layout)
    assert has == pytest.approx(40**2 * 60 / (40**2 + 4 * 40 * 60) / 1e3)
    necked = bench.solve(feeder_place=lesson.BOSS, neck_width=0.02)
    has = lesson.feeder_modulus(necked.setup.layout)
    assert has == pytest.approx(40**2 * 60 / (2 * 40**2 + 4 * 40 * 60 - 20**2) / 1e3)


def test_the_width_by_hand_is_checked_first_and_slips_are_named(bench):
    task = lesson.task_rule(bench)
    by_volume = 1e3 * lesson.rule_widths(bench.solve())[1]
    slips = {by_volume: "modulus large enough", BY_MODULUS_MM / 1.2: "modulus of the boss",
             48.0: "1.2 times the width", 40.0: "That is the width of the boss",
             BY_MODULUS_MM * 8 / 7: "all six faces", 5 * 1.2 * BOSS_MM: "as high as wide",
             1.2 * BOSS_MM: "modulus of the feeder"}
    for wrong, words in slips.items():
        found = task.check(wrong)
        assert not found.right and words in found.why, (wrong, found)
    assert not task.check(100.0).right and not task.check(-1.0).right
    right = task.check(BY_MODULUS_MM)
    assert not right.right and "The width is right" in right.why and lesson.BOSS in right.why


@pytest.mark.slow
def test_then_the_bench_must_stand_at_its_narrowest(bench):
    task = lesson.task_rule(bench)
    bench.set(feeder_place=lesson.BOSS, feeder_width=0.038)
    assert "a little narrower" in task.check(BY_MODULUS_MM).why
    assert "without neck" in lesson.task_rule(bench.set(neck_width=0.03)).check(BY_MODULUS_MM).why
    bench.set(neck_width=0.0, feeder_width=0.022)
    assert "not sound" in task.check(BY_MODULUS_MM).why
    bench.set(feeder_width=0.026)
    assert task.check(BY_MODULUS_MM).right
    bench.speak(INCH_POUND)
    try:
        assert task.check(BY_MODULUS_MM / 25.4).right and not task.check(BY_MODULUS_MM).right
    finally:
        bench.speak(METRIC)


def narrowest(bench, does=lambda result: result.sound, **changes):
    steps = [round(0.020 + 0.002 * n, 3) for n in range(12)]
    return next(width for width in steps
                if does(bench.solve(feeder_place=lesson.BOSS, feeder_width=width, **changes)))


def full(result):
    """Nothing to speak of is drawn out of it; sponge far out in the plate is no matter of a feeder's size."""
    account = result.account
    return account.defect_m3 - account.paid_m3["sponge"] < SOUND_BELOW * account.casting_m3


@pytest.mark.slow
def test_steel_asks_for_what_the_rule_asks_and_zinc_for_less(bench):
    """By Chvorinov bodies of equal modulus freeze together, where the metal conducts badly. The feeder fills
    last, with the coolest metal, and its top is open: the field, which does not know the rule, asks for some
    of the margin that the rule puts on top, and not for more."""
    own = BY_MODULUS_MM / 1.2
    zinc = narrowest(bench, full)
    bench.set(alloy="carbon steel")
    steel = narrowest(bench, full)
    assert own < 1e3 * steel < BY_MODULUS_MM and 1e3 * zinc < own - 4.0
    bench.set(alloy="Zn-4Al")
    bench.set(feeder_place=lesson.BOSS, feeder_width=narrowest(bench))
    found = lesson.task_rule(bench).check(BY_MODULUS_MM)
    assert found.right and ("asks for less still" in found.why) == (bench.values["feeder_width"] < own / 1e3)
    assert METRIC.length(own / 1e3, 2) in found.why


@pytest.mark.slow
def test_the_margin_is_there_because_the_metal_conducts_well(bench):
    """What the check says about ZA-12: conducting as badly as steel, it needs more than it does."""
    setup = bench.solve(feeder_place=lesson.BOSS, feeder_width=narrowest(bench)).setup
    bad = replace(setup.alloy, conductivity_solid=15.0, conductivity_liquid=15.0)
    assert solve_casting(setup).sound and not solve_casting(replace(setup, alloy=bad)).sound


# ---- neck and metal


@pytest.mark.parametrize("sizes, words", every(3, [
    ({}, "no neck yet"),
    ({"feeder_place": lesson.BESIDE, "neck_width": 0.002}, "full of crystals"),
    ({"neck_width": 0.002, "alloy": "pure aluminium"}, "the neck freezes first"),
    ({"neck_width": 0.032}, "by hand the neck is 30.3 mm"),
    ({"neck_width": 0.020, "feeder_width": 0.022}, "larger modulus"),
    ({"neck_width": 0.026, "feeder_place": lesson.PLATE}, "feeder place to on the boss"),
    ({"neck_width": 0.026, "feeder_width": 0.0}, "no feeder yet"),
]))
def test_a_neck_that_does_not_do_is_refused_with_its_reason(bench, sizes, words):
    found = lesson.task_neck(bench.set(**{"feeder_place": lesson.BOSS} | sizes)).check()
    assert not found.right and words in found.why


@pytest.mark.parametrize("place", [lesson.BOSS, lesson.BESIDE])
def test_a_narrower_neck_that_stays_open_is_accepted(bench, place):
    found = lesson.task_neck(bench.set(feeder_place=place, neck_width=0.028)).check()
    assert found.right and "Sound" in found.why
    assert f"By hand the neck is {4 * 1.1 * BOSS_MM:.1f} mm" in found.why
    assert 28 < 4 * 1.1 * BOSS_MM  # narrower than the square bar of 1.1 times the modulus


@pytest.mark.parametrize("width, height, sleeve, words", every(3, [
    (0.0, 0.06, 0.0, "no feeder"),
    (0.040, 0.06, 0.0, "but only"),
    (0.026, 0.02, 0.0, "What keeps its heat"),
    (0.022, 0.03, 0.0, "larger modulus"),
    (0.016, 0.02, 0.008, "is empty"),
    (0.020, 0.02, 0.0, "is empty"),
]))
def test_a_feeder_of_too_much_or_too_little_metal_is_refused(bench, width, height, sleeve, words):
    bench.set(feeder_place=lesson.BOSS, feeder_width=width, feeder_height=height, sleeve_thickness=sleeve)
    found = lesson.task_metal(bench).check()
    assert not found.right and words in found.why


def test_a_feeder_where_there_is_room_is_refused(bench):
    assert "feeder place to on the boss" in lesson.task_metal(bench).check().why


@pytest.mark.slow
def test_in_a_sleeve_little_metal_is_enough_and_without_it_is_not(bench):
    sizes = {"feeder_place": lesson.BOSS, "feeder_width": 0.020, "feeder_height": 0.02}
    found = lesson.task_metal(bench.set(sleeve_thickness=0.008, **sizes)).check()
    name, share = bench.numbers[-1]
    assert name == "yield" and share.split(" of")[0] in found.why
    assert found.right and not bench.solve(sleeve_thickness=0.0).sound
    volumes = {block.name: block.depth * (block.high[0] - block.low[0]) * (block.high[1] - block.low[1])
               for block in bench.result.setup.layout.blocks if block.is_metal}
    share = (volumes["plate"] + volumes["boss"]) / sum(volumes.values())
    assert share >= lesson.YIELD_WANTED  # by the drawing, not by the cells


# ---- the cap


@pytest.mark.slow
def test_the_pipe_in_the_feeder_is_harmless():
    cap, question = lesson.begin_cap()
    for wrong in ("none", "scrap", "casting"):
        found = question.answer(wrong)
        assert not found.right and "no harm" in found.why
        question.again()
    found = question.answer("feeder")
    assert found.right and "pipe" in found.why
    assert cap.result.account.paid_m3["feeder"] > 0.5 * cap.result.account.asked_m3


@pytest.mark.slow
def test_a_feeder_that_runs_empty_sends_its_pipe_into_the_cap(cap):
    result = cap.solve(feeder_width=0.020)
    assert lesson.judge_cap(result, METRIC)[0] == "casting"
    assert result.account.feeder_emptied > 0.5 and result.account.paid_m3["pipe_into_casting"] > 0.0
    assert lesson.judge_cap(cap.solve(feeder_width=0.0), METRIC)[0] == "casting"
    assert 0.4 < cap.solve(feeder_width=0.028).account.feeder_emptied < 0.5  # still sound: about half


@pytest.mark.slow
def test_volume_governs_on_the_cap_and_the_rule_is_beside_the_field(cap):
    """A wide thin casting is governed by volume (common practice)."""
    words = dict(cap.numbers)
    assert "volume governs" in words["by hand, round feeder without sleeve"]
    said = float(re.match(r"(\d+) mm", words["by hand, round feeder without sleeve"])[1])
    metal, loss = cap.result.block_volume("casting"), lesson.contraction(cap.result.setup)
    assert said == pytest.approx(1e3 * (4 / 3.14159 * metal * loss / (0.14 - loss)) ** (1 / 3), abs=0.6)
    assert cap.solve(feeder_width=0.030).sound and said > 45


@pytest.mark.slow
def test_without_a_feeder_the_rule_has_no_lines(cap):
    assert cap.solve(turn="upside down").sound
    assert not any("by hand" in name for name, _ in cap.set(feeder_width=0.0).numbers)


def test_numbers_in_the_prose_are_true(bench):
    words, answers = prose_of(lesson, "lessons"), prose_of(lesson, "answers")
    result = bench.solve()
    assert f"about {100 * lesson.contraction(result.setup):.1f} % of its volume" in words
    assert f"The casting is {CASTING_CM3:.0f} cm³ ({CASTING_CM3 / 16.387:.1f} in³)" in words
    assert result.block_volume("casting") == pytest.approx(CASTING_CM3 * 1e-6, rel=0.01)
    assert f"= {BY_MODULUS_MM:.1f}$ mm" in answers and f"$M = {BOSS_MM:.1f}$ mm" in answers
    assert f"{1e3 * lesson.rule_widths(result)[1]:.0f}$ mm" in answers
    assert f"{100 * lesson.RULE_GIVES:.0f}$ %" in words
    assert f"{100 * lesson.YIELD_WANTED:.0f} %" in lesson.TASK_METAL
    values = bench.values
    assert "40 mm wide, and its top 60 mm above the boss" in words
    assert (values["feeder_width"], values["feeder_height"]) == (0.040, 0.060)


def by_rule(bench):
    """The width that the rule gives, as a student types it."""
    return bench.units.lengths.shown(max(lesson.rule_widths(bench.solve())))


def as_the_rule_says(bench):
    bench.set(feeder_place=lesson.BOSS, neck_width=0.0, sleeve_thickness=0.0,
              feeder_width=bench.controls["feeder_width"]._on_step(by_rule(bench) / 1e3))


@pytest.mark.slow
def test_a_sleeve_that_makes_the_neck_too_long_is_named_and_a_thinner_one_feeds(bench):
    """Beside the boss the sleeve stands between: 16 mm of it make a neck of 16 mm, and that closes."""
    bench.set(feeder_place=lesson.BESIDE, feeder_width=0.018, feeder_height=0.070, neck_width=0.008,
              sleeve_thickness=0.016)
    assert not bench.result.sound and "so the neck is 16 mm long" in bench.sentence
    words = lesson.task_neck(bench).check().why
    found = re.search(r"its neck is 16 mm long, .* Make the sleeve thinner: at (\d+) mm it feeds\.", words)
    bench.set(sleeve_thickness=float(found[1]) / 1e3)
    assert bench.result.sound and "holds the feeder off" not in bench.sentence


@pytest.mark.parametrize("seed, look", WALKS)
def test_hints_lead_to_the_narrowest_feeder(bench, seed, look):
    """In full looks: a feeder that is only just sound is a hair's breadth for a quick one."""
    first = {"set the feeder on the boss": as_the_rule_says}
    walk(lesson.task_rule(bench), seed, FULL, lesson.FEEDING, first, by_rule)


@pytest.mark.parametrize("seed, look", WALKS)
def test_hints_lead_to_a_narrow_neck(bench, seed, look):
    walk(lesson.task_neck(bench), seed, look, lesson.FEEDING)


@pytest.mark.parametrize("seed, look", WALKS)
def test_hints_lead_to_little_metal(bench, seed, look):
    walk(lesson.task_metal(bench), seed, look, lesson.FEEDING)
