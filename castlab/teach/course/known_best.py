"""The mark to beat: the lightest sound casting that a search found on each bench, kept with its settings.

`castlab.teach.find_best` searches, and writes `castlab/data/known_best.json`.
"""

from dataclasses import dataclass

from castlab.materials import DATA, read_data
from castlab.teach.course.so_far import best_words

FILE = DATA / "known_best.json"
SAME = 1e-3  # castings that differ by a smaller share of their metal weigh the same, as it is shown


@dataclass(frozen=True)
class KnownBest:
    """All metal in the mould [kg], and where the sliders stand that were moved, SI."""

    mass_kg: float
    values: dict[str, float | str]


def known_best(lesson, key):
    """The KnownBest of a bench by its lesson's name and its own; None where no sound casting is known.

    >>> known_best("first_casting", "begin").mass_kg < 1.0, known_best("heavy_sections", "begin")
    (True, None)
    """
    kept = read_data("known_best")["lessons"].get(lesson, {}).get(key)
    return KnownBest(**kept) if kept else None


def to_beat(best, known, units):
    """What there is to beat on a bench, in words.

    best    the student's own lightest sound casting, a Best, or None
    known   the KnownBest of the bench, or None

    >>> from castlab.teach.course.record import Best
    >>> from castlab.units import METRIC
    >>> to_beat(Best(0.8771, {}, "", ""), KnownBest(0.851, {}), METRIC)
    'To beat, your lightest sound casting so far: 877 g of metal in all. The lightest known here: 851 g.'
    """
    if best is None:
        return f"To beat: a sound casting, {units.mass(known.mass_kg, 3)} of metal in all." if known else ""
    own = f"To beat, your lightest sound casting so far: {best_words(best, units)}."
    if known is None:
        return own
    if best.mass_kg < (1.0 - SAME) * known.mass_kg:
        return f"{own} That is lighter than any known here before: {units.mass(known.mass_kg, 3)}."
    if best.mass_kg <= (1.0 + SAME) * known.mass_kg:
        return f"{own} None lighter is known here."
    return f"{own} The lightest known here: {units.mass(known.mass_kg, 3)}."
