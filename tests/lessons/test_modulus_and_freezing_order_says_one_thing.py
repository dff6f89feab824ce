"""Lesson 3, wherever the sliders stand: words, numbers, labels, curve and dots tell of one order.

Moduli are worked out here from the sliders; the rule's times come from the rule, and the field's from cells.
"""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from bench_claims import (
    DIGITS,
    QUICK_STATES,
    SECONDS,
    STATES,
    alike,
    all_said,
    looked_at_roughly,
    times,
    told,
)
from let_go import let_benches_go
from random_states import dice_of, stand_anywhere
from shares import mostly_slow

from castlab.rules.freezing import freezing_time_in_sand
from castlab.teach.lessons import modulus_and_freezing_order as lesson
from castlab.units import METRIC

HEIGHT, ACROSS = 0.036, 0.120  # of rim and hub, and of the wheel, as the lesson says [m]
SAME, NEAR = 0.03, 0.05  # times that are called the same; a rule that is so near gets no reason
SIZE = 0.006  # of three digits, and of a ring that is worked out as one
SHARE = r"(?:\d+|\d\.\d|less than 1)"
PLAIN = {"plate": "plate", "bar": "square bar", "cylinder": "bar", "ball": "ball"}  # as the rule names them
OF_SHAPES = STATES // 4  # each takes as long as three of the sheave


@pytest.fixture(scope="module")
def asked():
    made = {begin: begin() for begin in (lesson.begin, lesson.begin_shapes)}
    for bench, _ in made.values():
        looked_at_roughly(bench).reveal()
    yield made
    let_benches_go()


@pytest.fixture
def curves(monkeypatch):
    monkeypatch.setattr(lesson.curve, "drawing", lambda drawn: drawn)


def moduli_by_hand(values):
    """V / A of web, rim and hub [m], the ring where the web joins left out."""
    web, rim, hub = (values[name] for name in ("thickness", "rim", "hub"))
    inner = ACROSS - 2 * rim
    ends = math.pi / 4 * (ACROSS**2 - inner**2)
    return {
        "rim": ends * HEIGHT / (2 * ends + math.pi * ACROSS * HEIGHT + math.pi * inner * (HEIGHT - web)),
        "web": web / 2,
        "hub": math.pi / 4 * hub**2 * HEIGHT / (math.pi / 2 * hub**2 + math.pi * hub * (HEIGHT - web)),
    }


def by_the_rule(size, setup, shape):
    """The rule's time in sand [s]; None in a die, of which other tests know more."""
    if setup.mould.kind == "die":
        return None
    sand = replace(setup.mould, start_temp_c=setup.mould_temp_c)
    return freezing_time_in_sand(size, setup.alloy, sand, setup.pour_temp_c, shape)


def rows_agree(rows, field, by_rule):
    """Each row has the field's time, the rule's, and how far they are apart."""
    for name, words in rows.items():
        if words.startswith("no hand rule here"):
            assert alike(times(words)[0], field[name])
            continue
        rule, computed = times(words)
        assert alike(computed, field[name]) and (by_rule[name] is None or alike(rule, by_rule[name]))
        off = re.search(rf"rule ({SHARE}) % (longer|shorter)$|the same$", words)
        if by_rule[name]:
            share = by_rule[name] / field[name] - 1.0
            assert (share > 0) == (off[2] == "longer") if off[2] else abs(share) <= 0.0055
            if off[1] and off[1] != "less than 1":
                assert float(off[1]) == pytest.approx(100 * abs(share), abs=0.56, rel=DIGITS)


def the_rule_is_judged_fairly(sentence, field, by_rule):
    """Farthest off is what is farthest off, and the reason fits its place in the order."""
    if None in by_rule.values():
        return
    off = {name: by_rule[name] / field[name] - 1.0 for name in field}
    worst = max(off, key=lambda name: abs(off[name]))
    said = re.search(rf"farthest off for the (\w+), {SHARE} % too (long|short): (.+)\.", sentence)
    if said is None:
        assert "agrees within 5 %" in sentence and abs(off[worst]) < NEAR + 1e-9
        return
    assert abs(off[said[1]]) >= abs(off[worst]) - 1e-9 and (said[2] == "long") == (off[said[1]] > 0)
    order = sorted(field, key=field.get)
    assert "from what is hotter" not in said[3] or said[1] != order[-1]
    assert "into what is colder" not in said[3] or said[1] != order[0]


