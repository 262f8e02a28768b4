"""A user's own recording reaches a wanted third-octave spectrum, or is refused."""

import numpy as np
import pytest
from scipy import signal

from umbo import refdata
from umbo.dsp import band_centres_hz, levelled_to, third_octave_power
from umbo.errors import OutOfRangeError, RecordingError

RATE_HZ = 48000
CENTRE_HZ = band_centres_hz(125.0, 8000.0, 3)


def wanted():
    """Long-term average speech spectrum at 70 dB (Byrne et al. 1994, Table II)."""
    table = refdata.table("ltass", source="byrne-1994")
    hz, level = table.series("combined_70db_overall_db_spl")
    return level[(hz >= 125) & (hz <= 8000)]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_bands_are_within_half_a_decibel(speech, seed):
    rng = np.random.default_rng(seed)
    out = levelled_to(0.05 * speech(10 * RATE_HZ, RATE_HZ, rng), RATE_HZ, wanted(), CENTRE_HZ, peak_fs=0.9)
    assert np.max(np.abs(out.samples)) == pytest.approx(0.9)
    level = 10 * np.log10(third_octave_power(out.samples, RATE_HZ, centre_hz=CENTRE_HZ)) + out.db_spl_at_unit_rms
    assert level == pytest.approx(wanted(), abs=0.5)
    assert out.band_error_db == pytest.approx(level - wanted(), abs=1e-6)
    # against another filter bank: Butterworth, order 6, second-order sections
    for centre, goal in zip(CENTRE_HZ[[3, 9, 15]], wanted()[[3, 9, 15]], strict=True):
        edges = [centre * 10**-0.05, centre * 10**0.05]
        band = signal.sosfilt(signal.butter(6, edges, "band", fs=RATE_HZ, output="sos"), out.samples)
        assert 10 * np.log10(np.mean(band**2)) + out.db_spl_at_unit_rms == pytest.approx(goal, abs=0.5)


def test_delay_is_taken_out(speech):
    samples = speech(6 * RATE_HZ, RATE_HZ, np.random.default_rng(4))
    out = levelled_to(samples, RATE_HZ, wanted(), CENTRE_HZ, peak_fs=1.0)
    lag = signal.correlation_lags(samples.size, samples.size)
    assert lag[np.argmax(signal.correlate(out.samples, samples))] == 0


def test_what_cannot_be_levelled_is_refused(speech):
    samples = speech(6 * RATE_HZ, RATE_HZ, np.random.default_rng(4))
    with pytest.raises(RecordingError, match=r"it lasts 2\.0 s and 5 s are needed"):
        levelled_to(samples[: 2 * RATE_HZ], RATE_HZ, wanted(), CENTRE_HZ, peak_fs=1.0)
    narrow = signal.sosfilt(signal.butter(20, 3000, fs=RATE_HZ, output="sos"), samples)
    with pytest.raises(RecordingError, match="its band at 7943 Hz is empty"):
        levelled_to(narrow, RATE_HZ, wanted(), CENTRE_HZ, peak_fs=1.0)
    with pytest.raises(RecordingError, match="is empty"):
        levelled_to(np.zeros(6 * RATE_HZ), RATE_HZ, wanted(), CENTRE_HZ, peak_fs=1.0)
    with pytest.raises(OutOfRangeError, match="18 levels meet 19 bands"):
        levelled_to(samples, RATE_HZ, wanted()[1:], CENTRE_HZ, peak_fs=1.0)
    with pytest.raises(OutOfRangeError, match="outside 0 to 1"):
        levelled_to(samples, RATE_HZ, wanted(), CENTRE_HZ, peak_fs=1.1)
