"""Sliders and menus that keep SI inside and speak millimetres or inches outside."""

import itertools
from dataclasses import replace

import ipywidgets as widgets

from castlab.errors import require_between, require_known, require_number
from castlab.teach.sliders.part_sliders import MORE
from castlab.teach.sliders.slider import SI_UNITS, format_of, label_of, on_step, scale_of
from castlab.units import INCH_POUND, METRIC

MOST_ENDS = 4  # of so many length sliders all ends are tried together
# The number beside a slider takes more room than it needs, and the slider less. Labels are equally wide, so
# that the sliders of a column stand below each other.
STYLE = """<style>
.castlab-column { flex: 1 1 250px; min-width: min-content; max-width: 460px; margin: 0 10px 0 0; }
.castlab-sliders .widget-readout { min-width: 3em; max-width: 3em; margin: 0; }
.castlab-column .slider-container { flex: 1 1 44px; min-width: 44px; margin-left: 4px; margin-right: 10px; }
.castlab-row { min-height: 28px; overflow: visible; }
.castlab-row > .jupyter-widgets, .castlab-column > .jupyter-widgets { margin-top: 0; margin-bottom: 0; }
.castlab-column .widget-inline-hbox { height: auto; min-height: 28px; }
.castlab-column select { min-width: 0; width: 132px; height: 28px; }
.castlab-column .widget-label { display: flex; height: auto; align-items: center; flex: 0 0 118px;
  text-align: left; white-space: normal; line-height: 14px; padding: 2px 0; }
.castlab-column > .widget-html { height: 22px; }
.castlab-column .widget-html-content { line-height: 22px; }
</style>"""
MOST_ROWS = 8  # of a column of sliders


