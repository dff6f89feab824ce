"""The melt bench: what to weigh in, set and wait for, for the part that stands on another bench."""

from castlab.field.outcome import FULL
from castlab.teach.bench.bench import Bench
from castlab.teach.melt.melt import CIRCUITS, MeltSetup, solve_melt
from castlab.teach.melt.melt_chart import MeltChart, MeltScene
from castlab.teach.sliders.slider import Slider

POT, FURNACE, SETTING = "the pot", "the furnace", "setting and waiting"
POTS = {f"rated {rated:g} kg": rated for rated in (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)}
MINUTE = 60.0


def melt_sliders(pot="rated 5 kg", set_point_c=470.0, sensor_error=0.0):
    """Sliders of the melt bench, with the values that it starts from."""
    return [
        Slider("pot", "crucible, as sold", "choice", POT, pot, options=tuple(POTS)),
        Slider("heel", "left in the pot, % of what is poured", "number", POT, 5.0, 0.0, 30.0, 1.0),
        Slider("carry", "furnace to end of pour", "time", POT, 15.0, 5.0, 60.0, 1.0),
        Slider("power", "power on its plate [W]", "number", FURNACE, 1400.0, 600.0, 3000.0, 50.0),
        Slider("aged", "elements: resistance, % above new", "number", FURNACE, 0.0, 0.0, 30.0, 1.0),
        Slider("circuit", "circuit", "choice", FURNACE, "120 V, 15 A", options=tuple(CIRCUITS)),
        Slider("set_point_c", "set on the display", "temperature", SETTING, set_point_c, 300.0, 1250.0, 5.0),
        Slider("hold", "hold after all is liquid [min]", "number", SETTING, 15.0, 0.0, 60.0, 1.0),
        Slider("sensor_error", "display reads too high by", "difference", SETTING, sensor_error, -50.0, 100.0,
               5.0),
    ]


def melt_setup(casting, values):
    """The melt that the sliders describe, for a casting's `Setup`."""
    return MeltSetup(
        casting=casting, rated_mass=POTS[values["pot"]], heel_share=values["heel"] / 100.0,
        power=values["power"], aged=1.0 + values["aged"] / 100.0, circuit=CIRCUITS[values["circuit"]],
        sensor_error=values["sensor_error"], set_point_c=values["set_point_c"],
        hold=MINUTE * values["hold"], carry=values["carry"],
    )


def melt_bench(part, **first):
    """A bench that plans the melt for the casting on the bench `part`, and follows that bench.

    Both always speak the same units, whichever is switched. `first`: what it starts from, see `melt_sliders`.
    """
    bench = Bench(melt_sliders(**first), lambda values: melt_setup(part.setup(), values), solve_melt,
                  picture=MeltChart(), scene_of=lambda setup, melt, units: MeltScene(setup, melt),
                  looks=(FULL,))
    part.when_moved(bench.guarded(lambda: _follow(part, bench)))
    bench.when_moved(part.guarded(lambda: _speak_as(bench, part)))
    return bench


def _follow(part, bench):
    if not _speak_as(part, bench):
        bench.settle()


def _speak_as(one, other):
    """Let the other bench speak the units of the first; whether it had spoken others."""
    differ = other.units is not one.units
    if differ:
        other.speak(one.units)
    return differ
