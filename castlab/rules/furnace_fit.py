"""What a furnace of one's own gives and loses, from what its display showed while a known charge heated."""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from castlab.errors import InputError, require_between, require_positive
from castlab.rules.agreement import Judged, fit_linear, judged
from castlab.rules.furnace import SMALL_FURNACE, Furnace, display_at_full_power

READ_K = 3.0  # standard deviation of a reading: the display, and a watch read to some seconds; judgement
FITTED = ("power", "loss", "wall_heat_capacity", "coupling")
# What is known of a furnace before anything is measured: so far may its power be from that on its plate, and
# the other three from those of the example furnace, as a share (standard deviations); judgement.
SPREAD = (0.10, 0.50, 0.40, 0.40)
ON_SHARE_ERROR = 0.05  # of a share of time that was counted by a watch; judgement
STEP = 1e-3  # of a logarithm, for a slope
ROUNDS = 12
DONE = 1e-3  # of a logarithm: a round that changes less is the last
LARGEST_STEP = 0.7  # of a logarithm in one round


@dataclass(frozen=True)
class Heating:
    """One heat-up from cold, the elements on without a break.

    mass [kg]          of the charge, 0.02 to 500; 0: the crucible is empty
    temps_c, heats     rows of its metal's heat content, see `HeatRows`
    readings           ((time [s] after switching on, display [deg C]), ...), the display below its set point
    room_c [deg C]     -20 to 50

    >>> Heating(1.0, (25.0, 500.0), (0.0, 3e5), ((300.0, 180.0),)).readings
    ((300.0, 180.0),)
    """

    mass: float
    temps_c: tuple[float, ...]
    heats: tuple[float, ...]
    readings: tuple[tuple[float, float], ...]
    room_c: float = 25.0

    def __post_init__(self):
        if self.mass:
            require_between("mass of the charge", self.mass, 0.02, 500.0, "kg")
        require_between("room temperature", self.room_c, -20.0, 50.0, "deg C")
        for time, shown_c in self.readings:
            require_between("time of a reading", time, 1.0, 12 * 3600.0, "s")
            require_between("reading of the display", shown_c, -40.0, 1800.0, "deg C")


@dataclass(frozen=True)
class Holding:
    """How much of the time the elements are on once all has long come to rest at a set point.

    temp_c [deg C]   of the display, 100 to 1800         on_share   0.02 to 1, counted over some minutes
    room_c [deg C]   -20 to 50

    >>> Holding(600.0, 0.25).on_share
    0.25
    """

    temp_c: float
    on_share: float
    room_c: float = 25.0

    def __post_init__(self):
        require_between("temperature held", self.temp_c, 100.0, 1800.0, "deg C")
        require_between("share of the time that the elements are on", self.on_share, 0.02, 1.0)
        require_between("room temperature", self.room_c, -20.0, 50.0, "deg C")


@dataclass(frozen=True, eq=False)
class FurnaceFit:
    """A furnace as it was measured.

    furnace     a `Furnace` with the fitted values
    bands       {name of FITTED: how far the truth may be off, as a share of the value}
    left_over   of each reading [K], then of each share of time on: measured less fitted
    judged      which of these entries does not agree with the others: `castlab.rules.agreement.Judged`
    """

    furnace: Furnace
    bands: dict
    left_over: tuple[float, ...]
    judged: Judged


def usual_furnace(power):
    """What a furnace of that power may be like before anything is measured: a `Furnace`.

    The example furnace with wall, coupling and loss in proportion to the power (judgement).

    power [W]  50 to 50 000, from its plate

    Raises InputError outside the range.

    >>> usual_furnace(2880.0).loss / SMALL_FURNACE.loss
    2.0
    """
    share = require_positive("power of the furnace", power, "W") / SMALL_FURNACE.power
    grown = {name: share * getattr(SMALL_FURNACE, name) for name in FITTED}
    return replace(SMALL_FURNACE, **grown)


