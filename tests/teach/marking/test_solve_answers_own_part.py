"""Answers about a part of one's own, marked: everything is computed but the search for the best cure."""

from own_parts import lug_exercise

from castlab.plan import run_here
from castlab.teach.bad_examples.hand_out import write_texts
from castlab.teach.exercise.exercise import Answer, answer_text, exercise_text
from castlab.teach.marking import solve_answers
from castlab.teach.marking.returned import collect
from castlab.teach.marking.solve_answers import marks_of, open_exercise, solve_all


def no_search(exercise):
    """A search for the model cure that finds none."""
    return ()
    yield


def test_a_fed_boss_gets_all_marks_and_a_bare_one_none_for_its_cure(tmp_path, monkeypatch):
    monkeypatch.setattr(solve_answers, "allowed_cures", no_search)
    own = lug_exercise()
    fed = {"feeder_1_width": 0.024, "feeder_1_height": 0.036}
    answers = [Answer(own.key, *rest) for rest in (("Ann", "boss", "no feeder", fed),
                                                   ("Bo", "plate", "no feeder", {}))]
    write_texts({tmp_path / "lug_exercise.json": exercise_text(own)}, False)
    write_texts({tmp_path / "in" / f"{each.name}.json": answer_text(each) for each in answers}, False)
    exercise = open_exercise(tmp_path / "lug_exercise.json")
    returned = collect(tmp_path / "in", exercise)
    ann, bo = marks_of([exercise], returned, run_here(solve_all([exercise], returned)))
    assert (ann.total, ann.problem) == (exercise.most_marks, "") and ann.outcome.sound
    assert bo.points["sound"] == bo.points["metal"] == bo.points["place"] == 0.0
    assert "in the boss, not in the plate" in bo.comment
