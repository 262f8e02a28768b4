"""Detectors and gains of the virtual aid against plain loops."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from umbo.sim._dynamics import analytic_frame_peaks, detect_level_db, frame_gain_to_samples, limiter_gain


def test_detector_against_its_plain_loop():
    levels_db = np.random.default_rng(1).normal(60.0, 12.0, (3, 400))
    attack_s, release_s = 0.005, 0.08
    expected = np.empty_like(levels_db)
    for row, out in zip(levels_db, expected, strict=True):
        held = smooth = row[0]
        for n, level in enumerate(row):
            held = max(level, held - 20 * np.log10(np.e) * 0.001 / release_s)
            smooth = held if n == 0 else smooth + (1 - np.exp(-0.001 / attack_s)) * (held - smooth)
            out[n] = smooth
    assert detect_level_db(levels_db, attack_s=attack_s, release_s=release_s) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("rise_db", [35.0])
def test_attack_and_release_take_their_time(rise_db):
    levels_db = np.concatenate([np.full(200, 55.0), np.full(300, 55.0 + rise_db), np.full(700, 55.0)])
    found = detect_level_db(levels_db, attack_s=0.005, release_s=0.08)
    within = int(np.argmax(found[200:] >= 55.0 + rise_db - 3.0))  # frames to 3 dB below the new level
    assert within == pytest.approx(0.005 * np.log(rise_db / 3.0) / 0.001, abs=1.5)
    back = int(np.argmax(found[500:] <= 55.0 + 4.0))
    # a fall of 8.686 dB a time constant, then the one-pole filter's lag
    assert back == pytest.approx((rise_db - 4.0) / (8.686 / 80.0) + 5.0, abs=4.0)


def test_frame_peaks_are_those_of_the_analytic_signal():
    rng = np.random.default_rng(2)
    spectrum = np.zeros(24001, dtype=complex)
    spectrum[900:1500] = rng.standard_normal(600) + 1j * rng.standard_normal(600)
    samples = np.fft.irfft(spectrum, 48000)
    envelope = np.abs(signal.hilbert(samples)).reshape(1000, 48).max(axis=1)
    found = analytic_frame_peaks(spectrum[900:1500], 900, 1000, 48000)
    # the low-rate envelope has fewer points: peaks between them are missed, none are invented
    assert np.all(found <= envelope * 1.0001)
    assert np.median(20 * np.log10(found / envelope)) > -0.5


def test_frame_peaks_of_a_tone_are_its_amplitude():
    tone = 3.0 * np.cos(2 * np.pi * 1000 * np.arange(48000) / 48000)
    spectrum = np.fft.rfft(tone)
    assert analytic_frame_peaks(spectrum[500:1600], 500, 1000, 48000) == pytest.approx(3.0, rel=1e-9)


def test_limiter_never_lets_the_ceiling_be_passed():
    rng = np.random.default_rng(3)
    samples = rng.standard_normal(48000) * np.repeat(rng.uniform(0, 3, 100), 480)
    peaks = np.abs(samples).reshape(1000, 48).max(axis=1)
    gain = limiter_gain(peaks, ceiling=1.0, release_s=0.05)
    limited = samples * frame_gain_to_samples(gain, 48)
    assert np.max(np.abs(limited)) <= 1.0 + 1e-12
    assert np.max(gain) <= 1.0
    loud = np.flatnonzero(peaks[50:-50] > 2.5) + 50
    assert np.all(gain[loud] < 0.45)


def test_limiter_leaves_quiet_sound_alone():
    assert np.all(limiter_gain(np.full(100, 0.9), ceiling=1.0, release_s=0.05) == 1.0)


def test_gain_between_frames_runs_straight():
    gain = frame_gain_to_samples(np.array([0.0, 1.0, 3.0]), 4)
    assert gain.tolist() == [0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 3.0, 3.0, 3.0]
