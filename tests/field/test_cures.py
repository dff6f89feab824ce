"""The search for cures, driven with made-up outcomes to test its logic, and a few times for real."""

from collections import namedtuple
from dataclasses import replace

import numpy as np
import pytest
from plans import followed

from castlab.errors import InputError
from castlab.field import cure_kinds, cures
from castlab.field.cures import Cure, KindOfCure
from castlab.field.design import design
from castlab.field.holes import Hole
from castlab.field.outcome import COARSE, FULL, Outcome, outcome_of
from castlab.field.parts import PARTS
from castlab.field.rigging import TURNS
from castlab.materials import alloy, mould
from castlab.plan import run_here
from castlab.units import metres, phrase

SOUND = Outcome("sound", last_block="boss", froze_s=100.0, casting_kg=1.0, poured_kg=1.2)


def holes(kind="sink", block="boss", middle=(0.0, 0.0)):
    return {"holes": (Hole(kind, block, 5e-6, middle, 100.0),)}


HOLE = Outcome("defective", **holes(), causes=("no feeder",), defect_m3=5e-6, defect_share=0.05,
               last_block="boss", froze_s=100.0, casting_kg=1.0, poured_kg=1.0)
REFUSED = Outcome("refused", phrase("feeder height is {}: it must be higher; and more", metres(3e-3)))
PLAIN = design("eye plate", alloy("ZA-12"), mould("green sand"), 495.0)
SIZES = tuple(round(10e-3 + 1e-3 * number, 6) for number in range(31))
Pour = namedtuple("Pour", "design look")  # the arguments of a job
FEEDERS = KindOfCure("feeder", "feeder", tuple(
    (size, (("feeder_width", size), ("feeder_height", 0.06))) for size in SIZES), "to be sawn off")


def follow(search, answer):
    """Follow a search with a function from Pour to Outcome; (its answer, all pours that it asked)."""
    found, asked = followed(search, lambda *pour: answer(Pour(*pour)))
    return found, [Pour(*pour) for pour in asked]


def width(pour):
    return pour.design.values.get("feeder_width", 0.0)


def sound_if(test):
    return lambda pour: SOUND if test(pour) else HOLE


def search(answer, kind=FEEDERS, before=HOLE):
    return follow(cures.smallest_sound(PLAIN, kind, before), answer)


# ---- one kind of cure


@pytest.mark.parametrize("least", SIZES)
def test_what_gets_better_all_the_way_is_found_to_the_step(least):
    cure, asked = search(sound_if(lambda pour: width(pour) > least - 1e-9))
    assert cure.works and cure.setting == least
    beyond = None if least == SIZES[-1] else pytest.approx(least + 1e-3)
    assert dict(cure.margin).get("feeder_width") == beyond
    assert sum(pour.look == COARSE for pour in asked) == cures.FIRST_LOOK
    assert sum(pour.look == FULL for pour in asked) <= 6


@pytest.mark.parametrize("low, high", [(20e-3, 24e-3), (10e-3, 13e-3), (30e-3, 40e-3)])
def test_what_first_helps_and_then_harms_is_found_in_its_window(low, high):
    """Windows that one of the six looks (10, 16, 22, 28, 34, 40 mm) falls into."""
    cure, _ = search(sound_if(lambda pour: low - 1e-9 < width(pour) < high + 1e-9))
    assert cure.works and cure.setting == pytest.approx(low)


def test_coarse_cells_that_are_too_strict_do_not_make_the_cure_too_large():
    """Sound from 18 mm on, but on coarse cells only from 34 mm on."""
    cure, _ = search(sound_if(lambda pour: width(pour) > (18e-3 if pour.look == FULL else 34e-3) - 1e-9))
    assert cure.setting == pytest.approx(18e-3)


def test_coarse_cells_that_are_too_lenient_do_not_make_it_too_small():
    cure, _ = search(sound_if(lambda pour: width(pour) > (36e-3 if pour.look == FULL else 12e-3) - 1e-9))
    assert cure.works and cure.setting == pytest.approx(36e-3)


