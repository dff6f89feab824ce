"""Notebooks that were handed out with an earlier castlab, kept as they were, open and work with today's.

They import `castlab.teach.lessons`, `castlab.teach.hand_in` and `castlab.teach.workbench`. What they print
may be worded anew; so only what they do is held here.
"""

from pathlib import Path

import pytest
from let_go import let_benches_go
from opened import run

from castlab.teach.exercise.exercise import read_exercise
from castlab.teach.marking.returned import collect

KEPT = Path(__file__).resolve().parents[1] / "handed_out_before"


@pytest.fixture(autouse=True)
def in_a_folder_of_its_own(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    yield
    let_benches_go()


def exercise():
    return read_exercise((KEPT / "exercise.json").read_text(encoding="utf-8"))


@pytest.mark.slow
def test_a_lesson_asks_shows_and_checks():
    names = run(KEPT / "lesson.ipynb").names
    bench, question, task = names["bench"], names["question"], names["task_hotter"]
    assert bench.hidden and not question.answered
    question.answer(next(iter(question._choices)))
    low, _, high = bench.controls["pour_temp_c"].range()
    bench.set(pour_temp_c=low)
    cold = bench.result.account.asked_m3
    assert bench.set(pour_temp_c=high).result.account.asked_m3 > cold and bench.alert == ""
    assert task.check("more").why and len(question.verdict_text) > 20


@pytest.mark.slow
def test_an_exercise_is_worked_on_handed_in_and_read(tmp_path, capsys):
    task = run(KEPT / "exercise.ipynb").names["task"]
    assert task.exercise == exercise() and task.bench.hidden
    task.expect("boss", "freezes first")
    task.bench.set(feeder_width=0.034)
    task.write("Ann", "The feeder was too slim.")
    task.hand_in()
    assert "Saved" in capsys.readouterr().out
    found, = collect(tmp_path, exercise())
    assert (found.answer.name, found.answer.values) == ("Ann", {"feeder_width": 0.034})


def test_a_returned_notebook_is_read_and_runs(tmp_path):
    (tmp_path / "ida.ipynb").write_bytes((KEPT / "returned.ipynb").read_bytes())
    found, = collect(tmp_path, exercise())
    assert (found.answer.name, found.answer.block, found.problem) == ("Ida", "boss", "")
    assert run(KEPT / "returned.ipynb").names["task"].exercise == exercise()


@pytest.mark.slow
def test_the_workbench_is_still_there():
    workbench = run(KEPT / "before_the_pour.ipynb").names["workbench"]
    assert workbench.bench.sentence and workbench.bench.alert == workbench.melt.alert == ""
