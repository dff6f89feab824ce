"""The pour sheet as HTML, which a browser prints, and as a widget that fills it in from two benches."""

import base64
import html
import io
import os
from pathlib import Path

import ipywidgets as widgets

from castlab.errors import InputError
from castlab.teach import hypertext
from castlab.teach.melt_chart import MeltChart, MeltScene
from castlab.teach.pictures import Scene, picture_of
from castlab.teach.pour_sheet import sheet_of
from castlab.teach.spoken import sentence_of

SIGN = "Date ______________   Poured by ________________________   Second person ________________________"
HIDDEN = "The pour sheet is filled in when you have said what you expect."
STYLE = """<style>
.pour-sheet { max-width: 190mm; font: 13px/1.35 sans-serif; color: black; background: white; padding: 6px; }
.pour-sheet h1 { font-size: 21px; margin: 0 0 4px 0; }
.pour-sheet h2 { font-size: 15px; margin: 8px 0 2px 0; border-bottom: 1px solid black; }
.pour-sheet p { margin: 2px 0; }
.pour-sheet ul { margin: 2px 0; padding-left: 20px; }
.pour-sheet .columns { display: grid; grid-template-columns: 1fr 1fr; gap: 14px; }
.pour-sheet td { padding: 0 6px 0 0; vertical-align: top; text-align: left; }
.pour-sheet td + td { font-weight: bold; }
.pour-sheet img { width: 100%; }
.pour-sheet .good { border-left: 6px solid #0b3c6f; padding-left: 6px; }
.pour-sheet .bad { border: 3px solid #b00020; padding: 4px; font-weight: bold; }
@page { size: A4; margin: 10mm; }
@media print { .pour-sheet { font-size: 10.5px; max-width: none; padding: 0; }
  .pour-sheet h1 { font-size: 18px; } .pour-sheet h2 { font-size: 12.5px; margin: 5px 0 1px 0; }
  .pour-sheet img { width: 82%; } }
</style>"""

ALTS = "the casting cut open, as computed", "displayed and true temperature of the metal against time"
FILE = "pour_sheet.html"
HEAD = '<!doctype html><html lang="en"><meta charset="utf-8"><title>pour sheet</title>'


# ---- HTML


def to_html(sheet, pictures=()):
    """The page as a piece of HTML; `pictures` are PNG bytes, one under each column, or none."""
    images = [f'<img alt="{alt}" src="data:image/png;base64,{base64.b64encode(each).decode()}">'
              for alt, each in zip(ALTS, pictures, strict=False)]
    parts = sheet.left, sheet.right, sheet.foot
    left, right, foot = ("".join(map(_block_html, blocks)) for blocks in parts)
    under_left, under_right = images or ("", "")
    mark = "good" if sheet.good else "bad"
    reasons = "".join(f"<li>{html.escape(each)}</li>" for each in sheet.reasons)
    return (f'<div class="pour-sheet">{STYLE}<h1>{html.escape(sheet.title)}</h1>'
            f'<div class="{mark}"><p>{html.escape(sheet.verdict)}</p><ul>{reasons}</ul></div><p>{SIGN}</p>'
            f'<div class="columns"><div>{left}{under_left}</div><div>{right}{under_right}</div></div>'
            f"{foot}</div>")


def _block_html(block):
    rows = "".join(f"<tr><td>{html.escape(line[0])}</td><td>{html.escape(line[1])}</td></tr>"
                   for line in block.lines if isinstance(line, tuple))
    words = "".join(f"<p>{html.escape(line)}</p>" for line in block.lines if isinstance(line, str))
    table = f"<table>{rows}</table>" if rows else ""
    return f"<h2>{html.escape(block.heading)}</h2>{table}{words}"


# ---- from the benches


def pictures_for(melt, casting, units):
    """The casting's section and the melt's chart, as PNG bytes at twice the size of a screen."""
    section = io.BytesIO()
    picture_of(Scene(casting.section, tuple(casting.labels(units))), units).savefig(section, format="png")
    chart = MeltChart(units, scale=2).show(MeltScene(None, melt)).png()
    return section.getvalue(), chart


class PourSheet:
    """The pour sheet of the casting on one bench and the melt on another, in a notebook.

    part, melt   the two benches: `castlab.teach.benches`, `castlab.teach.melt_bench`
    folder       where *Save it* puts pour_sheet.html
    """

    def __init__(self, part, melt, folder="."):
        self._part, self._melt, self._folder = part, melt, Path(folder)
        self._page, self._said = widgets.HTML(), widgets.HTML(hypertext.status("", hypertext.TEXT))
        actions = {"Fill in from the benches": self.fill, "Save it": self._save_pressed}
        buttons = [self._button(words, action) for words, action in actions.items()]
        self.widget = widgets.VBox([widgets.HBox(buttons), self._said, self._page])
        melt.when_revealed(self.fill)
        self.fill()

    @property
    def words(self):
        """What stands on the sheet, as plain text."""
        return hypertext.plain(self._page.value.replace(STYLE, ""))

    def fill(self):
        """Make the sheet for what stands on the benches now."""
        if self._melt.hidden:
            self._page.value = hypertext.paragraph(HIDDEN)
            return
        try:
            self._page.value = to_html(*self._made())
            self._said.value = hypertext.status("Filled in.", hypertext.TEXT)
        except InputError as error:
            self._page.value = hypertext.paragraph(
                f"There is no sheet for this. {sentence_of(error, self._melt.units)}")

    def save(self):
        """Write pour_sheet.html, whole or not at all; returns its path. InputError while it is hidden."""
        if self._melt.hidden:
            raise InputError("pour sheet", "still hidden", "first say what you expect")
        page = f"{HEAD}{to_html(*self._made())}</html>"
        path, half = self._folder / FILE, self._folder / f".{FILE}.part"
        try:
            half.write_text(page, encoding="utf-8")
            os.replace(half, path)
        finally:
            half.unlink(missing_ok=True)
        return path

    def _made(self):
        melt, casting = self._melt.solve(), self._part.solve()
        return sheet_of(melt, casting, self._melt.units), pictures_for(melt, casting, self._melt.units)

    def _save_pressed(self):
        try:
            said = f"Saved: {self.save()}. Open it in a browser to print it."
        except InputError as error:
            said = f"Not saved. {sentence_of(error, self._melt.units)}"
        except OSError as error:
            said = f"Not saved. {self._folder / FILE}: {error.strerror or type(error).__name__}."
        self._said.value = hypertext.status(said, hypertext.TEXT)

    def _button(self, words, action):
        button = widgets.Button(description=words, layout={"width": "auto"})
        button.on_click(self._melt.guarded(action))
        return button

    def _repr_mimebundle_(self, **options):
        return self.widget._repr_mimebundle_(**options)
