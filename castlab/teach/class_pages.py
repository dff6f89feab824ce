"""The class set for those who teach: blanks to print, what is computed, and times that a class measured."""

from pathlib import Path

import ipywidgets as widgets
import numpy as np

from castlab.errors import require_known, require_positive
from castlab.materials import alloy, read_data
from castlab.rules.freezing import constant_from_trial, freezing_time
from castlab.teach.text import markup, pages
from castlab.teach.text.cautions import cautions_at
from castlab.teach.text.reader_units import BOTH
from castlab.teach.trust import check_pictures
from castlab.teach.trust.checks import Check
from castlab.teach.trust.class_set import by_field, by_rule, class_set, setup_of
from castlab.teach.work.shown import Shown, button
from castlab.units import METRIC

FILE = "class_set.html"
AXES_MM, AXES_S = (6.0, 30.0), (20.0, 3000.0)
STEPS = (
    "Choose: two or three castings of one volume for an evening, or one shape in all volumes. The small ones "
    "are enough; the large ones need a large pot.",
    "Work out volume, surface and modulus of yours, in cm3, cm2 and mm, and write down in which order you "
    "expect them to be solid. Say why.",
    "Whoever pours them: one gate of 6 mm, thin beside the casting; no feeder, or it is part of the modulus. "
    "A thermocouple in a sheath in the middle, put in dry and before the mould is closed.",
    "Time from the end of the pour to the end of the standstill, or to where cooling takes up speed again.",
    "Draw time over modulus. On these axes a rule that goes with the square is a straight line, as the dots.",
    "Which casting lies off the line, and why?",
)


def expected(metal="ZA-12", sand="green sand"):
    """The twenty by hand rule and field behind a button; `metal` and `sand` by name."""
    pours = [(casting, setup_of(casting, metal, sand)) for casting in class_set()]
    return check_pictures.LongCheck(by_field, pours, lambda found: against_rule(found, metal, sand),
                                    "Compute the twenty castings (about half a minute)")


def against_rule(found, metal, sand):
    """Rule and field beside each other: a Check. found: the field's time [s] of each, in the set's order."""
    castings = class_set()
    rule = [by_rule(each, setup_of(each, metal, sand)) for each in castings]
    rows = tuple((each.name, BOTH.length(each.modulus, 3), METRIC.time(hand), METRIC.time(time),
                  f"{100.0 * (hand / time - 1.0):+.0f} %")
                 for each, hand, time in zip(castings, rule, found, strict=True))
    moduli = [each.modulus for each in castings]
    power = float(np.polyfit(np.log(moduli), np.log(found), 1)[0])
    worst = max(abs(hand / time - 1.0) for hand, time in zip(rule, found, strict=True))
    return Check(
        f"Twenty castings of {metal} in {sand}", ("casting", "modulus", "rule", "field", "rule off by"), rows,
        f"In the field the time grows with the power {power:.1f} of the modulus over all twenty; the rule, "
        f"which has 2 for one shape, is off by up to {100.0 * worst:.0f} %.",
        {"power": power, "worst": worst},
        lambda axes: check_pictures.draw_class_set(axes, castings, {"field": found}, (AXES_MM, AXES_S)))


def against_measured(measured, reference):
    """Times that a class measured, beside what the rule makes of one of them: a Check.

    measured    {name of a casting: time [s]}, names as on the blanks
    reference   the name of the one from which the constant is taken

    Raises InputError for a name that is not in the set or was not measured, and for a time that cannot be.
    """
    by_name = {each.name: each for each in class_set()}
    for name, time in measured.items():
        require_known("casting", name, by_name)
        require_positive(f"time of the {name}", time, "s")
    require_known("reference", reference, measured)
    constant = constant_from_trial(measured[reference], by_name[reference].modulus)
    castings = [by_name[name] for name in measured]
    rule = [freezing_time(each.modulus, constant) for each in castings]
    times = list(measured.values())
    rows = tuple((each.name, BOTH.length(each.modulus, 3), METRIC.time(hand), METRIC.time(time),
                  f"{100.0 * (hand / time - 1.0):+.0f} %")
                 for each, hand, time in zip(castings, rule, times, strict=True))
    return Check(
        "What the class measured", ("casting", "modulus", f"rule, from the {reference}", "measured",
                                    "rule off by"), rows,
        f"By the {reference} the constant of this sand and metal is {constant / 6e5:.2f} min/cm2.",
        {"constant": constant},
        lambda axes: check_pictures.draw_class_set(axes, castings, {"measured": times}, (AXES_MM, AXES_S)))


def print_by_rule(metal="ZA-12", sand="green sand"):
    """The set in the order in which the hand rule has it solid, with moduli and times."""
    castings = {each: by_rule(each, setup_of(each, metal, sand)) for each in class_set()}
    for place, (each, time) in enumerate(sorted(castings.items(), key=lambda row: row[1]), start=1):
        size = BOTH.length(each.modulus, 3)
        print(f"{place}. {each.name}: modulus {size}, by the rule {METRIC.time(time)}")


class Blanks(Shown):
    """The blanks in a notebook, and a button that writes them; `metal` by name, `folder` to write into."""

    def __init__(self, metal="ZA-12", folder="."):
        self._metal, self._folder = metal, folder
        self._said = widgets.HTML()
        self.button = button(f"Save the blanks for {metal}", lambda _: self._save())
        self.widget = widgets.VBox([self.button, self._said, widgets.HTML(blanks(metal))])

    def _save(self):
        try:
            path = write_blanks(self._metal, self._folder)
            words = f"Saved as {path}: open it in a browser and print it."
        except OSError as error:
            words = f"Not saved: {error.strerror}."
        self._said.value = markup.paragraph(words)


def blanks(metal="ZA-12"):
    """The blanks for a class as a piece of HTML; `metal`, by name, is what it will pour."""
    density = alloy(metal).liquid_density(0.5 * sum(alloy(metal).pour_range_c))
    rows = [(each.name, " x ".join(f"{1e3 * size:.4g}" for size in each.sizes),
             BOTH.mass(density * each.volume), *5 * ("",)) for each in class_set()]
    return pages.to_html(
        "class_set.html", page_title="Twenty plain castings: when is each solid?",
        source=f"Sizes: {read_data('class_set')['source']}.", cautions=cautions_at("class set"),
        metal_words=f"The masses are those of {metal} in the casting alone; weigh in a fifth more for sprue "
                    "and pot (common practice). No class begins with the large ones.",
        steps=STEPS, rows=rows,
        headings=("casting", "sizes, mm", "metal", "volume", "surface", "modulus", "expected place",
                  "measured, s"),
        drawing_words="Mark each of yours; what was not poured may be marked by the rule, as a ring.",
        paper=check_pictures.png(
            lambda axes: check_pictures.draw_class_set(axes, (), {}, (AXES_MM, AXES_S)), "time over modulus"))


def write_blanks(metal="ZA-12", folder="."):
    """Write the blanks into a folder as class_set.html, to be printed from a browser; its path.

    An older file of that name is replaced: nothing is filled in on it. Raises OSError where it cannot be
    written.
    """
    path = Path(folder) / FILE
    path.write_text(pages.whole_page("Twenty plain castings", blanks(metal)), encoding="utf-8")
    return path
