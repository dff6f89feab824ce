"""How strongly a mould of one's own draws heat, from plates whose freezing time was taken."""

import math
from dataclasses import dataclass, replace

import numpy as np

from castlab.errors import InputError, require_between
from castlab.materials import Alloy, Mould
from castlab.rules.agreement import Judged, fit_linear, judged
from castlab.rules.freezing import heat_to_freeze
from castlab.rules.weighing import heat_diffusivity_from_trial

# Standard deviations of one trial; judgement: a stop-watch and an eye on a display, a calliper on sand, a
# thermocouple in the stream.
TIME_SHARE, THICKNESS_M, POUR_K = 0.03, 0.2e-3, 7.0
SLIGHTLY = 0.01  # of time and thickness, to see how the result changes with them


@dataclass(frozen=True)
class TimedPlate:
    """A wide plate cast in that mould, and when its middle passed the solidus.

    alloy, mould          castlab.materials.Alloy, Mould; of the mould, its contact and the temperature count
    thickness [m]         0.001 to 0.2                    time [s]   from the pour, 1 to 20 000
    pour_temp_c [deg C]   at or above the liquidus        mould_temp_c [deg C]   before the pour

    Raises InputError where a number is impossible.

    >>> from castlab.materials import alloy, mould
    >>> plate = TimedPlate(alloy("ZA-12"), mould("green sand"), 0.012, 100.0, 475.0, 25.0)
    >>> 800 < plate.heat_diffusivity < 2500, 0.03 < plate.error < 0.15
    (True, True)
    """

    alloy: Alloy
    mould: Mould
    thickness: float
    time: float
    pour_temp_c: float
    mould_temp_c: float

    def __post_init__(self):
        require_between("thickness of the plate", self.thickness, 1e-3, 0.2, "m")
        require_between("time until the plate's middle was solid", self.time, 1.0, 20e3, "s")

    @property
    def heat_diffusivity(self):
        """What this plate alone says [J/m2/K/s^0.5]."""
        return self._says(1.0, 1.0)

    @property
    def error(self):
        """Standard deviation of that, as a share: of time, thickness and pour, whose squares add up.

        What the contact holds back makes it more than half the error of the time.
        """
        alone = self.heat_diffusivity
        by_time, by_heat = (math.log(self._says(*more) / alone) / math.log(1.0 + SLIGHTLY)
                            for more in ((1.0 + SLIGHTLY, 1.0), (1.0, 1.0 + SLIGHTLY)))
        of_pour = self.alloy.heat_capacity_liquid * POUR_K / heat_to_freeze(self.alloy, self.pour_temp_c)
        return math.hypot(by_time * TIME_SHARE, by_heat * THICKNESS_M / self.thickness, by_heat * of_pour)

    def _says(self, later, thicker):
        """The heat diffusivity if the plate had taken so many times as long, and been so much thicker."""
        around, modulus = replace(self.mould, start_temp_c=self.mould_temp_c), 0.5 * self.thickness
        return heat_diffusivity_from_trial(later * self.time, thicker * modulus, self.alloy, around,
                                           self.pour_temp_c)


@dataclass(frozen=True, eq=False)
class MouldFit:
    """A mould as it was measured.

    heat_diffusivity [J/m2/K/s^0.5]   and `band`, how far the truth may be off, as a share of it
    left_over   of each plate, as a share: what it says alone, less what all say
    judged      which plate does not agree with the others: `castlab.rules.agreement.Judged`
    """

    heat_diffusivity: float
    band: float
    left_over: tuple[float, ...]
    judged: Judged


def fit_mould(plates):
    """Heat diffusivity of a mould from one timed plate or more: a `MouldFit`.

    ln b = mean of the plates' ln b, each weighed by 1 / error^2

    plates   `TimedPlate`s, all in the same kind of mould

    b is known as well as the heat that the metal gives off, which castlab/data know to about 10 %. With two
    plates that differ nobody can say which is wrong; with three or more the fit names it. Raises InputError
    for no plate. Source: the rule of `freezing_time_in_sand`; a weighted mean (common practice). By hand,
    without a contact: where a plate took four times as long, the mould draws half as strongly.

    >>> from castlab.materials import alloy, mould
    >>> sand = replace(mould("green sand"), interface_coefficient=math.inf)
    >>> plate = TimedPlate(alloy("ZA-12"), sand, 0.012, 100.0, 475.0, 25.0)
    >>> both = [fit_mould([replace(plate, time=time)]).heat_diffusivity for time in (100.0, 400.0)]
    >>> round(both[0] / both[1], 6)
    2.0
    """
    plates = tuple(plates)
    if not plates:
        raise InputError("timed plates", "none", "at least one is needed")
    logs = np.log([each.heat_diffusivity for each in plates])
    errors = np.array([each.error for each in plates])

    def fit_of(kept):
        return fit_linear(np.ones((len(kept), 1)), logs[kept], errors[kept])

    result = judged(fit_of, len(plates))
    middle = float(result.fit.values[0])
    return MouldFit(math.exp(middle), float(result.fit.bands[0]),
                    tuple(map(float, np.expm1(logs - middle))), result)


def scaled_mould(mould, share):
    """The mould with another heat diffusivity: a castlab.materials.Mould.

    share   of its own heat diffusivity, 0.3 to 3: conductivity and heat capacity times share, so that heat
            runs as deep into it in the same time (a plate says nothing of that)

    Raises InputError outside the range. Heat diffusivity by definition sqrt(k density c):

    >>> from castlab.materials import mould
    >>> sand = mould("green sand")
    >>> round(scaled_mould(sand, 0.9).heat_diffusivity / sand.heat_diffusivity, 6)
    0.9
    """
    share = require_between("heat diffusivity over that of the data", share, 0.3, 3.0)
    return mould if share == 1.0 else replace(
        mould, conductivity=share * mould.conductivity, heat_capacity=share * mould.heat_capacity)
