"""Ear canals from cross-sections."""

import time

import numpy as np
import pytest

from umbo.acoustics import (
    EAR_AIR,
    INFANT_WALL,
    RIGID,
    canal,
    cut_canal,
    cylinder,
    drum_impedance_hudde_engel_1998,
    drum_impedance_infant_2022,
)
from umbo.errors import InputError, OutOfRangeError

FREQUENCY_HZ = np.geomspace(100.0, 16e3, 40)


def test_a_straight_canal_is_a_cylinder():
    area = np.full(6, np.pi * (3.75e-3) ** 2)
    pieces = canal(FREQUENCY_HZ, np.linspace(0.0, 25e-3, 6), area)
    whole = cylinder(FREQUENCY_HZ, 25e-3, 3.75e-3, EAR_AIR)
    zd = drum_impedance_hudde_engel_1998(FREQUENCY_HZ)
    np.testing.assert_allclose(pieces.input_impedance(zd), whole.input_impedance(zd), rtol=1e-9)
    np.testing.assert_allclose(pieces.transfer_impedance(zd), whole.transfer_impedance(zd), rtol=1e-9)


def test_low_frequency_compliance_is_the_volume():
    """A frustum's volume, by its own formula."""
    r1, r2, length = 4e-3, 2e-3, 10e-3
    z = canal([20.0], [0.0, length], np.pi * np.array([r1, r2]) ** 2).input_impedance(RIGID)[0]
    volume = np.pi * length / 3 * (r1**2 + r1 * r2 + r2**2)
    warm = 1 + 0.4 * 0.6e-3 * 0.5 * 2 / 3e-3  # thermal layer 0.6 mm at 20 Hz, side wall over volume 2/r
    assert (1 / z).imag / (2 * np.pi * 20.0) == pytest.approx(warm * volume / EAR_AIR.bulk_modulus_pa, rel=0.02)


def test_refining_the_positions_changes_nothing():
    """Straight flanks stay cones, however they are cut; the losses follow the local radius."""
    position, radius = np.array([0.0, 8e-3, 20e-3]), np.array([4.5e-3, 3.5e-3, 2.0e-3])
    fine = np.linspace(0.0, 20e-3, 41)
    coarse = canal(FREQUENCY_HZ, position, np.pi * radius**2).transfer_impedance(1e8)
    refined = canal(FREQUENCY_HZ, fine, np.pi * np.interp(fine, position, radius) ** 2).transfer_impedance(1e8)
    np.testing.assert_allclose(20 * np.log10(np.abs(coarse / refined)), 0.0, atol=0.1)


def test_an_ensemble_of_canals_is_one_call():
    rng = np.random.default_rng(4)
    position = np.linspace(0.0, 1.0, 5) * rng.uniform(15e-3, 30e-3, (7, 1))
    area = rng.uniform(20e-6, 60e-6, (7, 5))
    many = canal(FREQUENCY_HZ, position, area).transfer_impedance(1e8)
    assert many.shape == (7, 40)
    np.testing.assert_allclose(many[3], canal(FREQUENCY_HZ, position[3], area[3]).transfer_impedance(1e8))


def test_a_soft_infant_wall_gives_way_at_low_frequency_only():
    position, area = [0.0, 14e-3], np.full(2, np.pi * (1.7e-3) ** 2)
    frequency = np.array([250.0, 8000.0])
    zd = drum_impedance_infant_2022(frequency)
    soft = canal(frequency, position, area, wall=INFANT_WALL).transfer_impedance(zd)
    rigid = canal(frequency, position, area).transfer_impedance(zd)
    change = 20 * np.log10(np.abs(soft / rigid))
    assert change[0] < -1.0
    assert abs(change[1]) < 0.5


def test_small_ears_are_louder():
    """Same source flow: a one-month canal and drum give far more pressure above 2 kHz."""
    frequency = np.array([3e3, 4e3, 6e3, 8e3])
    adult = canal(frequency, [0.0, 16e-3], [45e-6, 35e-6])
    infant = canal(frequency, [0.0, 8e-3], [15e-6, 12e-6], wall=INFANT_WALL)
    of_adult = adult.transfer_impedance(drum_impedance_hudde_engel_1998(frequency))
    of_infant = infant.transfer_impedance(drum_impedance_infant_2022(frequency))
    assert (20 * np.log10(np.abs(of_infant / of_adult)) > 4.0).all()


def test_cut_canal_starts_at_the_plane():
    position, area = cut_canal([0.0, 10e-3, 20e-3], np.pi * np.array([4e-3, 3e-3, 2e-3]) ** 2, 5e-3)
    np.testing.assert_allclose(position, [5e-3, 10e-3, 20e-3])
    np.testing.assert_allclose(area, np.pi * np.array([3.5e-3, 3e-3, 2e-3]) ** 2)


@pytest.mark.parametrize("plane", [-1e-3, 20e-3, 30e-3])
def test_a_plane_outside_the_canal_is_refused(plane):
    with pytest.raises(InputError, match="choose a plane between these"):
        cut_canal([0.0, 10e-3, 20e-3], [1e-5, 1e-5, 1e-5], plane)


def test_positions_and_areas_have_to_match_and_rise():
    with pytest.raises(InputError, match="one area for each"):
        canal(FREQUENCY_HZ, [0.0, 1e-3, 2e-3], [1e-5, 1e-5])
    with pytest.raises(InputError, match="at least two"):
        canal(FREQUENCY_HZ, [0.0], [1e-5])
    with pytest.raises(OutOfRangeError, match="length"):
        canal(FREQUENCY_HZ, [0.0, 2e-3, 1e-3], [1e-5, 1e-5, 1e-5])
    with pytest.raises(OutOfRangeError, match="cross-section area"):
        canal(FREQUENCY_HZ, [0.0, 2e-3], [1e-5, 0.0])


def test_a_canal_at_many_bins_is_quick():
    """Thirty cross-sections at 30 000 bins in about a second at most (best of 2)."""
    frequency = np.arange(1, 30_001) * 0.8
    times = []
    for _ in range(2):
        start = time.perf_counter()
        canal(frequency, np.linspace(0, 30e-3, 30), np.full(30, 40e-6))
        times.append(time.perf_counter() - start)
    assert min(times) < 1.5
