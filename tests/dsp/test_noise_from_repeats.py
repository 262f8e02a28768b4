"""Noise under compression: right from the difference of repeats, wrong from silence."""

import numpy as np
import pytest

from umbo.dsp import (
    band_centres_hz,
    band_mean_power,
    exponential_sweep,
    noise_from_repeats,
    repeated_band_levels,
    sweep_response,
    third_octave_power,
)
from umbo.errors import RecordingError

RATE_HZ = 48000
BANDS_HZ = band_centres_hz(250.0, 8000.0, 3)
INPUT_DB_SPL = 65.0
#: Input noise of a hearing aid's microphone as a sound pressure level; assumed.
MICROPHONE_DB_SPL = 28.0


def _taken(compressor, stimulus, repeats, rng, ratio):
    """Repeats through a noisy microphone and a compressor: output, noise as amplified, output in silence."""
    scale_db = INPUT_DB_SPL - 10 * np.log10(np.mean(stimulus**2))
    sound = np.tile(stimulus, repeats)
    noise = rng.standard_normal(sound.size) * 10 ** ((MICROPHONE_DB_SPL - scale_db) / 20)
    output, gain = compressor(sound + noise, RATE_HZ, scale_db, ratio=ratio)
    silence, _ = compressor(noise, RATE_HZ, scale_db, ratio=ratio)
    shape = (repeats, stimulus.size)
    return output.reshape(shape), (gain * noise).reshape(shape), silence.reshape(shape)


@pytest.mark.parametrize("ratio", [1.5, 2.0, 3.0])
def test_speech_noise_is_right_from_repeats_and_wrong_from_silence(ratio, compressor, speech, show):
    rng = np.random.default_rng(31)
    stimulus = speech(4 * RATE_HZ, RATE_HZ, rng)
    output, amplified, silence = _taken(compressor, stimulus, 5, rng, ratio)
    result = repeated_band_levels(output, RATE_HZ, centre_hz=BANDS_HZ, first_period="leave_out")
    true = third_octave_power(amplified[1:], RATE_HZ, centre_hz=BANDS_HZ, periodic=True).mean(axis=0) / 4
    quiet = third_octave_power(silence[1:], RATE_HZ, centre_hz=BANDS_HZ, periodic=True).mean(axis=0) / 4
    off_db = 10 * np.log10(result.noise_power / true)
    silence_off_db = 10 * np.log10(quiet / true)
    show(f"speech, {ratio}:1: repeats {np.abs(off_db).max():.2f} dB, silence {silence_off_db.min():+.1f} dB at least")
    assert np.abs(off_db).max() < 2.0
    if ratio >= 2:
        assert silence_off_db.min() > 6.0


def test_sweep_noise_under_2_to_1_is_right_from_repeats_and_wrong_from_silence(compressor, show):
    rng = np.random.default_rng(32)
    stimulus = exponential_sweep(80.0, 20000.0, 1.0, RATE_HZ, 0.25)
    output, amplified, silence = _taken(compressor, stimulus, 5, rng, 2.0)
    result = sweep_response(output, stimulus, RATE_HZ, 80.0, 20000.0, first_period="leave_out")

    def noise(of):
        """Band noise of the mean of four when `of` is added to a clean recording: what the analysis makes of it."""
        clean = np.tile(output[1:].mean(axis=0), (5, 1))
        added = sweep_response(clean + of, stimulus, RATE_HZ, 80.0, 20000.0, first_period="leave_out")
        alone = sweep_response(clean, stimulus, RATE_HZ, 80.0, 20000.0, first_period="leave_out")
        power = np.mean(np.abs(added.repeat_response - alone.repeat_response)[1:] ** 2, axis=0) / 4
        return band_mean_power(result.frequency_hz, power, BANDS_HZ, 3)

    stated = band_mean_power(result.frequency_hz, result.noise_power, BANDS_HZ, 3)
    off_db = 10 * np.log10(stated / noise(amplified))
    silence_off_db = 10 * np.log10(noise(silence) / noise(amplified))
    show(f"sweep, 2:1: repeats {np.abs(off_db).max():.2f} dB, silence {silence_off_db.min():+.1f} dB at least")
    assert np.abs(off_db).max() < 2.0
    assert silence_off_db.min() > 6.0


def test_speech_bands_of_a_linear_system_have_the_noise_that_was_added(speech):
    rng = np.random.default_rng(33)
    stimulus = speech(3 * RATE_HZ, RATE_HZ, rng)
    noise = 0.01 * rng.standard_normal((4, stimulus.size))
    result = repeated_band_levels(stimulus + noise, RATE_HZ)
    width_hz = result.centre_hz * (10**0.05 - 10**-0.05)
    expected = 0.01**2 * width_hz / (RATE_HZ / 2) / 4
    score = (result.noise_power / expected - 1) * np.sqrt(3 * result.independent_bins)
    assert 0.6 < score.std() < 1.6
    assert abs(score.mean()) < 1.0
    clean = third_octave_power(stimulus, RATE_HZ, periodic=True)
    above = clean > 100 * expected
    np.testing.assert_allclose(result.mean_power[above], clean[above], rtol=0.05)
    assert result.used.all()
    assert result.percentile_power.shape == result.percentile_noise_power.shape == (3, 30)
    assert np.all(np.diff(result.percentile_power, axis=0) > 0)
    steady = result.percentile_noise_power[:, 12:] / expected[12:]
    np.testing.assert_allclose(10 * np.log10(steady), 0, atol=3.5)


def test_under_compression_soft_frames_are_noisier(compressor, speech):
    rng = np.random.default_rng(34)
    stimulus = speech(6 * RATE_HZ, RATE_HZ, rng)
    output, _, _ = _taken(compressor, stimulus, 4, rng, 3.0)
    result = repeated_band_levels(output, RATE_HZ, centre_hz=BANDS_HZ)
    soft, _, loud = result.percentile_noise_power
    assert np.median(10 * np.log10(soft / loud)) > 3.0


def test_one_repeat_leaves_speech_noise_unknown(speech):
    result = repeated_band_levels(speech(RATE_HZ, RATE_HZ, np.random.default_rng(1))[None], RATE_HZ)
    assert result.noise_power is None
    assert result.percentile_noise_power is None
    with pytest.raises(RecordingError, match="take the noise from the difference of repeats"):
        noise_from_repeats(np.ones((1, 5)))
    with pytest.raises(RecordingError, match="take band levels of repeated speech"):
        repeated_band_levels(np.ones(RATE_HZ), RATE_HZ)
