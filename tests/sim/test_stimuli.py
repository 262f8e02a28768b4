"""Sweep and speech: what the files hold, against closed forms and plain transforms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from umbo.errors import InputError
from umbo.sim import exponential_sweep, silence, speech_like
from umbo.sim._speech import LTASS_DB, LTASS_HZ


@pytest.fixture(scope="module")
def speech_20s():
    return speech_like(np.random.default_rng(4), duration_s=20.0)


def test_sweep_frequency_grows_exponentially():
    sweep = exponential_sweep()
    phase = np.unwrap(np.angle(signal.hilbert(sweep.samples_fs[:48000])))
    frequency_hz = np.diff(phase) * 48000 / (2 * np.pi)
    expected_hz = 80.0 * 250.0 ** ((np.arange(47999) + 0.5) / 48000)
    inside = slice(4800, 44000)
    assert np.max(np.abs(frequency_hz[inside] / expected_hz[inside] - 1)) < 0.01
    assert sweep.samples_fs.size == 60000
    assert not np.any(sweep.samples_fs[48000:])


def test_sweep_level_is_that_of_a_tone_of_its_amplitude():
    sweep = exponential_sweep()
    pressure_pa = sweep.pascals(90.0)
    sounding_rms_pa = np.sqrt(np.mean(pressure_pa[4800:43200] ** 2))
    assert 20 * np.log10(sounding_rms_pa / 20e-6) == pytest.approx(90.0, abs=0.02)


def test_stimuli_lie_on_the_steps_of_a_24_bit_file():
    for stimulus in (exponential_sweep(), speech_like(np.random.default_rng(1), duration_s=2.0)):
        steps = stimulus.samples_fs * 2**23
        assert np.array_equal(steps, np.round(steps))
        assert np.max(np.abs(stimulus.samples_fs)) < 1.0


@pytest.mark.parametrize("bad", [{"stop_hz": 24000.0}, {"start_hz": 0.0}, {"amplitude_fs": 1.5}, {"stop_hz": 50.0}])
def test_sweep_that_cannot_be_played_is_refused(bad):
    with pytest.raises(InputError, match="make a sweep"):
        exponential_sweep(**bad)


def test_silence_is_silent_at_any_level():
    quiet = silence(0.5)
    assert quiet.samples_fs.size == 24000
    assert not np.any(quiet.pascals(65.0))


def test_speech_has_the_long_term_spectrum_in_third_octaves(speech_20s):
    pressure_pa = speech_20s.pascals(70.0)
    power = np.abs(np.fft.rfft(pressure_pa)) ** 2 * 2 / pressure_pa.size**2
    frequency_hz = np.fft.rfftfreq(pressure_pa.size, 1 / 48000)
    for centre_hz, level_db in zip(LTASS_HZ, LTASS_DB, strict=True):
        exact_hz = 1000 * 10 ** (np.round(10 * np.log10(centre_hz / 1000)) / 10)
        inside = np.abs(np.log10(frequency_hz[1:] / exact_hz)) < 0.05
        found_db = 10 * np.log10(np.sum(power[1:][inside]) / 4e-10)
        assert found_db == pytest.approx(level_db, abs=0.2), centre_hz


def test_speech_level_is_the_rms_of_the_period():
    speech = speech_like(np.random.default_rng(3), duration_s=3.0)
    for level in (55.0, 75.0):
        assert 20 * np.log10(np.sqrt(np.mean(speech.pascals(level) ** 2)) / 20e-6) == pytest.approx(level, abs=1e-9)


def band_levels_db(samples, centre_hz):
    """Levels of 125 ms windows overlapping by half, over the long-term level of the band."""
    edges = [centre_hz * 10**-0.05, centre_hz * 10**0.05]
    band = signal.sosfilt(signal.butter(4, edges, "bandpass", fs=48000, output="sos"), samples)
    frames = np.convolve(band**2, np.ones(6000) / 6000, "valid")[::3000]
    return 10 * np.log10(frames / np.mean(band**2))


@pytest.mark.parametrize("centre_hz", [125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0])
def test_speech_levels_spread_by_about_thirty_decibels(speech_20s, centre_hz):
    # 30 dB as the dynamic range of speech, and peaks about 12 dB over the long-term level: common practice, from memory
    p30, p65, p99 = np.percentile(band_levels_db(speech_20s.samples_fs, centre_hz), [30, 65, 99])
    assert 24.0 < p99 - p30 < 32.0
    assert -6.0 < p65 < -1.0
    assert 8.0 < p99 < 13.0


def test_speech_is_modulated_at_the_syllable_rate(speech_20s):
    envelope = np.sqrt((speech_20s.samples_fs**2).reshape(-1, 240).mean(axis=1))  # 200 frames a second
    power = np.abs(np.fft.rfft(envelope - envelope.mean())) ** 2
    rate_hz = np.fft.rfftfreq(envelope.size, 1 / 200)
    centres_hz = 2.0 ** (np.arange(-6, 17) / 3)
    bands = [power[1:][np.abs(np.log2(rate_hz[1:] / centre)) < 1 / 6].sum() for centre in centres_hz]
    assert 3.0 < centres_hz[int(np.argmax(bands))] < 6.0
    # per hertz: the envelope of noise itself is even, so what falls is the modulation
    per_hz = bands / centres_hz
    assert per_hz[12] > 20 * per_hz[-1]


def test_speech_has_pauses(speech_20s):
    level_db = 20 * np.log10(np.sqrt((speech_20s.samples_fs**2).reshape(-1, 2400).mean(axis=1)))  # 50 ms
    quiet = level_db < np.max(level_db) - 40
    assert 0.05 < np.mean(quiet) < 0.30
    starts = np.flatnonzero(np.diff(np.append(0, quiet.astype(int))) == 1)
    assert starts.size >= 4


def test_women_speak_with_their_own_spectrum():
    speech = speech_like(np.random.default_rng(6), duration_s=20.0, talker="female")
    pressure_pa = speech.pascals(70.0)
    power = np.abs(np.fft.rfft(pressure_pa)) ** 2 * 2 / pressure_pa.size**2
    frequency_hz = np.fft.rfftfreq(pressure_pa.size, 1 / 48000)
    # Byrne et al. 1994, Table II, female (as found alike in two public libraries)
    for exact_hz, level_db in zip(
        1000 * 10 ** (np.arange(-9, 10) / 10),
        (
            40.1,
            53.4,
            62.2,
            60.9,
            58.1,
            61.7,
            61.7,
            60.4,
            58.0,
            54.3,
            52.3,
            51.7,
            48.8,
            47.3,
            46.7,
            45.3,
            44.6,
            45.2,
            44.9,
        ),
        strict=True,
    ):
        inside = np.abs(np.log10(frequency_hz[1:] / exact_hz)) < 0.05
        found_db = 10 * np.log10(np.sum(power[1:][inside]) / 4e-10)
        assert found_db == pytest.approx(level_db, abs=0.5), exact_hz


def test_a_minute_of_speech_is_made_as_well():
    speech = speech_like(np.random.default_rng(2), duration_s=60.0)
    assert speech.samples_fs.size == 2_880_000
    p30, p99 = np.percentile(band_levels_db(speech.samples_fs, 1000.0), [30, 99])
    assert 24.0 < p99 - p30 < 32.0


def test_same_seed_same_speech():
    first, second = (speech_like(np.random.default_rng(9), duration_s=2.0).samples_fs for _ in range(2))
    assert np.array_equal(first, second)
    assert not np.array_equal(first, speech_like(np.random.default_rng(10), duration_s=2.0).samples_fs)
