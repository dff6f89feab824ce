"""The smallest sound feeder: geometry by hand, the search, and the classic curve."""

import math

import pytest

from castlab.rules.feeding import LEAST_FEEDER, least_feeder_volume
from castlab.teach.trust import checks, least_feeder


def test_ratios_of_a_cube_by_hand():
    """Cube 50 mm, feeder of radius 20 mm and 80 mm high: areas 15000 - 1256.6 and 10053.1 + 1256.6 mm2."""
    moduli, volumes = least_feeder.ratios("cube", 0.020)
    assert volumes == pytest.approx(100531.0 / 125000.0, rel=1e-4)
    assert moduli == pytest.approx((100531.0 / 11309.7) / (125000.0 / 13743.4), rel=1e-4)


@pytest.mark.parametrize("case, volume", [
    (("cylinder", "carbon steel"), math.pi / 4.0 * 0.05**3), (("plate", "A356"), 0.1 * 0.02 * 0.1)])
def test_the_classic_curve_is_met_there_and_not_a_step_before(case, volume):
    """Radius from the volume of a feeder twice as high as wide, 4 pi r^3; searched in tenths of a mm."""
    shape, metal = case[0], least_feeder.CURVES[case[1]]
    moduli, volumes = least_feeder.least_by_curve(case)
    assert volumes >= least_feeder_volume(moduli, metal)
    radius = (volumes * volume / (4.0 * math.pi)) ** (1.0 / 3.0)
    moduli, volumes = least_feeder.ratios(shape, radius - 0.1e-3)
    assert moduli <= LEAST_FEEDER[metal][2] or volumes < least_feeder_volume(moduli, metal)


def test_for_zinc_no_curve_is_known():
    assert least_feeder.least_by_curve(("cube", "ZA-12")) is None


def test_the_search_finds_the_narrowest_that_is_sound(monkeypatch):
    monkeypatch.setattr(least_feeder, "is_fed", lambda shape, name, radius: radius > 0.0133)
    assert least_feeder.least_in_field(("cube", "A356")) == pytest.approx(least_feeder.ratios("cube", 0.014))
    monkeypatch.setattr(least_feeder, "is_fed", lambda shape, name, radius: False)
    assert least_feeder.least_in_field(("cube", "A356")) is None
    monkeypatch.setattr(least_feeder, "is_fed", lambda shape, name, radius: True)
    assert least_feeder.least_in_field(("cube", "A356")) == pytest.approx(least_feeder.ratios("cube", 0.008))


def test_the_page_says_where_none_is_known():
    cases = (("cube", "A356"), ("cube", "ZA-12"), ("bar", "carbon steel"))
    check = checks.least_feeders([(1.1, 1.0), None, (1.2, 0.8)], cases)
    assert check.rows[1] == ("cube of ZA-12", *4 * ("none",))
    assert check.numbers["most"] >= check.numbers["least"] > 0.0
    assert check.png.startswith(b"\x89PNG") and "from memory" in check.says
