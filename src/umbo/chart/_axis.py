"""The two axes of every chart: a logarithmic frequency axis and a level axis in decibels."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from umbo.errors import InputError

__all__ = ["FrequencyAxis", "LevelAxis"]

FloatArray = NDArray[np.float64]

_AUDIOMETRIC_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 16000.0)
_MOST_TICKS = 100
_INTER_OCTAVE_HZ = (750.0, 1500.0, 3000.0, 6000.0)


@dataclass(frozen=True, slots=True)
class FrequencyAxis:
    """A logarithmic frequency axis with the audiometric frequencies as ticks.

    Parameters
    ----------
    low_hz, high_hz : float
        First and last frequency of interest. [Hz]
    label : str
        Text under the axis.
    margin_octaves : float
        Room drawn beyond either end, so that a symbol at the end is not cut. [octave]
    major_hz, minor_hz : tuple of float
        Labelled and unlabelled ticks; those outside the axis are left out. [Hz]

    Raises
    ------
    InputError
        If the ends are not positive and ascending, or the margin is negative.
    """

    low_hz: float = 125.0
    high_hz: float = 16000.0
    label: str = "Frequency (Hz)"
    margin_octaves: float = 0.15
    major_hz: tuple[float, ...] = _AUDIOMETRIC_HZ
    minor_hz: tuple[float, ...] = _INTER_OCTAVE_HZ

    def __post_init__(self) -> None:
        if not (0.0 < self.low_hz < self.high_hz < math.inf and 0.0 <= self.margin_octaves < math.inf):
            raise InputError(
                "draw a frequency axis",
                f"it runs from {self.low_hz:g} to {self.high_hz:g} Hz, margin {self.margin_octaves:g}",
                "give two positive ascending ends and a margin of zero or more",
            )

    @property
    def unit(self) -> str:
        """The unit spoken with a single point."""
        return "Hz"

    @property
    def span(self) -> str:
        """The two ends in words."""
        return f"{self.low_hz:g} to {self.high_hz:g} Hz"

    def edges(self) -> dict[str, float]:
        """What the two edges of the axis are, margins included. [Hz]"""
        margin = 2.0**self.margin_octaves
        return {"low_hz": self.low_hz / margin, "high_hz": self.high_hz * margin}

    @property
    def octaves(self) -> float:
        """Width of the axis with both margins. [octave]"""
        return math.log2(self.high_hz / self.low_hz) + 2.0 * self.margin_octaves

    def fraction(self, frequency_hz: ArrayLike) -> FloatArray:
        """Position along the axis: 0 at the left edge, 1 at the right edge. [1]

        Parameters
        ----------
        frequency_hz : array (...)
            Frequencies, positive. [Hz]
        """
        octave = np.log2(np.asarray(frequency_hz, dtype=float) / self.low_hz)
        return np.asarray((octave + self.margin_octaves) / self.octaves)

    def frequency_at(self, fraction: ArrayLike) -> FloatArray:
        """Frequency at a position along the axis: the inverse of `fraction`. [Hz]

        Parameters
        ----------
        fraction : array (...)
            Position, 0 at the left edge. [1]
        """
        octave = np.asarray(fraction, dtype=float) * self.octaves - self.margin_octaves
        return np.asarray(self.low_hz * np.exp2(octave))

    def covers(self, frequency_hz: ArrayLike) -> NDArray[np.bool_]:
        """Whether each frequency lies on the axis, margins included.

        Parameters
        ----------
        frequency_hz : array (...)
            Frequencies. [Hz]
        """
        position = self.fraction(frequency_hz)
        return np.asarray((position >= -1e-9) & (position <= 1.0 + 1e-9))

    def ticks(self) -> tuple[tuple[float, str], ...]:
        """Every tick on the axis with its text, ascending; the text of a minor tick is empty."""
        major = [(hz, frequency_text(hz)) for hz in self.major_hz if self.covers(hz)]
        minor = [(hz, "") for hz in self.minor_hz if self.covers(hz)]
        return tuple(sorted(major + minor))


@dataclass(frozen=True, slots=True)
class LevelAxis:
    """A linear axis in decibels.

    Parameters
    ----------
    low_db, high_db : float
        Ends of the axis. [dB]
    label : str
        What is shown, with its reference, for example "dB SPL at the eardrum".
    unit : str
        The unit spoken with a single point, for example "dB SPL".
    step_db : float
        Distance of the labelled ticks. [dB]
    inverted : bool
        Whether levels grow downwards, as hearing levels do on an audiogram.

    Raises
    ------
    InputError
        If the ends are not finite and ascending, the step is not positive or fits more than 100 times, or the
        label or unit is empty.
    """

    low_db: float
    high_db: float
    label: str
    unit: str
    step_db: float = 10.0
    inverted: bool = False

    def __post_init__(self) -> None:
        ends_ok = -math.inf < self.low_db < self.high_db < math.inf
        step_ok = 0.0 < self.step_db < math.inf and (self.high_db - self.low_db) / self.step_db <= _MOST_TICKS
        if not (ends_ok and step_ok and self.label.strip() and self.unit.strip()):
            raise InputError(
                "draw a level axis",
                f"it runs from {self.low_db:g} to {self.high_db:g} in steps of {self.step_db:g}, "
                f"label {self.label!r}, unit {self.unit!r}",
                f"give ascending ends, a step that fits at most {_MOST_TICKS} times, a label and a unit",
            )

    @classmethod
    def around(cls, level_db: ArrayLike, label: str, unit: str, step_db: float = 10.0) -> LevelAxis:
        """Axis whose ends are the multiples of the step that enclose all levels.

        Parameters
        ----------
        level_db : array (...)
            Levels to enclose, at least one. [dB]
        label, unit : str
            As for the class.
        step_db : float
            Distance of the labelled ticks. [dB]
        """
        levels = np.asarray(level_db, dtype=float)
        low = math.floor(float(levels.min()) / step_db + 1e-9) * step_db
        high = math.ceil(float(levels.max()) / step_db - 1e-9) * step_db
        return cls(low, high, label, unit, step_db)

    def fraction(self, level_db: ArrayLike) -> FloatArray:
        """Height on the axis: 0 at the bottom edge, 1 at the top edge. [1]

        Parameters
        ----------
        level_db : array (...)
            Levels. [dB]
        """
        rising = (np.asarray(level_db, dtype=float) - self.low_db) / (self.high_db - self.low_db)
        return np.asarray(1.0 - rising if self.inverted else rising)

    def level_at(self, fraction: ArrayLike) -> FloatArray:
        """Level at a height: the inverse of `fraction`. [dB]

        Parameters
        ----------
        fraction : array (...)
            Height, 0 at the bottom edge. [1]
        """
        height = np.asarray(fraction, dtype=float)
        rising = 1.0 - height if self.inverted else height
        return np.asarray(self.low_db + rising * (self.high_db - self.low_db))

    def ticks(self, step_db: float | None = None) -> tuple[tuple[float, str], ...]:
        """Every tick with its text, ascending, at the multiples of the step.

        Parameters
        ----------
        step_db : float, optional
            Another distance than the axis' own, when there is little room. [dB]
        """
        step = self.step_db if step_db is None else step_db
        first, last = math.ceil(self.low_db / step - 1e-9), math.floor(self.high_db / step + 1e-9)
        return tuple((n * step, f"{n * step:g}".replace("-", "−")) for n in range(first, last + 1))


def frequency_text(frequency_hz: float) -> str:
    """Short text of a tick: 250, 1k, 1.5k. [Hz]"""
    return f"{frequency_hz / 1000.0:g}k" if frequency_hz >= 1000.0 else f"{frequency_hz:g}"
