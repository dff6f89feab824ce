"""A part of one's own in words: how it lies, what it weighs when poured, its hot spots."""

from castlab.field.holes import name_of, the
from castlab.field.placed import is_place, is_usual
from castlab.field.x_ray import SEEN_SHARE
from castlab.materials import flags
from castlab.teach.own_part.by_rule import modulus_by_time
from castlab.teach.panels.cure_table import CELLS, FAILING, HEADINGS, NONE_WORKS, NOTE, row_of, value_in_words
from castlab.teach.text import markup

FED = 1e-4  # of the casting's volume; a spot that lacks less is fed


def as_it_lies(part, units):
    """How long, high and wide a `part` (OwnPart) is as it lies in the mould.

    >>> from castlab.field.example_parts import door_handle
    >>> from castlab.units import METRIC
    >>> as_it_lies(door_handle(), METRIC)
    'door handle: 140 mm long, 26 mm high, 30 mm wide as it lies.'
    """
    length, height, width = (units.length(high - low) for low, high in zip(*part.extent, strict=True))
    return f"{part.name}: {length} long, {height} high, {width} wide as it lies."


def numbers_of(account, units):
    """Pairs of name and words about a poured part: times, metal and holes of an `account` (Shrinkage)."""
    run, metal = account.run, account.run.setup.alloy
    casting = units.mass(metal.density_solid * account.casting_m3)
    poured = units.mass(metal.density_solid * float(run.grid.metal_volume.sum()))
    return (
        ("casting solid", units.time(account.casting_froze_s)),
        ("casting", f"{units.volume(account.casting_m3, 3)}, {casting}"),
        ("holes in it", units.volume(account.defect_m3)),
        ("metal to pour", poured),
        *((metal.name, warning) for warning in flags(metal.name)),
    )


def spot_words(spot, account, units):
    """A hot spot of an `account` (Shrinkage): where, when, how thick, and what it lacks."""
    setup = account.run.setup
    by_time = modulus_by_time(spot.froze_s, setup.alloy, setup.mould, setup.pour_temp_c)
    modulus = f"modulus {units.length(spot.modulus_m, 2)} by its ball"
    modulus += f", {units.length(by_time, 2)} by its time" if by_time else ""
    lacks = f"lacks {units.volume(spot.lacks_m3)}" if spot.lacks_m3 > FED * account.casting_m3 else "fed"
    return (
        f"{spot.block} at {place_words(spot.place, units)}: solid after {units.time(spot.froze_s)}, "
        f"ball of {units.length(spot.ball_m, 2)}, {modulus}; {lacks}"
    )


def place_words(place, units):
    """A place [m] as the three sections name it.

    >>> from castlab.units import METRIC
    >>> place_words((0.05, -0.001, 0.0), METRIC)
    'x 50 mm, y -1 mm, z 0 mm'
    """
    return ", ".join(f"{axis} {units.length(at, 2)}" for axis, at in zip("xyz", place, strict=True))


def hole_words(hollow, units):
    """A hole (Hollow): what it is, in which body, how large, and where."""
    volume = units.volume(hollow.volume_m3)
    size = f"{hollow.images} alike, together {volume}, one of them" if hollow.images > 1 else volume
    return f"{name_of(hollow.kind)} in {the(hollow.block)}: {size} at {place_words(hollow.middle, units)}"


FILM_SIDES = (("from the right", "zy"), ("from above", "xz"), ("from the front", "xy"))  # along x, y, z


def film_words(shadows, units):
    """What X-ray films of a casting would show: a sentence for each of its three `shadows`."""
    said = [
        f"A film shows a hole that takes {100 * SEEN_SHARE:.0f} % or more of the metal in its way (common "
        "practice)."
    ]
    for shadow in shadows:
        (first, second), holes, metal = shadow.darkest
        side, (one, two) = FILM_SIDES[shadow.axis]
        first, second = (second, first) if shadow.axis == 0 else (first, second)
        if not shadow.seen:
            said.append(f"{side.capitalize()} it shows none.")
        else:
            said.append(
                f"{side.capitalize()} most is missing at {one} {units.length(first, 2)}, {two} "
                f"{units.length(second, 2)}: {units.length(holes, 2)} of {units.length(metal, 2)}, "
                f"{100 * holes / metal:.0f} %."
            )
    return " ".join(said)


def cure_tables(cures, units):
    """Two tables of `cures` (Cures) as HTML: those that work, with all that each sets, and the others."""
    rows = [(cure, row_of(cure, units)) for cure in cures]
    working = [(*row[:2], _sets(cure, units), *row[2:]) for cure, row in rows if cure.works]
    failing = [(*row[:3], row[-1]) for cure, row in rows if not cure.works]
    note = NOTE.format(*(units.length(cell, 2) for cell in CELLS))
    first = markup.table(HEADINGS, working) if working else markup.paragraph(NONE_WORKS)
    return markup.as_wide_as_it_needs(first + markup.table(FAILING, failing, note))


def _sets(cure, units):
    """Sizes that a cure sets, with its margin where it has one; where a thing stands says its name."""
    return ", ".join(f"{name.replace('_', ' ')} {value_in_words(value, units)}"
                     for name, value in cure.margin or cure.changes
                     if not is_place(name) and not is_usual(name, value)) or "-"
