"""Plans: several side by side, and what one is told."""

from plans import followed

from castlab.plan import Batch, Job, map_over, run_here, side_by_side


def louder(names):
    """Asks twice for each name, one name at a time."""
    found = []
    for name in names:
        found += yield Batch([Job(str.upper, name), Job(str.upper, name + "!")], more=len(name))
    return found


def test_side_by_side_keeps_apart_what_belongs_to_whom():
    found, asked = followed(side_by_side([louder("ab"), louder(""), louder("c")]), str.upper)
    assert found == [["A", "A!", "B", "B!"], [], ["C", "C!"]]
    assert [name for name, in asked] == ["a", "a!", "c", "c!", "b", "b!"]
    assert followed(side_by_side([]), None) == ([], [])


def test_side_by_side_tells_how_many_more_all_of_them_want():
    first = next(side_by_side([louder(["abc"]), louder(["de"]), map_over(abs, [1])]))
    assert len(first.jobs) == 5 and first.more == 3 + 2


def test_plans_may_be_nested():
    plans = side_by_side([side_by_side([map_over(abs, [-1]), map_over(abs, [])]), louder("x")])
    assert run_here(plans) == [[[1], []], ["X", "X!"]]
