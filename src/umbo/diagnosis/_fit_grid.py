"""The frequencies a fit looks at, and how readings get there."""

from __future__ import annotations

import numpy as np

from umbo.core import BoolArray, FloatArray

__all__ = ["FIT_HZ", "onto_fit_grid"]

#: Exact sixth-octaves, 126 Hz to 15.8 kHz: model error is alike over more than that, so closer points would add
#: nothing but time. [Hz]
FIT_HZ: FloatArray = 1000.0 * 10.0 ** (np.arange(-18, 25) / 20.0)

#: A reading counts at fit frequencies nearer than this, less the farther it is. [octave]
_REACH_OCTAVES = np.log2(10.0) / 20.0


def onto_fit_grid(
    frequency_hz: FloatArray, level_db: FloatArray, u_db: FloatArray, usable: BoolArray
) -> tuple[FloatArray, FloatArray, BoolArray]:
    r"""Weighted means of readings around each fit frequency.

    .. math:: L(f) = \frac{\sum_i w_i L_i}{\sum_i w_i}, \quad w_i = 1 - \frac{|\lg_2(f_i/f)|}{1/6}, \quad
        u^2 = \frac{\sum_i w_i^2 u_i^2}{(\sum_i w_i)^2} \qquad (1)

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies of the readings: twelfth-octaves, third-octaves or audiometric tones. [Hz]
    level_db : array (..., n)
        Readings. [dB]
    u_db : array (..., n)
        Standard uncertainty of each by itself. [dB]
    usable : array (..., n), bool
        Which of them to believe.

    Returns
    -------
    tuple of array (..., 43)
        Levels [dB], their standard uncertainties [dB], and where there is one at all.
    """
    away = np.abs(np.log2(FIT_HZ[:, np.newaxis] / frequency_hz)) / _REACH_OCTAVES
    weight = np.maximum(1 - away, 0) * usable[..., np.newaxis, :]
    weight[weight < 1e-6] = 0
    total = weight.sum(axis=-1)
    known = total > 0
    safe = np.where(known, total, 1.0)
    level = (weight @ np.where(usable, level_db, 0.0)[..., np.newaxis])[..., 0] / safe
    u = np.sqrt((weight**2 @ (np.where(usable, u_db, 0.0) ** 2)[..., np.newaxis])[..., 0]) / safe
    return level, u, known
