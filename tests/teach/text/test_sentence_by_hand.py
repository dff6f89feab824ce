"""The sentence of accounts that are made by hand: which reason is named, and what is said beside it."""

import numpy as np
import pytest
from hand_account import CUBIC_CM, FED, account, hole
from said import said as sentence

from castlab.field.diagnosis import diagnose
from castlab.field.layout import Layout, box
from castlab.materials import mould
from castlab.teach.text.sentence import _named
from castlab.units import METRIC

TOP_OF_BOSS = (0.055, 0.035, 0.0)


def row(*more, up="+y"):
    """Plate, boss and rib side by side, 20, 40 and 20 mm high, and a gate at the plate's end."""
    blocks = (
        box("plate", "casting", (0.0, 0.04), (0.0, 0.02), (-0.02, 0.02)),
        box("boss", "casting", (0.04, 0.07), (0.0, 0.04), (-0.02, 0.02)),
        box("rib", "casting", (0.07, 0.10), (0.0, 0.02), (-0.02, 0.02)),
        box("gate", "gate", (-0.01, 0.0), (0.0, 0.01), (-0.01, 0.01)),
    )
    return Layout((*blocks, *more), (-0.05, -0.05, -0.05), (0.15, 0.15, 0.05), up=up)


def chill(low, high, name="chill", top=0.0):
    return box(name, "chill", (low, high), (top - 0.02, top), (-0.02, 0.02), material=mould("steel chill"))


SPRUE = box("sprue", "gate", (-0.02, -0.01), (0.0, 0.10), (-0.005, 0.005))
FEEDER = box("feeder", "feeder", (0.045, 0.065), (0.04, 0.10), (-0.01, 0.01))
BESIDE = chill(0.0, 0.035)  # under the plate alone
FAR = chill(0.075, 0.10, "iron")  # under the rib alone
UNDER = chill(0.045, 0.065)  # under the boss alone


def unfed(*more, place=None, froze=(), second=None, **changes):
    """The sentence about a sink in the boss of a row without a feeder, solid after 100 s."""
    place = place or hole(centre=TOP_OF_BOSS)
    places = (place, second) if second else (place,)
    times = {"plate": 40.0, "rib": 60.0, "gate": 10.0} | dict(froze)
    return sentence(account(*places, layout=row(*more), froze=times, **changes))


IN_PLATE = hole(block="plate", centre=(0.02, 0.015, 0.0))


@pytest.mark.parametrize(
    "more, changes, reason",
    [
        ((), {}, "it freezes last, 100 s after the pour, and nothing above it is still liquid to feed it; "
                 "the gate is solid after 10 s."),
        ((), dict(froze={"gate": 120.0}),
         "it stays liquid until 100 s after the pour, and the feed path from gate and sprue to it closes "
         "sooner."),
        ((), dict(froze={"gate": 99.6}),  # reads 100 s
         "it freezes last, 100 s after the pour, together with the gate, which must stay liquid longer."),
        ((SPRUE,), dict(froze={"sprue": 150.0}),
         "it stays liquid until 100 s after the pour, but the gate is solid after 10 s and lets nothing "
         "through."),
        ((SPRUE,), dict(froze={"gate": 120.0, "sprue": 10.0}),
         "it stays liquid until 100 s after the pour, but the sprue is solid after 10 s and lets nothing "
         "through."),
        ((SPRUE,), dict(froze={"sprue": 100.0}),  # no later than the boss, so it could not feed it
         "it freezes last, 100 s after the pour, and nothing above it is still liquid to feed it; "
         "the gate is solid after 10 s."),
        ((), dict(place=IN_PLATE),  # the boss is higher and freezes later
         "it stays liquid until 40 s after the pour, and nothing outside the casting is still liquid to feed "
         "it; the gate is solid after 10 s."),
        ((), dict(place=IN_PLATE, froze={"boss": 40.0}),  # later there is only the rib, no higher
         "it stays liquid until 40 s after the pour, and nothing above it is still liquid to feed it; "
         "the gate is solid after 10 s."),
        ((), dict(second=hole("cavity", volume=0.5 * CUBIC_CM)), "boss: it freezes last, 100 s"),
        ((), dict(second=hole(block="rib", volume=0.5 * CUBIC_CM, centre=(0.085, 0.015, 0.0))),
         "rib: the boss freezes last, 100 s"),
    ],
)
def test_why_a_block_without_a_feeder_has_a_hole(more, changes, reason):
    assert reason in unfed(*more, **changes)