def test_where_none_is_sound_the_setting_that_leaves_least_is_told():
    def answer(pour):
        off = abs(width(pour) - 28e-3)
        return replace(HOLE, defect_m3=1e-6 + off * 1e-4, defect_share=0.01 + off)

    cure, _ = search(answer)
    assert not cure.works and cure.setting == pytest.approx(28e-3) and cure.margin == ()
    assert cure.catch.startswith("leaves 20 % of the hole, in the boss")


def test_what_is_marginal_on_coarse_cells_is_tried_half_way_to_its_neighbours():
    """Sound only at 25 mm, between the looks at 22 and 28 mm."""
    def answer(pour):
        if abs(width(pour) - 25e-3) < 1e-9:
            return SOUND
        share = 0.002 + abs(width(pour) - 25e-3)
        return replace(HOLE, verdict="marginal" if share < 0.006 else "defective", defect_share=share)

    cure, _ = search(answer)
    assert cure.works and cure.setting == pytest.approx(25e-3)


def test_where_nothing_is_sound_the_setting_that_leaves_least_is_named():
    """On coarse cells 22 mm looks best and marginal; on full ones 19 mm, half-way to the look at 16, is."""
    def answer(pour):
        best = 22e-3 if pour.look == COARSE else 19e-3
        share = 0.002 + abs(width(pour) - best)
        return replace(HOLE, verdict="marginal" if share < 0.003 else "defective", defect_share=share)

    cure, asked = search(answer)
    assert not cure.works and cure.setting == pytest.approx(19e-3)
    assert {round(1000 * width(pour)) for pour in asked if pour.look == FULL} == {19, 22, 25}


def test_settings_that_cannot_be_drawn_are_left_out():
    sizes = (4e-3, 5e-3, 20e-3, 30e-3)
    kind = KindOfCure("boss", "smaller boss", tuple((size, (("boss", size),)) for size in sizes))
    cure, asked = search(sound_if(lambda pour: True), kind)
    assert cure.setting == 20e-3 and cure.catch == ""
    assert {pour.design.values["boss"] for pour in asked} == {20e-3, 30e-3}


def test_a_kind_of_cure_of_which_nothing_can_be_drawn_says_why_in_words():
    kind = KindOfCure("boss", "smaller boss", tuple((size, (("boss", size),)) for size in (1e-3, 2e-3)))
    cure, _ = search(lambda pour: outcome_of(pour.design, pour.look), kind)
    assert cure.outcome.refused and not cure.works and cure.added_kg == 0.0
    assert "heavy-end size" in str(cure.catch)


# ---- what is said of it


def test_a_refusal_is_cut_to_its_first_words():
    cure, _ = search(lambda pour: REFUSED)
    assert str(cure.catch) == "feeder height is 3 mm: it must be higher"


@pytest.mark.parametrize("changes, words", [
    ({}, "the boss must still pay as much: nothing outside it is liquid long enough"),
    (holes(block="plate"), "only moves the hole, from the boss into the plate"),
    (holes(block="step 2"), "only moves the hole, from the boss into step 2"),
    ({"defect_m3": 6e-6}, "the hole in the boss becomes larger"),
    ({"defect_m3": 6e-6} | holes(block="plate"), "the hole becomes larger, from the boss into the plate"),
    ({"sponge_m3": 4e-6}, "what is left is sponge in the boss"),
    ({"causes": ("way closes",)} | holes("cavity"), "a shrinkage cavity is left in the boss: the feed path"),
    ({"verdict": "marginal", "holes": (), "causes": ()}, "many small holes are left"),
    ({"defect_m3": 1e-6}, "leaves 20 % of the hole, in the boss: what could feed it is solid"),
])
def test_why_a_cure_fails(changes, words):
    cure, _ = search(lambda pour: replace(HOLE, **changes))
    assert cure.catch.startswith(words) and "_" not in cure.catch


