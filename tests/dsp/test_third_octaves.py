"""Third-octave levels against a plain filter bank of the same order, peers, and closed forms."""

import numpy as np
import pytest
from scipy import signal

from umbo.dsp import band_centres_hz, band_edges_hz, third_octave_frames, third_octave_power
from umbo.errors import OutOfRangeError, RecordingError

RATE_HZ = 48000
PERCENT = (30, 65, 99)


def _filter_bank(samples, centre_hz, order=6):
    """The textbook: one causal Butterworth band-pass a band, at full rate."""
    for low, high in zip(*band_edges_hz(centre_hz, 3), strict=True):
        yield signal.sosfilt(signal.butter(order, [low, high], "bandpass", fs=RATE_HZ, output="sos"), samples)


def _frames(band):
    """Mean squares of 125 ms frames, 50 % overlapping."""
    hop = RATE_HZ // 16
    power = np.mean(band[: band.size // hop * hop].reshape(-1, hop) ** 2, axis=1)
    return 0.5 * (power[1:] + power[:-1])


def test_percentiles_of_speech_agree_with_a_filter_bank_of_the_same_order(speech, show):
    samples = speech(30 * RATE_HZ, RATE_HZ, np.random.default_rng(21))
    result = third_octave_frames(samples, RATE_HZ)
    plain = np.array([np.percentile(_frames(b), PERCENT) for b in _filter_bank(samples, result.centre_hz)]).T
    off_db = 10 * np.log10(result.percentile_power(PERCENT) / plain)
    for percent, row in zip(PERCENT, off_db, strict=True):
        show(f"P{percent}: worst {np.abs(row).max():.3f} dB at {result.centre_hz[np.argmax(np.abs(row))]:.0f} Hz")
    assert np.abs(off_db).max() < 0.3


def test_levels_of_noise_agree_with_a_filter_bank_of_the_same_order(show):
    samples = np.random.default_rng(22).standard_normal(20 * RATE_HZ)
    result = third_octave_frames(samples, RATE_HZ)
    plain = np.array([np.mean(band**2) for band in _filter_bank(samples, result.centre_hz)])
    off_db = 10 * np.log10(result.mean_power / plain)
    show(f"levels against the plain bank: worst {np.abs(off_db).max():.4f} dB")
    assert np.abs(off_db[8:]).max() < 0.03
    assert np.abs(off_db).max() < 0.1  # below 125 Hz the ends of the recording count


def test_single_frames_are_those_of_the_bands_envelope(speech, show):
    samples = speech(12 * RATE_HZ, RATE_HZ, np.random.default_rng(23))
    result = third_octave_frames(samples, RATE_HZ, centre_hz=band_centres_hz(63.0, 2000.0, 3)[::3])
    bank = _filter_bank(samples, result.centre_hz)
    plain = np.array([_frames(np.abs(signal.hilbert(band)) / np.sqrt(2)) for band in bank])
    off_db = np.abs(10 * np.log10(result.frame_power / plain))[:, 16:-4]  # the textbook envelope has ends
    show(f"single frames: 99 % within {np.percentile(off_db, 99):.3f} dB, all within {off_db.max():.2f} dB")
    assert np.percentile(off_db, 99) < 0.1
    assert off_db.max() < 1.0


def test_weighting_the_spectrum_of_each_frame_would_fail_these_tests():
    """The shortcut that looks the same above 1 kHz and is wrong by decibels below: why filtering comes first."""
    samples = np.random.default_rng(29).standard_normal(20 * RATE_HZ)
    centre_hz = band_centres_hz(20.0, 80.0, 3)
    frames = np.lib.stride_tricks.sliding_window_view(samples, 6000)[::3000]
    power = np.abs(np.fft.rfft(frames, axis=1)) ** 2 * 2 / 6000**2
    hz = np.fft.rfftfreq(6000, 1 / RATE_HZ)
    shortcut = [
        power[:, (hz >= low) & (hz < high)].sum(axis=1) for low, high in zip(*band_edges_hz(centre_hz, 3), strict=True)
    ]
    ours = third_octave_frames(samples, RATE_HZ, centre_hz=centre_hz)
    off_db = 10 * np.log10((np.percentile(shortcut, 30, axis=1) + 1e-12) / ours.percentile_power(30)[0])
    assert np.abs(off_db).max() > 3.0


def test_an_event_is_found_in_its_frame_after_the_bands_own_lag():
    samples = np.zeros(4 * RATE_HZ)
    samples[round(1.70 * RATE_HZ)] = 1.0
    result = third_octave_frames(samples, RATE_HZ, centre_hz=band_centres_hz(63.0, 8000.0, 3))
    start_s = np.arange(result.frame_power.shape[1]) * 0.0625
    low, high = band_edges_hz(result.centre_hz, 3)
    for row, lag_s in zip(result.frame_power, 1.23 / (high - low), strict=True):
        middle_s = np.sum(row * (start_s + 0.0625)) / np.sum(row)
        assert middle_s == pytest.approx(1.70 + lag_s, abs=0.02 + 0.2 * lag_s)
        assert row[start_s + 0.125 < 1.70].sum() < 1e-3 * row.sum()  # nothing comes before the event


@pytest.mark.parametrize("rate_hz", [22050, 32000, 44100, 48000, 96000])
def test_a_tone_has_its_mean_square_in_every_frame(rate_hz):
    time_s = np.arange(2 * rate_hz + 123) / rate_hz
    result = third_octave_frames(
        0.2 * np.sin(2 * np.pi * 1000.0 * time_s), rate_hz, centre_hz=band_centres_hz(500.0, 2000.0, 3)
    )
    assert result.frame_power.shape == (7, 31)
    np.testing.assert_allclose(result.frame_power[3, 2:-2], 0.02, rtol=1e-3)
    assert np.all(result.frame_power[[0, 6], 5:-5] < 1e-6)


@pytest.mark.parametrize("size", [96000, 95001, 120007])
def test_a_periodic_signal_has_no_ends(size):
    rng = np.random.default_rng(25)
    period = rng.standard_normal(size)
    once = third_octave_frames(period, RATE_HZ, periodic=True)
    thrice = third_octave_frames(np.tile(period, 3), RATE_HZ)
    count = once.frame_power.shape[1]
    start = 2 * size  # frames of the last period start off the 62.5 ms grid: compare where the grids meet
    if size % 3000 == 0:
        same = thrice.frame_power[:, size // 3000 : size // 3000 + count]
        off_db = 10 * np.log10(once.frame_power / same)
        assert np.abs(off_db).max() < 0.2
        assert np.abs(off_db[5:]).max() < 0.05
    plain = [np.mean(b[start:] ** 2) for b in _filter_bank(np.tile(period, 3), once.centre_hz)]
    np.testing.assert_allclose(10 * np.log10(once.mean_power / plain)[5:], 0, atol=0.01)
    in_double = third_octave_power(period, RATE_HZ, periodic=True)
    np.testing.assert_allclose(once.mean_power, in_double, rtol=1e-5)  # hops are summed in single precision


def test_leading_axes_are_rows_by_themselves():
    samples = np.random.default_rng(26).standard_normal((2, 3, RATE_HZ))
    together = third_octave_frames(samples, RATE_HZ)
    alone = third_octave_frames(samples[1, 2], RATE_HZ)
    np.testing.assert_allclose(together.frame_power[1, 2], alone.frame_power)
    assert together.percentile_power(PERCENT).shape == (3, 2, 3, 30)
    np.testing.assert_allclose(together.mean_power, third_octave_power(samples, RATE_HZ), rtol=2e-3)


def test_percentile_is_the_power_not_exceeded():
    result = third_octave_frames(np.random.default_rng(27).standard_normal(10 * RATE_HZ), RATE_HZ)
    for percent in PERCENT:
        part = np.mean(result.frame_power <= result.percentile_power(percent)[0][:, None], axis=1)
        np.testing.assert_allclose(100 * part, percent, atol=1.0)


def test_bands_beyond_half_the_rate_and_short_recordings_are_refused():
    with pytest.raises(OutOfRangeError, match="take the third octave at 15849 Hz"):
        third_octave_power(np.ones(32000), 32000)
    with pytest.raises(RecordingError, match="take third-octave levels in frames of 125 ms"):
        third_octave_frames(np.ones(5000), RATE_HZ)


@pytest.mark.peer
def test_levels_agree_with_peers_within_0_1_db(show):
    octave = pytest.importorskip("pyoctaveband", reason="PyOctaveBand is an optional test dependency")
    pyfar = pytest.importorskip("pyfar", reason="pyfar is an optional test dependency")
    samples = np.random.default_rng(28).standard_normal(30 * RATE_HZ)
    result = third_octave_frames(samples, RATE_HZ)
    level_db, centre_hz = octave.octavefilter(samples, RATE_HZ, fraction=3, order=6, limits=[20, 16500])
    ours = {round(float(hz)): 10 * np.log10(p) for hz, p in zip(result.centre_hz, result.mean_power, strict=True)}
    off = [
        ours[round(hz)] - (db + 20 * np.log10(2e-5))
        for hz, db in zip(centre_hz, level_db, strict=True)
        if round(hz) in ours
    ]
    show(f"PyOctaveBand, order 6, {len(off)} bands: worst {np.abs(off).max():.3f} dB")
    assert len(off) >= 30
    assert np.abs(off).max() < 0.1
    bands = pyfar.dsp.filter.fractional_octave_bands(pyfar.Signal(samples, RATE_HZ), 3, frequency_range=(20, 16500))
    power = np.mean(bands.time[:, 0] ** 2, axis=-1)
    off = 10 * np.log10(result.mean_power / power[: result.centre_hz.size])
    show(f"pyfar, order 14, {power.size} bands: worst {np.abs(off).max():.3f} dB")
    assert np.abs(off[5:]).max() < 0.1
