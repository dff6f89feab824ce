"""The words of a bench as HTML: sentence, numbers, comparison, alert. Everything in them is escaped."""

import html
import re

from castlab.units import raised

WIDTH = "max-width:960px"
TABLE_WIDE = 860  # pixels; a table of many columns is never squeezed below
SENTENCE = f"font-size:18px; line-height:1.35; min-height:74px; {WIDTH}"
NUMBERS = "font-size:15px; line-height:1.5; min-height:68px; max-width:1500px"
ALERT = f"font-size:16px; line-height:1.35; border:3px solid #b00020; padding:6px; {WIDTH}"
TEXT = f"font-size:15px; line-height:1.45; {WIDTH}"
OUTDATED = "color:#595959; background:#f2f2f2; border-left:6px solid #757575; padding:2px 0 2px 8px"
NUMBER = "display:flex; justify-content:space-between; gap:9px; text-align:right; border-bottom:solid 1px"
LONG, WHOLE_ROW = 60, "; grid-column:1/-1; justify-content:flex-start; text-align:left"  # so many letters
GRID = "display:grid; grid-template-columns:repeat(auto-fill, minmax(280px, 1fr)); column-gap:26px"
BAR = "display:flex; height:16px; border:1px solid #000; border-right:none; max-width:800px"
PATCH = "display:inline-block; width:14px; height:11px; border:1px solid #000; margin-right:5px"
UNITS = "s|min|h|mm|in|cm3|in3|g|kg|lb|K"
CELL = "padding:1px 14px 1px 0; text-align:left; font-size:15px"


def safe(words):
    """Words as HTML; a number is never parted from its unit at the end of a line.

    >>> safe("3.1 cm3 < 4 s")
    '3.1&nbsp;cm³ &lt; 4&nbsp;s'
    """
    return raised(re.sub(rf"(?<=\d) (?=({UNITS})\b|°|%)", "&nbsp;", html.escape(words)))


def plain(value):
    """The words of a piece of HTML, for tests and printed numbers, with units as a program says them.

    >>> plain("<b>a sink</b> of 3&nbsp;cm³<br>on the boss")
    'a sink of 3 cm3 on the boss'
    """
    shown = re.sub(r"<style>.*?</style>|<[^>]*>", " ", value, flags=re.DOTALL)
    words = html.unescape(shown).replace("\N{NO-BREAK SPACE}", " ")
    words = re.sub("(cm|in)([²³])", lambda found: found[1] + ("2" if found[2] == "²" else "3"), words)
    return re.sub(r"\s+([.,:;?])", r"\1", " ".join(words.split()))


def status(words, style=SENTENCE):
    """Words that a screen reader says when they change; each line is a paragraph."""
    first, *others = words.split("\n")
    rest = "".join(f'<div style="margin-top:8px">{safe(line)}</div>' for line in others)
    return f'<div role="status" aria-live="polite" style="{style}">{safe(first)}{rest}</div>'


def alert(words):
    """Something broke: said at once, in a frame."""
    return f'<div role="alert" style="{ALERT}">{safe(words)}</div>'


def paragraph(words):
    """Words in a paragraph of their own."""
    return f'<div style="{TEXT}">{safe(words)}</div>'


def outdated(note, value):
    """A piece of HTML in grey, and above it the words that say why."""
    return f'{status(note, TEXT)}<div class="outdated" style="{OUTDATED}">{value}</div>'


def numbers(pairs, note=""):
    """Pairs of name and value in a small table, as many columns of it as there is room for; `note` says what
    they are worth.

    >>> plain(numbers([("feed demand", "7.4 cm3"), ("supplied by the feeder", "nothing")]))
    'feed demand: 7.4 cm3 supplied by the feeder: nothing'
    """
    rows = (f'<div style="{NUMBER}{WHOLE_ROW if len(value) > LONG else ""}">'
            f'<span style="text-align:left">{safe(name)}:</span> <b>{safe(value)}</b></div>'
            for name, value in pairs)
    below = f"<i>{html.escape(note)}</i>" if note else ""
    return f'<div style="{NUMBERS}"><div style="{GRID}">{" ".join(rows)}</div>{below}</div>'


def bar(title, parts):
    """A bar of parts beside each other with a legend below; nothing without parts.

    parts   (words, share of the whole, colour as red, green, blue, whether it is hatched); none is left out
            of the legend, but one without a share has no piece
    """
    if not parts:
        return ""
    shown = [part for part in parts if part[1] > 0.0]
    pieces = "".join(f'<div style="flex:{share:.4f} 1 0; min-width:3px; border-right:1px solid #000; '
                     f'background:{_fill(colour, hatched)}"></div>' for _, share, colour, hatched in shown)
    legend = " ".join(
        f'<span style="margin-right:14px; white-space:nowrap"><span style="{PATCH}; '
        f'background:{_fill(colour, hatched)}"></span>{safe(words)}</span>'
        for words, _, colour, hatched in parts)
    said = f"{title}: {', '.join(part[0] for part in parts)}"
    drawn = f'<div role="img" aria-label="{raised(html.escape(said))}" style="{BAR}">{pieces}</div>'
    return f'<div style="{TEXT}">{drawn}{html.escape(title)}: {legend}</div>'


def _fill(colour, hatched):
    plain_colour = f"rgb({','.join(map(str, colour))})"
    if not hatched:
        return plain_colour
    return f"repeating-linear-gradient(135deg, {plain_colour} 0 4px, #fff 4px 7px)"


def comparison(rows, sentence):
    """A table of (name, held, now) and the held sentence; rows that differ are bold."""
    cells = "".join(_row(*row) for row in rows)
    head = "".join(f'<th style="{CELL}">{words}</th>' for words in ("", "held", "now"))
    return (f'<div style="{TEXT}">Held: {safe(sentence)}</div>'
            f"<table><tr>{head}</tr>{cells}</table>")


def table(headings, rows, note=""):
    """A table of words; the first cell of each row names it, and `note` says what it is worth."""
    head = "".join(f'<th scope="col" style="{CELL}">{safe(words)}</th>' for words in headings)
    body = ""
    for first, *others in rows:
        cells = "".join(f'<td style="{CELL}">{safe(words)}</td>' for words in others)
        body += f'<tr><th scope="row" style="{CELL}">{safe(first)}</th>{cells}</tr>'
    whole = f'<table style="{WIDTH}"><tr>{head}</tr>{body}</table>'
    return f'{whole}<div style="{TEXT}"><i>{safe(note)}</i></div>' if note else whole


def as_wide_as_it_needs(tables):
    """HTML of wide tables, which a narrow screen scrolls sideways and does not cut off."""
    return (f'<div style="overflow-x:auto; width:0; min-width:100%" tabindex="0">'
            f'<div style="min-width:{TABLE_WIDE}px">{tables}</div></div>')


def _row(name, held, now):
    mark = "b" if held != now else "span"
    values = (f'<td style="{CELL}"><{mark}>{safe(value)}</{mark}></td>' for value in (held, now))
    return f'<tr><th style="{CELL}">{html.escape(name)}</th>{"".join(values)}</tr>'
