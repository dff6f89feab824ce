"""A wish for a bad casting, and what must never be proposed for it because it cannot be poured safely."""

from dataclasses import dataclass, replace
from functools import cached_property

from castlab.errors import InputError, require_between, require_known
from castlab.field import grid_lines
from castlab.field.cure_kinds import usual_sizes
from castlab.field.grid import build
from castlab.field.outcome import FULL
from castlab.field.own_part import OwnPart
from castlab.field.parts import layout_of, require_part
from castlab.field.shrinkage import DEFECTS, SOUND_BELOW
from castlab.materials import alloy_names, mould_names
from castlab.rules.filling import judge_superheat, thinnest_section
from castlab.rules.gating import fill_time, fill_time_from_below
from castlab.teach.sliders.slider import SI_UNITS, on_step
from castlab.teach.sliders.to_design import design_of, sliders_for
from castlab.units import INCH_POUND, METRIC, celsius, kelvins, kilograms, metres, phrase, seconds

ROBUST_K = 15.0  # the pour may be so much colder or hotter than asked for
FRICTION = 0.8  # discharge coefficient of sprue and gate: 0.7 to 0.9 for real ones (common practice)
PAST_SOUND = 2.0  # a hole that counts as one is so many times what a sound casting may have
CAST, POT, FURNACE, SECTION, WINDOW = "casting", "pot", "furnace", "least section", "fill window"


@dataclass(frozen=True)
class WantedDefect:
    """Which hole a casting shall have, where, how large, and what may be done to get it.

    part, alloy, mould    by their names; the part may be an OwnPart
    kind, block           one of castlab.field.shrinkage.DEFECTS, in one of the part's blocks
    size_m3, share        least size [m3], and as a share of the casting; what is larger counts
    turn                  names of the sliders that may be turned; none: all of them
    ranges                rows (name, low, high): narrower ranges of some of these
    stay                  pairs (name, value): where sliders stand at first, in metres, words and degrees C
    most_metal_kg         all the metal that the pot holds [kg]
    hottest_pour_c        what the furnace can give at the pour [deg C]
    least_section_m       thinnest section that the shop dares to cast [m]

    Raises InputError where something is not known, or out of range.
    """

    part: str | OwnPart
    alloy: str
    mould: str
    kind: str
    block: str
    size_m3: float = 0.0
    share: float = 0.0
    turn: tuple[str, ...] = ()
    ranges: tuple[tuple[str, float, float], ...] = ()
    stay: tuple[tuple[str, float | str], ...] = ()
    most_metal_kg: float = 2.0
    hottest_pour_c: float = 1150.0
    least_section_m: float = 5e-3

    def __post_init__(self):
        require_part(self.part)
        require_known("alloy", self.alloy, alloy_names())
        require_known("mould", self.mould, mould_names())
        require_known("kind of defect", self.kind, DEFECTS)
        require_known("block", self.block, blocks_of(self.part))
        require_between("size of the defect", self.size_m3, 0.0, 1e-3, "m3")
        require_between("share of the casting", self.share, 0.0, 0.2)
        require_between("most metal", self.most_metal_kg, 0.01, 1000.0, "kg")
        require_between("hottest pour", self.hottest_pour_c, 50.0, 2500.0, "deg C")
        require_between("least section", self.least_section_m, 1e-3, 0.1, "m")
        self.sliders  # looks at names and ranges

    @cached_property
    def all_sliders(self):
        """Every slider of the part but alloy and mould, standing where it stays."""
        sliders = bench_sliders(self.part, self.alloy, self.mould, **dict(self.stay))
        return tuple(slider for slider in sliders if slider.name not in ("alloy", "mould"))

    @cached_property
    def sliders(self):
        """The sliders that the search may change, each with its range, standing where it begins."""
        known = {slider.name: slider for slider in self.all_sliders}
        chosen = self.turn or tuple(known)
        for name in self.turn:
            require_known("slider", name, known)
        ranges = {name: ends for name, *ends in self.ranges}
        for name in ranges:
            require_known("slider with a range", name, chosen)
        return tuple(narrowed(known[name], *ranges.get(name, ())) for name in known if name in chosen)

    @cached_property
    def start(self):
        """Where everything stands before the search: {name: value} of all sliders."""
        first = {slider.name: slider.value for slider in (*self.all_sliders, *self.sliders)}
        return {"alloy": self.alloy, "mould": self.mould} | first

    def design(self, values):
        """The design with the sliders at these values."""
        return design_of(self.part, values)

    def wanted_m3(self, casting_m3):
        """How large the hole must be in a casting of that volume [m3]; never so small that it is sound."""
        return max(self.size_m3, self.share * casting_m3, PAST_SOUND * SOUND_BELOW * casting_m3)


def bench_sliders(part, metal, sand, **first):
    """All sliders of a part; the gate goes no further than the section that it joins as drawn."""
    sliders = sliders_for(part, metal=metal, sand=sand, **first)
    if isinstance(part, OwnPart):
        return sliders
    section = next(slider.value for slider in sliders_for(part) if slider.name in ("thickness", "thin"))
    return [narrowed(slider, slider.low, max(section, slider.value)) if slider.name == "gate_thickness"
            else slider for slider in sliders]


