"""What a student gets: a notebook with the bad casting and its two questions, and the same as one page.

The page needs no castlab: it is filled in on the screen and saves the answer, or is printed and written on.
"""

import json
import re

from castlab.field.diagnosis import CAUSES
from castlab.teach.exercise.exercise import OF_ALLOY, VERSION
from castlab.teach.exercise.hand_in import REASON, WHY_IT_WORKS, asked_where, brief, brief_parts
from castlab.teach.exercise.settings_in_words import range_words, value_words
from castlab.teach.sliders.to_design import pouring_follows_alloy
from castlab.teach.text import pages
from castlab.teach.text.cautions import cautions_at
from castlab.teach.text.reader_units import BOTH

CHECKED = "nbval-check-output"  # the mark of cells whose printed text the tests compare
FENCE = re.compile(r"^```(?:python)?$", re.MULTILINE)  # around the code in student_notebook.md
MOST_LINES = 200  # of code that are shown
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
NOT_HERE = (
    "castlab is not installed here, so this notebook cannot start. Do the exercise on the page that ends "
    "in _student.html: open it with a browser, fill it in, and save your answer or print it. Or ask your "
    "teacher where castlab is installed."
)
ONLY_THIS_PAGE = (
    "You need nothing but this page. Fill it in and press “Save my answer” at its end, or print it and "
    "write on it. Nothing is sent anywhere. Where castlab is installed, take the notebook instead: there the "
    "sliders show what each change does."
)
BY_HAND = (
    "By hand: the modulus of a body is its volume over the surface by which it cools. The larger the "
    "modulus, the longer it stays liquid; the time goes with its square. A feeder needs about 1.2 times the "
    "modulus of the place that it feeds (common practice)."
)


def notebook_of(exercise):
    """The student's notebook as plain data, to be written as JSON."""
    given = json.dumps({"castlab": "exercise", **exercise.record}, sort_keys=True)
    code = _in_code(given, 4)
    text = pages.to_markdown("student_notebook.md", code=code, not_here=_in_code(NOT_HERE, 8),
                             **_for_both(exercise))
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
    given, _, rules = brief_parts(exercise)
    piece = pages.to_html("student_paper.html", drawing=drawing, given=given, rules=rules, version=VERSION,
                          sliders=[_row(exercise, slider) for slider in exercise.sliders()],
                          only_this_page=ONLY_THIS_PAGE, place=asked_where(exercise), reason=REASON,
                          reasons=CAUSES.items(), by_hand=BY_HAND, why_it_works=WHY_IT_WORKS,
                          **_for_both(exercise))
    return pages.whole_page(exercise.title, piece)


def _row(exercise, slider):
    """What the page says of a slider, and all that it can be set to, by alloy where it follows the alloy."""
    label, _, span = range_words(slider, BOTH).partition(": ")
    groups = [("", _options(slider, slider.low, slider.high))]
    if slider.name in OF_ALLOY and "alloy" in exercise.allowed:
        alloys = next(each.options for each in exercise.sliders() if each.name == "alloy")
        follows = {name: pouring_follows_alloy(exercise.bench_values() | {"alloy": name})
                   for name in alloys}
        groups = [(name, _options(slider, *ends[slider.name][:2])) for name, ends in follows.items()]
    return {"name": slider.name, "label": label, "kind": slider.kind, "range": span, "groups": groups}


def _options(slider, low, high):
    """Pairs of value [SI] and words."""
    if slider.kind == "choice":
        return [(name, name) for name in slider.options]
    values = (round(low + slider.step * step, 9) for step in range(round((high - low) / slider.step) + 1))
    return [(repr(float(value)), value_words(slider.kind, value, BOTH)) for value in values]


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


def _in_code(text, blanks):
    """A text as lines of code."""
    return "\n".join(f"{' ' * blanks}{piece!r}" for piece in in_pieces(text))


def _for_both(exercise):
    return {"exercise": exercise, "start": START, "words_of_trade": WORDS_OF_TRADE,
            "cautions": cautions_at("student's hand-out")}


def _code(source, outputs=(), *tags):
    """A cell; one that has printed must have been run, or nbval refuses it. A part of thousands of triangles
    makes it long: then its code is folded away."""
    folded = {"jupyter": {"source_hidden": True}} if source.count("\n") > MOST_LINES else {}
    return {"cell_type": "code", "execution_count": 1 if outputs else None, "outputs": list(outputs),
            "metadata": ({"tags": list(tags)} if tags else {}) | folded, "source": source}
