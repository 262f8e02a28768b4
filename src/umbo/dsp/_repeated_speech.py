"""Band levels of speech that was played several times: percentiles, and noise from its repeats."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.dsp._arrays import running_mean
from umbo.dsp._repeats import FirstPeriod, FirstPeriodRule, judge_first_period, used_repeats
from umbo.dsp._third_octave_filter import FILTER_ORDER
from umbo.dsp._third_octaves import third_octave_frames
from umbo.errors import RecordingError

if TYPE_CHECKING:
    from umbo.dsp._arrays import BoolArray, FloatArray

__all__ = ["SPEECH_PERCENTILES", "RepeatedBands", "repeated_band_levels"]

#: Percentiles of the short-term level distribution, IEC 60118-15 (from memory). [%]
SPEECH_PERCENTILES = (30.0, 65.0, 99.0)
#: Part of the frames, around a percentile, whose noise counts as that percentile's; assumed. [1]
_NEIGHBOURS = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class RepeatedBands:
    """Third-octave powers of the average of repeats, with the noise that is left in it.

    Parameters
    ----------
    centre_hz : array (b,)
        Exact centres. [Hz]
    mean_power : array (b,)
        Mean square of the average over its duration, noise included. [square of samples]
    noise_power : array (b,) or None
        Noise in ``mean_power``; None where one repeat leaves it unknown. [square of samples]
    percent : array (p,)
        Percentages of frames. [%]
    percentile_power : array (p, b)
        Mean square not exceeded during these percentages of 125 ms frames, noise included. [square of
        samples]
    percentile_noise_power : array (p, b) or None
        Noise in the frames nearest to each percentile: under compression soft frames are noisier. [square
        of samples]
    independent_bins : array (b,)
        Independent bins in each band, for the uncertainty of ``mean_power``. [1]
    used : array (R,)
        Which repeats went into the average.
    first_period : FirstPeriod
        Whether the first period is like the others.
    """

    centre_hz: FloatArray
    mean_power: FloatArray
    noise_power: FloatArray | None
    percent: FloatArray
    percentile_power: FloatArray
    percentile_noise_power: FloatArray | None
    independent_bins: FloatArray
    used: BoolArray
    first_period: FirstPeriod


def repeated_band_levels(
    periods: FloatArray,
    sampling_rate_hz: float,
    *,
    percent: tuple[float, ...] = SPEECH_PERCENTILES,
    centre_hz: FloatArray | None = None,
    first_period: FirstPeriodRule = "test",
    order: int = FILTER_ORDER,
) -> RepeatedBands:
    """Average repeats of a signal and take third-octave levels, percentiles and noise.

    Parameters
    ----------
    periods : array (R, n)
        Back-to-back periods. [1]
    sampling_rate_hz : float
        Sampling rate, a whole number. [Hz]
    percent : tuple of float
        Percentages of frames. [%]
    centre_hz : array (b,), optional
        Exact centres; 20 Hz to 16 kHz by default. [Hz]
    first_period : {"test", "keep", "leave_out"}
        What to do with the first of at least three periods.
    order : int
        Order of the Butterworth magnitude. [1]

    Returns
    -------
    RepeatedBands
        Powers of the average, and of the noise in it.

    Raises
    ------
    RecordingError
        If the periods are not an array of two dimensions, or shorter than a frame.

    Notes
    -----
    The average of R repeats x_r holds 1/R of the noise power of one. With d_r = x_r - average, the band
    powers P(d_r) give Σ P(d_r) / ((R - 1) R), an unbiased estimate of the noise in the average, frame by
    frame and over the whole. Periodic handling throughout: the period follows itself.
    """
    if periods.ndim != 2:
        raise RecordingError(
            "take band levels of repeated speech",
            f"the recording has {periods.ndim} dimensions instead of repeats × samples",
            "cut it into its periods first",
        )
    length = periods.shape[1]
    step_hz = sampling_rate_hz / length
    first, last = max(1, int(100.0 / step_hz)), int(min(10000.0, 0.45 * sampling_rate_hz) / step_hz)
    tested = np.fft.rfft(periods)[:, first:last] if periods.shape[0] > 2 else np.zeros((periods.shape[0], 1))
    outcome = judge_first_period(tested.astype(np.complex128), first, step_hz, 1 / step_hz)
    used = used_repeats(periods.shape[0], outcome, first_period)
    kept = periods[used]
    average = kept.mean(axis=0)
    frames = third_octave_frames(average, sampling_rate_hz, centre_hz=centre_hz, periodic=True, order=order)
    percentile = frames.percentile_power(percent)
    noise = noise_percentile = None
    count = kept.shape[0]
    if count > 1:
        apart = kept[:1] - average if count == 2 else kept - average  # of two repeats both lie equally far away
        left = third_octave_frames(apart, sampling_rate_hz, centre_hz=frames.centre_hz, periodic=True, order=order)
        share = count / apart.shape[0] / ((count - 1) * count)
        noise = left.mean_power.sum(axis=0) * share
        noise_frames = left.frame_power.sum(axis=0) * share
        noise_percentile = _near_percentiles(frames.frame_power, noise_frames, percent)
    return RepeatedBands(
        centre_hz=frames.centre_hz,
        mean_power=frames.mean_power,
        noise_power=noise,
        percent=np.asarray(percent, dtype=np.float64),
        percentile_power=percentile,
        percentile_noise_power=noise_percentile,
        independent_bins=np.maximum(frames.centre_hz * (10**0.05 - 10**-0.05) / step_hz, 1.0),
        used=used,
        first_period=outcome,
    )


def _near_percentiles(frame_power: FloatArray, noise_frames: FloatArray, percent: tuple[float, ...]) -> FloatArray:
    """Mean noise of the frames ranked nearest to each percentile."""
    count = frame_power.shape[-1]
    ranked = np.take_along_axis(noise_frames, np.argsort(frame_power, axis=-1), axis=-1)
    width = max(1, round(_NEIGHBOURS * count))
    smooth = running_mean(ranked, width)
    place = np.round(np.asarray(percent) / 100 * (count - 1)).astype(np.intp)
    near: FloatArray = np.moveaxis(smooth[:, place], -1, 0)
    return near
