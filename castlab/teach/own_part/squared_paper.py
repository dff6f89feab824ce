"""Squared paper for the outline of a body: its corners are dragged, moved by keys, or typed."""

from pathlib import Path

import traitlets

from castlab.field.layout import AXIS_NAMES
from castlab.field.own_part import MOST_CORNERS
from castlab.units import METRIC

STEPS = {"mm": (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0),
         "in": (0.02, 0.05, 0.1, 0.25, 0.5, 1.0, 2.0, 5.0)}
TITLE = ("Squared paper with the outline. Click on the paper for another corner; drag a corner, or go to it "
         "with Tab and move it with the arrow keys, with Shift ten steps at a time; Delete takes it out, "
         "Enter puts one in.")


def paper_for(shape, axis, units=METRIC):
    """What the paper of a body says: a dict for the browser.

    Parameters: `shape`, "outline" or "turned"; `axis`, along which the body lies; `units`.

    >>> paper_for("outline", "y")["across"], paper_for("turned", "x")["across"]
    ('x', 'radius')
    """
    unit = units.lengths.unit
    across, up = (each for each in AXIS_NAMES if each != axis)
    if shape == "turned":
        across, up = "radius", f"along {axis}"
    return {"title": TITLE, "unit": unit, "across": across, "up": up, "turned": shape == "turned",
            "steps": list(STEPS[unit]), "snap": STEPS[unit][1], "most": MOST_CORNERS}


def squared_paper(paper, corners):
    """A widget with `paper`, of `paper_for`, and `corners`, pairs of numbers in its unit."""
    global _Paper
    if _Paper is None:
        import anywidget  # made when it is first needed, as the film is

        class Paper(anywidget.AnyWidget):
            _esm = Path(__file__).with_name("squared_paper.js")
            paper, corners = traitlets.Dict().tag(sync=True), traitlets.List().tag(sync=True)

        _Paper = Paper
    return _Paper(paper=paper, corners=[list(each) for each in corners])


_Paper = None
