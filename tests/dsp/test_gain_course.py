"""Depth and time of a gain that falls exponentially after a detection time."""

import numpy as np
import pytest

from umbo.dsp import gain_course, third_octave_frames
from umbo.errors import RecordingError

TIME_S = 0.0625 * (np.arange(400) + 1)
DEPTH_DB = np.array([4.0, 8.0, 0.0])
ALL = np.ones(3, bool)


def reduced(detection_s, tau_s):
    after = np.maximum(TIME_S - detection_s, 0.0)
    return DEPTH_DB[:, np.newaxis] * (1 - np.exp(-after / tau_s))


def test_depth_and_time():
    course = reduced(1.0, 2.0)
    found = gain_course(np.ones((3, 400)), 10 ** (-course / 10), TIME_S, wait_s=15.0, counted=ALL)
    assert found.depth_db == pytest.approx(DEPTH_DB, abs=0.02)
    assert found.depth_mean_db == pytest.approx(4.0, abs=0.02)
    assert found.time_63_s[:2] == pytest.approx(3.0, abs=0.02)  # detection + time constant
    assert found.time_known.tolist() == [True, True, False]


def test_coverage_with_the_same_noise_in_both_runs(show):
    """60 paired runs of noise through 6 dB of reduction, each with its own microphone noise."""
    rng = np.random.default_rng(2)
    rate, centre = 16000, np.array([501.187, 1000.0, 1995.262])
    errors, covered = [], []
    for _ in range(60):
        sound = rng.standard_normal(16 * rate)
        runs = [
            third_octave_frames(gain * sound + 0.05 * rng.standard_normal(sound.size), rate, centre_hz=centre)
            for gain in (1.0, 10 ** (-6 / 20))
        ]
        time_s = 0.0625 * (np.arange(runs[0].frame_power.shape[-1]) + 1)
        found = gain_course(runs[0].frame_power, runs[1].frame_power, time_s, wait_s=10.0, counted=ALL)
        true = 6 - 10 * np.log10(1 + 0.05**2 * 10**0.6) + 10 * np.log10(1 + 0.05**2)
        errors.append(found.depth_db - true)
        covered.append(np.abs(found.depth_db - true) <= 2 * found.depth_u_db)
    show(f"depth rms error {np.std(errors):.3f} dB, 2 u covers {100 * np.mean(covered):.0f} %")
    assert np.max(np.abs(errors)) < 0.5
    assert 0.85 <= np.mean(covered) <= 1.0  # five blocks: Student's factor for 95 % would be 2.8


def test_runs_that_do_not_fit_are_refused():
    with pytest.raises(RecordingError, match="record the same sound"):
        gain_course(np.ones((3, 400)), np.ones((3, 399)), TIME_S, wait_s=10.0, counted=ALL)
    with pytest.raises(RecordingError, match="s are left after it"):
        gain_course(np.ones((3, 400)), np.ones((3, 400)), TIME_S, wait_s=24.0, counted=ALL)
    with pytest.raises(RecordingError, match="0 bands count"):
        gain_course(np.ones((3, 400)), np.ones((3, 400)), TIME_S, wait_s=10.0, counted=~ALL)
