"""Sliders of every kind in both units, ranges with two handles, and columns that a screen has room for."""

import pytest

from castlab.errors import InputError
from castlab.teach.bench.controls import MOST_ROWS, Span, control_of, image, in_groups
from castlab.teach.sliders.part_sliders import FEEDING, RIGGING
from castlab.teach.sliders.slider import Slider, words_of
from castlab.units import INCH_POUND, METRIC, raised

HOLE = Slider("size", "hole at least", "volume", "the hole", 3.0e-6, 0.1e-6, 30.0e-6, 0.1e-6)
POT = Slider("metal", "the pot holds", "mass", "limits", 2.0, 0.1, 10.0, 0.1)
BOSS = Slider("boss", "heavy-end size", "length", "the part", 0.040, 0.026, 0.056, 0.002)
SHARE = Slider("share", "share [%]", "number", "the hole", 0.0, 0.0, 10.0, 0.1)


@pytest.mark.parametrize("slider, metric, inches", [  # by hand: 16.387 cm3, 0.45359 kg, 25.4 mm
    (HOLE, ("hole at least [cm3]", 3.0, ".1f", "3.0 cm3"),
     ("hole at least [in3]", 0.18307, ".2f", "0.18 in3")),
    (POT, ("the pot holds [kg]", 2.0, ".1f", "2.0 kg"), ("the pot holds [lb]", 4.40925, ".1f", "4.4 lb")),
    (BOSS, ("heavy-end size [mm]", 40.0, ".0f", "40 mm"), ("heavy-end size [in]", 1.5748, ".2f", "1.57 in")),
    (SHARE, ("share [%]", 0.0, ".1f", "0.0"), ("share [%]", 0.0, ".1f", "0.0")),
])
def test_a_slider_speaks_both_and_stands_where_it_stood(slider, metric, inches):
    control = control_of(slider)
    for units, (label, shown, digits, words) in ((METRIC, metric), (INCH_POUND, inches), (METRIC, metric)):
        control.speak(units)
        widget = control.widget
        assert (widget.description, widget.readout_format) == (raised(label), digits)
        assert widget.value == pytest.approx(shown, rel=1e-4) and control.value == slider.value
        assert words_of(slider, slider.value, units) == words


def test_a_range_keeps_its_ends_in_both_units():
    span = Span(BOSS)
    assert span.value == (0.026, 0.056) and span.widget.description == "[mm]"
    span.widget.value = (30.4, 44.0)  # between two steps
    assert span.value == (0.030, 0.044)
    span.speak(INCH_POUND)
    assert span.widget.description == "[in]" and span.widget.readout_format == ".2f"
    assert span.widget.value == pytest.approx((30 / 25.4, 44 / 25.4)) and span.value == (0.030, 0.044)
    assert (span.widget.min, span.widget.max) == pytest.approx((26 / 25.4, 56 / 25.4))
    span.speak(METRIC)
    assert span.widget.value == pytest.approx((30.0, 44.0))


def test_a_range_that_begins_in_inches_says_inches():
    assert Span(BOSS, INCH_POUND).widget.max == pytest.approx(56 / 25.4)


def test_the_browser_gets_the_limits_before_the_ends():
    assert list(Span(BOSS).widget.get_state())[-1] == "value"


def test_a_slider_with_another_range_is_drawn_anew():
    """What the browser has drawn keeps, for the keys Home and End, the ends it was drawn with."""
    control, drawn = control_of(BOSS), []
    control.row.observe(lambda change: drawn.append(change["new"]), "children")
    control.move_range(0.026, 0.056, 0.030)
    assert drawn == []  # the same range
    control.move_range(0.020, 0.050, 0.030)
    control.speak(INCH_POUND)
    assert drawn == [(), (control.widget,)] * 2
    span = Span(BOSS)
    span.widget.row.observe(lambda change: drawn.append(change["new"]), "children")
    span.speak(INCH_POUND)
    assert drawn[-2:] == [(), (span.widget,)]


@pytest.mark.parametrize("slider, value, said", [
    (HOLE, 50e-6, "between 0.1 cm3 and 30 cm3"), (POT, 0.0, "between 100 g and 10 kg"),
])
def test_what_is_outside_is_refused_in_the_units_shown(slider, value, said):
    with pytest.raises(InputError, match=said):
        control_of(slider).value = value


def test_a_slider_that_stands_outside_says_the_unit():
    with pytest.raises(InputError, match="heavy-end size is 4000 mm: it must lie between 26 mm and 56 mm"):
        Slider("boss", "heavy-end size", "length", "the part", 4.0, 0.026, 0.056, 0.002)


def test_a_long_group_takes_two_columns_and_loses_nothing():
    controls = [control_of(slider) for slider in RIGGING]
    assert len(controls) > MOST_ROWS
    *columns, _ = in_groups(controls).children  # the last is the style
    headings = tuple(column.children[0].value for column in columns)
    rows = [column.children[1:] for column in columns]
    assert headings == (f"<b>{FEEDING}</b>", f"<b>{FEEDING}, continued</b>")
    assert [each for part in rows for each in part] == [control.row for control in controls]
    assert all(len(part) <= MOST_ROWS for part in rows)


def test_a_picture_is_never_squeezed():
    """Width and height both fixed would squeeze it where the window is narrower: a ball is no egg."""
    layout = image(800).layout
    assert (layout.width, layout.height, layout.max_width) == ("800px", "auto", "100%")
    assert layout.object_fit == "contain"


@pytest.mark.parametrize("make", [Span, control_of])
def test_the_browser_hears_how_numbers_are_written_before_it_gets_the_numbers(make, monkeypatch):
    """In one message their order is by chance, and a number may be written as before: 2.20 inches as "2"."""
    control, sent = make(BOSS), []

    def send_state(widget, key=None):
        sent.append({key} if isinstance(key, str) else set(key))

    monkeypatch.setattr(type(control.widget), "send_state", send_state)
    control.speak(INCH_POUND)
    written = next(place for place, keys in enumerate(sent) if "readout_format" in keys)
    assert all("value" not in keys for keys in sent[: written + 1])
    assert any("value" in keys for keys in sent[written + 1 :])
