"""IEC 61260-1:2014, Table 1: class 1 limits on relative attenuation.

Values from memory; they agree with the transcription in the open-source PyOctaveBand 2.0.0 (compared below when it is
installed). Breakpoints of fractional-octave bands by formulae (9) and (10), straight lines in lg Ω by (11).
"""

import numpy as np
import pytest
from scipy import signal

from umbo.dsp import band_centres_hz, third_octave_frames, third_octave_gain, third_octave_power

OCTAVE = 10**0.3
#: Exponent of G, largest attenuation within the pass-band. [dB]
INSIDE = np.array([[0, 0.4], [1 / 8, 0.5], [1 / 4, 0.7], [3 / 8, 1.4], [1 / 2, 5.3]])
SMALLEST_INSIDE_DB = -0.4
#: Exponent of G, smallest attenuation outside. [dB]
OUTSIDE = np.array([[1 / 2, 1.2], [1, 16.6], [2, 40.5], [3, 60.0], [4, 70.0]])


def limits_db(ratio):
    """Smallest and largest relative attenuation of a third-octave filter at f/fm."""
    ratio = np.maximum(ratio, 1 / ratio)  # (10)
    scale = (OCTAVE ** (1 / 6) - 1) / (OCTAVE**0.5 - 1)  # (9)
    inside = np.log10(1 + scale * (OCTAVE ** INSIDE[:, 0] - 1))
    outside = np.log10(1 + scale * (OCTAVE ** OUTSIDE[:, 0] - 1))
    within = np.log10(ratio) <= inside[-1]
    low = np.where(within, SMALLEST_INSIDE_DB, np.interp(np.log10(ratio), outside, OUTSIDE[:, 1]))
    high = np.where(within, np.interp(np.log10(ratio), inside, INSIDE[:, 1]), np.inf)
    return low, high


def test_gain_meets_class_1_on_a_fine_grid():
    ratio = np.geomspace(0.02, 50, 20001)
    gain = third_octave_gain(1000.0 * ratio, 1000.0)
    low, high = limits_db(ratio)
    attenuation = -20 * np.log10(np.maximum(gain, 1e-12))
    assert np.all(attenuation >= low)
    assert np.all(attenuation <= high)
    assert third_octave_gain([1000.0], 1000.0)[0] == 1.0


def test_a_lower_order_would_fail_so_the_mask_can_fail():
    ratio = np.geomspace(0.1, 10, 2001)
    low, _ = limits_db(ratio)
    assert np.any(-20 * np.log10(np.maximum(third_octave_gain(1000.0 * ratio, 1000.0, order=2), 1e-12)) < low)


@pytest.mark.parametrize("rate_hz", [44100, 48000, 96000])
@pytest.mark.parametrize("centre_hz", [20.0, 1000.0, 12500.0, 16000.0])
def test_tones_meet_class_1(rate_hz, centre_hz):
    """Tones through the whole routine, framed and unframed, not through the gain formula."""
    exact = band_centres_hz(centre_hz, centre_hz, 3)
    size = 4 * rate_hz
    window = signal.windows.hann(size, sym=False)
    middle = slice(26, 38)  # frames around the window's top
    ratios = np.concatenate([np.geomspace(0.2, 5.0, 13), [0.9, 0.93, 1.07, 1.1]])
    ratios = ratios[(ratios * exact[0] < 0.47 * rate_hz) & (ratios * exact[0] > 4)]

    def powers(hz):
        tone = window * np.sin(2 * np.pi * hz / rate_hz * np.arange(size))
        frames = third_octave_frames(tone, rate_hz, centre_hz=exact)
        return third_octave_power(tone, rate_hz, centre_hz=exact)[0], frames.frame_power[0, middle].mean()

    at_centre = powers(exact[0])
    for ratio in ratios:
        low, high = limits_db(np.array([ratio]))
        for power, reference in zip(powers(ratio * exact[0]), at_centre, strict=True):
            attenuation = 10 * np.log10(reference / max(power, 1e-13 * reference))
            assert low[0] - 0.05 <= attenuation <= high[0] + 0.05, (ratio, attenuation)


def test_class_1_bands_run_from_20_hz_to_16_khz_at_44_1_khz():
    assert third_octave_power(np.ones(44100), 44100).shape == (30,)


@pytest.mark.peer
def test_limits_are_those_a_peer_transcribed():
    compliance = pytest.importorskip("pyoctaveband.compliance", reason="PyOctaveBand is an optional test dependency")
    ratio = np.geomspace(0.1, 10, 997)
    low, high = compliance.class_limits(3, 1, ratio)
    ours = limits_db(ratio)
    np.testing.assert_allclose(ours[0], low, atol=1e-9)
    np.testing.assert_allclose(ours[1], high, atol=1e-9)
