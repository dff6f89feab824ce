"""Lesson 11, wherever the sliders stand: the handle's bench and the desk's words tell of one casting.

Sizes are those of the lesson's drawing, worked out here; holes are read off the cells.
"""

import math
import re

import pytest
from bench_claims import (
    DIGITS,
    QUICK_STATES,
    ROUGH,
    STATES,
    a_casting_is_told_of_in_one_way,
    alike,
    all_said,
    looked_at_roughly,
    rounded_off,
    said_so,
    times,
    volumes,
)
from let_go import let_benches_go
from random_states import dice_of, stand_anywhere
from shares import mostly_slow

from castlab.errors import InputError
from castlab.field.design import design
from castlab.field.diagnosis import diagnose
from castlab.field.example_parts import door_handle
from castlab.field.hot_spots import hot_spots
from castlab.field.outcome import pour
from castlab.field.placed import sizes_of
from castlab.field.x_ray import hollows, shadows
from castlab.materials import alloy, alloy_names, mould
from castlab.teach.lessons import your_own_part as lesson
from castlab.teach.own_part import by_rule
from castlab.teach.own_part.in_words import film_words, hole_words, numbers_of, spot_words
from castlab.teach.own_part.own_part_desk import MOULDS, UPS
from castlab.teach.text.sentence import sentence
from castlab.units import METRIC

BAR, FOOT_HIGH = (0.140, 0.014, 0.014), 0.012  # as the lesson's drawing has them [m]
DEFECTS = ("sink", "cavity", "sponge", "pipe_into_casting")
PLACE = r"x (-?[\d.]+) mm, y (-?[\d.]+) mm, z (-?[\d.]+) mm"
OF_THE_DESK = STATES // 3


@pytest.fixture(scope="module")
def begun():
    bench, question = lesson.begin()
    looked_at_roughly(bench).reveal()
    yield bench, question
    let_benches_go()


def casting_volume(foot):
    """Of bar and feet [cm3]."""
    return 1e6 * (math.prod(BAR) + 2 * math.pi / 4 * foot**2 * FOOT_HIGH)


# ---- the bench


@pytest.mark.parametrize("states",
                         mostly_slow([STATES - OF_THE_DESK, QUICK_STATES], quick=[QUICK_STATES]))
def test_the_handle_is_told_of_in_one_way(begun, states):
    bench, question = begun
    task, right = lesson.task_scar(bench), 0
    for number in range(states):
        stand_anywhere(bench, dice_of("handle", states, number), shown=False)
        if number % 2:  # near a right answer, so that there is praise to judge
            bench._move({"foot": 0.030, "turn": lesson.FEET_UP, "feeders": lesson.BOTH_FEET})
        here = a_casting_is_told_of_in_one_way(bench, question)
        try:
            the_places_are_those_of_the_holes(here, question)
            whole = 1e3 * here.result.poured_kg / (1e-3 * here.result.setup.alloy.density_solid)
            share = float(here.numbers["casting, of all metal"].split()[0])
            assert share == pytest.approx(100 * casting_volume(here.values["foot"]) / whole, abs=1.6)
            if number % 8 == 1:
                right += the_praise_is_deserved(task, here)
        except AssertionError as error:
            raise AssertionError(all_said(here)) from error
    print(states, "states,", right, "praised")


def the_places_are_those_of_the_holes(here, question):
    """The verdict names places in the metal, together no more than is missing, and at the ends it says."""
    key, why = question._judge(here.result, METRIC)
    assert (key == "none") == here.result.sound == ("Missing are" not in why)
    if key == "none":
        return
    missing = re.search(r"Missing are (.+?)\.(?: |$)", why)[1]
    places = re.findall(r"(at the (left|right) foot|between the feet), ([\d.]+) mm from the middle",
                        missing)
    places = [(side, 1e-3 * float(away)) for _, side, away in places]
    assert places and len(places) == len(volumes(missing))
    assert all(away <= BAR[0] / 2 and (away > lesson.END_M - 5e-4) == bool(side) for side, away in places)
    for side, _ in places:
        assert side in sides_of_the_holes(here.result)
    account = here.result.account
    total = 1e6 * sum(account.void_of[kind].sum() for kind in DEFECTS)
    assert sum(volumes(missing)) <= total + rounded_off([missing])
    assert (key == "feet") == ({side for side, _ in places} >= {"left", "right"})
    if key != "feet":
        assert (key == "one") == bool(places[0][0])


def sides_of_the_holes(result):
    """Where along the bar the cells have holes: "left" and "right" foot, and "" between them."""
    x, _, _ = result.run.grid.centres
    holes = sum(result.account.void_of[kind] for kind in DEFECTS).sum(axis=(1, 2))
    ends = {"left": x < -lesson.END_M, "right": x > lesson.END_M, "": abs(x) <= lesson.END_M + ROUGH.cell}
    return {side for side, here in ends.items() if holes[here].sum() > 0.0}


