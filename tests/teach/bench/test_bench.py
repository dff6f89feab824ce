"""What a bench does when sliders move, well and badly; with a stand-in for the computation."""

import asyncio
import math
import threading

import fake_casting
import numpy as np
import pytest
from shares import every

from castlab.errors import InputError
from castlab.field.outcome import COARSE, FULL
from castlab.teach.bench.bench import HIDDEN, REST_SECONDS, Bench
from castlab.teach.bench.cache import Cache, size_of
from castlab.teach.bench.controls import control_of
from castlab.teach.sliders.slider import Slider
from castlab.teach.text import markup
from castlab.units import INCH_POUND, METRIC

PNG = b"\x89PNG"


@pytest.fixture
def counter():
    return fake_casting.Counter()


@pytest.fixture
def bench(counter):
    made = fake_casting.bench(counter)
    counter.asked.clear()
    return made


def drag(bench, name, steps=1):
    """Move a slider as a browser does: its widget gets a new value."""
    widget = bench.controls[name].widget
    for _ in range(steps):
        widget.value = widget.value + widget.step


def test_a_move_changes_picture_sentence_and_numbers(bench):
    picture, sentence, numbers = bench._image.value, bench.sentence, bench._numbers.value
    bench.set(boss=0.05)
    assert bench._image.value != picture and bytes(bench._image.value).startswith(PNG)
    assert bench.sentence != sentence and bench._numbers.value != numbers


def test_the_sentence_is_a_live_region_and_there_is_no_alert(bench):
    assert 'role="status" aria-live="polite"' in bench._sentence.value
    assert bench.alert == ""


def test_a_drag_gives_the_coarse_answer_and_rest_the_full_one(bench, counter):
    drag(bench, "thickness")
    assert [look for _, look in counter.asked] == [COARSE]
    assert "quick answer" in bench._numbers.value
    bench.settle()
    assert [look for _, look in counter.asked] == [COARSE, FULL]
    assert "quick answer" not in bench._numbers.value


def test_rest_comes_by_itself_and_the_newest_move_wins(bench, counter):
    async def moves():
        for _ in range(3):
            drag(bench, "thickness")
            await asyncio.sleep(0.3 * REST_SECONDS)
        assert [look for _, look in counter.asked] == [COARSE] * 3
        await asyncio.sleep(2.0 * REST_SECONDS)

    asyncio.run(moves())
    assert [look for _, look in counter.asked] == [COARSE] * 3 + [FULL]
    assert counter.asked[-1][0] == counter.asked[-2][0]


def test_while_a_question_is_read_the_answer_is_computed_and_then_shown_at_once(bench, counter):
    async def read():
        bench.controls["boss"].value = 0.05
        bench.hide()
        await asyncio.sleep(0.1 * REST_SECONDS)
        assert bench.result is None and counter.asked[1:] == []  # a look before it was hidden
        bench.print_numbers()
        await asyncio.sleep(2.0 * REST_SECONDS)

    asyncio.run(read())
    assert bench.hidden and [look for _, look in counter.asked][1:] == [FULL]
    bench.reveal()
    assert len(counter.asked) == 2 and "sink" in bench.sentence


def test_a_bench_that_begins_hidden_computes_nothing_yet(counter):
    made = fake_casting.bench(counter, hidden=True)
    assert counter.asked == [] and bytes(made._image.value).startswith(PNG) and made.sentence == HIDDEN
    made.reveal()
    assert [look for _, look in counter.asked] == [FULL] and "sink" in made.sentence


def test_where_it_has_been_before_it_knows_the_full_answer_at_once(bench, counter):
    bench.set(thickness=0.016)
    bench.set(thickness=0.012)
    counter.asked.clear()
    drag(bench, "thickness", steps=4)
    assert bench.values["thickness"] == pytest.approx(0.016)
    assert len(counter.asked) == 3  # for 13, 14 and 15 mm, not again for 16 mm
    assert "quick answer" not in bench._numbers.value