def test_a_chill_that_moves_the_hole_within_its_block_says_so():
    chills = replace(FEEDERS, key="chill under")
    cure, _ = search(lambda pour: replace(HOLE, **holes(middle=(0.0, 0.01))), chills)
    assert cure.catch == "only moves the hole, to another place in the boss"


@pytest.mark.parametrize("changes, words", [
    ({}, "to be sawn off"),
    ({"last_block": "plate"}, "to be sawn off; the plate now freezes last, no longer the boss"),
    ({"froze_s": 140.0}, "to be sawn off; the casting stays liquid longer"),
    ({"sponge_m3": 0.09e-6}, "to be sawn off; a little sponge stays, too little to count"),
    ({"sponge_m3": 0.01e-6}, "to be sawn off"),
])
def test_what_a_cure_that_works_costs_besides(changes, words):
    cure, _ = search(lambda pour: replace(SOUND, **changes))
    assert cure.catch == words and cure.added_kg == pytest.approx(0.2)


# ---- several


def made(key, outcome=HOLE, **values):
    return Cure(key, key, 0.0, (), (), outcome, 0.0, "", **values)


def test_pairs_are_of_one_that_brings_and_one_that_shows_and_both_fail_alone():
    found = [made(cure_kinds.GATE_IN_THIN), made("chill under"), made("core", SOUND), made("boss", REFUSED),
             made("feeder on top")]
    searches = cures.pairs(PLAIN, found, HOLE)
    assert len(searches) == 1
    cure, asked = follow(searches[0], sound_if(lambda pour: pour.design.values["chill_thickness"] > 0.02))
    assert cure.name == "thicker gate into the thin end and steel chill under"
    gate, chill = cure.setting
    assert gate == pytest.approx(12e-3)  # as thick as the plate
    assert chill == pytest.approx(22e-3) and "sawn off" not in cure.key
    assert all(pour.design.values["gate_place"] == "thin end" for pour in asked)


def test_pairs_that_left_least_alone_are_tried_first():
    """Holes of 1 to 6 % alone; of two together the sum counts, and no more than six pairs are tried."""
    left = {cure_kinds.GATE_IN_THIN: 0.06, cure_kinds.GATE_IN_HEAVY: 0.01, "boss": 0.04, "taper": 0.05,
            "thickness": 0.02, "chill under": 0.03}
    found = [made(key, replace(HOLE, defect_share=share)) for key, share in left.items()]
    tried = []
    for each in cures.pairs(PLAIN, found, HOLE):
        cure, _ = follow(each, lambda pour: SOUND)
        gate = cure_kinds.GATE_IN_HEAVY if cure_kinds.GATE_IN_HEAVY in cure.name else cure_kinds.GATE_IN_THIN
        tried.append(left[gate] + next(left[key] for key in left if key in dict(cure.changes)
                                       or key == "chill under" and "chill" in cure.name))
    assert tried == sorted(tried) and len(tried) == 6
    assert tried[:3] == pytest.approx([0.03, 0.04, 0.05])  # gate into the heavy end with 0.02, 0.03, 0.04


def test_in_a_pair_the_gate_grows_with_the_plate():
    both = cures._both(PLAIN, cure_kinds.GATE_IN_THIN, "thickness", ())
    for (gate, plate), _ in both.settings:
        assert gate == pytest.approx(plate)


def test_a_margin_that_fails_is_dropped_and_told():
    cure = made("feeder", SOUND)
    cure = replace(cure, changes=(("feeder_width", 0.02),), margin=(("feeder_width", 0.022),), catch="heavy")
    told, asked = follow(cures.how_sure(PLAIN, cure), sound_if(lambda pour: width(pour) < 0.021))
    assert told.margin == () and told.sure == 8 and told.catch == f"heavy; {cures.TOO_FAR}"
    assert len(asked) == 9
    told, _ = follow(cures.how_sure(PLAIN, cure), sound_if(lambda pour: width(pour) > 0.021))
    assert told.margin == cure.margin and told.sure == 8 and told.catch == "heavy"


