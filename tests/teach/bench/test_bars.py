"""The bars under a picture agree with the account."""

import re
from types import SimpleNamespace

import pytest

from castlab.teach.bench.bars import bars_of, freezing_order
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
