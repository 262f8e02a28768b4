"""Edges and power of spectra with a known answer."""

import numpy as np
import pytest

from umbo.dsp import power_between, upper_edge_hz
from umbo.errors import OutOfRangeError

RATE_HZ = 48000


def test_power_between_frequencies():
    time_s = np.arange(RATE_HZ) / RATE_HZ
    samples = 0.2 * np.sin(2 * np.pi * 3000 * time_s) + 0.1 * np.sin(2 * np.pi * 7000 * time_s)
    found = power_between(samples, RATE_HZ, np.array([2000.0, 4000.0, 6000.0, 8000.0]))
    assert found == pytest.approx([0.02, 0.0, 0.005], abs=1e-12)


def test_white_noise_is_shared_by_width():
    samples = np.random.default_rng(1).standard_normal(4 * RATE_HZ)
    found = power_between(samples, RATE_HZ, np.array([2000.0, 4000.0, 10000.0]))
    assert found == pytest.approx([2 / 24, 6 / 24], rel=0.03)


def test_edge_lies_between_points_on_a_slope():
    hz = 1000 * 2 ** (np.arange(13) / 3)
    level = np.minimum(60.0, 60.0 - 24 * np.log2(hz / 4000))  # flat to 4 kHz, then 24 dB an octave
    assert upper_edge_hz(hz, level, drop_db=20.0) == pytest.approx(4000 * 2 ** (20 / 24), rel=1e-6)
    assert upper_edge_hz(hz, np.zeros(13), drop_db=20.0) == hz[-1]


def test_wrong_edges_are_refused():
    with pytest.raises(OutOfRangeError, match="take the power between frequencies"):
        power_between(np.ones(100), RATE_HZ, np.array([4000.0, 2000.0]))
