"""Every link leads somewhere, and every file, folder and command that a page names is there."""

import importlib.util
import json
import re
from pathlib import Path

import pytest

from castlab.teach.working_copy import LESSONS, make_working_copy

ROOT = Path(__file__).resolve().parents[2]
# Only what belongs to the project: not a student's copy, an environment, what JupyterLab leaves behind, or
# notebooks of an earlier castlab, whose links led from another folder.
LEFT_OUT = {".ipynb_checkpoints", "handed_out_before"}
FILES = [path for folder in ("notebooks", "figures", "tests", "castlab")
         for path in sorted((ROOT / folder).rglob("*")) if not LEFT_OUT & set(path.parts)]
PAGES = sorted(ROOT.glob("*.md")) + [path for path in FILES if path.suffix in (".md", ".ipynb")]
TELLING = [ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "notebooks" / "instructor" / "TEACH_WITH_IT.md"]
NAMES = {path.name for path in [*ROOT.iterdir(), *FILES]}
MADE_BY_USE = (".venv", "my_lessons", "my_course")  # a command, or a lesson in my_lessons, makes them
FILE_NAME = re.compile(r"[\w.-]+\.(?:py|ipynb|md|json|toml|txt|png)")


def text_of(path):
    """The words of a page, or of the Markdown cells of a notebook."""
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".ipynb":
        return text
    cells = json.loads(text)["cells"]
    return "\n\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")


def links(text):
    found = re.findall(r"\]\(([^)\s]+)[^)]*\)", text) + re.findall(r"(?:src|href)=[\"']([^\"']+)", text)
    return [link for link in found if not re.match(r"\w+:", link)]


def anchors(text):
    """What a reader can jump to: the headings as browsers spell them, words and hyphens."""
    headings = re.findall(r"^#+ +(.+?)\s*$", text, flags=re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


def broken(page):
    """The links of a page that lead nowhere."""
    bad = []
    for link in links(text_of(page)):
        name, _, place = link.partition("#")
        target = page.parent / name if name else page
        if not target.exists() or place and place.lower() not in anchors(text_of(target)):
            bad.append(link)
    return bad


def named(text):
    """Every path and file name between backticks, commands taken apart; stars and what use makes left out."""
    words = [word for quoted in re.findall(r"`([^`\n]+)`", text) for word in quoted.split()]
    return [word for word in words if ("/" in word or FILE_NAME.fullmatch(word))
            and re.fullmatch(r"[\w./-]+", word) and not word.startswith(MADE_BY_USE)]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_every_link_leads_somewhere(page):
    assert broken(page) == []


def test_links_of_the_lessons_still_lead_somewhere_in_a_students_copy(tmp_path):
    added, _ = make_working_copy(LESSONS, tmp_path / "my_lessons")
    pages = [tmp_path / "my_lessons" / name for name in added if name.suffix in (".md", ".ipynb")]
    assert {page.name: broken(page) for page in pages if broken(page)} == {}
    assert any(links(text_of(page)) for page in pages)


@pytest.mark.parametrize("page", TELLING, ids=lambda page: page.name)
def test_what_is_named_is_there(page):
    text = text_of(page)
    known = {*NAMES, "my_shop.json"}  # the last is what the shop's book is kept in
    assert [name for name in named(text) if not ((ROOT / name).exists() or name in known)] == []
    modules = re.findall(r"python3? -m (castlab[\w.]*)", text)
    assert [name for name in modules if importlib.util.find_spec(name) is None] == []
    assert named(text)


def test_a_broken_link_is_seen(tmp_path):
    page = tmp_path / "page.md"
    page.write_text("# A title, here\n[a](#a-title-here) [b](#a-title) ![c](no.png) [d](https://example.org/)")
    assert broken(page) == ["#a-title", "no.png"]
    assert named("`castlab/field`, `freeze.py`, `python -m x`, `.venv/bin/x y/z`, `kg`") == [
        "castlab/field", "freeze.py", "y/z"]
