"""Cures for own parts: at their hot spots, each setting can be cast; a founder's answer for the handle."""

import pickle

import pytest

from castlab import InputError, alloy, freeze, mould, shrinkage
from castlab.field.cure_kinds import kind_of_cure, kinds_of_cure, usual_sizes
from castlab.field.cures import smallest_sound
from castlab.field.design import design
from castlab.field.example_parts import door_handle, figure
from castlab.field.hot_spots import hot_spots
from castlab.field.outcome import COARSE, FULL, outcome_of
from castlab.field.own_cures import spots_in_need
from castlab.field.placed import Feeder, rigging_of, sizes_of
from castlab.field.sure import across_bands
from castlab.plan import run_here

HANDLE = design(door_handle(), alloy("ZA-12"), mould("green sand"), 475.0)


@pytest.fixture(scope="module")
def spots():
    run = freeze(HANDLE.setup(), 4e-3)
    return hot_spots(run, shrinkage(run))


def test_both_feet_are_in_need(spots):
    needy = spots_in_need(spots)
    assert len(needy) == 2
    assert sorted(round(spot.place[0], 2) for spot in needy) == [
        pytest.approx(x, abs=0.012) for x in (-0.055, 0.055)
    ]


def test_kinds_of_an_own_part_stand_at_its_spots(spots):
    kinds = {kind.key: kind for kind in kinds_of_cure(HANDLE, spots)}
    assert {"feeder on top", "one feeder", "chill under", "cooler pour", "-y up"} <= set(kinds)
    for _, changes in kinds["feeder on top"].settings:
        feeders = rigging_of(HANDLE.change(**dict(changes)).values)["feeder"]
        assert sorted(round(each.x, 2) for each in feeders.values()) == [
            pytest.approx(x, abs=0.012) for x in (-0.055, 0.055)
        ]
    assert all(kind.remark for kind in kinds.values())
    assert {kind.key for kind in kinds_of_cure(HANDLE)} >= {"cooler pour", "-y up"}  # what needs no spot


def test_most_settings_can_be_cast(spots):
    for kind in kinds_of_cure(HANDLE, spots):
        able = 0
        for _, changes in kind.settings:
            try:
                able += bool(HANDLE.change(**dict(changes)).setup())
            except InputError:
                continue
        assert able > 0.5 * len(kind.settings) or kind.key in ("feeder at the side", "chill at the side")


def test_feeders_that_are_there_can_be_larger(spots):
    fed = HANDLE.change(**sizes_of("feeder", 1, Feeder(0.055, 0.0, 0.0, width=0.02, height=0.05)))
    kind = kind_of_cure(fed, "larger feeders", spots)
    setting, changes = kind.settings[-1]
    assert setting == pytest.approx(0.04) and dict(changes)["feeder_1_height"] == pytest.approx(0.1)


def test_usual_sizes_are_those_of_its_bodies():
    assert usual_sizes(door_handle())["bar height"] == 0.014


def test_own_parts_travel_and_are_moved_across_the_bands():
    own = design(figure(), alloy("ZA-12"), mould("green sand"), 475.0)
    assert pickle.loads(pickle.dumps(own)) == own
    eight = across_bands(HANDLE)
    assert len(set(eight)) == 8 and all(each.part == HANDLE.part for each in eight)


def test_a_close_look_finds_the_spots_and_a_coarse_one_does_not():
    assert outcome_of(HANDLE, COARSE).spots == ()


@pytest.mark.slow
def test_the_smallest_feeders_for_the_handle_are_about_those_by_rule():
    """By rule 28 mm for a modulus of 5 mm; ZA-12 freezes with a skin and asks for less, but not half."""
    before = outcome_of(HANDLE, FULL)
    cure = run_here(smallest_sound(HANDLE, kind_of_cure(HANDLE, "feeder on top", before.spots), before))
    assert cure.works and 0.012 <= cure.setting <= 0.030
