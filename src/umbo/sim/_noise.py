"""Noise with a stated spectrum: of microphones and of hearing aids."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import fft

from umbo.core import FloatArray
from umbo.sim._filtering import ComplexArray, bin_frequencies
from umbo.sim._stimuli import REFERENCE_PA

__all__ = ["NoiseFloor", "a_weighting_power"]

_INTEGRATION_HZ = np.arange(1.0, 24001.0)


def a_weighting_power(frequency_hz: FloatArray) -> FloatArray:
    """Frequency weighting A as a power ratio, 1 at 1 kHz (IEC 61672-1, analytic form, constants from memory).

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies. [Hz]

    Returns
    -------
    array (n,)
        Power ratio. [1]
    """

    def unscaled(f2: FloatArray) -> FloatArray:
        low = f2 / (f2 + 20.598997**2)
        middle = f2**2 / ((f2 + 107.65265**2) * (f2 + 737.86223**2))
        high = 12194.217**2 / (f2 + 12194.217**2)
        return np.asarray((low * high) ** 2 * middle)

    return unscaled(np.asarray(frequency_hz) ** 2) / unscaled(np.array(1000.0**2))


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseFloor:
    """Stationary Gaussian noise, white but for a rise at either end.

    The power density is proportional to 1 + f_low/f + (f/f_high)², scaled to an A-weighted level.

    Attributes
    ----------
    level_dba : float
        A-weighted level from 1 Hz to 24 kHz. [dB re 20 µPa]
    low_corner_hz : float
        Below it the density rises by 3 dB an octave (electronics); 0 for none. [Hz]
    high_corner_hz : float
        Above it the density rises by 6 dB an octave (a probe tube's loss, equalised); infinite for none. [Hz]
    """

    level_dba: float
    low_corner_hz: float = 0.0
    high_corner_hz: float = float("inf")

    def density_pa2(self, frequency_hz: FloatArray) -> FloatArray:
        """Mean square per hertz. [Pa²/Hz]"""
        weighted = np.sum(self._shape(_INTEGRATION_HZ) * a_weighting_power(_INTEGRATION_HZ))
        scale = REFERENCE_PA**2 * 10.0 ** (self.level_dba / 10.0) / weighted
        return np.asarray(scale * self._shape(np.maximum(frequency_hz, 1.0)))

    def samples(self, rng: np.random.Generator, size: int, sampling_rate_hz: float) -> FloatArray:
        """Noise as sound pressure, without a constant.

        Parameters
        ----------
        rng : Generator
            Source of the noise.
        size : int
            Number of samples. [1]
        sampling_rate_hz : float
            Samples a second. [Hz]

        Returns
        -------
        array (size,)
            Sound pressure. [Pa]
        """
        return np.asarray(fft.irfft(self.spectrum(rng, size, sampling_rate_hz), n=size))

    def spectrum(self, rng: np.random.Generator, size: int, sampling_rate_hz: float) -> ComplexArray:
        """Bins of such noise, from the same draws.

        Parameters
        ----------
        rng : Generator
            Source of the noise.
        size : int
            Number of samples. [1]
        sampling_rate_hz : float
            Samples a second. [Hz]

        Returns
        -------
        array (size // 2 + 1,)
            Real transform of the samples. [Pa]
        """
        density = self.density_pa2(bin_frequencies(size, sampling_rate_hz))
        # a bin of noise with variance s² has independent parts of variance n s²/2, and s² per bin is density × rate / 2
        parts = rng.standard_normal((2, density.size)) * np.sqrt(density * (sampling_rate_hz * size / 4.0))
        parts[:, 0] = 0.0
        return np.asarray(parts[0] + 1j * parts[1])

    def _shape(self, frequency_hz: FloatArray) -> FloatArray:
        return 1.0 + self.low_corner_hz / frequency_hz + (frequency_hz / self.high_corner_hz) ** 2
