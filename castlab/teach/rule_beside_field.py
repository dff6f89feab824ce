"""Four plain shapes of one modulus in sand: when each is solid by the hand rule, and in the computed field.

The two share no code: the rule is one line of algebra, the field follows heat from cell to cell.
"""

from dataclasses import dataclass

from castlab.field import shapes
from castlab.field.freeze import freeze
from castlab.field.layout import Setup
from castlab.materials import alloy, mould
from castlab.rules.freezing import freezing_time_in_sand

# Name: what makes its layout, its thickness or diameter in moduli, and its name in the rule, which takes
# every long bar for round.
SHAPES = {
    "plate": (shapes.plate, 2.0, "plate"),
    "bar": (shapes.bar, 4.0, "bar"),
    "cylinder": (shapes.rod, 4.0, "bar"),
    "ball": (shapes.ball, 6.0, "ball"),
}
ALLOYS = ("ZA-12", "A356", "tin bronze", "fine silver")
MODULUS_M = 10e-3
CELLS_A_MODULUS = 10


@dataclass(frozen=True)
class Pair:
    """Freezing time of one shape in one alloy: by rule and in the field [s]."""

    alloy: str
    shape: str
    rule_s: float
    field_s: float

    @property
    def rule_over_field(self):
        return self.rule_s / self.field_s


def layout_of(shape, modulus):
    """The layout of a shape with that modulus [m].

    >>> layout_of("ball", 0.010).block("ball").high
    (0.03, 0.03)
    """
    make, size, _ = SHAPES[shape]
    return make(size * modulus)


def by_rule(shape, modulus, metal, sand, pour_temp_c):
    """The rule's time [s]; the metal's surface stays at the solidus, heat spreads round bar and ball."""
    return freezing_time_in_sand(modulus, metal, sand, pour_temp_c, SHAPES[shape][2], metal.solidus_c)


def by_field(shape, modulus, metal, sand, pour_temp_c):
    """When the last metal is solid in the field [s]."""
    setup = Setup(layout_of(shape, modulus), metal, sand, pour_temp_c)
    return freeze(setup, modulus / CELLS_A_MODULUS).last_time_s


def pairs(names=ALLOYS, modulus=MODULUS_M, sand="green sand"):
    """Rule and field for all shapes in these alloys, each poured in the middle of its usual range."""
    rows = []
    for name in names:
        metal = alloy(name)
        pour = 0.5 * sum(metal.pour_range_c)
        for shape in SHAPES:
            case = shape, modulus, metal, mould(sand), pour
            rows.append(Pair(name, shape, by_rule(*case), by_field(*case)))
    return tuple(rows)


def ratios_to_plate(rows):
    """{(alloy, shape): (by rule, in the field)}: times over that of the plate of the same modulus."""
    plate = {row.alloy: row for row in rows if row.shape == "plate"}
    return {(row.alloy, row.shape): (row.rule_s / plate[row.alloy].rule_s,
                                     row.field_s / plate[row.alloy].field_s)
            for row in rows if row.shape != "plate"}
