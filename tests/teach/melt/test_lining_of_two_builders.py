"""What a lining costs: the table of two builders, and its task for lesson 8."""

import pytest

from castlab.teach.bench.ready_made import eye_plate_bench
from castlab.teach.melt import lining
from castlab.teach.text import markup


def test_the_table_says_both_melts():
    """By hand: 2 kW for 30 min are 1.0 kWh, 4.4 kW for 2 h 8.8; 1.14 of 3.6 MJ are 32 %, 2.58 of 31.7 8 %."""
    words = markup.plain(lining.two_builders().value)
    assert "1.0 kWh" in words and "8.8 kWh" in words and "32 %" in words and "8 %" in words
    assert "4 times as long" in words and "12 times as much lining" in words


@pytest.mark.parametrize("answer, right, said", [
    (8.1, True, "MJ"), (2.27 * 1.14e6 / (4400 * 7200) * 100, True, "MJ"), (92.0, False, "the room got"),
    (3.6, False, "one kilogram"), (490.0, False, "7200 seconds"), (0.08, False, "times 100"),
    (40.0, False, "Electricity first")])
def test_the_task_knows_the_answer_and_the_slips(answer, right, said):
    checked = lining.task_lining(eye_plate_bench()).check(answer)
    assert checked.right is right and said in checked.why
