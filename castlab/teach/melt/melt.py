"""One melt as a bench shows it: from the part to the charge, the furnace's run and the metal in the mould.

The rules do the computing; here they are put one behind the other, and said in words.
"""

import functools
import math
from dataclasses import dataclass, replace

import numpy as np

from castlab.errors import InputError
from castlab.field import grid
from castlab.field.layout import METAL_ROLES, Layout, Setup
from castlab.field.outcome import FULL
from castlab.rules import charge, furnace, melting, pouring
from castlab.teach.melt import melt_words
from castlab.teach.melt.from_shop import FromShop

BASIN_M3 = 15e-6  # stays in the pouring cup above the sprue; judgement
FALL_M = 0.10  # from the lip of the crucible to the cup; judgement
STEP_C = 5.0  # set points are given on steps of a display
SWING_K = 5.0  # metal may come so far above what the furnace is set to, as it switches on and off; tested
CLOSE_K = 15.0  # metal that comes so near to what was wanted is poured; judgement


@dataclass(frozen=True)
class Circuit:
    """A supply: volts and the breaker's amperes."""

    volts: float
    amps: float


CIRCUITS = {f"{volts} V, {amps} A": Circuit(volts, amps)
            for volts, amps in ((120, 15), (120, 20), (230, 10), (230, 16))}


@dataclass(frozen=True)
class MeltSetup:
    """What is to be melted, in what, and how: SI, temperatures in deg C.

    casting           the `Setup` that the metal is for; its pouring temperature is wanted in the mould
    rated_mass [kg]   of the crucible as it is sold       heel_share   left in the pot, of what is poured
    power [W]         on the furnace's plate, when new    aged         resistance of the elements over new
    circuit           what it is plugged into             sensor_error [K]   display reads too high by
    set_point_c       on the display                      hold [s]     after all metal is liquid
    carry [s]         from the furnace to the end of the pour
    own               what the shop's own book says of furnace and pot, and takes the place of the above
    """

    casting: Setup
    rated_mass: float
    heel_share: float
    power: float
    aged: float
    circuit: Circuit
    sensor_error: float
    set_point_c: float
    hold: float
    carry: float
    own: FromShop = FromShop()

    @property
    def pot_volume(self):
        """Volume of the pot to its brim [m3]: measured, else inferred from what it is sold as."""
        return self.own.pot_volume or charge.rated_volume(self.rated_mass)

    @property
    def alloy(self):
        """The alloy of the casting."""
        return self.casting.alloy

    @property
    def wanted_c(self):
        """Temperature wanted in the mould [deg C]."""
        return self.casting.pour_temp_c

    @property
    def true_set_c(self):
        """What the furnace comes to when the display shows the set point [deg C]."""
        return self.set_point_c - self.sensor_error


@functools.lru_cache(maxsize=64)
def metal_volumes(layout: Layout):
    """Volume of each metal block of a layout [m3]: ((name, role, volume), ...)."""
    cells = grid.build(layout, FULL.cell_in(layout))
    volume = cells.metal_volume
    return tuple((block.name, block.role, float(volume[cells.block == number].sum()))
                 for number, block in enumerate(layout.blocks) if block.role in METAL_ROLES)


def charge_for(setup):
    """What to weigh in for a `MeltSetup`: the masses of its casting, the middle of the usual loss, heel."""
    metal = setup.alloy
    masses = dict.fromkeys(("casting", "feeder", "gate", "sprue"), 0.0)
    for name, role, volume in metal_volumes(setup.casting.layout):
        masses["sprue" if name == "sprue" else role] += metal.density_solid * volume
    masses["basin"] = metal.density_solid * BASIN_M3
    loss = sum(charge.usual_melt_loss(metal)) / 2.0
    return charge.charge(**masses, melt_loss=loss, heel=setup.heel_share * sum(masses.values()))


def furnace_of(setup):
    """The shop's own furnace, else the example, with this power, and with elements of this age."""
    new = setup.own.furnace or furnace.SMALL_FURNACE
    gives = setup.power if setup.own.furnace is None else new.power * setup.power / setup.own.plate_power
    power = melting.aged_power(gives, setup.aged)
    by_power = melting.ROOM_C + power / new.loss - 2.0 * new.switching_band
    top = min(melting.aged_top_temp_c(new.top_temp_c, setup.aged), by_power)
    return replace(new, power=power, top_temp_c=top)


def solve_melt(setup, *_):
    """The plan for a `MeltSetup`. A bench says besides how closely to look; here that makes no difference."""
    weighed, pot = charge_for(setup), setup.pot_volume
    holds = charge.crucible_holds(pot, setup.alloy, max(setup.alloy.liquidus_c, setup.true_set_c))
    oven, run = furnace_of(setup), None
    if setup.true_set_c <= oven.top_temp_c:
        rows = melting.heat_rows(setup.alloy, max(setup.alloy.liquidus_c, setup.true_set_c) + 50.0)
        run = furnace.heat_up(oven, setup.true_set_c, weighed.weigh_in, *rows, hold=setup.hold)
    return Melt(setup, weighed, holds, pouring.crucible_vessel(pot), oven, run)


