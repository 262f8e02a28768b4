"""Where a spectrum ends, and how much power lies between two frequencies."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from umbo.dsp._arrays import FloatArray

__all__ = ["power_between", "upper_edge_hz"]


def power_between(samples: FloatArray, sampling_rate_hz: float, edges_hz: FloatArray) -> FloatArray:
    """Mean square of a recording between neighbouring frequencies, by Parseval's theorem.

    Parameters
    ----------
    samples : array (..., n)
        Recording. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]
    edges_hz : array (m + 1,)
        Ascending frequencies, up to half the sampling rate. [Hz]

    Returns
    -------
    array (..., m)
        Mean square in each range. [square of samples]

    Raises
    ------
    OutOfRangeError
        If the edges do not ascend from at least 0 to at most half the sampling rate.
    """
    if np.any(np.diff(edges_hz) <= 0) or edges_hz[0] < 0 or edges_hz[-1] > sampling_rate_hz / 2:
        raise OutOfRangeError(
            "take the power between frequencies",
            f"they run from {edges_hz[0]:g} to {edges_hz[-1]:g} Hz, and half the sampling rate is "
            f"{sampling_rate_hz / 2:g} Hz",
            "give ascending frequencies within the band",
        )
    length = samples.shape[-1]
    spectrum = np.fft.rfft(samples)
    power = 2 * (spectrum.real**2 + spectrum.imag**2) / length**2
    total = np.concatenate([np.zeros((*power.shape[:-1], 1)), np.cumsum(power, axis=-1)], axis=-1)
    place = np.round(edges_hz * length / sampling_rate_hz).astype(np.intp)
    between: FloatArray = total[..., place[1:]] - total[..., place[:-1]]
    return between


def upper_edge_hz(frequency_hz: FloatArray, level_db: FloatArray, *, drop_db: float) -> float:
    """Highest frequency at which a level still comes within a drop of its maximum.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies, ascending. [Hz]
    level_db : array (n,)
        Levels. [dB]
    drop_db : float
        How far below the strongest point the edge lies. [dB]

    Returns
    -------
    float
        Between points by a straight line over log frequency; the last frequency where the level never falls that far.
        [Hz]
    """
    line = float(level_db.max()) - drop_db
    last = int(np.flatnonzero(level_db >= line)[-1])
    if last + 1 == level_db.size:
        return float(frequency_hz[-1])
    part = (level_db[last] - line) / (level_db[last] - level_db[last + 1])
    return float(frequency_hz[last] * (frequency_hz[last + 1] / frequency_hz[last]) ** part)
