"""The bars under a picture agree with the account."""

import re
from types import SimpleNamespace

import pytest

from castlab.teach.bench.bars import bars_of, freezing_order, who_pays
from castlab.teach.bench.casting import Casting
from castlab.teach.lessons import first_casting, superheat_and_filling
from castlab.teach.text import markup
from castlab.units import INCH_POUND, METRIC

TIMES = {"gate": 20.0, "plate": 50.0, "boss": 80.0, "feeder": 100.0}


def result():
    """A casting whose bodies froze at the TIMES; a chill is no metal that freezes."""
    roles = {"plate": "casting", "boss": "casting", "gate": "gate", "feeder": "feeder", "chill": "chill"}
    blocks = [SimpleNamespace(name=name, role=role) for name, role in roles.items()]
    run = SimpleNamespace(last_time_s=100.0)
    return SimpleNamespace(account=SimpleNamespace(froze_s=TIMES, run=run),
                           setup=SimpleNamespace(layout=SimpleNamespace(blocks=blocks)))


def test_the_order_of_freezing_is_that_of_the_account():
    drawn = freezing_order(result(), METRIC)
    words = markup.plain(re.sub(r'aria-label="[^"]*"', "", drawn))
    assert words == "Wholly solid after: 1 gate 20 s 2 plate 50 s 3 boss 80 s 4 feeder 100 s"
    shares = [float(each) for each in re.findall(r"flex:([\d.]+) ", drawn)]
    assert shares == pytest.approx([0.2, 0.3, 0.3, 0.2])
    assert 'aria-label="Wholly solid after: 1 gate 20 s, 2 plate 50 s, 3 boss 80 s, 4 feeder 100 s"' in drawn


def test_a_result_without_an_account_has_no_bars():
    assert bars_of(SimpleNamespace(), "sound", INCH_POUND) == bars_of(None, None, METRIC) == ""


def test_where_only_the_order_counts_nobody_pays():
    """Lesson 3 draws no hole and gives no verdict."""
    paying = result()
    paying.who_pays = lambda: (("unfed: holes", 1.0, (200, 60, 20), True),)
    assert "unfed" in bars_of(paying, "defective", METRIC)
    assert bars_of(paying, None, METRIC) == freezing_order(paying, METRIC)


def paid_by(**volumes):
    """A casting of 100 cm3 for whose shrinkage these [m3] were paid."""
    kinds = ("pour", "gate", "feeder", "dimensional", "sink", "cavity", "sponge", "pipe_into_casting")
    paid = dict.fromkeys(kinds, 0.0) | volumes
    account = SimpleNamespace(paid_m3=paid, casting_m3=100e-6, defect_m3=volumes.get("sink", 0.0))
    return Casting(account)


def of_the_demand(casting):
    """Words of the legend, words for a screen reader, and how many pieces are drawn."""
    drawn = who_pays(casting)
    words = markup.plain(re.sub(r'aria-label="[^"]*"', "", drawn))
    return words, re.search(r'aria-label="([^"]*)"', drawn)[1], drawn.count("flex:")


def test_who_supplied_nothing_stands_in_no_bar():
    words, said, pieces = of_the_demand(paid_by(pour=1e-6, gate=1e-6, sink=2e-6))
    assert words == "Of the feed demand: supplied by the pour 25 % gate and sprue 25 % unfed: holes 50 %"
    assert said == "Of the feed demand: supplied by the pour 25 %, gate and sprue 25 %, unfed: holes 50 %"
    assert pieces == 3


def test_a_share_that_rounds_to_nothing_is_said_and_not_drawn():
    """In a casting of 100 cm3 less than 0.02 cm3 is nothing; 0.03 of 10 cm3 is 0.3 %."""
    words, said, pieces = of_the_demand(paid_by(feeder=9.97e-6, sink=0.03e-6))
    assert words.endswith("feeder 100 % unfed: holes under 1 %") and said.endswith("unfed: holes under 1 %")
    assert pieces == 1
    assert "unfed" not in who_pays(paid_by(feeder=9.99e-6, sink=0.01e-6))
    assert "unfed: holes 1 %" in of_the_demand(paid_by(feeder=9.93e-6, sink=0.07e-6))[0]


def test_a_face_that_goes_down_a_little_is_no_hole():
    words, _, pieces = of_the_demand(paid_by(feeder=9e-6, dimensional=1e-6))
    assert words == "Of the feed demand: feeder 90 % lost as surface draw 10 %" and pieces == 2


@pytest.mark.slow
@pytest.mark.parametrize("begin", [first_casting.begin, superheat_and_filling.begin])
def test_the_bar_of_a_casting_without_a_feeder_names_none(begin):
    bench = begin()[0]
    bench.reveal()
    bench.set(feeder_width=0.0, pour_temp_c=bench.controls["pour_temp_c"].range()[2])
    assert "Of the feed demand" in bench.bars and "feeder" not in markup.plain(bench.bars)
    bench.set(feeder_width=0.03)
    assert "feeder" in markup.plain(bench.bars)
