"""Level of a tone over time, one value a sample."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import RecordingError

if TYPE_CHECKING:
    from umbo.dsp._arrays import FloatArray

__all__ = ["averaging_periods_s", "tone_envelope_power"]


def averaging_periods_s(frequency_hz: float, at_least_s: float) -> float:
    """Shortest whole number of a tone's periods that lasts at least so long.

    Parameters
    ----------
    frequency_hz : float
        Frequency of the tone. [Hz]
    at_least_s : float
        Wanted duration. [s]

    Returns
    -------
    float
        Duration. [s]
    """
    return float(np.ceil(at_least_s * frequency_hz - 1e-9)) / frequency_hz if at_least_s > 0 else 1 / frequency_hz


def tone_envelope_power(
    samples: FloatArray, sampling_rate_hz: float, frequency_hz: float, *, averaging_s: float
) -> FloatArray:
    r"""Mean square of a tone over time: demodulated, and averaged over a window centred on each sample.

    .. math::

        p(t) = 2 \left|\frac{1}{T} \int_{t - T/2}^{t + T/2} x(s)\, e^{-2 \pi j f s}\, ds \right|^2 \qquad (1)

    Parameters
    ----------
    samples : array (..., n)
        Recording. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]
    frequency_hz : float
        Frequency of the tone. [Hz]
    averaging_s : float
        Window T, a whole number of periods: then a constant and every harmonic drop out. [s]

    Returns
    -------
    array (..., n)
        Mean square; the window is cut at the ends of the recording. [square of samples]

    Raises
    ------
    RecordingError
        If the recording is not longer than the window, or the tone lies above half the sampling rate.
    """
    length = samples.shape[-1]
    width = averaging_s * sampling_rate_hz
    if not 0 < frequency_hz < sampling_rate_hz / 2 or length <= width:
        raise RecordingError(
            f"follow the level of a tone at {frequency_hz:g} Hz",
            f"{length} samples at {sampling_rate_hz:g} Hz meet a window of {averaging_s:g} s",
            "record longer, or check the frequency",
        )
    carrier = np.exp(-2j * np.pi * frequency_hz / sampling_rate_hz * np.arange(length))
    total = np.zeros((*samples.shape[:-1], length + 1), dtype=np.complex128)
    np.cumsum(samples * carrier, axis=-1, out=total[..., 1:])
    centre = np.arange(length) + 0.5
    low, high = np.maximum(centre - width / 2, 0.0), np.minimum(centre + width / 2, float(length))
    mean = (_between(total, high) - _between(total, low)) / (high - low)
    power: FloatArray = 2 * (mean.real**2 + mean.imag**2)  # Eq. (1)
    return power


def _between(
    total: np.ndarray[tuple[int, ...], np.dtype[np.complex128]], place: FloatArray
) -> np.ndarray[tuple[int, ...], np.dtype[np.complex128]]:
    """Straight lines between the sums, so that a window may hold fractions of samples."""
    index = np.minimum(place.astype(np.intp), total.shape[-1] - 2)
    part = place - index
    return total[..., index] * (1 - part) + total[..., index + 1] * part
