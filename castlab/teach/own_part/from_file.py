"""A part out of a file that somebody brings: one that was saved here, or an STL file; and back to a file."""

import os
import re
from pathlib import Path

from castlab.errors import InputError
from castlab.field.mend import mended
from castlab.field.own_part import MOST_LETTERS, Body, OwnPart
from castlab.field.part_file import read_part, write_part
from castlab.field.stl import UNITS, likely_unit, read_stl, unit_question
from castlab.units import phrase

MOST_BYTES = 100_000_000
ENDING = ".part.json"
FILE = "file"


def triangles_in(data):
    """Triangles of an STL file; None where the data are a saved part. Raises InputError for other data."""
    if len(data) > MOST_BYTES:
        raise InputError(
            FILE, f"{len(data) // 1_000_000} MB", f"it must be at most {MOST_BYTES // 1_000_000} MB"
        )
    return None if data.lstrip()[:1] == b"{" else read_stl(data)


def saved_part(data):
    """The part in a file that was saved here. Raises InputError for anything else."""
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


def save_part(part, folder, lengths="mm"):
    """Write a part to a file of its name in a folder, whole or not at all; returns the path."""
    path = Path(folder) / f"{re.sub(r'[^A-Za-z0-9]+', '_', part.name).strip('_') or 'part'}{ENDING}"
    half = path.with_name(f".{path.name}.half")
    try:
        half.write_text(write_part(part, lengths), encoding="utf-8")
        os.replace(half, path)
    finally:
        half.unlink(missing_ok=True)
    return path