@pytest.mark.parametrize(
    "more, changes, said",
    [
        ((BESIDE,), {}, "; the chill lets the plate freeze before it, 40 s after the pour, but brings no"),
        ((BESIDE, FAR), {}, "; the chill lets the plate freeze before it, 40 s after"),
        ((BESIDE, FAR), dict(froze={"rib": 30.0}), "; the chill lets the rib freeze before it, 30 s after"),
        ((BESIDE,), dict(froze={"plate": 96.0}), "; the chill lets the plate freeze before it, 96 s after"),
        ((BESIDE,), dict(froze={"plate": 98.0}), "; a chill brings no metal."),  # not told apart
        ((UNDER,), {}, "; a chill brings no metal."),
        ((BESIDE, chill(0.045, 0.065, "iron")), {}, "; a chill brings no metal."),
        ((chill(-0.03, 0.0),), {}, None),  # meets the plate along an edge
        ((chill(0.0, 0.035, top=-0.001),), {}, None),  # 1 mm of sand between
        ((), {}, None),
        ((BESIDE,), dict(froze={"gate": 120.0}), "closes sooner; the chill lets the plate"),
        ((BESIDE,), dict(froze={"gate": 99.6}), "stay liquid longer; the chill lets the plate"),
        ((BESIDE, SPRUE), dict(froze={"sprue": 150.0}), "lets nothing through; the chill lets the plate"),
    ],
)
def test_what_a_chill_has_to_do_with_it(more, changes, said):
    text = unfed(*more, **changes)
    assert "chill" not in text if said is None else said in text


PLATE, BOSS, RIB, NUMBER_OF = 0, 1, 2, {"plate": 0, "boss": 1, "rib": 2}
ROW_OF_CELLS = np.array([[PLATE, PLATE, BOSS, BOSS, RIB, RIB]])


def fed_beside_chills(*chills, times=(10.0, 20.0, 90.0, 90.0, 30.0, 12.0), metal=(1.0,) * 6, frozen_s=90.0):
    """A sink in the boss, a feeder on it that outlasts it and has enough; six cells of metal in a row."""
    return sentence(account(
        hole(centre=TOP_OF_BOSS, frozen_s=frozen_s), layout=row(FEEDER, *chills),
        froze={"plate": 40.0, "rib": 60.0, "gate": 10.0}, block=ROW_OF_CELLS,
        metal=np.array([metal]), freeze_time_s=np.array([times])))


def test_the_way_beside_a_chill_is_shut_when_the_last_cell_against_the_block_is_solid():
    way = "the feed path from the feeder to it freezes before the boss is solid, 100 s after the pour"
    said = f"{way}; beside the chill the feed path from the {{}} to it is solid after {{}} s."
    assert said.format("plate", 20) in fed_beside_chills(BESIDE)
    assert said.format("rib", 30) in fed_beside_chills(FAR)
    assert said.format("rib", 30) in fed_beside_chills(BESIDE, FAR)  # the last way that was open
    in_turn = (10.0, 50.0, 90.0, 90.0, 30.0, 12.0)
    assert said.format("plate", 50) in fed_beside_chills(BESIDE, FAR, times=in_turn)
    assert said.format("plate", 20) in fed_beside_chills(BESIDE, frozen_s=20.0)


