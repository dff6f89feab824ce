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
from castlab.teach.bench.casting import Casting, casting_scene
from castlab.teach.exercise.exercise import exercise_text
from castlab.teach.marking.model_answer import ALLOWED_POURS, Truth, allowed_cures, truth_of
from castlab.teach.picture.picture import png_of_scene
from castlab.teach.text import pages
from castlab.teach.text.reader_units import BOTH
from castlab.units import METRIC

SHEET = "instructor_sheet.txt"
ENDINGS = ("exercise.json", "student.ipynb", "student.html", "instructor.md", "instructor.html")
LONGEST_STEM = 40  # characters of a file name that come from the title


@dataclass(frozen=True)
class Material:
    """What the instructor's sheet is made of.

    truth, cures, allowed   the casting solved, all its cures, and those that students can find
    how_sure                how sure it is that it comes out bad, in words; "" where that was not asked
    """

    truth: Truth
    cures: tuple
    allowed: tuple
    how_sure: str = ""


def prepare(exercise, how_sure=""):
    """The plan that solves an exercise and its cures, for `work.progress.Work`; gives a Material.

    how_sure   words for the instructor's sheet

    Raises InputError (by way of the work) when the casting is not bad.
    """
    (truth,) = yield Batch([Job(truth_of, exercise)], more=cures.USUAL_POURS + ALLOWED_POURS)
    found, allowed = yield from side_by_side([cures.cures(exercise.design()), allowed_cures(exercise)])
    return Material(truth, found, allowed, how_sure)


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
    require_room(paths, overwrite)
    texts = texts_of(exercise, material or run_here(prepare(exercise)))
    return write_texts(dict(zip(paths, texts, strict=True)), overwrite)


def require_room(paths, overwrite):
    """Refuse to write where one of these files is, unless it may be replaced. Raises InputError."""
    there = [path.name for path in paths if path.is_symlink() or path.exists()]
    if there and not overwrite:
        raise InputError("folder", str(paths[0].parent), f"these files are there already: {', '.join(there)}")


def write_texts(texts, overwrite):
    """Write {path: text}, with the folders they need; returns the paths."""
    for path, text in texts.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        with open(path, "w" if overwrite else "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    return tuple(texts)


def file_names(title):
    """Names of the files of an exercise, safe on every system whatever the title is.

    >>> file_names("../Öse & \\"Platte\\"?")[0]
    'ose_platte_exercise.json'
    """
    return tuple(f"{file_stem(title)}_{ending}" for ending in ENDINGS)


def file_stem(title):
    """How the names of all files of an exercise begin."""
    letters = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "_", letters)[:LONGEST_STEM].strip("_") or "casting"


def texts_of(exercise, material):
    """The contents of those files, in the same order."""
    setup = exercise.design().setup()
    after = png_of_scene(casting_scene(setup, Casting(pour(setup)), METRIC), BOTH)
    sheet = instructor_sheet.sheet_of(exercise, material, after)
    return (
        *texts_for_student(exercise),
        pages.to_markdown(SHEET, **sheet),
        pages.whole_page(sheet["page_title"], pages.to_html(SHEET, **sheet)),
    )


def texts_for_student(exercise):
    """The contents of the exercise's own file, the notebook and the page: those without an answer."""
    before = png_of_scene(casting_scene(exercise.design().setup(), None, METRIC), BOTH)
    return (
        exercise_text(exercise) + "\n",
        json.dumps(student_notebook.notebook_of(exercise), indent=1, ensure_ascii=False) + "\n",
        student_notebook.paper_of(exercise, before),
    )
