"""The couplers' cavities against finite elements to 16 kHz: a library that knows nothing of modes."""

from types import SimpleNamespace

import numpy as np
import pytest

pytest.importorskip("skfem", reason="scikit-fem is not installed: `make env` installs it")

from finite_elements import impedances

from umbo.acoustics import COUPLER_AIR, HALF_INCH, Coupler

FREQUENCY_HZ = np.array([500.0, 1e3, 2e3, 3e3, 4e3, 5e3, 8e3, 10e3, 12e3, 14e3, 16e3])
# the same air without viscosity and heat conduction, which the elements do not have
LOSSLESS = SimpleNamespace(
    density_kg_m3=COUPLER_AIR.density_kg_m3,
    sound_speed_m_s=COUPLER_AIR.sound_speed_m_s,
    viscosity_pa_s=1e-20,
    heat_capacity_ratio=COUPLER_AIR.heat_capacity_ratio,
    prandtl_number=COUPLER_AIR.prandtl_number,
    bulk_modulus_pa=COUPLER_AIR.bulk_modulus_pa,
    characteristic_impedance_pa_s_m=COUPLER_AIR.characteristic_impedance_pa_s_m,
)


@pytest.mark.parametrize(
    "coupler", [Coupler("ha1"), Coupler("ha2"), Coupler("ha4"), Coupler("cc04"), Coupler("ha1", microphone=HALF_INCH)]
)
def test_cavities_agree_within_a_tenth_of_a_decibel_to_16_khz(coupler):
    cavity = coupler.cavity
    into, transfer = impedances(
        FREQUENCY_HZ,
        cavity.radius_m,
        cavity.length_m,
        cavity.inlet_radius_m,
        cavity.microphone_radius_m,
        COUPLER_AIR.density_kg_m3,
        COUPLER_AIR.sound_speed_m_s,
    )
    ours_in, ours_tr, _ = cavity.impedance_matrix(FREQUENCY_HZ, LOSSLESS)
    np.testing.assert_allclose(20 * np.log10(np.abs(ours_tr / transfer)), 0.0, atol=0.02)
    np.testing.assert_allclose(20 * np.log10(np.abs(ours_in / into)), 0.0, atol=0.1)
