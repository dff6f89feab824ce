"""Lesson 10: what the saw shows, the answers offered, the evidence and the reading tell of the casting drawn.

Castings are drawn as the lesson draws them, and looked at coarsely; each is then moved about on its bench.
"""

import re

import numpy as np
import pytest
from bench_claims import (
    DIGITS,
    QUICK_STATES,
    STATES,
    alike,
    all_said,
    looked_at_roughly,
    rounded_off,
    times,
    told,
    volumes,
)
from let_go import let_benches_go
from random_states import dice_of, stand_anywhere
from shares import mostly_slow

from castlab.errors import InputError
from castlab.field.diagnosis import CAUSES, EMPTY_FEEDER
from castlab.field.outcome import COARSE, pour
from castlab.teach.bench.casting import Casting, solving_casting
from castlab.teach.lessons import read_the_defect as lesson
from castlab.teach.read_defect import hidden_castings, readable, sawn_casting, wrong_causes
from castlab.teach.read_defect.evidence import PIECES, sawn_scene
from castlab.units import METRIC

A_CASTING = 6  # states: as it was drawn, then with its feeding moved
DEFECTS = {"sink": "open hollow", "pipe_into_casting": "open hollow", "cavity": "closed hollow",
           "sponge": "fine holes"}
FEEDING = ("feeder_width", "feeder_height", "neck_width", "sleeve_thickness", "chill_thickness",
           "pour_temp_c")
WHAT_IF = {"hotter": "pour_temp_c", "higher": "feeder_height", "sleeve": "sleeve_thickness",
           "neck": "neck_width", "alloy": "alloy"}
NO_CHANGE = 0.10  # of the holes, as the words say it


