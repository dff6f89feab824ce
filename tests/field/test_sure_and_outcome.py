"""A pour in short, and the eight pours across the bands of the data."""

import itertools
import pickle
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hand_account import CUBIC_CM, account, hole

from castlab.errors import InputError
from castlab.field import outcome
from castlab.field.design import Design, design
from castlab.field.diagnosis import CAUSES
from castlab.field.freeze import QUICK, freeze
from castlab.field.holes import Hole, Place
from castlab.field.layout import Setup
from castlab.field.outcome import COARSE, FINE, FULL, Outcome, outcome_of, pour, summary_of
from castlab.field.shrinkage import shrinkage
from castlab.field.sure import EIGHT, POUR_BAND_K, THINGS, across_bands, tipped_by
from castlab.materials import alloy, mould, values

PLAIN = design("eye plate", alloy("ZA-12"), mould("green sand"), 495.0)


def test_an_outcome_is_the_account_in_short():
    account = shrinkage(freeze(PLAIN.setup(), 3e-3))
    found = outcome_of(PLAIN)
    assert (found.verdict, found.defect_m3, found.sponge_m3) == (
        account.verdict, account.defect_m3, account.paid_m3["sponge"])
    assert (found.kind, found.block) == (account.holes[0].kind, account.holes[0].block)
    assert found.look == FULL and found.holes == account.holes
    assert found.cause in CAUSES and not found.sound and found.refused == ""
    assert found.last_block == "boss" and found.froze_s == pytest.approx(account.casting_froze_s)


def test_masses_are_those_of_the_drawing():
    """By hand: plate 120 x 12 x 40 mm, boss a cube of 40 mm; gate and sprue come on top."""
    found, density = outcome_of(PLAIN, COARSE), PLAIN.alloy.density_solid
    assert found.casting_kg == pytest.approx(density * (0.120 * 0.012 * 0.040 + 0.040**3), rel=1e-6)
    assert found.casting_kg < found.poured_kg and 0.8 < found.yield_share < 1.0


def test_a_sound_outcome_names_no_hole():
    found = outcome_of(PLAIN.change(feeder_width=0.04, feeder_height=0.03), COARSE)
    assert found.sound and found.cause == ""


def test_a_sound_casting_with_a_hole_too_small_to_count_has_no_cause():
    account = pour(PLAIN.change(feeder_width=0.04, feeder_height=0.03), COARSE)
    account.__dict__["places"] = (Place("sink", 1e-9, (0.14, 0.0), "boss", 100.0),)
    found = summary_of(account)
    assert found.sound and (found.kind, found.cause) == ("sink", "")


LAYERS_M = np.array([0.0, 4e-3, 10e-3])  # of the cells of the account by hand, from the middle to the front


def by_hand(*places, layer=0, **changes):
    """An account by hand of 200 cm3 of metal, 120 of them casting, 7 g/cm3 when solid.

    Each block has one cell in each of two layers; all holes are in one `layer`.
    """
    made = account(*places, casting_m3=120.0 * CUBIC_CM, defect_share=1.0 / 120.0, **changes)
    made.run.setup = SimpleNamespace(alloy=replace(alloy("ZA-12"), density_solid=7000.0))
    grid, names = made.run.grid, [body.name for body in made.run.grid.layout.blocks]
    shape = len(names), 1, len(LAYERS_M) - 1
    grid.block = np.broadcast_to(np.arange(len(names))[:, None, None], shape)
    grid.metal_volume = np.full(shape, 200.0 * CUBIC_CM / np.prod(shape))
    grid.planes, grid.edges = ((2, 0.0),), (np.arange(7.0), np.arange(2.0), LAYERS_M)
    grid.centres = tuple(0.5 * (edge[1:] + edge[:-1]) for edge in grid.edges)
    made.void_of = {each.kind: np.zeros(shape) for each in made.places}
    for each in made.places:
        made.void_of[each.kind][names.index(each.block), 0, layer] += each.volume_m3
    return made


def test_an_account_in_short_by_hand():
    """The feeder freezes after the boss and is no part of the casting; the first place is the largest."""
    first, second = hole("cavity", volume=0.6 * CUBIC_CM), hole(volume=0.2 * CUBIC_CM, block="plate")
    found = summary_of(by_hand(first, second, paid={"sponge": 0.2}))
    assert (found.last_block, found.froze_s) == ("boss", 100.0)
    assert (found.kind, found.block, found.holes[0].middle) == ("cavity", "boss", first.centre)
    assert (found.verdict, found.defect_m3, found.sponge_m3) == ("defective", CUBIC_CM, 0.2 * CUBIC_CM)
    assert (found.casting_kg, found.poured_kg) == pytest.approx((0.84, 1.4))
    assert found.yield_share == pytest.approx(0.6) and found.cause == "way closes"
    assert found.defect_share == 1.0 / 120.0 and found.refused == ""


