"""What is moulded besides the pattern, with size and place: feeder, neck, gate, sprue, chill, sleeve."""

from castlab.field.forms import Disc, Prism
from castlab.teach.text.reader_units import BOTH

PLACED = ("feeder", "chill", "gate")  # first words of what needs a place; the others join these


def moulding_sizes(layout):
    """Pairs of name and words for all of a `layout` that is moulded besides the casting.

    Sizes are those in the mould, without a pattern's allowance; places are measured on the casting as it
    lies.

    >>> from castlab.field import parts
    >>> dict(moulding_sizes(parts.eye_plate(feeder_width=0.03, feeder_height=0.04)))["feeder"]
    '30 mm (1.18 in) long, 40 mm (1.57 in) high, 30 mm (1.18 in) deep'
    """
    rows = []
    for block in layout.blocks:
        if block.role not in ("casting", "core"):
            rows.append((block.name, _size(block)))
            if block.name.split()[0] in PLACED:
                rows.append(("its middle", _place(layout, block)))
    return tuple(rows)


def _size(block):
    long, high, deep = (BOTH.length(top - low, 3) for low, top in zip(block.low, block.high, strict=True))
    flat = block.form.flat if isinstance(block.form, Prism) else None
    if not isinstance(flat, Disc) or block.form.axis != 1:
        return f"{long} long, {high} high, {deep} deep"
    hole = f", {BOTH.length(2 * flat.inner, 3)} inside" if flat.inner else ""
    return f"{long} across{hole}, {high} high"


def _place(layout, block):
    own = [each for each in layout.blocks if each.role == "casting"]
    left = min(each.low[0] for each in own)
    front = max(each.high[2] for each in own)
    x, _, z = (0.5 * (low + high) for low, high in zip(block.low, block.high, strict=True))
    across = "from the left end" if x >= left else "left of the left end"
    depth = "behind the front" if z <= front else "before the front"
    return f"{BOTH.length(abs(x - left), 3)} {across}, {BOTH.length(abs(front - z), 3)} {depth}"
