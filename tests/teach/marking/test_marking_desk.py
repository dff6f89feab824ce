"""The marking desk: a folder in, a table out; what cannot be read is reported and the rest is marked."""

import csv
import json
from collections import Counter
from dataclasses import replace

import pytest

from castlab.errors import InputError
from castlab.field.holes import Hole
from castlab.field.outcome import Outcome
from castlab.plan import Batch, Job, run_here
from castlab.teach.bad_examples.example_exercise import ANSWERS, EXERCISE, FOLDER, write_returned
from castlab.teach.bad_examples.hand_out import file_names
from castlab.teach.exercise.exercise import answer_text, exercise_text
from castlab.teach.marking import marking_desk as desks
from castlab.teach.marking.marking_desk import (
    MarkingDesk,
    Solved,
    marks_of,
    open_exercise,
    solve_all,
    wrong_words,
)
from castlab.teach.marking.model_answer import Truth
from castlab.teach.marking.returned import collect
from castlab.teach.text import markup
from castlab.teach.work.shown import guarded
from castlab.units import INCH_POUND, METRIC

EXAMPLE = FOLDER / file_names(EXERCISE.title)[0]
GOOD, WRONG = ANSWERS["ida"], ANSWERS["otto"]
BAD = Outcome("defective", holes=(Hole("cavity", "boss", 2e-6, (0.1, 0.0), 90.0),), causes=("freezes first",),
              defect_m3=2e-6, poured_kg=0.9)
TRUTH = Truth(BAD, "A cavity.")


def made_up(design):
    """Sound from a feeder of 30 mm on; quick, and it can be sent to another process."""
    width = design.values["feeder_width"]
    return Outcome("sound", poured_kg=0.7 + 10.0 * width) if width >= 0.030 else BAD


def no_search(exercise):
    """A search for the model cure that finds none."""
    return ()
    yield


@pytest.fixture
def folder(tmp_path):
    """What a class of five hands in: two good ones alike, a wrong one, a broken one, and something else."""
    folder = tmp_path / "returned"
    folder.mkdir()
    write_returned(folder, "ann", EXERCISE, replace(GOOD, name="Ann"))
    write_returned(folder, "bo", EXERCISE, replace(GOOD, name="<b>Bo</b>"))
    write_returned(folder, "cy", EXERCISE, replace(WRONG, name="=HYPERLINK(1)"))
    (folder / "dee.ipynb").write_text("{")
    (folder / "notes.txt").write_text("not for the desk")
    return folder


@pytest.fixture
def quick(monkeypatch):
    """A desk whose castings are made up, and whose work is done at once in this process."""
    monkeypatch.setattr(desks, "outcome_of", made_up)
    monkeypatch.setattr(desks, "truth_of", lambda exercise: TRUTH)
    monkeypatch.setattr(desks, "allowed_cures", no_search)

    def start(work, plan, on_result=None, on_done=None):
        on_done(run_here(plan))

    monkeypatch.setattr(desks.Work, "start", start)


def marked(folder):
    desk = MarkingDesk(EXAMPLE, folder)
    desk.mark()
    return desk


# ---- marks


def test_one_broken_file_never_stops_the_rest(quick, folder):
    desk = marked(folder)
    sums = {mark.files[0]: (mark.total, mark.problem != "") for mark in desk.marks}
    assert sums == {"ann.ipynb": (12.0, False), "bo.ipynb": (12.0, False), "cy.ipynb": (0.0, False),
                    "dee.ipynb": (0.0, True), "notes.txt": (0.0, True)}
    assert "3 marked, 2 not" in desk.said


def test_the_same_folder_gives_the_same_table(quick, folder):
    assert marked(folder).marks == marked(folder).marks


def test_equal_answers_get_equal_marks(quick, folder):
    ann, bo, *_ = marked(folder).marks
    assert (ann.points, ann.comment) == (bo.points, bo.comment)


def test_the_screen_shows_words_and_runs_none(quick, folder):
    desk = marked(folder)
    assert "<b>Bo</b>" not in desk._table.value and "&lt;b&gt;Bo&lt;/b&gt;" in desk._table.value
    assert "dee.ipynb" in markup.plain(desk._table.value)
    assert desk._wrong.value and "place (33 % of its marks lost)" in markup.plain(desk._wrong.value)


def test_equal_designs_are_solved_once(folder):
    returned = collect(folder, EXERCISE)
    batch = next(solve_all(EXERCISE, returned))
    assert isinstance(batch, Batch)
    kinds = Counter(job.function.__name__ for job in batch.jobs)
    assert kinds == {"truth_of": 1, "outcome_of": 2}  # the good cure and the wrong one


@pytest.mark.parametrize("best_of_search, metal", [(None, 3.0), (0.8, 1.5)])
def test_the_best_known_cure_is_of_the_search_or_of_the_class(folder, best_of_search, metal):
    """Ann's and Bo's pour 1.06 kg by the made-up solver: alone the best, or 1.325 times the search's 0.8 kg,
    which is half way between full marks and none."""
    returned = collect(folder, EXERCISE)
    outcomes = {EXERCISE.design(**each.answer.values): replace(made_up(EXERCISE.design(**each.answer.values)))
                for each in returned if each.answer}
    outcomes = {design: replace(found, poured_kg=1.06 if found.sound else 0.9)
                for design, found in outcomes.items()}
    model = Outcome("sound", poured_kg=best_of_search) if best_of_search else None
    marks = marks_of(EXERCISE, returned, Solved(TRUTH, outcomes, model))
    assert marks[0].points["metal"] == metal


def test_what_went_wrong_is_said_in_words(quick, tmp_path):
    assert wrong_words((), EXERCISE) == "Nothing was marked."
    write_returned(tmp_path, "ann", EXERCISE, GOOD)
    desk = marked(tmp_path)
    assert wrong_words(desk.marks, EXERCISE) == "Everybody got everything right."


