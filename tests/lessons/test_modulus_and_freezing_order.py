"""Lesson 3: tasks take the right answer and refuse likely wrong ones with the reason; the prose is true."""

import math
import re

import pytest
from hint_reader import WALKS, walk
from lesson_tests import prose_of
from shares import every

from castlab.teach.lessons import modulus_and_freezing_order as lesson
from castlab.teach.trust import row_of_shapes
from castlab.teach.trust import rule_beside_field as beside
from castlab.units import INCH_POUND, METRIC

# By hand, in mm: hub 40 across and 36 high, joined to a web of 10; rim 120 and 100 across, 36 high.
HUB = math.pi / 4 * 40**2 * 36 / (2 * math.pi / 4 * 40**2 + math.pi * 40 * (36 - 10))
RIM_AREA = 2 * math.pi / 4 * (120**2 - 100**2) + math.pi * 120 * 36 + math.pi * 100 * (36 - 10)
RIM = math.pi / 4 * (120**2 - 100**2) * 36 / RIM_AREA
CIRCLE = ((5**2 + 10**2) / 10 / 10) ** 2


@pytest.fixture(scope="module")
def shapes():
    bench, _ = lesson.begin_shapes()
    bench.reveal()
    return bench


def test_the_moduli_are_those_of_the_drawing(bench):
    by_module = lesson.moduli(bench.solve().setup.layout)
    assert [1000 * by_module[name] for name in ("rim", "web", "hub")] == pytest.approx([RIM, 5.0, HUB])


def test_the_curve_is_the_rule_and_its_dots_are_the_field(bench, monkeypatch):
    monkeypatch.setattr(lesson.curve, "drawing", lambda curve: curve)
    result = bench.solve()
    drawn = lesson.sheave_curve({}, result, METRIC)
    shown = {dot.words.split()[0]: (dot.across, dot.up) for dot in drawn.dots}
    times, sizes = lesson.times_of(result), lesson.moduli(result.setup.layout)
    assert "[s]" in drawn.up.words
    assert shown == {name: pytest.approx((1000 * sizes[name], times[name])) for name in lesson.SECTIONS}
    plate, ball = (dict(line.points) for line in drawn.lines)
    assert plate[12.0] == pytest.approx(beside.hand_time(0.012, result.setup, "plate"))
    assert 3.5 < plate[12.0] / plate[6.0] < 4.1 and 0.0 < ball[12.0] < plate[12.0]
    assert "rim of modulus 4.3 mm" in drawn.words


def test_the_four_shapes_stand_above_each_other_at_their_one_modulus(shapes, monkeypatch):
    monkeypatch.setattr(lesson.curve, "drawing", lambda curve: curve)
    dots = lesson.shapes_curve({}, shapes.solve(), METRIC).dots
    assert len(dots) == 4 and {dot.across for dot in dots} == {10.0}
    assert len({dot.shape for dot in dots}) == 4


def test_order_by_modulus_and_in_the_field(bench):
    """The moduli from the drawing, 4.3, 5 and 7.8 mm, foretell the order that the field finds."""
    assert RIM < 5.0 < HUB
    result = bench.solve()
    assert lesson.order_of(result) == ["rim", "web", "hub"]
    key, why = lesson.judge_sheave(result, METRIC)
    assert key == "rim first" and "give the same order" in why and "volume over cooling surface" in why


def test_wrong_predictions_are_refused_with_what_was_computed():
    _, question = lesson.begin()
    for wrong in ("together", "web first", "hub early"):
        found = question.answer(wrong)
        assert not found.right and "You expected" in found.why and "moduli" in found.why
        question.again()
    assert question.answer("rim first").right


def test_rule_and_field_stand_side_by_side_with_the_difference(bench):
    result = bench.solve()
    words, times, by_hand = dict(bench.numbers), lesson.times_of(result), lesson.times_by_hand(result.setup)
    for name, size in (("rim", "4.3"), ("web", "5"), ("hub", "7.8")):
        said = words[f"{name}, modulus {size} mm"]
        rule, field = by_hand[name], times[name]
        off = round(100 * (rule / field - 1))
        assert said.startswith(f"rule {METRIC.time(rule)}, field {METRIC.time(field)}")
        assert ("the same" if off == 0 else f"{abs(off)} % {'longer' if off > 0 else 'shorter'}") in said
    assert by_hand["rim"] < 0.9 * times["rim"]
    assert "heat flows into it" in bench.sentence


@pytest.mark.slow
def test_in_a_warm_die_where_no_rule_holds_it_says_so(bench):
    numbers = dict(bench.set(mould="cast-iron die").numbers)
    assert any("no hand rule here" in words for words in numbers.values())


