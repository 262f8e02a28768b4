"""Pressure along the canal: what a probe hears some millimetres from the drum."""

import csv
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.acoustics import (
    EAR_AIR,
    RIGID,
    cylinder,
    drum_from_probe,
    drum_impedance_hudde_engel_1998,
    line_constants,
    pressure_ratio_at,
    rigid_drum_error_db,
)

FREQUENCY_HZ = np.geomspace(100.0, 16e3, 85)


@pytest.mark.shared
def test_rigid_drum_error_is_the_reference_table(shared_folder):
    with (shared_folder / "reference/probe_standing_wave_error.csv").open() as file:
        rows = list(csv.DictReader(file))
    checked = 0
    for row in rows:
        distance = float(row["distance_from_eardrum_mm"]) * 1e-3
        assert 343.2 / (4 * distance) == pytest.approx(float(row["quarter_wave_null_hz"]), rel=1e-3)
        for name, value in row.items():
            if not name.startswith("error_at"):
                continue
            frequency = float(name.split("_")[2])
            if value == "past null":
                assert frequency > 343.2 / (4 * distance)
                continue
            error = rigid_drum_error_db([frequency], distance, 343.2)[0]
            # near a null the printed tenth is of a distance and frequency that are themselves exact
            assert error == pytest.approx(float(value), abs=0.051)
            checked += 1
    assert checked > 40


def test_rule_of_thumb_of_2_db():
    """The error stays below 2 dB up to about 36 kHz mm / d (c = 345 m/s)."""
    for distance_mm in (3.0, 5.0, 8.0):
        error = rigid_drum_error_db([36e3 / distance_mm], distance_mm * 1e-3, 345.0)[0]
        assert error == pytest.approx(-2.0, abs=0.1)


def test_null_is_minus_infinity_without_a_warning():
    assert rigid_drum_error_db([345.0 / (4 * 5e-3)], 5e-3, 345.0)[0] < -250.0


@given(st.floats(0.0, 20e-3), st.floats(2e-3, 5e-3))
def test_without_losses_it_is_cos_and_sin(distance, radius):
    """cos kx + j (Zc/Zd) sin kx, with the losses of a wide canal."""
    zd = drum_impedance_hudde_engel_1998(FREQUENCY_HZ)
    k = 2 * np.pi * FREQUENCY_HZ / EAR_AIR.sound_speed_m_s
    zc = EAR_AIR.characteristic_impedance_pa_s_m / (np.pi * radius**2)
    closed = np.cos(k * distance) + 1j * zc / zd * np.sin(k * distance)
    ours = pressure_ratio_at(distance, line_constants(FREQUENCY_HZ, radius, EAR_AIR), zd)
    # the boundary layer shifts phase by 1.045/r_v (Keefe 1984), 2 to 5 percent here
    assert np.abs(ours - closed).max() < 0.06 * (1 + (k * distance).max())


@given(st.floats(0.0, 30e-3), st.floats(1e-3, 5e-3), st.booleans())
def test_it_is_the_tube_before_the_drum(distance, radius, rigid):
    zd = RIGID if rigid else drum_impedance_hudde_engel_1998(FREQUENCY_HZ)
    tube = cylinder(FREQUENCY_HZ, distance, radius, EAR_AIR)
    ours = pressure_ratio_at(distance, line_constants(FREQUENCY_HZ, radius, EAR_AIR), zd)
    np.testing.assert_allclose(ours, 1 / tube.pressure_ratio(zd), rtol=1e-9)


def test_at_the_drum_nothing_is_corrected():
    constants = line_constants(FREQUENCY_HZ, 3.5e-3, EAR_AIR)
    np.testing.assert_allclose(pressure_ratio_at(0.0, constants, 1e8), 1.0)
    np.testing.assert_allclose(drum_from_probe(FREQUENCY_HZ, 0.0, 3.5e-3), 0.0, atol=1e-12)


def test_real_drums_soften_the_null():
    frequency = np.linspace(5e3, 12e3, 701)
    rigid = drum_from_probe(frequency, 10e-3, 3.5e-3)
    real = drum_from_probe(frequency, 10e-3, 3.5e-3, drum_impedance_hudde_engel_1998(frequency))
    assert real.max() < rigid.max()
    assert rigid.max() > 20.0


def test_rigid_and_finite_drums_in_one_ensemble():
    drums = np.array([[1e8], [np.inf]])
    constants = line_constants(FREQUENCY_HZ, [3e-3, 3e-3], EAR_AIR)
    both = pressure_ratio_at([5e-3, 5e-3], constants, drums)
    np.testing.assert_allclose(both[0], pressure_ratio_at(5e-3, line_constants(FREQUENCY_HZ, 3e-3, EAR_AIR), 1e8))
    np.testing.assert_allclose(both[1], pressure_ratio_at(5e-3, line_constants(FREQUENCY_HZ, 3e-3, EAR_AIR)))


def test_an_ensemble_is_quick():
    """200 members at 85 frequencies below 2 ms with the impedances at hand (best of 20)."""
    rng = np.random.default_rng(20)
    radius, distance = rng.normal(3.5e-3, 2e-4, 200), rng.uniform(2e-3, 10e-3, 200)
    drums = drum_impedance_hudde_engel_1998(FREQUENCY_HZ) * np.exp(rng.normal(0.0, 0.2, (200, 1)))
    constants = line_constants(FREQUENCY_HZ, radius, EAR_AIR)
    times = []
    for _ in range(20):
        start = time.perf_counter()
        ratio = pressure_ratio_at(distance, constants, drums)
        times.append(time.perf_counter() - start)
    assert ratio.shape == (200, 85)
    assert min(times) < 2e-3
