"""The window map: verdicts, the plan that checks borders, and the map beside a bench. Without a browser."""

import io
import math
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from castlab import alloy, mould, parts
from castlab.errors import InputError
from castlab.field.bodies import prism
from castlab.field.grid_lines import thinnest_section
from castlab.field.holes import Hole
from castlab.field.layout import Setup, box
from castlab.field.outcome import COARSE, FULL, Outcome, outcome_of, summary_of
from castlab.plan import run_here
from castlab.teach.bench import filling, ready_made
from castlab.teach.bench.casting import solve_casting
from castlab.teach.bench.controls import control_of
from castlab.teach.bench.filling import fills
from castlab.teach.panels import window_map
from castlab.teach.panels.map_picture import LOOKS, NOT_YET, Axis, MapPicture, MapScene, tile_of
from castlab.teach.panels.map_verdict import (
    KINDS,
    kind_of,
    outcome_on_map,
)
from castlab.teach.panels.window_map import WindowMap, stops, survey, unchecked
from castlab.units import INCH_POUND, METRIC

LONG = 300.0
SIDE = 3


def poured(thickness=0.012, pour_temp_c=495.0, **more):
    return Setup(parts.eye_plate(thickness, **more), alloy("ZA-12"), mould("green sand"), pour_temp_c)


# ---- verdicts


@pytest.mark.parametrize("feeder", [0.0, 0.028, 0.050])
def test_the_map_says_what_the_bench_says(feeder):
    setup = poured(feeder_width=feeder, feeder_height=0.06)
    casting, found = solve_casting(setup, COARSE), outcome_on_map(setup, COARSE)
    assert found == summary_of(casting.account, COARSE)
    assert found.defect_m3 == pytest.approx(casting.casting_paid_m3)
    assert (kind_of(found) == "sound") == casting.sound
    if not casting.sound:
        sentence = casting.sentence(METRIC).lower()
        assert kind_of(found) in sentence and f"the {found.block}" in sentence


def test_an_outcome_is_small_on_its_way():
    import pickle

    assert len(pickle.dumps(outcome_on_map(poured(), COARSE))) < 1500


def test_a_thin_section_poured_cool_is_a_misrun_and_says_by_which_rule():
    found = outcome_on_map(poured(thickness=0.004, pour_temp_c=450.0), FULL)
    assert kind_of(found) == "misrun" and "rule of thumb" in found.refused and found.look is None
    assert fills(poured(thickness=0.012, pour_temp_c=450.0))


def test_the_misrun_goes_with_the_section_or_its_square_as_sand_or_its_contact_holds_the_heat_back():
    """In thick sand heat flows off with the root of time, so running time goes with thickness squared; where
    nearly all is held back at the contact, with thickness. Green sand lies between the two."""
    def ratio(contact):
        around = replace(mould("green sand"), interface_coefficient=contact)
        thin, thick = (filling.running_s(replace(poured(each), mould=around)) for each in (0.006, 0.012))
        return thick / thin

    assert ratio(math.inf) == pytest.approx(4.0) and ratio(1e-3) == pytest.approx(2.0, rel=1e-3)
    assert 2.0 < ratio(mould("green sand").interface_coefficient) < 4.0


def test_a_pour_slower_than_the_metal_runs_does_not_fill():
    setup = poured(thickness=0.012)
    runs = filling.running_s(setup)
    assert fills(replace(setup, pour_time_s=0.99 * runs))
    assert not fills(replace(setup, pour_time_s=1.01 * runs))


def test_a_colder_mould_stops_metal_sooner():
    warm, cold = (replace(poured(), mould_temp_c=celsius) for celsius in (150.0, 20.0))
    assert filling.running_s(cold) < filling.running_s(warm)


