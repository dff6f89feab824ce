"""Each lesson is worked at, closed, opened again in another process, and continued: it stands as it stood."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from shares import mostly_slow

from castlab.teach.course.kept_course import FILE
from castlab.teach.course.the_lessons import LESSONS

ROOT = Path(__file__).resolve().parents[3]
SESSION = ROOT / "tests" / "helpers" / "lesson_session.py"


def session(lesson, folder, what):
    """What a person sees at the end of a session."""
    command = [sys.executable, SESSION, ROOT / "notebooks" / "lessons" / lesson.file, folder, what]
    paths = os.pathsep.join([str(ROOT), str(SESSION.parent)])
    done = subprocess.run(command, env=os.environ | {"PYTHONPATH": paths}, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr[-3000:]
    return json.loads(done.stdout.splitlines()[-1])


@pytest.mark.slow
@pytest.mark.parametrize("lesson", mostly_slow(LESSONS, quick=LESSONS[1:2]))
def test_a_lesson_that_is_continued_stands_as_it_was_left(lesson, tmp_path):
    left = session(lesson, tmp_path, "act")
    assert left["begun"] and left["notes"] == [] and (tmp_path / FILE).exists()
    assert all(answered for _, _, answered, _ in left["seen"]["questions"])
    found = session(lesson, tmp_path, "continue")
    assert found["table"] == left["table"]
    for kind in ("benches", "questions", "tasks"):
        for then, now in zip(left["seen"][kind], found["seen"][kind], strict=True):
            assert now == then
