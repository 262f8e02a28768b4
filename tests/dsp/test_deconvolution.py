"""The linear response: a known filter in noise, the cases with a known answer, the first period, the window."""

import numpy as np
import pytest
from scipy import signal

from umbo.dsp import (
    band_centres_hz,
    band_edges_hz,
    band_mean_power,
    exponential_sweep,
    response_bands,
    split_repeats,
    sweep_response,
    sweep_timing,
)
from umbo.errors import RecordingError

RATE_HZ = 48000
GRID_HZ = band_centres_hz(125.0, 16000.0, 12)


def _filter():
    """Two resonances and a roll-off, like an earphone on a coupler."""
    peak = signal.iirpeak(1200.0, 3.0, fs=RATE_HZ)
    notch = signal.iirnotch(6500.0, 1.5, fs=RATE_HZ)
    sections = [
        signal.tf2sos(0.9 * peak[0] + 0.1 * peak[1], peak[1]),
        signal.tf2sos(0.8 * notch[0] + 0.2 * notch[1], notch[1]),
    ]
    return np.concatenate([*sections, signal.butter(2, 12000.0, fs=RATE_HZ, output="sos")])


def _truth_db(sos, centre_hz, fraction=12):
    """Band means of the filter's own squared magnitude, summed on a fine grid: the plain transcription."""
    out = []
    for low, high in zip(*band_edges_hz(centre_hz, fraction), strict=True):
        fine = low + (np.arange(400) + 0.5) / 400 * (high - low)
        out.append(np.mean(np.abs(signal.sosfreqz(sos, fine, fs=RATE_HZ)[1]) ** 2))
    return 10 * np.log10(out)


def _repeated(sos, stimulus, repeats):
    """Output over back-to-back periods, starting from silence."""
    return signal.sosfilt(sos, np.tile(stimulus, repeats)).reshape(repeats, -1)


@pytest.mark.parametrize("size_s", [0.25, 0.0])
def test_known_filter_at_40_db_is_recovered_within_0_05_db(size_s, show):
    rng = np.random.default_rng(3)
    stimulus = exponential_sweep(60.0, 20000.0, 1.0, RATE_HZ, size_s)
    clean = _repeated(_filter(), stimulus, 4)
    noise = np.sqrt(np.mean(clean**2)) * 10 ** (-40 / 20)
    result = sweep_response(clean + noise * rng.standard_normal(clean.shape), stimulus, RATE_HZ, 60.0, 20000.0)
    centre_hz = band_centres_hz(100.0, 16000.0, 12)
    bands = response_bands(result, centre_hz, 12)
    error_db = 10 * np.log10(bands.power) - _truth_db(_filter(), centre_hz)
    rms_db = np.sqrt(np.mean(error_db**2))
    show(f"filter at 40 dB: rms {rms_db:.4f} dB, worst {np.abs(error_db).max():.3f} dB")
    assert rms_db < 0.05
    score = error_db / bands.u_db
    show(f"error over stated uncertainty: rms {np.sqrt(np.mean(score**2)):.2f}")
    assert 0.6 < np.sqrt(np.mean(score**2)) < 1.5


def test_bands_next_to_the_edges_of_the_sweep_are_right():
    stimulus = exponential_sweep(100.0, 16000.0, 1.0, RATE_HZ, 0.25)
    result = sweep_response(stimulus, stimulus, RATE_HZ, 100.0, 16000.0)
    error_db = 10 * np.log10(response_bands(result, band_centres_hz(106.0, 15000.0, 12), 12).power)
    assert np.abs(error_db).max() < 0.1
    assert np.abs(error_db[2:]).max() < 0.03


def test_phase_and_delay_are_those_of_the_system():
    stimulus = exponential_sweep(50.0, 22000.0, 1.0, RATE_HZ, 0.25)
    recorded = 0.5 * np.roll(stimulus, 37)
    result = sweep_response(recorded, stimulus, RATE_HZ, 50.0, 22000.0)
    expected = 0.5 * np.exp(-2j * np.pi * result.frequency_hz * 37 / RATE_HZ)
    inner = (result.frequency_hz > 100) & (result.frequency_hz < 20000)
    np.testing.assert_allclose(result.response[inner], expected[inner], atol=2e-3)
    assert result.delay_s == pytest.approx(37 / RATE_HZ)


