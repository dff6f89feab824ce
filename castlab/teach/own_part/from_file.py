"""A part out of a file that somebody brings: one that was saved here, or an STL file; and back to a file."""

import re
from pathlib import Path

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.field.mend import mended
from castlab.field.own_part import MOST_LETTERS, Body, OwnPart
from castlab.field.part_file import read_part, write_part
from castlab.field.stl import UNITS, likely_unit, read_stl, unit_question
from castlab.teach.text.file_names import free_path, safe_stem
from castlab.teach.work.kept_file import write_text
from castlab.units import phrase

MOST_BYTES = 100_000_000
ENDING = ".part.json"
FILE = "file"


def bring_button(accept, action):
    """A button that brings a file from the reader's computer and then does `action()`."""
    upload = widgets.FileUpload(
        description="Bring a file", accept=accept, multiple=False, layout={"width": "160px"}
    )
    upload.observe(action, "value")
    return upload


def brought(upload):
    """Name and bytes of the file that was brought with such a button."""
    file = upload.value[0]
    return file["name"], bytes(file["content"])


def triangles_in(data):
    """Triangles of an STL file; None where the data are a saved part. Raises InputError for other data."""
    if len(data) > MOST_BYTES:
        raise InputError(
            FILE, f"{len(data) // 1_000_000} MB", f"it must be at most {MOST_BYTES // 1_000_000} MB"
        )
    return None if data.lstrip()[:1] == b"{" else read_stl(data)


def saved_part(data):
    """The part in a file that was saved here, with what stands on it. Raises InputError for anything else."""
    try:
        return read_part(data.decode("utf-8"))
    except UnicodeDecodeError:
        raise InputError(FILE, "no text", "it must be a part that castlab wrote, or an STL file") from None


def part_of(triangles, unit, name):
    """A part made of the triangles of a file called `name`, drawn in `unit`; and what was mended, in words.

    Raises InputError for a skin that cannot be closed.
    """
    done = mended(UNITS[unit] * triangles)
    stem = re.sub(r"[^\w -]", " ", Path(name).stem).strip()[:MOST_LETTERS] or "part"
    part = OwnPart(stem, (Body(stem, "stl", mesh=done.mesh, file=Path(name).name[:MOST_LETTERS]),))
    return part, done.notes


def question_about(triangles):
    """How large the part is in mm and in inches, with the likelier of the two first named: (Phrase, unit)."""
    unit = likely_unit(triangles)
    return phrase(
        "This part is {}. It was probably drawn in {}: is that so?",
        unit_question(triangles),
        {"mm": "mm", "inch": "inches"}[unit],
    ), unit


def save_part(part, folder, before=None):
    """Write a part with what stands on it to a file of its name, whole or not at all; returns the path.

    Another part that has this name there is not touched. `before`: the path to which this part was saved
    last, which is written anew as long as the name is the same.
    """
    stem = safe_stem(part.name) or "part"
    same = before is not None and re.fullmatch(rf"{stem}(_\d+)?{re.escape(ENDING)}", before.name)
    path = before if same else free_path(Path(folder), stem, ENDING)
    write_text(path, write_part(part))
    return path
