"""The bench for bad examples: wish, search, adjust, prove, write; its searches are made up."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from made_holes import CM3, METRIC_UNIT, SOUND, sink
from plans import followed as follow

from castlab.errors import InputError
from castlab.teach.bad_examples import bad_example_bench
from castlab.teach.bad_examples.bad_example_bench import BadBench
from castlab.teach.bad_examples.search import Found, prove
from castlab.units import INCH_POUND, METRIC


@pytest.fixture(scope="module")
def desk():
    made = BadBench("eye plate")
    yield made
    made.stop()


def quick(wish, seed=1):
    """A search that finds at once."""
    values = wish.start | {"boss": 0.050}
    holes = sink(4 * CM3)
    found, _ = follow(prove(wish, wish.design(values)), lambda design, cell: holes)
    return Found(True, values, found, holes, {}, 20.0)
    yield


def test_the_bench_starts_without_searching(desk):
    assert "Nothing is computed before" in desk.words and not desk._work.running
    assert desk.wish.part == "eye plate" and desk.bench.error is None


def test_what_was_found_stands_on_the_bench_and_can_become_an_exercise(desk, monkeypatch):
    monkeypatch.setattr(bad_example_bench, "find", quick)
    desk.choose(size=3.5 * CM3)
    desk.search()
    assert desk.wait(60).met
    assert desk.bench.values["boss"] == 0.050 and desk.words.startswith("Met: a sink of 4.0 cm3 in the boss.")
    assert "8 of 8 pours" in desk.words and "heavy-end size 50 mm (was 40 mm)" in desk.words
    exercise = desk.exercise()
    assert exercise.design() == desk.wish.design(desk.bench.values)
    assert "boss" in exercise.values and "feeder_width" in exercise.allowed


def test_it_is_written_once_and_not_replaced_unasked(desk, monkeypatch, tmp_path):
    """With a made-up search for the cures, which is the desk's own matter and tested there."""
    prepared, written = [], []

    def prepare(exercise, how_sure):
        assert "8 of 8 pours" in how_sure
        prepared.append(exercise)
        return "material"
        yield

    def write(exercise, folder, material, overwrite):
        if written and not overwrite:
            raise InputError("folder", str(folder), "these files are there already")
        written.append((exercise, material))
        return (tmp_path / "a.json",)

    monkeypatch.setattr(bad_example_bench.hand_out, "prepare", prepare)
    monkeypatch.setattr(bad_example_bench.hand_out, "write", write)
    for said in ("Written into", "Nothing was written: folder is"):
        desk.write(tmp_path)
        desk.wait(60)
        assert desk.words.startswith(said)
    assert prepared == [desk.exercise()] and written == [(desk.exercise(), "material")]


def test_the_scheme_of_the_form_is_the_exercises(desk):
    desk._marks["words"].value, desk._marks["reason"].value = 2.0, 4.5
    assert desk.exercise().marks == {"place": 2, "reason": 4.5, "sound": 4, "metal": 3, "words": 2}
    desk._marks["words"].value, desk._marks["reason"].value = 0.0, 3.0


def test_7_of_8_is_written_only_when_it_is_allowed_and_the_sheet_says_so(desk, monkeypatch):
    proof, said = desk.proof, []
    desk.proof = replace(proof, held=7, holds=False, fine=())
    with pytest.raises(InputError, match="7 of 8 pours; tick"):
        desk.exercise()
    desk._unsure.value = True
    assert desk.exercise()

    def prepare(exercise, how_sure):
        said.append(how_sure)
        return "material"
        yield

    monkeypatch.setattr(bad_example_bench.hand_out, "prepare", prepare)
    monkeypatch.setattr(bad_example_bench.hand_out, "write", lambda *_, **options: ())
    desk.bench.set(boss=0.048)
    desk._proved = desk.bench.values
    desk.write("anywhere")
    desk.wait(60)
    assert "7 of 8 pours" in said[0] and "not robust" in said[0]
    desk.proof = replace(desk.proof, usual=SOUND)
    with pytest.raises(InputError, match="Still robust"):
        desk.exercise()
    desk._unsure.value, desk.proof = False, proof
    desk.bench.set(boss=0.050)
    desk._proved = desk.bench.values


