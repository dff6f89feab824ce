"""What an instructor gets with an exercise: why it fails, what cures it, the marks, and how to cast it."""

from castlab.field.diagnosis import CAUSES
from castlab.materials import flags
from castlab.rules.contraction import pattern_scale
from castlab.rules.filling import superheat
from castlab.teach.exercise.settings_in_words import change_words, setting_words
from castlab.teach.marking.mark_table import SCHEME
from castlab.teach.marking.model_answer import within
from castlab.teach.melt.pour_sheet import overall_sizes
from castlab.teach.panels import cure_table
from castlab.teach.text.cautions import CAUTIONS
from castlab.teach.text.document import Heading, Items, Picture, Table, Words
from castlab.teach.text.reader_units import BOTH

LIMITS = (
    "Computed without flow, gas, stress and movement of the mould; data of metals and moulds are known to "
    "10 to 20 %. Pour one before the class does, and trust that one more than this page."
)
HONESTY = (
    "The student's notebook holds the exercise and no answer. It locks place and reason once the result is "
    "seen, but nothing keeps a student from opening a fresh copy: it is made for learning, not for "
    "examinations."
)
ALONE = (
    "Each kind of cure, at its smallest setting that is sound; below, those that fail, and why. “For "
    "students” says whether their sliders allow it."
)
LOSS = ("weigh in", "more than that: the cup, the rest of the sprue, what stays in the pot and what is lost "
        "as dross come on top, together often a fifth (common practice)")


def sheet_of(exercise, material, picture):
    """The sheet as blocks of a page.

    material   of `hand_out.prepare`      picture   the bad casting with its result, as PNG
    """
    truth = material.truth
    return (
        Heading(f"Instructor sheet: {exercise.title}", 1),
        Words(f"Exercise {exercise.key}. Not for students: it says where and why."),
        Picture(picture, truth.sentence),
        Heading("Why it fails"),
        Words(truth.sentence),
        Items(_setting(exercise)),
        Heading("What each cure does"),
        *_cures(exercise, material.cures),
        Heading("A model answer"),
        *_model(exercise, material),
        Heading("Marking scheme"),
        _scheme(exercise),
        Words(HONESTY),
        Heading("Where to saw"),
        Items(where_to_saw(exercise, truth)),
        Heading("To cast the bad one for real"),
        Table(("what", "how much"), pour_rows(exercise, truth)),
        Items((*_of_metal(exercise), "A casting that is bad on purpose is for cutting open: mark it, and let "
               "nobody use it.", *CAUTIONS)),
        Words(LIMITS),
    )


def _setting(exercise):
    return (f"{exercise.part}, {exercise.alloy}, {exercise.mould}",
            *(setting_words(exercise, name, BOTH) for name in exercise.values),
            f"the pot holds {BOTH.mass(exercise.most_metal_kg)}",
            f"students may turn: {', '.join(slider.label for slider in exercise.sliders())}")


def _cures(exercise, found):
    """A table of the cures that work, and one of those that do not."""
    rows = [(cure.works, *cure_table.row_of(cure, BOTH)[:2], _for_students(exercise, cure),
             *cure_table.row_of(cure, BOTH)[2:]) for cure in found]
    working = tuple(tuple(row) for works, *row in rows if works)
    failing = tuple((*row[:4], row[-1]) for works, *row in rows if not works)
    note = cure_table.NOTE.format(*(BOTH.length(cell, 2) for cell in cure_table.CELLS))
    return (Words(ALONE), *(Table(_with_students(headings), part, words) for headings, part, words in (
        (cure_table.HEADINGS, working, ""), (cure_table.FAILING, failing, note)) if part))


def _for_students(exercise, cure):
    return "yes" if within(exercise, cure.changes) else "no"


def _with_students(headings):
    first, second, *others = headings
    return (first, second, "for students", *others)


def _model(exercise, material):
    truth = material.truth
    place, reason = next(iter(truth.blocks)), CAUSES[truth.outcome.cause]
    lines = [f"Place: in the {place} ({100 * truth.blocks[place]:.0f} % of all holes).", f"Reason: {reason}."]
    lines += [f"Near a limit, so this reason counts as well: {CAUSES[other]}."
              for other in truth.outcome.causes[1:]]
    if not material.allowed:
        return (Items(tuple(lines)), Words(
            "No cure was found that these sliders and this pot allow. Allow more sliders or a larger pot, or "
            "tell the class that nobody has found one: the lightest sound answer then sets the mark."))
    rows = tuple((change_words(exercise, dict(cure.changes), BOTH), BOTH.mass(cure.outcome.poured_kg),
                  cure.catch) for cure in material.allowed)
    lines.append(f"Cure: {rows[0][0]}. It pours {rows[0][1]}, the bad casting "
                 f"{BOTH.mass(truth.outcome.poured_kg)}.")
    return (Items(tuple(lines)), Words("All cures found with the students' sliders, the lightest first. A "
                                       "student may well find a lighter one; the desk counts it then."),
            Table(("cure", "metal poured", "and besides"), rows))


def _scheme(exercise):
    rows = tuple((name, f"{most:g}", SCHEME[name]) for name, most in exercise.marks.items())
    return Table(("point", "marks", "for what"), (*rows, ("sum", f"{exercise.most_marks:g}", "")))


def where_to_saw(exercise, truth):
    """Lines that say where the cut goes to lay the largest hole open, in sizes of the picture."""
    layout = exercise.design().setup().layout
    blocks = [body for body in layout.blocks if body.role == "casting"]
    name = next(iter(truth.blocks))
    along, up = truth.outcome.holes[0].middle[:2]
    above = BOTH.length(up - min(body.low[1] for body in blocks), 2)
    if layout.kind == "round":
        cut = "Saw through the axis, from top to bottom: any cut through the axis shows the picture."
        place = f"{BOTH.length(along, 2)} from the axis and {above} above the lowest face"
    else:
        half = BOTH.length(0.5 * layout.block(name).depth)
        cut = (f"Saw along the plane of the picture, lengthwise through the middle: {half} from either side "
               f"of the {name}.")
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


def _of_metal(exercise):
    return tuple(f"{exercise.alloy}: {warning}." for warning in flags(exercise.alloy))
