"""A form for what was weighed and timed in the shop, held against what the bench predicts.

An empty form works out a made-up example and says that it is one.
"""

import math
from dataclasses import replace

import ipywidgets as widgets

from castlab.errors import InputError, require_number
from castlab.materials import alloy, alloy_names, mould, values
from castlab.rules.freezing import constant_from_trial, freezing_time, freezing_time_in_sand
from castlab.rules.weighing import (
    closed_holes,
    density_in_water,
    heat_diffusivity_band,
    heat_diffusivity_from_trial,
    water_density,
)
from castlab.teach.sliders.part_sliders import middle
from castlab.teach.sliders.to_design import usual_mould_temperature
from castlab.teach.text import markup
from castlab.teach.text.reader_units import sentence_of
from castlab.teach.work.shown import Shown, menu
from castlab.units import INCH_POUND, METRIC, raised, significant

MOULDS = ("green sand", "dry silica sand", "oil-bonded sand", "zircon sand", "investment")
# Made up: an eye plate of ZA-12 with a hole of about 2.5 cm3, and a plate 12 mm thick. (SI)
EXAMPLE = {"in_air": 0.770, "in_water": 0.640, "reads_to": 0.001, "thickness": 0.012, "time": 150.0}
WATER_C = 4.0  # where water is heaviest
LINE = f"font-size:16px; line-height:1.4; {markup.WIDTH}"
LABELS = {"in_air": "weight in air", "in_water": "weight hung in water", "reads_to": "the scales read to",
          "thickness": "plate thickness", "time": "time until its middle was solid"}


