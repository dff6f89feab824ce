"""Settings of an exercise in words: where a slider stands, how far it goes, what a cure changes."""

from castlab.field.cure_kinds import usual_sizes
from castlab.teach.sliders.part_sliders import metal_sliders
from castlab.teach.sliders.to_design import sliders_of_part
from castlab.units import METRIC


def value_words(kind, value, units=METRIC):
    """One value of a slider of that kind, in words.

    >>> value_words("length", 0.012), value_words("temperature", 475.0), value_words("choice", "upside down")
    ('12 mm', '475 °C', 'upside down')
    """
    if kind in ("length", "temperature", "contact"):
        return getattr(units, kind)(value)
    return str(value) if kind == "choice" else f"{value:g}"


def setting_words(exercise, name, units=METRIC):
    """Such as "feeder width 12 mm": a slider of an exercise and where it stands."""
    label, kind = _label_and_kind(exercise.part, name)
    return f"{label} {value_words(kind, exercise.bench_values()[name], units)}"


def change_words(exercise, changes, units=METRIC):
    """Such as "feeder width 0 mm to 40 mm, feeder height 60 mm": what a cure sets, in the sliders' order."""
    now, words = usual_sizes(exercise.part) | exercise.bench_values(), []
    for name, value in changes.items():
        if now[name] != value:
            label, kind = _label_and_kind(exercise.part, name)
            words.append(f"{label} from {value_words(kind, now[name], units)} to "
                         f"{value_words(kind, value, units)}")
    return ", ".join(words) or "nothing is changed"


def set_words(exercise, changes, units=METRIC):
    """Such as "feeder width 40 mm, feeder height 60 mm": the same without where the sliders stood before."""
    words = []
    for name, value in changes.items():
        label, kind = _label_and_kind(exercise.part, name)
        words.append(f"{label} {value_words(kind, value, units)}")
    return ", ".join(words) or "nothing is changed"


def range_words(slider, units=METRIC):
    """Such as "feeder width: now 0 mm, from 0 mm to 56 mm", or the names on a menu."""
    now = value_words(slider.kind, slider.value, units)
    if slider.kind == "choice":
        return f"{slider.label}: now {now}; {', '.join(slider.options)}"
    low, high = (value_words(slider.kind, each, units) for each in (slider.low, slider.high))
    return f"{slider.label}: now {now}, from {low} to {high}"


def _label_and_kind(part, name):
    for slider in (*sliders_of_part(part), *metal_sliders()):
        if slider.name == name:
            return slider.label, slider.kind
    return "mould temperature", "temperature"
