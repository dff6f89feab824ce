"""What a slider or menu of a bench is, in SI, and how its values are written. No widget is made here."""

from dataclasses import dataclass

from castlab.errors import InputError, require_between, require_known
from castlab.units import INCH_POUND, METRIC, Scale, raised

SI_UNITS = {"length": "m", "temperature": "deg C", "difference": "K", "time": "s", "volume": "m3",
            "mass": "kg", "contact": "W/m2K", "number": ""}
KINDS = (*SI_UNITS, "choice")
_PLAIN = Scale("", 1.0)
_SECONDS = Scale("s", 1.0)
_KILOGRAMS = Scale("kg", 1.0)  # what a pot holds: nobody says 2000 g


@dataclass(frozen=True)
class Slider:
    """What a slider or menu of a bench is, in SI (deg C for temperatures).

    name     the key among the bench's values        label   what a person reads, without the unit
    kind     "length", "temperature", "difference" of temperatures, "time", "volume", "mass", "contact"
             (how well heat passes into a chill), "number" (sliders) or "choice" (a menu of `options`)
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
        require_between(self.label, self.value, self.low, self.high, SI_UNITS[self.kind])


def scale_of(kind, units):
    """The scale in which a slider of that kind speaks."""
    scales = {"length": units.lengths, "temperature": units.temperatures, "difference": units.differences,
              "time": _SECONDS, "volume": units.volumes, "contact": units.contacts,
              "mass": _KILOGRAMS if units is METRIC else units.masses}
    return scales.get(kind, _PLAIN)


def format_of(slider, scale):
    """How many decimals a slider's numbers need in that scale, as Python writes it.

    Enough to tell one step from the next; all inches of a bench have two, unless a step is still smaller.
    """
    step = round(abs(slider.step * scale.factor), 9)
    if scale is INCH_POUND.lengths:
        return ".2f" if step >= 0.01 else ".3f"
    return ".0f" if step >= 10 or step == round(step) >= 1 else ".2f" if step < 0.1 else ".1f"


def words_of(slider, value, units):
    """Where a slider stands, such as "12 mm"; of a menu, the name."""
    if slider.kind == "choice":
        return str(value)
    scale = scale_of(slider.kind, units)
    return f"{format(scale.shown(value), format_of(slider, scale))} {scale.unit}".strip()


def on_step(slider, value, low=None, high=None):
    """The nearest value [SI] at which a slider can stand; `low`, `high`: where its range was moved."""
    low, high = (slider.low, slider.high) if low is None else (low, high)
    nearest = low + slider.step * round((value - low) / slider.step)
    return round(min(max(nearest, low), high), 9)


def label_of(slider, scale):
    """The label with the unit, such as "feeder width [mm]"."""
    return f"{slider.label} [{raised(scale.unit)}]" if scale.unit else slider.label