def test_how_sure_counts_the_eight_pours():
    def answer(pour):
        return SOUND if pour.design.pour_temp_c > 495.0 else HOLE

    told, asked = follow(cures.how_sure(PLAIN, made("feeder", SOUND)), answer)
    assert told.sure == 4 and len(set(asked)) == 8


def test_the_surest_and_then_the_lightest_stand_first_and_failures_last():
    """Feeders work, squat ones are heavier, sleeved ones lighter but less sure; all else fails."""
    def answer(pour):
        values, hot = pour.design.values, pour.design.pour_temp_c > 495.0
        if values.get("feeder_width", 0.0) < 0.02:
            return replace(HOLE, defect_share=0.04) if values.get("core") else HOLE
        if values["sleeve_thickness"]:
            return HOLE if hot else replace(SOUND, poured_kg=1.1)
        return replace(SOUND, poured_kg=1.5 if values["feeder_height"] < values["feeder_width"] else 1.4)

    found, asked = follow(cures.cures(PLAIN), answer)
    working = [cure for cure in found if cure.works]
    assert [cure.key for cure in working][-1] == "sleeved feeder" and working[-1].sure == 4
    assert all(cure.sure == 8 for cure in working[:-1])
    masses = [cure.outcome.poured_kg for cure in working[:-1]]
    assert masses == sorted(masses) and masses[0] == 1.4
    failing = found[len(working):]
    assert not any(cure.works for cure in failing) and failing[0].key.endswith("core")
    assert [cure.sure for cure in failing] == [None] * len(failing)
    assert asked[0] == Pour(PLAIN, FULL)


def test_what_cannot_be_cast_cannot_be_cured():
    with pytest.raises(InputError, match="possible to cast"):
        run_here(cures.cures(PLAIN.change(boss=0.001)))


# ---- the kinds


@pytest.mark.parametrize("part", PARTS)
def test_every_kind_goes_from_the_least_change_on_and_says_what_it_costs(part):
    kinds = cure_kinds.kinds_of_cure(design(part, alloy("ZA-12"), mould("green sand"), 495.0))
    usual = cure_kinds.usual_sizes(part)
    assert len({kind.key for kind in kinds}) == len(kinds) >= 8
    keys = {kind.key for kind in kinds}
    assert {"feeder on top", "chill under", "cooler pour", cure_kinds.GATE_IN_THIN} <= keys
    for kind in kinds:
        assert kind.remark and "_" not in kind.name + kind.remark, kind
        for setting, changes in kind.settings:
            assert all(name in usual or name == "pour_temp_c" for name, _ in changes)
            assert setting == changes[0][1] or setting in [value for _, value in changes]
        own = [name for name, _ in kind.settings[0][1] if name in cure_kinds.SHAPES[part]]
        for name in own:
            away = [abs(dict(changes)[name] - usual[name]) for _, changes in kind.settings]
            assert away == sorted(away) and away[0] > 0.0


@pytest.mark.parametrize("part", PARTS)
def test_sizes_grow_by_one_step_from_what_is_drawn(part):
    """Steps of 2 mm, so that a cure is found to 2 mm; what is not there yet begins as small as may be."""
    drawn = cure_kinds.usual_sizes(part)
    for kind in cure_kinds.kinds_of_cure(design(part, alloy("ZA-12"), mould("green sand"), 495.0)):
        sizes = [setting for setting, _ in kind.settings]
        if kind.key == "cooler pour" or isinstance(sizes[0], str):
            continue
        steps = np.abs(np.diff(sizes))
        assert steps == pytest.approx(np.full(len(steps), 2e-3), abs=1e-9), kind.key
        name = {cure_kinds.GATE_IN_THIN: "gate_thickness"}.get(kind.key, kind.key)
        if drawn.get(name):
            assert abs(sizes[0] - drawn[name]) == pytest.approx(2e-3), kind.key
        else:
            least = 3e-3 if kind.key == "core" else 2e-3
            assert least <= sizes[0] <= 10e-3, kind.key


