"""The words for each wrong choice of each question: there are some, they differ, they are true of any state.

What a sentence claims is compared with the computed casting itself: times from its cells, volumes from its
account, orders from both. The states are drawn at random, with some that are rare added.
"""

import re
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path

import numpy as np
import pytest
from let_go import let_benches_go
from shares import every, mostly_slow

from castlab.errors import InputError
from castlab.rules.contraction import volume_to_feed
from castlab.teach.lessons import modulus_and_freezing_order as sections
from castlab.teach.lessons.sponge_and_gas import mush_of
from castlab.teach.lessons.superheat_and_filling import fill_rule
from castlab.units import INCH_POUND, METRIC

TEACH = Path(__file__).resolve().parents[3] / "castlab" / "teach"
STATES, MOST_TRIES = 12, 60
QUICK_STATES = 3
MOST_WORDS = 45
SECONDS = {"s": 1.0, "min": 60.0, "h": 3600.0}
T, V = r"([\d.]+ (?:s|min|h))\b", r"([\d.]+) cm3"


# ---- what is true


def when(words):
    """Seconds of a time in words."""
    number, unit = words.split()
    return float(number) * SECONDS[unit]


def same(words, seconds):
    """Whether a time in words is this one, to its two digits."""
    return when(words) == pytest.approx(seconds, rel=0.06)


def is_volume(words, cubic_metres):
    return float(words) == pytest.approx(1e6 * cubic_metres, rel=0.06, abs=1e-4)


def solid(result, name):
    """When all cells of a block were solid [s]."""
    grid = result.run.grid
    number = [block.name for block in result.setup.layout.blocks].index(name)
    return float(result.run.freeze_time_s[(grid.block == number) & (grid.metal > 0.0)].max())


def paid(result, *kinds):
    return sum(result.account.paid_m3[kind] for kind in kinds)


def own(result):
    """What the casting itself pays [m3]."""
    return paid(result, "sink", "cavity", "sponge", "pipe_into_casting")


def somebody_paid(found):
    asked, payer, volume = found.groups
    kind = {"the feeder": "feeder", "gate and sprue": "gate", "the pour": "pour"}[payer]
    return (is_volume(asked, found.result.account.asked_m3) and is_volume(volume, paid(found.result, kind))
            and 0.0 < float(volume) <= float(asked) and found.result.account.verdict != "defective")


def casting_paid(found):
    return is_volume(found.groups[0], own(found.result)) and own(found.result) > 0.0


def spared(found):
    return (is_volume(found.groups[0], paid(found.result, "feeder"))
            and found.result.account.holes[0].block not in ("boss", "hub"))


def share(found):
    setup = found.result.setup
    return float(found.groups[0]) == pytest.approx(
        100 * volume_to_feed(1.0, setup.alloy, setup.pour_temp_c), rel=0.05, abs=0.06)


def metal_grows(found):
    return found.result.setup.alloy.freezing_contraction < 0.0


def gate_solid(found):
    return same(found.groups[0], solid(found.result, "gate"))


def last_comes_later(found):
    first, last = found.groups
    return when(first) <= when(last) and same(last, found.result.run.last_time_s)


def times_of_feeder_and_hole(found):
    feeder, block, hole = found.groups
    return same(feeder, feeder_solid(found.result)) and same(hole, solid(found.result, block))


def feeder_solid(result):
    return max(solid(result, block.name) for block in result.setup.layout.blocks if block.role == "feeder")


def feeder_is_sooner(found):
    result = found.result
    return feeder_solid(result) < solid(result, main_block(result))


def main_block(result):
    """The block of the kind and block with most hole."""
    sums = {}
    for place in result.account.places:
        sums[place.kind, place.block] = sums.get((place.kind, place.block), 0.0) + place.volume_m3
    return max(sums, key=sums.get)[1]


def mostly_sponge(result):
    return paid(result, "sponge") > 0.5 * own(result)


def kinds_of_holes(result):
    return {place.kind for place in result.account.places}


def bare(found):
    return found.bench.solve(chill_thickness=0.0)


