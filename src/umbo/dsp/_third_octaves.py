"""Third-octave levels in time frames: one long transform, then one short inverse transform a band."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import gcd
from typing import TYPE_CHECKING

import numpy as np

from umbo.dsp._bands import band_centres_hz, band_edges_hz
from umbo.dsp._fast_length import fast_length
from umbo.dsp._third_octave_filter import (
    FILTER_ORDER,
    SingleComplex,
    attenuated_at,
    bins_within_skirts,
    inverse_filter,
    third_octave_gain,
)
from umbo.errors import OutOfRangeError, RecordingError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from umbo.dsp._arrays import FloatArray

__all__ = [
    "FILTER_ORDER",
    "ThirdOctaveFrames",
    "third_octave_frames",
    "third_octave_gain",
    "third_octave_power",
]

#: Frames last two hops of 62.5 ms: 125 ms, 50 % overlap (IEC 60118-15 style, from memory).
_HOPS_PER_SECOND = 16
_FRAME_S = 2 / _HOPS_PER_SECOND
#: A band is sampled at the rate of its width at this attenuation. What lies beyond folds back onto the
#: opposite skirt and adds products of at most 10^-4 of the band's power, of random sign. [dB]
_FOLD_DB = 40.0
#: Sampling rate in excess of that width, so that frame edges fall finely on the band's envelope. [Hz]
_EXTRA_RATE_HZ = 256.0
#: The lowest band rings for this many of its periods; silence or the signal's periodic extension covers them.
_RINGING_PERIODS = 20.0


@dataclass(frozen=True, slots=True, eq=False)
class ThirdOctaveFrames:
    """Mean-square values of third-octave bands in frames of 125 ms, 50 % overlapping.

    Parameters
    ----------
    centre_hz : array (b,)
        Exact centres. [Hz]
    frame_power : array (..., b, f)
        Mean square within each frame; frame i spans i × 62.5 ms to i × 62.5 ms + 125 ms. [square of samples]
    mean_power : array (..., b)
        Mean square over the recording. [square of samples]
    order : int
        Order of the Butterworth magnitude. [1]
    """

    centre_hz: FloatArray
    frame_power: FloatArray
    mean_power: FloatArray
    order: int

    def percentile_power(self, percent: ArrayLike) -> FloatArray:
        """Mean square that is not exceeded during the given percentages of the frames.

        Parameters
        ----------
        percent : array (p,)
            Percentages, for example (30, 65, 99). [%]

        Returns
        -------
        array (p, ..., b)
            Order statistics, straight lines between them (numpy's "linear"). [square of samples]
        """
        value: FloatArray = np.percentile(self.frame_power, np.atleast_1d(percent), axis=-1)
        return value


def third_octave_frames(
    samples: FloatArray,
    sampling_rate_hz: float,
    *,
    centre_hz: FloatArray | None = None,
    periodic: bool = False,
    order: int = FILTER_ORDER,
) -> ThirdOctaveFrames:
    """Filter a recording into third-octave bands and take mean squares in frames of 125 ms.

    Parameters
    ----------
    samples : array (..., n)
        Recording. [1]
    sampling_rate_hz : float
        Sampling rate, a whole number. [Hz]
    centre_hz : array (b,), optional
        Exact centres; 20 Hz to 16 kHz (30 bands) by default. [Hz]
    periodic : bool
        Whether the recording is one period of a periodic signal. Otherwise silence is assumed around it.
    order : int
        Order of the Butterworth magnitude. [1]

    Returns
    -------
    ThirdOctaveFrames
        Mean squares per frame and over the recording.

    Raises
    ------
    RecordingError
        If the recording is shorter than one frame, or its sampling rate is not a whole number.
    OutOfRangeError
        If a band reaches beyond half the sampling rate.

    Notes
    -----
    The filters are causal, with the phase of the analogue Butterworth band-pass, as in a level meter:
    frames and percentiles are those of a filter bank of the same order. Bands lag by 1.23 over their
    bandwidth: 0.27 s at 20 Hz, 21 ms at 250 Hz, 5 ms at 1 kHz.

    One transform of the whole recording; for each band the inverse transform of that band's bins alone,
    which is its analytic signal at a low rate; half its squared magnitude is the band's mean square,
    integrated by the trapezoidal rule over hops that begin and end on its samples. A band's samples run
    in single precision (an error some 100 dB under that band's loudest frame), the long transform in
    double. Weighting the spectrum of each frame instead would be wrong by tens of decibels in low bands:
    a frame of 125 ms resolves 8 Hz, the band at 20 Hz is 4.6 Hz wide.
    """
    centre = band_centres_hz(20.0, 16000.0, 3) if centre_hz is None else np.asarray(centre_hz, np.float64)
    length = samples.shape[-1]
    _check(centre, length, sampling_rate_hz)
    rate = round(sampling_rate_hz)
    lead, hops = _padding(length, rate, float(centre.min()), periodic=periodic)
    size = hops * rate // _HOPS_PER_SECOND
    count = int((length / rate - _FRAME_S) * _HOPS_PER_SECOND + 1e-9) + 1
    rows = samples.reshape(-1, length)
    powers = np.empty((rows.shape[0], centre.size, hops), dtype=np.float32)
    for row, out in zip(rows, powers, strict=True):
        extended = (
            np.pad(row, (lead * rate // _HOPS_PER_SECOND, lead * rate // _HOPS_PER_SECOND), "wrap") if lead else row
        )
        spectrum = np.fft.rfft(extended, size).astype(np.complex64)
        for band, centre_here in enumerate(centre):
            out[band] = _hop_power(spectrum, size, hops, rate / size, float(centre_here), order)
    first = powers[..., lead : lead + count].astype(np.float64)
    frames = 0.5 * (first + powers[..., lead + 1 : lead + 1 + count])
    if periodic and size != length:
        mean = third_octave_power(rows, sampling_rate_hz, centre_hz=centre, periodic=True, order=order)
    else:
        mean = powers.sum(axis=-1, dtype=np.float64) * (size / hops / length)
    shape = (*samples.shape[:-1], centre.size)
    return ThirdOctaveFrames(centre, frames.reshape(*shape, count), mean.reshape(shape), order)


def third_octave_power(
    samples: FloatArray,
    sampling_rate_hz: float,
    *,
    centre_hz: FloatArray | None = None,
    periodic: bool = False,
    order: int = FILTER_ORDER,
) -> FloatArray:
    """Mean square of a recording in third-octave bands, without frames.

    Parameters
    ----------
    samples : array (..., n)
        Recording. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]
    centre_hz : array (b,), optional
        Exact centres; 20 Hz to 16 kHz (30 bands) by default. [Hz]
    periodic : bool
        Whether the recording is one period of a periodic signal.
    order : int
        Order of the Butterworth magnitude. [1]

    Returns
    -------
    array (..., b)
        Energy of each band's output over the recording's duration, by Parseval's theorem. [square of samples]

    Raises
    ------
    OutOfRangeError
        If a band reaches beyond half the sampling rate.
    """
    centre = band_centres_hz(20.0, 16000.0, 3) if centre_hz is None else np.asarray(centre_hz, np.float64)
    length = samples.shape[-1]
    _check(centre, length, sampling_rate_hz)
    ringing = int(np.ceil(_RINGING_PERIODS / centre.min() * sampling_rate_hz))
    size = length if periodic else fast_length(length + ringing)
    spectrum = np.fft.rfft(samples, size)
    power = (spectrum.real**2 + spectrum.imag**2) * (2 / size / length)
    step_hz = sampling_rate_hz / size
    mean = np.empty((*samples.shape[:-1], centre.size))
    for band, here in enumerate(centre):
        bins, weight = _power_weight(float(here), step_hz, power.shape[-1] - 1, order)
        mean[..., band] = np.einsum("...i,i->...", power[..., bins], weight)  # quicker than threads of a dot
    return mean


@lru_cache(maxsize=64)
def _power_weight(centre_hz: float, step_hz: float, last: int, order: int) -> tuple[slice, FloatArray]:
    """Bins of a band and the filter's squared magnitude there, kept for the next recording of the same length."""
    bins = bins_within_skirts(centre_hz, step_hz, last, order)
    weight = third_octave_gain(np.arange(bins.start, bins.stop) * step_hz, centre_hz, order=order) ** 2
    weight.flags.writeable = False
    return bins, weight


def _check(centre_hz: FloatArray, length: int, sampling_rate_hz: float) -> None:
    top = float(band_edges_hz(centre_hz.max(), 3)[1])
    if top > sampling_rate_hz / 2:
        raise OutOfRangeError(
            f"take the third octave at {centre_hz.max():.0f} Hz",
            f"its upper edge of {top:.0f} Hz lies above half the sampling rate of {sampling_rate_hz:g} Hz",
            "leave the band out or record at a higher rate",
        )
    if length < _FRAME_S * sampling_rate_hz or sampling_rate_hz != round(sampling_rate_hz):
        raise RecordingError(
            "take third-octave levels in frames of 125 ms",
            f"the recording has {length} samples at {sampling_rate_hz:g} Hz",
            "give at least one frame, at a whole number of hertz",
        )


def _padding(length: int, rate: int, lowest_hz: float, *, periodic: bool) -> tuple[int, int]:
    """Hops of periodic extension before the recording, and hops in all: a fast transform of whole samples.

    A period that is itself a fast transform of whole hops needs no extension: the transform is as periodic as it is.
    """
    if periodic and length * _HOPS_PER_SECOND % rate == 0 and fast_length(length) == length:
        return 0, length * _HOPS_PER_SECOND // rate
    ringing = int(np.ceil(_RINGING_PERIODS / lowest_hz * _HOPS_PER_SECOND))
    unit = _HOPS_PER_SECOND // gcd(rate, _HOPS_PER_SECOND)  # hops that are a whole number of samples
    lead = -(-ringing // unit) * unit if periodic else 0
    need = -(-length * _HOPS_PER_SECOND // rate) + lead + (lead or ringing)
    need = -(-need // unit) * unit
    for hops in range(need, need + need // 4 + unit, unit):
        size = hops * rate // _HOPS_PER_SECOND
        if fast_length(size) == size:
            return lead, hops
    return lead, need


def _hop_power(
    spectrum: SingleComplex, size: int, hops: int, step_hz: float, centre_hz: float, order: int
) -> NDArray[np.float32]:
    """Mean square of one band in every hop."""
    bins = bins_within_skirts(centre_hz, step_hz, spectrum.size - 1, order)
    part = spectrum[bins]
    part = part / inverse_filter(bins.start, part.size, step_hz / centre_hz, order)
    bottom, top = attenuated_at(_FOLD_DB, order)
    rate_hz = (top - bottom) * centre_hz + _EXTRA_RATE_HZ
    per_hop = fast_length(int(np.ceil(rate_hz / step_hz / hops)))
    count = per_hop * hops
    for begin in range(count, part.size, count):
        beyond = part[begin : begin + count]
        part[: beyond.size] += beyond
    band = np.fft.ifft(part[:count], count).view(np.float32).reshape(hops, 2 * per_hop)
    total = np.einsum("ij,ij->i", band, band)
    edge = band[:, 0] ** 2 + band[:, 1] ** 2
    total += 0.5 * (np.roll(edge, -1) - edge)  # trapezoidal rule: half of both edges
    power: NDArray[np.float32] = total * np.float32(2 * per_hop * (hops / size) ** 2)
    return power
