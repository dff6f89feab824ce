"""Alloys and moulds: frozen records of numbers, checked when they are made, each number with its source.

The numbers live in `castlab/data/*.json`. Every one of them has a unit, a range, a source key and a word for
how it was obtained: "read" in the source, "computed" from values that were read, "memory" (quoted from the
named source without the page at hand) or "judgement".
"""

import functools
import json
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from castlab.errors import InputError, require_between, require_known, require_number, require_positive
from castlab.units import given

DATA = Path(__file__).parent / "data"
MOULD_KINDS = ("sand", "plaster", "die", "chill", "sleeve")

_POSITIVE = {
    "latent_heat": "J/kg",
    "heat_capacity_solid": "J/kg/K",
    "heat_capacity_liquid": "J/kg/K",
    "conductivity_solid": "W/m/K",
    "conductivity_liquid": "W/m/K",
    "density_solid": "kg/m3",
    "viscosity": "Pa s",
}
# Wide limits that catch a slip (a per cent typed for a share, a factor of a thousand), not unusual metals.
_LIMITS = {
    "freezing_contraction": (-0.1, 0.2, ""),
    "liquid_contraction": (0.0, 1e-3, "1/K"),
    "solid_expansion": (0.0, 1e-4, "1/K"),
    "mobile_limit": (0.0, 1.0, ""),
    "passable_limit": (0.0, 1.0, ""),
    "emissivity": (0.0, 1.0, ""),
}
# For an alloy made by hand without a pouring range: a little above the liquidus, and as much as anyone would.
_POUR_ABOVE_LIQUIDUS_K = (20.0, 120.0)
# (intercept, kelvin) of log10 S = intercept - kelvin / T in liquid, and in solid, of a family of metals: S in
# cm3 of hydrogen in 100 g at one atmosphere. Sources: hydrogen_in_liquid, hydrogen_in_solid of
# castlab.rules.gas
HYDROGEN = {"aluminium": ((2.72, 2700.0), (0.788, 2080.0))}


@dataclass(frozen=True)
class Value:
    """One number of the data files: what it is, how large, between which limits, and who says so."""

    quantity: str
    value: float
    unit: str
    low: float
    high: float
    source: str
    seen: str
    note: str = ""


@dataclass(frozen=True)
class Alloy:
    """A casting alloy as the calculations see it.

    liquidus_c, solidus_c    [deg C]   first and last freezing; equal for a pure metal
    solid_fraction           rows (temperature [deg C], solid fraction by mass), from (liquidus, 0) falling in
                             temperature to (solidus, 1); two rows at one temperature are an arrest
    latent_heat              [J/kg]    liquidus to solidus, without the sensible heat between them
    heat_capacity_*          [J/kg/K]  means next to the freezing range
    conductivity_*           [W/m/K]   next to the freezing range
    density_solid            [kg/m3]   at the solidus, not at 20 deg C
    freezing_contraction     1 - density_liquid / density_solid, a share of the LIQUID's volume;
                             negative for a metal that expands
    liquid_contraction       [1/K]     share of volume per kelvin above the liquidus
    solid_expansion          [1/K]     mean linear expansion, 20 deg C to the solidus
    mobile_limit             primary solid fraction above which the mush no longer moves as a slurry
    passable_limit           solid fraction above which liquid no longer passes, where there is no arrest
                             (both limits are judgement)
    viscosity                [Pa s]    at the liquidus
    arm_spacing              (a [m], n): secondary dendrite arm spacing = a * R**-n, R the cooling rate [K/s]
    emissivity               of the free surface of the melt
    pour_range_c             [deg C]   usual pouring temperatures; 20 to 120 K above the liquidus if not given

    Raises InputError where a number is impossible.

    >>> metal = alloy("pure aluminium")
    >>> metal.liquidus_c, metal.is_pure, metal.freezing_range
    (660.323, True, 0.0)
    """

    name: str
    family: str
    liquidus_c: float
    solidus_c: float
    solid_fraction: tuple[tuple[float, float], ...]
    latent_heat: float
    heat_capacity_solid: float
    heat_capacity_liquid: float
    conductivity_solid: float
    conductivity_liquid: float
    density_solid: float
    freezing_contraction: float
    liquid_contraction: float
    solid_expansion: float
    mobile_limit: float
    passable_limit: float
    viscosity: float
    arm_spacing: tuple[float, float]
    emissivity: float = 0.3
    pour_range_c: tuple[float, float] = ()
    notes: str = ""

    def __post_init__(self):
        _check_temperatures(self)
        for field, unit in _POSITIVE.items():
            require_positive(f"{field} of {self.name}", getattr(self, field), unit)
        for field, (low, high, unit) in _LIMITS.items():
            require_between(f"{field} of {self.name}", getattr(self, field), low, high, unit)
        _check_solid_fraction(self)
        _check_arm_spacing(self)
        _check_pour_range(self)

    @property
    def is_pure(self):
        """True where all of the metal freezes at one temperature."""
        return self.liquidus_c == self.solidus_c

    @property
    def freezing_range(self):
        """Liquidus less solidus [K]."""
        return self.liquidus_c - self.solidus_c

    @property
    def density_liquid(self):
        """Density of the liquid at the liquidus [kg/m3]."""
        return self.density_solid * (1.0 - self.freezing_contraction)

    @property
    def arrest_fraction(self):
        """Solid fraction where the first arrest (freezing at one temperature) begins; 1 if there is none."""
        for (temp, share), (next_temp, _) in zip(self.solid_fraction, self.solid_fraction[1:], strict=False):
            if temp == next_temp:
                return share
        return 1.0

    @property
    def arrest_temp_c(self):
        """Temperature at which the first arrest begins [deg C]; the solidus if there is none."""
        share = self.arrest_fraction
        return next(temp for temp, each in self.solid_fraction if each == share)

    def liquid_density(self, temp_c):
        """Density of the liquid [kg/m3] at temp_c [deg C], a number or an array.

        Below the liquidus, where there is less and less liquid, it is the density at the liquidus.
        """
        above = np.maximum(np.asarray(temp_c, dtype=float) - self.liquidus_c, 0.0)
        density = self.density_liquid * (1.0 - self.liquid_contraction * above)
        return float(density) if np.ndim(temp_c) == 0 else density


