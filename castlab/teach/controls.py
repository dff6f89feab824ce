"""Sliders and menus that keep SI inside and speak millimetres or inches outside."""

from dataclasses import dataclass

import ipywidgets as widgets

from castlab.errors import InputError, require_between, require_known, require_number
from castlab.units import METRIC, Scale

KINDS = ("length", "temperature", "difference", "time", "number", "choice")
COLUMN = {"flex": "1 1 285px", "max_width": "460px", "margin": "0 10px 0 0"}
# The number beside a slider takes more room than it needs, and the slider less.
NARROW_NUMBERS = """<style>.castlab-sliders .widget-readout { min-width: 3em; max-width: 3em; margin: 0; }
.castlab-sliders .slider-container { margin-left: 6px; margin-right: 10px; }</style>"""
_PLAIN = Scale("", 1.0)
_SECONDS = Scale("s", 1.0)


@dataclass(frozen=True)
class Slider:
    """What a slider or menu of a bench is, in SI (deg C for temperatures).

    name     the key among the bench's values        label   what a person reads, without the unit
    kind     "length", "temperature", "difference" of temperatures, "time", "number" (sliders) or "choice" (a
             menu of `options`)
    group    the heading under which it stands       value   where it stands at first
    low, high, step                                  of a slider; it stands on low, low + step, ...
    """

    name: str
    label: str
    kind: str
    group: str
    value: float | str
    low: float = 0.0
    high: float = 0.0
    step: float = 0.0
    options: tuple[str, ...] = ()

    def __post_init__(self):
        require_known(f"kind of slider {self.name}", self.kind, KINDS)
        if self.kind == "choice":
            require_known(self.label, self.value, self.options)
            return
        if not (self.low < self.high and 0.0 < self.step <= self.high - self.low):
            allowed = "low must be below high, and a step above 0 and not larger than the range"
            raise InputError(f"range of slider {self.name}", (self.low, self.high, self.step), allowed)
        require_between(self.label, self.value, self.low, self.high)


def scale_of(kind, units):
    """The scale in which a slider of that kind speaks."""
    scales = {"length": units.lengths, "temperature": units.temperatures, "difference": units.differences,
              "time": _SECONDS}
    return scales.get(kind, _PLAIN)


class Menu:
    """A choice between names."""

    def __init__(self, slider):
        self.slider = slider
        self.widget = widgets.Dropdown(options=slider.options, value=slider.value, description=slider.label,
                                       style={"description_width": "initial"}, layout={"width": "auto"})

    @property
    def value(self):
        """The name that is chosen."""
        return self.widget.value

    @value.setter
    def value(self, name):
        self.widget.value = require_known(self.slider.label, name, self.slider.options)

    def range(self):
        """First, middle and last of what it can be set to."""
        options = self.slider.options
        return options[0], options[len(options) // 2], options[-1]

    def snap(self):
        """A menu always stands on one of its names."""

    def speak(self, units):
        """Names are the same in all units."""

    def words(self, value, units):
        return str(value)


class LimitsFirstSlider(widgets.FloatSlider):
    """A slider that tells the browser its new limits before its new value.

    In the other order the browser squeezes the value between the old limits and sends that back as a move.
    """

    def get_state(self, *args, **options):
        """What the browser is told, the value last."""
        state = super().get_state(*args, **options)
        return dict(sorted(state.items(), key=lambda item: item[0] == "value"))


class Handle:
    """A slider. Its value [SI] is always on one of its steps."""

    def __init__(self, slider, units=METRIC):
        self.slider, self.low, self.high = slider, slider.low, slider.high
        self._scale = scale_of(slider.kind, units)
        self.widget = LimitsFirstSlider(style={"description_width": "initial"}, layout={"width": "auto"})
        self._show(slider.value)

    @property
    def value(self):
        """Where it stands [SI]."""
        return self._on_step(self._scale.si(self.widget.value))

    @value.setter
    def value(self, si):
        scale, label = self._scale, self.slider.label
        slack = 1e-6 * self.slider.step  # what changing units loses is not outside
        if not self.low - slack <= require_number(label, si) <= self.high + slack:
            require_between(label, scale.shown(si), scale.shown(self.low), scale.shown(self.high), scale.unit)
        self.widget.value = scale.shown(self._on_step(si))

    def _on_step(self, si):
        step = self.slider.step
        on_step = self.low + step * round((si - self.low) / step)
        return round(min(max(on_step, self.low), self.high), 9)

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

    def words(self, value, units):
        scale = scale_of(self.slider.kind, units)
        return f"{format(scale.shown(value), self._format(scale))} {scale.unit}".strip()

    def _format(self, scale):
        step = abs(self.slider.step * scale.factor)
        return ".0f" if abs(step - round(step)) < 1e-9 and step >= 1 else ".2f" if step < 0.1 else ".1f"

    def _show(self, value):
        """All in one message: a browser that gets the limits alone squeezes the old value between them."""
        scale, widget = self._scale, self.widget
        low, high = scale.shown(self.low), scale.shown(self.high)
        with widget.hold_sync():
            widget.description = f"{self.slider.label} [{scale.unit}]" if scale.unit else self.slider.label
            widget.readout_format = self._format(scale)
            widget.step = self.slider.step * scale.factor
            widget.max = max(high, widget.max)  # first wide enough: a minimum above the maximum is refused
            widget.min = low
            widget.max = high
            widget.value = scale.shown(self._on_step(value))


def control_of(slider):
    """The widget and its reading for a slider or a menu."""
    return Menu(slider) if slider.kind == "choice" else Handle(slider)


def in_groups(controls):
    """The controls side by side, one column a group, each with its heading."""
    groups = {}
    for control in controls:
        groups.setdefault(control.slider.group, []).append(control.widget)
    columns = [widgets.VBox([widgets.HTML(f"<b>{group}</b>"), *parts], layout=COLUMN)
               for group, parts in groups.items()]
    style = widgets.HTML(NARROW_NUMBERS, layout={"display": "none"})
    box = widgets.Box([*columns, style], layout={"display": "flex", "flex_flow": "row wrap"})
    return box.add_class("castlab-sliders")