# ---- files


def test_the_table_is_saved_only_where_nothing_is(quick, folder, tmp_path):
    desk = marked(folder)
    desk._csv.value = str(tmp_path / "marks.csv")
    assert desk.save() == tmp_path / "marks.csv"
    with open(tmp_path / "marks.csv", encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["sum"] for row in rows] == ["12", "12", "0", "not marked", "not marked"]
    assert rows[2]["name"] == "'=HYPERLINK(1)"
    (tmp_path / "marks.csv").write_text("mine")
    desk._save.click()
    assert "Not saved" in desk.said and (tmp_path / "marks.csv").read_text() == "mine"
    desk._replace.value = True
    desk._save.click()
    assert "Saved" in desk.said and (tmp_path / "marks.csv").read_text() != "mine"


@pytest.mark.parametrize("name", ["", "nowhere/marks.csv", "."])
def test_a_table_that_cannot_be_saved_is_said_so(quick, folder, name):
    desk = marked(folder)
    desk._csv.value = name
    desk._save.click()
    assert "Not saved" in desk.said


def test_nothing_is_saved_before_anything_is_marked():
    desk = MarkingDesk()
    assert desk._save.disabled
    with pytest.raises(InputError, match="mark a folder first"):
        desk.save()


@pytest.mark.parametrize(
    "content, says",
    [(None, "cannot be read"), (b"\xff\xfe", "UTF-8"), (b"{}", "JSON object"), (b" " * 300_000, "at most"),
     (answer_text(GOOD).encode(), "JSON object")],
)
def test_an_exercise_that_is_none_is_said_so(tmp_path, content, says):
    path = tmp_path / "x_exercise.json"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError, match=says):
        open_exercise(path)
    desk = MarkingDesk(path, tmp_path)
    desk.mark()
    assert "Nothing is marked" in desk.said and says in desk.said and desk.marks == ()


def test_a_folder_that_is_none_is_said_so(tmp_path):
    desk = MarkingDesk(EXAMPLE, tmp_path / "nowhere")
    desk.mark()
    assert "Nothing is marked" in desk.said and "folder" in desk.said


def test_an_exercise_with_a_mark_at_its_beginning_is_read(tmp_path):
    path = tmp_path / "x.json"
    path.write_bytes(b"\xef\xbb\xbf" + exercise_text(EXERCISE).encode())
    assert open_exercise(path) == EXERCISE


def test_what_came_back_is_listed_without_solving(folder, capsys):
    desk = MarkingDesk(EXAMPLE, folder)
    desk.look()
    desk.print_files()
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "ann.ipynb, ann.json: an answer of Ann"
    assert lines[3].startswith("dee.ipynb: not used: dee.ipynb: notebook is {: it must be whole JSON")


def test_an_error_nobody_thought_of_is_shown(monkeypatch):
    desk = MarkingDesk(EXAMPLE, FOLDER / "returned")
    monkeypatch.setattr(desk, "look", lambda: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        guarded(desk.mark, desk._said)()
    assert "ZeroDivisionError" in desk._said.value and 'role="alert"' in desk._said.value


# ---- for real, in two processes


def test_the_example_is_marked_for_real(tmp_path, monkeypatch):
    """Both castings are solved; the search for the model cure asks for one pour more, so that it is short."""
    monkeypatch.setattr(desks, "allowed_cures", no_search)
    write_returned(tmp_path, "ida", EXERCISE, GOOD)
    write_returned(tmp_path, "otto", EXERCISE, WRONG)
    (tmp_path / "big.ipynb").write_text(json.dumps({"cells": []}))
    desk = MarkingDesk(EXAMPLE, tmp_path)
    desk.mark()
    _, ida, otto = desk.wait(timeout=120)
    assert ida.points == {"place": 2, "reason": 3, "sound": 4, "metal": 3}
    assert otto.points == {"place": 0, "reason": 0, "sound": 0, "metal": 0}
    assert "largest hole is in the boss" in otto.comment and "Not sound" in otto.comment
    assert desk._work.alert == "" and "2 marked, 1 not" in desk.said


def test_an_exercise_that_is_not_bad_is_said_so(tmp_path):
    sound = replace(EXERCISE, values=EXERCISE.values | {"feeder_width": 0.040})
    (tmp_path / "x.json").write_text(exercise_text(sound))
    desk = MarkingDesk(tmp_path / "x.json", FOLDER / "returned")
    desk.mark()
    with pytest.raises(InputError):
        desk.wait(timeout=120)
    assert "must have a hole" in desk._work.alert and desk.marks == ()


def test_marking_can_be_stopped(monkeypatch, folder):
    def endless(exercise, returned):
        while True:
            yield Batch([Job(abs, -1)])

    monkeypatch.setattr(desks, "solve_all", endless)
    desk = marked(folder)
    assert desk._work.running
    desk.stop()
    assert desk.wait(timeout=30) == () and "Stopped" in desk._work.words


def test_comments_come_in_inches_and_go_into_the_saved_table_so(quick, folder, tmp_path):
    desk = marked(folder)
    desk._csv.value = str(tmp_path / "marks.csv")
    metric = [mark.comment for mark in desk.marks]
    assert any(" kg" in comment or " cm3" in comment for comment in metric)
    desk._switch.value = INCH_POUND
    shown = markup.plain(desk._table.value) + desk.save().read_text(encoding="utf-8-sig")
    assert " lb" in shown and " kg" not in shown and " cm3" not in shown and desk.said.endswith("2 not.")
    desk._switch.value = METRIC
    assert [mark.comment for mark in desk.marks] == metric