def test_where_the_largest_hole_shows_best():
    """In the middle plane where it cuts the hole, or else in the middle of the layer where the hole is."""
    assert summary_of(by_hand()).off_middle_m == 0.0
    assert summary_of(by_hand(layer=1)).off_middle_m == pytest.approx(7e-3)


@pytest.mark.parametrize("thickness", [12e-3, 4.5e-3])
@pytest.mark.parametrize("look, cell, pace", [(COARSE, 6e-3, QUICK), (FULL, 3e-3, 1.0), (FINE, 2e-3, 1.0)])
def test_only_a_coarse_look_hurries_and_all_keep_their_cells(look, cell, pace, thickness, monkeypatch):
    """A thin section gets cells of its own."""
    asked = asked_of(monkeypatch)
    assert outcome_of(PLAIN.change(thickness=thickness), look).kind == "sink"
    assert [(round(each, 9), hurry) for each, hurry in asked] == [(cell, pace)]


def test_a_large_casting_gets_larger_cells_in_each_look(monkeypatch):
    """400 x 300 mm; a fine look's cells are two thirds of an answer's here too."""
    asked = asked_of(monkeypatch)
    for look in (COARSE, FULL, FINE):
        outcome_of(PLAIN.change(length=0.4, width=0.3), look)
    (coarse, _), (full, _), (fine, _) = asked
    assert coarse > 6e-3 and full > 3e-3 and fine == pytest.approx(full * 2.0 / 3.0)


def asked_of(monkeypatch):
    """What cells and pace a pour asks for: a list, to which each pour adds. Nothing is solved."""
    asked = []

    def freezing(setup, cell, pace):
        asked.append((cell, pace))
        yield

    def accounting(run, at_rest):
        yield
        return by_hand()
    monkeypatch.setattr(outcome, "freezing", freezing)
    monkeypatch.setattr(outcome, "accounting", accounting)
    return asked


def test_a_design_and_its_setup_give_the_same():
    assert outcome_of(PLAIN, COARSE) == outcome_of(PLAIN.setup(), COARSE)


def test_holes_of_one_kind_in_one_block_count_as_one_and_the_largest_stands_first():
    places = (hole("cavity", volume=0.5 * CUBIC_CM), hole("sink", "plate", 0.4 * CUBIC_CM),
              hole("sink", "plate", 0.3 * CUBIC_CM), hole("sink", "boss", 0.1 * CUBIC_CM))
    found = summary_of(by_hand(*places))
    assert [(each.kind, each.block) for each in found.holes] == [
        ("sink", "plate"), ("cavity", "boss"), ("sink", "boss")]
    assert [each.volume_m3 for each in found.holes] == pytest.approx([0.7e-6, 0.5e-6, 0.1e-6])
    assert found.size("sink", "plate") == pytest.approx(0.7e-6) and found.size("cavity", "plate") == 0
    assert found.is_largest("sink", "plate") and not found.is_largest("cavity", "boss")
    assert found.causes == ("way closes",) and found.refused == ""
    assert (found.casting_m3, found.poured_kg) == pytest.approx((120e-6, 1.4))


def test_the_largest_of_many_holes():
    made = (Hole("sink", "boss", 2e-6, (0.0, 0.0), 9.0), Hole("cavity", "rib", 1e-6, (0.0, 0.0), 9.0))
    found = Outcome("defective", holes=made, causes=("no feeder",))
    assert (found.size("sink", "boss"), found.size("cavity", "rib")) == (2e-6, 1e-6)
    assert found.size("sink", "rib") == found.size("cavity", "boss") == 0.0
    assert found.is_largest("sink", "boss") and not found.is_largest("cavity", "rib")
    assert not Outcome("sound").is_largest("sink", "boss") and Outcome("sound").cause == ""


def test_the_holes_of_a_pour_add_up_to_its_defects():
    found = outcome_of(PLAIN, COARSE)
    assert sum(each.volume_m3 for each in found.holes) == pytest.approx(found.defect_m3, rel=0.1)
    assert found.casting_m3 * PLAIN.alloy.density_solid == pytest.approx(found.casting_kg)


