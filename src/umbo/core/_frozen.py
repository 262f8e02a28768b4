"""Arrays that stay as they are."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

__all__ = ["frozen", "frozen_mask"]


def frozen(values: ArrayLike) -> NDArray[np.float64]:
    """Copy numbers into an array that cannot be written to.

    Parameters
    ----------
    values : array-like
        Numbers; a single one becomes an array of one.

    Returns
    -------
    array (n,)
        Read-only copy, at least one-dimensional.
    """
    array = np.array(values, dtype=np.float64, ndmin=1)
    array.setflags(write=False)
    return array


def frozen_mask(values: ArrayLike) -> NDArray[np.bool_]:
    """Copy truth values into an array that cannot be written to.

    Parameters
    ----------
    values : array-like
        Truth values; a single one becomes an array of one.

    Returns
    -------
    array (n,), bool
        Read-only copy, at least one-dimensional.
    """
    array = np.array(values, dtype=np.bool_, ndmin=1)
    array.setflags(write=False)
    return array
