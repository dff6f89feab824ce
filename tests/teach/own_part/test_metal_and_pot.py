"""More metal than the furnace takes is said as soon as there is a part, however it came in."""

import re

import meshes
import pytest

from castlab.field.own_part import Body, OwnPart
from castlab.field.placed import Feeder
from castlab.shop.entries import entry_of
from castlab.teach.own_part.own_part_desk import OwnPartDesk
from castlab.teach.shop.book_file import BookFile
from castlab.units import INCH_POUND

SAID = "more metal than the furnace takes"
ZINC = 6.03  # g/cm3, of ZA-12 cold, from handbooks
LIQUID = 6.57 / 7.14  # of that when liquid, as pure zinc has it at its melting point and cold, from handbooks
SMALL = OwnPart("small", (Body("block", "box", (("length", 0.05), ("height", 0.02), ("width", 0.03))),))


@pytest.fixture
def desk(tmp_path):
    made = OwnPartDesk(SMALL, tmp_path)
    yield made
    made._work.stop()


def kilograms(desk):
    """The two masses that are said: what must be weighed in, and what the pot takes."""
    found = re.search(r"with gate, sprue and feeders (.*?) (k?g) must .* takes (.*?) (k?g) of", desk.words)
    return [float(found[at]) / {"kg": 1.0, "g": 1e3}[found[at + 1]] for at in (1, 3)]


def test_a_small_part_says_nothing_of_it(desk):
    assert SAID not in desk.words


def test_a_block_that_is_typed(desk):
    desk.table.rows[0].set(length=0.12, height=0.05, width=0.06)
    needed, takes = kilograms(desk)
    own = 12 * 5 * 6 * ZINC / 1e3
    assert SAID in desk.words and 1.02 * own < needed < 1.3 * own  # gate, sprue, cup, loss and heel besides
    assert 1.2 < takes < 1.8  # a pot rated 5 kg holds about 1.8 kg of ZA-12 to the brim
    assert re.search(r"A pot rated (8|10) kg would take it", desk.words) and "One mould cannot" in desk.words
    desk.speak(INCH_POUND)
    assert " lb must be weighed in" in desk.words
    desk.table.rows[0].set(height=0.02)
    assert SAID not in desk.words


def test_a_part_that_no_pot_takes_is_still_there_and_says_what_to_do(desk):
    desk.table.rows[0].set(length=0.25, height=0.08, width=0.09)
    assert SAID in desk.words and "would take it" not in desk.words and "lighter alloy" in desk.words
    assert desk.part is not None and desk.alert == ""


def test_it_is_the_alloy_that_counts(desk):
    desk.table.rows[0].set(length=0.1, height=0.04, width=0.05)
    assert SAID not in desk.words
    desk._alloy.value = next(name for name in desk._alloy.options if "bronze" in name or "brass" in name)
    assert SAID in desk.words


def test_a_feeder_counts(desk):
    desk.table.rows[0].set(length=0.1, height=0.035, width=0.05)
    assert SAID not in desk.words
    desk.rigging.put("feeder", Feeder(0.0, 0.035, 0.0, width=0.05, height=0.08))
    assert SAID in desk.words


def test_an_stl_file(desk):
    desk.files.bring("block.stl", meshes.binary(meshes.cuboid((0.0, 120.0), (0.0, 50.0), (0.0, 60.0))))
    desk.files.take("mm")
    assert SAID in desk.words


def test_an_outline_on_squared_paper(desk):
    desk.table.rows[0].set(shape="outline", length=0.06)
    desk.table.rows[0].open_paper().corners = [[0.0, 0.0], [120.0, 0.0], [120.0, 50.0], [0.0, 50.0]]
    assert SAID in desk.words


def test_the_shops_own_pot_takes_the_place_of_the_usual_one(desk, tmp_path):
    BookFile(tmp_path).write_down(entry_of("crucibles", {"name": "A1", "water": 0.1, "family": ""}))
    desk.table.rows[0].set(length=0.1, height=0.03, width=0.05)
    needed, takes = kilograms(desk)
    assert "the pot A1 takes" in desk.words and takes < needed
    assert takes == pytest.approx(0.8 * 0.1 * LIQUID * ZINC, rel=0.03)  # four fifths of 100 cm3
