"""Harmonic distortion of a steady tone, with the noise around each harmonic taken out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.dsp._tones import tone_level

if TYPE_CHECKING:
    from umbo.dsp._arrays import FloatArray

__all__ = ["HarmonicDistortion", "harmonic_distortion"]

#: Noise at a harmonic is read this far around it, as a share of its frequency, but over at least so many bins
#: (engineering judgement). [1]
_AROUND = 0.1
_FEWEST_BINS = 16


@dataclass(frozen=True, slots=True, eq=False)
class HarmonicDistortion:
    """A tone and its harmonics; amplitudes relative to the fundamental.

    Parameters
    ----------
    frequency_hz : float
        Frequency of the fundamental. [Hz]
    power, power_u : float
        Mean square of the fundamental, and its standard uncertainty. [square of samples]
    noise_power : float
        Noise in the estimate of the fundamental's power. [square of samples]
    ratio, ratio_u : array (h,)
        Harmonics 2 to h + 1 over the fundamental, noise taken out, and standard uncertainties. [1]
    total, total_u : float
        Total harmonic distortion and its standard uncertainty. [1]
    """

    frequency_hz: float
    power: float
    power_u: float
    noise_power: float
    ratio: FloatArray
    ratio_u: FloatArray
    total: float
    total_u: float


def harmonic_distortion(
    samples: FloatArray, sampling_rate_hz: float, frequency_hz: float, *, highest_harmonic: int
) -> HarmonicDistortion:
    r"""Total harmonic distortion and each harmonic of a steady tone.

    .. math:: d_n^2 = \frac{\hat a_n^2 - 2 S_n / T}{\hat a_1^2}, \qquad d = \sqrt{\sum_n d_n^2} \qquad (1)

    with least-squares amplitudes :math:`\hat a_n`, the one-sided density of the noise around each harmonic
    :math:`S_n`, and the duration :math:`T`.

    Parameters
    ----------
    samples : array (n,)
        Steady part of a tone. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]
    frequency_hz : float
        Frequency of the fundamental. [Hz]
    highest_harmonic : int
        Highest harmonic that counts; those at or above half the sampling rate are left out. [1]

    Returns
    -------
    HarmonicDistortion
        Ratios, noise taken out.

    Raises
    ------
    RecordingError
        If the recording holds fewer than two cycles.

    Notes
    -----
    An amplitude estimated in noise has the variance v = S/T in each quadrature, so its square has the mean a² + 2 v
    and the variance 4 a² v + 4 v² (non-central chi-square, two degrees of freedom). Harmonics are related to the
    fundamental, not to the whole signal; at 10 % the two differ by 0.05 percentage points.
    """
    fit = tone_level(samples, sampling_rate_hz, frequency_hz, n_harmonics=highest_harmonic)
    count = fit.amplitude.size
    variance = _quadrature_variance(samples, sampling_rate_hz, frequency_hz, fit.amplitude, fit.phase_rad)
    square = np.maximum(fit.amplitude**2 - 2 * variance, 0.0)
    square_u = np.sqrt(4 * square * variance + 4 * variance**2)
    base = max(float(square[0]), 1e-300)
    ratio2, ratio2_u = square[1:] / base, square_u[1:] / base
    total2, total2_u = float(ratio2.sum()), float(np.sqrt(np.sum(ratio2_u**2)))
    ratio = np.sqrt(ratio2)
    return HarmonicDistortion(
        frequency_hz=frequency_hz,
        power=float(square[0]) / 2,
        power_u=float(square_u[0]) / 2,
        noise_power=float(variance[0]) if count else 0.0,
        ratio=ratio,
        ratio_u=np.sqrt(ratio2 + ratio2_u) - ratio,  # first order where the ratio is large, its root at zero
        total=float(np.sqrt(total2)),
        total_u=float(np.sqrt(total2 + total2_u) - np.sqrt(total2)),
    )


def _quadrature_variance(
    samples: FloatArray, rate_hz: float, frequency_hz: float, amplitude: FloatArray, phase_rad: FloatArray
) -> FloatArray:
    """Variance S/T of each quadrature of every amplitude, from the residual's spectrum around it."""
    order = np.arange(1, amplitude.size + 1)
    angle = 2 * np.pi * frequency_hz / rate_hz * np.outer(order, np.arange(samples.size)) + phase_rad[:, np.newaxis]
    rest = samples - amplitude @ np.cos(angle)
    rest = rest - rest.mean()
    window = np.hanning(samples.size)
    density = 2 * np.abs(np.fft.rfft(rest * window)) ** 2 / (rate_hz * np.sum(window**2))
    step_hz = rate_hz / samples.size
    variance = np.empty(amplitude.size)
    for i, n in enumerate(order):
        middle = n * frequency_hz / step_hz
        half = max(_AROUND * middle, _FEWEST_BINS / 2)
        low, high = max(1, int(middle - half)), min(density.size, int(middle + half) + 1)
        variance[i] = density[low:high].mean() * rate_hz / samples.size
    return variance
