"""The horizontal axis of an input-output curve: levels in, in decibels."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from umbo.errors import InputError

__all__ = ["InputAxis"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class InputAxis:
    """A linear axis of input levels; stands where a frequency axis stands otherwise.

    The horizontal values of a layer, ``frequency_hz``, are input levels in dB SPL on this axis.

    Parameters
    ----------
    low_db, high_db : float
        First and last level of interest. [dB SPL]
    label : str
        Text under the axis.
    step_db : float
        Distance of the labelled ticks. [dB]
    margin_db : float
        Room drawn beyond either end. [dB]

    Raises
    ------
    InputError
        If the ends are not finite and ascending, or step and margin are not usable.
    """

    low_db: float
    high_db: float
    label: str = "Input (dB SPL)"
    step_db: float = 10.0
    margin_db: float = 2.0

    def __post_init__(self) -> None:
        ends = -math.inf < self.low_db < self.high_db < math.inf
        if not (ends and 0.0 < self.step_db < math.inf and 0.0 <= self.margin_db < math.inf):
            raise InputError(
                "draw an axis of input levels",
                f"it runs from {self.low_db:g} to {self.high_db:g} dB in steps of {self.step_db:g} dB, margin "
                f"{self.margin_db:g} dB",
                "give ascending ends, a positive step and a margin of zero or more",
            )

    @property
    def unit(self) -> str:
        """The unit spoken with a single point."""
        return "dB SPL in"

    @property
    def span(self) -> str:
        """The two ends in words."""
        return f"{self.low_db:g} to {self.high_db:g} dB SPL"

    def edges(self) -> dict[str, float]:
        """What the two edges of the axis are, margins included. [dB SPL]"""
        return {"low_input_db": self.low_db - self.margin_db, "high_input_db": self.high_db + self.margin_db}

    def fraction(self, input_db: ArrayLike) -> FloatArray:
        """Position along the axis: 0 at the left edge, 1 at the right edge. [1]

        Parameters
        ----------
        input_db : array (...)
            Levels. [dB SPL]
        """
        width = self.high_db - self.low_db + 2.0 * self.margin_db
        return np.asarray((np.asarray(input_db, dtype=float) - self.low_db + self.margin_db) / width)

    def frequency_at(self, fraction: ArrayLike) -> FloatArray:
        """Input level at a position along the axis: the inverse of `fraction`. [dB SPL]

        Parameters
        ----------
        fraction : array (...)
            Position, 0 at the left edge. [1]
        """
        width = self.high_db - self.low_db + 2.0 * self.margin_db
        return np.asarray(np.asarray(fraction, dtype=float) * width + self.low_db - self.margin_db)

    def covers(self, input_db: ArrayLike) -> NDArray[np.bool_]:
        """Whether each level lies on the axis, margins included.

        Parameters
        ----------
        input_db : array (...)
            Levels. [dB SPL]
        """
        position = self.fraction(input_db)
        return np.asarray((position >= -1e-9) & (position <= 1.0 + 1e-9))

    def ticks(self) -> tuple[tuple[float, str], ...]:
        """Every tick with its text, ascending."""
        first, last = math.ceil(self.low_db / self.step_db), math.floor(self.high_db / self.step_db)
        return tuple((n * self.step_db, f"{n * self.step_db:g}".replace("-", "−")) for n in range(first, last + 1))
