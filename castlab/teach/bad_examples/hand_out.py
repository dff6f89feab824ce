"""Writes an exercise into a folder: the exercise itself, the student's notebook, the instructor's sheet.

Three steps, because the middle one takes time and belongs behind a progress bar:

    exercise = Exercise(...)
    work.start(prepare(exercise), on_done=lambda material: write(exercise, folder, material))
"""

import json
import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from castlab.errors import InputError
from castlab.field import cures
from castlab.field.outcome import pour
from castlab.plan import Batch, Job, run_here, side_by_side
from castlab.teach.bad_examples import instructor_sheet, student_notebook
from castlab.teach.bench.bench import casting_scene
from castlab.teach.bench.casting import Casting
from castlab.teach.exercise.exercise import exercise_text
from castlab.teach.marking.model_answer import ALLOWED_POURS, Truth, allowed_cures, truth_of
from castlab.teach.picture.picture import png_of_scene
from castlab.teach.text import pages
from castlab.teach.text.reader_units import BOTH
from castlab.units import METRIC

SHEET = "instructor_sheet.txt"
LONGEST_STEM = 40  # characters of a file name that come from the title


@dataclass(frozen=True)
class Material:
    """What the instructor's sheet is made of: the truth, all cures, and those that students can find."""

    truth: Truth
    cures: tuple
    allowed: tuple


def prepare(exercise):
    """The plan that solves an exercise and its cures, for `work.progress.Work`; gives a Material.

    Raises InputError (by way of the work) when the casting is not bad.
    """
    (truth,) = yield Batch([Job(truth_of, exercise)], more=cures.USUAL_POURS + ALLOWED_POURS)
    found, allowed = yield from side_by_side([cures.cures(exercise.design()), allowed_cures(exercise)])
    return Material(truth, found, allowed)


def write(exercise, folder, material=None, overwrite=False):
    """Write the files of an exercise; returns their paths, the exercise itself first.

    exercise    an `Exercise`
    folder      path of a folder; it is made when it is missing
    material    what `prepare` gave; when left out, it is computed here, which takes a minute
    overwrite   whether files of the same names may be replaced

    Raises InputError when a file is there and may not be replaced (then none is written), and when the
    casting is not bad; OSError when the folder cannot be written.
    """
    folder = Path(folder)
    paths = [folder / name for name in file_names(exercise.title)]
    there = [path.name for path in paths if path.is_symlink() or path.exists()]
    if there and not overwrite:
        raise InputError("folder", str(folder), f"these files are there already: {', '.join(there)}")
    texts = texts_of(exercise, material or run_here(prepare(exercise)))
    folder.mkdir(parents=True, exist_ok=True)
    for path, text in zip(paths, texts, strict=True):
        with open(path, "w" if overwrite else "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    return tuple(paths)


def file_names(title):
    """Names of the files of an exercise, safe on every system whatever the title is.

    >>> file_names("../Öse & \\"Platte\\"?")[0]
    'ose_platte_exercise.json'
    """
    letters = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    stem = re.sub(r"[^a-z0-9]+", "_", letters)[:LONGEST_STEM].strip("_") or "casting"
    endings = ("exercise.json", "student.ipynb", "student.html", "instructor.md", "instructor.html")
    return tuple(f"{stem}_{ending}" for ending in endings)


def texts_of(exercise, material):
    """The contents of those files, in the same order."""
    setup = exercise.design().setup()
    before = png_of_scene(casting_scene(setup, None, METRIC), BOTH)
    after = png_of_scene(casting_scene(setup, Casting(pour(setup)), METRIC), BOTH)
    sheet = instructor_sheet.sheet_of(exercise, material, after)
    return (
        exercise_text(exercise) + "\n",
        json.dumps(student_notebook.notebook_of(exercise), indent=1, ensure_ascii=False) + "\n",
        student_notebook.paper_of(exercise, before),
        pages.to_markdown(SHEET, **sheet),
        pages.whole_page(sheet["page_title"], pages.to_html(SHEET, **sheet)),
    )