def test_what_cannot_be_computed_is_an_outcome_of_its_own():
    """The feeder is a body of its own, in the air."""
    setup = poured(feeder_width=0.028, feeder_height=0.06)
    up = [replace(body, low=(body.low[0], body.low[1] + 0.01, body.low[2])) if body.name == "feeder" else body
          for body in setup.layout.blocks]
    found = outcome_on_map(replace(setup, layout=replace(setup.layout, blocks=tuple(up))), COARSE)
    assert kind_of(found) == "cannot be cast" and "feeder" in str(found.refused)


def test_the_thinnest_section_counts_depth_diameter_wall_and_the_mean_of_a_wedge():
    assert thinnest_section(parts.eye_plate(thickness=0.02, width=0.008)) == 0.008
    layout = parts.sheave(thickness=0.012, hub=0.008, rim=0.02)
    assert thinnest_section(layout) == 0.008  # the hub's diameter, not its radius
    assert thinnest_section(parts.sheave(thickness=0.012, rim=0.009)) == 0.009
    wedge = prism("wedge", "casting", "z", [(0.0, 0.0), (0.1, 0.0), (0.1, 0.02)], (-0.025, 0.025))
    gate = box("gate", "gate", (0.1, 0.11), (0.0, 0.01), (-0.01, 0.01))
    layout = replace(parts.eye_plate(), blocks=(wedge, gate))
    assert thinnest_section(layout) == pytest.approx(0.010)


# ---- the plan


def fake_outcomes(kind_on):
    """A stand-in for the computation that remembers what it was asked."""
    asked = []

    def fake(setup, look):
        asked.append((setup, look))
        return made(kind_on(setup, look), look)

    fake.asked = asked
    return fake


def made(kind, look):
    """An outcome of that kind."""
    if kind == "sink":
        return Outcome("defective", look=look, holes=(Hole("sink", "boss", 1e-6, (0.0, 0.0), 9.0),))
    return Outcome(kind, look=None if kind == "misrun" else look)


def line_of_setups(count=6):
    return {(number, 0): poured(thickness=0.012 + 0.001 * number) for number in range(count)}


def test_both_sides_of_a_border_are_computed_again_on_fine_cells(monkeypatch):
    setups = line_of_setups()
    border = setups[3, 0]
    thick = lambda setup, look: "sink" if thinnest_section(setup.layout) >= 0.015 else "sound"  # noqa: E731
    fake = fake_outcomes(thick)
    monkeypatch.setattr(window_map, "outcome_on_map", fake)
    found = run_here(survey(setups, {}))
    fine = [setup for setup, look in fake.asked if look == FULL]
    assert fine == [setups[2, 0], border] and len(fake.asked) == 8
    assert found[border] == made("sink", FULL) and found[setups[5, 0]].look == COARSE


def test_a_border_that_moves_on_fine_cells_is_followed(monkeypatch):
    """Coarse cells put the border after the first; fine ones after the fourth. All on the way are checked."""
    setups = line_of_setups()

    def kind(setup, look):
        border = 0.0125 if look == COARSE else 0.0155
        return "sound" if thinnest_section(setup.layout) < border else "sink"

    monkeypatch.setattr(window_map, "outcome_on_map", fake_outcomes(kind))
    found = run_here(survey(setups, {}))
    assert [kind_of(found[setup]) for setup in setups.values()] == ["sound"] * 4 + ["sink"] * 2
    assert unchecked(setups, found) == []


def test_equal_setups_are_computed_once_and_known_ones_not_at_all(monkeypatch):
    same = poured()
    setups = {(0, 0): same, (0, 1): poured(), (1, 0): poured(0.014)}
    fake = fake_outcomes(lambda setup, look: "sound")
    monkeypatch.setattr(window_map, "outcome_on_map", fake)
    run_here(survey(setups, {poured(0.014): made("sound", COARSE)}))
    assert fake.asked == [(same, COARSE)]