@pytest.mark.parametrize("delay", [-2000, 9600, 30000])
def test_a_late_or_early_recording_changes_nothing_but_the_delay(delay):
    stimulus = exponential_sweep(60.0, 20000.0, 1.0, RATE_HZ, 0.3)
    periodic = _repeated(_filter(), stimulus, 3)[1:]
    at_once = sweep_response(periodic, stimulus, RATE_HZ, 60.0, 20000.0)
    late = sweep_response(np.roll(periodic, delay, axis=1), stimulus, RATE_HZ, 60.0, 20000.0)
    np.testing.assert_allclose(np.abs(late.response), np.abs(at_once.response), rtol=1e-6, atol=1e-9)
    assert (late.delay_s - at_once.delay_s) * RATE_HZ == pytest.approx(delay)


@pytest.mark.shared
def test_cases_with_a_known_answer(shared_case, show):
    takes, rate_hz, truth = shared_case
    power = {}
    for name in ("coupler", "ear"):
        periods = split_repeats(takes[name], takes["sweep"].size, 4)
        result = sweep_response(periods, takes["sweep"], rate_hz, 80.0, 20000.0)
        power[name] = response_bands(result, np.array(truth["frequency_hz"]), 12)
        assert result.used.all()
    error_db = 10 * np.log10(power["ear"].power / power["coupler"].power) - np.array(truth["recd_db"])
    rms_db = np.sqrt(np.mean(error_db**2))
    show(f"case: rms {rms_db:.4f} dB, worst {np.abs(error_db).max():.4f} dB")
    assert rms_db < 0.01
    u_db = np.hypot(power["ear"].u_db, power["coupler"].u_db)
    assert np.mean(np.abs(error_db) < 2 * u_db + 0.002) > 0.9


def test_noise_comes_from_the_difference_of_repeats_and_is_unbiased(show):
    rng = np.random.default_rng(8)
    stimulus = exponential_sweep(60.0, 20000.0, 1.0, RATE_HZ, 0.25)
    clean = np.tile(_repeated(_filter(), stimulus, 2)[1], (3, 1))
    noisy = clean + 1e-3 * rng.standard_normal((12, *clean.shape))
    alone = sweep_response(clean, stimulus, RATE_HZ, 60.0, 20000.0)
    stated, true = [], []
    for take in noisy:
        result = sweep_response(take, stimulus, RATE_HZ, 60.0, 20000.0)
        stated.append(band_mean_power(result.frequency_hz, result.noise_power, GRID_HZ, 12))
        off = np.abs(result.response - alone.response) ** 2
        true.append(band_mean_power(result.frequency_hz, off, GRID_HZ, 12))
    ratio = np.mean(stated, axis=0) / np.mean(true, axis=0)
    low, high = band_edges_hz(GRID_HZ, 12)
    # 12 takes of K bins: variance 1/(12 K) of the true power, half of it for the estimate from three repeats
    score = (ratio - 1) / np.sqrt(1.5 / (12 * (high - low) * result.independent_per_hz[0]))
    wide = slice(24, None)
    whole = [np.sum((np.mean(part, axis=0) * (high - low))[wide]) for part in (stated, true)]
    mean_db = 10 * np.log10(whole[0] / whole[1])
    show(f"stated over true noise: above 500 Hz {mean_db:+.3f} dB; scatter over expectation {score.std():.2f}")
    assert abs(mean_db) < 0.05
    assert abs(score.mean()) < 0.5
    assert 0.75 < score.std() < 1.35
    np.testing.assert_allclose(result.repeat_noise_power, 3 * result.noise_power)


@pytest.mark.parametrize("noise_db", [-20.0, -10.0])
def test_the_impulse_response_is_found_in_loud_noise(noise_db):
    rng = np.random.default_rng(9)
    stimulus = exponential_sweep(100.0, 16000.0, 1.0, RATE_HZ, 0.25)
    recorded = np.tile(np.roll(stimulus, 100), (4, 1))
    hum = np.sin(2 * np.pi * 30.0 / RATE_HZ * np.arange(stimulus.size))
    level = np.sqrt(np.mean(stimulus**2)) * 10 ** (noise_db / 20)
    noisy = recorded + level * (rng.standard_normal(recorded.shape) + 3 * hum)
    result = sweep_response(noisy, stimulus, RATE_HZ, 100.0, 16000.0)
    assert result.delay_s * RATE_HZ == pytest.approx(100, abs=1)
    bands = response_bands(result, band_centres_hz(125.0, 12500.0, 3), 3)
    assert np.all(np.abs(10 * np.log10(bands.power)) < 4 * bands.u_db + 0.02)


