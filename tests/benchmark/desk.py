"""How long the desk takes for a class: `python tests/benchmark/desk.py`. The aim: 60 notebooks in under 90 s.

Every student has another cure, so that each is solved; beside each notebook lies its answer file.
"""

import itertools
import tempfile
import time
from dataclasses import replace

from castlab.teach.bad_examples.example_exercise import ANSWERS, EXERCISE, FOLDER, write_returned
from castlab.teach.bad_examples.hand_out import file_names
from castlab.teach.marking.marking_desk import MarkingDesk

STUDENTS = 60
WIDTHS, HEIGHTS, POURS = range(26, 46, 2), (25, 40, 60), (460.0, 475.0)


def cures():
    """So many different cures, in metres and degrees C."""
    settings = itertools.product(WIDTHS, HEIGHTS, POURS)
    for width, height, pour in itertools.islice(settings, STUDENTS):
        yield {"feeder_width": width / 1e3, "feeder_height": height / 1e3, "pour_temp_c": pour}


def main():
    with tempfile.TemporaryDirectory() as folder:
        for number, values in enumerate(cures()):
            answer = replace(ANSWERS["ida"], name=f"Student {number}", values=values)
            write_returned(folder, f"student_{number:02}", EXERCISE, answer)
        began, busy = time.perf_counter(), time.process_time()
        desk = MarkingDesk(FOLDER / file_names(EXERCISE.title)[0], folder)
        desk.look()
        read = time.perf_counter() - began
        desk.mark()
        marks = desk.wait()
        took = time.perf_counter() - began
        print(f"{len(marks)} returned: read in {read:.2f} s, marked in {took:.0f} s "
              f"({time.process_time() - busy:.1f} s of it busy in this process); {desk._work.words}")


if __name__ == "__main__":
    main()
