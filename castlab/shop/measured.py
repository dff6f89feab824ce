"""What the book says of the shop: its furnaces, crucibles, moulds, sensors, stock and usual temperatures."""

from dataclasses import dataclass, replace
from functools import cached_property

from castlab.errors import InputError, require_known
from castlab.materials import alloy, mould
from castlab.rules import furnace_fit, melting
from castlab.rules.furnace import Furnace
from castlab.rules.mould_fit import MouldFit, TimedPlate, fit_mould
from castlab.rules.sensor import Reading, SensorFit, judge_sensor
from castlab.rules.weighing import water_density
from castlab.shop.entries import EMPTY, Entry

ROOM_C = melting.ROOM_C
WATER_SHARE = 0.02  # to the brim by eye, either way; judgement
HOTTEST_ABOVE_K = 900.0  # so far above the liquidus reach the heat contents of a charge


@dataclass(frozen=True, eq=False)
class Seen:
    """Something that was measured, and the entries behind it; wrong ones by their names.

    entries   `Entry`s of the book, in the order of the fit's own entries
    names     of each of the fit's entries, in words, for who looks for a slip of the pen
    wrong     numbers of those without any one of which the others agree
    agrees    whether what is used of them agrees
    """

    entries: tuple[Entry, ...]
    names: tuple
    wrong: tuple[int, ...]
    agrees: bool

    @property
    def made_up(self):
        """Whether any of it is an example that nobody measured."""
        return any(each.made_up for each in self.entries)


@dataclass(frozen=True, eq=False)
class OwnFurnace(Seen):
    """A furnace as it was measured; `fit` is None where nothing but its plate is known."""

    name: str = ""
    plate_power: float = 0.0
    top_temp_c: float = 0.0
    fit: furnace_fit.FurnaceFit | None = None

    @property
    def furnace(self) -> Furnace:
        """As fitted; else what a furnace of that power usually is."""
        found = self.fit.furnace if self.fit else furnace_fit.usual_furnace(self.plate_power)
        return replace(found, top_temp_c=self.top_temp_c)


@dataclass(frozen=True, eq=False)
class OwnMould(Seen):
    """A mould as its plates say; `share` is its heat diffusivity over that of the data."""

    name: str = ""
    material: str = ""
    fit: MouldFit | None = None

    @property
    def share(self):
        """Heat diffusivity over that of the data."""
        return self.fit.heat_diffusivity / mould(self.material).heat_diffusivity


@dataclass(frozen=True, eq=False)
class OwnSensor(Seen):
    """A sensor as it read at freezing points."""

    name: str = ""
    fit: SensorFit | None = None


