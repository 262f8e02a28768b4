"""One frequency by two names: 8000 Hz by its nominal name, 7943 Hz by its exact one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core._states import BoolArray

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["NOMINAL_RATIO", "has_name", "lies_within"]

#: A nominal frequency and the exact one it names differ by less than this factor: by up to 0.95 % in third octaves
#: (1600 and 1584.9 Hz; exact values IEC 61260-1 by formula, nominal names from memory). [1]
NOMINAL_RATIO = 1.015


def lies_within(frequency_hz: ArrayLike, low_hz: float, high_hz: float) -> BoolArray:
    """Whether frequencies lie between two others, ends included, whichever of its two names each goes by.

    Parameters
    ----------
    frequency_hz : array-like (n,)
        Frequencies. [Hz]
    low_hz, high_hz : float
        Ends; 0 and infinity leave a side open. [Hz]

    Returns
    -------
    array (n,), bool
        One answer per frequency.
    """
    hz = np.asarray(frequency_hz, dtype=np.float64)
    return np.asarray((hz >= low_hz / NOMINAL_RATIO) & (hz <= high_hz * NOMINAL_RATIO))


def has_name(frequency_hz: ArrayLike, among_hz: ArrayLike) -> BoolArray:
    """Whether frequencies stand among others, by either name.

    Parameters
    ----------
    frequency_hz : array-like (n,)
        Frequencies looked for. [Hz]
    among_hz : array-like (m,)
        Where they are looked for. [Hz]

    Returns
    -------
    array (n,), bool
        One answer per frequency looked for.
    """
    wanted, there = (np.log(np.asarray(hz, dtype=np.float64)) for hz in (frequency_hz, among_hz))
    apart = np.abs(np.subtract.outer(wanted, there))
    return np.asarray(np.any(apart <= np.log(NOMINAL_RATIO), axis=-1))
