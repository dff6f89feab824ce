"""Four plain shapes of one modulus in sand: when each is solid by the hand rule, and in the computed field.

The two share no code: the rule is one line of algebra, the field follows heat from cell to cell.
"""

import itertools
from dataclasses import dataclass, replace

from castlab.errors import InputError
from castlab.field import shapes
from castlab.field.freeze import freeze
from castlab.field.layout import Setup
from castlab.materials import alloy, mould
from castlab.rules import modulus as moduli
from castlab.rules.die import freezing_time_in_die
from castlab.rules.freezing import freezing_time_in_sand
from castlab.units import per_cent

# Name: what makes its layout, its thickness or diameter in moduli, and its name in the rule.
SHAPES = {
    "plate": (shapes.plate, 1.0 / moduli.plate(1.0), "plate"),
    "bar": (shapes.bar, 1.0 / moduli.bar(1.0, 1.0), "square bar"),
    "cylinder": (shapes.rod, 1.0 / moduli.rod(1.0), "bar"),
    "ball": (shapes.ball, 1.0 / moduli.ball(1.0), "ball"),
}
ALLOYS = ("ZA-12", "A356", "Al-12Si", "tin bronze", "fine silver")
MODULUS_M = 10e-3
CELLS_A_MODULUS = 10
CLOSE = 0.05  # a rule that is off by less needs no reason


@dataclass(frozen=True)
class Pair:
    """Freezing time of one shape in one alloy: by rule and in the field [s]."""

    alloy: str
    shape: str
    rule_s: float
    field_s: float

    @property
    def rule_over_field(self):
        """How many times as long it takes by rule as in the field."""
        return self.rule_s / self.field_s


def layout_of(shape, modulus):
    """The layout of a shape with that modulus [m].

    >>> layout_of("ball", 0.010).block("ball").high
    (0.03, 0.03, 0.03)
    """
    make, size, _ = SHAPES[shape]
    return make(size * modulus)


def by_rule(shape, modulus, metal, sand, pour_temp_c):
    """The rule's time [s]; the metal's surface stays at the solidus, heat spreads round bar and ball."""
    return freezing_time_in_sand(modulus, metal, sand, pour_temp_c, SHAPES[shape][2], metal.solidus_c)


def by_field(shape, modulus, metal, sand, pour_temp_c, cells_a_modulus=CELLS_A_MODULUS):
    """When the last metal is solid in the field [s]."""
    setup = Setup(layout_of(shape, modulus), metal, sand, pour_temp_c)
    return freeze(setup, modulus / cells_a_modulus).last_time_s


def pairs(names=ALLOYS, cells_a_modulus=CELLS_A_MODULUS):
    """Rule and field for all shapes in these alloys, each poured in the middle of its usual range."""
    rows = []
    for name, shape in itertools.product(names, SHAPES):
        metal = alloy(name)
        case = shape, MODULUS_M, metal, mould("green sand"), 0.5 * sum(metal.pour_range_c)
        rows.append(Pair(name, shape, by_rule(*case), by_field(*case, cells_a_modulus)))
    return tuple(rows)


def ratios_to_plate(rows):
    """{(alloy, shape): (by rule, in the field)}: times over that of the plate of the same modulus."""
    plate = {row.alloy: row for row in rows if row.shape == "plate"}
    return {(row.alloy, row.shape): (row.rule_s / plate[row.alloy].rule_s,
                                     row.field_s / plate[row.alloy].field_s)
            for row in rows if row.shape != "plate"}


def hand_time(modulus, setup, shape):
    """The hand rule's time [s] for a body of that modulus, in sand or in a die; None where no rule holds.

    shape is the rule's: "plate", "bar", "square bar" or "ball". The mould is as warm as the setup says.
    """
    warm = replace(setup.mould, start_temp_c=setup.mould_temp_c)
    rule = freezing_time_in_die if setup.mould.kind == "die" else freezing_time_in_sand
    try:
        return rule(modulus, setup.alloy, warm, setup.pour_temp_c, shape)
    except InputError:
        return None


def farthest_off(by_hand, computed, reason):
    """Where the hand rule is farthest off, as a sentence.

    by_hand, computed   {name: time [s]}; None where no rule holds
    reason              function: (name, how far off as a share) -> why, as the end of the sentence

    >>> farthest_off({"rim": 112.0, "hub": 98.0}, {"rim": 100.0, "hub": 100.0}, lambda *_: "it is thin")
    'The hand rule is farthest off for the rim, 12 % too long: it is thin.'
    """
    off = {name: time / computed[name] - 1.0 for name, time in by_hand.items() if time}
    if not off:
        return "No hand rule is known to hold here."
    worst = max(off, key=lambda name: abs(off[name]))
    if abs(off[worst]) < CLOSE:
        return "The hand rule agrees within 5 %."
    return (f"The hand rule is farthest off for the {worst}, {per_cent(off[worst])} % too "
            f"{'long' if off[worst] > 0 else 'short'}: {reason(worst, off[worst])}.")


def beside_words(rule_s, field_s, units, last_s):
    """Both times and how far the rule is off, such as "rule 330 s, field 390 s, rule 16 % shorter"; in the
    unit of `last_s`, the last time of all."""
    field = f"field {units.time(field_s, beside=last_s)}"
    if rule_s is None:
        return f"no hand rule here, {field}"
    off = rule_s / field_s - 1.0
    far = per_cent(off)
    words = "the same" if far == "0" else f"rule {far} % {'longer' if off > 0 else 'shorter'}"
    return f"rule {units.time(rule_s, beside=last_s)}, {field}, {words}"
