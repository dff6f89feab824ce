"""Which holes a pour leaves, each kind in each block: small enough to be sent about by the hundred."""

from collections import Counter
from dataclasses import dataclass

from castlab.errors import InputError
from castlab.field.causes import causes_of
from castlab.field.freeze import freeze
from castlab.field.grid import natural_cell
from castlab.field.shrinkage import shrinkage


@dataclass(frozen=True)
class Holes:
    """The holes of one pour.

    sizes       rows (kind, block, volume of all such holes [m3]), the largest first
    casting_m3, poured_kg
    causes      why the largest is there, by `castlab.field.causes.causes_of`; empty without a hole
    refused     why it cannot be cast at all, in words
    """

    sizes: tuple[tuple[str, str, float], ...] = ()
    casting_m3: float = 0.0
    poured_kg: float = 0.0
    causes: tuple[str, ...] = ()
    refused: str = ""

    @property
    def clear(self):
        """Whether the largest can be put down to one cause alone."""
        return len(self.causes) == 1

    def size(self, kind, block):
        """Volume of the holes of that kind in that block [m3]."""
        return sum(each for *place, each in self.sizes if place == [kind, block])

    def is_largest(self, kind, block):
        """Whether most of the holes are of that kind and lie in that block."""
        return self.sizes[:1] != () and self.sizes[0][:2] == (kind, block)


def holes_of(design, wanted_cell):
    """Pour a Design and list its holes; what cannot be cast is said in `refused`.

    Parameters: `design`; `wanted_cell` [m], finer where a section is thin. Returns Holes.

    >>> from castlab.field.design import design
    >>> from castlab.materials import alloy, mould
    >>> found = holes_of(design("eye plate", alloy("ZA-12"), mould("green sand"), 475.0), 4e-3)
    >>> found.is_largest("sink", "boss"), found.causes
    (True, ('no feeder',))
    """
    try:
        setup = design.setup()
        account = shrinkage(freeze(setup, natural_cell(setup.layout, wanted_cell)))
    except InputError as error:
        return Holes(refused=error.phrase)
    sizes = Counter()
    for place in account.places:
        sizes[place.kind, place.block] += place.volume_m3
    poured_m3 = float(account.run.grid.metal_volume.sum())
    return Holes(
        tuple((*place, size) for place, size in sizes.most_common()),
        account.casting_m3,
        setup.alloy.density_solid * poured_m3,
        causes_of(account) if sizes else (),
    )
