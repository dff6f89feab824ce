"""Marks follow the scheme that the instructor's sheet states.

Truth and outcomes are made up here: what is computed is tested elsewhere.
"""

from dataclasses import replace

import pytest
from made_marks import BAD, MARGINAL, MOST, RIGHT, SOUND, TRUTH, broken, points, with_holes

from castlab.field.diagnosis import CAUSES
from castlab.field.outcome import Outcome
from castlab.teach.bad_examples.example_exercise import EXERCISE
from castlab.teach.marking import mark_table
from castlab.teach.marking.by_hand import ByHand
from castlab.teach.marking.model_answer import Truth


def test_everything_right_gets_all_marks():
    mark = points()
    assert mark.points == {"place": 2, "reason": 3, "sound": 4, "metal": 3} and mark.total == 12
    assert mark.comment.startswith("The place is right. The reason is right. The cure makes it sound.")


@pytest.mark.parametrize(
    "share_of_plate, expected", [(0.20, 1.0), (0.15, 1.0), (0.14, 0.0)]
)
def test_the_place_of_a_second_hole_gets_half_if_it_is_worth_naming(share_of_plate, expected):
    truth = Truth(with_holes(boss=1.0 - share_of_plate, plate=share_of_plate), "")
    mark = points(truth=truth, block="plate")
    assert mark.points["place"] == expected
    assert "the boss" in mark.comment


def test_a_block_with_more_in_all_is_as_right_as_the_one_that_is_named_first():
    """Its holes are of several kinds: the sentence names the largest of one kind and block."""
    holes = (*with_holes(plate=0.45, boss=0.30).holes, *with_holes(boss=0.25).holes)
    truth = Truth(replace(BAD, holes=holes), "")
    assert list(truth.blocks) == ["plate", "boss"] and truth.blocks["boss"] == pytest.approx(0.55)
    assert points(truth=truth).points["place"] == points(truth=truth, block="plate").points["place"] == 2


def test_a_reason_is_right_or_not_and_near_a_limit_two_are_right():
    assert points(reason="runs empty").points["reason"] == 0
    assert "the feeder is frozen or stiff before it" in points(reason="runs empty").comment
    both = Truth(replace(BAD, causes=("freezes first", "runs empty")), "")
    assert points(reason="runs empty", truth=both).points["reason"] == 3


@pytest.mark.parametrize(
    "outcome, sound, words",
    [
        (SOUND, 4, "makes it sound"),
        (MARGINAL, 2, "Nearly sound: holes of 0.30 cm3"),
        (BAD, 0, "Not sound: holes of 2.5 cm3 are left, the largest in the boss."),
        (Outcome("refused", "the feeder is too wide"), 0, "cannot be cast: the feeder is too wide"),
        (replace(SOUND, poured_kg=1.51), 0, "needs 1.5 kg"),
        (replace(SOUND, poured_kg=1.5), 4, "makes it sound"),
    ],
)
def test_the_cure_is_sound_nearly_or_not(outcome, sound, words):
    mark = points(outcome, best=1.5)
    assert mark.points["sound"] == sound and words in mark.comment
    assert (mark.points["metal"] > 0) == (sound == 4)


@pytest.mark.parametrize(
    "poured, expected",
    # by hand: full to 1.05 times the best, none from 1.60 on; half way, 1.325, half of 3 marks
    [(1.0, 3.0), (1.05, 3.0), (1.325, 1.5), (1.50, 0.5), (1.60, 0.0), (1.9, 0.0)],
)
def test_metal_is_weighed_against_the_best_known(poured, expected):
    best = 0.5
    mark = points(replace(SOUND, poured_kg=best * poured), best)
    assert mark.points["metal"] == pytest.approx(expected, abs=0.051)  # marks have one decimal


def test_the_best_known_is_sound_and_fits_the_pot():
    light, heavy = replace(SOUND, poured_kg=0.8), replace(SOUND, poured_kg=1.6)
    assert mark_table.best_metal([BAD, SOUND, light, heavy], EXERCISE) == 0.8
    assert mark_table.best_metal([BAD, heavy], EXERCISE) is None


def test_marks_follow_the_exercise():
    double = replace(EXERCISE, marks={"place": 4, "reason": 0, "sound": 10, "metal": 1, "words": 0})
    mark = mark_table.mark(RIGHT, double, TRUTH, MARGINAL, 1.0)
    assert mark.points == {"place": 4, "reason": 0, "sound": 5, "metal": 0}


