"""Harmonics from a sweep against stepped tones through the same static non-linearity, and against closed forms."""

import numpy as np
import pytest
from scipy import signal

from umbo.dsp import exponential_sweep, harmonic_bands, sweep_response, tone_level

RATE_HZ = 48000
TONES_HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0])


def _curved(x):
    return x + 0.02 * x**2 + 0.03 * x**3


def _aid(x):
    """Filter, soft curve, filter: what a receiver driven hard does."""
    before = signal.butter(2, [200.0, 6000.0], "bandpass", fs=RATE_HZ, output="sos")
    after = signal.butter(1, 9000.0, fs=RATE_HZ, output="sos")
    return signal.sosfilt(after, np.tanh(1.2 * signal.sosfilt(before, x) + 0.15))


@pytest.mark.parametrize("duration_s", [1.0, 3.0])
def test_harmonics_equal_tone_tests_within_0_2_db(duration_s, show):
    stimulus = exponential_sweep(80.0, 20000.0, duration_s, RATE_HZ, 0.3, amplitude=0.4)
    recorded = _aid(np.tile(stimulus, 2))[stimulus.size :]
    result = sweep_response(recorded, stimulus, RATE_HZ, 80.0, 20000.0)
    time_s = np.arange(RATE_HZ) / RATE_HZ
    for hz in TONES_HZ:
        tone = tone_level(_aid(0.4 * np.sin(2 * np.pi * hz * time_s))[RATE_HZ // 2 :], RATE_HZ, hz)
        at = int(np.argmin(np.abs(result.frequency_hz - hz)))
        sweep_db = 10 * np.log10(result.harmonic_power[:2, at] / np.abs(result.response[at]) ** 2)
        tone_db = 20 * np.log10(tone.amplitude[1:3] / tone.amplitude[0])
        show(
            f"{hz:5.0f} Hz: H2 {sweep_db[0]:6.2f} / {tone_db[0]:6.2f} dB, H3 {sweep_db[1]:6.2f} / {tone_db[1]:6.2f} dB"
        )
        np.testing.assert_allclose(sweep_db, tone_db, atol=0.2)


def test_second_and_third_harmonic_of_a_polynomial_have_their_closed_form():
    amplitude = 0.5
    stimulus = exponential_sweep(80.0, 20000.0, 2.0, RATE_HZ, 0.3, amplitude=amplitude)
    result = sweep_response(_curved(stimulus), stimulus, RATE_HZ, 80.0, 20000.0)
    bands = harmonic_bands(result, np.array([200.0, 1000.0, 4000.0]), 3)
    fundamental = amplitude + 0.75 * 0.03 * amplitude**3
    expected = np.array([0.5 * 0.02 * amplitude**2, 0.25 * 0.03 * amplitude**3]) / fundamental
    np.testing.assert_allclose(
        10 * np.log10(bands.ratio[:2]), 20 * np.log10(expected)[:, None] + np.zeros(3), atol=0.05
    )
    assert np.all(bands.ratio[2:, :2] < 1e-9)  # no fourth or fifth harmonic


def test_harmonics_of_a_sweep_whose_level_falls_are_carried_to_the_exciting_level():
    plain = exponential_sweep(80.0, 20000.0, 3.0, RATE_HZ, 0.3, amplitude=1.0)
    time_s = np.arange(plain.size) / RATE_HZ
    level = 0.5 * 10 ** (-15 * np.minimum(time_s / 3.0, 1) / 20)
    stimulus = plain * level
    result = sweep_response(_curved(stimulus), stimulus, RATE_HZ, 80.0, 20000.0)
    for hz in (300.0, 1000.0, 3000.0):
        here = 0.5 * 10 ** (-15 * np.log(hz / 80) / np.log(250) / 20)
        expected = np.array([0.5 * 0.02 * here, 0.25 * 0.03 * here**2]) / (1 + 0.75 * 0.03 * here**2)
        at = int(np.argmin(np.abs(result.frequency_hz - hz)))
        ratio = result.harmonic_power[:2, at] / np.abs(result.response[at]) ** 2
        np.testing.assert_allclose(10 * np.log10(ratio), 20 * np.log10(expected), atol=0.2)


def test_harmonics_beyond_the_sweep_are_not_valid():
    stimulus = exponential_sweep(100.0, 16000.0, 1.0, RATE_HZ, 0.3)
    result = sweep_response(stimulus, stimulus, RATE_HZ, 100.0, 16000.0)
    for row, order in enumerate(range(2, 6)):
        inside = result.frequency_hz * order <= result.frequency_hz[-1] * (1 + 1e-9)
        assert np.array_equal(result.harmonic_valid[row], inside)
        assert np.all(result.harmonic_power[row][~inside] == 0)
    bands = harmonic_bands(result, np.array([1000.0, 5000.0, 10000.0]), 3)
    assert bands.valid.tolist() == [
        [True, True, False],
        [True, False, False],
        [True, False, False],
        [True, False, False],
    ]
    assert np.all(np.isfinite(bands.ratio))


def test_a_harmonic_below_noise_is_not_detected_and_one_above_is():
    rng = np.random.default_rng(5)
    stimulus = exponential_sweep(80.0, 20000.0, 1.0, RATE_HZ, 0.3)
    recorded = np.tile(stimulus + 0.01 * stimulus**2, (4, 1)) + 1e-3 * rng.standard_normal((4, stimulus.size))
    result = sweep_response(recorded, stimulus, RATE_HZ, 80.0, 20000.0)
    bands = harmonic_bands(result, np.array([500.0, 1000.0, 2000.0]), 3)
    assert bands.detected[0].all()
    error_db = 10 * np.log10(bands.ratio[0]) - 20 * np.log10(0.01 * 0.5 / 2)
    assert np.all(np.abs(error_db) < 3 * bands.u_db[0] + 0.05)
    assert bands.ratio[1:].max() < 1e-6


def test_only_the_linear_response_when_asked():
    stimulus = exponential_sweep(80.0, 20000.0, 1.0, RATE_HZ, 0.3)
    result = sweep_response(np.stack([stimulus, stimulus]), stimulus, RATE_HZ, 80.0, 20000.0, n_harmonics=1)
    assert result.harmonic_power.shape == (0, result.frequency_hz.size)
    assert result.independent_per_hz.size == 1


def test_a_sweep_of_less_than_an_octave_has_no_harmonics_in_range():
    stimulus = exponential_sweep(5000.0, 9000.0, 1.0, RATE_HZ, 0.3)
    result = sweep_response(np.stack([stimulus, stimulus]), stimulus, RATE_HZ, 5000.0, 9000.0)
    assert not result.harmonic_valid.any()
    assert not harmonic_bands(result, np.array([6300.0]), 3).valid.any()
    np.testing.assert_allclose(np.abs(result.response[100:-100]), 1.0, atol=0.01)