def test_one_repeat_leaves_the_noise_unknown():
    stimulus = exponential_sweep(60.0, 20000.0, 0.5, RATE_HZ, 0.25)
    result = sweep_response(stimulus, stimulus, RATE_HZ, 60.0, 20000.0)
    assert result.noise_power is None
    assert result.harmonic_noise_power is None
    assert result.repeat_noise_power is None
    assert np.all(response_bands(result, GRID_HZ, 12).u_db == 0)


def test_a_first_period_that_starts_from_silence_is_kept_while_it_agrees():
    rng = np.random.default_rng(0)
    stimulus = exponential_sweep(60.0, 20000.0, 0.5, RATE_HZ, 0.25)
    kept = 0
    for _ in range(20):
        recorded = _repeated(_filter(), stimulus, 4)
        result = sweep_response(recorded + 1e-4 * rng.standard_normal(recorded.shape), stimulus, RATE_HZ, 60.0, 20000.0)
        kept += result.used.all()
        assert result.first_period.tested
    assert kept >= 19


@pytest.mark.parametrize(("rule", "kept"), [("test", False), ("keep", True), ("leave_out", False)])
def test_a_first_period_that_differs_is_left_out(rule, kept):
    rng = np.random.default_rng(1)
    stimulus = exponential_sweep(60.0, 20000.0, 0.5, RATE_HZ, 0.25)
    recorded = np.tile(stimulus, (4, 1)) + 1e-3 * rng.standard_normal((4, stimulus.size))
    recorded[0] *= 1.05  # settling gain, as of a slow compressor
    result = sweep_response(recorded, stimulus, RATE_HZ, 60.0, 20000.0, first_period=rule)
    assert result.used[0] == kept
    assert result.used[1:].all()
    assert not result.first_period.agrees
    assert result.first_period.excess_db > 10
    if not kept:
        error_db = 10 * np.log10(response_bands(result, GRID_HZ, 12).power)
        assert np.sqrt(np.mean(error_db**2)) < 0.05


def test_two_repeats_cannot_show_which_one_differs():
    stimulus = exponential_sweep(60.0, 20000.0, 0.5, RATE_HZ, 0.25)
    result = sweep_response(np.stack([stimulus * 1.05, stimulus]), stimulus, RATE_HZ, 60.0, 20000.0)
    assert result.used.all()
    assert not result.first_period.tested


def test_under_compression_the_response_is_the_gain_as_the_sweep_passes(compressor, show):
    stimulus = exponential_sweep(80.0, 20000.0, 3.0, RATE_HZ, 0.3)
    rms_db = 10 * np.log10(np.mean(stimulus[stimulus != 0] ** 2))
    output, gain = (part[-stimulus.size :] for part in compressor(np.tile(stimulus, 3), RATE_HZ, 65 - rms_db))
    timing = sweep_timing(stimulus, RATE_HZ, 80.0, 20000.0)
    low, high = band_edges_hz(GRID_HZ, 12)
    when = timing.start_s + timing.rate_s * np.log(np.linspace(low, high, 51) / 80.0)
    expected = np.mean(np.interp(when, np.arange(gain.size) / RATE_HZ, gain) ** 2, axis=0)
    worst = {}
    for window_s in (0.03, 0.25):
        result = sweep_response(output, stimulus, RATE_HZ, 80.0, 20000.0, window_s=window_s)
        error_db = 10 * np.log10(response_bands(result, GRID_HZ, 12).power / expected)
        worst[window_s] = np.abs(error_db[:12]).max()
    show(f"compression 2:1, 125-250 Hz, worst: 30 ms {worst[0.03]:.2f} dB, 250 ms {worst[0.25]:.3f} dB")
    assert worst[0.25] < 0.06
    assert worst[0.03] > 0.1


def test_mismatched_lengths_and_crowded_harmonics_are_refused():
    stimulus = exponential_sweep(100.0, 20000.0, 0.5, RATE_HZ, 0.1)
    with pytest.raises(RecordingError, match="its periods have 100 samples and the stimulus has 28800"):
        sweep_response(np.zeros((2, 100)), stimulus, RATE_HZ, 100.0, 20000.0)
    short = exponential_sweep(100.0, 20000.0, 0.15, RATE_HZ, 0.1)
    with pytest.raises(RecordingError, match="separate the harmonics of a sweep up to the 5th"):
        sweep_response(short, short, RATE_HZ, 100.0, 20000.0)
    with pytest.raises(RecordingError, match=r"119999 samples, -1 against 4 × 30000"):
        split_repeats(np.zeros(119999), 30000, 4)
