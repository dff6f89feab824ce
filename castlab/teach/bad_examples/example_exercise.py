"""One whole exercise as an example, written again by `python -m castlab.teach.bad_examples.example_exercise`.

With it two returned answers, one good and one wrong, as the student's notebook leaves them.
"""

import copy
import json
import os
from pathlib import Path

from castlab.teach.bad_examples import hand_out
from castlab.teach.bad_examples.student_notebook import notebook_of
from castlab.teach.exercise.exercise import Answer, Exercise, answer_text
from castlab.teach.work.progress import Work

FOLDER = Path(__file__).resolve().parents[3] / "notebooks" / "instructor" / "example_exercise"
RETURNED = "returned"
EXERCISE = Exercise(
    title="The eye plate with a slim feeder",
    part="eye plate",
    alloy="ZA-12",
    mould="green sand",
    values={
        "thickness": 0.012,
        "boss": 0.040,
        "feeder_width": 0.020,
        "feeder_height": 0.060,
        "chill_thickness": 0.0,
        "pour_temp_c": 475.0,
    },
    allowed=("feeder_width", "feeder_height", "chill_thickness", "pour_temp_c"),
    most_metal_kg=1.5,
)
ANSWERS = {
    "ida": Answer(
        EXERCISE.key,
        "Ida",
        "boss",
        "freezes first",
        {"feeder_width": 0.034, "feeder_height": 0.025},
        "A wide feeder has the larger modulus, so it stays liquid longer than the boss.",
    ),
    "otto": Answer(
        EXERCISE.key, "Otto", "plate", "runs empty", {"pour_temp_c": 540.0}, "Hotter metal flows better."
    ),
}


def files():
    """Paths of the exercise's file and of the folder with what came back, as seen from the present folder.

    Where castlab is installed apart from its notebooks, the example stands beside the one that runs.
    """
    folder = FOLDER if FOLDER.is_dir() else Path(FOLDER.name)
    exercise, returned = folder / hand_out.file_names(EXERCISE.title)[0], folder / RETURNED
    return os.path.relpath(exercise), os.path.relpath(returned)


def returned_notebook(exercise, answer):
    """The student's notebook as it comes back, with an answer printed under its last cell: plain data."""
    notebook = copy.deepcopy(notebook_of(exercise))
    printed = {"output_type": "stream", "name": "stdout", "text": f"{answer_text(answer)}\nSaved.\n"}
    notebook["cells"][-1] |= {"execution_count": 2, "outputs": [printed]}
    return notebook


def write_returned(folder, stem, exercise, answer):
    """Write what a student hands in: the notebook, and the answer beside it."""
    notebook = json.dumps(returned_notebook(exercise, answer), indent=1, ensure_ascii=False)
    (Path(folder) / f"{stem}.ipynb").write_text(notebook + "\n", encoding="utf-8", newline="\n")
    (Path(folder) / f"{stem}.json").write_text(answer_text(answer) + "\n", encoding="utf-8", newline="\n")


def main(folder=FOLDER):
    """Solve the exercise and its cures in two processes, and write everything."""
    work = Work()
    work.start(hand_out.prepare(EXERCISE))
    for path in hand_out.write(EXERCISE, folder, work.wait(), overwrite=True):
        print(path.name)
    (Path(folder) / RETURNED).mkdir(exist_ok=True)
    for stem, answer in ANSWERS.items():
        write_returned(Path(folder) / RETURNED, stem, EXERCISE, answer)


if __name__ == "__main__":
    main()
