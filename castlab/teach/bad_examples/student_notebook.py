"""What a student gets: a notebook with the bad casting and its two questions, and the same on paper."""

import json
import re
from dataclasses import asdict

from castlab.field.diagnosis import CAUSES
from castlab.teach.exercise.hand_in import MAY_TURN, PLACE, REASON, brief, brief_parts
from castlab.teach.text.cautions import CAUTIONS
from castlab.teach.text.document import Heading, Items, Lines, Picture, Words, to_markdown

CHECKED = "nbval-check-output"  # the mark of cells whose printed text the tests compare
HAND_IN_CELL = "task.hand_in()"
LONGEST_PIECE = 48  # characters of an exercise in one line of code, where each may need two
BOX = "\N{BALLOT BOX}"
START = (
    "This casting comes out bad, each time. Say where and why, then make it sound with as little metal as "
    "you can."
)
RUN = (
    "To start, choose Run, then Run All Cells, in the menu. You may run everything again at any time; what "
    "you said about place and reason is then asked again."
)
STEPS = (
    "Read what is given, and look at the drawing on the bench. The result is hidden.",
    "Say where the largest hole will be, and why. Both are recorded together and cannot be changed then.",
    "The bench now shows what happens. Move the sliders until the casting is sound: the sentence says so.",
    "Save metal: the lighter of two sound castings gets more marks. What the pot cannot hold gets none.",
    "Write your name, and in a sentence or two why your cure works.",
    "Run the last cell again. It prints your answer and writes it beside this notebook.",
)
WORDS_OF_TRADE = (
    "A feeder is extra metal on the casting that stays liquid longer, and gives metal to it while it "
    "freezes; its neck is where the two are joined. A chill is a piece of metal in the mould that takes "
    "heat away quickly. The gate is where the metal comes in. A sink is a hollow open to the outside, a "
    "cavity a hole inside, sponge many fine holes, a pipe a hollow that reaches down from the feeder. "
    "“Hole” stands for all of them."
)
LIMITS = (
    "Move a slider with the mouse, or click on it and use the arrow keys. The computation leaves out how "
    "the metal flows in, gas, and movement of the mould. Data of metals and moulds are known to 10 to 20 %: "
    "trust where and why, and how large only roughly."
)
ONCE = (
    "Choose one place and one reason, then press the button. The bench below shows the casting as it "
    "stands."
)
AGAIN = (
    "Run this cell again (Shift+Enter) whenever you have changed something. Your answer is what it prints."
)


def notebook_of(exercise):
    """The student's notebook as plain data, to be written as JSON."""
    given = json.dumps({"castlab": "exercise", **asdict(exercise)}, sort_keys=True)
    pieces = "\n".join(f"    {piece!r}" for piece in in_pieces(given))
    first = f"from castlab.teach.hand_in import HandIn\n\ntask = HandIn(\n{pieces}\n)\ntask.print_brief()"
    output = {"output_type": "stream", "name": "stdout", "text": brief(exercise)}
    cells = [
        _prose(*_opening(exercise), Heading("What is given"), Words(WORDS_OF_TRADE)),
        _code(first, [output], CHECKED),
        _prose(Heading("Say what you expect, and why"), Words(ONCE)),
        _code("task.expectation"),
        _prose(Heading("The bench"), Words(LIMITS)),
        _code("bench = task.bench\nbench"),
        _prose(Heading("Your name, and your cure in words")),
        _code("task.who"),
        _prose(Heading("Hand in"), Words(AGAIN)),
        _code(HAND_IN_CELL),
    ]
    for number, cell in enumerate(cells):
        cell["id"] = f"cell-{number}"
    return {"cells": cells, "metadata": _metadata(), "nbformat": 4, "nbformat_minor": 5}


def paper_of(exercise, picture):
    """The same as blocks of a page to be printed; `picture` is the casting without its result, as PNG."""
    given, sliders, rules = brief_parts(exercise)
    return (
        *_opening(exercise, on_screen=False),
        Heading("What is given"),
        Words(WORDS_OF_TRADE),
        Picture(picture, "Section through the casting before it is poured, with the names of its bodies."),
        Items((*given, *rules)),
        Words(MAY_TURN),
        Items(sliders),
        Heading("Say what you expect, and why"),
        Words(PLACE),
        Items(tuple(f"in the {name}" for name in exercise.places), BOX),
        Words(REASON),
        Items(tuple(CAUSES.values()), BOX),
        Heading("Your cure: which sliders, and where they stand; why it works"),
        Lines(5),
        Heading("Your name"),
        Lines(1),
    )


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


def _opening(exercise, on_screen=True):
    what = (Words(RUN), Heading("What to do"), Items(STEPS)) if on_screen else ()
    before = (Heading("Before you ever melt metal"), Items(CAUTIONS))
    return (Heading(exercise.title, 1), Words(START), *what, *before)


def _prose(*blocks):
    return {"cell_type": "markdown", "metadata": {}, "source": to_markdown(blocks).strip()}


def _code(source, outputs=(), *tags):
    """A cell; one that has printed must have been run, or nbval refuses it."""
    return {"cell_type": "code", "execution_count": 1 if outputs else None, "outputs": list(outputs),
            "metadata": {"tags": list(tags)} if tags else {}, "source": source}


def _metadata():
    return {"kernelspec": {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"},
            "language_info": {"name": "python"}}
