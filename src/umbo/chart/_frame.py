"""The rectangle of a plot: from hertz and decibels to pixels and back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

if TYPE_CHECKING:
    from umbo.chart._axis import FrequencyAxis, LevelAxis
    from umbo.chart._input_axis import InputAxis

__all__ = ["FloatArray", "Frame"]

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a plot stands, and what its axes are.

    Parameters
    ----------
    left_px, top_px, width_px, height_px : float
        The rectangle inside the frame line. [px]
    frequency : FrequencyAxis or InputAxis
        The horizontal axis.
    level : LevelAxis
        The vertical axis.
    """

    left_px: float
    top_px: float
    width_px: float
    height_px: float
    frequency: FrequencyAxis | InputAxis
    level: LevelAxis

    @property
    def right_px(self) -> float:
        """Right edge. [px]"""
        return self.left_px + self.width_px

    @property
    def bottom_px(self) -> float:
        """Bottom edge. [px]"""
        return self.top_px + self.height_px

    def x_px(self, frequency_hz: ArrayLike) -> FloatArray:
        """Horizontal position of each frequency (...). [Hz] to [px]"""
        return self.left_px + self.width_px * self.frequency.fraction(frequency_hz)

    def y_px(self, level_db: ArrayLike) -> FloatArray:
        """Vertical position of each level (...). [dB] to [px]"""
        return self.bottom_px - self.height_px * self.level.fraction(level_db)

    def y_inside_px(self, level_db: ArrayLike) -> FloatArray:
        """Vertical position, moved to the nearest edge when off the scale. [dB] to [px]"""
        return np.clip(self.y_px(level_db), self.top_px, self.bottom_px)

    def frequency_at(self, x_px: ArrayLike) -> FloatArray:
        """Frequency at a horizontal position (...). [px] to [Hz]"""
        return self.frequency.frequency_at((np.asarray(x_px, dtype=float) - self.left_px) / self.width_px)

    def level_at(self, y_px: ArrayLike) -> FloatArray:
        """Level at a vertical position (...). [px] to [dB]"""
        return self.level.level_at((self.bottom_px - np.asarray(y_px, dtype=float)) / self.height_px)
