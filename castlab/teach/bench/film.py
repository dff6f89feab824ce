"""The film under a bench's picture: asked for by a button, sent to the browser once, moved through there."""

from pathlib import Path

import ipywidgets as widgets
import traitlets

from castlab.field.history import SUPPLIERS
from castlab.teach.bench.casting import OWN, PAYERS
from castlab.teach.bench.filling import MISRUN
from castlab.teach.picture.reel import COLOURS, reel_of
from castlab.units import raised

ASKED = "See it freeze"
STATES = (("liquid", "liquid"), ("mush: crystals in liquid", "mush"), ("solid", "solid"), ("hole", "hole"))
NAMES = dict(zip(SUPPLIERS, PAYERS, strict=True))
OWN_AND_DRAW = f"{OWN}, surface draw"  # a face that went down a little is a hole until all is solid
TITLE = ("The section while it freezes: liquid, mush, solid metal and holes, at the time that is set below. "
         "The words under it say what happens.")
CHART_TITLE = "Feed demand so far, and who has supplied it: {}. Lines mark when each way is solid: {}."


def film_of(account, section, units):
    """What moves through the freezing of a casting: a widget with `frame`, and the time there as `time_s`.

    Parameters: `account` (Shrinkage); `section`, as its bench shows it; `units` of all words.
    """
    reel = reel_of(account, section, units)
    last = reel.times_s[-1]
    names = NAMES | {"casting": OWN_AND_DRAW if account.paid_m3["dimensional"] > 0.0 else OWN}
    totals = {name: raised(f"{names[name]} {units.volume(reel.supplied[name][-1])}") for name in SUPPLIERS}
    marks = [{"words": f"{name} solid", "share": when / last} for name, when in reel.marks]
    told = ", ".join(f"{name} {units.time(when, beside=last)}" for name, when in reel.marks)
    return _widget_class()(
        still=reel.still,
        moments=reel.moments,
        times_s=list(reel.times_s),
        film={
            "title": TITLE,
            "chart_title": CHART_TITLE.format("; ".join(totals.values()), told),
            "times": [units.time(time, beside=last) for time in reel.times_s],
            "words": [raised(words) for words in reel.words],
            "colours": COLOURS,
            "states": [{"words": words, "colour": COLOURS[name],
                        "strokes": COLOURS["strokes"] if name == "mush" else None} for words, name in STATES],
            "suppliers": [{"words": totals[name], "colour": PAYERS[NAMES[name]],
                           "volumes": reel.supplied[name]} for name in SUPPLIERS],
            "marks": marks,
            "ticks": [{"share": share, "words": units.time(share * last, beside=last)}
                      for share in (0.0, 0.25, 0.5, 0.75, 1.0)],
        },
    )


def _widget_class():
    """Made when it is first needed: a bench without a film starts sooner."""
    global _Film
    if _Film is None:
        import anywidget

        class Film(anywidget.AnyWidget):
            _esm = Path(__file__).with_name("film.js")
            still, moments = traitlets.Bytes().tag(sync=True), traitlets.Bytes().tag(sync=True)
            film, frame = traitlets.Dict().tag(sync=True), traitlets.Int(0).tag(sync=True)
            times_s = traitlets.List()

            @property
            def time_s(self):
                """The time at which it stands [s]."""
                return self.times_s[self.frame]

        _Film = Film
    return _Film


_Film = None


class FilmPlace:
    """Under the picture of a bench: the place of the film, and the button that asks for it."""

    def __init__(self, bench):
        self._bench, self._shown = bench, None
        self.button = bench.button(ASKED, self.show)
        self.widget = widgets.VBox([])

    @property
    def film(self):
        """The film that is shown; None while there is none."""
        return self.widget.children[0] if self.widget.children else None

    @property
    def can_be_seen(self):
        """Whether there is something to see freeze: an account, of metal that has arrived."""
        return not self.button.disabled

    def show(self):
        """Make the film of the bench's full result and show it."""
        result, units = self._bench.result, self._bench.units
        if result is not None:
            self._shown = result, units
            self.widget.children = (film_of(result.account, result.section, units),)

    def follow(self, result, verdict, units):
        """Drop the film when the bench shows another `result`, none, or speaks other `units`; of a mould that
        by the `verdict` is not full there is nothing to see."""
        self.button.disabled = verdict == MISRUN or not hasattr(result, "account")
        if self._shown is not None and self._shown != (result, units):
            self._shown = None
            self.widget.children[0].close()
            self.widget.children = ()
