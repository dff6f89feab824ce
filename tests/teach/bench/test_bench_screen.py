"""The mark of a verdict is told apart without colours."""

import re

from castlab.teach.bench.bench_screen import MARKS, mark_of
from castlab.teach.text import markup


def test_each_verdict_has_its_own_shape_and_its_word():
    shapes = [re.search(r"<g .*?</g>", mark_of(verdict, rough=False))[0] for verdict in MARKS]
    bare = [re.sub(r'(fill|stroke)="#\w+"', "", shape) for shape in shapes]
    assert len(set(bare)) == len(MARKS) == 4
    assert [markup.plain(mark_of(each, rough=False)) for each in MARKS] == [
        "sound", "marginal", "not sound", "not full"]


def test_a_quick_answer_says_so_beside_the_sentence():
    for verdict in MARKS:
        quick = mark_of(verdict, rough=True)
        assert markup.plain(quick) == "quick answer" and "stroke-dasharray" in quick


def test_no_verdict_no_mark():
    assert mark_of(None, rough=False) == ""