def test_several_sliders_set_at_once_are_one_move(bench, counter):
    bench.set(thickness=0.014, boss=0.05, alloy="A356", pour_temp_c=700.0)
    assert len(counter.asked) == 1
    assert bench.values["pour_temp_c"] == pytest.approx(700.0)


def test_the_pouring_temperature_follows_the_alloy(bench):
    bench.controls["alloy"].widget.value = "tin bronze"
    low, high = 1080.0, 1200.0  # the data file's pouring range of tin bronze
    assert bench.controls["pour_temp_c"].range() == pytest.approx((low, 0.5 * (low + high), high))
    assert bench.values["pour_temp_c"] == pytest.approx(0.5 * (low + high))
    assert bench.error is None and bench.alert == ""


def test_start_again_brings_everything_back(bench):
    values, sentence, picture = bench.values, bench.sentence, bench._image.value
    bench.set(alloy="carbon steel", thickness=0.02, feeder_width=0.04)
    bench.start_again()
    assert (bench.values, bench.sentence, bench._image.value) == (values, sentence, picture)


def test_units_change_words_and_scale_bar_but_not_the_casting(bench, counter):
    values, picture = bench.values, bench._image.value
    bench.speak(INCH_POUND)
    assert bench.values == values and counter.asked == []
    assert "in3" in bench.sentence and "cm3" not in bench.sentence
    assert bench.controls["thickness"].widget.description == "section thickness [in]"
    assert bench.controls["thickness"].widget.value == pytest.approx(0.012 / 0.0254)
    assert bench.controls["pour_temp_c"].widget.value == pytest.approx(490.0 * 1.8 + 32.0)
    assert bench._image.value != picture
    bench.speak(METRIC)
    assert bench._image.value == picture


def test_every_step_of_every_slider_keeps_its_value_in_inches(bench):
    bench.speak(INCH_POUND)
    for slider in fake_casting.sliders():
        if slider.kind == "choice":
            continue
        for number in range(round((slider.high - slider.low) / slider.step) + 1):
            value = slider.low + number * slider.step
            bench.controls[slider.name].value = value
            assert bench.controls[slider.name].value == pytest.approx(value, abs=1e-9)


def test_a_number_typed_between_steps_goes_to_the_nearer_one(bench):
    bench.controls["thickness"].widget.value = 13.3
    assert bench.values["thickness"] == pytest.approx(0.013)
    assert bench.controls["thickness"].widget.value == pytest.approx(13.0)


def test_what_is_held_is_what_was_solved_also_when_a_slider_has_moved_on(bench, monkeypatch):
    """A message may set a slider while the bench is at work: its own turn comes later."""
    before = bench.values["thickness"]
    draw = bench._draw

    def moved_meanwhile(full):
        draw(full)
        with bench._keeping_quiet():
            bench.controls["thickness"].value = before + 0.004

    monkeypatch.setattr(bench, "_draw", moved_meanwhile)
    bench.hold()
    values, result = bench._held
    assert values["thickness"] == before and result.setup == bench.setup(thickness=before)


def test_hold_shows_what_differs_between_then_and_now(bench):
    then = bench.sentence
    bench.hold()
    assert bench._held_box.layout.display == ""
    bench.set(feeder_width=0.04)
    words = markup.plain(bench._held_words.value)
    assert "feeder width" in words and "section thickness" not in words and then in words
    bench.let_go()
    assert bench._held_box.layout.display == "none"


def test_the_held_state_speaks_the_other_units_too(bench):
    bench.hold()
    picture = bench._held_image.value
    bench.speak(INCH_POUND)
    assert "in³" in bench._held_words.value
    assert bench._held_image.value != picture


def test_hidden_means_that_neither_words_nor_picture_nor_numbers_tell(bench, counter):
    shown = bench._image.value
    bench.hide("Say what you expect.")
    assert bench.sentence == "Say what you expect." and bench.result is None
    assert bench._image.value != shown
    assert "defects" not in bench._numbers.value
    counter.asked.clear()
    drag(bench, "boss")
    assert counter.asked == [] and bench.sentence == "Say what you expect."
    bench.reveal()
    assert "sink" in bench.sentence and bench.result is not None


