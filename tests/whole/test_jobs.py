"""What is sent to other processes starts and ends there without a widget, a drawing library or a template."""

import ast
import pickle
import subprocess
import sys
from pathlib import Path

import pytest

from castlab.field import cures
from castlab.field.design import design
from castlab.field.outcome import outcome_of
from castlab.field.sure import across_bands
from castlab.materials import alloy, mould
from castlab.plan import map_over
from castlab.teach.bad_examples import hand_out, search
from castlab.teach.bad_examples.example_exercise import ANSWERS, EXERCISE
from castlab.teach.bad_examples.wanted_defect import WantedDefect
from castlab.teach.marking import solve_answers
from castlab.teach.marking.returned import Returned
from castlab.teach.own_part import own_part_desk
from castlab.teach.pages.page import in_portions
from castlab.teach.panels import window_map
from castlab.teach.read_defect import hidden_castings
from castlab.teach.trust import checks, class_set, fed_plates, feeders_on_parts, least_feeder

PACKAGE = Path(__file__).resolve().parents[2] / "castlab"
PLAIN = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
BALL = class_set.class_set()[0]
WISH = WantedDefect("eye plate", "ZA-12", "green sand", "sink", "boss", 3e-6)
PLANS = (
    cures.cures(PLAIN),
    map_over(outcome_of, across_bands(PLAIN)),
    window_map.survey({(0, 0): PLAIN.setup()}, {}),
    search.prove(WISH, WISH.design(WISH.start)),
    hand_out.prepare(EXERCISE),
    solve_answers.solve_all([EXERCISE], [Returned(("ida.json",), ANSWERS["ida"])]),
    hidden_castings.drawing(1),
    map_over(checks.stated_error, [checks.setup_of(*checks.CASTINGS[0])]),
    map_over(least_feeder.least_in_field, [("cylinder", "Al-12Si")]),
    map_over(feeders_on_parts.smallest_on_part, [("bracket", "ZA-12")]),
    map_over(fed_plates.fed_plate, [("ZA-12", 20e-3)]),
    own_part_desk._quick_and_full(PLAIN),
    map_over(class_set.by_field, [(BALL, class_set.setup_of(BALL, "ZA-12", "green sand"))]),
    in_portions([PLAIN.setup()]),
)
SENDERS = {"Job", "map_over", "LongCheck"}  # their first argument is a function for other processes
WORKER = """
import pickle, sys
while sys.stdin.buffer.peek(1):
    job = pickle.load(sys.stdin.buffer)
    unpacked = set(sys.modules)
    job()
    for name in ("ipywidgets", "matplotlib", "IPython", "PIL", "jinja2"):
        if name in sys.modules:
            print(job.function.__name__, "loads", name, "to start" if name in unpacked else "on its way")
"""


def functions_sent():
    """The names of all functions that castlab hands to other processes, read from its source."""
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            called = getattr(node, "func", None)
            if path.name != "plan.py" and getattr(called, "attr", getattr(called, "id", "")) in SENDERS:
                yield from (name.id for name in node.args[:1] if isinstance(name, ast.Name))


@pytest.mark.slow
def test_every_job_is_done_without_a_widget_or_a_drawing():
    jobs = [next(plan).jobs[0] for plan in PLANS]
    assert {job.function.__name__ for job in jobs} == set(functions_sent())
    done = subprocess.run([sys.executable, "-c", WORKER], input=b"".join(map(pickle.dumps, jobs)),
                          stdout=subprocess.PIPE, check=True, cwd=PACKAGE.parent)
    assert done.stdout.decode() == ""