def test_the_map_is_soon_seen_in_outline(monkeypatch):
    """A sixteenth of the settings, spread over all of it, comes before the rest."""
    setups = {(x, y): poured(0.012 + 0.001 * x, 450.0 + 5.0 * y) for x in range(8) for y in range(8)}
    fake = fake_outcomes(lambda setup, look: "sound")
    monkeypatch.setattr(window_map, "outcome_on_map", fake)
    run_here(survey(setups, {}))
    spots = {setup: spot for spot, setup in setups.items()}
    assert {spots[setup] for setup, _ in fake.asked[:4]} == {(0, 0), (0, 4), (4, 0), (4, 4)}
    assert len(fake.asked) == 64


def test_a_misrun_border_needs_no_finer_cells(monkeypatch):
    setups = line_of_setups(2)
    fake = fake_outcomes(lambda setup, look: "misrun" if setup == setups[0, 0] else "sound")
    monkeypatch.setattr(window_map, "outcome_on_map", fake)
    run_here(survey(setups, {}))
    assert {look for _, look in fake.asked} == {COARSE}


# ---- beside a bench


@pytest.fixture(scope="module")
def full():
    """A bench with its small map, computed once for all tests."""
    bench = ready_made.eye_plate_bench()
    small = WindowMap(bench, "feeder_width", "feeder_height", count=SIDE)
    small.compute()
    small.wait(LONG)
    return small


@pytest.fixture
def small(full):
    full.bench.start_again()
    full.bench.speak(METRIC)
    full.bench.reveal()
    full.choose("feeder_width", "feeder_height")
    return full


def picture(window):
    return np.array(Image.open(io.BytesIO(window._image.value)).convert("RGB"))


def test_the_map_holds_what_the_bench_computes_there(small):
    assert set(small.outcomes) == {(column, row) for column in range(SIDE) for row in range(SIDE)}
    for column, row in ((0, 0), (2, 2)):
        small.jump(column, row)
        found = small.outcomes[column, row]
        assert found == outcome_of(small.bench.setup(), found.look)
    assert small.kinds[0, 0] == "sink" and small.kinds[2, 2] == "sound"


def test_no_border_is_left_unchecked(small):
    checked = {spot for spot, outcome in small.outcomes.items() if outcome.look == FULL}
    assert checked
    for column, row in small.kinds:
        for other in ((column + 1, row), (column, row + 1)):
            if small.kinds.get(other, small.kinds[column, row]) != small.kinds[column, row]:
                assert {(column, row), other} <= checked


def test_what_is_known_comes_back_at_once(small):
    before = dict(small.outcomes)
    small.choose("thickness", "boss")
    assert small.kinds == {} and "Nothing is computed yet" in small.sentence
    small.choose("feeder_width", "feeder_height")
    assert small.outcomes == before
    small.compute()
    assert small.wait(LONG) is None and "Done: 0 computed" in small.work.words


def test_the_mark_moves_with_the_slider(small):
    small.jump(0, 0)
    before = picture(small)
    assert small._here() == (0.0, 0.0)
    widget = small.bench.controls["feeder_width"].widget
    widget.value = widget.value + 14.0  # as a browser does
    assert small._here() == (0.5, 0.0)
    assert (picture(small) != before).any()


@pytest.mark.slow
def test_jump_and_step_move_the_bench(small):
    small.jump(1, 2)
    assert small.bench.values["feeder_width"] == 0.028 and small.bench.values["feeder_height"] == 0.080
    small.step(1, -1)
    assert small.bench.values["feeder_width"] == 0.056 and small.bench.values["feeder_height"] == 0.050
    small.step(5, -5)  # the map's edge holds
    assert small._here() == (2.0, 0.0)


@pytest.mark.slow
def test_buttons_do_the_same(small):
    small.jump(1, 1)
    buttons = {button.description: button for button in small.widget.children[-2].children}
    buttons["→ bench"].click()
    buttons["↓ bench"].click()
    assert small._here() == (2.0, 0.0)
    small._look[0].index, small._look[1].index = 0, 2
    small._go()
    assert small._here() == (0.0, 2.0) and small.bench.alert == ""


def test_the_frame_is_read_out(small):
    small._look[0].index = small._look[1].index = 2
    assert small.looked_at.startswith("In the frame: sound")
    small._look[0].index = 0
    words = small.looked_at
    assert words.startswith("In the frame: sink in the boss, holes of") and "cells of" in words