def test_a_way_that_a_chill_did_not_shut_first_is_not_named():
    none = "freezes before the boss is solid, 100 s after the pour."
    assert fed_beside_chills().endswith(none)
    assert fed_beside_chills(BESIDE, FAR, frozen_s=25.0).endswith(none)  # the rib was open until 30 s
    assert fed_beside_chills(UNDER).endswith(none)  # beside the hole itself
    assert fed_beside_chills(BESIDE, metal=(1.0, 0.0, 1.0, 1.0, 1.0, 1.0)).endswith(none)  # no way at all


@pytest.mark.parametrize(
    "feeder_s, said",
    [
        (96.0, ", though it is solid 96 s after the pour and the casting only after 100 s."),
        (98.0, ", though it is solid at nearly the same time as the casting."),
        (102.0, ", though it is solid at nearly the same time as the casting."),
        (104.9, ", though it is solid at nearly the same time as the casting."),  # it reads 100 s too
        (106.0, "; it is liquid until 110 s after the pour, the casting only until 100 s."),
    ],
)
def test_how_long_the_feeder_of_a_sound_casting_was_liquid(feeder_s, said):
    """Two times are told apart where they differ by 3 % and by what is read."""
    froze = {"feeder": feeder_s, "neck": 50.0}
    assert sentence(account(verdict="sound", froze=froze, paid={"feeder": 1.0})).endswith(said)


def test_times_that_read_differently_may_still_be_hardly_different():
    froze, paid = {"feeder": 85.6, "neck": 50.0}, {"feeder": 1.0}
    assert METRIC.time(84.4) != METRIC.time(85.6)
    text = sentence(account(verdict="sound", froze=froze, paid=paid, casting_froze_s=84.4))
    assert "at nearly the same time" in text


ASKED = "the 1.0 cm3 of feed metal needed"


@pytest.mark.parametrize(
    "paid, said",
    [
        ({"feeder": 0.6, "gate": 0.3, "pour": 0.1},
         f"Sound: of {ASKED}, the feeder supplies 0.60 cm3; it is"),
        ({"feeder": 0.45, "gate": 0.3, "pour": 0.25},
         f"Sound: of {ASKED}, gate and sprue supply 0.55 cm3 and the feeder 0.45 cm3."),
        ({"feeder": 0.09, "gate": 0.5, "pour": 0.32}, f"Sound: gate and sprue supply {ASKED}, before"),
        ({"gate": 0.3, "pour": 0.25}, f"Sound: of {ASKED}, gate and sprue supply 0.55 cm3, before they are"),
        ({"feeder": 1.2, "pour": -0.2}, "Sound: the feeder supplies 1.2 cm3 while the metal cools; later it "
                                        "grows as it freezes, and pushes 0.20 cm3 back up the sprue."),
        ({"gate": 1.2, "pour": -0.2}, "Sound: gate and sprue supply 1.2 cm3 while the metal cools; later"),
    ],
)
def test_who_paid_for_a_sound_casting(paid, said):
    text = sentence(account(verdict="sound", paid=paid))
    assert text.startswith(said) and "upper face" not in text


@pytest.mark.parametrize("paid", [{"feeder": 0.97}, {"feeder": 1.3}, {"gate": 0.97}, {"gate": 0.5},
                                  {"feeder": 0.4, "gate": 0.57}])
def test_a_face_that_goes_down_a_little_is_said_whoever_paid(paid):
    for share, is_said in ((0.03, True), (0.01, False)):
        text = sentence(account(verdict="sound", paid=paid | {"dimensional": share}))
        assert text.endswith("not of soundness.") == is_said


def test_a_metal_that_grows_says_by_how_much():
    text = sentence(account(verdict="sound", asked_m3=-0.5 * CUBIC_CM))
    assert text == "Sound: this metal grows as it freezes, by 0.50 cm3 in all, and asks for no feed."


def test_the_words_before_the_reason_follow_the_verdict():
    many = account(verdict="marginal", places=())
    assert sentence(many) == "Marginal: many small holes, 1.0 cm3 in all, none of them large."
    assert unfed(verdict="marginal").startswith("Marginal: a sink of 1.0 cm3 on top of the boss: it freezes")
    assert unfed().startswith("A sink of 1.0 cm3 on top of the boss: it freezes")


