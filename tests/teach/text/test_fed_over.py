"""The sentence about the way through the mush says what the path says."""

from dataclasses import dataclass

import pytest

from castlab.teach.text.fed_over import fed_over
from castlab.units import INCH_POUND, METRIC, phrase


@dataclass
class Path:
    why_not: str = ""
    fed_over: float | None = 6.25
    sound_over: float | None = 8.25
    worst: float = 0.0
    pores_m3: float = 0.0


@pytest.mark.parametrize("path, says", [
    (None, "when the sliders rest"),
    (Path(), "fed all along, 6.2 thicknesses from the feeder"),
    (Path(worst=0.001, pores_m3=1.5e-8), "free of pores over 6.2 thicknesses from the feeder; fine pores"),
    (Path(worst=0.004, pores_m3=1.5e-8), "from the feeder, sound over 8.2; fine pores"),
    (Path(fed_over=None), "no feeder"),
    (Path(fed_over=None, worst=0.02, pores_m3=2e-6), "fine pores of 2.0 cm3 in all, up to 2.0 % of a place"),
    (Path(why_not=phrase("{} grows as it freezes", "grey iron")), "none: grey iron grows as it freezes"),
])
def test_it_says_what_was_found(path, says):
    assert says in fed_over(path)


def test_it_says_it_in_the_readers_units():
    path = Path(worst=0.02, pores_m3=2e-6)
    assert "cm3" in fed_over(path, METRIC) and "in3" in fed_over(path, INCH_POUND)
