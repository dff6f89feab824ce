"""What a student gets: a notebook with the bad casting and its two questions, and the same on paper."""

import json
import re
from dataclasses import asdict

from castlab.field.diagnosis import CAUSES
from castlab.teach.exercise.hand_in import MAY_TURN, PLACE, REASON, brief, brief_parts
from castlab.teach.text import pages
from castlab.teach.text.cautions import CAUTIONS

CHECKED = "nbval-check-output"  # the mark of cells whose printed text the tests compare
FENCE = re.compile(r"^```(?:python)?$", re.MULTILINE)  # around the code in student_notebook.md
LONGEST_PIECE = 48  # characters of an exercise in one line of code, where each may need two
START = (
    "This casting comes out bad, each time. Say where and why, then make it sound with as little metal as "
    "you can."
)
WORDS_OF_TRADE = (
    "A feeder is extra metal on the casting that stays liquid longer, and gives metal to it while it "
    "freezes; its neck is where the two are joined. A chill is a piece of metal in the mould that takes "
    "heat away quickly. The gate is where the metal comes in. A sink is a hollow open to the outside, a "
    "cavity a hole inside, sponge many fine holes, a pipe a hollow that reaches down from the feeder. "
    "“Hole” stands for all of them."
)


def notebook_of(exercise):
    """The student's notebook as plain data, to be written as JSON."""
    given = json.dumps({"castlab": "exercise", **asdict(exercise)}, sort_keys=True)
    code = "\n".join(f"    {piece!r}" for piece in in_pieces(given))
    text = pages.to_markdown("student_notebook.md", code=code, **_for_both(exercise))
    parts = [part.strip() for part in FENCE.split(text)]
    cells = [_code(part) if number % 2 else {"cell_type": "markdown", "metadata": {}, "source": part}
             for number, part in enumerate(parts) if part]
    output = {"output_type": "stream", "name": "stdout", "text": brief(exercise)}
    cells[1] = _code(cells[1]["source"], [output], CHECKED)
    for number, cell in enumerate(cells):
        cell["id"] = f"cell-{number}"
    kernel = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
    metadata = {"kernelspec": kernel, "language_info": {"name": "python"}}
    return {"cells": cells, "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}


def paper_of(exercise, drawing):
    """The same to be printed, as HTML; `drawing` is the casting without its result, as PNG."""
    given, sliders, rules = brief_parts(exercise)
    piece = pages.to_html("student_paper.html", drawing=drawing, given=given, sliders=sliders, rules=rules,
                          may_turn=MAY_TURN, place=PLACE, reason=REASON, reasons=CAUSES.values(),
                          **_for_both(exercise))
    return pages.whole_page(exercise.title, piece)


def in_pieces(text):
    """A text cut after blanks, where there are any, into pieces that fit on a line each.

    >>> [len(piece) for piece in in_pieces("word " * 20 + "x" * 50)]
    [45, 45, 10, 40, 10]
    """
    pieces = [""]
    for part in re.findall(r"[^ ]{1,40} ?| ", text):
        if len(pieces[-1]) + len(part) > LONGEST_PIECE:
            pieces.append("")
        pieces[-1] += part
    return pieces


def _for_both(exercise):
    return {"exercise": exercise, "start": START, "words_of_trade": WORDS_OF_TRADE, "cautions": CAUTIONS}


def _code(source, outputs=(), *tags):
    """A cell; one that has printed must have been run, or nbval refuses it."""
    return {"cell_type": "code", "execution_count": 1 if outputs else None, "outputs": list(outputs),
            "metadata": {"tags": list(tags)} if tags else {}, "source": source}
