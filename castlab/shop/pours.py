"""The shop's pours held against what was predicted of them: by how much times and holes are off."""

from dataclasses import dataclass

from castlab.errors import InputError
from castlab.materials import values
from castlab.rules.pour_bias import HOLE_ERROR, TIME_ERROR, Bias, bias_of
from castlab.rules.weighing import closed_holes, water_density
from castlab.shop.entries import HOLES, Entry

SAND, WAX, WEIGHED, KNOWN, NONE = HOLES
# kg/m3: dry silica sand let run in and struck off, and candle wax, both from memory; a shop that weighs a
# known volume of its own sand knows better, and writes down the volume.
FILLED_WITH = {SAND: 1600.0, WAX: 900.0}


@dataclass(frozen=True, eq=False)
class Compared:
    """One thing of several pours: entries, what was predicted and measured of each [SI], and the `Bias`."""

    entries: tuple[Entry, ...]
    predicted: tuple[float, ...]
    measured: tuple[float, ...]
    bias: Bias


def hole_of(entry):
    """Volume of the hole that was measured in a pour [m3]; None where none was measured.

    Parameters: `entry`, a pour of the book. Sand and wax count by `FILLED_WITH`; a casting weighed in air and
    in water by the density of its alloy in castlab/data. Raises InputError where a weight is missing.

    >>> from castlab.shop.entries import entry_of
    >>> pour = {"part": "eye plate", "alloy": "ZA-12", "hole_by": SAND, "filling": 0.0048}
    >>> round(1e6 * hole_of(entry_of("pours", pour)), 3)
    3.0
    """
    by = entry["hole_by"]
    if by in FILLED_WITH:
        return _needed(entry, "filling", "sand or wax in the hole") / FILLED_WITH[by]
    if by == WEIGHED:
        sound = next(each.value for each in values(entry["alloy"]) if each.quantity == "density_20c")
        weights = (_needed(entry, name, words) for name, words in (
            ("in_air", "casting in air"), ("in_water", "casting hung in water")))
        return max(closed_holes(*weights, sound, water_density())[0], 0.0)
    if by == KNOWN:
        return _needed(entry, "hole", "volume of the hole")
    return 0.0 if by == NONE else None


def times_of(book, furnace=None):
    """When all was liquid, planned and measured: a `Compared`; None where no pour has both.

    Parameters: `book`; `furnace`, the furnace that the plans were made for, as its menu calls it, or all.
    """
    def pair_of(each):
        other = furnace is not None and (each["melt"] or {}).get("furnace", furnace) != furnace
        return (None, None) if other else (each["planned_liquid"], each["liquid"])

    return _compared(book, pair_of, TIME_ERROR)


def holes_of(book):
    """Holes, predicted and measured: a `Compared`; None where no pour has both."""
    return _compared(book, lambda each: (each["planned_hole"], hole_of(each)), HOLE_ERROR)


def _compared(book, pair_of, error):
    rows = []
    for entry in book.of("pours"):
        try:
            pair = pair_of(entry)
        except InputError:
            continue  # the panel says of that pour what is missing
        if None not in pair:
            rows.append((entry, *pair))
    if not rows or not any(predicted for _, predicted, _ in rows):
        return None
    entries, predicted, measured = zip(*rows, strict=True)
    return Compared(entries, predicted, measured, bias_of(predicted, measured, error))


def _needed(entry, name, words):
    value = entry[name]
    if value is None:
        raise InputError(words, "missing", "it must be filled in for a hole measured so")
    return value