@dataclass(frozen=True)
class Mould:
    """What lies round the metal: a mould, or a chill, sleeve or core.

    kind                    "sand", "plaster", "die", "chill" or "sleeve"
    conductivity            [W/m/K]    effective mean over the temperatures it works at
    density                 [kg/m3]    as rammed or set
    heat_capacity           [J/kg/K]
    start_temp_c            [deg C]    when the metal comes in
    interface_coefficient   [W/m2/K]   against metal; infinite means perfect contact

    Raises InputError where a number is impossible.

    >>> round(mould("dry silica sand").heat_diffusivity)
    1008
    """

    name: str
    kind: str
    conductivity: float
    density: float
    heat_capacity: float
    start_temp_c: float
    interface_coefficient: float = math.inf
    notes: str = ""

    def __post_init__(self):
        require_known(f"kind of {self.name}", self.kind, MOULD_KINDS)
        require_positive(f"conductivity of {self.name}", self.conductivity, "W/m/K")
        require_positive(f"density of {self.name}", self.density, "kg/m3")
        require_positive(f"heat_capacity of {self.name}", self.heat_capacity, "J/kg/K")
        require_between(f"start_temp_c of {self.name}", self.start_temp_c, -273.15, 3000.0, "deg C")
        if self.interface_coefficient != math.inf:
            require_positive(f"interface_coefficient of {self.name}", self.interface_coefficient, "W/m2/K")

    @property
    def heat_diffusivity(self):
        """How strongly a thick wall draws heat: sqrt(conductivity density heat_capacity) [J/m2/K/s^0.5]."""
        return math.sqrt(self.conductivity * self.density * self.heat_capacity)


def alloy(name):
    """The alloy of that `name` from the data files.

    Raises InputError for an unknown name, and suggests the nearest one.

    >>> alloy("pure zinc").liquidus_c
    419.527
    """
    return _alloy(require_known("alloy", name, alloy_names()))


def mould(name, hot=False):
    """The mould material of that `name` from the data files.

    `hot=True` takes conductivity and contact of the same material next to metal poured above about 1300 deg C
    (steel), where radiation between grains or fibres adds to conduction. Raises InputError for an unknown
    name, and for a material without a hot value.

    >>> sand = "dry silica sand"
    >>> mould(sand, hot=True).conductivity > mould(sand).conductivity
    True
    """
    return _mould(require_known("mould", name, mould_names()), bool(hot))


def alloy_names():
    """Names of all alloys in the data files, in the order in which a menu shows them: a tuple.

    >>> "ZA-12" in alloy_names()
    True
    """
    return tuple(read_data("alloys"))


def mould_names():
    """Names of all mould materials in the data files, in the order in which a menu shows them: a tuple.

    >>> "green sand" in mould_names()
    True
    """
    return tuple(read_data("moulds"))


def values(name):
    """Every number that the data files hold for an alloy or mould material, as a tuple of `Value`.

    Raises InputError for a `name` that is neither.

    >>> [v.value for v in values("pure zinc") if v.quantity == "liquidus_c"]
    [419.527]
    """
    return _values(require_known("material", name, alloy_names() + mould_names()))


def flags(name):
    """What sets an alloy or mould material apart and must be said wherever it is offered: a tuple of words.

    Raises InputError for an unknown name.

    >>> flags("85-5-5-5"), flags("grey iron"), flags("ZA-12")
    (('contains lead',), ('expands on freezing',), ())
    """
    entries = read_data("alloys") | read_data("moulds")
    return tuple(entries[require_known("material", name, entries)].get("flags", ()))


def source(key):
    """The full citation behind a source `key` of a `Value`. Raises InputError for an unknown one.

    >>> (liquidus,) = (each for each in values("pure zinc") if each.quantity == "liquidus_c")
    >>> "ITS-90" in source(liquidus.source)
    True
    """
    known = read_data("sources")
    return known[require_known("source", key, known)]