def the_curve_shows_it(drawn, labels, rows, field, sizes, setup):
    """Dots stand at modulus and time, on the axes, and lines are the rule at each modulus; label, row and dot
    say a time in the same words."""
    second = SECONDS[re.search(r"\[(\w+)\]", drawn.up.words)[1]]
    dots = {dot.words.split(" ", 1)[0]: dot for dot in drawn.dots}
    assert set(dots) == set(field) and len({dot.shape for dot in drawn.dots}) == len(field)
    for name, dot in dots.items():
        assert dot.across == pytest.approx(1e3 * sizes[name], rel=SIZE)
        assert second * dot.up == pytest.approx(field[name]) and alike(times(dot.words)[0], field[name])
        assert dot.words == f"{name} {labels[name]}" and f"field {labels[name]}" in rows[name]
        assert 0.0 < dot.across <= drawn.across.last + 1e-9 and 0.0 < dot.up <= drawn.up.last
        assert re.search(rf"the {name} of modulus ([\d.]+) mm after ([\d.]+ \w+)", drawn.words)
    assert bool(drawn.lines) == ("twice the modulus" in drawn.words) != ("No hand rule" in drawn.words)
    for line, shape in zip(drawn.lines, ("plate", "ball"), strict=False):
        assert line.words == f"rule, {shape}" and line.points[0] == (0.0, 0.0)
        for across, up in line.points[1:]:
            by_rule = by_the_rule(1e-3 * across, setup, shape)
            assert by_rule is None or second * up == pytest.approx(by_rule)
        assert all(low[1] < high[1] for low, high in zip(line.points, line.points[1:], strict=False))
        assert line.points[-1][1] <= drawn.up.last


@pytest.mark.parametrize("states", mostly_slow([STATES - OF_SHAPES, QUICK_STATES], quick=[QUICK_STATES]))
def test_the_sheave_is_told_of_in_one_way(asked, curves, states):
    bench, question = asked[lesson.begin]
    for number in range(states):
        stand_anywhere(bench, dice_of("order", states, number), shown=False)
        here = told(bench)
        try:
            the_sheave_is_told_of_in_one_way(bench, question, here)
        except AssertionError as error:
            raise AssertionError(all_said(here)) from error


def the_sheave_is_told_of_in_one_way(bench, question, here):
    result, sizes = here.result, moduli_by_hand(here.values)
    said = re.search(r"The middle of the (\w+) is solid first, .*?then the (\w+), .*?last the (\w+),|"
                     r"The middles of (\w+) and (\w+) are solid at nearly the same time, .*?last the (\w+),",
                     here.sentence)
    order, labels = list(filter(None, said.groups())), dict(label.text.split(" ", 1) for label in here.labels)
    field = {name: time_in_the_middle(result, name) for name in order}
    assert (said[4] is None) == (field[order[0]] < (1.0 - NEAR) * field[order[1]] or order[-1] != "hub")
    assert sorted(field, key=field.get) == order and set(labels) == set(order)
    assert all(alike(times(words)[0], field[name]) for name, words in labels.items())
    for label in here.labels:
        block = result.setup.layout.block(label.text.split(" ", 1)[0])
        assert all(low <= at <= high for low, at, high
                   in zip(block.low, label.place, block.high, strict=False))
    rows = {name: next(words for each, words in here.numbers.items() if each.startswith(f"{name}, modulus"))
            for name in order}
    for name in order:
        (shown,) = re.findall(rf"{name}, modulus ([\d.]+) mm", " ".join(here.numbers))
        assert float(shown) == pytest.approx(1e3 * sizes[name], rel=DIGITS)
    by_rule = {name: by_the_rule(sizes[name], result.setup, lesson.SECTIONS[name]) for name in order}
    rows_agree(rows, field, by_rule)
    the_rule_is_judged_fairly(here.sentence, field, by_rule)
    the_curve_shows_it(lesson.sheave_curve(here.values, result, METRIC), labels, rows, field, sizes,
                       result.setup)
    by_modulus = sorted(sizes, key=sizes.get)
    close = any(sizes[a] > (1.0 - SIZE) * sizes[b] for a, b in zip(by_modulus, by_modulus[1:], strict=False))
    assert close or ("give the same order" in here.sentence) == (by_modulus == order)
    assert close or by_modulus == order or f"moduli alone say: {', '.join(by_modulus)}." in here.sentence
    key, why = question._judge(result, METRIC)
    assert (key == "hub early") == (order[-1] != "hub") and here.sentence in why
    assert (key == "together") == (said[4] is not None)
    assert not key.endswith(" first") or key == f"{order[0]} first"
    assert not lesson.scene(bench.setup(), result, METRIC).section.void.any()


