"""Expansion in the virtual aid: less gain for the softest sounds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import FloatArray
from umbo.errors import InputError

__all__ = ["Expansion"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Expansion:
    """Gain falls below a knee by slope - 1 decibels for each decibel, down to a limit.

    Slope and limit are invented where they are not given.

    Attributes
    ----------
    knee_db_spl : tuple of float, (bands,)
        Level in the band below which it works. [dB re 20 µPa]
    slope : float
        Output over input below the knee, 1 to 4. [dB/dB]
    most_db : float
        Most it takes away. [dB]

    Raises
    ------
    InputError
        If the slope or the limit lies outside its range.
    """

    knee_db_spl: tuple[float, ...]
    slope: float = 2.0
    most_db: float = 20.0

    def __post_init__(self) -> None:
        if not 1.0 <= self.slope <= 4.0 or self.most_db < 0.0:
            raise InputError(
                "build an expansion",
                f"a slope of {self.slope:g} or a limit of {self.most_db:g} dB is out of range",
                "choose a slope of 1 to 4 and a limit of 0 dB or more",
            )

    def change_db(self, level_db_spl: FloatArray) -> FloatArray:
        """Change of gain at detected levels, shape (bands, ...), 0 or less. [dB]"""
        knee = np.reshape(self.knee_db_spl, (-1,) + (1,) * (np.ndim(level_db_spl) - 1))
        return np.asarray(-np.minimum((self.slope - 1.0) * np.maximum(knee - level_db_spl, 0.0), self.most_db))
