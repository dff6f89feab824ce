"""A page of words, tables and pictures, written once, given out as Markdown and as HTML that stands alone."""

import base64
import html
import re
from dataclasses import dataclass

from castlab.teach.text import markup

STYLE = """body { max-width: 960px; margin: 20px auto; padding: 0 12px; font: 16px/1.45 sans-serif;
color: black; background: white; }
h1 { font-size: 26px; } h2 { font-size: 20px; border-bottom: 1px solid black; margin-top: 28px; }
table { border-collapse: collapse; margin-bottom: 14px; }
td, th { border-bottom: 1px solid #999; vertical-align: top; }
img { max-width: 100%; } li { margin: 3px 0; } .line { border-bottom: 1px solid black; height: 30px; }
@page { size: A4; margin: 14mm; }"""
MARKDOWN_SIGNS = re.compile(r"([\\`*_{}\[\]<>#|~$&])")


@dataclass(frozen=True)
class Heading:
    """A heading; level 1 is the title of the page."""

    words: str
    level: int = 2


@dataclass(frozen=True)
class Words:
    """A paragraph."""

    words: str


@dataclass(frozen=True)
class Items:
    """A list; `sign` is what stands before each line in print, such as a box to be ticked."""

    lines: tuple[str, ...]
    sign: str = ""


@dataclass(frozen=True)
class Table:
    """Rows under headings; `note` stands below."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


@dataclass(frozen=True)
class Picture:
    """A picture as the bytes of a PNG file, and the same in words. Markdown has only the words."""

    png: bytes
    words: str


@dataclass(frozen=True)
class Lines:
    """Empty lines to write on, in print."""

    count: int


def to_html(title, blocks):
    """The page as one HTML file, with nothing in it that was not escaped or drawn here."""
    body = "\n".join(_html(block) for block in blocks)
    head = f'<meta charset="utf-8"><title>{html.escape(title)}</title><style>{STYLE}</style>'
    return f'<!doctype html>\n<html lang="en"><head>{head}</head>\n<body>\n{body}\n</body></html>\n'


def to_markdown(blocks):
    """The page as Markdown, for a cell of a notebook or a file."""
    return "\n\n".join(words for words in map(_markdown, blocks) if words) + "\n"


def escaped(words):
    r"""Words as they are, in Markdown.

    >>> escaped("2 * 3 [mm]")
    '2 \\* 3 \\[mm\\]'
    """
    return MARKDOWN_SIGNS.sub(r"\\\1", words)


def _html(block):
    safe = markup.safe
    match block:
        case Heading(words, level):
            return f"<h{level}>{safe(words)}</h{level}>"
        case Words(words):
            return f"<p>{safe(words)}</p>"
        case Items(lines, sign):
            parts = "".join(f"<li>{f'{sign} {safe(line)}'.strip()}</li>" for line in lines)
            return f'<ul style="list-style:none">{parts}</ul>' if sign else f"<ul>{parts}</ul>"
        case Table(headings, rows, note):
            return markup.table(headings, rows, note)
        case Picture(png, words):
            data = base64.b64encode(png).decode()
            return f'<p><img alt="{html.escape(words)}" src="data:image/png;base64,{data}"></p>'
        case Lines(count):
            return '<div class="line"></div>' * count


def _markdown(block):
    match block:
        case Heading(words, level):
            return f"{'#' * level} {escaped(words)}"
        case Words(words):
            return escaped(words)
        case Items(lines):
            return "\n".join(f"- {escaped(line)}" for line in lines)
        case Table(headings, rows, note):
            ruled = [headings, ["---"] * len(headings), *rows]
            lines = ["| " + " | ".join(_cell(cell) for cell in row) + " |" for row in ruled]
            return "\n".join(lines) + (f"\n\n*{escaped(note)}*" if note else "")
        case Picture(_, words):
            return escaped(words)
    return ""


def _cell(words):
    return words if words == "---" else escaped(words)
