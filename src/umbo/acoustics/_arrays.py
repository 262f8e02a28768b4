"""The array types and the shape rule of this layer: the last axis is frequency, parameters lead."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from umbo.errors import InputError, OutOfRangeError

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]


def leading(values: ArrayLike) -> Real:
    """Give a parameter of shape (...) a trailing axis of length 1, so that it meets frequencies (n,)."""
    return np.asarray(values, dtype=np.float64)[..., np.newaxis]


def checked_frequency(frequency_hz: ArrayLike) -> Real:
    """Return the frequencies as a one-dimensional array, all above 0 Hz, or raise."""
    frequency = np.asarray(frequency_hz, dtype=np.float64)
    if frequency.ndim != 1:
        raise InputError(
            "an acoustic model over frequency",
            f"the frequencies have {frequency.ndim} axes, one is expected",
            "give a one-dimensional array of frequencies in hertz",
        )
    if frequency.size and not frequency.min() > 0.0:
        raise OutOfRangeError(
            "an acoustic model over frequency",
            f"the lowest frequency is {frequency.min():g} Hz, "
            "but the impedance of a closed volume has no value at 0 Hz",
            "leave out 0 Hz and negative frequencies",
        )
    return frequency


def checked_positive(name: str, values: ArrayLike, unit: str) -> Real:
    """Return the values as an array, all finite and above zero, or raise naming the parameter."""
    array = np.asarray(values, dtype=np.float64)
    if not (np.isfinite(array).all() and (array > 0.0).all()):
        raise OutOfRangeError(
            f"an acoustic element with {name} {array.tolist()} {unit}",
            "it has to be above zero and finite",
            f"give the {name} in {unit}",
        )
    return array


def checked_not_negative(name: str, values: ArrayLike, unit: str) -> Real:
    """Return the values as an array, all finite and zero or above, or raise naming the parameter."""
    array = np.asarray(values, dtype=np.float64)
    if not (np.isfinite(array).all() and (array >= 0.0).all()):
        raise OutOfRangeError(
            f"an acoustic element with {name} {array.tolist()} {unit}",
            "it has to be zero or above and finite",
            f"give the {name} in {unit}",
        )
    return array