@dataclass(frozen=True, eq=False)
class Melt:
    """A melt computed: charge, what the pot holds [kg], furnace, its run (None: it does not get there)."""

    setup: MeltSetup
    charge: charge.Charge
    holds: float
    vessel: pouring.Vessel
    furnace: furnace.Furnace
    run: furnace.HeatUp | None

    @property
    def alloy(self):
        """The alloy that is melted."""
        return self.setup.alloy

    # ---- times [s] and temperatures [deg C]

    @functools.cached_property
    def all_liquid(self):
        """When all metal is liquid; None when it never is."""
        try:
            return self.run.all_liquid(self.alloy.liquidus_c) if self.run else None
        except InputError:
            return None

    @property
    def ready(self):
        """When to pour: the hold after all is liquid; None when it never is."""
        return None if self.all_liquid is None else self.all_liquid + self.setup.hold

    @property
    def melting_from(self):
        """When the first metal melts; None when none does."""
        first = self.run.metal_heat >= melting.solid_heat(self.alloy).value
        return float(self.run.time[np.argmax(first)]) if first.any() else None

    def metal_c(self, time):
        """True temperature of the metal."""
        return float(np.interp(time, self.run.time, self.run.metal_c))

    def display_c(self, time):
        """What the display shows, with the sensor's error."""
        return float(np.interp(time, self.run.time, self.run.display_c)) + self.setup.sensor_error

    def melted_share(self, time):
        """How much of the heat of melting the metal has taken up: 0 solid, 1 all liquid."""
        solid = melting.solid_heat(self.alloy).value
        liquid = self.run.table.liquid_heat(self.alloy.liquidus_c)
        heat = np.interp(time, self.run.time, self.run.metal_heat)
        return float(np.clip((heat - solid) / (liquid - solid), 0.0, 1.0))

    def stage(self, time):
        """What the metal is like: "solid", "melting", "liquid", or "there", within 5 K of the set point."""
        melted = self.melted_share(time)
        if melted < 1.0:
            return "melting" if melted > 0.0 else "solid"
        return "there" if self.metal_c(time) >= self.run.set_point_c - furnace.ARRIVED_K else "liquid"

    # ---- from the furnace to the mould

    def way(self, mould_c, carry=None):
        """How hot the metal must be in the furnace to enter the mould at a temperature, `carry` [s] later."""
        carry = self.setup.carry if carry is None else carry
        return pouring.way_to_mould(self.alloy, mould_c, self.charge.poured, self.vessel, carry,
                                    self.setup.casting.pour_time_s, FALL_M)

    @functools.cached_property
    def enters_c(self):
        """Temperature of the last metal into the mould; None where it freezes before, or never melts."""
        if self.ready is None:
            return None
        metal, poured, carry = self.alloy, self.charge.poured, self.setup.carry
        try:
            at_lip = pouring.held_temp_c(metal, self.metal_c(self.ready), carry, poured, self.vessel)
        except InputError:
            return None
        flow = poured / self.setup.casting.pour_time_s
        entering = at_lip - pouring.stream_loss(metal, at_lip, flow, FALL_M)
        return entering if entering > metal.liquidus_c else None

    @functools.cached_property
    def advised_c(self):
        """Set point that brings the wanted temperature into the mould, on a step of the display."""
        needed = self.way(self.setup.wanted_c).furnace_c + self.setup.sensor_error
        return STEP_C * math.ceil(needed / STEP_C - 1e-9)

    @property
    def wants_too_hot(self):
        """Whether what is wanted in the mould asks for metal hotter in the furnace than it may ever be."""
        return self.advised_c - self.setup.sensor_error + SWING_K > melting.hottest_melt_c(self.alloy)

    @property
    def comes_to_c(self):
        """How hot the metal may come in the furnace, so set [deg C]."""
        return self.setup.true_set_c + SWING_K

    @property
    def top_shown_c(self):
        """The highest temperature that the display reaches."""
        return self.furnace.top_temp_c + self.setup.sensor_error

    # ---- what stands against it

    @property
    def problems(self):
        """What is wrong with this plan, worst first: a tuple of "fumes", "pot", "circuit", "top", "solid",
        "frozen", "cold", "hot"; empty when it can be poured."""
        carries = melting.circuit_power(self.setup.circuit.volts, self.setup.circuit.amps)
        found = [("fumes", self.comes_to_c > melting.hottest_melt_c(self.alloy)),
                 ("pot", self.charge.weigh_in > self.holds),
                 ("circuit", self.setup.power > carries), ("top", self.run is None)]
        if self.run is not None:
            found.append(("solid", self.ready is None))
        if self.ready is not None:
            off = None if self.enters_c is None else self.enters_c - self.setup.wanted_c
            found += [("frozen", off is None), ("cold", off is not None and off < -CLOSE_K),
                      ("hot", off is not None and off > CLOSE_K)]
        return tuple(name for name, there in found if there)

    @property
    def can_be_poured(self):
        """Whether nothing stands in the way: no `problems`."""
        return not self.problems

    @property
    def order(self):
        """How the charge goes into the pot; raises InputError when it does not fit."""
        return charge.fill_order(self.charge.weigh_in, self.holds)

    def sentence(self, units):
        """What stands against this plan, or when the metal is ready and how hot it enters the mould."""
        return melt_words.sentence(self, units)

    def numbers(self, units):
        """Pairs of name and words."""
        return melt_words.numbers(self, units)
