"""The melt bench: what to weigh in, set and wait for, for the part that stands on another bench."""

from castlab.errors import InputError
from castlab.field.outcome import FULL
from castlab.materials import alloy
from castlab.teach.bench.bench import Bench
from castlab.teach.melt.from_shop import EXAMPLE, OWN, UNCHECKED, FromShop, from_shop, own_name
from castlab.teach.melt.melt import CIRCUITS, MeltSetup, solve_melt
from castlab.teach.melt.melt_chart import MeltChart, MeltScene
from castlab.teach.sliders.slider import Slider

POT, FURNACE, SETTING = "the pot", "the furnace", "setting and waiting"
POTS = {f"rated {rated:g} kg": rated for rated in (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)}
ANY_POT = "rated 5 kg"
POWER = (600.0, 3000.0, 50.0)  # W: lowest, highest, step
MINUTE = 60.0


def melt_sliders(pot=ANY_POT, set_point_c=470.0, sensor_error=0.0, shop=None):
    """Sliders of the melt bench, with the values that it starts from; `shop`: a Shop whose things it has."""
    own = {} if shop is None else own_options(shop)
    sliders = [
        Slider("pot", "crucible, as sold", "choice", POT, pot, options=own.get("pot", tuple(POTS))),
        Slider("heel", "heel, % of metal poured", "number", POT, 5.0, 0.0, 30.0, 1.0),
        Slider("carry", "furnace to end of pour", "time", POT, 15.0, 5.0, 60.0, 1.0),
        Slider("power", "nameplate power [W]", "number", FURNACE, 1400.0, *POWER),
        Slider("aged", "elements: resistance, % above new", "number", FURNACE, 0.0, 0.0, 30.0, 1.0),
        Slider("circuit", "circuit", "choice", FURNACE, "120 V, 15 A", options=tuple(CIRCUITS)),
        Slider("set_point_c", "set on the display", "temperature", SETTING, set_point_c, 300.0, 1250.0, 5.0),
        Slider("hold", "hold after all is liquid [min]", "number", SETTING, 15.0, 0.0, 60.0, 1.0),
        Slider("sensor_error", "display reads too high by", "difference", SETTING, sensor_error, -50.0, 100.0,
               5.0),
    ]
    if own:
        sliders.insert(3, Slider("furnace", "furnace", "choice", FURNACE, EXAMPLE, options=own["furnace"]))
        sliders.append(Slider("sensor", "sensor", "choice", SETTING, UNCHECKED, options=own["sensor"]))
    return sliders


def own_options(shop):
    """{menu: its options}: what everybody can choose, and behind that what the shop's book holds."""
    usual = {"pot": tuple(POTS), "furnace": (EXAMPLE,), "sensor": (UNCHECKED,)}
    names = {"pot": shop.crucible_names, "furnace": shop.furnace_names, "sensor": shop.sensor_names}
    return {menu: (*usual[menu], *(OWN + name for name in names[menu])) for menu in usual}


def melt_setup(casting, values, shop=None):
    """The melt that the sliders describe, for a casting's `Setup`; `shop`: a Shop, or None."""
    own = FromShop() if shop is None else from_shop(shop, values, casting.alloy)
    return MeltSetup(
        casting=casting, rated_mass=POTS.get(values["pot"], POTS[ANY_POT]), heel_share=values["heel"] / 100.0,
        power=values["power"], aged=1.0 + values["aged"] / 100.0, circuit=CIRCUITS[values["circuit"]],
        sensor_error=values["sensor_error"], set_point_c=values["set_point_c"],
        hold=MINUTE * values["hold"], carry=values["carry"], own=own,
    )


def melt_bench(part, book=None, **first):
    """A bench that plans the melt for the casting on the bench `part`, and follows that bench.

    Both always speak the same units, whichever is switched. `first`: what it starts from, see `melt_sliders`.
    `book`: the `BookFile` of the shop whose furnace, pot and sensor can be chosen.
    """
    shop = None if book is None else book.shop
    follows = {} if book is None else {"furnace": lambda values: _power_of(book.shop, values),
                                       "sensor": lambda values: _error_of(book.shop, values)}
    bench = Bench(melt_sliders(**first, shop=shop),
                  lambda values: melt_setup(part.setup(), values, None if book is None else book.shop),
                  solve_melt, follows=follows, picture=MeltChart(),
                  scene_of=lambda setup, melt, units: MeltScene(setup, melt), looks=(FULL,),
                  from_book_of=None if book is None else lambda values: from_shop(
                      book.shop, values, alloy(part.values["alloy"])))
    part.when_moved(bench.guarded(lambda: _follow(part, bench)))
    bench.when_moved(part.guarded(lambda: _speak_as(bench, part)))
    if book is not None:
        book.when_changed(bench.guarded(lambda: _read_again(bench, book.shop)))
    return bench


def _power_of(shop, values):
    """A furnace brings the nameplate power along, and is as old as when it was measured."""
    name, (low, high, step) = own_name(values["furnace"]), POWER
    if name not in shop.furnace_names:
        return {"power": (low, high, 1400.0)}
    plate = [each for each in shop.book.of("furnaces") if each["name"] == name][-1]["plate_power"]
    low = plate % step + (0.0 if plate < low else low)  # so that the plate's power is on a step
    return {"power": (low, max(high, plate) + low % step, plate), "aged": (0.0, 30.0, 0.0)}


def _error_of(shop, values):
    """A sensor that was checked brings its error along, to the nearest step."""
    name = own_name(values["sensor"])
    try:
        error = shop.sensor(name).fit.error(values["set_point_c"]) if name else 0.0
    except InputError:
        error = 0.0
    return {"sensor_error": (-50.0, 100.0, min(max(error, -50.0), 100.0))}


def _read_again(bench, shop):
    """The book has changed: other things may be chosen, and what it says of them is another."""
    for menu, options in own_options(shop).items():
        bench.offer(menu, options)
    bench.settle()


def _follow(part, bench):
    if not _speak_as(part, bench):
        bench.settle()


def _speak_as(one, other):
    """Let the other bench speak the units of the first; whether it had spoken others."""
    differ = other.units is not one.units
    if differ:
        other.speak(one.units)
    return differ