def as_drawn(found):
    return found.bench.solve(turn="as drawn")


def sum_is_asked(found):
    liquid, does, freezing = found.groups
    sign = 1.0 if does == "asks for another" else -1.0
    asked = 1e6 * found.result.account.asked_m3
    return float(liquid) + sign * float(freezing) == pytest.approx(asked, rel=0.06, abs=0.1)


def sizes_in_order(found):
    smaller, larger = found.groups
    return float(smaller) <= float(larger)


def display_lags(found):
    melt = found.result
    return float(found.groups[0]) == pytest.approx(
        melt.setup.set_point_c - melt.metal_c(melt.run.display_arrives), abs=0.6) and found.right != "there"


def before_the_display(found):
    return when(found.groups[0]) <= 1.06 * found.result.run.display_arrives


# ---- the questions, and what their words claim: {pattern: is it so?}


@dataclass(frozen=True)
class Asked:
    """A question of a lesson; `claims` of its words, and `states` that are rare but must come."""

    lesson: str
    begin: str = "begin"
    claims: dict = field(default_factory=dict)
    states: tuple = ()


@dataclass(frozen=True)
class Found:
    """A claim that was met: of which result, which answer was right, and the groups of the pattern."""

    bench: object
    result: object
    right: str
    groups: tuple


SOMEBODY_PAID = {
    rf"nobody pays for it\. Here {V} were asked for, and (.+) paid {V} of that": somebody_paid,
}
CASTING_PAID = {
    rf"and for {V} of that the casting itself had to pay": casting_paid,
}
GREY_IRON = {"alloy": "grey iron", "pour_temp_c": 1290.0}