def test_a_hidden_bench_offers_to_show_without_predicting(bench):
    assert bench._show_button.layout.display == "none"
    bench.hide()
    assert bench._show_button.layout.display == ""
    bench._show_button.click()
    assert not bench.hidden and "sink" in bench.sentence


def test_what_cannot_be_cast_is_said_and_the_sliders_still_work(bench):
    good = bench._image.value
    bench.controls["pour_temp_c"].widget.value = 430.0  # ZA-12 begins to freeze at 432 deg C
    assert bench.sentence.startswith("This cannot be cast. Pouring temperature is 430 °C")
    assert "432" in bench.sentence and bench.alert == ""
    assert bench._image.value != good and bytes(bench._image.value).startswith(PNG)
    assert isinstance(bench.error, InputError) and bench.result is None
    bench.controls["pour_temp_c"].widget.value = 490.0
    assert "sink" in bench.sentence and bench.error is None
    assert bench._image.value == good


def test_an_error_in_a_callback_is_shown_and_raised_and_goes_away(bench, monkeypatch):
    def broken(setup, look, rough):
        raise ZeroDivisionError("nothing to divide by")

    monkeypatch.setattr(bench, "_solve", broken)
    with pytest.raises(ZeroDivisionError):
        drag(bench, "boss")
    assert "nothing to divide by" in bench.alert
    assert 'role="alert"' in bench._alert.value
    monkeypatch.setattr(bench, "_solve", fake_casting.solve)
    drag(bench, "boss")
    assert bench.alert == "" and "sink" in bench.sentence


def test_an_error_behind_a_button_is_shown_too(bench):
    def broken():
        raise RuntimeError("the button broke")

    bench.button("test", broken).click()  # a button logs what it catches and goes on
    assert "the button broke" in bench.alert


@pytest.mark.parametrize("values, words", [
    ({"thickness": -0.001}, "section thickness"), ({"thickness": math.nan}, "finite"),
    ({"thickness": math.inf}, "finite"), ({"thickness": 5.0}, "section thickness"),
    ({"thickness": "thick"}, "number"), ({"thickness": None}, "number"),
    ({"alloy": "ZA12"}, "did you mean 'ZA-12'"), ({"thicknes": 0.012}, "did you mean 'thickness'")])
def test_values_that_a_slider_cannot_have_are_refused_by_name(bench, values, words):
    before = bench.values
    with pytest.raises(InputError, match=words):
        bench.set(**values)
    assert bench.values == before


def test_no_words_from_outside_become_markup(bench):
    bench.hide("<script>alert(1)</script>")
    assert "<script>" not in bench._sentence.value and bench.sentence == "<script>alert(1)</script>"


def test_numbers_are_printed_as_they_stand(bench, capsys):
    bench.print_numbers()
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == bench.sentence
    assert lines[1:] == [f"{name}: {value}" for name, value in bench.numbers]


def test_the_full_answer_is_told_what_the_coarse_one_was_where_it_is_known(counter):
    asked = []

    def remembered(setup, look, rough):
        asked.append((look, rough))
        return counter(setup, look, rough)

    made = fake_casting.bench(remembered)
    assert asked == [(FULL, None)]
    drag(made, "boss")
    made.settle()
    (first, _), (second, rough) = asked[1:]
    assert (first, second) == (COARSE, FULL) and rough.cell == COARSE.cell


def test_a_lesson_may_say_it_otherwise(bench):
    made = Bench(fake_casting.sliders(), fake_casting.setup_of, fake_casting.solve,
                 sentence_of=lambda result, units: f"So: {result.sentence(units)}",
                 numbers_of=lambda result, units: (*result.numbers(units), ("more", "by hand")))
    assert made.sentence == f"So: {bench.sentence}" and made.numbers == (*bench.numbers, ("more", "by hand"))
    made.hold()
    made.set(boss=0.05)
    assert "So: A sink" in markup.plain(made._held_words.value)
    made.hide()
    assert made.numbers == () and "So" not in made.sentence


