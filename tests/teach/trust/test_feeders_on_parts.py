"""Smallest feeders on the course's parts: geometry by hand, the search, the page, and two real ones."""

import pytest

from castlab.field.holes import Hole
from castlab.field.parts import layout_of
from castlab.teach.trust import checks
from castlab.teach.trust import feeders_on_parts as on_parts
from castlab.teach.trust.feeders_on_parts import HEAVY_ENDS, Smallest

EYE_PLATE = "eye plate", "ZA-12"


class FakeAccount:
    """Of a casting of 100 cm3: a hole of so much in a block."""

    froze_s, casting_m3, feeder_emptied = {"boss": 200.0, "feeder": 210.0}, 1e-4, 0.3

    def __init__(self, kind="cavity", volume=1e-6, block="boss"):
        self.holes = (Hole(kind, block, volume, (0.0, 0.0, 0.0), 200.0),) if volume else ()


def test_moduli_of_a_round_feeder_by_hand():
    """Sheave, hub 36 x 36 mm, web 8 mm: a feeder of 30 x 45 mm has 31809 mm3 on 4241 and 707 (its top) mm2,
    the hub 36644 mm3 on 2036 + 4072 - 905 - 707 mm2."""
    section = 36643.5 / (2035.8 + 4071.5 - 904.8 - 706.9)
    wanted = 31808.6 / 4948.0 / section, 31808.6 / 4241.2 / section
    assert on_parts.moduli("sheave", 0.030) == pytest.approx(wanted, rel=1e-4)


def test_the_cleats_heavy_end_by_hand():
    """26 mm wide: base 10 and post 24 mm high, 34 mm deep; horn 14 mm high, 20.4 mm deep."""
    end = HEAVY_ENDS["cleat"]
    assert end.volume == pytest.approx(26 * (34 * 34 + 14 * 20.4) * 1e-9)
    outside = 26 * 34 + 2 * 26 * 34 + 2 * 24 * 34 + 26 * (34 - 20.4) + 2 * 26 * 14 + 26 * 20.4
    assert end.surface == pytest.approx(outside * 1e-6)


@pytest.mark.parametrize("part", HEAVY_ENDS)
def test_the_feeder_stands_on_the_face_of_a_block_that_it_feeds(part):
    end = HEAVY_ENDS[part]
    layout = layout_of(part, feeder_width=0.012, feeder_height=0.05, **dict(end.settings))
    foot = layout.block("feeder").low[1]
    under = [layout.block(name) for name in end.blocks if abs(layout.block(name).high[1] - foot) < 1e-9]
    (across, _, deep) = (high - low for low, high in zip(under[0].low, under[0].high, strict=True))
    assert len(under) == 1 and deep == pytest.approx(end.face[1])
    assert across == pytest.approx(end.face[0]) or part == "cleat"  # whose horn is longer than the post


@pytest.mark.parametrize("hole, fed", [
    (dict(volume=0.0), True), (dict(), False), (dict(kind="sponge"), True), (dict(block="plate"), True),
    (dict(volume=0.09e-6), True), (dict(volume=0.11e-6), False)])
def test_fed_is_a_heavy_end_without_what_a_feeder_prevents(hole, fed):
    """A tenth of a per cent of 100 cm3 is 0.1 cm3."""
    assert on_parts.is_fed(EYE_PLATE, FakeAccount(**hole)) == fed


def test_the_search_finds_the_narrowest(monkeypatch):
    asked = []

    def account(case, width_mm, look=on_parts.FULL):
        asked.append((width_mm, look))
        least = 20 if look == on_parts.COARSE else enough
        return FakeAccount(volume=0.0 if width_mm >= least else 1e-6)

    monkeypatch.setattr(on_parts, "account_of", account)
    for enough in (18, 20, 23):
        asked.clear()
        found = on_parts.smallest_on_part(EYE_PLATE)
        assert found.width == pytest.approx(1e-3 * enough) and (found.time, found.gave) == (1.05, 0.3)
        assert (enough - 1, on_parts.FULL) in asked
    enough = 1000
    assert on_parts.smallest_on_part(EYE_PLATE) is None


def test_the_page_says_what_was_found():
    cases = EYE_PLATE, ("eye plate", "A356"), ("sheave", "ZA-12")
    check = checks.feeders_of_parts([Smallest(0.026, 0.72, 0.9, 1.01, 0.4), None,
                                     Smallest(0.03, 0.9, 1.1, 1.2, 0.2)], cases)
    assert check.rows[1][:2] == ("eye plate of A356", "none")
    assert check.numbers == {"low": 0.72, "high": 0.9, "soonest": 1.01}
    assert "0.72 to 0.90" in check.says and "40 %" in check.rows[0]
    assert check.png.startswith(b"\x89PNG")


@pytest.mark.slow
@pytest.mark.parametrize("name", ["ZA-12", "carbon steel"])
def test_the_smallest_on_the_eye_plate_is_solid_about_when_the_boss_is(name):
    """Whatever the moduli: a feeder that fed to the end was liquid to the end; and by one step it was."""
    case = "eye plate", name
    found = on_parts.smallest_on_part(case)
    assert 0.95 < found.time < 1.3
    for narrower_mm, fed in ((0, True), (1, False)):
        assert on_parts.is_fed(case, on_parts.account_of(case, round(1e3 * found.width) - narrower_mm)) == fed