@pytest.mark.parametrize("part", PARTS)
def test_what_has_no_place_on_a_round_part_is_not_proposed_there(part):
    """Nothing fits at the side of a hub inside a rim; a gate goes into the rim or skirt."""
    made = design(part, alloy("ZA-12"), mould("green sand"), 495.0)
    keys = {kind.key for kind in cure_kinds.kinds_of_cure(made)}
    flat = {"feeder at the side", "chill at the side", cure_kinds.GATE_IN_HEAVY}
    assert keys & flat == (set() if part in ("sheave", "bollard cap") else flat)


@pytest.mark.parametrize("part, turns", [
    ("eye plate", {"heavy end up", "heavy end down"}), ("step wedge", {"heavy end up", "heavy end down"}),
    ("bracket", {"upside down"}), ("cleat", {"upside down"}), ("bollard cap", {"upside down"}),
    ("sheave", set()),
])
def test_a_part_is_turned_only_as_it_can_lie_and_what_that_costs_is_said(part, turns):
    kinds = cure_kinds.kinds_of_cure(design(part, alloy("ZA-12"), mould("green sand"), 495.0))
    turned = [kind for kind in kinds if kind.key in TURNS]
    assert {kind.key for kind in turned} == turns
    assert all("the mould is made" in kind.remark for kind in turned)
    shaped = [kind for kind in kinds if kind.key in cure_kinds.SHAPES[part] and kind.key != "core"]
    assert shaped and all("no longer as it was drawn" in kind.remark for kind in shaped)


def test_a_turn_is_proposed_though_its_gate_would_have_to_change():
    """A gate of 21 mm fits the thin end as drawn, and not its side, when the plate stands on end."""
    made = PLAIN.change(thickness=24e-3, gate_thickness=21e-3)
    with pytest.raises(InputError, match="gate thickness"):
        made.change(turn="heavy end up").setup()
    assert {"heavy end up", "heavy end down"} < {kind.key for kind in cure_kinds.kinds_of_cure(made)}


def test_a_usual_feeder_is_half_as_high_again_as_wide_and_a_squat_one_lower_than_wide():
    """Common practice; in steps of 5 mm of height, and none lower than a hand can ram, 20 mm."""
    for key, slender in (("feeder on top", 1.5), ("squat feeder on top", 0.6), ("sleeved feeder", 1.5),
                         ("feeder at the side", 1.5)):
        for across, changes in cures.kind_of_cure(PLAIN, key).settings:
            height = dict(changes)["feeder_height"]
            assert height == pytest.approx(max(slender * across, 20e-3), abs=2.51e-3), (key, across)
            assert 1000 * height / 5 == pytest.approx(round(1000 * height / 5))
            assert (dict(changes)["sleeve_thickness"] > 0.0) == (key == "sleeved feeder")


@pytest.mark.parametrize("part", [part for part in PARTS if "core" in cure_kinds.SHAPES[part]])
def test_a_core_that_is_there_grows_from_its_own_size_and_one_that_is_not_begins_at_4_mm(part):
    drawn = design(part, alloy("ZA-12"), mould("green sand"), 495.0)
    for made, least in ((drawn, 4e-3), (drawn.change(core=8e-3), 10e-3)):
        assert cures.kind_of_cure(made, "core").settings[0] == (least, (("core", least),))


