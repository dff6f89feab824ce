"""The pour sheet as HTML, as a picture of an A4 page, and as a widget that fills it in from two benches."""

import base64
import html
import io
from functools import cache
from pathlib import Path

import ipywidgets as widgets
import matplotlib
from PIL import Image, ImageDraw, ImageFont

from castlab.errors import InputError
from castlab.teach.melt.melt_chart import MeltChart, MeltScene
from castlab.teach.melt.pour_sheet import sheet_of
from castlab.teach.picture.picture import picture_of
from castlab.teach.picture.scene import Scene
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of

SIGN = "Date ______________   Poured by ________________________   Second person ________________________"
HIDDEN = "The pour sheet is filled in when you have said what you expect."
STYLE = """<style>
.pour-sheet { max-width: 190mm; font: 13px/1.35 sans-serif; color: black; background: white; padding: 6px; }
.pour-sheet h1 { font-size: 21px; margin: 0 0 4px 0; }
.pour-sheet h2 { font-size: 15px; margin: 8px 0 2px 0; border-bottom: 1px solid black; }
.pour-sheet p { margin: 2px 0; }
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
PAGE = WIDE, TALL = 1240, 1754  # pixels of an A4 page at 150 dots an inch
EDGE, GUTTER = 60, 40
TITLE_PX, HEAD_PX, TEXT_PX = 38, 25, 19
LEADING = 1.32
PICTURE_SHARES = (1.0, 0.9, 0.8, 0.7, 0.6)
BLUE, RED = "#0b3c6f", "#b00020"


# ---- HTML


def to_html(sheet, pictures=()):
    """The page as a piece of HTML; `pictures` are PNG bytes, one under each column, or none."""
    images = [f'<img alt="{alt}" src="data:image/png;base64,{base64.b64encode(each).decode()}">'
              for alt, each in zip(ALTS, pictures, strict=False)]
    parts = sheet.left, sheet.right, sheet.foot
    left, right, foot = ("".join(map(_block_html, blocks)) for blocks in parts)
    under_left, under_right = images or ("", "")
    mark = "good" if sheet.good else "bad"
    return (f'<div class="pour-sheet">{STYLE}<h1>{html.escape(sheet.title)}</h1>'
            f'<p class="{mark}">{html.escape(sheet.verdict)}</p><p>{SIGN}</p>'
            f'<div class="columns"><div>{left}{under_left}</div><div>{right}{under_right}</div></div>'
            f"{foot}</div>")


def _block_html(block):
    rows = "".join(f"<tr><td>{html.escape(line[0])}</td><td>{html.escape(line[1])}</td></tr>"
                   for line in block.lines if isinstance(line, tuple))
    words = "".join(f"<p>{html.escape(line)}</p>" for line in block.lines if isinstance(line, str))
    table = f"<table>{rows}</table>" if rows else ""
    return f"<h2>{html.escape(block.heading)}</h2>{table}{words}"


# ---- a picture of the page


def to_png(sheet, pictures=()):
    """The page as the bytes of a PNG, A4 at 150 dots an inch; the pictures take what room there is.

    Raises InputError for words that run off the page.
    """
    for share in PICTURE_SHARES:
        image, lowest = _page(sheet, pictures, share)
        if lowest <= TALL - EDGE // 2:
            break
    else:
        raise InputError("pour sheet", f"{lowest} rows high", f"it must fit on a page of {TALL}")
    file = io.BytesIO()
    image.save(file, "PNG", dpi=(150, 150))
    return file.getvalue()


def _page(sheet, pictures, share):
    """The page drawn with pictures of this share of a column's width, and where its last line ends."""
    image = Image.new("RGB", PAGE, "white")
    pen = _Pen(ImageDraw.Draw(image), EDGE, EDGE, WIDE - 2 * EDGE)
    pen.write(sheet.title, TITLE_PX, bold=True)
    pen.boxed(sheet.verdict, BLUE if sheet.good else RED)
    pen.write(SIGN, TEXT_PX)
    top, half = pen.y, (WIDE - 2 * EDGE - GUTTER) // 2
    left = _Pen(pen.draw, EDGE, top, half)
    right = _Pen(pen.draw, EDGE + half + GUTTER, top, half)
    for column, blocks in ((left, sheet.left), (right, sheet.right)):
        for block in blocks:
            column.block(block)
    for column, each in zip((left, right), pictures, strict=False):
        column.picture(image, each, share)
    pen.y = max(left.y, right.y)
    for block in sheet.foot:
        pen.block(block)
    return image, pen.y


