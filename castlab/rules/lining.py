"""What a furnace's lining costs: the heat that warms brick and crucible beside the metal, and two builders'
melts that show it."""

from dataclasses import dataclass, replace

import numpy as np

from castlab.errors import InputError, require_between, require_positive
from castlab.materials import alloy
from castlab.rules.furnace import HeatRows, heat_up
from castlab.rules.melting import ROOM_C, heat_rows
from castlab.units import given, seconds

HOTTEST_C = 1000.0
HOTTER_K = 180.0  # set so far above what is wanted, such a furnace heats at full power to the end


def lining_heat_capacity(power, time, metal_heat, temp_c, room_c=ROOM_C):
    """Heat capacity of all in a furnace that warmed up beside the metal, from one melt from cold [J/K].

    C = (power time - heat in the metal) / (T - T_room)

    power [W]         full until the end, greater than 0
    time [s]          from switching on until the metal had that temperature, greater than 0
    metal_heat [J]    taken up by the metal: mass times a content from `melting.heat_rows`; greater than 0
    temp_c [deg C]    of metal and lining at the end, above the room's
    room_c [deg C]    -20 to 50

    What was lost to the room is counted as lining, so this is the most that the lining can be. Raises
    InputError where the power would not even have melted the metal by then. A balance of heat. By hand, 2000
    W for 1000 s, 1 MJ in the metal, 1000 K above the room: 1000 J/K, about a kilogram of brick.

    >>> lining_heat_capacity(2000.0, 1000.0, 1e6, 1025.0)
    1000.0
    """
    power = require_positive("power of the furnace", power, "W")
    time = require_positive("time of the melt", time, "s")
    room_c = require_between("temperature of the room", room_c, -20.0, 50.0, "deg C")
    temp_c = require_between("temperature at the end", temp_c, room_c + 1.0, 3000.0, "deg C")
    least = require_positive("heat in the metal", metal_heat, "J") / power
    if least >= time:
        raise InputError("time of the melt", given(time, "s"), "it must be more than {}: the metal alone "
                         "takes so long", seconds(least))
    return power * (time - least) / (temp_c - room_c)


@dataclass(frozen=True)
class TimedMelt:
    """A melt from cold that somebody timed.

    name; power [W], full until the end; mass [kg] of pure aluminium; time [s] until it was at temp_c [deg C]

    >>> light, _ = TWO_BUILDERS
    >>> round(light.least_time / 60.0, 1)  # by hand: 1.14 MJ at 2 kW
    9.5
    """

    name: str
    power: float
    mass: float
    time: float
    temp_c: float = 720.0

    @property
    def metal_heat(self):
        """Heat that the metal took up [J]."""
        return self.mass * HeatRows(*self._rows()).liquid_heat(self.temp_c)

    @property
    def least_time(self):
        """With all heat in the metal [s]: also a second melt, in a lining that is still hot."""
        return self.metal_heat / self.power

    @property
    def share_in_metal(self):
        """Share of what the elements gave that was in the metal at the end."""
        return self.least_time / self.time

    @property
    def lining(self):
        """The most that the lining can be: its heat capacity [J/K]."""
        return lining_heat_capacity(self.power, self.time, self.metal_heat, self.temp_c)

    def computed_time(self, furnace):
        """The same melt in a furnace with this power and lining, and the couplings of `furnace` [s]."""
        mine = replace(furnace, power=self.power, wall_heat_capacity=self.lining, top_temp_c=HOTTEST_C)
        run = heat_up(mine, self.temp_c + HOTTER_K, self.mass, *self._rows(), hold=0.0)
        return float(np.interp(self.temp_c, run.metal_c, run.time))

    def _rows(self):
        return heat_rows(alloy("pure aluminium"), HOTTEST_C)


# Two builders' pages, read: lining, end temperature and crucible not said. The first melts "in under half an
# hour", with an element of 2 kW in blocks of aerated concrete; the second in "about two hours", with 20 A at
# 220 V in firebrick and castable, about 5 lb. 720 deg C is a judgement.
TWO_BUILDERS = (TimedMelt("light blocks", 2000.0, 1.0, 1800.0), TimedMelt("firebrick", 4400.0, 2.27, 7200.0))