def of(share, kind="sink", block="plate"):
    return hole(kind, block, share * CUBIC_CM, (0.02, 0.015))


@pytest.mark.parametrize(
    "places, named",
    [
        ((of(0.86), of(0.14, "sponge")), [("sink", "plate")]),
        ((of(0.86), of(0.14, "cavity")), [("sink", "plate"), ("cavity", "plate")]),  # not sound: never unsaid
        ((of(0.97), of(0.03, "cavity")), [("sink", "plate")]),
        ((of(0.84), of(0.16, "cavity")), [("sink", "plate"), ("cavity", "plate")]),
        ((of(0.4), of(0.3, "cavity"), of(0.3, "sponge")), [("sink", "plate"), ("cavity", "plate")]),
        ((of(0.4, "cavity"), of(0.3), of(0.3)), [("sink", "plate"), ("cavity", "plate")]),
        ([of(0.1, kind, block) for kind in ("cavity", "sink") for block in ("plate", "boss", "rib", "gate")],
         [("cavity", "plate")]),  # none of eight is 15 % of all: the first alone
    ],
)
def test_of_many_holes_two_are_named_and_none_that_is_small(places, named):
    """Of one kind in one block they count as one; from 15 % of all on they are worth naming."""
    found = _named(diagnose(account(*places)))
    assert [(each.kind, each.block) for each in found] == named


def sunk(*more, centre=TOP_OF_BOSS, up="+y"):
    place = hole(centre=centre)
    return sentence(account(place, layout=row(*more, up=up), froze={"rib": 60.0, "lid": 20.0}))


def lid(low, high, bottom=0.04, top=0.06, role="casting"):
    material = None if role == "casting" else mould("steel chill")
    return box("lid", role, (low, high), (bottom, top), (-0.02, 0.02), material=material)


def test_where_a_sink_is():
    assert "on top of the boss" in sunk()
    assert "at the foot of the boss" in sunk(centre=(0.055, 0.015, 0.0))
    assert "that reaches down into the boss" in sunk(lid(0.05, 0.06))  # there is metal on it just there
    assert "on top of the boss" in sunk(lid(0.04, 0.05))  # metal on it, but elsewhere
    assert "on top of the boss" in sunk(lid(0.05, 0.06, top=0.044))  # 4 mm: the foot of a fillet
    assert "on top of the boss" in sunk(lid(0.05, 0.06, role="chill"))
    assert "on top of the boss" in sunk(lid(0.05, 0.06, bottom=0.05, top=0.08))  # higher up, sand between


def test_top_and_foot_change_places_with_gravity():
    assert "at the foot of the boss" in sunk(up="-y")
    assert "on top of the boss" in sunk(centre=(0.055, 0.015, 0.0), up="-y")
    assert "that reaches down into" in sunk(lid(0.05, 0.06, -0.02, 0.0), centre=(0.055, 0.015, 0.0), up="-y")


