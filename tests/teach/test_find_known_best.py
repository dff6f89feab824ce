"""The marks that are stored are what the search finds, and what they say of themselves."""

import pytest
from shares import every

from castlab.errors import InputError
from castlab.teach.bench.lesson_memory import as_ordered
from castlab.teach.course.known_best import known_bests
from castlab.teach.find_known_best import SEARCHES, bench_of, candidates, find

KEYS = [(search.lesson, search.bench) for search in SEARCHES]


@pytest.mark.parametrize("search", every(4, SEARCHES))
def test_a_mark_is_a_sound_casting_of_the_part_that_was_ordered(search):
    best, bench = known_bests()[search.lesson, search.bench], bench_of(search)
    bench.reveal()
    result = bench.set(**best.values).result
    assert result.sound and as_ordered(bench)
    assert result.poured_kg == pytest.approx(best.mass_kg, rel=1e-4)


@pytest.mark.parametrize("search", every(4, SEARCHES))
def test_no_step_beside_a_mark_is_lighter_and_sound(search):
    """Looked for without the search: one step less of each size that was searched through."""
    best, bench = known_bests()[search.lesson, search.bench], bench_of(search)
    for name in search.across:
        value = best.values.get(name, bench.first_values[name]) - bench.controls[name].slider.step
        if value > bench.controls[name].range()[0] - 1e-9:
            try:
                less = bench.solve(**bench.first_values | best.values | {name: round(value, 9)})
            except InputError:
                continue
            assert not less.sound or less.poured_kg > best.mass_kg


@pytest.mark.slow
@pytest.mark.parametrize("search", SEARCHES, ids=[" ".join(key) for key in KEYS])
def test_the_search_finds_the_mark_again(search):
    found, stored = find(search), known_bests()[search.lesson, search.bench]
    assert found.values == stored.values and found.mass_kg == pytest.approx(stored.mass_kg, rel=1e-4)


def test_every_mark_has_its_search_and_the_lightest_comes_first():
    assert list(known_bests()) == KEYS
    masses = [mass for mass, _ in candidates(bench_of(SEARCHES[0]), SEARCHES[0])]
    assert masses == sorted(masses) and len(masses) > 100
