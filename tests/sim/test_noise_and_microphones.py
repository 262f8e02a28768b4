"""Noise spectra and microphone chains against their stated numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from umbo.sim import NoiseFloor, RecordingFaults, coupler_microphone, probe_microphone
from umbo.sim._noise import a_weighting_power

RATE_HZ = 48000.0


@pytest.mark.parametrize(
    ("frequency_hz", "level_db"),
    [(100.0, -19.1), (1000.0, 0.0), (2000.0, 1.2), (10000.0, -2.5)],  # IEC 61672-1, table of weightings, from memory
)
def test_a_weighting(frequency_hz, level_db):
    assert 10 * np.log10(a_weighting_power(np.array(frequency_hz))) == pytest.approx(level_db, abs=0.06)


@pytest.mark.parametrize(
    "floor",
    [
        NoiseFloor(level_dba=28.0),
        NoiseFloor(level_dba=28.0, low_corner_hz=200.0),
        NoiseFloor(level_dba=40.0, low_corner_hz=200.0, high_corner_hz=3000.0),
    ],
)
def test_noise_samples_have_the_stated_level_and_density(floor):
    samples = floor.samples(np.random.default_rng(1), 20 * 48000, RATE_HZ)
    power = np.abs(np.fft.rfft(samples)) ** 2 * 2 / samples.size**2
    frequency_hz = np.fft.rfftfreq(samples.size, 1 / RATE_HZ)
    weighted = np.sum(power[1:] * a_weighting_power(frequency_hz[1:]))
    assert 10 * np.log10(weighted / 4e-10) == pytest.approx(floor.level_dba, abs=0.1)
    for low_hz, high_hz in ((180.0, 224.0), (900.0, 1120.0), (7000.0, 9000.0)):
        inside = (frequency_hz >= low_hz) & (frequency_hz < high_hz)
        expected = np.sum(floor.density_pa2(frequency_hz[inside])) * frequency_hz[1]
        assert 10 * np.log10(np.sum(power[inside]) / expected) == pytest.approx(0.0, abs=0.35)


def test_density_of_white_noise_closed_form():
    # white noise of 1 Pa² over 24 kHz, weighted: the A-weighted share follows from the weighting's own integral
    floor = NoiseFloor(level_dba=30.0)
    grid_hz = np.linspace(1.0, 24000.0, 200_001)
    share = np.trapezoid(a_weighting_power(grid_hz), grid_hz)
    expected = 4e-10 * 10**3 / share
    assert floor.density_pa2(np.array([1000.0]))[0] == pytest.approx(expected, rel=1e-3)


def test_the_true_factor_turns_pascals_into_samples():
    chain = replace(coupler_microphone().perfect(), pa_per_full_scale=50.0, true_error_db=0.5)
    tone_pa = np.sin(2 * np.pi * np.arange(480) / 48)
    samples = chain.record(tone_pa, RATE_HZ, np.random.default_rng(0))
    assert np.max(samples) == pytest.approx(1.0 / (50.0 * 10 ** (0.5 / 20)), rel=1e-12)


def test_calibration_errors_spread_as_stated():
    rng = np.random.default_rng(2)
    for chain in (coupler_microphone(u_db=0.3), probe_microphone(u_db=0.5)):
        errors = [chain.redraw(rng).true_error_db for _ in range(4000)]
        assert np.std(errors) == pytest.approx(chain.u_db, rel=0.05)
        assert abs(np.mean(errors)) < 0.03


def test_recorder_faults():
    ramp = np.linspace(-2.0, 2.0, 4801)
    clipped = RecordingFaults().apply(ramp, RATE_HZ)
    assert (clipped.min(), clipped.max()) == (-1.0, 1.0)
    assert RecordingFaults(clip_fs=0.25).apply(ramp, RATE_HZ).max() == 0.25
    steady = np.full(4800, 0.1)
    assert np.allclose(RecordingFaults(dc_fs=0.05).apply(steady, RATE_HZ), 0.15)
    drifted = RecordingFaults(gain_drift_db=6.0).apply(steady, RATE_HZ)
    assert 20 * np.log10(drifted[-1] / drifted[0]) == pytest.approx(6.0)
    gone = RecordingFaults(dropout_s=(0.02, 0.01)).apply(steady, RATE_HZ)
    assert np.flatnonzero(gone == 0.0).tolist() == list(range(960, 1440))


def test_a_wrong_clock_moves_frequency_and_length():
    tone = np.sin(2 * np.pi * 1000 * np.arange(48000) / RATE_HZ)
    slow = RecordingFaults(clock_ratio=44100 / 48000).apply(tone, RATE_HZ)
    assert slow.size == 44100
    spectrum = np.abs(np.fft.rfft(slow))
    assert int(np.argmax(spectrum)) == 1000  # 1000 cycles in what is now 44100 samples


def test_noise_depends_on_the_generator_alone():
    chain = probe_microphone()
    first, second = (chain.record(np.zeros(4800), RATE_HZ, np.random.default_rng(7)) for _ in range(2))
    assert np.array_equal(first, second)