def time_in_the_middle(result, name):
    """When the cell nearest to the middle of a body was solid [s]."""
    grid, block = result.run.grid, result.setup.layout.block(name)
    number = result.setup.layout.blocks.index(block)
    x, y, z = np.meshgrid(*grid.centres, indexing="ij")
    away = sum((at - middle) ** 2 for at, middle in zip((x, y, z), block.middle, strict=True))
    away[(grid.block != number) | (grid.metal <= 0.0)] = np.inf
    return float(result.run.freeze_time_s.ravel()[away.argmin()])


@pytest.mark.parametrize("states", mostly_slow([OF_SHAPES, QUICK_STATES], quick=[QUICK_STATES]))
def test_the_shapes_are_told_of_in_one_way(asked, curves, states):
    bench, question = asked[lesson.begin_shapes]
    for number in range(states):
        stand_anywhere(bench, dice_of("shapes", states, number), shown=False)
        here = told(bench)
        try:
            the_shapes_are_told_of_in_one_way(question, here)
        except AssertionError as error:
            raise AssertionError(all_said(here)) from error


def the_shapes_are_told_of_in_one_way(question, here):
    result, size = here.result, here.values["modulus"]
    field = result.times
    head, said, *_ = re.split(r"\. ", here.sentence)
    assert float(re.fullmatch(r"All four have the modulus ([\d.]+) mm", head)[1]) == pytest.approx(1e3 * size)
    order, in_words = re.findall(r"\b(plate|bar|cylinder|ball)\b", said), times(said)
    assert sorted(order) == sorted(field) and in_words == sorted(in_words)
    assert all(alike(words, field[name]) for name, words in zip(order, in_words, strict=True))
    labels = dict(label.text.split(" ", 1) for label in here.labels)
    assert all(alike(times(words)[0], field[name]) for name, words in labels.items())
    by_rule = {name: by_the_rule(size, result.setup, PLAIN[name]) for name in order}
    rows = {name: here.numbers[name] for name in order}
    rows_agree(rows, field, by_rule)
    the_rule_is_judged_fairly(here.sentence, field, by_rule)
    for name in ("bar", "cylinder", "ball"):
        ratio = float(here.numbers[f"{name} time / plate time, field"])
        assert ratio == pytest.approx(field[name] / field["plate"], abs=0.0051)
    the_curve_shows_it(lesson.shapes_curve(here.values, result, METRIC), labels, rows, field,
                       dict.fromkeys(field, size), result.setup)
    key, why = question._judge(result, METRIC)
    together = min(field.values()) > (1.0 - SAME) * max(field.values())
    assert key == ("together" if together else order[0]) and here.sentence in why
    assert together == ("nearly the same time" in said) != ("is solid first" in said)
    cells = result.section
    middles = {block.name: 0.5 * (block.low[0] + block.high[0]) for block in result.setup.layout.blocks}
    late = {name: cells.frozen_share[np.searchsorted(cells.x_edges, x), len(cells.y_edges) // 2]
            for name, x in middles.items()}
    assert all(late[name] == pytest.approx(field[name] / max(field.values()), abs=0.09) for name in field)