QUESTIONS = [
    Asked("first_casting", claims=SOMEBODY_PAID | CASTING_PAID | {
        rf"A heavy end has .+ gave {V}; the hole is where that metal did not arrive": spared,
        r"ask for the same share, ([\d.]+) %": share,
        r"share, nothing": lambda found: found.result.account.asked_m3 <= 1e-9,
        r"this metal grows as it freezes": metal_grows,
        rf"the gate, 4 mm thick, was solid after {T}": gate_solid,
    }, states=(GREY_IRON, {"alloy": "tin bronze", "pour_temp_c": 1080.0, "thickness": 0.008,
                           "feeder_width": 0.056})),
    Asked("first_casting", "begin_sheave", SOMEBODY_PAID | CASTING_PAID | {
        r"ask for the same share, ([\d.]+) %": share,
        rf"the rim was solid after {T}, {T} before that of the hub":
            lambda found: same(found.groups[0], found.result.middle_time("rim"))
            and found.result.middle_time("rim") < found.result.middle_time("hub"),
    }),
    Asked("three_shrinkages", claims={
        rf"it explains only {V}; freezing (asks for another|gives back) {V}": sum_is_asked,
        rf"This metal grows by {V}": lambda found: found.result.setup.alloy.freezing_contraction < 0.0,
        rf"Freezing asks for {V}\. But .+ lost another {V}":
            lambda found: sum(map(float, found.groups)) == pytest.approx(
                1e6 * found.result.account.asked_m3, rel=0.06),
        rf"here until {T} after the pour": lambda found: same(found.groups[0], found.result.run.last_time_s),
    }, states=(GREY_IRON,)),
    Asked("modulus_and_freezing_order", claims={
        r"its modulus is ([\d.]+) mm, not ([\d.]+) mm": sizes_in_order,
        r"heat flows into it from the hub": lambda found: sections.order_of(found.result)[-1] == "hub",
        r"Web and rim are both ([\d.]+) mm": lambda found:
            found.bench.values["thickness"] == found.bench.values["rim"]
            == pytest.approx(float(found.groups[0]) / 1e3),
        r"the (\w+) was solid last": lambda found: sections.order_of(found.result)[-1] == found.groups[0],
    }, states=({}, {"thickness": 0.006, "rim": 0.020, "hub": 0.026}, {"thickness": 0.006, "rim": 0.010})),
    Asked("modulus_and_freezing_order", "begin_shapes", {
        r"The (\w+) took ([\d.]+) times as long as the (\w+)\.$":
            lambda found: float(found.groups[1]) == pytest.approx(
                max(found.result.times.values()) / min(found.result.times.values()), abs=0.006)
            and found.result.times[found.groups[0]] == max(found.result.times.values()),
    }),
    Asked("heavy_sections", claims={
        rf"was solid after {T}[;,] the last metal of all (?:after|took) {T}": last_comes_later,
        rf"elsewhere, took {T}": lambda found: same(found.groups[0], found.result.run.last_time_s),
    }),
    Asked("heavy_sections", "begin_boss", {
        rf"ask for {V}, however": lambda found: is_volume(found.groups[0], found.result.account.asked_m3)
            and is_volume(found.groups[0], as_drawn(found).account.asked_m3) and not found.result.sound,
        rf"As drawn {V} are missing, now {V}": lambda found: is_volume(found.groups[0], own(as_drawn(found)))
            and is_volume(found.groups[1], own(found.result)),
        r"the (boss|plate) was solid first": lambda found: solid(found.result, found.groups[0]) <= min(
            solid(found.result, name) for name in ("boss", "plate")),
        rf"only while it is liquid: until {T}": lambda found:
            same(found.groups[0], solid(found.result, "plate")),
    }, states=({}, {"turn": "as drawn"}, GREY_IRON, {"boss": 0.026, "thickness": 0.024})),
    Asked("feeders", claims=SOMEBODY_PAID | {
        rf"was open only until {T} after":
            lambda found: when(found.groups[0]) <= solid(found.result, "plate") * 1.06,
        r"did not even stay liquid longest": lambda found:
            found.result.middle_time("feeder") <= found.result.middle_time("boss"),
        rf"the feeder gave {V}": lambda found: is_volume(found.groups[0], paid(found.result, "feeder")),
        r"(?<!But )[Nn]ow no feeder": lambda found: not found.result.has_feeder,
        r"stands at the boss now": lambda found: found.bench.values["feeder_place"] != "on the plate",
    }, states=({"feeder_width": 0.0}, {"feeder_place": "on the boss"}, {"feeder_width": 0.008})),
    Asked("feeders", "begin_cap", {
        rf"this one gave {V}|This one gave {V}|the feeder gave, {V}":
            lambda found: is_volume(next(filter(None, found.groups)), paid(found.result, "feeder")),
        rf"(?:itself paid|pay as well,) {V}": casting_paid,
        r"Now no feeder": lambda found: not found.result.has_feeder,
    }, states=({"feeder_width": 0.0},)),
    Asked("cures_without_a_feeder", claims={
        rf"could bring some was solid after {T}": gate_solid,
        rf"its top stays liquid until {T}, the plate until {T}":
            lambda found: same(found.groups[0], solid(found.result, "boss"))
            and same(found.groups[1], solid(found.result, "plate")),
        rf"{V} were left to the casting": lambda found: is_volume(found.groups[0], own(found.result)),
    }, states=({"gate_thickness": 0.036, "boss": 0.026, "chill_thickness": 0.0},)),
    Asked("cures_without_a_feeder", "begin_fed", {
        rf"middle of the boss is solid after {T}, that of the plate after {T}":
            lambda found: same(found.groups[0], found.bench.solve(chill_thickness=0.04).middle_time("boss")),
        rf"until it is solid, after {T}": lambda found: same(found.groups[0], solid(bare(found), "gate")),
        rf"the boss is solid after {T}, without a chill after {T}":
            lambda found: when(found.groups[0]) <= when(found.groups[1]),
    }),
    Asked("superheat_and_filling", claims=SOMEBODY_PAID | {
        r"a plate of ([\d.]+) mm or more": lambda found: found.right == "misrun"
            and float(found.groups[0]) >= 990.0 * found.bench.values["thickness"],
        rf"were the mould full, the casting would have to pay {V}": casting_paid,
        rf"but it asks: the casting had to pay {V} itself": casting_paid,
        r"stays open ([\d.]+) times as long": lambda found: float(found.groups[0]) >= 1.0,
        r"so you may be right": lambda found:
            fill_rule(found.result.setup).running_time < 2.0 * fill_rule(found.result.setup).fill_time,
        r"this one has (\d+) K to lose": lambda found: float(found.groups[0]) == pytest.approx(
            found.bench.values["pour_temp_c"] - found.result.setup.alloy.liquidus_c, abs=1.0),
    }, states=({}, {"thickness": 0.0045})),
    Asked("melt_plan", claims={
        r"The metal was (\d+) K colder": display_lags,
        r"and ([\d.]+) % of the heat": lambda found: 0.0 < float(found.groups[0]) <= 100.0
            and found.right in ("melting", "solid"),
        rf"all was liquid after {T}": before_the_display,
        rf"began to melt after {T}": before_the_display,
        r"not yet so hot": lambda found: found.right == "solid",
        r"here it had caught up": lambda found: found.right == "there",
    }, states=({"power": 600.0, "set_point_c": 500.0, "sensor_error": -50.0}, {"set_point_c": 400.0})),
    Asked("sponge_and_gas", claims=SOMEBODY_PAID | CASTING_PAID | {
        r"freezes over (\d+) K, and its own crystals": lambda found: "sponge" in kinds_of_holes(found.result),
        r"gave (\d+) % of itself and kept": lambda found: float(found.groups[0]) == pytest.approx(
            100 * paid(found.result, "feeder") / found.result.block_volume("feeder"), abs=1.0),
        r"arrives in the plate until .+; the largest hole is another one":
            lambda found: found.result.account.holes[0].kind != "sponge",
        r"there are no ways between crystals": lambda found: mush_of(found.result) is None,
        rf"soon solid: the gate after {T}": gate_solid,
    }, states=({}, {"alloy": "fine silver", "feeder_width": 0.0})),
    Asked("read_the_defect", claims={
        rf"scrap: there was one, of {V}": lambda found:
            found.bench.values["feeder_width"]
            and is_volume(found.groups[0], found.result.block_volume("feeder")),
        r"it gave (\d+) % of itself, and kept": lambda found: float(found.groups[0]) == pytest.approx(
            100 * paid(found.result, "feeder") / found.result.block_volume("feeder"), abs=1.0),
        r"there was no feeder": lambda found: not found.bench.values["feeder_width"],
        r"It did freeze first": feeder_is_sooner,
        rf"Compare the times: the feeder was solid after {T}, (?:the )?(.+) after {T}":
            lambda found: times_of_feeder_and_hole(found) and not feeder_is_sooner(found),
        rf"liquid behind it, and the feeder was solid after {T}, (?:the )?(.+) after {T}":
            lambda found: times_of_feeder_and_hole(found) and feeder_is_sooner(found),
        r"stood ([\d.]+) mm above the hole": lambda found: float(found.groups[0]) > 0.0,
        r"shows no sponge": lambda found: not mostly_sponge(found.result),
        r"fine holes between the crystals, to which": lambda found: mostly_sponge(found.result),
        r"none that matters": lambda found: found.result.sound,
        r"sawn face: ([\d.]+) %": lambda found: float(found.groups[0]) == pytest.approx(
            100 * own(found.result) / found.result.block_volume("casting"), abs=0.1),
    }, states=({"feeder_width": 0.0}, {"feeder_width": 0.020, "feeder_height": 0.020},
               {"alloy": "sterling silver", "mould": "dry silica sand", "thickness": 0.015, "heavy": 0.032,
                "feeder_width": 0.018, "neck_width": 0.010, "sleeve_thickness": 0.004},  # sponge
               {"alloy": "A356", "thickness": 0.016, "feeder_width": 0.014, "feeder_height": 0.020})),
    Asked("your_own_part", claims=SOMEBODY_PAID | CASTING_PAID | {
        rf"Its middle was solid after {T}, the middle of a foot after {T}": lambda found:
            same(found.groups[0], found.result.middle_time("bar"))
            and same(found.groups[1], found.result.middle_time("right foot")),
        rf"This one was solid after {T}": gate_solid,
        rf"But feeders gave {V}": lambda found: is_volume(found.groups[0], paid(found.result, "feeder"))
            and found.result.has_feeder,
    }, states=({}, {"turn": "feet up", "feeders": "one at each foot", "feeder_width": 0.034},
               {"feeders": "one at the left foot"})),
]