class Menu:
    """A choice between names."""

    def __init__(self, slider):
        self.slider = slider
        self.widget = widgets.Dropdown(options=slider.options, value=slider.value, description=slider.label,
                                       style={"description_width": "initial"}, layout={"width": "auto"})
        self.row = self.widget

    @property
    def value(self):
        """The name that is chosen."""
        return self.widget.value

    @value.setter
    def value(self, name):
        self.widget.value = require_known(self.slider.label, name, self.slider.options)

    def offer(self, options):
        """Offer other names; what was chosen stays, or goes back to the start where it is not among them."""
        if options != self.slider.options:
            value = self.value if self.value in options else self.slider.value
            self.slider = replace(self.slider, options=options)
            self.widget.options, self.widget.value = options, value

    def range(self):
        """First, middle and last of what it can be set to."""
        options = self.slider.options
        return options[0], options[len(options) // 2], options[-1]

    def snap(self):
        """Nothing to do: a menu always stands on one of its names."""

    def speak(self, units):
        """Nothing to do: names are the same in all units."""


class LimitsFirst:
    """A slider that tells the browser its new limits before its new value, and stands in a `row` of its own.

    In the other order the browser squeezes the value between the old limits and sends that back as a move.
    """

    def __init__(self, **options):
        super().__init__(**options)
        self.row = widgets.VBox([self]).add_class("castlab-row")

    def get_state(self, *args, **options):
        """What the browser is told, the value last."""
        state = super().get_state(*args, **options)
        return dict(sorted(state.items(), key=lambda item: item[0] == "value"))

    def take_limits(self, low, high):
        """New limits, whatever the old ones were: first wide enough, as none may pass the other."""
        self.max = max(high, self.max)
        self.min = low
        self.max = high

    def draw_anew(self):
        """Have the browser draw it afresh: the keys Home and End of a slider go to the ends of the range that
        it had when it was drawn, however often its limits have been changed since."""
        self.row.children = ()
        self.row.children = (self,)


class LimitsFirstSlider(LimitsFirst, widgets.FloatSlider):
    """A slider with one handle."""


class LimitsFirstRange(LimitsFirst, widgets.FloatRangeSlider):
    """A slider with two handles: a range."""


class Handle:
    """A slider. Its value [SI] is always on one of its steps."""

    def __init__(self, slider, units=METRIC):
        self.slider, self.low, self.high = slider, slider.low, slider.high
        self._scale = scale_of(slider.kind, units)
        self.widget = LimitsFirstSlider(style={"description_width": "initial"}, layout={"width": "auto"})
        self.row = self.widget.row
        self._show(slider.value)

    @property
    def value(self):
        """Where it stands [SI]."""
        return self._on_step(self._scale.si(self.widget.value))

    @value.setter
    def value(self, si):
        slider, slack = self.slider, 1e-6 * self.slider.step  # what changing units loses is not outside
        if not self.low - slack <= require_number(slider.label, si) <= self.high + slack:
            require_between(slider.label, si, self.low, self.high, SI_UNITS[slider.kind])
        self.widget.value = self._scale.shown(self._on_step(si))

    def _on_step(self, si):
        return on_step(self.slider, si, self.low, self.high)

    def snap(self):
        """A number typed between two steps goes to the nearer one, where everybody sees it."""
        on_step = self._scale.shown(self.value)
        if abs(on_step - self.widget.value) > 1e-6 * self.widget.step:
            self.widget.value = on_step

    def range(self):
        """Lowest, middle and highest value [SI]."""
        return self.low, self._on_step(0.5 * (self.low + self.high)), self.high

    def move_range(self, low, high, value):
        """Give it another range, such as another alloy's pouring temperatures, and a place in it [SI]."""
        self.low, self.high = low, high
        self._show(value)

    def speak(self, units):
        """Show the same value in other units."""
        value = self.value
        self._scale = scale_of(self.slider.kind, units)
        self._show(value)

    def _show(self, value):
        """All in one message: a browser that gets the limits alone squeezes the old value between them."""
        scale, widget = self._scale, self.widget
        before = widget.min, widget.max
        widget.readout_format = format_of(self.slider, scale)  # before the number that is written with it
        with widget.hold_sync():
            widget.description = label_of(self.slider, scale)
            widget.step = self.slider.step * scale.factor
            widget.take_limits(scale.shown(self.low), scale.shown(self.high))
            widget.value = scale.shown(self._on_step(value))
        if (widget.min, widget.max) != before:
            widget.draw_anew()


class Span:
    """The range in which another slider may move: two handles, each on one of that slider's steps."""

    def __init__(self, slider, units=METRIC):
        self.slider = slider
        self.widget = LimitsFirstRange(style={"description_width": "initial"}, layout={"width": "430px"})
        self._show((slider.low, slider.high), units)

    @property
    def value(self):
        """Where both handles stand, (low, high) [SI]."""
        return tuple(on_step(self.slider, self._scale.si(end)) for end in self.widget.value)

    def speak(self, units):
        """Show the same range in other units."""
        self._show(self.value, units)

    def _show(self, ends, units):
        scale = self._scale = scale_of(self.slider.kind, units)
        low, high = (scale.shown(end) for end in (self.slider.low, self.slider.high))
        self.widget.readout_format = format_of(self.slider, scale)
        with self.widget.hold_sync():
            self.widget.description = f"[{scale.unit}]" if scale.unit else ""
            self.widget.step = self.slider.step * scale.factor
            self.widget.take_limits(low, high)
            self.widget.value = tuple(min(max(scale.shown(end), low), high) for end in ends)
        self.widget.draw_anew()


def control_of(slider):
    """What shows a slider or a menu and reads it: a Handle or a Menu."""
    return Menu(slider) if slider.kind == "choice" else Handle(slider)


def units_switch(chosen):
    """The two buttons by which a person chooses units; calls `chosen(METRIC)` or `chosen(INCH_POUND)`."""
    switch = widgets.ToggleButtons(options=[("mm, °C", METRIC), ("inch, °F", INCH_POUND)], value=METRIC,
                                   style={"button_width": "90px"})
    switch.observe(lambda change: chosen(change["new"]), "value")
    return switch


def in_groups(controls):
    """The controls side by side, one column a group, each with its heading; a long group takes two, and one
    that is seldom used is folded away below them.
    """
    groups, folded = {}, []
    for control in controls:
        if control.slider.group == MORE:
            folded.append(control.row)
        else:
            groups.setdefault(control.slider.group, []).append(control.row)
    columns = {}
    for heading, parts in groups.items():
        half = len(parts) if len(parts) <= MOST_ROWS else (len(parts) + 1) // 2
        columns[heading] = parts[:half]
        if parts[half:]:
            columns[f"{heading}, continued"] = parts[half:]
    shown = in_columns(columns)
    if not folded:
        return shown
    box = in_columns({"": folded})
    return widgets.VBox([shown, widgets.Accordion([box], titles=(MORE,), selected_index=None)])


def in_columns(groups):
    """Widgets side by side, as many columns as there is room for: {heading: widgets below it}."""
    columns = [widgets.VBox([widgets.HTML(f"<b>{heading}</b>"), *parts]).add_class("castlab-column")
               for heading, parts in groups.items()]
    style = widgets.HTML(STYLE, layout={"display": "none"})
    box = widgets.Box([*columns, style], layout={"display": "flex", "flex_flow": "row wrap"})
    return box.add_class("castlab-sliders")


def image(width):
    """An empty picture for PNGs of that width [pixels].

    In a narrow or low window it becomes smaller and keeps its proportions, because it is drawn to scale.
    """
    return widgets.Image(format="png", layout={
        "width": f"{width}px", "height": "auto", "max_width": "100%", "max_height": "56vh",
        "object_fit": "contain", "object_position": "left top", "flex": "0 0 auto"})


def all_ends(lengths):
    """Settings that show how large a layout can get: all ends together, or of many sliders each alone.

    lengths: (name, low, high) of each slider.
    """
    if len(lengths) <= MOST_ENDS:
        for ends in itertools.product(*((low, high) for _, low, high in lengths)):
            yield {name: end for (name, _, _), end in zip(lengths, ends, strict=True)}
        return
    yield {name: high for name, _, high in lengths}
    for name, low, high in lengths:
        yield {name: low}
        yield {name: high}
