"""The table in which a part is typed: a row for each body, its shape, sizes, place, and metal or hollow."""

import re
from contextlib import suppress

import ipywidgets as widgets

from castlab.errors import InputError, require_number
from castlab.field.own_part import ALONG_AN_AXIS, DRAWN, SHAPES, Body, OwnPart
from castlab.teach.own_part.squared_paper import paper_for, squared_paper
from castlab.teach.work.shown import Shown, button, menu
from castlab.units import METRIC

METAL, HOLLOW = "metal", "hollow"
WRAPS = {"flex_flow": "row wrap"}  # where the screen is narrow
TYPED = tuple(shape for shape in SHAPES if shape != "stl")
FIRST_M = {
    "length": 40e-3,
    "height": 20e-3,
    "width": 20e-3,
    "diameter": 30e-3,
    "hole": 10e-3,
    "other diameter": 20e-3,
}
FIRST_CORNERS = {
    "outline": ((0.0, 0.0), (0.04, 0.0), (0.0, 0.03)),
    "turned": ((0.0, 0.0), (0.015, 0.0), (0.01, 0.03), (0.0, 0.03)),
}
DRAW, PUT_AWAY = "Draw it on squared paper", "Put the paper away"
MOST_DECIMALS = 4


class PartTable(Shown):
    """Rows of bodies, and the part that they make: `part`, or None while `error` says what is wrong.

    `when_changed` is called after each change. Lengths are in the units of `speak`.
    """

    def __init__(self, part, guarded, when_changed):
        self._guarded, self._when_changed = guarded, when_changed
        self._units, self._quiet = METRIC, False
        self._name = widgets.Text(
            description="name of the part", continuous_update=False, style={"description_width": "initial"}
        )
        self._name.observe(self._guarded(self._changed), "value")
        self._add = button("Add a body", self._guarded(self.add))
        self._rows = widgets.VBox()
        self.rows, self.up = [], "+y"
        self.part = self.error = None
        self.widget = widgets.VBox([widgets.HBox([self._name, self._add]), self._rows])
        self.show(part)

    def show(self, part):
        """Put another part into the table."""
        self._quiet = True
        self._name.value, self.up = part.name, part.up
        self.rows = [_Row(body, self._units, self) for body in part.bodies]
        self._quiet = False
        self._arrange()

    def add(self):
        """One more body: a small box on top of the part."""
        top = self.part.extent[1][1] if self.part and self.part.up == "+y" else 0.0
        sizes = tuple((size, FIRST_M[size]) for size in SHAPES["box"])
        names = {row.name for row in self.rows}
        name = next(
            f"body {number}" for number in range(len(self.rows) + 1, 1000) if f"body {number}" not in names
        )
        self.rows.append(_Row(Body(name, "box", sizes, (0.0, round(top + 0.01, 6), 0.0)), self._units, self))
        self._arrange()

    def remove(self, row):
        """Take a body out of the table."""
        self.rows = [each for each in self.rows if each is not row]
        self._arrange()

    def turn(self, up):
        """Let another direction of the drawing point up."""
        self.up = up
        self._changed()

    def speak(self, units):
        """Show lengths in these units; what was typed stays as long."""
        part = self.part
        self._units = units
        if part is not None:
            self.show(part)

    def guarded(self, action):
        """The wrapper of all callbacks."""
        return self._guarded(action)

    def changed(self):
        """A row was changed."""
        self._changed()

    def _arrange(self):
        self._rows.children = [row.widget for row in self.rows]
        self._changed()

    def _changed(self):
        if self._quiet:
            return
        try:
            self.part = OwnPart(self._name.value.strip(), tuple(row.body() for row in self.rows), self.up)
            self.part.blocks  # what no body can be is said now
            self.error = None
        except InputError as error:
            self.part, self.error = None, error
        self._when_changed()


