"""Tones by least squares: exact for any number of cycles, honest about noise."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.dsp import tone_level
from umbo.errors import RecordingError

RATE_HZ = 48000


@settings(max_examples=25, deadline=None)
@given(
    frequency_hz=st.floats(100.0, 9000.0),
    amplitude=st.floats(1e-4, 1.0),
    second=st.floats(0.0, 0.3),
    phase=st.floats(-3.1, 3.1),
    offset=st.floats(-0.2, 0.2),
)
def test_amplitudes_are_recovered_for_any_number_of_cycles(frequency_hz, amplitude, second, phase, offset):
    time_s = np.arange(4801) / RATE_HZ
    angle = 2 * np.pi * frequency_hz * time_s
    samples = offset + amplitude * (np.cos(angle + phase) + second * np.cos(2 * angle + 0.3))
    level = tone_level(samples, RATE_HZ, frequency_hz)
    assert level.amplitude[0] == pytest.approx(amplitude, rel=1e-6)
    assert level.amplitude[1] == pytest.approx(amplitude * second, abs=1e-6 * amplitude)
    assert np.exp(1j * level.phase_rad[0]) == pytest.approx(np.exp(1j * phase), abs=1e-6)
    assert level.distortion == pytest.approx(second, abs=1e-5)


def test_stated_uncertainty_covers_the_noise():
    rng = np.random.default_rng(4)
    time_s = np.arange(4800) / RATE_HZ
    samples = 0.1 * np.sin(2 * np.pi * 997.0 * time_s) + 0.02 * rng.standard_normal((400, 4800))
    level = tone_level(samples, RATE_HZ, 997.0)
    assert level.residual_power.mean() == pytest.approx(0.02**2, rel=0.01)
    score = (level.amplitude[:, 0] - 0.1) / level.amplitude_u
    assert 0.9 < score.std() < 1.1


def test_harmonics_above_half_the_rate_are_left_out():
    samples = np.sin(2 * np.pi * 9000.0 * np.arange(4800) / RATE_HZ)
    assert tone_level(samples, RATE_HZ, 9000.0).amplitude.size == 2


@pytest.mark.parametrize(("size", "frequency_hz"), [(50, 1000.0), (4800, 25000.0), (4800, 0.0)])
def test_tones_that_cannot_be_read_are_refused(size, frequency_hz):
    with pytest.raises(RecordingError, match="read the level of a tone"):
        tone_level(np.ones(size), RATE_HZ, frequency_hz)
