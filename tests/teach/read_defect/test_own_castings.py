"""Lesson 10's castings of a part of one's own: as fair as those of the course, by the same code."""

from dataclasses import replace

import numpy as np
import pytest
from own_parts import LUG, lug
from shares import mostly_slow

from castlab.errors import InputError
from castlab.field.diagnosis import CAUSES, diagnose
from castlab.field.example_parts import EXAMPLES, door_handle, oarlock
from castlab.field.outcome import COARSE, pour
from castlab.field.own_part import Body, OwnPart
from castlab.field.placed import Chill, Gate, rigging_of, sizes_of
from castlab.plan import run_here
from castlab.teach.bench.casting import Casting
from castlab.teach.own_part.own_part_desk import OwnPartDesk
from castlab.teach.read_defect import evidence, hidden_castings
from castlab.teach.read_defect.own_castings import OwnCastings
from castlab.teach.read_defect.own_lot import feeders_of, own_lot
from castlab.teach.read_defect.sawn_casting import CHOICES, SawnCasting, judge
from castlab.units import INCH_POUND, METRIC

FED_AT_TWO = 5  # of the door handle: two feeders that freeze first, one narrower than the other
CHILLED = 5  # of the cleat with feet: there a chill stands
ALL = [(name, number) for name in EXAMPLES for number in range(1, 6)]
SOME = mostly_slow(ALL, (("door handle", FED_AT_TWO),))
LONG = 300.0


@pytest.fixture(scope="module")
def table():
    return SawnCasting(hidden_castings.draw(FED_AT_TWO, door_handle()))


@pytest.mark.slow
@pytest.mark.parametrize("name, number", ALL)
def test_it_is_fair(name, number):
    """On full cells: one clear cause, its cure works, and the cures for other causes do not."""
    hidden = hidden_castings.draw(number, EXAMPLES[name]())
    assert diagnose(pour(hidden)).causes == (hidden.cause,)
    assert pour(hidden.setup(**hidden.cure)).verdict == "sound"
    for other, lever in hidden_castings.TELLING.items():
        changes = lever(hidden.values)
        if other != hidden.cause and changes:
            assert pour(hidden.setup(**changes[-1])).verdict != "sound", other


@pytest.mark.slow
def test_the_lot_knows_more_than_one_cause_of_a_part():
    causes = {hidden_castings.draw(number, EXAMPLES["propeller"]()).cause for number in range(1, 7)}
    causes |= {hidden_castings.draw(number, EXAMPLES["cleat with feet"]()).cause for number in range(1, 7)}
    assert len(causes) >= 3, causes


@pytest.mark.slow
def test_the_part_is_cast_as_it_was_drawn(table):
    own = {block.name: block for block in door_handle().blocks}
    cast = {block.name: block for block in table.casting.setup.layout.blocks if block.role == "casting"}
    assert cast == own
    assert hidden_castings.ranges_of(door_handle()) == {}
    assert not {"thickness", "heavy", "chill_thickness"} & set(table.bench.controls)


@pytest.mark.slow
def test_nothing_is_looked_up_by_its_name():
    """A part of one's own that is called like one of the course is still the one that was drawn."""
    named = replace(door_handle(), name="eye plate")
    one, other = (hidden_castings.draw(FED_AT_TWO, part) for part in (named, door_handle()))
    assert (one.values, one.cause, one.cure) == (other.values, other.cause, other.cure)
    assert [block.name for block in one.setup().layout.blocks][:3] == ["bar", "left foot", "right foot"]


def test_feeders_stand_where_somebody_put_them():
    lot = run_here(own_lot(lug()))
    assert lot.fixed == () and feeders_of(lot.part, lot.fixed) == (1,)
    bare = run_here(own_lot(LUG))
    assert feeders_of(bare.part, bare.fixed) == (1,) and rigging_of(dict(bare.fixed))["feeder"]
    assert bare.heavy == lot.heavy


@pytest.mark.slow
def test_where_the_part_rises_beside_its_feeder_that_one_is_closed():
    """The arms of the oarlock are 74 mm higher than its hot spot: an open feeder would run over."""
    hidden = hidden_castings.draw(1, oarlock())
    assert dict(hidden.fixed)["feeder_1_top"] == "blind"
    fed = SawnCasting(replace(hidden, values=hidden.values | hidden.cure))
    assert "closed on top" in fed.ask("scrap")


def widths(casting):
    """How wide the feeders of a casting are [m]."""
    return [round(block.high[0] - block.low[0], 4) for block in casting.setup.layout.blocks
            if block.role == "feeder" and block.name.startswith("feeder")]


@pytest.mark.slow
def test_one_slider_moves_the_width_of_each_feeder_and_none_is_wider_than_it_says(table):
    lot = run_here(own_lot(door_handle()))
    wanted = run_here(own_lot(replace(door_handle(), bodies=(*door_handle().bodies[:1],
              replace(door_handle().bodies[1], sizes=(("diameter", 0.03), ("length", 0.016))),
              door_handle().bodies[2]))))
    assert min(share for _, share in wanted.shares) < 0.9 < min(share for _, share in lot.shares)
    for width in (0.02, 0.04):
        made = widths(Casting(pour(table.hidden.setup(feeder_width=width), COARSE)))
        assert max(made) == width and 0.75 * width < min(made) < width


