"""Every word of the trade is explained once, before it is used, and gathered in the glossary."""

import json
import re
from functools import cache
from pathlib import Path

import pytest

from castlab.teach.sliders.part_sliders import RIGGING, SIZES, metal_sliders
from castlab.teach.text import glossary
from castlab.teach.text.glossary import PAGE, WORDS
from castlab.teach.working_copy import make_working_copy

ROOT = Path(__file__).resolve().parents[3]
LESSONS = {int(path.name[:2]): path for path in sorted(PAGE.parent.glob("[0-9][0-9]_*.ipynb"))
           if not path.name.startswith("00")}  # the course on one page is no lesson
# Set in bold for weight, or because it stands so on a button: no words of the trade.
STRESSED = {
    "Run → Run All Cells", "Start again", "Predict again", "Continue where I was",
    "Check", "Hold this one to compare", "Save it", "Find the cures", "Stop", "Try it", "How sure?",
    "Before you ever melt metal", "last", "without a feeder", "Colours", "Red lines", "Grey lines",
    "only what touches the mould", "L", "T", "above", "where", "is", "upside down", "heavy end down",
    "It freezes last.", "It holds enough.", "The way stays open.", "on the boss", "beside the boss",
    "gate into the heavy end", "Another orientation", "cooler pour", "A chill brings no metal",
    "fills", "No flow is computed here.", "stops here, by the rule", "may stop here",
    "no feeder", "it freezes first", "it runs empty", "the way closes", "uphill", "too even",
    "another casting", "Saw", "Dye", "Break", "Weigh in air and in water", "Time a plate",
    "bodies", "each hot spot needs metal of its own", "orientation in the mould",
    "The part", "How it is cast", "Pour",
    "Save the part", "Bring a file", "Draw it on squared paper", "Feeder here", "Chill here", "Gate here",
    "How much.", "Which pot.", "How long.", "in the mould", "tin bronze", "Gas", "Gas is not computed here",
}
# Words that also mean something else: the course may use them before they are explained.
COMMON = ("open", "blind", "skin", "field", "rule", "return", "sound", "govern", "pot", "pots")
LABELS = {slider.label for sliders in (*SIZES.values(), RIGGING, metal_sliders()) for slider in sliders}


@cache
def prose(lesson):
    """The words of a lesson, without formulas and pieces of code."""
    cells = json.loads(LESSONS[lesson].read_text(encoding="utf-8"))["cells"]
    text = "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
    return re.sub(r"\$[^$]*\$|`[^`]*`|\\\*", " ", " ".join(text.split()))


def marked(lesson, stars):
    return [found.strip() for found in
            re.findall(rf"(?<!\*)\*{{{stars}}}([^*]+?)\*{{{stars}}}(?!\*)", prose(lesson))]


def spellings_of(word):
    """All that counts as this word."""
    return dict.fromkeys((word.name, f"{word.name}s", *word.forms))


def uses(word, text):
    """The places where a word of the trade stands; what is also a common word counts only with its name."""
    spellings = [each for each in spellings_of(word) if each not in COMMON]
    pattern = "|".join(re.escape(each.lower()) for each in spellings)
    return re.findall(rf"\b(?:{pattern})\b", text.lower()) if pattern else []


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_word_in_bold_is_in_the_glossary(lesson):
    known = {spelling.lower() for word in WORDS for spelling in spellings_of(word)}
    left = [found for found in marked(lesson, 2)
            if found.lower() not in known and found not in STRESSED | LABELS]
    assert left == [], "put these into text/glossary.py, or among the words that are only stressed"


@pytest.mark.parametrize("word", WORDS, ids=[word.name for word in WORDS])
def test_a_word_is_explained_before_it_is_used(word):
    for lesson in sorted(LESSONS):
        if lesson < word.lesson:
            own_words = prose(lesson).split("Where to read more")[0]  # titles of books are not ours
            assert uses(word, own_words) == [], f"in {lesson}, explained in {word.lesson}"
    if word.lesson in LESSONS:
        set_off = {found.lower() for stars in (1, 2) for found in marked(word.lesson, stars)}
        known = {spelling.lower() for spelling in spellings_of(word)}
        assert set_off & known, "set it in bold, and explain it"


def test_each_word_stands_once_and_is_explained_in_one_sentence():
    spellings = [spelling.lower() for word in WORDS for spelling in (*spellings_of(word), *word.also)]
    assert len(set(spellings)) == len(spellings)
    for word in WORDS:
        assert 0 <= word.lesson <= 11 and word.means.endswith(".") and 4 <= len(word.means.split()) <= 25
        assert word.means.count(". ") == 0


def test_the_words_of_other_shops_stand_beside_ours():
    """Who learned the trade in America, or from books, finds ours by theirs."""
    for theirs, ours in (("riser", "feeder"), ("ingate", "gate"), ("microporosity", "sponge"),
                         ("pad eye", "eye plate"), ("moulding box", "flask")):
        assert re.search(rf"^- \*\*{ours}\*\* \(.*\b{theirs}\b", glossary.page(), re.MULTILINE), theirs
    needed = {"cope", "drag", "flask", "parting", "runner", "vent", "cold shut", "draft", "porosity",
              "directional solidification"}
    assert needed <= {word.name for word in WORDS}


def test_the_page_is_what_the_command_writes():
    assert PAGE.read_text(encoding="utf-8") == glossary.page(), "run python -m castlab.teach.text.glossary"


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_lesson_leads_to_the_glossary(lesson):
    assert "](GLOSSARY.md)" in prose(lesson).split("Where to read more")[1], (
        "add to “Where to read more”: - The words of the trade, all in one place: [glossary](GLOSSARY.md).")


def test_the_students_copy_has_it(tmp_path):
    added, _ = make_working_copy(copy=tmp_path / "mine")
    assert Path(PAGE.name) in added


def test_the_readme_leads_to_the_glossary():
    assert f"]({PAGE.relative_to(ROOT).as_posix()})" in (ROOT / "README.md").read_text(encoding="utf-8")