def test_a_batch_is_searched_and_written(desk, monkeypatch, tmp_path):
    asked = []

    def plan(exercise, wish, count, seed):
        asked.append((exercise, wish.most_metal_kg, count, seed))
        return SimpleNamespace(variants=("one", "two"))
        yield

    monkeypatch.setattr(bad_example_bench.variants, "batch", plan)
    monkeypatch.setattr(bad_example_bench.batch_sheet, "spread_words", lambda found: ["All are alike."])
    monkeypatch.setattr(bad_example_bench.batch_sheet, "write_batch",
                        lambda found, folder, overwrite: (tmp_path / "x_batch_instructor.html",))
    desk._count.value = 7
    desk.write_batch(tmp_path)
    desk.wait(60)
    assert desk.words.endswith("2 variants, and x_batch_instructor.html. All are alike.")
    assert asked == [(desk.exercise(), desk.wish.most_metal_kg, 7, 1)]


def test_what_was_adjusted_must_be_proved_again(desk):
    desk.bench.set(boss=0.044)
    with pytest.raises(InputError, match="Still robust"):
        desk.exercise()


def test_an_unsafe_setting_is_neither_proved_nor_written(desk):
    desk.bench.set(boss=0.050, pour_temp_c=desk.bench.controls["pour_temp_c"].low, thickness=0.006)
    desk.check()
    assert desk.words.startswith("Do not pour this: ") and not desk._work.running
    desk.bench.start_again()


def test_another_part_brings_its_own_bench(desk):
    before = desk.bench
    desk.choose(part="sheave", kind="cavity", block="hub", turn=("hub",))
    assert desk.bench is not before and desk.wish.turn == ("hub",) and "hub" in desk.bench.controls
    desk.choose(turn=())
    desk.search()
    assert "tick at least one" in desk.words
    desk.choose(part="eye plate")


def test_the_numbers_of_a_wish_can_be_printed(desk, capsys):
    desk.choose(size=3 * CM3, kind="sink", block="boss")
    desk.print_wish()
    assert "a sink of 3.0 cm3 or more in the boss of the eye plate, ZA-12" in capsys.readouterr().out


def test_the_form_speaks_inches_everywhere_and_back(desk, monkeypatch):
    """Its switch and the bench's are one; a wish and what was found stay what they are."""
    monkeypatch.setattr(bad_example_bench, "find", quick)
    desk.choose(size=3.5 * CM3)
    desk.search()
    desk.wait(60)
    wish, metric = desk.wish, shown_by(desk)
    desk.bench.speak(INCH_POUND)
    assert desk.units is INCH_POUND and desk._switch.value is INCH_POUND
    assert not METRIC_UNIT.search(shown_by(desk)) and "a sink of 0.24 in3" in desk.words
    assert desk.wish == wish and desk._given["furnace"].widget.value == pytest.approx(2102.0)
    assert desk._turned["boss"][1].widget.max == pytest.approx(56.0 / 25.4)
    desk._switch.value = METRIC
    assert desk.bench.units is METRIC and shown_by(desk) == metric and desk.wish == wish


def shown_by(form):
    """All that a form shows in words: its sentence, its sliders, those of the search."""
    spans = [span for _, span in form._turned.values() if span]
    sliders = [control.widget for control in (*form._given.values(), *spans)]
    return " | ".join([form.words, *(f"{each.description} {each.value}" for each in sliders)])


@pytest.mark.slow
def test_another_part_and_its_errors_come_in_the_same_units(desk):
    desk.speak(INCH_POUND)
    desk.choose(part="step wedge")
    assert desk.bench.units is INCH_POUND and not METRIC_UNIT.search(shown_by(desk))
    desk.choose(part="eye plate", turn=("boss",))
    desk.bench.set(thickness=0.006, pour_temp_c=desk.bench.controls["pour_temp_c"].low)
    desk.check()
    assert desk.words.startswith("Do not pour this: a section of 0.236 in ")
    assert not METRIC_UNIT.search(desk.words)
    desk.choose(furnace=400.0, alloy="tin bronze")
    desk._metal_chosen()
    assert "is poured from 1" in desk.words and "°F" in desk.words and not METRIC_UNIT.search(desk.words)
    desk.choose(furnace=1150.0, alloy="ZA-12")
    desk.speak(METRIC)


def test_a_part_of_the_range_stays_when_units_change(desk):
    """Ends that lie between two steps in inches are still those that were chosen."""
    span = desk._turned["boss"][1]
    span.widget.value = (30.0, 44.0)
    desk.speak(INCH_POUND)
    assert span.value == (0.030, 0.044)
    desk.speak(METRIC)
    assert span.widget.value == pytest.approx((30.0, 44.0)) and span.value == (0.030, 0.044)
    span.widget.value = (26.0, 56.0)
