"""The window: its edges are where the rule that it is given says so, and each is asked once."""

from types import SimpleNamespace

import numpy as np
import pytest

from castlab.materials import alloy
from castlab.teach.panels import filling_window
from castlab.teach.panels.filling_window import FillingWindow
from castlab.units import INCH_POUND, METRIC

LOW, HIGH = alloy("ZA-12").pour_range_c
RESULT = SimpleNamespace(setup=SimpleNamespace(alloy=alloy("ZA-12")))
HERE = {"thickness": 0.006, "pour_temp_c": 500.0, "gate_width": 0.010}


@pytest.fixture
def asked():
    return []


@pytest.fixture
def window(asked):
    def rule(values):
        """Time to spare grows with thickness and heat: 1 at 10 mm and the coldest pour."""
        asked.append(values)
        spare = values["thickness"] / 0.010 * (1.0 + (values["pour_temp_c"] - LOW) / 50.0)
        return SimpleNamespace(spare=spare, verdict="fills" if spare >= 2.0 else "marginal")
    return FillingWindow(rule, 2.0)


def test_the_edges_are_where_the_rule_says(window):
    """By hand: with s = thickness / 10 mm, spare = s (1 + dT / 50 K) is 1 at dT = 50 K (1 / s - 1)."""
    window.drawing(HERE, RESULT, METRIC)
    fills, may = window._edges(HERE, np.linspace(LOW, HIGH, filling_window.TEMPERATURES))
    for edge, level in ((fills, 2.0), (may, 1.0)):
        wanted = [LOW + 50.0 * (level / (each / 0.010) - 1.0) for each in filling_window.THICKNESSES]
        assert edge == pytest.approx(np.clip(wanted, LOW, HIGH))


def test_the_rule_is_asked_anew_only_when_another_slider_moves(window, asked):
    window.drawing(HERE, RESULT, METRIC)
    first = len(asked)
    window.drawing(HERE | {"thickness": 0.004, "pour_temp_c": 480.0}, RESULT, METRIC)
    assert len(asked) == first + 1  # of the place where the bench stands
    window.drawing(HERE | {"gate_width": 0.020}, RESULT, METRIC)
    assert len(asked) == 2 * first + 1


def test_it_says_where_the_bench_stands(window):
    drawn = window.drawing(HERE, RESULT, METRIC)
    assert "here: marginal" in drawn and "at 6 mm and 500 °C: marginal" in drawn.replace("&nbsp;", " ")
    inches = window.drawing(HERE, RESULT, INCH_POUND)
    assert "section thickness [in]" in inches and "[°F]" in inches
