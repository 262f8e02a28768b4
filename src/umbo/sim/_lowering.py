"""Frequency lowering of the virtual aid: bins above a start frequency move down by a stated map."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import fft

from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.sim._filtering import bin_frequencies

__all__ = ["FrequencyLowering"]

_STEP_HZ = 20.0  # shifts are whole steps, so that periods of whole 50 ms stay periods


@dataclass(frozen=True, slots=True, kw_only=True)
class FrequencyLowering:
    r"""Moves sound above a start frequency down, in narrow bands that keep their width.

    .. math:: f' = f_s \left(\frac{f}{f_s}\right)^{1/r} - \Delta, \quad f \ge f_s

    With r = 1 everything above the start moves by the same Δ (transposition); with Δ = 0 it is compressed. The map
    holds at the centres of bands a twelfth-octave wide, on whole 20 Hz; inside a band sound moves as a block. What
    lies below the start stays; what moves there is added to it. Model and values are the bench's own.

    Attributes
    ----------
    start_hz : float
        Start frequency, 1000 to 8000. [Hz]
    ratio : float
        Compression ratio of frequencies r, 1 to 4. [1]
    shift_hz : float
        Shift Δ, 0 up to the start frequency less 200 Hz. [Hz]

    Raises
    ------
    InputError
        If a value lies outside its range.
    """

    start_hz: float
    ratio: float = 1.0
    shift_hz: float = 0.0

    def __post_init__(self) -> None:
        if not 1000.0 <= self.start_hz <= 8000.0 or not 1.0 <= self.ratio <= 4.0:
            raise InputError(
                "build a frequency lowering",
                f"a start at {self.start_hz:g} Hz with ratio {self.ratio:g} leaves 1000 to 8000 Hz or 1 to 4",
                "choose values inside these ranges",
            )
        if not 0.0 <= self.shift_hz <= self.start_hz - 200.0:
            raise InputError(
                "build a frequency lowering",
                f"a shift of {self.shift_hz:g} Hz meets a start at {self.start_hz:g} Hz",
                "choose a shift of 0 up to the start frequency less 200 Hz",
            )

    def mapped_hz(self, frequency_hz: FloatArray) -> FloatArray:
        """Where the aid puts sound of these frequencies, its bands' steps included.

        Parameters
        ----------
        frequency_hz : array (n,)
            Frequencies going in. [Hz]

        Returns
        -------
        array (n,)
            Frequencies coming out. [Hz]
        """
        given = np.asarray(frequency_hz, dtype=np.float64)
        return np.asarray(given - self._moved_by(given))

    def apply(self, samples: FloatArray, sampling_rate_hz: float) -> FloatArray:
        """Sound with its frequencies lowered; a shift is rounded to the bins of the sound.

        Parameters
        ----------
        samples : array (n,)
            Sound. [any unit]
        sampling_rate_hz : float
            Samples a second. [Hz]

        Returns
        -------
        array (n,)
            Sound, same length. [same unit]
        """
        spectrum = fft.rfft(samples)
        frequency_hz = bin_frequencies(samples.size, sampling_rate_hz)
        first = int(np.searchsorted(frequency_hz, self.start_hz))
        steps = np.rint(self._moved_by(frequency_hz[first:]) * samples.size / sampling_rate_hz).astype(int)
        lowered = np.concatenate([spectrum[:first], np.zeros(spectrum.size - first, dtype=np.complex128)])
        target = np.arange(first, spectrum.size) - steps
        lowered += np.bincount(target, weights=spectrum[first:].real, minlength=spectrum.size)
        lowered += 1j * np.bincount(target, weights=spectrum[first:].imag, minlength=spectrum.size)
        return np.asarray(fft.irfft(lowered, n=samples.size))

    def _moved_by(self, frequency_hz: FloatArray) -> FloatArray:
        """By how much sound of these frequencies moves down. [Hz]"""
        band = np.floor(12.0 * np.log2(np.maximum(frequency_hz, self.start_hz) / self.start_hz))
        centre_hz = self.start_hz * 2.0 ** ((band + 0.5) / 12.0)
        wanted_hz = self.start_hz * (centre_hz / self.start_hz) ** (1.0 / self.ratio) - self.shift_hz
        moved_hz = _STEP_HZ * np.rint((centre_hz - wanted_hz) / _STEP_HZ)
        return np.asarray(np.where(frequency_hz >= self.start_hz, moved_hz, 0.0))
