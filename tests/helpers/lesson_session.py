"""One session of a student with a lesson, in a process of its own, as a kernel is one.

    python lesson_session.py NOTEBOOK FOLDER act|continue

Runs the notebook in that folder; then something of every kind is done, or *Continue* is pressed. Prints as
JSON what a person sees afterwards.
"""

import json
import os
import sys

from IPython.core.interactiveshell import InteractiveShell
from opened import run

from castlab.errors import InputError
from castlab.teach.bench import lesson_memory
from castlab.teach.bench.bench import Bench
from castlab.teach.bench.questions import Question, Task
from castlab.units import INCH_POUND

ANOTHER_CASTING = 7  # than the one with which lesson 10 begins


def act(benches, questions, tasks):
    """Answer every question, move two sliders of every bench, and check every task."""
    for question in questions:
        question._radio.value = question._radio.options[0][1]
        question._button.click()
    for bench in benches:
        lengths = [control for control in bench.controls.values() if control.slider.kind == "length"]
        for control in lengths[:2] or list(bench.controls.values())[:1]:
            control.value = control.range()[1]
        bench.settle()
    for task in tasks:
        if task._input is not None:
            task._input.value = task._input.options[-1][1] if task._choices else "2.5"
        task._pressed()
    questions[-1].bench.speak(INCH_POUND)


def seen(benches, questions, tasks):
    """What a person sees."""
    for bench in benches:
        bench.settle()
    return {
        "benches": [(bench.values, bench.units.name, bench.hidden, bench.sentence, bench.alert)
                    for bench in benches],
        "questions": [(each.verdict_text, each._radio.value, each.answered, len(each.record))
                      for each in questions],
        "tasks": [(each.done, each.feedback, each._input and each._input.value) for each in tasks],
    }


def main(notebook, folder, what):
    """See above."""
    os.chdir(folder)
    InteractiveShell.instance()
    names = run(notebook)
    things = [names.all(kind) for kind in (Bench, Question, Task)]
    module = names.all(type(lesson_memory))[0]
    memory = lesson_memory.memory_of(module.__name__)
    table = names.names.get("table")  # in lesson 10
    if what == "act":
        if table:
            table.take(ANOTHER_CASTING)
            table.ask("times")
        act(*things)
    else:
        memory.go_on()
        if table:
            table.wait(300)
    print(json.dumps({"seen": seen(*things), "begun": memory.record.begun, "notes": memory.course.notes,
                      "table": table and table.words}))


if __name__ == "__main__":
    try:
        main(*sys.argv[1:])
    except InputError as error:
        sys.exit(str(error))
