"""A design: a part by its name and all that can be chosen about it; what searches change and benches show."""

from dataclasses import dataclass, field

from castlab.errors import require_number
from castlab.field.layout import Setup
from castlab.field.own_part import OwnPart
from castlab.field.parts import layout_of
from castlab.materials import Alloy, Mould

POUR = ("pour_temp_c", "mould_temp_c", "pour_time_s")


@dataclass(frozen=True)
class Design:
    """A part by name or one's own, sizes and rigging, alloy, mould and pour. Equal designs give equal
    results.

    `sizes` holds what differs from the part's own: sorted pairs of name and value, in metres or words, of the
    part's function in `parts` or of `Rigging`. Make one with `design`, change it with `change`.
    """

    part: str | OwnPart
    sizes: tuple[tuple[str, float | str], ...]
    alloy: Alloy
    mould: Mould
    pour_temp_c: float
    mould_temp_c: float | None = None
    pour_time_s: float = 3.0
    values: dict = field(init=False, repr=False, compare=False, hash=False)

    def __post_init__(self):
        object.__setattr__(self, "values", dict(self.sizes))

    def change(self, **values):
        """The same with some sizes, rigging or temperatures changed.

        >>> from castlab.materials import alloy, mould
        >>> plain = design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0)
        >>> fed = plain.change(feeder_width=0.04, feeder_height=0.06)
        >>> fed.values["feeder_width"], plain.values
        (0.04, {})
        """
        pour = {name: values.pop(name) if name in values else getattr(self, name) for name in POUR}
        return design(self.part, self.alloy, self.mould, **pour, **(self.values | values))

    def setup(self):
        """The pour that can be frozen. Raises InputError for what cannot be cast."""
        return Setup(
            layout_of(self.part, **self.values),
            self.alloy,
            self.mould,
            self.pour_temp_c,
            self.mould_temp_c,
            self.pour_time_s,
        )


def design(part, alloy, mould, pour_temp_c, mould_temp_c=None, pour_time_s=3.0, **sizes):
    """A Design from names and values.

    part                 a name of `castlab.field.parts.PARTS`, or an OwnPart
    alloy, mould         castlab.materials.Alloy, Mould
    pour_temp_c [deg C], mould_temp_c [deg C], pour_time_s [s]  as for `castlab.field.layout.Setup`
    sizes                by name, sizes [m] or words: of the part's function, and of `Rigging`

    Raises InputError for a size that is no number; whether it can be cast is asked by `Design.setup`.

    >>> from castlab.materials import alloy, mould
    >>> design("cleat", alloy("ZA-12"), mould("green sand"), 475.0, post=0.03).sizes
    (('post', 0.03),)
    """
    for name, value in sizes.items():
        if not isinstance(value, str):
            require_number(name.replace("_", " "), value)
    return Design(part, tuple(sorted(sizes.items())), alloy, mould, pour_temp_c, mould_temp_c, pour_time_s)
