"""What the melt plan takes from the shop's own book, and what it says of it beside its numbers."""

from dataclasses import dataclass

from castlab.errors import InputError
from castlab.rules.furnace import Furnace
from castlab.shop.measured import crucible_volume
from castlab.shop.pours import times_of
from castlab.units import Phrase, Quantity, given, kelvins, kilograms, per_cent, phrase, said

EXAMPLE = "example furnace"
UNCHECKED = "not checked"
OWN = "my shop: "
MADE_UP = "MADE UP"


@dataclass(frozen=True)
class FromShop:
    """What of a melt comes from the shop's own book; of a melt without a book, nothing.

    furnace                 as measured (None: the example), its name and the nameplate power [W]
    pot_volume [m3]         to the brim, by water (None: inferred), and the pot's name
    late                    by what ratio the shop's pours became liquid later than planned; None: unknown
    remarks                 pairs of a number's name and what is said beside it, a Phrase
    """

    furnace: Furnace | None = None
    furnace_name: str = ""
    plate_power: float = 0.0
    pot_volume: float | None = None
    pot_name: str = ""
    late: float | None = None
    remarks: tuple[tuple[str, Phrase], ...] = ()

    def beside(self, name, words, units):
        """The words of a number, and behind them what the book says of it."""
        remarks = [said(remark, units) for number, remark in self.remarks if number == name]
        return f"{words} ({'; '.join(remarks)})" if remarks else words


def from_shop(shop, values, alloy):
    """What the `Shop` says of a melt of an `alloy`; `values` of the melt's sliders."""
    found, remarks = {}, []
    _take_furnace(shop, values.get("furnace", EXAMPLE), found, remarks)
    _take_pot(shop, values["pot"], alloy, found, remarks)
    _take_sensor(shop, values.get("sensor", UNCHECKED), values, remarks)
    stock = shop.stock_of(alloy.name)
    if stock is not None:
        remarks.append(("metal to weigh in", phrase(
            "on the shelf {}, my shop{}", kilograms(stock["mass"], 3), _when(stock))))
    late = times_of(shop.book, values.get("furnace", EXAMPLE))
    if late is not None and late.bias.corrects:
        found["late"] = late.bias.ratio
        remarks.append(("ready, by your pours", phrase(
            f"{len(late.entries)} pours were liquid after {late.bias.ratio:.2f} times the planned time, "
            f"give or take {late.bias.band:.2f}{_made_up(late.entries)}")))
    return FromShop(**found, remarks=tuple(remarks))


def own_name(option):
    """The name in the book behind an option of a menu; empty for one that is not the shop's own.

    >>> own_name("my shop: A4"), own_name("rated 5 kg")
    ('A4', '')
    """
    return option.removeprefix(OWN) if option.startswith(OWN) else ""


def _take_furnace(shop, option, found, remarks):
    name = own_name(option)
    if name not in shop.furnace_names:
        return
    try:
        own = shop.furnace(name)
    except InputError as error:
        remarks.append(("all liquid", phrase("of {} nothing could be computed: {}", name, error)))
        return
    found |= {"furnace": own.furnace, "furnace_name": name, "plate_power": own.plate_power}
    if own.fit is None:
        words = phrase("{}: only its plate is known, no heat-up yet", name)
    else:
        words = phrase("{} as measured: {}, give or take {} %{}{}", name,
                       given(round(own.furnace.power), "W"), per_cent(own.fit.bands["power"]),
                       _made_up(own.entries), _doubt(own))
    remarks.append(("all liquid", words))


def _take_pot(shop, option, alloy, found, remarks):
    name = own_name(option)
    if name not in shop.crucible_names:
        return
    entry = shop.crucible(name)
    found |= {"pot_volume": crucible_volume(entry), "pot_name": name}
    words = phrase("{}: {} to the brim by water, my shop{}{}", name,
                   Quantity(found["pot_volume"], "volume", 3), _when(entry), _made_up([entry]))
    if entry["family"] and entry["family"] not in alloy.family:
        words = phrase("{}; it is kept for {} alloys, and this is not one", words, entry["family"])
    remarks.append(("the pot takes", words))


def _take_sensor(shop, option, values, remarks):
    name = own_name(option)
    if name not in shop.sensor_names:
        return
    own = shop.sensor(name)
    error, band = own.fit.error(values["set_point_c"]), own.fit.band(values["set_point_c"])
    remarks.append(("recommended set point", phrase(
        "{} reads {} too {} there, give or take {}, my shop{}{}", name, kelvins(abs(error)),
        "high" if error >= 0.0 else "low", kelvins(band), _made_up(own.entries), _doubt(own))))


def _when(entry):
    return f" {entry['date']}" if entry["date"] else ""


def _made_up(entries):
    return f", {MADE_UP}" if any(each.made_up for each in entries) else ""


def _doubt(seen):
    """A word where entries do not agree: the book says which."""
    if len(seen.wrong) == 1:
        return ", one entry left out, see the book"
    return "" if seen.agrees else ", but its entries do not agree, see the book"
