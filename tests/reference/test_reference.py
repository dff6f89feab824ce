"""The data of the alloys against packages of tables and a calculation of phase diagrams.

Run by name: `.venv/bin/python -m pytest tests/reference`. What is compared stands in the modules
`of_elements`, `of_alloys` and `of_sensor`; `table.py` prints it all.
"""

import calphad
import pytest
from check import in_ci, missing, stored
from table import CHECKS

from castlab.materials import read_data

ROUNDING = 0.005  # a range is stated in round numbers, a temperature in whole degrees
ROUNDING_C = 0.5
# Zn-5Al, Al-12.6Si and Al-33Cu [deg C], from memory of ASM Handbook vol. 3, Alloy Phase Diagrams.
EUTECTICS = {"ZA-12": 381.0, "Al-12Si": 577.0, "Al-4.5Cu": 548.2}


def require(modules):
    """Skip where a package is not installed; in CI that is a failure."""
    lacking = missing(modules)
    if lacking:
        stop = pytest.fail if in_ci() else pytest.skip
        stop(f"not installed: {', '.join(lacking)} (tests/reference/requirements.txt)")


def notes_of(name):
    entry = read_data("alloys")[name]
    notes = [row.get("note", "") for row in entry["quantities"]]
    return " | ".join([entry["solid_fraction"]["note"], *notes])


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.name)
def test_agrees_within_the_band_or_the_data_say_why_not(check):
    """A difference beyond the band must be explained in the data; one within it must not be."""
    require(check.modules)
    ours, reference = check.ours(), check.reference()
    within = abs(ours - reference) <= check.band(reference)
    assert within != bool(check.explained), f"{ours:g} here, {reference:g} {check.unit} there ({check.why})"
    assert not check.explained or check.explained in notes_of(check.alloy)


@pytest.mark.parametrize("check", [each for each in CHECKS if each.quantity], ids=lambda check: check.name)
def test_the_stated_range_covers_it(check):
    """Low and high of the row in the data file, which is what this project claims to know."""
    require(check.modules)
    row, reference = stored(check.alloy, check.quantity), check.reference()
    slack = ROUNDING_C if row.unit == "deg C" else ROUNDING * reference
    assert row.low - slack <= reference <= row.high + slack


@pytest.mark.parametrize("name, eutectic_c", EUTECTICS.items())
def test_the_calculation_itself_meets_the_eutectics_of_textbooks(name, eutectic_c):
    """Were a phase missing or one too many, freezing would end elsewhere. 1 K: the step of temperature."""
    require(("pycalphad", "scheil"))
    assert calphad.freezing_curve(name).end_c == pytest.approx(eutectic_c, abs=1.0)


def test_no_check_stands_twice_and_each_has_a_band_with_a_reason():
    names = [check.name for check in CHECKS]
    assert len(names) == len(set(names)) >= 40
    assert all(check.why and (check.relative > 0.0) != (check.absolute > 0.0) for check in CHECKS)
