"""Writes a batch of variants: for each student the notebook and the page, for the instructor one sheet."""

from dataclasses import replace
from pathlib import Path

from castlab.errors import InputError
from castlab.field.diagnosis import CAUSES
from castlab.field.holes import name_of
from castlab.materials import flags
from castlab.teach.bad_examples.hand_out import (
    ENDINGS,
    file_stem,
    require_room,
    texts_for_student,
    write_texts,
)
from castlab.teach.bad_examples.instructor_sheet import OF_BAD_ONE
from castlab.teach.bad_examples.variants import HOLE_BAND, METAL_BAND, WAYS_BAND
from castlab.teach.exercise.settings_in_words import change_words
from castlab.teach.text import pages
from castlab.teach.text.cautions import cautions_at
from castlab.teach.text.reader_units import BOTH

SHEET, FOR_STUDENTS = "batch_sheet.txt", "students"
HEADINGS = ("variant", "exercise", "what differs", "largest hole", "why", "holes, % of the casting",
            "there in 8 pours", "ways to cure it", "lightest cure, % of the metal as given")
NOTE = (
    f"A variant is kept when its largest hole is in the same place for the same reason, all its holes are "
    f"within {100 * HOLE_BAND:.0f} % of the exercise's own share, it has at most {WAYS_BAND} way more or "
    f"less to be cured by one kind of change with the students' sliders, and its lightest cure is within "
    f"{100 * METAL_BAND:.0f} % of the exercise's own share. Ways and lightest cures were looked at on coarse "
    f"cells, a few settings of each kind: good enough to compare variants, not to mark them."
)


def write_batch(found, folder, overwrite=False):
    """Write a `variants.Batched` into a folder; returns the paths, the sheet last.

    The exercises themselves lie in the folder, for the desk; what is handed out lies in `students` in it.
    Raises InputError where there is nothing to write, and where a file is there and may not be replaced
    (then none is written); OSError where the folder cannot be written.
    """
    if not found.variants:
        raise InputError("variants", "none found", "take an exercise with a larger hole, or other sizes")
    folder, stem, texts = Path(folder), file_stem(found.like.exercise.title), {}
    for number, variant in enumerate(found.variants, start=1):
        exercise = replace(variant.exercise, title=variant_title(found.like.exercise.title, number))
        names = [f"{stem}_{number:02}_{ending}" for ending in ENDINGS[:3]]
        places = folder, folder / FOR_STUDENTS, folder / FOR_STUDENTS
        for place, name, text in zip(places, names, texts_for_student(exercise), strict=True):
            texts[place / name] = text
    sheet = sheet_of(found)
    texts[folder / f"{stem}_batch_instructor.html"] = pages.whole_page(
        sheet["page_title"], pages.to_html(SHEET, **sheet))
    require_room(list(texts), overwrite)
    return write_texts(texts, overwrite)


def variant_title(title, number):
    """The title of a variant, never longer than a title may be.

    >>> variant_title("The eye plate", 7)
    'The eye plate, variant 7'
    """
    return f"{title[:100].rstrip()}, variant {number}"


def sheet_of(found):
    """What stands on the sheet, by the names that its template has for it."""
    like, title = found.like, found.like.exercise.title
    rows = [("as wished", *_row(like, like))]
    rows += [(f"{number}", *_row(each, like)) for number, each in enumerate(found.variants, start=1)]
    return {
        "page_title": f"Instructor sheet: {len(found.variants)} variants of {title}",
        "spread": spread_words(found),
        "headings": HEADINGS,
        "rows": rows,
        "note": NOTE,
        "warnings": (*(f"{like.exercise.alloy}: {warning}." for warning in flags(like.exercise.alloy)),
                     OF_BAD_ONE, *cautions_at("instructor's sheet")),
    }


def spread_words(found):
    """How equal the variants are, in lines."""
    hard, like = [each.hard for each in found.variants], found.like.hard
    lines = [
        f"All {len(hard)}: the largest hole in the {like.place}; {CAUSES[like.causes[0]]}.",
        f"Holes: {_span(100 * each.hole_share for each in hard)} % of the casting "
        f"(the exercise as wished: {100 * like.hole_share:.1f} %).",
        f"Ways to cure it with the students' sliders: {_span((each.ways for each in hard), 0)} "
        f"(as wished: {like.ways}).",
        f"Lightest cure: {_span((100 * each.cure_share for each in hard), 0)} % of the metal as given "
        f"(as wished: {100 * like.cure_share:.0f} %).",
    ]
    if found.missing:
        lines.append(f"{found.missing} of the variants asked for are missing: nothing equally hard was found "
                     "with their seeds.")
    return lines


def _row(variant, like):
    exercise, outcome, hard = variant.exercise, variant.outcome, variant.hard
    differs = change_words(like.exercise, exercise.values, BOTH) if variant is not like else "nothing"
    return (exercise.key, differs, f"{name_of(outcome.kind)} in the {hard.place}",
            "; or: ".join(CAUSES[cause] for cause in hard.causes), f"{100 * hard.hole_share:.1f}",
            f"{variant.held}", f"{hard.ways}", f"{100 * hard.cure_share:.0f}" if hard.cure_share else "none")


def _span(numbers, digits=1):
    """Such as "1.3 to 1.9"; one number where all are equal.

    >>> _span([1.34, 1.9, 1.5]), _span([3, 3], 0)
    ('1.3 to 1.9', '3')
    """
    numbers = list(numbers)
    low, high = (f"{end:.{digits}f}" for end in (min(numbers), max(numbers)))
    return low if low == high else f"{low} to {high}"