@pytest.mark.parametrize(
    "changes, said",
    [
        (dict(froze={"feeder": 90.0, "neck": 90.0}),
         "the feeder freezes first, 90 s after the pour, and the boss stays liquid until 100 s."),
        (dict(froze={"neck": 96.0}),
         "the neck freezes first, 96 s after the pour, and the boss stays liquid until 100 s."),
        (dict(froze={"neck": 98.5}, beside=0.6), "the neck freezes together with the boss, 100 s after the"),
        (dict(froze={"boss": 104.9, "neck": 101.0}, beside=0.6),  # 3.7 % apart, but both read 100 s
         "the neck freezes together with the boss, 100 s after the pour; it must stay liquid longer."),
        (dict(froze={"neck": 98.5}, beside=0.4),
         "the feed path from the feeder to it freezes before the boss"),
        (dict(froze={"neck": 100.0}, beside=0.6), "the feeder is stiff with crystals sooner than the boss"),
        (dict(beside=0.6, defect_m3=1.3 * CUBIC_CM), "the feed path from the feeder to it freezes"),
        (dict(beside=0.6, defect_m3=1.3 * CUBIC_CM, paid={"sponge": 0.3}), "the feeder is stiff with"),
        (dict(past=0.6), "the feeder is stiff above what is still liquid in it: no air presses on that, so "
                         "it stays there, and the boss gives its own metal instead; the boss is solid 100 s "
                         "after the pour."),
        (dict(emptied=0.51), "the feed path from the feeder to it freezes"),
        (dict(emptied=0.49, beside=0.6), "the feeder is stiff with crystals"),
        (dict(emptied=0.51, beside=0.6), "the feeder runs empty and holds too little metal: it gives 51 %"),
        (dict(emptied=0.79), "the feed path from the feeder to it freezes"),
        (dict(emptied=0.81), "it gives 81 %, the rest freezes on its walls."),
        (dict(emptied=0.98), "it gives 98 %."),
        (dict(emptied=0.97), "it gives 97 %, the rest freezes on its walls."),
        (dict(emptied=0.6, froze={"feeder": 90.0, "neck": 50.0}),
         "it gives 60 %, the rest freezes on its walls; the neck freezes first, 50 s after the pour"),
        (dict(emptied=0.6, froze={"feeder": 100.0, "neck": 50.0}), "the boss: the neck freezes first"),
    ],
)
def test_what_the_feeder_did_wrong(changes, said):
    assert said in sentence(account(**changes))


def test_a_pipe_means_a_feeder_that_ran_empty_unless_it_was_shut():
    """Or the way closed under a feeder that stays liquid for longer and still holds most of its metal."""
    pipe = hole("pipe_into_casting")
    piped = "pipe of 1.0 cm3 that reaches down into the boss"
    assert f"{piped}: the feeder runs empty" in sentence(account(pipe, emptied=0.6))
    assert f"{piped}: the feed path from the feeder to it freezes" in sentence(account(pipe, emptied=0.1))
    assert "boss: the neck freezes first" in sentence(account(pipe, froze={"neck": 50.0}))


def test_uphill_is_above_all_of_the_feeder_and_says_when_the_first_of_gate_and_sprue_was_solid():
    top = FED.block("feeder").high[1]
    uphill = "it lies higher than the metal in the feeder, and metal does not run uphill"
    above = hole(centre=(0.14, top + 1e-3, 0.0))
    assert f"{uphill}; the gate is solid after 10 s." in sentence(account(above))
    assert f"{uphill}; the sprue is solid after 5.0 s." in sentence(
        account(hole(centre=(0.14, top + 1e-3, 0.0)), froze={"sprue": 5.0}))
    assert "uphill" not in sentence(account(hole(centre=(0.14, top - 1e-3, 0.0))))


def test_a_feeder_has_sunk_by_the_share_that_it_gave_of_its_highest_body():
    """60 mm of feeder on a neck: after three tenths it stands 18 mm lower."""
    body = FED.block("feeder")
    height = body.high[1] - body.low[1]
    made = diagnose(account(emptied=0.3))
    assert made.feeder_top == body.high[1] > made.top_of("boss")
    assert made.feeder_level == pytest.approx(body.high[1] - 0.3 * height)


def test_a_feeder_that_has_sunk_to_a_block_goes_down_with_it():
    """It stands 10 mm higher than the boss and gives half of its 20 mm: then it is no higher."""
    beside = box("feeder", "feeder", (0.10, 0.13), (0.03, 0.05), (-0.01, 0.01))
    for emptied, said in ((0.5, "stands no higher than the boss by then"), (0.45, "no air presses on that")):
        made = account(hole(centre=TOP_OF_BOSS), layout=row(beside), froze={"rib": 60.0}, emptied=emptied,
                       past=0.6)
        assert said in sentence(made)


def test_sponge_is_put_down_to_an_even_temperature_whatever_else_there_is():
    text = sentence(account(hole("sponge"), emptied=0.95))
    assert text.startswith("Sponge in the boss, fine holes of 1.0 cm3 in all between the crystals: the temp")