def test_shares_of_width_and_chills_are_drawn_by_lot():
    lot, chance = run_here(own_lot(door_handle())), np.random.default_rng(1)
    drawn = [dict(lot.drawn(chance)) for _ in range(60)]
    shares = {tuple(each[f"feeder_{number}_share"] for number in (1, 2)) for each in drawn}
    assert len(shares) > 10 and all(max(pair) == 1.0 and 0.75 <= min(pair) for pair in shares)
    assert 10 <= sum("chill_1_thickness" in each for each in drawn) <= 30


@pytest.mark.slow
def test_a_chill_that_was_drawn_stands_there_and_lies_in_the_sand():
    table = SawnCasting(hidden_castings.draw(CHILLED, EXAMPLES["cleat with feet"]()))
    chill = next(block for block in table.casting.setup.layout.blocks if block.role == "chill")
    thick = dict(table.hidden.fixed)["chill_1_thickness"]
    assert thick <= chill.high[1] - chill.low[1] < 1.3 * thick  # it reaches up to a round face
    assert f"a steel chill, {METRIC.length(thick)} thick" in table.ask("scrap")
    assert "against the lower face" in table.words or "end of the casting" in table.words
    assert not run_here(own_lot(with_chill(table.hidden.part))).chill


def with_chill(part):
    """The same part with a chill that somebody put there."""
    return replace(part, rigging=tuple(sizes_of("chill", 1, Chill(0.0, 0.0, 0.0)).items()))


@pytest.mark.slow
@pytest.mark.parametrize("key", evidence.PIECES)
def test_each_piece_of_evidence_says_something_of_it(table, key):
    words = table.ask(key)
    assert words in table.words and len(words) > 20
    assert bytes(table._image.value).startswith(b"\x89PNG")


@pytest.mark.slow
def test_scrap_and_times_are_those_of_the_account(table):
    account, words = table.casting.account, table.ask("scrap")
    wide, narrow = sorted(widths(table.casting), reverse=True)
    assert f"2 feeders, {METRIC.length(wide)} and {METRIC.length(narrow)} wide and each " in words
    assert wide > narrow and f"{100 * account.feeder_emptied:.0f} % of all" in words
    for name, seconds in account.froze_s.items():
        assert f"{name} {METRIC.time(seconds)}" in table.ask("times")
    table.bench.speak(INCH_POUND)
    assert "mm" not in table.words and "in wide" in table.words
    table.bench.speak(METRIC)


@pytest.mark.slow
def test_the_right_cause_is_accepted_each_other_refused_and_the_cure_cures(table):
    for choice in CHOICES:
        found = table.question.answer(choice)
        assert found.right == (choice == table.cause == "freezes first"), choice
        assert CAUSES[table.cause] in found.why
        table.question.again()
    table.question.answer(table.cause)
    table.bench.set(**table.hidden.cure)
    assert table.bench.result.sound and judge(table.bench.result, METRIC)[0] == "none"
    table.bench.start_again()
    assert not table.bench.result.sound


@pytest.mark.slow
def test_every_slider_goes_to_its_ends(table):
    table.bench.reveal()
    for name, control in table.bench.controls.items():
        if control.slider.kind != "choice":
            for end in control.range()[1:]:
                table.bench.start_again()
                table.bench.set(**{name: end})
                assert table.bench.alert == "" and len(table.bench.sentence) > 20, (name, end)
    table.bench.start_again()


BLOCK = OwnPart("block", (Body("block", "box", (("length", 0.16), ("height", 0.15), ("width", 0.16))),))


@pytest.mark.slow
@pytest.mark.parametrize("part, words", [
    (BLOCK, "with feeders of at most 56 mm"),
    (replace(LUG, rigging=tuple(sizes_of("gate", 1, Gate(0.0, 0.5, 0.0)).items())), "no metal"),
])
def test_a_part_that_allows_no_such_question_is_told_so(part, words):
    with pytest.raises(InputError, match=words):
        hidden_castings.draw(1, part)


def test_a_part_whose_holes_tell_nothing_is_told_so(monkeypatch):
    monkeypatch.setattr(hidden_castings, "MOST_DRAWS", 0)
    with pytest.raises(InputError, match="turn it another way up"):
        hidden_castings.draw(1, LUG)


@pytest.mark.slow
def test_on_the_page_the_part_of_the_desk_is_drawn_and_what_refuses_is_said(tmp_path):
    desk = OwnPartDesk(door_handle(), tmp_path)
    castings = OwnCastings(desk)
    desk.table.rows[0].set(length=0.0)
    castings.draw(FED_AT_TWO)
    assert "cannot be drawn" in castings.words and castings.table is None
    desk.show_part(BLOCK)
    castings.draw(FED_AT_TWO)
    castings.wait(LONG)
    assert "at most 56 mm" in castings.words and castings.table is None
    desk.speak(INCH_POUND)
    desk.show_part(door_handle())
    castings.draw(FED_AT_TWO)
    assert "looked for" in castings.words
    castings.wait(LONG)
    assert castings.table.hidden == hidden_castings.draw(FED_AT_TWO, door_handle())
    assert "your door handle" in castings.table.words and " in3" in castings.table.words
    assert castings.words == "" and len(castings._place.children) == 4
    castings.table.look_for(4)
    castings.table.wait(LONG)
    assert castings.table.hidden == hidden_castings.draw(4, door_handle())
