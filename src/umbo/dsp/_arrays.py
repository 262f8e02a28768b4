"""Array types of this layer, and a mean that runs along an array."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["BoolArray", "ComplexArray", "FloatArray", "running_mean"]

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]
BoolArray = NDArray[np.bool_]


def running_mean(values: FloatArray, width: int) -> FloatArray:
    """Mean over ``width`` neighbours along the last axis, the ends held.

    scipy.ndimage has one, which takes longer to import than all of ours take to run.
    """
    before, after = width // 2, width - 1 - width // 2
    first, last = np.repeat(values[..., :1], before + 1, axis=-1), np.repeat(values[..., -1:], after, axis=-1)
    held = np.concatenate([first, values, last], axis=-1)
    held[..., 0] = 0.0
    total = np.cumsum(held, axis=-1)
    mean: FloatArray = (total[..., width:] - total[..., :-width]) / width
    return mean
