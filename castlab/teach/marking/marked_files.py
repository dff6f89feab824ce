"""What the desk writes: the whole table, a short one to import elsewhere, a comment for each student."""

import csv
import io
from pathlib import Path

from castlab.errors import InputError
from castlab.field.diagnosis import CAUSES
from castlab.outside import plain_text
from castlab.teach.exercise.exercise import COMPUTED
from castlab.teach.exercise.settings_in_words import change_words
from castlab.teach.marking.mark_table import HEADINGS, as_text
from castlab.teach.text import pages
from castlab.teach.text.file_names import safe_stem

TABLE, TO_IMPORT, COMMENTS, BY_HAND = "table.csv", "to_import.csv", "comments", "by_hand.json"
IMPORTED = ("name", "id", "mark", "comment")  # in any course system one says which column is which
# What a spreadsheet takes for the start of a formula, in plain and in wide characters.
STARTS = "=+-@\N{FULLWIDTH EQUALS SIGN}\N{FULLWIDTH PLUS SIGN}\N{FULLWIDTH HYPHEN-MINUS}" \
         "\N{FULLWIDTH COMMERCIAL AT}"


def files_of(marks, rows, units):
    """{name within the folder: text} of all that is written for a class.

    marks   a `Mark` each       rows   of `mark_table.columns_of`, in the same order
    """
    short = [(mark.whose, row["id"], "" if mark.problem else mark.total, mark.comment)
             for mark, row in zip(marks, rows, strict=True)]
    files = {TABLE: csv_text(HEADINGS, [list(row.values()) for row in rows]),
             TO_IMPORT: csv_text(IMPORTED, short)}
    for mark in marks:
        stem, taken = f"{safe_stem(mark.whose) or 'paper'}_comment", {name.casefold() for name in files}
        stems = (stem, *(f"{stem}_{number}" for number in range(2, len(marks) + 2)))  # of namesakes
        names = (str(Path(COMMENTS, mark.returned.folder, f"{each}.html")) for each in stems)
        files[next(name for name in names if name.casefold() not in taken)] = comment_page(mark, units)
    return files


def write_files(folder, files, overwrite=False):
    """Write them all, or none where one is there and may not be replaced. Returns the folder.

    Raises InputError for what is there already, OSError for what cannot be written.
    """
    folder = Path(folder)
    there = [name for name in files if (folder / name).is_symlink() or (folder / name).exists()]
    if there and not overwrite:
        more = f" and {len(there) - 1} more" if there[1:] else ""
        raise InputError("folder of marks", str(folder),
                         f"{there[0]}{more} is there already; allow to replace it or name another folder")
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        # the mark at its beginning tells a spreadsheet that it is UTF-8; what imports tables stumbles over it
        with open(path, "w" if overwrite else "x", encoding="utf-8-sig" if name == TABLE else "utf-8",
                  newline="") as file:
            file.write(text)
    return folder


def csv_text(headings, rows):
    """A table as CSV, every cell quoted and harmless."""
    file = io.StringIO()
    writer = csv.writer(file, quoting=csv.QUOTE_ALL)
    writer.writerows([harmless(cell) for cell in row] for row in (headings, *rows))
    return file.getvalue()


def harmless(cell):
    """Text that no spreadsheet runs: what begins like a formula gets an apostrophe in front, and what some
    take for the end of a cell becomes a comma. A number stays one.

    >>> harmless(" =1+1"), harmless("Ann; =1+1"), harmless("-2.5"), harmless(-2.5)
    ("'=1+1", 'Ann, =1+1', "'-2.5", '-2.5')
    """
    if not isinstance(cell, str):
        return as_text(cell)
    words = plain_text(cell).replace(";", ",")
    return "'" + words if words[:1] in tuple(STARTS) else words


def comment_page(mark, units):
    """What one student reads, as a page of its own: the answer, the marks, and what each is for."""
    answer, exercise = mark.returned.answer, mark.exercise
    values = {"whose": plain_text(mark.whose), "problem": mark.problem, "remark": mark.remark, "title": "",
              "said": (), "rows": ()}
    if not mark.problem:
        rows = [(name, f"{mark.points[name]:g}", f"{exercise.marks[name]:g}", mark.said[name])
                for name in COMPUTED]
        if exercise.marks["words"] or mark.by_hand.words:
            of_words = f"{exercise.marks['words']:g}" if exercise.marks["words"] else ""
            rows.append(("by hand", f"{mark.by_hand.marks:g}", of_words, mark.by_hand.why))
        values |= {
            "title": exercise.title,
            "said": (f"Where: in the {answer.block}.", f"Why: {CAUSES[answer.reason]}.",
                     f"Cure: {change_words(exercise, answer.values, units)}.",
                     f"In your words: {answer.words or 'nothing'}"),
            "rows": (*rows, ("sum", f"{mark.total:g}", f"{exercise.most_marks:g}", "")),
        }
    return pages.whole_page(f"Marks: {values['whose']}", pages.to_html("student_comment.txt", **values))