def the_praise_is_deserved(task, here):
    """Praise for feeders that leave the grip alone, on a sound handle, as wide as the rule asks."""
    found, result = task.check(), here.result
    rule = re.search(r"[Tt]he rule asks for ([\d.]+) mm, yours are ([\d.]+) mm wide", found.why)
    if rule:
        asked, wide = map(float, rule.groups())
        assert result.sound and wide == pytest.approx(1e3 * here.values["feeder_width"])
        assert found.right == (asked - 0.06 <= wide <= asked + 4.06)
        assert ("Make them wider" in found.why) == (wide < asked - 0.06)
        assert ("Make them narrower" in found.why) == (wide > asked + 4.06)
    if found.right:
        assert said_so(here) and here.sentence in found.why and here.values["foot"] == 0.030
        assert here.values["turn"] == lesson.FEET_UP and here.values["feeders"] != lesson.NONE
    else:
        assert rule or "Make the feeders wider" in found.why or not result.sound
    return found.right


# ---- what the desk says


def poured_anywhere(dice):
    """The account of a handle in some metal and sand, some way up, with things put at its hot spots."""
    name, sizes = dice.choice(alloy_names()), {"up": dice.choice(list(UPS.values()))}
    metal = alloy(name)
    low, high = metal.pour_range_c
    cast = metal, mould(dice.choice(MOULDS)), low + dice.random() * (high - low)
    account = pour(design(door_handle(), *cast, **sizes), ROUGH)
    for _ in range(dice.randrange(3)):
        spots = hot_spots(account.run, account)
        try:
            kind = dice.choice(("feeder", "chill"))
            put = getattr(by_rule, f"{kind}_here")(dice.choice(spots))
            free = 1 + sum(each.startswith(kind) and each.endswith("_x") for each in sizes)
            account = pour(design(door_handle(), *cast, **(sizes | sizes_of(kind, free, put))), ROUGH)
            sizes |= sizes_of(kind, free, put)
        except (InputError, IndexError):
            break  # no free face there, or no hot spot that is left
    return account


@pytest.mark.parametrize("states", mostly_slow([OF_THE_DESK, QUICK_STATES], quick=[QUICK_STATES]))
def test_a_part_on_the_desk_is_told_of_in_one_way(states):
    for number in range(states):
        account = poured_anywhere(dice_of("desk", states, number))
        words, numbers = sentence(diagnose(account)), dict(numbers_of(account, METRIC))
        spots = [spot_words(spot, account, METRIC) for spot in hot_spots(account.run, account)]
        holes = [hole_words(hollow, METRIC) for hollow in hollows(account)]
        films = film_words(shadows(account), METRIC)
        try:
            holes_and_spots_agree(account, words, numbers, spots, holes)
            films_agree(account, films)
        except AssertionError as error:
            said = "\n".join((words, str(numbers), *spots, *holes, films))
            raise AssertionError(f"{number}: {said}") from error


def holes_and_spots_agree(account, words, numbers, spots, holes):
    total = 1e6 * sum(account.void_of[kind].sum() for kind in DEFECTS)
    assert (words.startswith("Sound")) == (account.verdict == "sound")
    assert alike(volumes(numbers["holes in it"])[0], total)
    whole = volumes(numbers["casting"])[0] / casting_volume(0.030)
    assert 0.95 < whole < 1.01  # a feeder beside the bar may take a bite of the foot
    assert sum(volumes(each)[0] for each in holes) <= total + rounded_off(holes) + 0.01
    last = times(numbers["casting solid"])[0]
    froze = [times(each)[0] for each in spots]
    assert all(each <= (1.0 + DIGITS) * last for each in froze)
    assert all(later <= (1.0 + DIGITS) * sooner for sooner, later in zip(froze, froze[1:], strict=False))
    lacks = [0.0 if each.endswith("; fed") else volumes(each.rsplit("; lacks", 1)[1])[0] for each in spots]
    assert sum(lacks) <= total + rounded_off(spots) + 0.01
    for each in (*spots, *holes):
        body, place = re.search(r"\b(bar|left foot|right foot)\b", each), re.search(PLACE, each)
        x, y, z = (1e-3 * float(at) for at in place.groups())
        assert body and -0.072 <= min(x, y, z) and max(x, y, z) <= 0.072, each
    for each in spots:
        ball, by_ball = map(float, re.search(r"ball of ([\d.]+) mm, modulus ([\d.]+) mm", each).groups())
        assert ball <= 1e3 * (0.030 + ROUGH.cell) and ball / 6.0 - 0.06 <= by_ball <= ball / 2.0 + 0.06, each


def films_agree(account, films):
    """Of three films each says what is missing of how much, and its per cent is that; none is more."""
    seen = [list(map(float, each)) for each in
            re.findall(r"[XYZxyz] [^:]+: ([\d.]+) mm of ([\d.]+) mm, ([\d.]+) %", films)]
    assert len(seen) + films.count("it shows none") == 3
    for missing, metal, share in seen:
        assert missing <= (1.0 + DIGITS) * metal <= 160.0
        assert share == pytest.approx(100 * missing / metal, rel=2.0 * DIGITS, abs=0.6) and share >= 2.0
    share = sum(account.void_of[kind].sum() for kind in DEFECTS) / (1e-6 * casting_volume(0.030))
    assert len(seen) == 3 or share < 0.021  # some ray meets as much of holes as there is in all