def blocks_of(part):
    """Names of the bodies that a part is made of."""
    return tuple(block.name for block in layout_of(part).blocks if block.role == "casting")


def narrowed(slider, low=None, high=None):
    """A slider with a narrower range, its ends on its steps, standing in that range."""
    if low is None:
        return slider
    if slider.kind == "choice":
        raise InputError(f"range of {slider.label}", (low, high), "a menu has no range")
    unit = SI_UNITS[slider.kind]
    require_between(f"range of {slider.label}", low, slider.low, slider.high, unit)
    require_between(f"range of {slider.label}", high, low, slider.high, unit)
    low, high = on_step(slider, low), on_step(slider, high)
    return replace(slider, low=low, high=high, value=min(max(slider.value, low), high))


# ---- what is never proposed


def broken(wish, values):
    """The limits that a setting breaks: {limit: why, a Phrase}; empty when it can be poured.

    Looked at without solving anything: whether it can be cast at all, metal in the mould against the pot,
    pouring temperature against the furnace, thinnest section against the least, and the fill window.
    """
    try:
        setup = wish.design(values).setup()
        grid = build(setup.layout, FULL.cell_in(setup.layout))
    except InputError as error:
        return {CAST: error.phrase}
    found = {}
    metal_kg = setup.alloy.density_solid * float(grid.metal_volume.sum())
    if metal_kg > wish.most_metal_kg:
        found[POT] = phrase("it needs {} of metal, the pot holds {}", kilograms(metal_kg, 3),
                            kilograms(wish.most_metal_kg, 3))
    if setup.pour_temp_c > wish.hottest_pour_c:
        found[FURNACE] = phrase("it is poured at {}, the furnace gives {}", celsius(setup.pour_temp_c),
                                celsius(wish.hottest_pour_c))
    section = thinnest(wish, values, setup.layout)
    if section < wish.least_section_m - 1e-9:
        found[SECTION] = phrase("its thinnest section is {}, the least allowed is {}", metres(section),
                                metres(wish.least_section_m))
    if why := unfilled(setup, grid, section):
        found[WINDOW] = why
    return found


def thinnest(wish, values, layout):
    """The thinnest section of casting, feeder or neck [m]; of a plate that grows, its thin end."""
    thin = grid_lines.thinnest_section(layout, ("casting", "feeder"))
    if isinstance(wish.part, OwnPart):
        return thin
    own = usual_sizes(wish.part) | values
    return min(thin, own.get("thickness", own.get("thin")))


def unfilled(setup, grid, section):
    """Why the mould may not fill: a Phrase; None inside the fill window.

    The superheat must be usual for the alloy, and even a pour that is 15 K colder must run in the thinnest
    section until the mould is full.
    """
    usual = judge_superheat(setup.alloy, setup.pour_temp_c)
    if usual != "usual":
        return phrase("{} is too {} for {}, which is poured at {} to {}", celsius(setup.pour_temp_c), usual,
                      setup.alloy.name, *map(celsius, setup.alloy.pour_range_c))
    around = replace(setup.mould, start_temp_c=setup.mould_temp_c)
    needed = max(setup.pour_time_s, filling_takes(setup.layout, grid))
    coldest = setup.pour_temp_c - ROBUST_K
    if coldest < setup.alloy.liquidus_c:
        return phrase("a pour {} colder would already freeze", kelvins(ROBUST_K))
    fills = thinnest_section(needed, 1.0, setup.alloy, around, coldest)  # 1 m/s: only the time counts here
    if section < fills:
        digits = next((digits for digits in (2, 3, 4) if told_apart(section, fills, digits)), 5)
        return phrase("a section of {} may stop running before the mould is full, after {}; at that "
                      "temperature it fills from {} on",
                      metres(section, digits), seconds(needed), metres(fills, digits))
    return None


def told_apart(first, second, digits):
    """Whether two lengths [m] still differ, said with so many digits in either unit.

    >>> told_apart(0.0060, 0.00604, 2), told_apart(0.0060, 0.00604, 3)
    (False, True)
    """
    return all(units.length(first, digits) != units.length(second, digits) for units in (METRIC, INCH_POUND))


def filling_takes(layout, grid):
    """How long the gate takes to fill the casting, from Bernoulli's equation [s]."""
    gate, sprue = layout.block("gate"), layout.block("sprue")
    middle = 0.5 * (gate.low[1] + gate.high[1])
    from_gate = [abs(sprue.middle[axis] - gate.middle[axis]) for axis in range(3)]
    across = 2 if from_gate[0] > from_gate[2] else 0
    area = (gate.high[1] - gate.low[1]) * (gate.high[across] - gate.low[across])
    head = sprue.high[1] - middle
    top = max(block.high[1] for block in layout.blocks if block.role == "casting")
    volume = float(grid.metal_volume[grid.is_role("casting")].sum())
    if top - middle < 1e-6:
        return fill_time(volume, area, head, FRICTION)
    return fill_time_from_below(volume, top - middle, area, head, FRICTION)
