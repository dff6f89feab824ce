"""Settings of an exercise in words: where a slider stands, how far it goes, what a cure changes."""

from castlab.field.cure_kinds import usual_sizes
from castlab.field.own_part import OwnPart
from castlab.field.placed import NAME, is_usual
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


def worth_telling(exercise):
    """Names of the sliders of an exercise whose settings are told: all, but what is usual on an own part."""
    return [name for name, value in exercise.values.items() if not is_usual(name, value)]


def setting_words(exercise, name, units=METRIC):
    """Such as "feeder width 12 mm": a slider of an exercise and where it stands."""
    return _set(exercise.part, name, exercise.bench_values()[name], units)


def settings_together(exercise, names, units=METRIC):
    """Settings of sliders, those of one body or one feeder of an own part on one line: a list of words."""
    lines = {}
    for name in names:
        fits = NAME.fullmatch(name)
        whose = name[: fits.start(3)] if fits else name.rpartition(" ")[0] or name
        lines.setdefault(whose, []).append(setting_words(exercise, name, units))
    return [", ".join(words) for words in lines.values()]


def change_words(exercise, changes, units=METRIC):
    """Such as "feeder width 0 mm to 40 mm, feeder height 60 mm": what a cure sets, in the sliders' order."""
    now, words = usual_sizes(exercise.part) | exercise.bench_values(), []
    for name, value in changes.items():
        if name not in now:
            words.append(_set(exercise.part, name, value, units))
        elif now[name] != value:
            label, kind = _label_and_kind(exercise.part, name, value)
            words.append(f"{label} from {value_words(kind, now[name], units)} to "
                         f"{value_words(kind, value, units)}")
    return ", ".join(words) or "nothing is changed"


def set_words(exercise, changes, units=METRIC):
    """Such as "feeder width 40 mm, feeder height 60 mm": the same without where the sliders stood before."""
    words = [_set(exercise.part, name, value, units) for name, value in changes.items()]
    return ", ".join(words) or "nothing is changed"


def range_words(slider, units=METRIC):
    """Such as "feeder width: now 0 mm, from 0 mm to 56 mm", or the names on a menu."""
    now = value_words(slider.kind, slider.value, units)
    if slider.kind == "choice":
        return f"{slider.label}: now {now}; {', '.join(slider.options)}"
    low, high = (value_words(slider.kind, each, units) for each in (slider.low, slider.high))
    return f"{slider.label}: now {now}, from {low} to {high}"


def _set(part, name, value, units):
    label, kind = _label_and_kind(part, name, value)
    return f"{label} {value_words(kind, value, units)}"


def _label_and_kind(part, name, value):
    for slider in (*sliders_of_part(part), *metal_sliders()):
        if slider.name == name:
            return slider.label, slider.kind
    if isinstance(part, OwnPart) and name != "mould_temp_c":  # where a cure puts something else on it
        return name.replace("_", " "), "choice" if isinstance(value, str) else "length"
    return "mould temperature", "temperature"