@pytest.fixture(scope="module", params=every(8, QUESTIONS),
                ids=[f"{asked.lesson}.{asked.begin}" for asked in QUESTIONS])
def begun(request):
    """What is asked, the bench and the question."""
    asked = request.param
    *_, bench, question = getattr(import_module(f"castlab.teach.lessons.{asked.lesson}"), asked.begin)()
    yield asked, bench, question
    let_benches_go()


def states_of(asked, bench):
    """The rare states, then random ones."""
    for values in asked.states:
        bench.start_again()
        bench._move(values)
        yield
    chance = np.random.default_rng(11)
    for _ in range(MOST_TRIES):
        for name, control in bench.controls.items():
            bench._move({name: anywhere(control, chance)})
        yield


def anywhere(control, chance):
    """Some value of a slider or menu."""
    if control.slider.kind == "choice":
        return str(chance.choice(control.slider.options))
    low, _, high = control.range()
    steps = int(round((high - low) / control.slider.step))
    return min(low + control.slider.step * int(chance.integers(steps + 1)), high)


def judged(bench, question):
    """Result and key of the right answer; None for what cannot be cast."""
    try:
        result = bench.solve()
        return result, question._judge(result, METRIC)[0]
    except InputError:
        return None


# ---- tests


def test_no_question_is_left_out():
    code = "".join(path.read_text(encoding="utf-8") for path in TEACH.rglob("*.py"))
    assert len(re.findall(r"(?<!class) Question\(", code)) == len(QUESTIONS)