class _Row:
    """The widgets of one body."""

    def __init__(self, body, units, table):
        self._units, self._table, self._given = units, table, body
        self._scale = units.lengths
        self._exact = {}  # what each number was given as, so that rounding for the screen changes nothing
        self._name = widgets.Text(value=body.name, continuous_update=False, layout={"width": "120px"})
        self._shape = menu("", TYPED if body.mesh is None else ("stl",), body.shape, "100px")
        self._metal = menu("", (METAL, HOLLOW), HOLLOW if body.taken_away else METAL, "86px")
        self._axis = menu("along", ("x", "y", "z"), body.axis, "96px")
        self._at = [self._number(axis, value) for axis, value in zip("xyz", body.at, strict=True)]
        self._sizes = {name: self._number(name, value) for name, value in body.sizes}
        self._corners = widgets.Text(
            value=self._written(body.corners),
            continuous_update=False,
            description="corners",
            layout={"width": "420px"},
        )
        self._corners.observe(table.guarded(self._corners_typed), "value")
        self._paper, self._paper_box = None, widgets.VBox()
        self._draw = button(DRAW, table.guarded(self.open_paper))
        self._remove = button("Remove", table.guarded(lambda: table.remove(self)))
        self._size_box, self.widget = widgets.HBox(), widgets.VBox(layout={"border_bottom": "1px solid #ccc"})
        for each in (self._name, self._metal, self._axis, self._corners, *self._at, *self._sizes.values()):
            each.observe(table.guarded(table.changed), "value")
        self._axis.observe(table.guarded(self._rule_paper), "value")
        self._shape.observe(table.guarded(self._reshaped), "value")
        self._arrange()

    @property
    def name(self):
        """As it was typed."""
        return self._name.value.strip()

    def body(self):
        """The body as it stands in the row. Raises InputError for what cannot be."""
        shape = self._shape.value
        return Body(
            self.name,
            shape,
            tuple((name, self._si(f"{name} of {self.name}", self._sizes[name])) for name in SHAPES[shape]),
            tuple(self._si(f"place of {self.name}", each) for each in self._at),
            self._axis.value if shape in ALONG_AN_AXIS else "y",
            self._read_corners() if shape in DRAWN else (),
            self._metal.value == HOLLOW,
            self._given.mesh if shape == "stl" else None,
            self._given.file if shape == "stl" else "",
        )

    def set(self, **values):
        """Change what is typed, as a person would: a shape, a name, sizes and places [m]."""
        if "shape" in values:
            self._shape.value = values.pop("shape")
        fields = self._sizes | dict(zip("xyz", self._at, strict=True))
        for name, value in values.items():
            if name in fields:
                fields[name].value = round(self._scale.shown(value), MOST_DECIMALS)
            else:
                getattr(self, f"_{name}").value = value

    def open_paper(self):
        """Open squared paper with the corners below them, or put it away; returns the paper, or None."""
        if self._paper is None:
            paper = paper_for(self._shape.value, self._axis.value, self._units)
            self._paper = squared_paper(paper, self._typed_corners())
            self._paper.observe(self._table.guarded(self._corners_drawn), "corners")
            self._paper_box.children = [self._paper]
        else:
            self._paper_box.children, self._paper = (), None
        self._draw.description = PUT_AWAY if self._paper else DRAW
        return self._paper

    def _rule_paper(self):
        """Other axes have other names."""
        if self._paper is not None and self._shape.value in DRAWN:
            self._paper.paper = paper_for(self._shape.value, self._axis.value, self._units)

    def _corners_drawn(self):
        self._corners.value = _in_words(self._paper.corners)

    def _corners_typed(self):
        """The paper shows what was typed, unless it cannot be read, which the table says."""
        if self._paper is not None and self._corners.value != _in_words(self._paper.corners):
            with suppress(InputError):
                self._paper.corners = [list(each) for each in self._typed_corners()]

    def _number(self, name, value):
        shown = round(self._scale.shown(value), MOST_DECIMALS)
        field = widgets.FloatText(
            value=shown,
            continuous_update=False,
            description=name,
            style={"description_width": "initial"},
            layout={"width": "150px" if len(name) > 2 else "96px"},
        )
        self._exact[field] = shown, value
        return field

    def _si(self, parameter, number):
        shown, given = self._exact[number]
        if number.value == shown:
            return given
        return round(self._scale.si(require_number(parameter, number.value)), 9) + 0.0

    def _reshaped(self):
        """Other sizes for another shape; those of one name stay."""
        shape = self._shape.value
        for name in SHAPES[shape]:
            if name not in self._sizes:
                self._sizes[name] = self._number(name, FIRST_M[name])
                self._sizes[name].observe(self._table.guarded(self._table.changed), "value")
        if shape in DRAWN:
            self._corners.value = self._written(FIRST_CORNERS[shape])
        self._rule_paper()
        self._arrange()
        self._table.changed()

    def _arrange(self):
        shape = self._shape.value
        sizes = [self._sizes[name] for name in SHAPES[shape]]
        sizes += [self._axis] if shape in ALONG_AN_AXIS else []
        first = widgets.HBox([self._name, self._shape, self._metal, *self._at, self._remove], layout=WRAPS)
        rows = [first, widgets.HBox(sizes, layout=WRAPS | {"padding": "0 0 0 24px"})]
        drawn = [widgets.HBox([self._corners, self._draw], layout=WRAPS), self._paper_box]
        self.widget.children = [*rows, *drawn] if shape in DRAWN else rows

    def _written(self, corners):
        shown = (
            tuple(round(self._scale.shown(each), MOST_DECIMALS) for each in corner) for corner in corners
        )
        return _in_words(shown)

    def _read_corners(self):
        """Corners [m], as exact as they were given where nothing was typed."""
        if self._corners.value == self._written(self._given.corners):
            return self._given.corners
        return tuple(
            tuple(round(self._scale.si(each), 9) for each in pair) for pair in self._typed_corners()
        )

    def _typed_corners(self):
        """Pairs of numbers with semicolons between them, such as "0 0; 40 0; 40 12,5"."""
        found = []
        for pair in self._corners.value.strip(" ;").split(";"):
            words = re.split(r"\s+", pair.strip())
            if len(words) != 2:
                raise InputError(
                    f"corner of {self.name}",
                    pair.strip()[:40] or "empty",
                    "write two numbers for each corner, and a semicolon between corners",
                )
            found.append(
                tuple(require_number(f"corner of {self.name}", word.replace(",", ".")) for word in words)
            )
        return tuple(found)


def _in_words(corners):
    return "; ".join(f"{u:g} {v:g}" for u, v in corners)