def fit_furnace(plate_power, heatings, holdings=(), reading_error=READ_K):
    """Power, loss, wall and coupling of a furnace from what was seen of it: a `FurnaceFit`.

    least sum of ((measured - computed) / error)^2 + (ln(value / usual) / SPREAD)^2, by Gauss and Newton's
    method on the logarithms of the four values; held at T, share of time on = loss (T - T_room) / power

    plate_power [W]      as written on the furnace, 50 to 50 000
    heatings             `Heating`s, with 3 readings or more in all; best is one without metal and one with
                         much of it, because with one alone a strong furnace with a heavy wall and a weak one
                         with a light wall look alike
    holdings             `Holding`s, or none
    reading_error [K]    standard deviation of one reading, 0.5 to 30; 3 is judgement

    Power is known as well as the heat that the metal takes up, which castlab/data know to about 10 %; for
    another melt of the same alloy that does not matter. Raises InputError outside the ranges and for too
    few readings. Source: two lumps as in `castlab.rules.furnace`, fitted as any textbook of regression does.
    Check: readings computed for a furnace of 1300 W give 1300 W back.

    >>> old = replace(SMALL_FURNACE, power=1300.0)
    >>> tin = (25.0, 231.9, 231.9, 450.0), (0.0, 5e4, 1.1e5, 1.63e5)
    >>> times = tuple(range(60, 900, 60))
    >>> heatings = [Heating(mass, *tin, tuple(zip(times, display_at_full_power(old, times, mass, *tin))))
    ...             for mass in (0.0, 2.0)]
    >>> fit = fit_furnace(1440.0, heatings)
    >>> abs(fit.furnace.power - 1300.0) < 1300.0 * fit.bands["power"] < 400.0
    True
    """
    runs = _Runs(tuple(heatings), tuple(holdings), usual_furnace(plate_power),
                 require_between("error of a reading", reading_error, 0.5, 30.0, "K"))
    if sum(len(each.readings) for each in runs.heatings) < 3:
        raise InputError("readings of the heat-up", f"{len(runs.measured)}", "at least 3 are needed")
    logs = {}

    def fit_of(kept):
        logs[tuple(kept)], fit = runs.fit(kept)
        return fit

    result = judged(fit_of, len(runs.measured))
    kept = tuple(at for at in range(len(runs.measured)) if at != result.left_out)
    furnace = runs.furnace(logs[kept])
    left = runs.said(runs.measured) - runs.said(runs.computed(furnace))
    bands = dict(zip(FITTED, map(float, result.fit.bands), strict=True))
    return FurnaceFit(furnace, bands, tuple(map(float, left)), result)


@dataclass(frozen=True)
class _Runs:
    """All that was measured of one furnace: readings [deg C], then logarithms of shares of time on."""

    heatings: tuple
    holdings: tuple
    usual: Furnace
    error: float

    @cached_property
    def measured(self):
        shown = [reading for each in self.heatings for _, reading in each.readings]
        return np.array(shown + [math.log(each.on_share) for each in self.holdings])

    @cached_property
    def errors(self):
        ends = len(self.holdings)
        return np.array([self.error] * (len(self.measured) - ends) + [ON_SHARE_ERROR] * ends)

    def said(self, entries):
        """Entries as a person reads them: shares instead of their logarithms."""
        first = len(entries) - len(self.holdings)
        return np.concatenate([entries[:first], np.exp(entries[first:])])

    def furnace(self, logs):
        return replace(self.usual, **{name: getattr(self.usual, name) * math.exp(log)
                                      for name, log in zip(FITTED, logs, strict=True)})

    def computed(self, furnace):
        """All entries, as this furnace would have shown them."""
        shown = [display_at_full_power(furnace, [time for time, _ in each.readings], each.mass, each.temps_c,
                                       each.heats, each.room_c) for each in self.heatings]
        held = [math.log(furnace.loss * (each.temp_c - each.room_c) / furnace.power)
                for each in self.holdings]
        return np.concatenate([*shown, held])

    def fit(self, kept):
        """Logarithms of the four values over the usual ones, and the fit about them."""
        logs = np.zeros(len(FITTED))
        for _ in range(ROUNDS):
            computed, slopes = self._slopes(logs)
            aim = (self.measured - computed + slopes @ logs)[kept]
            fit = fit_linear(slopes[kept], aim, self.errors[kept], np.zeros(len(FITTED)), SPREAD)
            change = np.clip(fit.values - logs, -LARGEST_STEP, LARGEST_STEP)
            logs = logs + change
            if np.abs(change).max() < DONE:
                break
        return logs, fit

    def _slopes(self, logs):
        """The entries as computed, and how they change with each logarithm."""
        computed = self.computed(self.furnace(logs))
        moved = [self.computed(self.furnace(logs + STEP * unit)) for unit in np.eye(len(FITTED))]
        return computed, (np.array(moved).T - computed[:, None]) / STEP
