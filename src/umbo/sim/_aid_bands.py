"""The filters of the virtual aid: bands that add up to one, inside the bandwidth of the aid."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import fft

from umbo.core import FloatArray
from umbo.sim._filtering import ComplexArray, bin_frequencies

__all__ = ["Crossover", "bands_of", "decimation", "inverse_band"]

_CROSSOVER_OCTAVES = 0.5  # over which one band gives way to the next (assumed)
_GAIN_HZ = 1000.0
_DECIMATIONS = (8, 6, 4, 3, 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossover:
    """What decides the filters of an aid, without its gains: the key under which they are kept.

    Attributes
    ----------
    crossover_hz : tuple of float, (bands - 1,)
        Frequencies between the bands. [Hz]
    low_hz, high_hz : float
        Half-power ends of the bandwidth (second and sixth order). [Hz]
    delay_s : float
        Delay. [s]
    """

    crossover_hz: tuple[float, ...]
    low_hz: float
    high_hz: float
    delay_s: float

    def weights(self, frequency_hz: FloatArray) -> FloatArray:
        """Weight of each band, shape (bands, n); without the bandwidth limits they add up to one. [1]"""
        position = np.log2(np.maximum(frequency_hz, 1.0) / np.asarray(self.crossover_hz)[:, None])
        turn = np.clip(position / _CROSSOVER_OCTAVES + 0.5, 0.0, 1.0)
        below = 0.5 + 0.5 * np.cos(np.pi * turn)
        edges = np.vstack([np.zeros_like(frequency_hz), below, np.ones_like(frequency_hz)])
        high_pass = 1.0 / np.sqrt(1.0 + (self.low_hz / np.maximum(frequency_hz, 1.0)) ** 4)
        low_pass = 1.0 / np.sqrt(1.0 + (frequency_hz / self.high_hz) ** 12)
        return np.asarray(np.diff(edges, axis=0) * (high_pass * low_pass))


@lru_cache(maxsize=8)
def bands_of(
    crossover: Crossover, size: int, sampling_rate_hz: float
) -> tuple[tuple[ComplexArray, ...], tuple[tuple[int, int], ...]]:
    """Weights with the delay, and bins, of each band of a signal; kept for the next take of that length."""
    frequency_hz = bin_frequencies(size, sampling_rate_hz)
    delay = np.exp(-2j * np.pi * crossover.delay_s * frequency_hz)
    weights, ranges = [], []
    for weight in crossover.weights(frequency_hz):
        present = np.flatnonzero(weight > 0.0)
        low, high = int(present[0]), int(present[-1]) + 1
        weights.append(weight[low:high] * delay[low:high])
        ranges.append((low, high))
    return tuple(weights), tuple(ranges)


def decimation(high: int, size: int, step: int, sampling_rate_hz: float) -> int:
    """By how much the rate of a band may be lowered while its gain is applied.

    A gain that moves in frames of 1 ms, joined by straight lines, puts next to nothing 1 kHz away from the band.

    Parameters
    ----------
    high : int
        First bin above the band. [1]
    size, step : int
        Samples of the signal and of a frame. [1]
    sampling_rate_hz : float
        Samples a second. [Hz]

    Returns
    -------
    int
        Every so many samples are enough; they divide frame and signal. [1]
    """
    top = high + round(_GAIN_HZ * size / sampling_rate_hz)
    fitting = (every for every in _DECIMATIONS if step % every == 0 and top * 2 * every < size)
    return next(fitting, 1)


def inverse_band(band: ComplexArray, low: int, size: int) -> FloatArray:
    """Signal of a band from its bins alone, of any size that holds them, scaled as the transform of that size."""
    spectrum = np.zeros(size // 2 + 1, dtype=np.complex128)
    spectrum[low : low + band.size] = band
    return np.asarray(fft.irfft(spectrum, n=size))