def test_the_picture_has_no_holes(bench):
    result = bench.solve()
    assert result.account.verdict != "sound" and result.account.void.any()
    assert not lesson.scene(result.setup, result, METRIC).section.void.any()


# ---- tasks


def test_the_modulus_of_the_hub_and_the_slips(bench):
    task = lesson.task_hub(bench)
    assert task.check(HUB).right and task.check(round(HUB, 1)).right
    all_faces = math.pi / 4 * 40**2 * 36 / (2 * math.pi / 4 * 40**2 + math.pi * 40 * 36)
    no_ends = math.pi / 4 * 40**2 * 36 / (math.pi * 40 * 26)
    slips = {all_faces: "counted all the surface", 40 / 4: "D / 4", no_ends: "two ends", 40 / 2: "half the",
             HUB / 10: "ten times too small", HUB * 10: "ten times too large", 36 / 2: "the whole side"}
    for wrong, words in slips.items():
        found = task.check(wrong)
        assert not found.right and words in found.why, (wrong, found)
    assert "Volume" in task.check(1000.0).why and not task.check(-1.0).right and not task.check(0.0).right


def test_the_modulus_may_be_given_in_inches(bench):
    bench.speak(INCH_POUND)
    task = lesson.task_hub(bench)
    assert task.check(HUB / 25.4).right and " in" in task.check(HUB / 25.4).why
    assert not task.check(HUB).right


def test_the_circle_in_the_junction_and_the_slips(bench):
    task = lesson.task_junction(bench)
    found = task.check(CIRCLE)
    assert found.right and task.check(1.56).right and "In the field the junction" in found.why
    slips = {math.sqrt(CIRCLE): "diameters", CIRCLE**2: "squared twice", 1 / CIRCLE: "Turned round",
             12.5: "That is D itself", 1.0: "own circle", 2.0: "added", math.sqrt(2): "cross"}
    for wrong, words in slips.items():
        found = task.check(wrong)
        assert not found.right and words in found.why, (wrong, found)
    assert not task.check(50.0).right


def test_the_junction_freezes_late_in_the_field_but_less_than_its_circle_says(bench):
    meeting, arm = lesson.junction_and_arm(bench.solve())
    assert 1.0 < meeting / arm < CIRCLE


@pytest.mark.slow
def test_where_the_formula_of_the_task_ends_it_says_so(bench):
    bench.set(thickness=0.020, rim=0.006)
    task = lesson.task_junction(bench)
    assert task.check((20 / 6) ** 2).right
    assert "The formula ends" in task.check((((10**2 + 6**2) / 6) / 6) ** 2).why


@pytest.mark.parametrize("web, rim, hub", every(8, [
    (0.006, 0.009, 0.040), (0.010, 0.010, 0.040), (0.006, 0.008, 0.040), (0.006, 0.006, 0.040),
    (0.006, 0.012, 0.026), (0.010, 0.014, 0.040), (0.006, 0.020, 0.040), (0.006, 0.012, 0.060),
]))
@pytest.mark.slow
def test_who_follows_the_hints_gets_there(bench, web, rim, hub):
    """Each hint is read as a student reads it, and followed; none may lead back."""
    task, sliders = lesson.task_even(bench), {"web": "thickness", "rim": "rim", "hub": "hub"}
    bench.set(thickness=web, rim=rim, hub=hub)
    found, ratios = task.check(), []
    while not found.right:
        times = [bench.solve().middle_time(name) for name in ("rim", "web")]
        assert all(METRIC.time(time) in found.why for time in times)
        ratios.append(abs(math.log(times[0] / times[1])))
        if "Press “Start again”" in found.why:
            ratios, found = [], bench.start_again() or task.check()
            continue
        name, way, size = re.search(r"Make the (\w+) (\w+): at (\d+) mm", found.why).groups()
        before, after = bench.values[sliders[name]], int(size) / 1000
        assert (after > before) == (way in ("thicker", "larger"))
        found = task.check() if bench.set(**{sliders[name]: after}) else None
    assert ratios == sorted(ratios, reverse=True) and len(ratios) < 8


@pytest.mark.slow
def test_where_no_hint_helps_it_says_so(bench, monkeypatch):
    monkeypatch.setattr(lesson, "one_move", lambda *given: None)
    bench.set(thickness=0.009, rim=0.015, hub=0.060)
    assert "Start again" in lesson.task_even(bench).check().why


def test_even_sections_are_accepted(bench):
    bench.set(thickness=0.006, rim=0.016)
    found = lesson.task_even(bench).check()
    assert found.right and "do away with a last place" in found.why


# ---- one modulus, four shapes


