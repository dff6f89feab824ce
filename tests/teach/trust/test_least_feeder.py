"""The smallest sound feeder: geometry by hand, the search, and the classic curve."""

import pytest

from castlab.rules.feeding import least_feeder_volume
from castlab.teach.trust import checks, least_feeder


def test_ratios_of_a_cube_by_hand():
    """Cube 50 mm, feeder of radius 20 mm and 80 mm high: areas 15000 - 1256.6 and 10053.1 + 1256.6 mm2."""
    moduli, volumes = least_feeder.ratios("cube", 0.020)
    assert volumes == pytest.approx(100531.0 / 125000.0, rel=1e-4)
    assert moduli == pytest.approx((100531.0 / 11309.7) / (125000.0 / 13743.4), rel=1e-4)


@pytest.mark.parametrize("case", [("cylinder", "carbon steel"), ("plate", "A356")])
def test_the_classic_curve_is_met_where_it_is_said_to_be(case):
    moduli, volumes = least_feeder.least_by_curve(case)
    assert volumes == pytest.approx(least_feeder_volume(moduli, least_feeder.CURVES[case[1]]), rel=0.05)


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