@pytest.fixture(scope="module")
def table():
    """The lesson's own table, that pours coarsely whatever is put on it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sawn_casting, "pour", lambda hidden: pour(hidden, COARSE))
        made = sawn_casting.SawnCasting(hidden_castings.drawn_before(*next(readable_ones("first"))[:2]))
        made.bench._solve = solving_casting
        yield looked_at_coarsely(made)
    let_benches_go()


def looked_at_coarsely(table):
    """What it is told by is told on these cells, as when it was drawn; scenes are looked at, not painted."""
    looked_at_roughly(table.bench)
    table._show = lambda: None
    table.bench._solve = lambda setup, *_: Casting(pour(setup, COARSE))
    return table


def readable_ones(seed):
    """Numbers of castings that tell one cause on coarse cells, without an end: (number, draws, cause)."""
    dice = dice_of("castings", seed)
    while True:
        number = dice.randint(1, hidden_castings.LARGEST_NUMBER)
        hidden = hidden_castings.drawn_before(number, 1)
        try:
            told_cause = readable.cut_tells(hidden.setup(), COARSE)
        except InputError:
            continue  # a feeder that finds no room
        if told_cause == hidden.cause:
            yield number, 1, hidden.cause


def froze(result, name):
    """When all cells of a body were solid [s]."""
    grid, blocks = result.run.grid, [block.name for block in result.setup.layout.blocks]
    return float(result.run.freeze_time_s[(grid.block == blocks.index(name)) & (grid.metal > 0.0)].max())


def feeders_of(result):
    return [block.name for block in result.setup.layout.blocks if block.role == "feeder"]


def missing(result):
    """{(how it looks, body): volume [cm3]} of the casting, off the cells."""
    grid, account, found = result.run.grid, result.account, {}
    for kind, look in DEFECTS.items():
        for number, block in enumerate(result.setup.layout.blocks):
            volume = 1e6 * float(account.void_of[kind][grid.block == number].sum())
            if volume > 0.0 and block.role == "casting":
                found[look, block.name] = found.get((look, block.name), 0.0) + volume
    return found


@pytest.mark.parametrize("states", mostly_slow([STATES, QUICK_STATES], quick=[QUICK_STATES]))
def test_a_sawn_casting_is_told_of_in_one_way(table, states):
    castings, causes = readable_ones(states), []
    for count in range(-(-states // A_CASTING)):
        number, draws, cause = next(castings)
        table._put(hidden_castings.drawn_before(number, draws))
        causes.append(cause)
        dice = dice_of("evidence", states, count)
        try:
            the_saw_and_the_evidence_agree(table, dice)
            for _ in range(min(A_CASTING, states) - 1):
                stand_anywhere(table.bench, dice, [name for name in FEEDING if name in table.bench.controls],
                               shown=False)
                the_way_to_a_cure_agrees(table)
        except AssertionError as error:
            words = f"{table.hidden}\n{table.words}\n{all_said(told(table.bench))}"
            raise AssertionError(words) from error
    print(states, "states,", {cause: causes.count(cause) for cause in set(causes)})
    assert states == QUICK_STATES or set(causes) == set(hidden_castings.RECIPES)


def the_saw_and_the_evidence_agree(table, dice):
    """Before the cause is named: no more than the saw shows, and each piece true of the casting."""
    result, hidden = table.casting, table.hidden
    assert table.bench.hidden and table.bench.sliders.layout.display == "none" and not table.evidence
    assert not times(table.words) and not any(words in table.words for words in CAUSES.values())
    the_saw_shows_it(table.words, sawn_scene(result, METRIC), result)
    said = {key: table.ask(key) for key in ("scrap", "times", "map", dice.choice(list(WHAT_IF)))}
    assert [said[key] in table.words for key in said] == [True] * 4 and "Evidence 4: " in table.words
    the_scrap_shows_it(said["scrap"], result, hidden)
    listed = re.findall(r"(?:: |, )([a-z ]+(?: \d)?) ([\d.]+ (?:s|min|h))\b", said["times"])
    assert len(listed) == len(result.account.froze_s)
    assert all(alike(times(time)[0], froze(result, name)) for name, time in listed)
    assert [times(time)[0] for _, time in listed] == sorted(times(time)[0] for _, time in listed)
    last = re.search(r"froze in (?:the )?(.+), ([\d.]+ \w+) after the pour", said["map"])
    assert alike(times(last[2])[0], result.run.last_time_s) and alike(froze(result, last[1]),
                                                                      result.run.last_time_s)
    for key in WHAT_IF.keys() & said.keys():
        what_if_is_so(said[key], WHAT_IF[key], table)
    the_reading_is_that_of_the_account(table)


def the_saw_shows_it(words, scene, result):
    """Each hole that is named is one of the casting, in that body and of that look; the picture has no other
    and no order of freezing."""
    holes = missing(result)
    line = re.search(r"On the sawn face: (.+?) In all that is ([\d.]+) % of the casting", words, re.DOTALL)
    hollows = re.findall(
        r"an? (open hollow|closed hollow) of ([\d.]+) cm3 in (?:the )?([a-z0-9 ]+?)(?:,| and|\.)", line[1])
    fine = re.findall(r"(fine holes) like a sponge in (?:the )?([a-z0-9 ]+?), ([\d.]+) cm3 in all", line[1])
    named = [(look, body, float(size)) for look, size, body in hollows] + [
        (look, body, float(size)) for look, body, size in fine]
    assert named and len(named) == len(volumes(line[1]))
    for look, body, size in named:  # one that goes on into its neighbour bears the name of where most is
        there = sum(volume for (each, _), volume in holes.items() if each == look)
        assert 0.5 * size - 0.01 <= holes[look, body] and size <= (1.0 + DIGITS) * there + 0.01, (look, body)
    whole = 1e6 * float(result.run.grid.metal_volume[result.run.grid.is_role("casting")].sum())
    assert float(line[2]) == pytest.approx(100 * sum(holes.values()) / whole, abs=0.06)
    looks = {look for look, _, _ in named}
    assert {re.split(r" \d", label.text)[0] for label in scene.labels} == looks
    assert sum(volumes(" ".join(label.text for label in scene.labels))) == pytest.approx(
        sum(size for *_, size in named), rel=DIGITS, abs=rounded_off([words]) + 0.02)
    section = scene.section
    assert section.sawn and section.last_place is None
    assert {block.role for block in section.layout.blocks} <= {"casting", "core"}


def the_scrap_shows_it(words, result, hidden):
    feeders = feeders_of(result)
    assert ("There was no feeder" in words) == (not feeders) == (not hidden.values["feeder_width"])
    shown = {block.role for block in PIECES["scrap"].scene(result, METRIC).section.layout.blocks}
    assert ("feeder" in shown) == bool(feeders) and "gate" in shown
    if feeders:
        wide, high = map(float, re.search(r"([\d.]+) mm wide and ([\d.]+) mm high", words).groups())
        assert (wide, high) == pytest.approx((1e3 * hidden.values["feeder_width"],
                                              1e3 * hidden.values["feeder_height"]))
        hollow = float(re.search(r"(\d+) % of", words)[1])
        assert hollow == pytest.approx(100 * share_given(result), abs=1.0)
        assert ("neck of" in words) == bool(hidden.values["neck_width"])
        assert ("insulating sleeve" in words) == bool(hidden.values["sleeve_thickness"])


def share_given(result):
    """What of its own metal the feeder gave."""
    grid = result.run.grid
    return result.account.paid_m3["feeder"] / float(grid.metal_volume[grid.is_role("feeder")].sum())


def what_if_is_so(words, moved, table):
    """One change, its holes before and after, and what is said of the difference."""
    if not words.startswith("Poured again") or "cannot be cast" in words:
        return
    after, before = (volumes(words) + [0.0, 0.0])[:2]
    if "the casting is sound" in words:
        return
    holes = sum(missing(table.casting).values())
    assert alike(before, holes) or abs(before - holes) < 0.02
    share, near = after / before - 1.0, 2.0 * DIGITS
    assert "worse" not in words or share > NO_CHANGE - near
    assert "better, but no cure" not in words or share < -NO_CHANGE + near
    assert "no change worth" not in words or abs(share) < NO_CHANGE + near


def the_reading_is_that_of_the_account(table):
    """The answer that counts is offered, fits the evidence, and each wrong one is refused with what is so."""
    result, question = table.casting, table.question
    key, why = question._judge(result, METRIC)
    assert key == table.hidden.cause in question._choices and why.endswith(f"So: {CAUSES[key]}.")
    holes, feeders = missing(result), feeders_of(result)
    sponge = sum(volume for (look, _), volume in holes.items() if look == "fine holes")
    assert (key == "even") == (sponge > 0.5 * sum(holes.values())) == ("fine and lie between" in why)
    assert (key == "no feeder") == (not feeders) or key == "even"
    found = re.search(
        r"gave (\d+) % .+ It was solid after ([\d.]+ \w+), (?:the )?(.+) after ([\d.]+ \w+)\. So", why)
    if found:
        given, feeder, hole = float(found[1]), times(found[2])[0], times(found[4])[0]
        assert given == pytest.approx(100 * share_given(result), abs=1.0)
        assert alike(feeder, max(froze(result, name) for name in feeders))
        assert alike(hole, froze(result, found[3])) and any(body == found[3] for _, body in holes)
        assert key != "freezes first" or feeder < hole
        assert key != "runs empty" or given >= 100 * EMPTY_FEEDER - 1.0
        assert key != "way closes" or feeder > hole and given <= 100 * EMPTY_FEEDER + 1.0
    slips = wrong_causes.slips(result, METRIC)
    assert set(slips) >= set(question._choices) - {key}
    for words in slips.values():
        assert not re.search(r"None|nan|inf\b|-\d| {2}|\.\.", words), words
    assert all(("there was no feeder" in slips[wrong]) != bool(feeders)
               for wrong in ("freezes first", "runs empty", "way closes", "uphill") if wrong != key)


def the_way_to_a_cure_agrees(table):
    """What Check says of a casting that was changed: praise for what is sound, else how much is left."""
    hidden, bench = table.hidden, table.bench
    known = hidden_castings.RIGHT[hidden.cause](hidden.values)
    if bench.hidden:
        found = lesson.check_cure(table)
        assert not found.right and found.why == "First say the cause, above."
        bench.reveal()
    table.hidden = hidden.__class__(**(vars(hidden) | {"cure": known[-1]}))
    result, here, found = bench.solve(), told(bench), lesson.check_cure(table)
    assert found.right == result.sound == here.sentence.startswith("Sound") and here.sentence in found.why
    left = sum(missing(result).values()) if not result.sound else 0.0
    if not found.right:
        first, now = map(float, re.search(r"holes of ([\d.]+) cm3, now of ([\d.]+) cm3", found.why).groups())
        assert alike(first, sum(missing(table.casting).values())) and alike(now, left)
        assert ("the right direction" in found.why) == (now < lesson.MUCH_LESS * first) or abs(
            now / first - lesson.MUCH_LESS) < DIGITS
        step = re.search(r"make the (feeder wider|feeder higher|sleeve thicker)", found.why)
        if step:
            name = next(each for each, words in lesson.LARGER.items() if words == step[1])
            assert bench.values[name] < known[-1][name]
    key, why = table.question._judge(result, METRIC)
    assert key in table.question._choices and (key == "none") == result.sound
    assert result.sound or why.endswith(f"So: {CAUSES[key]}.") and np.isfinite(left)
