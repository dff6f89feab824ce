"""The page of published measurements; tests/published/test_published_trials.py says what they are held to."""

from functools import cache

import pytest

from castlab.teach.text import markup
from castlab.teach.trust import trials


@cache
def check():
    return trials.against_trials()


def test_the_page_names_each_source_and_what_is_missing():
    page = markup.plain(check()._repr_html_())
    assert check().png.startswith(b"\x89PNG") and "nan" not in check().says
    assert all(len(row) == len(check().headings) and len(row[-1]) > 20 for row in check().rows)
    assert "not said" in page and "6.8 mm (0.27 in)" in page and "120 min" in page


def test_at_least_eight_trials_and_most_of_them_met():
    numbers = check().numbers
    met = [max(low, other) <= min(high, last) * 1.01 for (low, high), (other, last) in numbers.values()]
    assert len(numbers) >= 12 and sum(met) >= 0.5 * len(met)
    assert f"Of {len(met)} published measurements {sum(met)} meet" in check().says


@pytest.mark.parametrize("measured, computed, apart", [
    ((1.0, 2.0), (1.5, 3.0), 1.0), ((1.0, 1.0), (1.4, 2.0), 1.4), ((2.0, 2.0), (0.5, 1.0), 2.0)])
def test_how_far_apart_two_ranges_are(measured, computed, apart):
    assert trials.Trial("", measured, computed, "rule", "").apart == pytest.approx(apart)
