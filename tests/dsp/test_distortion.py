"""Harmonic distortion: exact without noise, right within its stated uncertainty with noise."""

import numpy as np
import pytest

from umbo.dsp import harmonic_distortion
from umbo.errors import RecordingError

RATE_HZ = 48000.0


def tone(frequency_hz, second, third, size=24000):
    angle = 2 * np.pi * frequency_hz * np.arange(size) / RATE_HZ
    return 0.2 * (np.sin(angle) + second * np.sin(2 * angle + 1) + third * np.sin(3 * angle + 2))


@pytest.mark.parametrize("frequency_hz", [500.0, 800.0, 1600.0, 1599.3])
def test_without_noise_it_is_exact(frequency_hz):
    found = harmonic_distortion(tone(frequency_hz, 0.03, 0.04), RATE_HZ, frequency_hz, highest_harmonic=3)
    assert found.total == pytest.approx(0.05, abs=1e-5)  # 3-4-5
    assert found.ratio == pytest.approx([0.03, 0.04], abs=1e-5)
    assert found.power == pytest.approx(0.02, rel=1e-5)
    assert found.total_u < 1e-4


def test_only_the_wanted_harmonics_count():
    with_fourth = tone(800.0, 0.03, 0.04) + 0.02 * np.sin(4 * 2 * np.pi * 800 * np.arange(24000) / RATE_HZ)
    found = harmonic_distortion(with_fourth, RATE_HZ, 800.0, highest_harmonic=3)
    assert found.total == pytest.approx(0.05, abs=1e-4)
    assert harmonic_distortion(with_fourth, RATE_HZ, 800.0, highest_harmonic=5).total == pytest.approx(0.1118, abs=1e-3)


@pytest.mark.parametrize(("second", "third", "noise"), [(0.03, 0.01, 0.02), (0.003, 0.001, 0.02), (0.09, 0.0, 0.1)])
def test_uncertainty_covers_the_truth(show, second, third, noise):
    """150 draws in coloured noise: 2 u covers about 95 %, and errors stay within 0.2 percentage points."""
    rng = np.random.default_rng(3)
    truth = np.hypot(second, third)
    errors, covered = [], []
    for _ in range(150):
        white = rng.standard_normal(24001)
        samples = tone(800.0, second, third) + 0.2 * noise * (white[1:] + 0.8 * white[:-1])
        found = harmonic_distortion(samples, RATE_HZ, 800.0, highest_harmonic=3)
        errors.append(100 * (found.total - truth))
        covered.append(abs(found.total - truth) <= 2 * found.total_u)
    show(f"errors rms {np.std(errors):.3f} percentage points, 2 u covers {100 * np.mean(covered):.0f} %")
    assert np.sqrt(np.mean(np.square(errors))) < 0.2
    assert 0.90 <= np.mean(covered) <= 1.0


def test_too_short_a_tone_is_refused():
    with pytest.raises(RecordingError, match="read the level of a tone"):
        harmonic_distortion(np.ones(50), RATE_HZ, 500.0, highest_harmonic=3)


def test_noise_is_taken_out_of_the_harmonics():
    """Noise with half the power of the harmonic at its place: left in, the mean square would be 50 % too high."""
    rng = np.random.default_rng(7)
    squares = []
    for _ in range(120):
        samples = tone(800.0, 0.01, 0.0) + 0.2 * 0.55 * rng.standard_normal(24000)
        squares.append(harmonic_distortion(samples, RATE_HZ, 800.0, highest_harmonic=2).ratio[0] ** 2)
    assert np.mean(squares) == pytest.approx(0.01**2, rel=0.25)