class ShopForm(Shown):
    """Numbers from the shop, and what they say; `weigh` and `time` do by code what its buttons do.

    bench   the `Bench` whose prediction they are held against
    """

    def __init__(self, bench):
        self._bench = bench
        self._alloy = menu("alloy", alloy_names(), "ZA-12", "250px")
        self._mould = menu("mould", MOULDS, "green sand", "250px")
        self._units = menu("units", [("g, mm", METRIC), ("lb, inch", INCH_POUND)], METRIC, "250px")
        self._fields = {name: widgets.Text(placeholder="a number", layout={"width": "310px"},
                                           style={"description_width": "initial"}) for name in LABELS}
        self._units.observe(bench.guarded(self._label), "value")
        self._weighed, self._timed = widgets.HTML(), widgets.HTML()
        weigh = bench.button("What do the weights say?", self.weigh)
        time = bench.button("What does the time say?", self.time)
        self._label()
        row = {"flex_flow": "row wrap"}
        fields = self._fields
        self.widget = widgets.VBox([
            widgets.HBox([self._alloy, self._mould, self._units], layout=row),
            widgets.HBox([fields["in_air"], fields["in_water"], fields["reads_to"], weigh], layout=row),
            self._weighed,
            widgets.HBox([fields["thickness"], fields["time"], time], layout=row),
            self._timed,
        ])

    def fill_in(self, alloy=None, mould=None, units=None, **numbers):
        """Fill in by code what a student fills in by hand; numbers as they would be typed."""
        for chosen, choice in ((self._alloy, alloy), (self._mould, mould), (self._units, units)):
            if choice is not None:
                chosen.value = choice
        for name, typed in numbers.items():
            self._fields[name].value = str(typed)
        return self

    def weigh(self):
        """What the weights say, as plain text; also shown."""
        return self._say(self._weighed, self._weight_words)

    def time(self):
        """What the freezing time says, as plain text; also shown."""
        return self._say(self._timed, self._time_words)

    def _say(self, place, words_of):
        try:
            words = words_of()
        except InputError as error:
            words = sentence_of(error, self._units.value)
        place.value = markup.status(words, LINE)
        return markup.plain(place.value)

    def _weight_words(self):
        numbers, made_up = self._read("in_air", "in_water", "reads_to")
        units, water, metal = self._units.value, water_density(), self._alloy.value
        sound, wrong = sound_density(metal)
        density = density_in_water(numbers["in_air"], numbers["in_water"], water)
        volume, error = closed_holes(**numbers, sound_density=sound, water=water, density_error=wrong)
        words = (f"{made_up}The density is {significant(density / 1000, 3)} times that of water at "
                 f"{units.temperature(WATER_C)} "
                 f"({significant(density, 3)} kg/m3); sound {metal} has {significant(sound, 3)} kg/m3, give "
                 f"or take {significant(wrong, 1)}. ")
        if volume < -error:
            return f"{words}Denser than sound metal can be: is it this alloy, and did no air cling to it?"
        if volume < error:
            return (f"{words}Closed holes: less than {units.volume(error)}, which is all that these weights "
                    "can show.")
        return (f"{words}Closed holes: {units.volume(volume)}, give or take {units.volume(error)}. "
                f"{self._predicted(volume, error, units)}")

    def _predicted(self, volume, error, units):
        """Beside it the prediction of the bench, when it is shown."""
        result = self._bench.result
        if result is None:
            return "The bench still hides its result; when it shows one, its closed holes stand here."
        on_bench, weighed = result.setup.alloy.name, self._alloy.value
        if on_bench != weighed:
            return (f"On the bench stands a casting of {on_bench}: weights of {weighed} cannot be held "
                    "against it.")
        paid = result.account.paid_m3
        closed = paid["cavity"] + paid["sponge"]
        agree = "agree within" if abs(closed - volume) <= error else "differ by more than"
        return (f"The bench as it stands predicts {units.volume(closed)} in closed hollows and fine holes; "
                f"the two {agree} what the weights leave open. They can agree only if it shows your part.")

    def _time_words(self):
        numbers, made_up = self._read("thickness", "time")
        metal, around = alloy(self._alloy.value), mould(self._mould.value)
        pour, modulus = middle(*metal.pour_range_c), numbers["thickness"] / 2
        around = replace(around, start_temp_c=usual_mould_temperature(metal, around))
        by_rule = freezing_time_in_sand(modulus, metal, around, pour)
        timed = numbers["time"]
        own = heat_diffusivity_from_trial(timed, modulus, metal, around, pour)
        thicker = freezing_time(2.0 * modulus, constant_from_trial(timed, modulus))
        low, high = heat_diffusivity_band(self._mould.value)
        where = "within" if low <= own <= high else "below" if own < low else "above"
        units = self._units.value
        return (f"{made_up}For a wide plate of {units.length(numbers['thickness'])}, {metal.name} poured at "
                f"{units.temperature(pour)}, the hand rule with the data of {self._mould.value} says "
                f"{units.time(by_rule, beside=timed)}; you measured {units.time(timed)}. By Chvorinov's rule "
                f"a plate twice as thick takes {units.time(thicker, beside=timed)} in your mould. The time "
                f"goes with 1/b², so your mould has b = {significant(own)} J/(m2 K s^0.5), "
                f"{significant(own / around.heat_diffusivity)} times that of the data, and {where} "
                f"the band of {significant(low)} to {significant(high)}. "
                f"{OUTSIDE if where != 'within' else ''}").strip()

    def _read(self, *names):
        """The numbers, SI, and words that say when they are the example's."""
        typed = {name: self._fields[name].value.strip() for name in names}
        if not any(typed.values()):
            return {name: EXAMPLE[name] for name in names}, "A made-up example, not a measurement: "
        numbers = {}
        for name, text in typed.items():
            label = LABELS[name]
            if not text:
                raise InputError(label, "missing", "fill in all fields of this row, or none for an example")
            shown = require_number(label, text.replace(",", "."))
            if shown < 0.0 or (shown == 0.0 and name != "reads_to"):
                raise InputError(label, text, "it must be greater than 0")
            numbers[name] = self._scale(name).si(shown) if self._scale(name) else shown
        if numbers.get("in_water", 0.0) >= numbers.get("in_air", math.inf):
            allowed = f"it must be less than in air, {typed['in_air']}"
            raise InputError(LABELS["in_water"], typed["in_water"], allowed)
        return numbers, ""

    def _scale(self, name):
        units = self._units.value
        return units.lengths if name == "thickness" else None if name == "time" else units.masses

    def _label(self):
        for name, field in self._fields.items():
            scale = self._scale(name)
            field.description = f"{LABELS[name]} [{raised(scale.unit) if scale else 's'}]"


OUTSIDE = ("Before you believe that, look again at the thermocouple's place, the plate's edges and the "
           "pouring temperature.")


def sound_density(name):
    """Density of sound metal at room temperature [kg/m3], and how far it may be wrong, from the data."""
    row = next(value for value in values(name) if value.quantity == "density_20c")
    ends = [end for end in (row.low, row.high) if end is not None]
    return row.value, max((abs(end - row.value) for end in ends), default=0.0)