@pytest.mark.slow
def test_each_wrong_choice_has_short_words_of_its_own(begun):
    _, bench, question = begun
    right, why = question._judge(bench.solve(), METRIC)
    words = []
    for choice in question._choices:
        found = question.answer(choice)
        assert found.right == (choice == right)
        if not found.right:
            words.append(question._slips(bench.solve(), METRIC)[choice])
            assert f".\n{words[-1]}\n{why}" in found.why and found.why.count("\n") == 2
            assert question._choices[right] in found.why
        question.again()
    assert len(set(words)) == len(words) == len(question._choices) - 1
    for each in words:
        assert 8 <= len(each.split()) <= MOST_WORDS and each[0].isupper() and each.endswith("."), each


@pytest.mark.parametrize("states", mostly_slow([QUICK_STATES, STATES], quick=[QUICK_STATES]))
def test_what_the_words_claim_is_so_in_any_state(begun, states, monkeypatch):
    asked, bench, question = begun
    # quick answers must be true to themselves as well, and there can be more of them
    monkeypatch.setattr(bench, "_looks", bench._looks[:1])
    met, count = set(), 0
    for _ in states_of(asked, bench):
        state = judged(bench, question)
        if state is None:
            continue
        count += 1
        slips = question._slips(state[0], METRIC)
        assert set(slips) >= set(question._choices) - {state[1]}
        for choice, words in slips.items():
            if choice != state[1]:
                met |= checked(asked, bench, *state, words)
        if count >= states + len(asked.states):
            break
    assert count >= states and met
    if states == STATES:
        assert met == set(asked.claims), set(asked.claims) - met


def checked(asked, bench, result, right, words):
    """The claims that these words make; each must be so."""
    assert not re.search(r"None|nan|inf\b|-\d| {2}|\.\.", words), words
    met = set()
    for pattern, is_so in asked.claims.items():
        if match := re.search(pattern, words):
            met.add(pattern)
            groups = tuple(match.groups())
            assert is_so(Found(bench, result, right, groups)), (words, bench.values, right)
    return met


@pytest.mark.slow
def test_the_words_speak_inches_as_well(begun):
    _, bench, question = begun
    bench.start_again()
    words = " ".join(question._slips(bench.solve(), INCH_POUND).values())
    assert not re.search(r"\d (?:mm|cm3|g|K|°C)\b", words), words
