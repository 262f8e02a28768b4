"""Frequency grids: which frequencies a curve stands on, and how wide each point is."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from umbo.core._frozen import frozen
from umbo.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["AUDIOMETRIC_HZ", "Bandwidth", "FloatArray", "Grid"]

FloatArray = NDArray[np.float64]

#: Audiometric frequencies, conventional and extended range (IEC 60645-1). [Hz]
AUDIOMETRIC_HZ = (
    *(125.0, 250.0, 500.0, 750.0, 1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 6000.0, 8000.0),
    *(9000.0, 10000.0, 11200.0, 12500.0, 14000.0, 16000.0),
)


class Bandwidth(StrEnum):
    """How wide one point of a curve is."""

    TONE = "tone"
    PER_HERTZ = "per_hertz"
    THIRD_OCTAVE = "1/3_octave"
    TWELFTH_OCTAVE = "1/12_octave"

    @property
    def phrase(self) -> str:
        """How a sentence says it: "for single tones", "per hertz", "per 1/3 octave"."""
        return "for single tones" if self is Bandwidth.TONE else f"per {self.removeprefix('per_')}".replace("_", " ")


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Frequencies, ascending, and the bandwidth of each point.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies, strictly ascending and above zero. [Hz]
    bandwidth : Bandwidth
        How wide each point is.

    Raises
    ------
    InputError
        If the frequencies are not finite, above zero and strictly ascending.
    """

    frequency_hz: FloatArray
    bandwidth: Bandwidth

    def __post_init__(self) -> None:
        array = frozen(self.frequency_hz)
        if array.ndim != 1 or array.size == 0 or not np.all(np.isfinite(array)) or array[0] <= 0:
            raise InputError(
                "make a frequency grid",
                "the frequencies are not a list of finite numbers above zero",
                "give at least one frequency in hertz",
            )
        if np.any(np.diff(array) <= 0):
            first = int(np.argmax(np.diff(array) <= 0))
            raise InputError(
                "make a frequency grid",
                f"{array[first + 1]:g} Hz follows {array[first]:g} Hz",
                "sort the frequencies and remove doubles",
            )
        object.__setattr__(self, "frequency_hz", array)

    @classmethod
    @cache
    def twelfth_octave(cls) -> Grid:
        """Give exact base-10 twelfth-octaves around 1 kHz, 125 Hz to 16 kHz: 85 points."""
        return cls(1000.0 * 10.0 ** (np.arange(-36, 49) / 40.0), Bandwidth.TWELFTH_OCTAVE)

    @classmethod
    @cache
    def third_octave(cls) -> Grid:
        """Give exact base-10 third-octaves (IEC 61260-1), 125 Hz to 16 kHz: 22 points."""
        return cls(1000.0 * 10.0 ** (np.arange(-9, 13) / 10.0), Bandwidth.THIRD_OCTAVE)

    @classmethod
    @cache
    def audiometric(cls) -> Grid:
        """Give the audiometric frequencies from 125 Hz to 16 kHz: 17 points."""
        return cls(np.array(AUDIOMETRIC_HZ), Bandwidth.TONE)

    @classmethod
    def tones(cls, frequency_hz: ArrayLike) -> Grid:
        """Make a grid of single frequencies.

        Parameters
        ----------
        frequency_hz : array-like (n,)
            Frequencies, strictly ascending and above zero. [Hz]

        Returns
        -------
        Grid
            With the bandwidth of a tone.
        """
        return cls(frozen(frequency_hz), Bandwidth.TONE)

    def with_bandwidth(self, bandwidth: Bandwidth) -> Grid:
        """Return the same frequencies with another bandwidth, where a reading holds for both.

        Parameters
        ----------
        bandwidth : Bandwidth
            How wide each point is meant to be.

        Returns
        -------
        Grid
            The same frequencies.
        """
        return Grid(self.frequency_hz, bandwidth)

    @property
    def size(self) -> int:
        """Number of points."""
        return int(self.frequency_hz.size)

    def same_frequencies(self, other: Grid) -> bool:
        """Whether both grids stand on the same frequencies (to 1 part in 10⁹).

        Parameters
        ----------
        other : Grid
            The grid to compare with; its bandwidth does not matter.

        Returns
        -------
        bool
            Whether they do.
        """
        return self.size == other.size and bool(np.allclose(self.frequency_hz, other.frequency_hz, rtol=1e-9, atol=0))

    def index(self, frequency_hz: float, *, within: float = 0.03) -> int:
        """Find the point nearest to a frequency.

        Parameters
        ----------
        frequency_hz : float
            Frequency looked for. [Hz]
        within : float
            Largest relative distance accepted: 3 % joins a nominal frequency (250) to its exact one
            (251.19). [1]

        Returns
        -------
        int
            Index of the point. [1]

        Raises
        ------
        InputError
            If no point is that near, or the frequency is none.
        """
        if not (np.isfinite(frequency_hz) and frequency_hz > 0):
            raise InputError(
                f"read a curve at {frequency_hz:g} Hz",
                "a frequency is a finite number above zero",
                "ask for a frequency on its grid",
            )
        octaves = np.abs(np.log2(self.frequency_hz / frequency_hz))
        nearest = int(np.argmin(octaves))
        if octaves[nearest] > np.log2(1 + within):
            raise InputError(
                f"read a curve at {frequency_hz:g} Hz",
                f"its nearest point is {self.frequency_hz[nearest]:.0f} Hz",
                "ask for a frequency on its grid or regrid it",
            )
        return nearest

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Grid) and self.bandwidth == other.bandwidth and self.same_frequencies(other)

    def __hash__(self) -> int:
        return hash((self.bandwidth, self.size))  # frequencies are equal within a tolerance, so left out

    def __str__(self) -> str:
        low, high = self.frequency_hz[0], self.frequency_hz[-1]
        return f"{self.size} points, {low:.0f}-{high:.0f} Hz, {self.bandwidth.phrase}"