@pytest.mark.parametrize("bad", [None, float("nan"), (0.01,)])
def test_a_size_that_is_no_number_never_gets_into_a_design(bad):
    with pytest.raises(InputError, match="boss depth"):
        PLAIN.change(boss_depth=bad)


def test_what_cannot_be_cast_is_an_outcome_in_words():
    found = outcome_of(PLAIN.change(boss=0.001), COARSE)
    assert found.verdict == "refused" and "heavy-end size" in str(found.refused)
    assert not found.sound and found.yield_share == 0.0


def test_of_what_cannot_be_cast_nothing_is_told_but_why():
    found = outcome_of(PLAIN.change(boss=0.001), COARSE)
    told = {name for name, value in vars(found).items() if value not in (0, "", (), None)}
    assert told == {"verdict", "refused"}


def test_a_design_pours_as_a_setup_does_where_nothing_is_said():
    said = PLAIN.setup()
    assert said == Setup(said.layout, PLAIN.alloy, PLAIN.mould, PLAIN.pour_temp_c)
    made = Design(PLAIN.part, PLAIN.sizes, PLAIN.alloy, PLAIN.mould, PLAIN.pour_temp_c)
    assert made == PLAIN and PLAIN.change() == PLAIN


def test_outcomes_travel_between_processes():
    found = outcome_of(PLAIN, COARSE)
    assert pickle.loads(pickle.dumps(found)) == found


def test_the_eight_hold_each_pair_of_ends_of_any_two_things_twice():
    for first, second in itertools.combinations(range(4), 2):
        pairs = [(ends[first], ends[second]) for ends in EIGHT]
        assert sorted(pairs) == sorted([(-1, -1), (-1, 1), (1, -1), (1, 1)] * 2)


def test_the_eight_lie_at_the_ends_of_the_bands_of_the_data():
    known = (*values("ZA-12"), *values("green sand"))
    bands = {value.quantity: {value.low, value.high} for value in known}
    eight = across_bands(PLAIN)
    assert {each.mould.conductivity for each in eight} == bands["conductivity"]
    assert {each.alloy.latent_heat for each in eight} == bands["latent_heat"]
    assert {each.alloy.freezing_contraction for each in eight} == bands["freezing_contraction"]
    assert {each.pour_temp_c for each in eight} == {495.0 - POUR_BAND_K, 495.0 + POUR_BAND_K}
    assert len(set(eight)) == 8 and all(each.sizes == PLAIN.sizes for each in eight)


def test_each_of_the_eight_has_the_ends_that_its_row_says():
    """Or what tips a verdict would be told the wrong way round."""
    for ends, each in zip(EIGHT, across_bands(PLAIN), strict=True):
        moved = (each.mould.conductivity - PLAIN.mould.conductivity,
                 each.alloy.latent_heat - PLAIN.alloy.latent_heat,
                 each.alloy.freezing_contraction - PLAIN.alloy.freezing_contraction,
                 each.pour_temp_c - PLAIN.pour_temp_c)
        assert all(end * change > 0.0 for end, change in zip(ends, moved, strict=True))


def test_no_pour_of_the_eight_is_below_the_liquidus():
    cold = design("eye plate", alloy("ZA-12"), mould("green sand"), alloy("ZA-12").liquidus_c + 2.0)
    assert min(each.pour_temp_c for each in across_bands(cold)) == cold.alloy.liquidus_c


def test_a_hot_mould_moves_within_the_band_of_its_hot_value():
    hot = design("eye plate", alloy("tin bronze"), mould("dry silica sand", hot=True), 1150.0)
    band = next(each for each in values("dry silica sand") if each.quantity == "conductivity_hot")
    assert {each.mould.conductivity for each in across_bands(hot)} <= {band.low, band.high, band.value}


def test_a_metal_that_is_not_in_the_data_has_no_bands():
    with pytest.raises(InputError, match="made by hand"):
        across_bands(replace(PLAIN, alloy=replace(PLAIN.alloy, name="made by hand")))


@pytest.mark.parametrize("at", range(4))
@pytest.mark.parametrize("end, word", [(1, "high"), (-1, "low")])
def test_what_tips_it_is_what_goes_with_the_holes(at, end, word):
    shares = [0.02 if ends[at] == end else 0.001 for ends in EIGHT]
    assert tipped_by(shares) == (THINGS[at], word)


def test_more_contraction_makes_more_hole():
    """The data's band of contraction alone changes the hole by about its own share."""
    shares = [outcome_of(each, COARSE).defect_share for each in across_bands(PLAIN)]
    assert tipped_by(shares) == ("contraction", "high")