class _Pen:
    """Writes down a column, line by line."""

    def __init__(self, draw, x, y, width):
        self.draw, self.x, self.y, self.width = draw, x, y, width

    def write(self, words, size, bold=False, indent=0, width=None):
        """Words, broken into lines; returns nothing, moves down."""
        font = _font(size, bold)
        for line in _broken(words, font, (width or self.width) - indent):
            self.draw.text((self.x + indent, self.y), line, font=font, fill="black")
            self.y += int(LEADING * size)

    def boxed(self, words, colour):
        self.y += 6
        start = self.y
        self.write(words, TEXT_PX + 1, bold=colour == RED, indent=18)
        self.draw.rectangle((self.x, start - 2, self.x + 8, self.y), fill=colour)
        self.y += 10

    def block(self, block):
        self.y += 12
        self.write(block.heading, HEAD_PX, bold=True)
        self.draw.line((self.x, self.y - 2, self.x + self.width, self.y - 2), fill="black", width=2)
        self.y += 5
        for line in block.lines:
            if isinstance(line, tuple):
                self.pair(*line)
            else:
                self.write(line, TEXT_PX)

    def pair(self, name, value):
        """A name and, beside it or below it, its value."""
        room = self.width - _font(TEXT_PX, True).getlength(value)
        if _font(TEXT_PX, False).getlength(name) + 12 > room:
            self.write(name, TEXT_PX)
            start = self.y
        else:
            start = self.y
            self.draw.text((self.x, start), name, font=_font(TEXT_PX, False), fill="black")
        self.draw.text((self.x + max(room, 0), start), value, font=_font(TEXT_PX, True), fill="black")
        self.y = start + int(LEADING * TEXT_PX)

    def picture(self, image, png, share):
        picture = Image.open(io.BytesIO(png)).convert("RGB")
        wide = int(share * self.width)
        tall = picture.height * wide // picture.width
        self.y += 10
        image.paste(picture.resize((wide, tall), Image.Resampling.LANCZOS), (self.x, self.y))
        self.y += tall


@cache
def _font(size, bold):
    """A font that comes with the drawing library, so that it is there on every machine."""
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name, size)


def _broken(words, font, width):
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if font.getlength(longer) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


# ---- from the benches


def pictures_for(melt, casting, units):
    """The casting's section and the melt's chart, as PNG bytes at twice the size of a screen."""
    section = io.BytesIO()
    picture_of(Scene(casting.section, tuple(casting.labels(units))), units).savefig(section, format="png")
    chart = MeltChart(units, scale=2).show(MeltScene(None, melt)).png()
    return section.getvalue(), chart


class PourSheet:
    """The pour sheet of the casting on one bench and the melt on another, in a notebook.

    part, melt   the two benches: `castlab.teach.bench.ready_made`, `castlab.teach.melt.melt_bench`
    folder       where *Save it* puts pour_sheet.html and pour_sheet.png
    """

    def __init__(self, part, melt, folder="."):
        self._part, self._melt, self._folder = part, melt, Path(folder)
        self._page, self._said = widgets.HTML(), widgets.HTML(markup.status("", markup.TEXT))
        actions = {"Fill in from the benches": self.fill, "Save it": self._save_pressed}
        buttons = [self._button(words, action) for words, action in actions.items()]
        self.widget = widgets.VBox([widgets.HBox(buttons), self._said, self._page])
        melt.when_revealed(self.fill)
        self.fill()

    @property
    def words(self):
        """What stands on the sheet, as plain text."""
        return markup.plain(self._page.value.replace(STYLE, ""))

    def fill(self):
        """Make the sheet for what stands on the benches now."""
        if self._melt.hidden:
            self._page.value = markup.paragraph(HIDDEN)
            return
        try:
            self._page.value = to_html(*self._made())
            self._said.value = markup.status("Filled in.", markup.TEXT)
        except InputError as error:
            self._page.value = markup.paragraph(
                f"There is no sheet for this. {sentence_of(error, self._melt.units)}")

    def save(self):
        """Write pour_sheet.html and pour_sheet.png; returns their paths. InputError while it is hidden."""
        if self._melt.hidden:
            raise InputError("pour sheet", "still hidden", "first say what you expect")
        sheet, pictures = self._made()
        page = '<!doctype html><html lang="en"><meta charset="utf-8"><title>pour sheet</title>'
        paths = self._folder / "pour_sheet.html", self._folder / "pour_sheet.png"
        paths[0].write_text(page + to_html(sheet, pictures) + "</html>", encoding="utf-8")
        paths[1].write_bytes(to_png(sheet, pictures))
        return paths

    def _made(self):
        melt, casting = self._melt.solve(), self._part.solve()
        return sheet_of(melt, casting, self._melt.units), pictures_for(melt, casting, self._melt.units)

    def _save_pressed(self):
        try:
            names = " and ".join(str(path) for path in self.save())
            said = f"Saved: {names}. Open the first in a browser to print it."
        except InputError as error:
            said = f"Not saved. {sentence_of(error, self._melt.units)}"
        self._said.value = markup.status(said, markup.TEXT)

    def _button(self, words, action):
        button = widgets.Button(description=words, layout={"width": "auto"})
        button.on_click(self._melt.guarded(action))
        return button

    def _repr_mimebundle_(self, **options):
        return self.widget._repr_mimebundle_(**options)