def test_the_ball_is_first_and_the_plate_last(shapes):
    """A ball's heat spreads to all sides, a bar's to two, a plate's not at all."""
    result = shapes.start_again() or shapes.solve()
    assert result.order == ["ball", "cylinder", "bar", "plate"]
    assert lesson.judge_shapes(result, METRIC)[0] == "ball"


@pytest.mark.slow
def test_wrong_predictions_about_shapes():
    _, question = lesson.begin_shapes()
    for wrong in ("together", "plate", "bar", "cylinder"):
        assert not question.answer(wrong).right
        question.again()
    assert question.answer("ball").right


@pytest.mark.slow
@pytest.mark.parametrize("alloy", ["ZA-12", "tin bronze"])
def test_the_row_agrees_with_each_shape_computed_finely(shapes, alloy):
    result = shapes.set(alloy=alloy).solve()
    setup = result.setup
    for shape, time in result.times.items():
        fine = beside.by_field(shape, 0.010, setup.alloy, setup.mould, setup.pour_temp_c)
        assert time == pytest.approx(fine, rel=0.03)


def test_the_row_is_drawn_with_the_sizes_of_one_modulus():
    layout = row_of_shapes.row_layout(0.010)
    sizes = [high - low for block in layout.blocks
             for low, high in zip(block.low[:2], block.high[:2], strict=True)]  # as drawn
    assert sizes == pytest.approx([0.06, 0.02, 0.04, 0.04, 0.04, 0.04, 0.06, 0.06])
    assert row_of_shapes.modulus_of(layout) == pytest.approx(0.010)


def test_the_picture_of_the_row_is_what_was_computed(shapes):
    """Last in the middle of the last shape; early at its edge; nothing between the shapes."""
    result = shapes.set(alloy="ZA-12", mould="green sand").solve()
    section = result.section

    def share(x, y):
        i, j = (int((at - edge[0]) / (edge[1] - edge[0])) for at, edge in
                ((x, section.x_edges), (y, section.y_edges)))
        return section.frozen_share[i, j]

    for block in result.setup.layout.blocks:
        middle = 0.5 * (block.low[0] + block.high[0])
        inside, edge = share(middle, 0.0), share(middle, block.high[1] - 5e-4)
        assert edge < inside == pytest.approx(result.times[block.name] / max(result.times.values()), rel=0.06)
    assert math.isnan(share(-0.06, 0.0))


# ---- the prose


@pytest.mark.slow
def test_numbers_in_the_prose_are_true(bench, shapes):
    words, answers = prose_of(lesson, "lessons"), prose_of(lesson, "answers")
    block = bench.solve().setup.layout.block("hub")
    assert "Web and rim are both 10 mm thick; the hub measures 40 mm across; hub and rim are 36 mm" in words
    assert (2 * block.high[0], block.high[1] - block.low[1]) == pytest.approx((0.040, 0.036))
    as_a_bar = 10 * 36 / (20 + 72 - 10)
    assert f"(20 + 72 - 10) = {as_a_bar:.1f}$. The bench counts it as a ring and has {RIM:.1f}." in words
    assert f"$M = {RIM:.1f}$ mm. The hub has $M = {HUB:.1f}$ mm" in answers
    assert f"= {math.pi * 40**2 / 2 + math.pi * 40 * 26:.0f}$ mm²" in answers
    assert f"= {CIRCLE:.2f}$" in answers
    warm = shapes.set(alloy="ZA-12", mould="investment").solve().times
    assert "three times as long as a ball" in words
    assert warm["plate"] / warm["ball"] == pytest.approx(3.0, rel=0.15)
    bronze = shapes.set(alloy="tin bronze", mould="green sand").solve()
    said = float(re.search(r"the rule says (\d+) % too long a time for the plate", words)[1])
    assert said == round(100 * (bronze.by_hand["plate"] / bronze.times["plate"] - 1))
    assert f"freezes over {round(bronze.setup.alloy.freezing_range, -1):.0f} K" in words
    hub = bench.set(alloy="A356").solve()
    assert lesson.times_by_hand(hub.setup)["hub"] > 1.1 * hub.middle_time("hub")  # "says too long a time"


@pytest.mark.slow
def test_hotter_metal_takes_longer_by_rule_and_in_the_field(bench):
    low, _, high = bench.controls["pour_temp_c"].range()
    cold, hot = (bench.solve(pour_temp_c=temp) for temp in (low, high))
    for name in lesson.SECTIONS:
        assert hot.middle_time(name) > cold.middle_time(name)
        by_hand = [lesson.times_by_hand(each.setup)[name] for each in (cold, hot)]
        assert by_hand[1] > by_hand[0]


@pytest.mark.parametrize("seed, look", WALKS)
def test_hints_lead_to_even_sections(bench, seed, look):
    walk(lesson.task_even(bench), seed, look, ("thickness", "rim", "hub"))