def test_solving_beside_the_screen_moves_nothing(bench):
    values, sentence = bench.values, bench.sentence
    assert bench.solve(feeder_width=0.04).sound
    assert (bench.values, bench.sentence) == (values, sentence)


@pytest.mark.parametrize("act", every(3, [
    lambda other: other.settle(), lambda other: drag(other, "boss"), lambda other: other.set(boss=0.05),
    lambda other: other.hold(), lambda other: other.hide(), lambda other: other.speak(INCH_POUND),
    lambda other: other.solve(boss=0.05), lambda other: other.start_again(), lambda other: other.result]))
def test_a_bench_waits_for_what_is_running_in_another_thread(bench, monkeypatch, act):
    """Jupyter may run slider messages in a second thread while a cell runs in the first."""
    began, go_on, done = threading.Event(), threading.Event(), threading.Event()
    other = fake_casting.bench()

    def slow(setup, look, rough):
        began.set()
        assert go_on.wait(10.0)
        return fake_casting.solve(setup, look)

    monkeypatch.setattr(bench, "_solve", slow)
    first = threading.Thread(target=lambda: bench.set(boss=0.05))
    second = threading.Thread(target=lambda: (act(other), done.set()))
    first.start()
    assert began.wait(10.0)
    second.start()
    assert not done.wait(0.4)
    go_on.set()
    assert done.wait(10.0)
    first.join(10.0)
    assert bench.alert == other.alert == ""


def test_two_benches_share_nothing(bench):
    other = fake_casting.bench()
    sentence = other.sentence
    bench.set(boss=0.06)
    assert other.sentence == sentence and other.values != bench.values


def test_the_cache_stays_below_its_limit_and_forgets_the_oldest():
    cache = Cache(limit_bytes=10_000)
    made = []

    def make(number):
        made.append(number)
        return np.zeros(500)  # 4000 bytes

    for number in (1, 2, 1, 3, 1, 2):
        cache.get(number, lambda number=number: make(number))
        assert cache.used_bytes <= 10_000
    assert made == [1, 2, 3, 2]  # 1 was used again and stayed; 2 was the oldest when 3 came


def test_memory_counts_arrays_inside_results_once():
    values = {slider.name: slider.value for slider in fake_casting.sliders()}
    result = fake_casting.solve(fake_casting.setup_of(values), FULL)
    arrays = [result.section.frozen_share, result.section.void, result.section.void_kind]
    assert size_of(result) >= sum(array.nbytes for array in arrays)
    assert size_of((result, result)) < 1.1 * size_of(result)


def test_a_browser_hears_of_new_limits_before_the_new_value_and_at_once():
    """The other order, or two messages, make the browser send back a squeezed value as if it were a move."""
    handle = control_of(Slider("size", "size", "length", "part", 0.04, 0.026, 0.056, 0.002))
    sent = []
    handle.widget.comm.send = lambda data=None, **_: sent.append(list(data["state"]))
    handle.speak(INCH_POUND)
    *before, keys = sent
    assert keys[-1] == "value" and {"min", "max", "step"} < set(keys)
    assert [set(each) for each in before] == [{"readout_format"}]  # how numbers are written comes first


@pytest.mark.parametrize("change", [
    {"low": 0.02, "high": 0.01}, {"step": 0.0}, {"step": 1.0}, {"value": 0.5}, {"value": math.nan},
    {"kind": "width"}])
def test_a_slider_that_makes_no_sense_is_refused(change):
    right = {"name": "size", "label": "size", "kind": "length", "group": "part", "value": 0.01,
             "low": 0.005, "high": 0.02, "step": 0.001}
    assert control_of(Slider(**right)).value == pytest.approx(0.01)
    with pytest.raises(InputError):
        Slider(**right | change)
