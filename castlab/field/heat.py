"""Heat content against temperature: the table by which a cell knows how hot and how solid it is."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

TABLE_MARGIN_K = 200.0  # the table reaches this far beyond the temperatures that can occur


@dataclass(frozen=True, eq=False)
class HeatTable:
    """Temperature, driving temperature [deg C] and solid fraction of an alloy at rising heat content [J/m3].

    A cell that is kept full ends with `density_solid` of metal, and all of it gives its heat to this mould:
    so one density, that of the solid at the solidus, counts. Between the rows everything is linear in heat
    content.
    """

    temp_c: np.ndarray
    heat: np.ndarray
    solid: np.ndarray
    driving_c: np.ndarray

    def temperature(self, heat):
        """Temperature [deg C] of metal with that heat content [J/m3]."""
        return np.interp(heat, self.heat, self.temp_c)

    def temperatures(self, heat):
        """Temperature and driving temperature [deg C] in one look-up, as the parts of a complex number.

        Differences of driving temperature, the integral of k dT / k_solid, drive heat from metal to metal.
        So (Kirchhoff's transformation) metal conducts as solid on one side of a front and as liquid on the
        other, wherever in a cell or a time step the front is.
        """
        if self.one_conductivity:
            both = self.temperature(heat)
            return both, both
        both = np.interp(heat, self.heat, self.both_c)
        return both.real, both.imag

    @cached_property
    def both_c(self):
        """Temperature and driving temperature of each row, as real and imaginary part."""
        return self.temp_c + 1j * self.driving_c

    @cached_property
    def one_conductivity(self):
        """Whether solid and liquid conduct alike."""
        return np.array_equal(self.driving_c, self.temp_c)

    def solid_fraction(self, heat):
        """Share of metal with that heat content [J/m3] that is solid, 0 to 1."""
        return np.interp(heat, self.heat, self.solid)

    def heat_at(self, temp_c):
        """Heat content [J/m3] of metal at a temperature; at an arrest that of the liquid side."""
        place = np.searchsorted(self.temp_c, temp_c, side="right") - 1
        place = min(max(place, 0), len(self.temp_c) - 2)
        rise = self.temp_c[place + 1] - self.temp_c[place]
        share = 0.0 if rise == 0.0 else (temp_c - self.temp_c[place]) / rise
        return self.heat[place] + share * (self.heat[place + 1] - self.heat[place])

    @property
    def heat_when_solid(self):
        """Heat content [J/m3] at which the last liquid is gone."""
        return self.heat[1]


def heat_table(alloy, coldest_c, hottest_c):
    """Add up sensible and latent heat of an alloy from far below to far above what can occur.

    dh = rho [ (f c_solid + (1 - f) c_liquid) dT + L df ], f the solid fraction.

    Parameters: `alloy`; `coldest_c` and `hottest_c` [deg C], between which the metal stays. Returns a
    HeatTable.

    >>> from castlab import alloy
    >>> table = heat_table(alloy("pure aluminium"), 20.0, 700.0)
    >>> float(table.temperature(table.heat_at(650.0)).round(6))
    650.0
    """
    melting = [(temp, solid) for temp, solid in reversed(alloy.solid_fraction)]
    temps = [min(coldest_c, alloy.solidus_c) - TABLE_MARGIN_K, *(temp for temp, _ in melting)]
    temps.append(max(hottest_c, alloy.liquidus_c) + TABLE_MARGIN_K)
    temp_c = np.array(temps)
    solid = np.array([1.0, *(fraction for _, fraction in melting), 0.0])
    middle = 0.5 * (solid[1:] + solid[:-1])
    capacity = middle * alloy.heat_capacity_solid + (1.0 - middle) * alloy.heat_capacity_liquid
    steps = capacity * np.diff(temp_c) - alloy.latent_heat * np.diff(solid)
    heat = alloy.density_solid * np.concatenate([[0.0], np.cumsum(steps)])
    return HeatTable(temp_c, heat, solid, _driving_temperatures(alloy, temp_c, middle))


def _driving_temperatures(alloy, temp_c, solid):
    """Integral of k dT / k_solid from the first row up [deg C]; `solid` is the mean fraction between rows."""
    if alloy.conductivity_liquid == alloy.conductivity_solid:
        return temp_c
    conductivity = solid * alloy.conductivity_solid + (1.0 - solid) * alloy.conductivity_liquid
    steps = np.diff(temp_c) * conductivity / alloy.conductivity_solid
    return temp_c[0] + np.concatenate([[0.0], np.cumsum(steps)])
