"""Heat content against temperature: sums by hand of what a metal made by hand takes."""

import numpy as np
import pytest
from cases import metal, pure_metal

from castlab.field.heat import heat_table

# 5000 kg/m3; 400 J/kg/K solid, 600 liquid; 100 kJ/kg, melting evenly from 400 to 500 deg C.
MUSHY = metal(
    liquidus_c=500.0, solidus_c=400.0, solid_fraction=((500.0, 0.0), (400.0, 1.0)), latent_heat=100e3,
    heat_capacity_solid=400.0, heat_capacity_liquid=600.0, density_solid=5000.0, conductivity_solid=100.0,
    conductivity_liquid=50.0, pour_range_c=())


@pytest.fixture
def table():
    return heat_table(MUSHY, 20.0, 600.0)


@pytest.mark.parametrize(
    "low_c, high_c, heat",
    [
        (100.0, 400.0, 5000 * 300 * 400.0),
        (400.0, 500.0, 5000 * (100 * 500.0 + 100e3)),  # half solid in the mean
        (500.0, 600.0, 5000 * 100 * 600.0),
        (-100.0, 0.0, 5000 * 100 * 400.0),  # beyond what can occur: a table must not end there
        (650.0, 700.0, 5000 * 50 * 600.0),
    ],
)
def test_heat_between_two_temperatures(table, low_c, high_c, heat):
    low, high = table.heat_at(low_c), table.heat_at(high_c)
    assert high - low == pytest.approx(heat)
    assert (table.temperature(low), table.temperature(high)) == pytest.approx((low_c, high_c))


def test_solid_fraction_goes_with_the_heat(table):
    solid, liquid = table.heat_at(400.0), table.heat_at(500.0)
    assert table.heat_when_solid == pytest.approx(solid)
    shares = [table.solid_fraction(solid + part * (liquid - solid)) for part in (-1.0, 0.0, 0.25, 1.0, 2.0)]
    assert shares == pytest.approx([1.0, 1.0, 0.75, 0.0, 0.0])


def test_what_drives_heat_counts_each_kelvin_by_its_conductivity(table):
    """Solid in full, the mush by three quarters in the mean, liquid by half."""
    heats = [table.heat_at(each) for each in (300.0, 400.0, 500.0, 600.0)]
    driving = np.interp(heats, table.heat, table.driving_c)
    assert np.diff(driving) == pytest.approx([100.0, 75.0, 50.0])
    assert not table.one_conductivity
    assert heat_table(metal(), 20.0, 500.0).one_conductivity


def test_at_a_melting_point_the_liquid_counts():
    table = heat_table(pure_metal(420.0), 20.0, 500.0)
    latent = table.heat_at(420.0) - table.heat_when_solid
    assert latent == pytest.approx(6000.0 * 110e3)
    assert table.temperature(table.heat_when_solid + 0.5 * latent) == pytest.approx(420.0)
