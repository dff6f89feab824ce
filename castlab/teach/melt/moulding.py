"""What the moulder needs: the pattern's size, and size and place of all that is moulded besides it."""

from castlab.field.faces import BESIDE
from castlab.field.forms import Disc, Prism
from castlab.materials import values
from castlab.rules.contraction import pattern_scale
from castlab.teach.text.reader_units import BOTH
from castlab.units import INCH_POUND, METRIC

PLACED = ("feeder", "chill", "gate", "core")  # first words of what needs a place; the others join these

WALLS = tuple(f"sleeve {side}" for side in BESIDE)  # round a square feeder: the first wall says it for all


def moulding_rows(setup):
    """Pairs of name and words: the pattern over all, and what of a `setup` is moulded besides it.

    Sizes are length, height and depth as the casting lies; those of what stands besides are sizes in the
    mould, without a pattern's allowance, and their places are measured on the casting.

    >>> from castlab import Setup, alloy, mould
    >>> from castlab.field import parts
    >>> fed = parts.eye_plate(feeder_width=0.03, feeder_height=0.04)
    >>> rows = dict(moulding_rows(Setup(fed, alloy("ZA-12"), mould("green sand"), 472.0)))
    >>> rows["pattern over all"].split(" mm")[0], rows["feeder"].split(" (")[0]
    ('161.6 × 40.39 × 40.39', '30 × 40 × 30 mm')
    """
    return (("pattern over all", _pattern(setup)), *besides(setup.layout))


def pattern_note(alloy):
    """What else is to be known of the pattern for an alloy, in words."""
    tables = "".join(f" Pattern-makers' tables say {100 * each.low:.1f} to {100 * each.high:.1f} %."
                     for each in values(alloy.name) if each.quantity == "pattern_allowance")
    return f"{tables} A trial casting says more. Draft and what is machined off come on top.".strip()


def besides(layout):
    """Pairs of name and words for all of a `layout` that is no part of the casting's own metal."""
    return tuple((block.name, f"{_size(block)}{_place(layout, block)}")
                 for block in layout.blocks if block.role != "casting" and block.name not in WALLS)


def overall_sizes(layout):
    """Name and size [m] of the casting over all, without feeder and gate."""
    blocks = [block for block in layout.blocks if block.role == "casting"]
    low = [min(axis) for axis in zip(*(block.low for block in blocks), strict=True)]
    high = [max(axis) for axis in zip(*(block.high for block in blocks), strict=True)]
    length, height, depth = (top - bottom for bottom, top in zip(low, high, strict=True))
    if layout.is_round:
        return (("diameter", length), ("height", height))
    return (("length", length), ("height", height), ("depth", depth))


def _pattern(setup):
    scale, sizes = pattern_scale(setup.alloy), overall_sizes(setup.layout)
    finished = _side_by_side([size for _, size in sizes])
    made = _side_by_side([size * scale for _, size in sizes], digits=4)
    return f"{made}; finished {finished}, times {scale:.4f}"


def _side_by_side(sizes, digits=3):
    """Such as "30 × 40 mm (1.18 × 1.57 in)"."""
    metric, inch = (" × ".join(units.length(size, digits).split()[0] for size in sizes)
                    for units in (METRIC, INCH_POUND))
    return f"{metric} mm ({inch} in)"


def _size(block):
    sizes = [top - low for low, top in zip(block.low, block.high, strict=True)]
    flat = block.form.flat if isinstance(block.form, Prism) else None
    if block.name == "sleeve" and flat is None:
        return f"{BOTH.length(min(sizes))} thick, {BOTH.length(sizes[1])} high, all round"
    if not isinstance(flat, Disc) or block.form.axis != 1:
        return _side_by_side(sizes)
    hole = f", {BOTH.length(2 * flat.inner)} inside" if flat.inner else ""
    return f"{BOTH.length(sizes[0])} across{hole}, {BOTH.length(sizes[1])} high"


def _place(layout, block):
    if block.name.split()[0] not in PLACED:
        return ""
    own = [each for each in layout.blocks if each.role == "casting"]
    left = min(each.low[0] for each in own)
    front = max(each.high[2] for each in own)
    x, _, z = (0.5 * (low + high) for low, high in zip(block.low, block.high, strict=True))
    across = "from the left end" if x >= left else "left of the left end"
    depth = "behind the front" if z <= front else "before the front"
    return f"; its middle {BOTH.length(abs(x - left))} {across}, {BOTH.length(abs(front - z))} {depth}"
