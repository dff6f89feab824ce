"""What a lining costs: the table of two builders."""

from castlab.teach.melt import lining
from castlab.teach.text import markup


def test_the_table_says_both_melts():
    """By hand: 2 kW for 30 min are 1.0 kWh, 4.4 kW for 2 h 8.8; 1.14 of 3.6 MJ are 32 %, 2.58 of 31.7 8 %."""
    words = markup.plain(lining.two_builders().value)
    assert "1.0 kWh" in words and "8.8 kWh" in words and "%" not in words
    says = lining.what_they_say()
    assert "4 times as long" in says and "12 times as much lining" in says
