"""One comparison of a number of this project with the same number from a package that knows nothing of it."""

import importlib.util
import os
from collections.abc import Callable
from dataclasses import dataclass

from castlab.materials import Value, values


@dataclass(frozen=True)
class Check:
    """What is compared, with whom, and how far apart the two may be.

    relative, absolute   the band: absolute [the unit] + relative * |reference|
    why                  why the band is as wide as it is, and no wider
    modules              what must be installed, by the names under which Python imports it
    quantity             the row of the data file that is compared, if it is one: its stated range must then
                         cover the reference
    explained            words in the notes of the alloy that say why the two are further apart than the band;
                         empty when they are not
    """

    alloy: str
    what: str
    unit: str
    ours: Callable[[], float]
    by: str
    reference: Callable[[], float]
    why: str
    modules: tuple[str, ...]
    relative: float = 0.0
    absolute: float = 0.0
    quantity: str = ""
    explained: str = ""

    @property
    def name(self):
        return f"{self.alloy}, {self.what}, by {self.by}"

    def band(self, reference):
        return self.absolute + self.relative * abs(reference)


def stored(alloy, quantity) -> Value:
    """The row of the data file, with its range."""
    return next(each for each in values(alloy) if each.quantity == quantity)


def missing(modules):
    """Of the modules, those that are not installed."""
    return [each for each in modules if importlib.util.find_spec(each) is None]


def in_ci():
    return bool(os.environ.get("CI"))
