"""Readings: one place measured once, ready to become a level on any grid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from umbo.core import BoolArray, Finding, FloatArray, Grid, Level

__all__ = ["BandReading", "HarmonicCurve", "Reading"]


@dataclass(frozen=True, slots=True, eq=False)
class HarmonicCurve:
    """One harmonic relative to the fundamental, over the excitation frequency.

    Parameters
    ----------
    relative_db : array (n,)
        Level re fundamental. [dB]
    is_known : array (n,), bool
        False where the harmonic lies outside the sweep or below its noise.
    """

    relative_db: FloatArray
    is_known: BoolArray


@dataclass(frozen=True, slots=True, eq=False)
class BandReading:
    """A reading evaluated on one grid.

    Parameters
    ----------
    level : Level
        Noise subtracted, states and uncertainty set. [dB SPL]
    noise_db : array (n,) or None
        Noise level in the same bands; None where it is not known. [dB SPL]
    """

    level: Level
    noise_db: FloatArray | None


class Reading(Protocol):
    """What a sweep recording and an imported curve have in common."""

    @property
    def name(self) -> str:
        """Name of the take or curve."""
        ...

    @property
    def range_hz(self) -> tuple[float, float]:
        """Lowest and highest frequency that was excited or imported. [Hz]"""
        ...

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was noticed about the recording itself."""
        ...

    def on(self, grid: Grid) -> BandReading:
        """The reading on a grid."""
        ...

    def harmonics(self, grid: Grid) -> Mapping[int, HarmonicCurve]:
        """Harmonics on a grid; empty where there are none."""
        ...