@functools.cache
def _values(name):
    entries = read_data("alloys") | read_data("moulds")
    return tuple(value_of(row) for row in entries[name]["quantities"])


def value_of(row):
    """A row of a data file as a `Value`.

    >>> value_of(read_data("moulds")["green sand"]["quantities"][0]) in values("green sand")
    True
    """
    return Value(**row | {key: float(row[key]) for key in ("value", "low", "high")})


@functools.cache
def read_data(name):
    """What `castlab/data/NAME.json` holds.

    >>> "pure zinc" in read_data("alloys")
    True
    """
    return json.loads((DATA / f"{name}.json").read_text(encoding="utf-8"))


@functools.cache
def _alloy(name):
    entry = read_data("alloys")[name]
    number = {each.quantity: each.value for each in values(name)}
    return Alloy(
        name=name,
        family=entry["family"],
        solid_fraction=tuple(map(tuple, entry["solid_fraction"]["rows"])),
        arm_spacing=(number.pop("arm_spacing_at_1_K_per_s"), number.pop("arm_spacing_exponent")),
        pour_range_c=(number.pop("pour_low_c"), number.pop("pour_high_c")),
        notes=entry["notes"],
        **_only(Alloy, number),
    )


@functools.cache
def _mould(name, hot):
    entry = read_data("moulds")[name]
    number = {each.quantity: each.value for each in values(name)}
    if hot:
        number |= _hot_values(name)
    label = f"{name}, hot" if hot else name
    return Mould(name=label, kind=entry["kind"], notes=entry["notes"], **_only(Mould, number))


def _hot_values(name):
    hot = {each: {value.quantity.removesuffix("_hot"): value.value for value in values(each)
                  if value.quantity.endswith("_hot")} for each in mould_names()}
    if not hot[name]:
        known = ", ".join(each for each in hot if hot[each])
        raise InputError("hot mould", repr(name), f"a hot value is known for {known} only")
    return hot[name]


def _only(record, number):
    """Leave out the rows that stand in the data files only so that others can be derived and checked."""
    return {key: value for key, value in number.items() if key in record.__dataclass_fields__}


def _check_temperatures(metal):
    require_between(f"liquidus_c of {metal.name}", metal.liquidus_c, -273.15, 4000.0, "deg C")
    require_number(f"solidus_c of {metal.name}", metal.solidus_c, "deg C")
    if not -273.15 <= metal.solidus_c <= metal.liquidus_c:
        raise InputError(f"solidus_c of {metal.name}", given(metal.solidus_c, "deg C"),
                         "it must not be above the liquidus, {}", given(metal.liquidus_c, "deg C"))


def _check_solid_fraction(metal):
    parameter = f"solid_fraction of {metal.name}"
    wanted = f"rows of (temperature, fraction) from ({metal.liquidus_c:g}, 0) to ({metal.solidus_c:g}, 1)"
    rows = _sequence(parameter, metal.solid_fraction)
    rows = tuple(_pair(parameter, row, f"it must be {wanted}") for row in rows)
    if len(rows) < 2 or rows[0] != (metal.liquidus_c, 0.0) or rows[-1] != (metal.solidus_c, 1.0):
        raise InputError(parameter, rows, f"it must be {wanted}")
    for (temp, share), (next_temp, next_share) in zip(rows, rows[1:], strict=False):
        if next_temp > temp or next_share < share or (next_temp, next_share) == (temp, share):
            allowed = "row by row the temperature must fall or stay, and the fraction rise or stay"
            raise InputError(parameter, ((temp, share), (next_temp, next_share)), allowed)
    object.__setattr__(metal, "solid_fraction", rows)


def _check_arm_spacing(metal):
    parameter = f"arm_spacing of {metal.name}"
    spacing, exponent = _pair(parameter, metal.arm_spacing, "it must be two numbers, (a [m], n)")
    require_between(parameter, spacing, 1e-7, 1e-2, "m")
    require_between(f"exponent of {parameter}", exponent, 0.0, 1.0)
    object.__setattr__(metal, "arm_spacing", (spacing, exponent))


def _check_pour_range(metal):
    parameter = f"pour_range_c of {metal.name}"
    usual = tuple(metal.liquidus_c + above for above in _POUR_ABOVE_LIQUIDUS_K)
    allowed = "it must be (lowest, highest), both above the liquidus, {}", given(metal.liquidus_c, "deg C")
    low, high = _pair(parameter, metal.pour_range_c or usual, *allowed)
    if not metal.liquidus_c <= low < high:
        raise InputError(parameter, metal.pour_range_c, *allowed)
    object.__setattr__(metal, "pour_range_c", (low, high))


def _pair(parameter, pair, *allowed):
    """Two finite numbers."""
    if len(_sequence(parameter, pair)) != 2:
        raise InputError(parameter, repr(pair), *allowed)
    return tuple(require_number(parameter, each) for each in pair)


def _sequence(parameter, sequence):
    if not isinstance(sequence, (tuple, list, np.ndarray)):
        raise InputError(parameter, repr(sequence), "it must be a tuple")
    return sequence
