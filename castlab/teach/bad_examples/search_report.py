"""What a search for a bad example found, in words."""

from castlab.field.diagnosis import CAUSES
from castlab.field.holes import name_of
from castlab.teach.bad_examples.wanted_defect import CAST, FURNACE, POT, ROBUST_K, SECTION, WINDOW
from castlab.teach.sliders.slider import words_of
from castlab.units import said

LIMITS = {
    CAST: "Nothing of this can be cast",
    POT: "The pot stands in the way",
    FURNACE: "The furnace stands in the way",
    SECTION: "The least section stands in the way",
    WINDOW: "The fill window stands in the way",
}


def found_words(wish, found, units):
    """What came out of a search: met or not, how surely, what moved, what stands in the way."""
    if found.met:
        start = f"Met: {hole_words(wish, found.looked, units)}."
        proof, moved = proof_words(wish, found.proof, units), moved_words(wish, found.values, units)
        return f"{start} {proof} {moved}"
    parts = [f"Not met: {wished_words(wish, found.looked, units)}."]
    if found.looked is not None:
        parts.append(f"What comes closest is {hole_words(wish, found.looked, units)}.")
        parts.append(proof_words(wish, found.proof, units) if found.proof else "")
        parts.append(moved_words(wish, found.values, units))
    return " ".join(part for part in [*parts, in_the_way_words(wish, found, units)] if part)


def wished_words(wish, looked, units):
    """The wish itself, such as "a sink of 4.0 cm3 or more in the boss"."""
    if looked is None or not looked.casting_m3:
        size = units.volume(wish.size_m3) if wish.size_m3 else f"{100 * wish.share:.2g} % of the casting"
    else:
        size = units.volume(wish.wanted_m3(looked.casting_m3))
    return f"{a_hole(wish.kind)} of {size} or more in the {wish.block}"


def hole_words(wish, looked, units):
    """The wished hole as it came out, or the largest one where that is another."""
    if looked.refused:
        return f"a casting that cannot be poured ({said(looked.refused, units)})"
    if not looked.holes:
        return "a sound casting"
    size = looked.size(wish.kind, wish.block)
    kind, block, largest = looked.kind, looked.block, looked.holes[0].volume_m3
    if not size:
        return f"{a_hole(kind)} of {units.volume(largest)} in the {block} instead"
    words = f"{a_hole(wish.kind)} of {units.volume(size)} in the {wish.block}"
    if not looked.is_largest(wish.kind, wish.block):
        return f"{words}, beside a larger {name_of(kind)} of {units.volume(largest)} in the {block}"
    return words


def a_hole(kind):
    """Its name with the article, where it has one."""
    return name_of(kind) if kind == "sponge" else f"a {name_of(kind)}"


def proof_words(wish, proof, units):
    """How surely it comes out."""
    sizes = [looked.size(wish.kind, wish.block) for looked in proof.eight]
    words = (f"It is there in {proof.held} of 8 pours across the bands of the data and "
             f"{units.temperature_difference(ROBUST_K)} colder or hotter at the pour, "
             f"{units.volume(min(sizes))} to {units.volume(max(sizes))}")
    if proof.holds:
        fine = units.volume(min(looked.size(wish.kind, wish.block) for looked in proof.fine))
        why = "; or: ".join(CAUSES[cause] for cause in proof.usual.causes)
        return f"{words}, and on a grid twice as fine ({fine} or more): robust. Why: {why}."
    if proof.fine:
        return f"{words}, but not on a grid twice as fine: not robust."
    if proof.held == len(proof.eight):
        return f"{words}; but the pour as it is meant gives less than was wished."
    return f"{words}: not robust."


def moved_words(wish, values, units):
    """Which sliders the search moved, and to where."""
    start = wish.start
    moved = [f"{slider.label} {words_of(slider, values[slider.name], units)} (was "
             f"{words_of(slider, start[slider.name], units)})"
             for slider in wish.all_sliders if values[slider.name] != start[slider.name]]
    return f"Moved: {'; '.join(moved)}." if moved else "Nothing had to be moved."


def in_the_way_words(wish, found, units):
    """Which limits stand in the way; where none does, that the ranges of the sliders do."""
    if found.in_the_way:
        return " ".join(f"{LIMITS[limit]}: {said(why, units)}." for limit, why in found.in_the_way.items())
    ends = [slider.label for slider in wish.sliders if slider.kind != "choice"
            and found.values.get(slider.name) in (slider.low, slider.high)
            and found.values[slider.name] != wish.start[slider.name]]
    if ends:
        return ("No pot, furnace or section stands in the way, but the ranges of the sliders: at an end of "
                f"its range stands {', '.join(ends)}.")
    return ("No pot, furnace or section stands in the way: within the ranges of these sliders, this alloy in "
            "this mould gave no more. Wish it smaller or elsewhere, or let the search turn more sliders.")

