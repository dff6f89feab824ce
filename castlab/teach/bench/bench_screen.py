"""Where the parts of a bench stand on the screen, so that sliders, picture and sentence are seen together.

It depends on the room that the bench has, not on the window: below each other, or sliders beside picture and
sentence, or all three side by side. Numbers, curve, film and what is held stand below, as wide as the bench.
"""

import ipywidgets as widgets

from castlab.teach.bench.filling import MISRUN
from castlab.teach.bench.safe_keys import safe_keys

# Beside a long column of sliders the picture stays in view while that is scrolled, to its last slider: for
# this, what JupyterLab puts round a bench must not scroll by itself, and the column goes on for a bit below.
# Where there is no room beside it, the picture stands above such a column and stays there meanwhile; in a
# low window, as of a browser that shows all at 150 %, above a short one too.
_STAYS = """
  .jupyter-widgets.{bench} {{ display: flex; flex-direction: column; align-items: stretch; }}
  .{bench} > .castlab-area-column {{ display: contents; }}
  .jupyter-widgets.{bench} > * > .castlab-main {{ display: contents; }}
  .{bench} .castlab-area-picture {{ order: -2; position: sticky; top: 0; z-index: 2; background: #fff; }}
  .{bench} .castlab-area-picture > img {{ max-height: {most} !important; }}
  .{bench} > .castlab-area-sliders {{ order: -1; }}"""
LONG_STAYS = _STAYS.format(bench="castlab-long", most="33vh")
EACH_STAYS = _STAYS.format(bench="castlab-areas", most="40vh")
STYLE = """<style>
.castlab-bench { container-type: inline-size; }
.jupyter-widgets.castlab-areas, .jupyter-widgets.castlab-main { display: grid; gap: 4px 18px;
  grid-template-columns: minmax(0, 1fr); align-items: start; }
.jupyter-widgets.castlab-areas { grid-template-areas: "sliders" "main" "below"; }
.jupyter-widgets.castlab-main { grid-template-areas: "picture" "said" "buttons"; }
.castlab-areas > *, .castlab-main > * { margin: 0; min-width: 0; overflow: visible; }
.castlab-area-sliders { grid-area: sliders; }
.castlab-area-column { grid-area: main; align-self: stretch; }
.castlab-area-picture { grid-area: picture; }
.castlab-area-said { grid-area: said; }
.castlab-area-buttons { grid-area: buttons; }
.castlab-area-below { grid-area: below; }
.jupyter-widgets.castlab-sentence { flex-wrap: nowrap; align-items: flex-start; overflow: visible; }
.castlab-sentence > :last-child { flex: 1 1 0; min-width: 0; }
.jupyter-widgets.castlab-numbers { display: flex; flex-flow: row wrap; gap: 4px 26px; overflow: visible; }
.castlab-numbers > :first-child { flex: 1 1 420px; }
.castlab-numbers > :last-child { flex: 0 1 560px; }
:is(.jp-OutputArea, .jp-OutputArea-child, .jp-OutputArea-output, .jupyter-widgets):has(.castlab-main) {
  overflow: visible; min-width: 0; }
@container (max-width: 779px) {
  .castlab-area-picture > img { max-height: 45vh !important; }""" + LONG_STAYS + """
}
@media (max-height: 560px) { @container (max-width: 779px) {""" + EACH_STAYS + """
} }
@container (min-width: 780px) {
  .jupyter-widgets.castlab-areas { grid-template-columns: fit-content(262px) minmax(0, 1fr);
    grid-template-areas: "sliders main" "below below"; }
  .jupyter-widgets.castlab-main { position: sticky; top: 0; }
  .castlab-long > .castlab-area-sliders { padding-bottom: 80px; }
}
@container (min-width: 1240px) {
  .jupyter-widgets.castlab-areas { grid-template-columns: fit-content(280px) minmax(0, 1fr); }
  .jupyter-widgets.castlab-main { grid-template-columns: minmax(0, 800px) minmax(260px, 1fr);
    grid-template-rows: auto 1fr; grid-template-areas: "picture said" "buttons said"; }
  .jupyter-widgets.castlab-areas.castlab-long { grid-template-rows: auto 1fr;
    grid-template-areas: "sliders main" "sliders below"; }
}
</style>"""
# A shape for each verdict, its colour and the strokes in it: told apart in grey and without colours.
MARKS = {
    "sound": ("sound", "#1b6e3c", '<circle cx="20" cy="20" r="18"/>', "M11 21 L18 28 L30 13"),
    "marginal": ("marginal", "#8a5a00", '<path d="M20 2 L39 37 L1 37 Z"/>', "M20 14 L20 25 M20 30 L20 32"),
    "defective": ("not sound", "#b00020", '<path d="M2 2 H38 V38 H2 Z"/>', "M11 11 L29 29 M29 11 L11 29"),
    MISRUN: ("not full", "#b00020", '<path d="M2 2 H38 V38 H2 Z" fill="#fff"/>'
             '<path d="M2 2 H18 C27 9 27 31 18 38 H2 Z"/>', ""),
}
MANY = 14  # sliders; more make a longer column than picture and buttons
MARK = "width:72px; padding-right:10px; text-align:center; font-size:14px; line-height:16px"


def on_screen(sliders, count, alert, picture, mark, sentence, bars, buttons, numbers, drawing, others):
    """The widget of a bench made of these widgets; `others` stand below it, one after the other. `count`:
    how many sliders there are."""
    said = widgets.HBox([mark, sentence]).add_class("castlab-sentence")
    table = widgets.Box([numbers, drawing]).add_class("castlab-numbers")
    main = widgets.Box([_area("picture", picture), _area("said", said, bars), _area("buttons", buttons)])
    column = _area("column", main.add_class("castlab-main"))  # along which it stays in view
    areas = widgets.Box([_area("sliders", sliders), column, _area("below", table, *others)])
    style = widgets.HTML(STYLE, layout={"display": "none"})
    if count > MANY:
        areas.add_class("castlab-long")
    whole = [style, safe_keys(), alert, areas.add_class("castlab-areas")]
    return widgets.VBox(whole).add_class("castlab-bench")


def _area(name, *parts):
    return widgets.VBox(parts).add_class(f"castlab-area-{name}")


def mark_of(verdict, rough):
    """The mark of a verdict, one of MARKS, as HTML, with a broken edge while the answer is a quick one;
    nothing for None."""
    if verdict is None:
        return ""
    words, colour, shape, strokes = MARKS[verdict]
    edge = ' stroke-dasharray="5 4"' if rough else ""
    fill = "#fff" if rough else colour
    drawn = (f'<svg viewBox="0 0 40 40" width="36" height="36" aria-hidden="true"><g fill="{fill}" '
             f'stroke="{colour}" stroke-width="2"{edge}>{shape}</g><path d="{strokes}" fill="none" '
             f'stroke="{colour if rough else "#fff"}" stroke-width="5"/></svg>')
    below = "quick answer" if rough else words
    return f'<div style="{MARK}">{drawn}<div>{below}</div></div>'
