"""Which old points a new frequency grid takes its values from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from umbo.errors import GridMismatchError, InputError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from umbo.core._grids import FloatArray, Grid
    from umbo.core._states import BoolArray

__all__ = ["SAME_BAND", "RegridPlan", "regrid"]

#: A nominal frequency and the exact base-10 frequency it names differ by less (IEC 61260-1 Annex E). [1]
SAME_BAND = 0.015


@dataclass(frozen=True, slots=True, eq=False)
class RegridPlan:
    """Two old points and their weights for each new point.

    Parameters
    ----------
    index : array (m, 2), int
        The old points each new point uses; the same one twice where it is taken over as it is. [1]
    weight : array (m, 2)
        Their weights, which sum to one. [1]
    is_interpolated, is_outside : array (m,), bool
        Which new points lie between old ones, and which beyond their ends.
    """

    index: NDArray[np.int_]
    weight: FloatArray
    is_interpolated: BoolArray
    is_outside: BoolArray

    def __post_init__(self) -> None:
        for array in (self.index, self.weight, self.is_interpolated, self.is_outside):
            array.setflags(write=False)


def regrid(old: Grid, new: Grid, quantity: str, outside: Literal["refuse", "hold"]) -> RegridPlan:
    """Plan a change of frequency grid (straight lines over log frequency).

    Parameters
    ----------
    old, new : Grid
        Frequencies at hand and wanted.
    quantity : str
        What the curve is, for the message.
    outside : "refuse" or "hold"
        What to do beyond the ends.

    Returns
    -------
    RegridPlan
        Shapes (m, 2), (m, 2), (m,), (m,) for m new points.

    Raises
    ------
    GridMismatchError
        If new points lie outside and ``outside`` is "refuse".
    InputError
        If ``outside`` is neither of the two.
    """
    x, wanted = np.log(old.frequency_hz), np.log(new.frequency_hz)
    nearest = np.argmin(np.abs(wanted[:, np.newaxis] - x), axis=1)
    is_same = np.abs(wanted - x[nearest]) < np.log1p(SAME_BAND)
    is_outside = ~is_same & ((wanted < x[0]) | (wanted > x[-1]))
    _require_inside(old, new, quantity, outside, is_outside)
    upper = np.clip(np.searchsorted(x, wanted), min(1, x.size - 1), x.size - 1)
    lower = np.maximum(upper - 1, 0)
    span = np.where(upper > lower, x[upper] - x[lower], 1.0)
    part = np.clip((wanted - x[lower]) / span, 0.0, 1.0)
    takes_over = is_same | is_outside
    index = np.stack([np.where(takes_over, nearest, lower), np.where(takes_over, nearest, upper)], axis=1)
    weight = np.stack([np.where(takes_over, 1.0, 1.0 - part), np.where(takes_over, 0.0, part)], axis=1)
    return RegridPlan(index, weight, ~takes_over, is_outside)


def _require_inside(old: Grid, new: Grid, quantity: str, outside: str, is_outside: BoolArray) -> None:
    low, high = old.frequency_hz[0], old.frequency_hz[-1]
    if outside not in ("refuse", "hold"):
        raise InputError(
            f"regrid the {quantity}",
            f"outside='{outside}' is neither 'refuse' nor 'hold'",
            "say which of the two is wanted beyond its ends",
        )
    if outside == "refuse" and is_outside.any():
        first = new.frequency_hz[int(np.argmax(is_outside))]
        raise GridMismatchError(
            f"regrid the {quantity}",
            f"{first:g} Hz is wanted and the curve runs from {low:g} to {high:g} Hz",
            "ask for frequencies inside its range, or say that the last value may be held",
        )