class Shop:
    """What a `Book` says, computed when it is asked for.

    >>> from castlab.shop.book import Book
    >>> Shop(Book()).furnace_names, Shop(Book()).stock_of("ZA-12")
    ((), None)
    """

    def __init__(self, book):
        self.book, self._found = book, {}

    @property
    def furnace_names(self):
        """Names of the furnaces in the book."""
        return _names(self.book.of("furnaces"), "name")

    @property
    def crucible_names(self):
        """Names of the crucibles in the book."""
        return _names(self.book.of("crucibles"), "name")

    @property
    def sensor_names(self):
        """Names of the sensors in the book."""
        return _names(self.book.of("freezing_points"), "sensor")

    @property
    def mould_names(self):
        """Names of the moulds in the book."""
        return _names(self.book.of("plates"), "mould")

    def furnace(self, name):
        """The `OwnFurnace` of that name. Raises InputError for a name that is not in the book."""
        return self._once("furnace", name, self.furnace_names, self._furnace)

    def mould(self, name):
        """The `OwnMould` of that name. Raises InputError for a name that is not in the book."""
        return self._once("mould", name, self.mould_names, self._mould)

    def sensor(self, name):
        """The `OwnSensor` of that name. Raises InputError for a name that is not in the book."""
        return self._once("sensor", name, self.sensor_names, self._sensor)

    def crucible(self, name):
        """The newest entry of that crucible. Raises InputError for a name that is not in the book."""
        require_known("crucible", name, self.crucible_names)
        return [each for each in self.book.of("crucibles") if each["name"] == name][-1]

    def mould_of(self, material):
        """The `OwnMould` whose plate is the newest of that material; None where there is none."""
        plates = [each for each in self.book.of("plates") if each["material"] == material]
        return self.mould(plates[-1]["mould"]) if plates else None

    def stock_of(self, alloy_name):
        """The newest entry of what lies on the shelf of an alloy; None where there is none."""
        return _newest(self.book.of("stock"), alloy_name)

    def usual_of(self, alloy_name):
        """The newest entry of the temperature at which an alloy is poured; None where there is none."""
        return _newest(self.book.of("usual"), alloy_name)

    @cached_property
    def problems(self):
        """What could not be computed from the entries: {(what, name): InputError}."""
        found = {}
        for what, names in (("furnace", self.furnace_names), ("mould", self.mould_names),
                            ("sensor", self.sensor_names)):
            for name in names:
                try:
                    getattr(self, what)(name)
                except InputError as error:
                    found[what, name] = error
        return found

    def _once(self, what, name, known, make):
        require_known(f"{what} of the shop", name, known)
        if (what, name) not in self._found:
            self._found[what, name] = make(name)
        return self._found[what, name]

    def _furnace(self, name):
        plate = [each for each in self.book.of("furnaces") if each["name"] == name][-1]
        heat_ups, holds = ([each for each in self.book.of(kind) if each["furnace"] == name]
                           for kind in ("heat_ups", "holds"))
        said = {"name": name, "plate_power": plate["plate_power"], "top_temp_c": plate["top_temp_c"]}
        if not heat_ups:
            return OwnFurnace((plate,), (), (), True, **said)
        fit = furnace_fit.fit_furnace(plate["plate_power"], [_heating(each) for each in heat_ups],
                                      [furnace_fit.Holding(each["temp_c"], each["on_share"], _room(each))
                                       for each in holds])
        entries = [each for each in heat_ups for _ in each["readings"]] + holds
        names = (*((each, row) for each in heat_ups for row in each["readings"]),
                 *((each, None) for each in holds))
        return OwnFurnace((*entries, plate), names, fit.judged.wrong, fit.judged.fit.agrees, **said,
                          fit=fit)

    def _mould(self, name):
        plates = [each for each in self.book.of("plates") if each["mould"] == name]
        material = plates[-1]["material"]
        alike = [each for each in plates if each["material"] == material]
        fit = fit_mould([_plate(each) for each in alike])
        return OwnMould(tuple(alike), tuple((each, None) for each in alike), fit.judged.wrong,
                        fit.judged.fit.agrees, name=name, material=material, fit=fit)

    def _sensor(self, name):
        read = [each for each in self.book.of("freezing_points") if each["sensor"] == name]
        fit, seen = judge_sensor([Reading(each["metal"], each["reading_c"]) for each in read])
        return OwnSensor(tuple(read), tuple((each, None) for each in read), seen.wrong, seen.fit.agrees,
                         name=name, fit=fit)


def crucible_volume(entry):
    """Volume of a crucible to its brim [m3], from the water that filled it.

    Parameters: `entry`, a crucible of the book. By hand: 0.998 kg of water at 20 deg C are a litre.

    >>> from castlab.shop.entries import entry_of
    >>> round(1e6 * crucible_volume(entry_of("crucibles", {"name": "A4", "water": 0.99821})), 3)
    1000.0
    """
    return entry["water"] / water_density(20.0)


def _heating(entry):
    empty = entry["alloy"] == EMPTY
    metal = alloy("ZA-12") if empty else alloy(entry["alloy"])  # of an empty crucible no metal counts
    rows = melting.heat_rows(metal, metal.liquidus_c + HOTTEST_ABOVE_K)
    return furnace_fit.Heating(0.0 if empty else entry["mass"], *rows, entry["readings"], _room(entry))


def _plate(entry):
    around, before = mould(entry["material"]), entry["mould_temp_c"]
    return TimedPlate(alloy(entry["alloy"]), around, entry["thickness"], entry["time"], entry["pour_temp_c"],
                      around.start_temp_c if before is None else before)


def _room(entry):
    return ROOM_C if entry["room_c"] is None else entry["room_c"]


def _names(entries, field):
    return tuple(dict.fromkeys(each[field] for each in entries))


def _newest(entries, alloy_name):
    return next((each for each in reversed(entries) if each["alloy"] == alloy_name), None)