@pytest.mark.slow
def test_other_settings_make_the_map_old_and_stop_its_work(small):
    small.choose("thickness", "boss")
    small.compute()
    assert small.work.running
    before = picture(small).mean()
    small.bench.set(pour_temp_c=500.0)
    assert "for other settings" in small.sentence and picture(small).mean() > before
    small.work.wait(LONG)
    assert "Stopped" in small.work.words or "Done" in small.work.words
    small.bench.start_again()
    assert "for other settings" not in small.sentence


def test_a_hidden_bench_hides_its_map(small):
    seen = picture(small)
    small.bench.hide()
    assert "hidden" in small.sentence and "not computed" in small.looked_at
    assert small._compute_button.disabled and (picture(small) != seen).any()
    small.compute()
    assert not small.work.running
    small.bench.reveal()
    assert (picture(small) == seen).all()


def test_the_map_speaks_the_benchs_units(small):
    assert "mm" in small._axes[0].label and small._axes[0].ticks == ("0", "28", "56")
    small.bench.speak(INCH_POUND)
    assert "[in]" in small._axes[0].label and small._axes[0].ticks[1] == "1.10"
    assert "in" in small.looked_at.split("cells of")[1]


def test_a_slider_is_never_on_both_sides(small):
    small._across.value = "feeder_height"
    assert (small._across.value, small._up.value) == ("feeder_height", "feeder_width")
    with pytest.raises(InputError, match="different"):
        small.choose("boss", "boss")
    with pytest.raises(InputError, match="alloy"):
        small.choose("alloy", "boss")


def test_what_cannot_be_cast_is_a_kind_and_never_a_crash():
    bench = ready_made.eye_plate_bench()
    narrow = WindowMap(bench, "feeder_width", "feeder_height", count=29)
    refused = [spot for spot, kind in narrow.kinds.items() if kind == "cannot be cast"]
    assert refused and all(narrow._values[0][column] == 0.002 for column, _ in refused)
    narrow._look[0].index = 1
    assert "cannot be cast" in narrow.looked_at and "feeder width" in narrow.looked_at
    narrow.jump(1, 0)
    assert "This cannot be cast" in bench.sentence


def test_the_values_lie_on_the_sliders_steps():
    for slider in ready_made.sliders_for("eye plate"):
        if slider.kind == "choice":
            continue
        control = control_of(slider)
        values = stops(control, 15)
        assert len(values) <= 15 and list(values) == sorted(set(values))
        assert (values[0], values[-1]) == (control.low, control.high)
        for value in values:
            control.value = value
            assert control.value == value


# ---- the picture


def test_kinds_are_told_apart_in_grey():
    """By letters and hatch: no two tiles are alike without colour."""
    tiles = [np.array(Image.fromarray(tile_of(kind, 34, 27)).convert("L"), dtype=float)
             for kind in (*KINDS, NOT_YET)]
    for number, tile in enumerate(tiles):
        for other in tiles[:number]:
            assert (abs(tile - other) > 60).sum() > 30
    letters = [LOOKS[kind].letters for kind in KINDS]
    assert len(set(letters)) == len(KINDS)


def test_each_tile_is_where_its_values_are():
    """Columns to the right, rows upwards, as the axes say."""
    axes = Axis("a", ("1", "2", "3")), Axis("b", ("1", "2"))
    bare = MapPicture(*axes)
    empty = np.array(Image.open(io.BytesIO(bare.png(MapScene({})))))
    changed = np.array(Image.open(io.BytesIO(bare.png(MapScene({(2, 1): "cavity"})))))
    rows, columns = np.nonzero((empty != changed).any(axis=2))
    left, top = bare._corner(2, 1)
    assert (columns.min(), rows.min()) == pytest.approx((left, top), abs=2)
    assert left > bare._corner(0, 0)[0] and top < bare._corner(0, 0)[1]
