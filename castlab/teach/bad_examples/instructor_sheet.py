"""What an instructor gets with an exercise: why it fails, what cures it, the marks, and how to cast it."""

import math

from castlab.field.diagnosis import CAUSES
from castlab.field.own_part import OwnPart
from castlab.field.parts import name_of_part
from castlab.field.section import middle_plane
from castlab.materials import flags
from castlab.rules.contraction import pattern_scale
from castlab.rules.filling import superheat
from castlab.teach.exercise.settings_in_words import change_words, settings_together, worth_telling
from castlab.teach.marking.mark_table import SCHEME
from castlab.teach.marking.model_answer import within
from castlab.teach.melt.moulding import overall_sizes
from castlab.teach.panels import cure_table
from castlab.teach.text.cautions import cautions_at
from castlab.teach.text.reader_units import BOTH

LOSS = ("weigh in", "more than that: the cup, the rest of the sprue, what stays in the pot and what is lost "
        "as dross come on top, together often a fifth (common practice)")
WORKING = ("cure", "setting", "all it sets, with its margin", "for students", "result", "how sure",
           "metal poured", "yield", "extra metal", "solid after", "drawbacks")
FAILING = ("what does not work", "best setting", "for students", "what is left", "why")
OF_BAD_ONE = "A casting that is bad on purpose is for cutting open: mark it, and let nobody use it."


def sheet_of(exercise, material, drawing):
    """What stands on the sheet, by the names that its template has for it.

    material   of `hand_out.prepare`      drawing   the bad casting with its result, as PNG
    """
    truth = material.truth
    allowed = [(change_words(exercise, dict(cure.changes), BOTH), BOTH.mass(cure.outcome.poured_kg),
                cure.catch) for cure in material.allowed]
    return {
        "page_title": f"Instructor sheet: {exercise.title}",
        "exercise": exercise,
        "drawing": drawing,
        "truth": truth,
        "how_sure": material.how_sure,
        "setting": _setting(exercise),
        "cures": _cures(exercise, material.cures),
        "model": _model(truth, allowed),
        "allowed": allowed,
        "scheme": _scheme(exercise),
        "saw": where_to_saw(exercise, truth),
        "pour": pour_rows(exercise, truth),
        "warnings": (*(f"{exercise.alloy}: {warning}." for warning in flags(exercise.alloy)), OF_BAD_ONE,
                     *cautions_at("instructor's sheet")),
    }


def _setting(exercise):
    return (f"{name_of_part(exercise.part)}, {exercise.alloy}, {exercise.mould}",
            *settings_together(exercise, worth_telling(exercise), BOTH),
            f"the pot holds {BOTH.mass(exercise.most_metal_kg)}",
            f"students may change: {', '.join(slider.label for slider in exercise.sliders())}")


def _cures(exercise, found):
    """Headings, rows and note of two tables: the cures that work, and those that do not."""
    working, failing = [], []
    for cure in found:
        kind, setting, *others = cure_table.row_of(cure, BOTH)
        row = kind, setting, "yes" if within(exercise, cure.changes) else "no", *others
        if cure.works:
            sets = change_words(exercise, dict(cure.margin or cure.changes), BOTH)
            working.append((*row[:2], sets, *row[2:]))
        else:
            failing.append((*row[:4], row[-1]))
    note = cure_table.NOTE.format(*(BOTH.length(cell, 2) for cell in cure_table.CELLS))
    return (WORKING, working, ""), (FAILING, failing, note)


def _model(truth, allowed):
    place, reason = next(iter(truth.blocks)), CAUSES[truth.outcome.cause]
    lines = [f"Place: in the {place} ({100 * truth.blocks[place]:.0f} % of all holes).", f"Reason: {reason}."]
    lines += [f"Near a limit, so this reason counts as well: {CAUSES[other]}."
              for other in truth.outcome.causes[1:]]
    if allowed:
        change, poured, _ = allowed[0]
        bad = BOTH.mass(truth.outcome.poured_kg)
        lines.append(f"Cure: {change}. It pours {poured}, the bad casting {bad}.")
    return lines


def _scheme(exercise):
    rows = [(name, f"{most:g}", SCHEME[name]) for name, most in exercise.marks.items() if most]
    return (*rows, ("sum", f"{exercise.most_marks:g}", ""))


def where_to_saw(exercise, truth):
    """Lines that say where the cut goes to lay the largest hole open, in sizes of the picture."""
    layout = exercise.design().setup().layout
    blocks = [body for body in layout.blocks if body.role == "casting"]
    name = next(iter(truth.blocks))
    along, up, deep = truth.outcome.holes[0].middle
    above = BOTH.length(up - min(body.low[1] for body in blocks), 2)
    if layout.is_round:
        cut = "Saw through the axis, from top to bottom: any cut through the axis shows the picture."
        place = f"{BOTH.length(math.hypot(along, deep), 2)} from the axis and {above} above the lowest face"
    elif isinstance(exercise.part, OwnPart):
        plane = middle_plane(layout) + truth.outcome.off_middle_m
        front = BOTH.length(max(body.high[2] for body in blocks) - plane, 2)
        left = BOTH.length(along - min(body.low[0] for body in blocks), 2)
        cut = f"Saw along the plane of the picture, upright, {front} behind its foremost point."
        place = f"{left} from the left end of the casting in the picture and {above} above its lowest point"
    else:
        off, half = truth.outcome.off_middle_m, 0.5 * layout.block(name).depth
        where = "the middle" if not off else f"{BOTH.length(abs(off), 2)} beside the middle"
        side, away = "one" if off else "either", BOTH.length(half - abs(off), 2 if off else 3)
        cut = (f"Saw along the plane of the picture, lengthwise through {where}: {away} from {side} side of "
               f"the {name}.")
        left = BOTH.length(along - min(body.low[0] for body in blocks), 2)
        place = f"{left} from the left end of the casting in the picture and {above} above its lowest face"
    return (cut, f"The middle of the largest hole lies in the {name}, {place}.",
            "Let it cool through first; clamp it; wear eye protection; no gloves near a turning blade.",
            "Sponge shows only on a ground face; a dye or a lens helps (common practice).")


def pour_rows(exercise, truth):
    """Pairs of name and words: what to melt, how hot, how large the pattern."""
    setup = exercise.design().setup()
    metal, scale = setup.alloy, pattern_scale(setup.alloy)
    low, high = metal.pour_range_c
    above = BOTH.temperature_difference(superheat(metal, setup.pour_temp_c))
    rows = [
        ("metal in the mould", BOTH.mass(truth.outcome.poured_kg)),
        LOSS,
        ("poured at", f"{BOTH.temperature(setup.pour_temp_c)}, {above} above the liquidus"),
        ("usual window", f"{BOTH.temperature(low)} to {BOTH.temperature(high)}"),
        ("mould", f"{setup.mould.name}, {BOTH.temperature(setup.mould_temp_c)}"),
        ("scale of the pattern", f"{scale:.4f} for the contraction of the solid"),
    ]
    for name, size in overall_sizes(setup.layout):
        finished = BOTH.length(size)
        rows.append((f"pattern, {name} over all", f"{BOTH.length(size * scale, 4)}; finished {finished}"))
    return (*rows, ("on the pattern", "draft and what is machined off come on top"))
