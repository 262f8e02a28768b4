"""From the periods of a sweep recording to a response: recording over stimulus, harmonics set apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.dsp._fast_length import fast_length
from umbo.dsp._harmonics import harmonic_powers, passing_power, squared, windowed
from umbo.dsp._repeats import FirstPeriodRule, judge_first_period, noise_from_repeats, used_repeats
from umbo.dsp._response import SweepResponse
from umbo.dsp._sweeps import timing_of_spectrum
from umbo.dsp._windows import HarmonicWindow, harmonic_windows
from umbo.errors import RecordingError

if TYPE_CHECKING:
    from umbo.dsp._arrays import ComplexArray, FloatArray

__all__ = ["sweep_response"]

#: Weakest stimulus still divided by, power re its median in equal parts of an octave: -80 dB; assumed. [1]
_WEAKEST = 1e-8
#: The same outside the sweep's range, where noise must not be magnified: -20 dB; chosen by trial: much
#: more sharpens the edge, whose ringing then reaches the lowest bands, much less lets loud noise hide the
#: impulse response. [1]
_OUTSIDE = 0.01
#: The response fades out over one octave below the sweep and a quarter above it. [octave]
_FADE_BELOW, _FADE_ABOVE = 1.0, 0.25
#: Bins from which the typical power of the stimulus is read.
_SAMPLED_BINS = 4096
#: Bins divided at a time.
_BLOCK = 16384
#: Coarsest distance of the response's frequencies. [Hz]
_COARSEST_HZ = 2.0


def sweep_response(
    periods: FloatArray,
    stimulus: FloatArray,
    sampling_rate_hz: float,
    start_hz: float,
    stop_hz: float,
    *,
    n_harmonics: int = 5,
    window_s: float = 0.25,
    first_period: FirstPeriodRule = "test",
) -> SweepResponse:
    r"""Deconvolve the periods of a recording with the exponential sweep that was played.

    .. math:: H(f) = \frac{Y(f)\,X^*(f)\,G(f)}{|X(f)|^2 + \varepsilon(f)}

    Parameters
    ----------
    periods : array (R, n) or (n,)
        Back-to-back periods of the recording. [1]
    stimulus : array (n,)
        One period of what was played: any exponential upward sweep, with or without silence after it. [1]
    sampling_rate_hz : float
        Sampling rate of both. [Hz]
    start_hz, stop_hz : float
        Declared range of the sweep. [Hz]
    n_harmonics : int
        Highest harmonic wanted, at least 1 (the linear response alone). [1]
    window_s : float
        Length of the time windows after the impulse responses. [s]
    first_period : {"test", "keep", "leave_out"}
        What to do with the first of at least three periods: leave it out if it disagrees with the others
        beyond their noise, keep it, or leave it out.

    Returns
    -------
    SweepResponse
        Linear response, harmonics, and the noise of both.

    Raises
    ------
    RecordingError
        If the periods and the stimulus differ in length, or the stimulus is not an exponential sweep of
        that range.

    Notes
    -----
    The division is circular: exact when the recording is periodic, and with silence after the sweep also
    for a first period that starts from silence. X is the file that was played, so its fades and shaping
    divide out. G is 1 within the sweep's range and falls as half a cosine over an octave below and a
    quarter octave above. Within the range ε lies 80 dB under the stimulus and biases nothing; outside it
    rises to 20 dB under it with 1 - G, so that noise where the sweep is weak is not magnified.

    A window after the impulse response of 250 ms keeps the resolution (4 Hz) below the width of the
    twelfth octave at 125 Hz (7.3 Hz). Under 2:1 compression the result is then the gain at the moment the
    sweep passes, within 0.05 dB from 125 Hz for a sweep of 3 s from 80 Hz; 30 ms costs 0.2 dB there (own
    simulation, in the tests). The transform of the whole period without a window is off by 0.3 dB: it
    spreads the onset of the sweep over the lowest bands.

    The deconvolved harmonic n at its own frequency is its amplitude over that of the stimulus at the same
    frequency. It is carried to the exciting frequency by the ratio of the stimulus's amplitudes, read
    from third-octave means of ``f |X|²``, so that a sweep whose level changes with frequency is handled too.
    """
    recorded = np.atleast_2d(np.asarray(periods, dtype=np.float64))
    period = stimulus.size
    if recorded.ndim != 2 or recorded.shape[1] != period:
        raise RecordingError(
            "analyse a sweep recording",
            f"its periods have {recorded.shape[-1]} samples and the stimulus has {period}",
            "cut the recording into periods of the stimulus file, at the same sampling rate",
        )
    spectrum = np.fft.rfft(stimulus)
    deconvolved = np.fft.rfft(recorded)
    timing = timing_of_spectrum(spectrum, period, sampling_rate_hz, start_hz, stop_hz)
    _divide(deconvolved, spectrum, sampling_rate_hz / period, start_hz, stop_hz)
    impulse = np.fft.irfft(deconvolved, period)
    delay = _place_of_peak(impulse)
    windows = harmonic_windows(timing, period, delay, sampling_rate_hz, n_harmonics, window_s)
    size = _transform_size(windows, sampling_rate_hz)
    step_hz = sampling_rate_hz / size
    bins = np.arange(int(np.ceil(start_hz / step_hz)), int(stop_hz / step_hz) + 1)
    linear = windowed(impulse, windows[0], size)[:, bins]
    linear *= np.exp(-2j * np.pi * np.mod(bins * windows[0].start, size) / size)
    outcome = judge_first_period(linear, int(bins[0]), step_hz, windows[0].effective_s)
    used = used_repeats(recorded.shape[0], outcome, first_period)
    passing = passing_power(spectrum, bins, period / size, size)
    power, noise, valid = harmonic_powers(impulse, windows, bins, passing, used, n_harmonics)
    known = used.sum() > 1
    return SweepResponse(
        frequency_hz=bins.astype(np.float64) * step_hz,
        response=linear[used].mean(axis=0),
        noise_power=noise_from_repeats(linear[used]) / used.sum() if known else None,
        harmonic_power=power,
        harmonic_noise_power=noise if known else None,
        harmonic_valid=valid,
        repeat_response=linear,
        used=used,
        first_period=outcome,
        timing=timing,
        delay_s=delay / sampling_rate_hz,
        independent_per_hz=_independent_per_hz(windows, n_harmonics),
    )


def _divide(deconvolved: ComplexArray, spectrum: ComplexArray, step_hz: float, start_hz: float, stop_hz: float) -> None:
    """Divide spectra by the stimulus's in place, regularised; zero outside the range, faded at its edges."""
    low, high = start_hz / 2**_FADE_BELOW, stop_hz * 2**_FADE_ABOVE
    first, last = max(int(low / step_hz), 1), min(int(high / step_hz) + 1, spectrum.size)
    sample = np.arange(int(np.ceil(start_hz / step_hz)), int(stop_hz / step_hz), 1 + (last - first) // _SAMPLED_BINS)
    typical = float(np.median(squared(spectrum[sample]) * sample))
    deconvolved[:, :first] = 0.0
    deconvolved[:, last:] = 0.0
    for begin in range(first, last, _BLOCK):  # in blocks that stay in the cache
        block = slice(begin, min(begin + _BLOCK, last))
        bins = np.arange(block.start, block.stop, dtype=np.float64)
        inside = spectrum[block]
        fade = np.ones(bins.size)
        if bins[0] * step_hz < start_hz:
            fade *= _fade(np.log2(bins * step_hz / low) / _FADE_BELOW)
        if bins[-1] * step_hz > stop_hz:
            fade *= _fade(np.log2(high / (bins * step_hz)) / _FADE_ABOVE)
        gain = fade * bins / (squared(inside) * bins + typical * (_WEAKEST + _OUTSIDE * (1 - fade)))
        deconvolved[:, block] *= inside.conj() * gain


def _place_of_peak(impulse: FloatArray) -> int:
    """Sample of the largest value of the mean response, negative in the second half of the circle."""
    mean = impulse[0] if impulse.shape[0] == 1 else impulse.mean(axis=0)
    high, low = int(mean.argmax()), int(mean.argmin())
    peak = high if mean[high] >= -mean[low] else low
    return peak if peak < mean.size // 2 else peak - mean.size


def _fade(part: FloatArray) -> FloatArray:
    """Half a cosine from 0 to 1."""
    return 0.5 - 0.5 * np.cos(np.pi * np.clip(part, 0.0, 1.0))


def _independent_per_hz(windows: tuple[HarmonicWindow, ...], n_harmonics: int) -> FloatArray:
    """Independent bins per hertz of excitation: n times those of harmonic n's own spectrum."""
    order = np.arange(1, max(n_harmonics, 1) + 1)
    effective_s = np.array([window.effective_s for window in windows])
    per_hz: FloatArray = order * effective_s[np.minimum(order, len(windows)) - 1]
    return per_hz


def _transform_size(windows: tuple[HarmonicWindow, ...], sampling_rate_hz: float) -> int:
    """Even length of transforms: bins at most 2 Hz apart, and twice the windows to sample power finely."""
    longest = max(window.weight.size for window in windows)
    half = max(longest, round(sampling_rate_hz / _COARSEST_HZ / 2))
    return 2 * fast_length(half)
