"""Air against tabulated dry air at 101.325 kPa (engineering tables, from memory, as printed)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.acoustics import Air
from umbo.errors import OutOfRangeError

# temperature [°C], density [kg/m³], sound speed [m/s], viscosity [1e-5 Pa s]
TABLE = [
    (20.0, 1.2041, 343.21, 1.82),
    (25.0, 1.1839, 346.13, 1.84),
    (30.0, 1.1644, 349.02, 1.86),
    (35.0, 1.1455, 351.88, 1.89),
]


@pytest.mark.parametrize(("temperature", "density", "speed", "viscosity"), TABLE)
def test_air_agrees_with_tables(temperature, density, speed, viscosity):
    air = Air(temperature)
    assert air.density_kg_m3 == pytest.approx(density, rel=1.5e-3)
    assert air.sound_speed_m_s == pytest.approx(speed, rel=5e-4)
    assert air.viscosity_pa_s / 1e-5 == pytest.approx(viscosity, abs=0.015)
    assert air.heat_capacity_ratio == pytest.approx(1.401, abs=1.5e-3)
    assert air.prandtl_number == pytest.approx(0.71, abs=6e-3)


def test_ideal_gas_relation_holds():
    """The bulk modulus is the heat capacity ratio times the static pressure."""
    air = Air(23.0, 90_000.0)
    assert air.bulk_modulus_pa == pytest.approx(air.heat_capacity_ratio * 90_000.0, rel=2e-3)


@pytest.mark.parametrize("temperature", [16.8, 36.9, float("nan")])
def test_temperature_outside_the_fits_is_refused(temperature):
    with pytest.raises(OutOfRangeError, match=r"hold from 16\.85 to 36\.85 °C; give the temperature"):
        Air(temperature)


@pytest.mark.parametrize("pressure", [49_000.0, 1013.25, float("nan")])
def test_static_pressure_outside_is_refused(pressure):
    with pytest.raises(OutOfRangeError, match="static pressure"):
        Air(23.0, pressure)


@given(st.floats(16.85, 36.85), st.floats(60_000, 105_000))
def test_density_follows_static_pressure_and_sound_speed_does_not(temperature, pressure):
    thin, standard = Air(temperature, pressure), Air(temperature)
    assert thin.density_kg_m3 / standard.density_kg_m3 == pytest.approx(pressure / 101_325.0)
    assert thin.sound_speed_m_s == standard.sound_speed_m_s