def test_equal_answers_get_equal_marks_whoever_gave_them():
    one, two = points(name="Ann"), points(name="Bo", words="Other words.")
    assert (one.points, one.comment) == (two.points, two.comment)


def test_a_remark_is_in_the_comment():
    mark = mark_table.mark(replace(RIGHT, remark="ann.json: broken"), EXERCISE, TRUTH, SOUND, 1.0)
    assert mark.comment.endswith("Note: ann.json: broken.")


def test_the_scheme_in_words_has_the_numbers_that_are_used():
    assert set(mark_table.SCHEME) == set(MOST)
    assert f"{100 * (mark_table.FULL_METAL - 1):.0f} % more" in mark_table.SCHEME["metal"]
    assert f"from {100 * (mark_table.NO_METAL - 1):.0f} % more" in mark_table.SCHEME["metal"]
    assert f"{100 * mark_table.WORTH_NAMING:.0f} %" in mark_table.SCHEME["place"]


def test_marks_by_hand_are_added_with_their_reason_and_never_go_out_of_the_scheme():
    assert points(reason="even", by_hand=ByHand(2, "a good drawing")).total == 11  # 12 - 3 + 2
    assert points(by_hand=ByHand(2, "more than there is")).total == 12
    assert points(reason="even", block="plate", outcome=BAD, by_hand=ByHand(-5, "late")).total == 0
    words = points(by_hand=ByHand(-1, "late")).comment
    assert words.endswith("By hand: -1, because: late.")
    of_words = replace(EXERCISE, marks=MOST | {"words": 3})
    mark = mark_table.mark(RIGHT, of_words, TRUTH, SOUND, 1.0, by_hand=ByHand(2.5, "clear"))
    assert (mark.total, of_words.most_marks) == (14.5, 15)


# ---- the table


def points_and_broken():
    return [points(), points(reason="even"), points(reason="even", block="plate"), broken()]


def test_what_the_class_got_wrong_most_comes_first():
    worst = mark_table.most_wrong(points_and_broken())
    assert [name for name, _ in worst] == ["reason", "place", "sound", "metal"]
    shares = [share for _, share in worst]
    assert shares == pytest.approx([2 / 3, 1 / 6, 0, 0])  # the plate has half of the place's marks


def test_a_class_of_broken_files_got_nothing_wrong():
    assert mark_table.most_wrong([broken()]) == () == mark_table.most_wrong([])


def test_a_point_without_marks_is_not_counted():
    free = replace(EXERCISE, marks=MOST | {"place": 0})
    mark = mark_table.mark(RIGHT, free, TRUTH, SOUND, 1.0)
    assert "place" not in dict(mark_table.most_wrong([mark]))


def test_rows_stand_under_their_headings():
    mark = points(MARGINAL, reason="even", number="17", by_hand=ByHand(1, "neat"))
    row = mark_table.columns_of(4, mark, (2, 9))
    assert tuple(row) == mark_table.HEADINGS
    assert (row["paper"], row["file"], row["name"], row["id"]) == (4, "ann.ipynb", "Ann", "17")
    assert (row["says where"], row["says why"]) == ("boss", CAUSES["even"])
    assert row["cure"] == "feeder width from 20 mm to 34 mm, feeder height from 60 mm to 25 mm"
    assert row["in words"] == RIGHT.answer.words and row["same answer as"] == "2, 9"
    assert [row[name] for name in ("place", "reason", "sound", "metal")] == [2, 0, 2, 0]
    assert (row["by hand"], row["reason by hand"], row["sum"], row["of"]) == (1, "neat", 5, 12)
    row = mark_table.columns_of(5, broken(), ())
    assert (row["sum"], row["comment"], row["place"]) == ("not marked", "bob.ipynb: size is 200 MB", "")


def test_long_words_are_cut_on_the_screen_and_nowhere_else():
    marks = points(words="why " * 400), broken()
    rows = [mark_table.columns_of(number, mark, ()) for number, mark in enumerate(marks, start=1)]
    (_, name, cure, words, *numbers), (_, _, problem, *_, total) = mark_table.shown_rows(marks, rows)
    assert len(words) == mark_table.SHORT_WORDS and words.endswith("…") and len(rows[0]["in words"]) > 1000
    assert (name, cure) == ("Ann", "feeder width 34 mm, feeder height 25 mm")
    assert numbers == ["2", "3", "4", "3", "", "12 of 12"]
    assert (problem, total) == (marks[1].problem, "not marked")