@pytest.mark.parametrize("part", PARTS)
def test_a_size_that_is_drawn_grows_or_shrinks_from_that_by_one_step(part):
    """Not from the usual size; and towards the end that its name promises."""
    for name, (words, towards, limit) in cure_kinds.SHAPES[part].items():
        if name == "core":
            continue
        usual = cure_kinds.usual_sizes(part)[name]
        drawn = design(part, alloy("ZA-12"), mould("green sand"), 495.0, **{name: usual + 1e-3})
        sizes = [setting for setting, _ in cures.kind_of_cure(drawn, name).settings]
        assert sizes[0] == pytest.approx(usual + 1e-3 + towards * 2e-3)
        assert 0.0 <= towards * (limit - sizes[-1]) < 2e-3
        assert towards == (-1 if words.startswith(("thinner", "smaller")) else 1)


@pytest.mark.parametrize("key, names", [
    ("feeder on top", {"feeder_place": "on top", "feeder_top": "open", "sleeve_thickness": 0.0}),
    ("squat feeder on top", {"feeder_place": "on top", "feeder_top": "open", "sleeve_thickness": 0.0}),
    ("sleeved feeder", {"feeder_place": "on top", "feeder_top": "open", "sleeve_thickness": 8e-3}),
    ("feeder at the side", {"feeder_place": "at the side", "feeder_top": "open", "sleeve_thickness": 0.0}),
    ("chill under", {"chill_place": "under"}), ("chill at the side", {"chill_place": "at the side"}),
    (cure_kinds.GATE_IN_THIN, {"gate_place": "thin end"}),
    (cure_kinds.GATE_IN_HEAVY, {"gate_place": "heavy end"}),
])
def test_each_kind_changes_what_its_name_says(key, names):
    for size, changes in cures.kind_of_cure(PLAIN, key).settings:
        changed = dict(changes)
        assert names.items() <= changed.items() and size in changed.values()
        assert changed.get("neck_width", 0.0) == 0.0
        assert size > 4e-3 or key != cure_kinds.GATE_IN_THIN  # thicker than it is


def test_a_cooler_pour_goes_down_by_5_kelvin():
    cooler = cures.kind_of_cure(PLAIN, "cooler pour")
    temps = [PLAIN.pour_temp_c, *(setting for setting, _ in cooler.settings)]
    assert np.diff(temps) == pytest.approx(np.full(len(temps) - 1, -5.0))
    assert temps[-1] - 5.0 < PLAIN.alloy.pour_range_c[0]


def test_a_cooler_pour_stays_in_the_range_of_the_alloy():
    low, high = PLAIN.alloy.pour_range_c
    temps = [setting for setting, _ in cures.kind_of_cure(PLAIN, "cooler pour").settings]
    assert temps[0] < PLAIN.pour_temp_c and temps == sorted(temps, reverse=True) and temps[-1] >= low
    coldest = cure_kinds.kinds_of_cure(replace(PLAIN, pour_temp_c=low))
    assert all(each.key != "cooler pour" for each in coldest)


# ---- the real thing


@pytest.mark.slow
def test_a_real_cure_is_sound_and_one_step_less_is_not():
    kind = cures.kind_of_cure(PLAIN, cure_kinds.GATE_IN_HEAVY)
    cure = run_here(cures.smallest_sound(PLAIN, kind, outcome_of(PLAIN)))
    at = [setting for setting, _ in kind.settings].index(cure.setting)
    assert cure.works and outcome_of(PLAIN.change(**dict(cure.changes))).sound
    assert not outcome_of(PLAIN.change(**dict(kind.settings[at - 1][1]))).sound


@pytest.mark.slow
def test_where_nothing_outside_pays_long_enough_a_chill_only_cools():
    """Through a gate of 2 mm little can come, and that only as long as it is hot from the pour."""
    plain = PLAIN.change(gate_thickness=2e-3)
    before = outcome_of(plain)
    cure = run_here(cures.smallest_sound(plain, cures.kind_of_cure(plain, "chill under"), before))
    assert not cure.works and cure.outcome.defect_m3 > 0.8 * before.defect_m3
    assert cure.outcome.froze_s < 0.7 * before.froze_s
    assert "what could feed it is solid or shut off too early" in cure.catch
