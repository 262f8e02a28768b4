"""Plain numbers and words of a curve."""

from __future__ import annotations

from typing import cast

import numpy as np

from umbo.core import Curve, FloatArray, PointState
from umbo.record._curves import StateWord
from umbo.verdict import Contrast

__all__ = ["DB_DECIMALS", "HZ_DECIMALS", "USABLE_STATES", "rounded", "state_words"]

#: Decimals of decibels and hertz in answers: far below any uncertainty, and the same text for the same numbers.
DB_DECIMALS, HZ_DECIMALS = 4, 9

#: Words of the states in which a point of an answer may be used.
USABLE_STATES: tuple[str, ...] = tuple(str(state) for state in PointState if state.is_usable)


def rounded(values: FloatArray, decimals: int = DB_DECIMALS) -> list[float]:
    """Plain numbers, rounded, without negative zeros."""
    return [float(v) + 0.0 for v in np.round(values, decimals)]


def state_words(curve: Curve | Contrast) -> list[StateWord]:
    return [cast("StateWord", word) for word in curve.states.words]
