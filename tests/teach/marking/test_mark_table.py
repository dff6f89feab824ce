"""Marks follow the scheme that the instructor's sheet states; the table is harmless wherever it is opened.

Truth and outcomes are made up here: what is computed is tested elsewhere.
"""

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from castlab.errors import InputError
from castlab.field.holes import Hole
from castlab.field.outcome import Outcome
from castlab.teach.bad_examples.example_exercise import ANSWERS, EXERCISE
from castlab.teach.marking import mark_table
from castlab.teach.marking.model_answer import Truth
from castlab.teach.marking.returned import Returned


def with_holes(**volumes):
    """A bad casting with holes of so many cm3 in these blocks, the first counted as the largest."""
    kinds = ("cavity", "sink", "sponge")
    holes = (Hole(kind, block, 1e-6 * volume, (0.1, 0.0), 90.0)
             for kind, (block, volume) in zip(kinds, volumes.items(), strict=False))
    return Outcome("defective", holes=tuple(holes), causes=("freezes first",), defect_m3=2.5e-6,
                   defect_share=0.02, casting_kg=0.7, poured_kg=0.9)


BAD = with_holes(boss=2.0, plate=0.5)
SOUND = Outcome("sound", casting_kg=0.7, poured_kg=1.0)
MARGINAL = replace(BAD, verdict="marginal", defect_m3=0.3e-6, defect_share=3e-3)
TRUTH = Truth(BAD, "A cavity.")
RIGHT = Returned(("ann.ipynb",), replace(ANSWERS["ida"], name="Ann"))
MOST = EXERCISE.marks  # 2, 3, 4 and 3 marks for place, reason, sound and metal


def points(outcome=SOUND, best=1.0, truth=TRUTH, **changes):
    returned = replace(RIGHT, answer=replace(RIGHT.answer, **changes))
    return mark_table.mark(returned, EXERCISE, truth, outcome, best)


def test_everything_right_gets_all_marks():
    mark = points()
    assert mark.points == MOST and mark.total == 12
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
    double = replace(EXERCISE, marks={"place": 4, "reason": 0, "sound": 10, "metal": 1})
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


# ---- the table




def test_what_the_class_got_wrong_most_comes_first():
    marks = [points(), points(reason="even"), points(reason="even", block="plate"), broken()]
    worst = mark_table.most_wrong(marks, EXERCISE)
    assert [name for name, _ in worst] == ["reason", "place", "sound", "metal"]
    shares = [share for _, share in worst]
    assert shares == pytest.approx([2 / 3, 1 / 6, 0, 0])  # the plate has half of the place's marks


def test_a_class_of_broken_files_got_nothing_wrong():
    assert mark_table.most_wrong([broken()], EXERCISE) == () == mark_table.most_wrong([], EXERCISE)


def test_a_point_without_marks_is_not_counted():
    free = replace(EXERCISE, marks=MOST | {"place": 0})
    assert "place" not in dict(mark_table.most_wrong([points()], free))


def broken(words="bob.ipynb: size is 200 MB"):
    return mark_table.unmarked(Returned(("bob.ipynb",), None, words))


def test_rows_stand_under_their_headings():
    rows = [dict(zip(mark_table.HEADINGS, row, strict=True)) for row in
            mark_table.rows_of([points(MARGINAL, reason="even"), broken()], EXERCISE)]
    assert rows[0] | {"comment": ""} == {"file": "ann.ipynb", "name": "Ann", "place": "2", "reason": "0",
                                         "sound": "2", "metal": "0", "sum": "4", "of": "12", "comment": ""}
    assert rows[1]["sum"] == "not marked" and rows[1]["comment"] == "bob.ipynb: size is 200 MB"
    assert rows[1]["place"] == ""


@pytest.mark.parametrize("words", ["=1+1", "+1", "-1", "@sum(1)", "\t=1", " =1", "\r=1", "\n@x", "＝1+1",
                                   "x;=1", "x\t=1", 'x";=1', '"=1"', "=cmd|' /C calc'!A0"])
def test_no_cell_is_a_formula(words):
    for mark in (points(name=words), replace(points(), files=(words,)), broken(words)):
        text = mark_table.csv_text([mark], EXERCISE)
        assert ";" not in text and "\t" not in text  # where some programs begin a new cell
        for row in csv.reader(io.StringIO(text)):
            assert not [cell for cell in row if cell.strip().startswith(("=", "+", "-", "@", "＝"))]


@given(st.text(max_size=40))
def test_any_name_makes_a_table_that_can_be_read_and_written(name):
    text = mark_table.csv_text([replace(points(), name=name, files=(name,))], EXERCISE)
    assert text.encode("utf-8")
    rows = list(csv.reader(io.StringIO(text)))
    assert [len(row) for row in rows] == [len(mark_table.HEADINGS)] * 2


def test_a_table_that_is_there_stays_unless_it_is_asked_for(tmp_path):
    path = tmp_path / "marks.csv"
    mark_table.write_csv(path, "first")
    with pytest.raises(InputError, match="there already"):
        mark_table.write_csv(path, "second")
    assert path.read_text(encoding="utf-8-sig") == "first"
    mark_table.write_csv(path, "third", overwrite=True)
    assert path.read_bytes() == b"\xef\xbb\xbfthird"
